/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "commands/options.h"
#include "draw/sheet_pen.h"
#include "print/message.h"
#include "print/output.h"

#define SAMPLES 240

enum { CODE_BYTES = 858 }; /* of a square of 97 modules, the most a phone reads at this size */

static bool format_of(const char *path, sheet_format *format) {
    static const struct {
        const char *ending;
        sheet_format format;
    } table[] = {{".pdf", SHEET_PDF}, {".svg", SHEET_SVG}, {".png", SHEET_PNG}};
    *format = SHEET_PDF;
    if (strcmp(path, "-") == 0)
        return true;
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        if (out_is_named(path, table[i].ending)) {
            *format = table[i].format;
            return true;
        }
    }
    return false;
}

/* Curves that cannot be computed (a plan that broke off) are left out; the table still helps.
 * False: memory ran out. */
static bool add_history(sheet_page *page, size_t part, double *time_s) {
    size_t count = SAMPLES * page->schedule->part[part]->layer_count;
    pc_history_point *point = calloc(count > 0 ? count : 1, sizeof *point);
    if (point == NULL)
        return false;
    pc_status status =
        pc_schedule_history(page->piece, page->schedule, part, SAMPLES, time_s, point);
    if (status == PC_OK)
        page->history[part] = (sheet_history){SAMPLES, time_s, point};
    else
        free(point);
    return status != PC_E_MEMORY;
}

/* The piece file without its comments and blank lines, as much as a code square can hold; NULL: it
 * is longer, or cannot be read. To be freed. */
static char *short_file(const char *path) {
    FILE *file = path ? fopen(path, "r") : NULL;
    char *text = file ? calloc(1, CODE_BYTES + 1) : NULL, line[CODE_BYTES];
    size_t used = 0;
    while (text && fgets(line, sizeof line, file)) {
        const char *from = line + strspn(line, " \t");
        size_t n = strcspn(from, "\r\n");
        while (n > 0 && (from[n - 1] == ' ' || from[n - 1] == '\t'))
            n--;
        if (n == 0 || *from == ';' || *from == '#')
            continue;
        if (used + n + 1 > CODE_BYTES) {
            free(text);
            text = NULL;
            break;
        }
        memcpy(text + used, from, n);
        used += n;
        text[used++] = '\n';
    }
    if (file)
        fclose(file);
    return text;
}

enum cli_exit print_sheet(struct cli *cli, const char *path, const pc_piece *piece,
                          const pc_schedule *schedule, const char *const *caution,
                          size_t caution_count, const char *file) {
    sheet_format format;
    if (!format_of(path, &format))
        return say_error(CLI_USAGE, "%s: a sheet is written as .pdf, .svg or .png: name it so",
                         path);
    double time_s[SAMPLES];
    sheet_page page = {.piece = piece, .schedule = schedule, .caution = caution};
    page.caution_count = caution_count;
    double last_s = sheet_last_time(schedule);
    for (size_t i = 0; i < SAMPLES; i++)
        time_s[i] = last_s * (double)i / (SAMPLES - 1.0);
    char *text = short_file(file);
    page.file = text;
    bool starved = false;
    for (size_t p = 0; p < schedule->part_count; p++)
        starved = !add_history(&page, p, time_s) || starved;
    unsigned char *bytes = NULL;
    size_t size = 0;
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = starved ? PC_E_MEMORY : sheet_render(&page, format, &bytes, &size, &errors);
    for (size_t p = 0; p < PC_PARTS_MOST; p++)
        free(page.history[p].point);
    free(text);
    if (status != PC_OK)
        return say_errors(status, &errors);
    enum cli_exit code = cli_deliver(cli, path, bytes, size);
    free(bytes);
    return code;
}
