/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The shop that learns: film gels of a session join the user's own tests of the resin. */
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "bench/bench_gels.h"
#include "print/message.h"

enum { FILE_MOST = 1 << 20, ROW_MOST = 512, COLUMNS_MOST = 32, ANSWER_MOST = 120 };

/* The user's tests as text, with room for what is added. */
struct tests_file {
    char path[1024];
    char *text;
    size_t size, room;
};

/* Beside the resin file, unless the name says where. */
static bool find_tests(const pc_resin *resin, struct tests_file *tests) {
    const char *slash = strrchr(resin->path, '/');
    int length = slash != NULL && resin->tests_path[0] != '/' ? (int)(slash - resin->path + 1) : 0;
    int wanted =
        snprintf(tests->path, sizeof tests->path, "%.*s%s", length, resin->path, resin->tests_path);
    return wanted > 0 && (size_t)wanted < sizeof tests->path;
}

static bool read_tests(struct tests_file *tests) {
    FILE *file = fopen(tests->path, "rb");
    tests->room = FILE_MOST;
    tests->text = malloc(tests->room);
    tests->size = file != NULL && tests->text != NULL
                      ? fread(tests->text, 1, tests->room - BENCH_GELS_MOST * ROW_MOST, file)
                      : 0;
    bool whole = file != NULL && tests->text != NULL && feof(file) && !ferror(file);
    if (file != NULL)
        fclose(file);
    if (whole)
        tests->text[tests->size] = '\0';
    return whole;
}

/* The header's words, without their units; the number of them, 0 where there is no header. */
static size_t read_header(const char *text, char word[COLUMNS_MOST][32]) {
    size_t count = 0;
    while (*text == '#' || *text == '\n' || *text == '\r')
        text += strcspn(text, "\n") + (text[strcspn(text, "\n")] != '\0');
    while (*text != '\0' && count < COLUMNS_MOST) {
        size_t cell = strcspn(text, ",\r\n"), length = strcspn(text, ",\r\n(");
        while (length > 0 && text[length - 1] == ' ')
            length--;
        snprintf(word[count++], 32, "%.*s", (int)length, text);
        text += cell;
        if (*text != ',')
            break;
        text++;
    }
    return count;
}

static void day_of(int64_t wall_ms, char day[16]) {
    time_t at = (time_t)(wall_ms / 1000);
    struct tm local;
    day[0] = '\0';
    if (localtime_r(&at, &local) != NULL)
        strftime(day, 16, "%Y-%m-%d", &local);
}

/* What stands in a column; "" where nothing does. */
static void cell_of(const struct bench_gel *gel, const char *word, const char *lot, char cell[64]) {
    const struct {
        const char *word;
        double value;
        const char *unit;
    } figure[] = {{"time", gel->time_s, "s"},       {"temperature", gel->resin_C, "C"},
                  {"air", gel->air_C, "C"},         {"thickness", gel->thick_mm, "mm"},
                  {"laid", gel->laid_s, "s"},       {"mold", gel->mold_C, "C"},
                  {"rubber", gel->rubber_mm, "mm"}, {"shell", gel->shell_mm, "mm"}};
    cell[0] = '\0';
    for (size_t i = 0; i < sizeof figure / sizeof *figure; i++)
        if (strcmp(word, figure[i].word) == 0 && isfinite(figure[i].value))
            snprintf(cell, 64, "%.2f %s", figure[i].value, figure[i].unit);
    if (strcmp(word, "kind") == 0)
        snprintf(cell, 64, "film");
    if (strcmp(word, "rubber_kind") == 0)
        snprintf(cell, 64, "%.40s", gel->rubber);
    if (strcmp(word, "shell_kind") == 0)
        snprintf(cell, 64, "%.40s", isfinite(gel->shell_mm) ? gel->shell : "none");
    if (strcmp(word, "date") == 0)
        day_of(gel->wall_ms, cell);
    if (strcmp(word, "lot") == 0)
        snprintf(cell, 64, "%.47s", lot);
}

static void make_row(const struct bench_gel *gel, char word[COLUMNS_MOST][32], size_t columns,
                     const char *lot, char row[ROW_MOST]) {
    size_t used = 0;
    row[0] = '\0';
    for (size_t i = 0; i < columns && used + 70 < ROW_MOST; i++) {
        char cell[64];
        cell_of(gel, word[i], lot, cell);
        used += (size_t)snprintf(row + used, ROW_MOST - used, "%s%s", i > 0 ? "," : "", cell);
    }
}

/* A column without which a film is no test. */
static const char *missing(char word[COLUMNS_MOST][32], size_t columns) {
    static const char *const needed[] = {"kind", "time", "temperature", "thickness", "laid"};
    for (size_t n = 0; n < sizeof needed / sizeof *needed; n++) {
        bool there = false;
        for (size_t i = 0; i < columns; i++)
            there = there || strcmp(word[i], needed[n]) == 0;
        if (!there)
            return needed[n];
    }
    return NULL;
}

/* A line that is typed, from what was read already and then from the input. */
static void read_answer(const char *typed, char answer[ANSWER_MOST]) {
    size_t length = strcspn(typed, "\n");
    bool whole = typed[length] == '\n';
    snprintf(answer, ANSWER_MOST, "%.*s", (int)length, typed);
    length = strlen(answer);
    for (char byte; !whole && length + 1 < ANSWER_MOST && read(STDIN_FILENO, &byte, 1) == 1;) {
        whole = byte == '\n';
        answer[whole ? length : length++] = whole ? '\0' : byte;
        answer[length] = '\0';
    }
}

