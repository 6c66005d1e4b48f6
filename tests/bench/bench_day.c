/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How long a day takes to plan, and how far from its bound it ends: 8 castings by the exact search,
 * 100 by lists, on random days. The reference of the same run is one plain count over every set of
 * three starts on the same grid, as a search without bounds would begin. Nothing here is a test. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include "bench.h"
#include "pourclock.h"

enum { DAYS = 20, LIKELY = 60 };

static uint32_t state = 3;

static int pick(int low, int high) {
    state = state * 1664525u + 1013904223u;
    return low + (int)((state >> 8) % (uint32_t)(high - low + 1));
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

static pc_day_piece *add_piece(pc_day *day, int copies) {
    pc_day_piece *piece = &day->piece[day->piece_count++];
    snprintf(piece->name, sizeof piece->name, "piece %zu", day->piece_count);
    piece->copies = copies;
    piece->molds = pick(1, copies);
    piece->job_count = 1;
    return piece;
}

static void fill(pc_day *day, int pieces, int copies, int hours, int hands, int stations) {
    pc_day_defaults(day);
    day->end_s = day->start_s + hours * 3600;
    day->hands = hands;
    day->stations = stations;
    for (int i = 0; i < pieces; i++) {
        pc_day_piece *piece = add_piece(day, copies);
        piece->job[0] = comb(pick(2, 4), pick(2, 6), pick(4, 15), pick(20, 60));
    }
}

/* Layers 15 to 60 min apart and half an hour to two hours of cure, as schedules have them; some
 * turned by hand all the way. */
static pc_day_job likely_comb(bool machine) {
    pc_day_job job = {.feasible = true, .station_from_s = NAN, .station_until_s = NAN};
    int layers = pick(1, 3), work = pick(2, 4), interval = pick(15, 60), cure = pick(30, 120);
    double end_s = layers * interval * 60.0;
    job.ready_s = end_s + cure * 60.0;
    if (!machine) {
        job.task[job.task_count++] = (pc_day_task){0, end_s, PC_DAY_POUR, 0, 1};
        return job;
    }
    for (int i = 0; i < layers; i++) {
        double from_s = i * interval * 60.0;
        job.task[job.task_count++] =
            (pc_day_task){from_s, from_s + work * 60.0, PC_DAY_POUR, 0, i + 1};
    }
    job.task[job.task_count++] = (pc_day_task){end_s, end_s + 60, PC_DAY_POUR, 0, layers};
    job.station_from_s = work * 60.0 - 30;
    job.station_until_s = end_s;
    return job;
}

static void fill_likely(pc_day *day, int pieces, int copies, int hours) {
    pc_day_defaults(day);
    day->start_s = 0;
    day->end_s = hours * 3600;
    day->hands = pick(1, 4);
    day->stations = pick(1, 8);
    day->demold_s = 60 * pick(5, 15);
    int by_hand = pick(0, 1) ? 0 : pick(5, 25); /* % of the pieces */
    for (int i = 0; i < pieces; i++) {
        pc_day_piece *piece = add_piece(day, copies);
        piece->job[0] = likely_comb(pick(1, 100) > by_hand);
    }
}

static double reference_ms(int cells) {
    volatile long count = 0;
    double start = cpu_s();
    for (int a = 0; a < cells; a++)
        for (int b = 0; b < cells; b++)
            for (int c = 0; c < cells; c += 4)
                count += a != b && b != c;
    return 1e3 * (cpu_s() - start) * 4;
}

static void run(const char *what, int pieces, int copies, int hours, int hands, int stations,
                double reference) {
    double worst = 0, sum = 0, gap = 0, short_by = 0;
    int proven = 0, all = 0;
    for (int i = 0; i < DAYS; i++) {
        pc_day day;
        pc_day_plan plan;
        fill(&day, pieces, copies, hours, hands, stations);
        double start = cpu_s();
        pc_day_make(&day, &plan, NULL);
        double ms = 1e3 * (cpu_s() - start);
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

/* Days as they are likely to be, hands and machines drawn too. How far over the bound: of the
 * finish where all castings fit, else of their number. */
static void run_likely(const char *what, int pieces, int copies, int hours) {
    double ms[LIKELY], over[LIKELY], sum = 0, sum_over = 0;
    int fits = 0, proven = 0, near = 0, quick = 0;
    for (int i = 0; i < LIKELY; i++) {
        pc_day day;
        pc_day_plan plan;
        fill_likely(&day, pieces, copies, hours);
        double start = cpu_s();
        pc_day_make(&day, &plan, NULL);
        ms[i] = 1e3 * (cpu_s() - start);
        over[i] = plan.fits ? plan.finish_s / plan.bound_s - 1
                            : 1 - (double)plan.count / fmax(1, (double)plan.count_bound);
        sum += ms[i];
        sum_over += over[i];
        fits += plan.fits;
        proven += plan.proven;
        near += over[i] <= 0.1;
        quick += plan.proven && ms[i] < 1000;
        pc_day_plan_free(&plan);
    }
    qsort(ms, LIKELY, sizeof *ms, by_size);
    qsort(over, LIKELY, sizeof *over, by_size);
    printf(
        "%-44s mean %5.0f ms, nine in ten %5.0f, worst %5.0f; all fit %d of %d, proven %d (%d in "
        "1 s); from the bound: mean %.1f %%, nine in ten %.1f, worst %.1f, within 10 %%: %d\n",
        what, sum / LIKELY, ms[LIKELY * 9 / 10], ms[LIKELY - 1], fits, LIKELY, proven, quick,
        100 * sum_over / LIKELY, 100 * over[LIKELY * 9 / 10], 100 * over[LIKELY - 1], near);
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
    run_likely("8 castings, likely days, 16 h", 8, 1, 16);
    run_likely("8 castings, 2 copies each, likely days, 10 h", 4, 2, 10);
    run_likely("12 castings, likely days, 16 h", 12, 1, 16);
    run_likely("24 castings of 8 pieces, likely days, 16 h", 8, 3, 16);
    run_likely("100 castings of 20 pieces, likely days, 24 h", 20, 5, 24);
    run_likely("100 castings of 10 pieces, likely days, 16 h", 10, 10, 16);
    run_likely("100 castings of 4 pieces, likely days, 24 h", 4, 25, 24);
    run_likely("36 castings of 12 pieces, likely days, 16 h", 12, 3, 16);
    return 0;
}
