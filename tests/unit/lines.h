/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tables of tests/data and tests/published, and a good file with one line changed, added or dropped
 * as their rows ask for. */
#ifndef TESTS_LINES_H
#define TESTS_LINES_H

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "unit.h"

/* Writes base (lines ended by \n) to out with `key` of [section] set to value; "-" drops it. A
 * section that is not there is put at the end. */
static inline void change_line(const char *base, const char *section, const char *key,
                               const char *value, char *out, size_t size) {
    char line[400], here[100] = "", set[400];
    size_t used = 0;
    bool done = strcmp(value, "-") == 0, seen = false;
    snprintf(set, sizeof set, "%s = %s\n", key, value);
    for (const char *p = base; *p;) {
        size_t n = strcspn(p, "\n") + 1;
        snprintf(line, sizeof line, "%.*s", (int)n, p);
        p += n;
        if (line[0] == '[')
            snprintf(here, sizeof here, "%.*s", (int)strcspn(line + 1, "]"), line + 1);
        bool at = !strcmp(here, section), opens = at && line[0] == '[';
        bool same = at && !strncmp(line, key, strlen(key)) && line[strlen(key)] == ' ';
        seen = seen || at;
        used += (size_t)snprintf(out + used, size - used, "%s", same ? (done ? "" : set) : line);
        done = done || same;
        /* a key that is nowhere in the base goes to the top of its section */
        char with[100];
        snprintf(with, sizeof with, "\n%s = ", key);
        if (opens && !done && !strstr(p - 1, with)) {
            used += (size_t)snprintf(out + used, size - used, "%s", set);
            done = true;
        }
    }
    if (!done)
        snprintf(out + used, size - used, seen ? "%.0s%s" : "[%s]\n%s", section, set);
}

/* Opens a table below tests/. */
static inline FILE *open_table(const char *name) {
    char path[512];
    snprintf(path, sizeof path, "%s/tests/%s", TEST_SRCDIR, name);
    FILE *file = fopen(path, "r");
    ck_assert_msg(file != NULL, "cannot open %s", path);
    return file;
}

/* Cuts a row of a table at '|' into count trimmed fields, "" where it has fewer; false for a
 * comment or blank line. */
static inline bool cut_row(char *line, char *field[], int count) {
    if (line[0] == '#' || line[0] == '\n')
        return false;
    char *p = line;
    for (int i = 0; i < count; i++) {
        char *bar = i + 1 < count ? strchr(p, '|') : NULL;
        if (bar)
            *bar = '\0';
        p += strspn(p, " ");
        size_t n = strlen(p);
        while (n > 0 && (p[n - 1] == ' ' || p[n - 1] == '\n'))
            p[--n] = '\0';
        field[i] = p;
        p = bar ? bar + 1 : p + n;
    }
    return true;
}

#endif
