/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Days drawn by chance, row by row: for the bench, and for the test that compares with the best
 * finishes known (tests/data/best_days.txt). The same ones every time. */
#ifndef TESTS_DRAWN_DAYS_H
#define TESTS_DRAWN_DAYS_H

#include <math.h>
#include <stdio.h>

#include "day/day_plan.h"
#include "pick.h"
#include "pourclock/day.h"

enum { PLAIN_DAYS = 20, LIKELY_DAYS = 60 };

/* hands 0: likely days, whose hands and machines are drawn too. */
typedef struct drawn_row {
    const char *name;
    int days, pieces, copies, hours, hands, stations;
} drawn_row;

/* clang-format off */
static const drawn_row drawn_rows[] = {
    {"8 castings, 1 pair of hands, 1 machine", PLAIN_DAYS, 4, 2, 9, 1, 1},
    {"8 castings, 1 pair of hands, 2 machines", PLAIN_DAYS, 8, 1, 9, 1, 2},
    {"8 castings, 2 copies each, 2 machines", PLAIN_DAYS, 4, 2, 9, 1, 2},
    {"8 castings, 2 pairs of hands, 2 machines", PLAIN_DAYS, 4, 2, 9, 2, 2},
    {"100 castings, 2 pairs of hands, 3 machines", PLAIN_DAYS, 20, 5, 24, 2, 3},
    {"100 castings, 3 pairs of hands, 6 machines", PLAIN_DAYS, 20, 5, 24, 3, 6},
    {"100 castings, 3 pairs of hands, 3 machines", PLAIN_DAYS, 20, 5, 24, 3, 3},
    {"8 castings, likely days, 16 h", LIKELY_DAYS, 8, 1, 16, 0, 0},
    {"8 castings, 2 copies each, likely days, 10 h", LIKELY_DAYS, 4, 2, 10, 0, 0},
    {"12 castings, likely days, 16 h", LIKELY_DAYS, 12, 1, 16, 0, 0},
    {"24 castings of 8 pieces, likely days, 16 h", LIKELY_DAYS, 8, 3, 16, 0, 0},
    {"100 castings of 20 pieces, likely days, 24 h", LIKELY_DAYS, 20, 5, 24, 0, 0},
    {"100 castings of 10 pieces, likely days, 16 h", LIKELY_DAYS, 10, 10, 16, 0, 0},
    {"100 castings of 4 pieces, likely days, 24 h", LIKELY_DAYS, 4, 25, 24, 0, 0},
    {"36 castings of 12 pieces, likely days, 16 h", LIKELY_DAYS, 12, 3, 16, 0, 0},
};
/* clang-format on */

static inline pci_day_job drawn_comb(int jobs, int work, int gap, int cure) {
    pci_day_job job = {.feasible = true};
    int at = 0;
    for (int i = 0; i < jobs; i++, at += work + gap)
        job.task[job.task_count++] =
            (pci_day_task){at * 60.0, (at + work) * 60.0, PC_DAY_POUR, 0, i + 1};
    job.station_from_s = (work - 1) * 60.0;
    job.station_until_s = (at - gap) * 60.0;
    job.ready_s = (at - gap + cure) * 60.0;
    return job;
}

/* Layers 15 to 60 min apart and half an hour to two hours of cure, as schedules have them; some
 * turned by hand all the way. */
static inline pci_day_job drawn_likely_comb(bool machine) {
    pci_day_job job = {.feasible = true, .station_from_s = NAN, .station_until_s = NAN};
    int layers = pick(1, 3), work = pick(2, 4), interval = pick(15, 60), cure = pick(30, 120);
    double end_s = layers * interval * 60.0;
    job.ready_s = end_s + cure * 60.0;
    if (!machine) {
        job.task[job.task_count++] = (pci_day_task){0, end_s, PC_DAY_POUR, 0, 1};
        return job;
    }
    for (int i = 0; i < layers; i++) {
        double from_s = i * interval * 60.0;
        job.task[job.task_count++] =
            (pci_day_task){from_s, from_s + work * 60.0, PC_DAY_POUR, 0, i + 1};
    }
    job.task[job.task_count++] = (pci_day_task){end_s, end_s + 60, PC_DAY_POUR, 0, layers};
    job.station_from_s = work * 60.0 - 30;
    job.station_until_s = end_s;
    return job;
}

/* The next day of a row. */
static inline void draw_day(const drawn_row *row, pci_day *day) {
    bool likely = row->hands == 0;
    pci_day_defaults(day);
    if (likely)
        day->start_s = 0;
    day->end_s = day->start_s + row->hours * 3600;
    day->hands = likely ? pick(1, 4) : row->hands;
    day->stations = likely ? pick(1, 8) : row->stations;
    if (likely)
        day->demold_s = 60 * pick(5, 15);
    int by_hand = likely && pick(0, 1) == 0 ? pick(5, 25) : 0; /* % of the pieces */
    for (int i = 0; i < row->pieces; i++) {
        pci_day_piece *piece = &day->piece[day->piece_count++];
        snprintf(piece->name, sizeof piece->name, "piece %zu", day->piece_count);
        piece->copies = row->copies;
        piece->molds = pick(1, row->copies);
        piece->job_count = 1;
        piece->due_s = NAN;
        if (likely) {
            piece->job[0] = drawn_likely_comb(pick(1, 100) > by_hand);
        } else {
            int cure = pick(20, 60), gap = pick(4, 15), work = pick(2, 6), jobs = pick(2, 4);
            piece->job[0] = drawn_comb(jobs, work, gap, cure);
        }
    }
}

#endif
