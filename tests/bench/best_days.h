/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The best plans known of drawn days: tests/data/best_days.txt, a line a row. */
#ifndef TESTS_BEST_DAYS_H
#define TESTS_BEST_DAYS_H

#include <stdio.h>

#include "drawn_days.h"

enum { BEST_DAYS_MOST = 64 };

typedef struct best_row {
    uint32_t state; /* pick_state at the row's first day */
    int count[BEST_DAYS_MOST], finish_min[BEST_DAYS_MOST];
} best_row;

/* Reads the next row. Returns false where the file is not as it was written. */
static inline bool best_row_read(FILE *file, const drawn_row *row, best_row *best) {
    int c = fgetc(file);
    while (c == '#') {
        while (c != '\n' && c != EOF)
            c = fgetc(file);
        c = fgetc(file);
    }
    ungetc(c, file);
    bool ok = fscanf(file, "%u", &best->state) == 1;
    for (int i = 0; ok && i < row->days && i < BEST_DAYS_MOST; i++)
        ok = fscanf(file, " %d:%d", &best->count[i], &best->finish_min[i]) == 2;
    while (ok && (c = fgetc(file)) != '\n')
        ok = c == ' ';
    return ok;
}

/* How far a plan is from the best known: of the finish where as many castings are placed, else of
 * their number. Negative: it is better. */
static inline double from_best(const pci_day *day, const pc_day_plan *plan, const best_row *best,
                               int number) {
    int count = best->count[number];
    if ((int)plan->count != count)
        return 1 - (double)plan->count / count;
    return (plan->finish_s - day->start_s) / 60 / best->finish_min[number] - 1;
}

#endif
