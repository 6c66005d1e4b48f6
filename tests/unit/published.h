/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Walks a table of tests/published whose rows read `what | inputs | value | tolerance | ...`. */
#ifndef TESTS_PUBLISHED_H
#define TESTS_PUBLISHED_H

#include <stdio.h>
#include <string.h>

#include "unit.h"

enum { PUBLISHED_INPUTS = 5 };

/* Our value for a row; infinity for a row that another test program looks at. */
typedef double (*published_value)(const char *what, const double *x);

/* Fails on the first row not met; how many rows were looked at. */
static inline int check_published_table(const char *path, published_value value_of) {
    FILE *file = fopen(path, "r");
    ck_assert_ptr_nonnull(file);
    char line[512], what[64];
    int rows = 0;
    while (fgets(line, sizeof line, file)) {
        double x[PUBLISHED_INPUTS] = {0}, expected, tolerance;
        char *bar = strchr(line, '|');
        if (line[0] == '#' || !bar || sscanf(line, "%63s", what) != 1)
            continue;
        sscanf(bar + 1, "%lf %lf %lf %lf %lf", &x[0], &x[1], &x[2], &x[3], &x[4]);
        char *rest = strchr(bar + 1, '|');
        ck_assert_ptr_nonnull(rest);
        ck_assert_int_eq(sscanf(rest, "| %lf | %lf", &expected, &tolerance), 2);
        double value = value_of(what, x);
        if (isinf(value))
            continue;
        if (!(fabs(value - expected) <= tolerance))
            ck_abort_msg("%s gives %.8g: %s", what, value, line);
        rows++;
    }
    fclose(file);
    return rows;
}

#endif
