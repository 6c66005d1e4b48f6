/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The page put together: frame, style, data and script in one file that asks the network for
 * nothing. */
#include "config.h"

#include "draw/page.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "commands/options.h"
#include "draw/page/hashes.h"
#include "draw/page/page_text.inc"
#include "print/message.h"
#include "print/output.h"

#define FILE_MOST_BYTES (1 << 20)

/* Equal input gives equal bytes where SOURCE_DATE_EPOCH says when it is. */
static int64_t time_made(void) {
    const char *epoch = getenv("SOURCE_DATE_EPOCH");
    char *end;
    if (epoch != NULL && epoch[0] != '\0') {
        long long given = strtoll(epoch, &end, 10);
        if (*end == '\0' && given >= 0)
            return (int64_t)given * 1000;
    }
    return (int64_t)time(NULL) * 1000;
}

/* CRC-32 of the piece file as it is now: by it a page knows whether the file has changed since. */
static enum cli_exit put_checksum(json_t *data, const char *path) {
    if (path == NULL || strcmp(path, "-") == 0)
        return CLI_DONE;
    unsigned char *bytes = malloc(FILE_MOST_BYTES);
    FILE *file = fopen(path, "rb");
    if (bytes == NULL || file == NULL) {
        int why = errno;
        free(bytes);
        if (file != NULL)
            fclose(file);
        return bytes == NULL ? say_error(CLI_INTERNAL, "out of memory")
                             : say_error(CLI_FILE, "%s: %s", path, strerror(why));
    }
    size_t size = fread(bytes, 1, FILE_MOST_BYTES, file);
    bool good = !ferror(file) && size < FILE_MOST_BYTES;
    int why = errno;
    fclose(file);
    json_t *crc = json_integer((json_int_t)pc_crc32(bytes, size));
    free(bytes);
    if (!good)
        return say_error(CLI_FILE, "%s: %s", path, strerror(why));
    return json_object_set_new(data, "crc", crc) == 0 ? CLI_DONE
                                                      : say_error(CLI_INTERNAL, "out of memory");
}

static void out_lines(struct cli_output *out, const char *const *line) {
    for (; *line != NULL; line++)
        out_text(out, *line);
}

/* JSON inside a script element: nothing in it may end the element or open a comment. */
static void out_data(struct cli_output *out, json_t *data) {
    char *text = json_dumps(data, JSON_INDENT(1) | JSON_REAL_PRECISION(10) | JSON_ENSURE_ASCII);
    if (text == NULL) {
        out->failed = true;
        return;
    }
    for (const char *at = text; *at != '\0';) {
        size_t plain = strcspn(at, "<>&");
        out_bytes(out, at, plain);
        at += plain;
        if (*at != '\0')
            out_printf(out, "\\u%04x", (unsigned)*at++);
    }
    free(text);
}

static void out_html(struct cli_output *out, const char *text) {
    for (; *text != '\0'; text++)
        switch (*text) {
        case '<':
            out_text(out, "&lt;");
            break;
        case '>':
            out_text(out, "&gt;");
            break;
        case '&':
            out_text(out, "&amp;");
            break;
        case '"':
            out_text(out, "&quot;");
            break;
        default:
            out_bytes(out, text, 1);
        }
}

/* The frame, line by line; a line that is a name between two @ is replaced. */
static void out_page(struct cli_output *out, json_t *data) {
    for (const char *const *line = page_frame; *line != NULL; line++) {
        if (strcmp(*line, "@POLICY@\n") == 0)
            out_printf(out,
                       "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
                       "script-src '%s'; style-src '%s'; base-uri 'none'; form-action 'none'\">\n",
                       PAGE_SCRIPT_HASH, PAGE_STYLE_HASH);
        else if (strcmp(*line, "@TITLE@\n") == 0)
            out_html(out, json_string_value(json_object_get(data, "piece")));
        else if (strcmp(*line, "@STYLE@\n") == 0)
            out_lines(out, page_style);
        else if (strcmp(*line, "@DATA@\n") == 0)
            out_data(out, data);
        else if (strcmp(*line, "@SCRIPT@\n") == 0)
            out_lines(out, page_script);
        else
            out_text(out, *line);
    }
}

enum cli_exit page_write(struct cli *cli, const char *path, page_source *source) {
    if (strcmp(path, "-") != 0 && !out_is_named(path, ".html") && !out_is_named(path, ".htm"))
        return say_error(CLI_USAGE, "%s: a page is written as .html: name it so", path);
    source->made_ms = time_made();
    source->rate = calloc(PC_PARTS_MOST, sizeof *source->rate);
    pc_status status = source->rate != NULL ? page_find_rates(source) : PC_E_MEMORY;
    json_t *data = status == PC_OK ? page_data(source) : NULL;
    free(source->rate);
    source->rate = NULL;
    if (data == NULL)
        return say_error(CLI_INTERNAL, "out of memory while the page was put together");
    enum cli_exit code = put_checksum(data, source->path);
    struct cli_output page = {.data = NULL};
    if (code == CLI_DONE)
        out_page(&page, data);
    json_decref(data);
    if (code == CLI_DONE && page.failed)
        code = say_error(CLI_INTERNAL, "out of memory while the page was put together");
    if (code == CLI_DONE)
        code = cli_deliver(cli, path, page.data, page.size);
    out_free(&page);
    return code;
}
