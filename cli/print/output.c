/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "print/output.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "pourclock.h"
#include "print/message.h"

void out_bytes(struct cli_output *out, const void *data, size_t size) {
    if (out->failed || size == 0)
        return;
    if (size >= out->capacity - out->size) {
        size_t capacity = out->capacity ? out->capacity : 4096;
        while (capacity - out->size <= size && capacity < (size_t)-1 / 4)
            capacity *= 2;
        char *grown = capacity - out->size > size ? realloc(out->data, capacity) : NULL;
        if (!grown) {
            out->failed = true;
            return;
        }
        out->data = grown;
        out->capacity = capacity;
    }
    memcpy(out->data + out->size, data, size);
    out->size += size;
    out->data[out->size] = '\0';
}

static bool is_plain(const char *text) {
    for (; *text; text++)
        if (!((*text >= 0x20 && *text <= 0x7E) || *text == '\n' || *text == '\r'))
            return false;
    return true;
}

/* One line, without its end. */
static void put_line(struct cli_output *out, const char *text, size_t n) {
    char *line = malloc(n + 1), *clean = malloc(n + 1);
    if (line && clean) {
        memcpy(line, text, n);
        line[n] = '\0';
        out_bytes(out, clean, pc_text_clean(line, clean, n + 1));
    } else {
        out->failed = true;
    }
    free(line);
    free(clean);
}

void out_text(struct cli_output *out, const char *text) {
    if (is_plain(text)) {
        out_bytes(out, text, strlen(text));
        return;
    }
    while (*text) {
        size_t n = strcspn(text, "\r\n"), ends = strspn(text + n, "\r\n");
        put_line(out, text, n);
        out_bytes(out, text + n, ends);
        text += n + ends;
    }
}

void out_column(struct cli_output *out, const char *text, size_t width, size_t most) {
    char clean[512];
    pc_text_clean(text, clean, sizeof clean);
    if (pc_text_width(clean) > most)
        snprintf(clean + pc_text_fit(clean, most - 3), 4, "...");
    size_t columns = pc_text_width(clean);
    out_text(out, clean);
    out_printf(out, "%*s", columns < width ? (int)(width - columns) : 0, "");
}

PC_PRINTF(2, 0) static void put(struct cli_output *out, const char *format, va_list args) {
    va_list again;
    va_copy(again, args);
    int n = vsnprintf(NULL, 0, format, args);
    char small[512];
    char *text = n >= (int)sizeof small ? malloc((size_t)n + 1) : small;
    if (n < 0 || !text) {
        out->failed = true;
    } else {
        vsnprintf(text, (size_t)n + 1, format, again);
        out_text(out, text);
    }
    va_end(again);
    if (text != small)
        free(text);
}

void out_printf(struct cli_output *out, const char *format, ...) {
    va_list args;
    va_start(args, format);
    put(out, format, args);
    va_end(args);
}

void out_bold(struct cli_output *out, const char *format, ...) {
    va_list args;
    va_start(args, format);
    out_style(out, CLI_BOLD);
    put(out, format, args);
    out_style(out, CLI_PLAIN);
    va_end(args);
}

void out_style(struct cli_output *out, enum cli_style style) {
    static const char *const escape[] = {
        [CLI_PLAIN] = "\033[0m", [CLI_BOLD] = "\033[1m",    [CLI_DIM] = "\033[2m",
        [CLI_WARN] = "\033[33m", [CLI_STOP] = "\033[1;31m", [CLI_GOOD] = "\033[32m",
    };
    if (out->color)
        out_bytes(out, escape[style], strlen(escape[style]));
}

void out_title(struct cli_output *out, const char *text) {
    out_text(out, "\n");
    out_bold(out, "%s", text);
    out_text(out, "\n");
}

/* "+1d": the day of the clock behind it. */
static bool is_day(const char *word, size_t n) {
    return n >= 3 && word[0] == '+' && word[n - 1] == 'd' &&
           strspn(word + 1, "0123456789") == n - 2;
}

/* Length of the word at text; a number and its unit ("64 F", "2.5 mm"), and a day and its clock
 * ("+1d 01:34:29"), count as one. */