/* "y", "yes", or with the resin's lot behind it; any sign a cell could break at becomes a dash. */
static bool is_yes(char answer[ANSWER_MOST], const char **lot) {
    answer[strcspn(answer, "\r")] = '\0';
    size_t start = strspn(answer, " "), word = strcspn(answer + start, " ");
    bool yes = (word == 1 && strncmp(answer + start, "y", 1) == 0) ||
               (word == 3 && strncmp(answer + start, "yes", 3) == 0);
    char *rest = answer + start + word;
    rest += strspn(rest, " ");
    for (char *c = rest; *c != '\0'; c++)
        if ((unsigned char)*c < ' ' || strchr(",\"'#;=+@", *c) != NULL)
            *c = '-';
    *lot = rest;
    return yes;
}

/* Gels that are not in the file yet: a session ended twice adds nothing twice. */
static size_t fresh_gels(const struct tests_file *tests, struct bench_gel gel[], size_t count,
                         char word[COLUMNS_MOST][32], size_t columns) {
    size_t fresh = 0;
    for (size_t i = 0; i < count; i++) {
        char row[ROW_MOST], head[ROW_MOST];
        make_row(&gel[i], word, columns, "", row);
        /* The lot may be any: the row up to its place. */
        size_t lot = 0, at = 0;
        while (lot < columns && strcmp(word[lot], "lot") != 0)
            lot++;
        for (size_t c = 0; c < lot && row[at] != '\0'; c++)
            at += strcspn(row + at, ",") + 1;
        snprintf(head, sizeof head, "\n%.*s", (int)(at < strlen(row) ? at : strlen(row)), row);
        if (gel[i].film && strstr(tests->text, head) == NULL)
            gel[fresh++] = gel[i];
    }
    return fresh;
}

static bool add_rows(struct tests_file *tests, const struct bench_gel gel[], size_t count,
                     char word[COLUMNS_MOST][32], size_t columns, const char *lot) {
    pc_errors errors = PC_ERRORS_INIT;
    if (tests->size > 0 && tests->text[tests->size - 1] != '\n')
        tests->text[tests->size++] = '\n';
    for (size_t i = 0; i < count; i++) {
        char row[ROW_MOST];
        make_row(&gel[i], word, columns, lot, row);
        tests->size +=
            (size_t)snprintf(tests->text + tests->size, tests->room - tests->size, "%s\n", row);
    }
    pc_status status = pc_file_write(tests->path, tests->text, tests->size, &errors);
    if (status != PC_OK)
        say_errors(status, &errors);
    else
        printf(
            "Added. `pourclock resin` shows what they change; struck = yes in the file leaves one "
            "out.\n");
    pc_errors_free(&errors);
    return status == PC_OK && fflush(stdout) == 0;
}

static bool offer(struct tests_file *tests, struct bench_gel gel[], size_t count,
                  const char *typed) {
    char word[COLUMNS_MOST][32], answer[ANSWER_MOST];
    const char *lot;
    if (!read_tests(tests))
        return say_error(CLI_FILE, "%s: the tests cannot be read: %s", tests->path,
                         errno != 0 ? strerror(errno) : "too large") == CLI_DONE;
    size_t columns = read_header(tests->text, word);
    const char *lacks = missing(word, columns);
    if (lacks != NULL)
        return say_error(CLI_FILE,
                         "%s: the header lacks the column %s, so that no film gel can be added",
                         tests->path, lacks) == CLI_DONE;
    count = fresh_gels(tests, gel, count, word, columns);
    if (count == 0)
        return true;
    printf("Add %zu film gel%s of this casting to %s? They move the next plans. Type y, or y and "
           "the resin's lot: ",
           count, count > 1 ? "s" : "", tests->path);
    if (fflush(stdout) != 0)
        return false;
    read_answer(typed, answer);
    if (is_yes(answer, &lot))
        return add_rows(tests, gel, count, word, columns, lot);
    printf("Nothing was added.\n");
    return fflush(stdout) == 0;
}

bool bench_offer_gels(const pc_log *log, const pc_piece *piece, const char *typed) {
    struct bench_gel gel[BENCH_GELS_MOST];
    struct tests_file tests = {.text = NULL};
    size_t events = pc_log_count(log), films = 0;
    const pc_event **event = calloc(events > 0 ? events : 1, sizeof *event);
    if (event == NULL)
        return true;
    for (size_t i = 0; i < events; i++)
        event[i] = pc_log_event(log, i);
    size_t count = bench_gels(event, events, gel);
    for (size_t i = 0; i < count; i++)
        films += gel[i].film;
    bool good = true;
    if (films > 0 && piece->resin.tests_path[0] == '\0') {
        printf(
            "%zu film gel%s of a first layer %s in the log: name a file of your own tests in the "
            "resin file (tests = my-tests.csv), and the bench offers to add such gels to it.\n",
            films, films > 1 ? "s" : "", films > 1 ? "are" : "is");
        good = fflush(stdout) == 0;
    } else if (films > 0 && find_tests(&piece->resin, &tests)) {
        good = offer(&tests, gel, count, typed);
    }
    free(tests.text);
    free(event);
    return good;
}
