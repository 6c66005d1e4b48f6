/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How long a day takes to plan, and how far from its bound it ends: 8 castings by the exact search,
 * 100 by lists, on random days. The reference of the same run is one plain count over every set of
 * three starts on the same grid, as a search without bounds would begin. Nothing here is a test. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <time.h>

#include "pourclock.h"

enum { DAYS = 20 };

static uint32_t state = 3;

static int pick(int low, int high) {
    state = state * 1664525u + 1013904223u;
    return low + (int)((state >> 8) % (uint32_t)(high - low + 1));
}

static double clock_s(void) {
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static pc_day_job comb(int jobs, int work, int gap, int cure) {
    pc_day_job job = {.feasible = true};
    int at = 0;
    for (int i = 0; i < jobs; i++, at += work + gap)
        job.task[job.task_count++] =
            (pc_day_task){at * 60.0, (at + work) * 60.0, PC_DAY_POUR, 0, i + 1};
    job.station_from_s = (work - 1) * 60.0;
    job.station_until_s = (at - gap) * 60.0;
    job.ready_s = (at - gap + cure) * 60.0;
    return job;
}

static void fill(pc_day *day, int pieces, int copies, int hours, int hands, int stations) {
    pc_day_defaults(day);
    day->end_s = day->start_s + hours * 3600;
    day->hands = hands;
    day->stations = stations;
    for (int i = 0; i < pieces; i++) {
        pc_day_piece *piece = &day->piece[day->piece_count++];
        snprintf(piece->name, sizeof piece->name, "piece %d", i + 1);
        piece->copies = copies;
        piece->molds = pick(1, copies);
        piece->job_count = 1;
        piece->job[0] = comb(pick(2, 4), pick(2, 6), pick(4, 15), pick(20, 60));
    }
}

static double reference_ms(int cells) {
    volatile long count = 0;
    double start = clock_s();
    for (int a = 0; a < cells; a++)
        for (int b = 0; b < cells; b++)
            for (int c = 0; c < cells; c += 4)
                count += a != b && b != c;
    return 1e3 * (clock_s() - start) * 4;
}

static void run(const char *what, int pieces, int copies, int hours, int hands, int stations,
                double reference) {
    double worst = 0, sum = 0, gap = 0, short_by = 0;
    int proven = 0, all = 0;
    for (int i = 0; i < DAYS; i++) {
        pc_day day;
        pc_day_plan plan;
        fill(&day, pieces, copies, hours, hands, stations);
        double start = clock_s();
        pc_day_make(&day, &plan, NULL);
        double ms = 1e3 * (clock_s() - start);
        worst = fmax(worst, ms);
        sum += ms;
        proven += plan.proven;
        all += plan.fits;
        if (plan.fits)
            gap = fmax(gap, (plan.finish_s - day.start_s) / (plan.bound_s - day.start_s) - 1);
        else
            short_by = fmax(short_by, 1 - (double)plan.count / (double)plan.count_bound);
        pc_day_plan_free(&plan);
    }
    printf("%-44s mean %7.1f ms, worst %7.1f ms (%.3f of the reference), proven %d, all fit %d of "
           "%d, finish over bound %.1f %%, castings under bound %.1f %%\n",
           what, sum / DAYS, worst, worst / reference, proven, all, DAYS, 100 * gap,
           100 * short_by);
}

int main(void) {
    double reference = reference_ms(510);
    printf("reference: every three starts of 510 min, %.1f ms\n", reference);
    run("8 castings, 1 pair of hands, 1 machine", 4, 2, 9, 1, 1, reference);
    run("8 castings, 1 pair of hands, 2 machines", 8, 1, 9, 1, 2, reference);
    run("8 castings, 2 copies each, 2 machines", 4, 2, 9, 1, 2, reference);
    run("8 castings, 2 pairs of hands, 2 machines", 4, 2, 9, 2, 2, reference);
    run("100 castings, 2 pairs of hands, 3 machines", 20, 5, 24, 2, 3, reference);
    run("100 castings, 3 pairs of hands, 6 machines", 20, 5, 24, 3, 6, reference);
    run("100 castings, 3 pairs of hands, 3 machines", 20, 5, 24, 3, 3, reference);
    return 0;
}