static size_t word_length(const char *text) {
    static const char *const units[] = {"C", "F",   "g", "kg", "oz",  "lb",  "mm", "in",
                                        "s", "min", "h", "ml", "cm2", "rpm", "sq", NULL};
    size_t n = strcspn(text, " ");
    if (is_day(text, n) && text[n])
        return n + 1 + strcspn(text + n + 1, " ");
    if (n == 0 || !text[n] || text[n - 1] < '0' || text[n - 1] > '9')
        return n;
    const char *next = text + n + 1;
    size_t m = strcspn(next, " ,.;:)");
    for (const char *const *u = units; *u; u++)
        if (strlen(*u) == m && strncmp(*u, next, m) == 0)
            return n + 1 + strcspn(next, " ");
    return n;
}

void out_wrapped(struct cli_output *out, const char *text, int indent, int width) {
    int column = indent;
    bool first = true;
    char *clean = malloc(strlen(text) + 1);
    if (!clean) {
        out->failed = true;
        return;
    }
    pc_text_clean(text, clean, strlen(text) + 1);
    text = clean;
    while (text[strspn(text, " ")]) {
        text += strspn(text, " ");
        size_t n = word_length(text);
        char kept = clean[text - clean + (ptrdiff_t)n];
        clean[text - clean + (ptrdiff_t)n] = '\0';
        int wide = (int)pc_text_width(text);
        if (!first && column + 1 + wide > width) {
            out_printf(out, "\n%*s", indent, "");
            column = indent;
        } else if (!first) {
            out_text(out, " ");
            column++;
        }
        out_text(out, text);
        clean[text - clean + (ptrdiff_t)n] = kept;
        column += wide;
        text += n;
        first = false;
    }
    free(clean);
    out_text(out, "\n");
}

void out_json(struct cli_output *out, pc_status status, char **text) {
    if (status == PC_OK) {
        out_bytes(out, *text, strlen(*text));
        out_text(out, "\n");
    } else {
        out->failed = true;
    }
    pc_text_free(*text);
}

void out_csv_text(struct cli_output *out, const char *text) {
    size_t size = strlen(text) + 1;
    char *clean = malloc(size);
    if (!clean) {
        out->failed = true;
        return;
    }
    pc_text_clean(text, clean, size);
    bool quoted = strpbrk(clean, ",\"") != NULL;
    if (quoted)
        out_text(out, "\"");
    for (const char *c = clean; quoted && *c; c++)
        out_bytes(out, *c == '"' ? "\"\"" : c, *c == '"' ? 2 : 1);
    out_text(out, quoted ? "\"" : clean);
    free(clean);
}

void out_csv_number(struct cli_output *out, double value) {
    if (isfinite(value))
        out_printf(out, "%.10g", value);
}

void out_csv_numbers(struct cli_output *out, const double *value, size_t count) {
    for (size_t i = 0; i < count; i++) {
        out_text(out, ",");
        out_csv_number(out, value[i]);
    }
    out_text(out, "\r\n");
}

void out_free(struct cli_output *out) {
    free(out->data);
    *out = (struct cli_output){0};
}

static bool lost(const char *what) {
    say_error(CLI_FILE, "cannot write %s: %s", what, strerror(errno));
    return false;
}

bool out_show(struct cli_output *out) {
    if (out->failed || fwrite(out->data, 1, out->size, stdout) != out->size || fflush(stdout) != 0)
        return false;
    out->size = 0;
    return true;
}

bool out_to_stdout(struct cli_output *out) {
    bool whole = out->size == 0 || fwrite(out->data, 1, out->size, stdout) == out->size;
    if (!whole || fflush(stdout) != 0)
        return lost("to standard output");
    if (fclose(stdout) != 0)
        return lost("to standard output");
    return true;
}

bool out_write_all(int fd, const void *data, size_t size) {
    const char *at = data;
    while (size > 0) {
        ssize_t n = write(fd, at, size);
        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0)
            return false;
        at += n;
        size -= (size_t)n;
    }
    return true;
}

bool out_to_file(const char *path, const void *data, size_t size) {
    pc_errors errors = PC_ERRORS_INIT;
    return say_errors(pc_file_write(path, data, size, &errors), &errors) == CLI_DONE;
}

bool out_is_named(const char *path, const char *ending) {
    size_t n = strlen(path), m = strlen(ending);
    return n > m && strcmp(path + n - m, ending) == 0;
}

void out_guard_descriptors(void) {
    for (int fd = 0; fd <= 2; fd++)
        if (fcntl(fd, F_GETFD) < 0 && errno == EBADF) {
            /* Opened the wrong way round, so that its use still fails. */
            int got = open("/dev/null", fd == 0 ? O_WRONLY : O_RDONLY);
            if (got < 0)
                return;
        }
}
