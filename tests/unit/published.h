/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Walks a table of tests/published whose rows read `what | inputs | value | tolerance | mark |
 * citation`. */
#ifndef TESTS_PUBLISHED_H
#define TESTS_PUBLISHED_H

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "unit.h"

enum { PUBLISHED_INPUTS = 8 };

/* Our value for a row; infinity for a row that another test program looks at. */
typedef double (*published_value)(const char *what, const double *x);

/* False for a row that another test program looks at; fails where the row is not met. */
static inline bool check_published_row(const char *row, published_value value_of) {
    char what[64], inputs[128], mark[16], citation[200];
    double expected, tolerance, x[PUBLISHED_INPUTS] = {0};
    int fields = sscanf(row, "%63[^|]| %127[^|] | %lf | %lf | %15s | %199[^\n]", what, inputs,
                        &expected, &tolerance, mark, citation);
    ck_assert_msg(fields == 6, "cannot read: %s", row);
    ck_assert_msg(!strcmp(mark, "source") || !strcmp(mark, "memory") || !strcmp(mark, "practice"),
                  "no such mark: %s", row);
    what[strlen(what) - 1] = '\0'; /* the blank before the bar */
    int count = 0;
    for (char *at = inputs, *end; count < PUBLISHED_INPUTS; at = end, count++) {
        x[count] = strtod(at, &end);
        if (end == at)
            break;
    }
    ck_assert_msg(count > 0, "no input: %s", row);
    double value = value_of(what, x);
    if (isinf(value))
        return false;
    ck_assert_msg(fabs(value - expected) <= tolerance, "got %.8g for %s", value, row);
    return true;
}

/* Fails on the first row not met; how many rows were looked at. */
static inline int check_published_table(const char *path, published_value value_of) {
    FILE *file = fopen(path, "r");
    ck_assert_msg(file != NULL, "cannot read %s", path);
    char line[512];
    int rows = 0;
    while (fgets(line, sizeof line, file))
        rows += line[0] != '#' && check_published_row(line, value_of);
    fclose(file);
    return rows;
}

#endif
