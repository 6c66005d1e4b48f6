/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How long a day takes to plan, and how far from its bound and from the best plan known it ends, on
 * days drawn by chance. The reference of the same run is one plain count over every set of three
 * starts on the same grid. Nothing here is a test.
 * Argument: tests/data/best_days.txt. */
#include "best_days.h"

#include <math.h>

#include "bench.h"
#include "pourclock.h"

static double reference_ms(int cells) {
    volatile long count = 0;
    double start = cpu_s();
    for (int a = 0; a < cells; a++)
        for (int b = 0; b < cells; b++)
            for (int c = 0; c < cells; c += 4)
                count += a != b && b != c;
    return 1e3 * (cpu_s() - start) * 4;
}

/* From its bound: of the finish where all castings fit, else of their number. */
static double from_bound(const pci_day *day, const pc_day_plan *plan) {
    if (plan->fits)
        return (plan->finish_s - day->start_s) / (plan->bound_s - day->start_s) - 1;
    return 1 - (double)plan->count / fmax(1, (double)plan->count_bound);
}

static void run_row(const drawn_row *row, const best_row *best, double reference) {
    double ms[BEST_DAYS_MOST], over[BEST_DAYS_MOST], sum = 0, sum_over = 0, sum_best = 0,
                                                     worst_best = -1;
    int fits = 0, proven = 0;
    pick_state = best->state;
    for (int i = 0; i < row->days; i++) {
        pci_day day;
        pc_day_plan *plan;
        draw_day(row, &day);
        double start = cpu_s();
        pci_day_make(&day, &plan, NULL);
        sum += ms[i] = 1e3 * (cpu_s() - start);
        sum_over += over[i] = from_bound(&day, plan);
        double behind = from_best(&day, plan, best, i);
        sum_best += behind;
        worst_best = fmax(worst_best, behind);
        fits += plan->fits;
        proven += plan->proven;
        pc_day_plan_free(plan);
    }
    qsort(ms, (size_t)row->days, sizeof *ms, by_size);
    qsort(over, (size_t)row->days, sizeof *over, by_size);
    printf("%-45s mean %5.0f ms, worst %5.0f (%.1f of the reference); all fit %d of %d, proven %d; "
           "from the bound: mean %.1f %%, worst %.1f; from the best known: mean %.2f %%, worst "
           "%.1f\n",
           row->name, sum / row->days, ms[row->days - 1], ms[row->days - 1] / reference, fits,
           row->days, proven, 100 * sum_over / row->days, 100 * over[row->days - 1],
           100 * sum_best / row->days, 100 * worst_best);
    fflush(stdout);
}

/* Working time from the first hour to a moment. */
static double worked_s(const pc_day_plan *plan, double clock_s) {
    double sum = 0;
    for (size_t d = 0; d < plan->workday_count; d++)
        sum += fmax(0, fmin(clock_s, plan->workday[d]->until_s) - plan->workday[d]->from_s);
    return sum;
}

/* Castings over several days of 9 h, of likely pieces with two to eight molds each. From the bound:
 * in working time if all fit, else in castings. */
static void run_days(int pieces, int copies, int days_long) {
    double sum = 0, worst = 0, sum_over = 0, worst_over = 0;
    int fits = 0;
    pick_state = 7;
    for (int i = 0; i < PLAIN_DAYS; i++) {
        static pci_day day;
        pc_day_plan *plan;
        drawn_row row = {"", 1, pieces, copies, 9, 0, 0};
        draw_day(&row, &day);
        day.start_s = 8 * 3600;
        day.end_s = 17 * 3600;
        day.days = days_long;
        for (size_t k = 0; k < day.piece_count; k++)
            day.piece[k].molds = pick(2, 8);
        double start = cpu_s();
        pci_day_make(&day, &plan, NULL);
        double ms = 1e3 * (cpu_s() - start);
        double over = plan->fits
                          ? worked_s(plan, plan->finish_s) / worked_s(plan, plan->bound_s) - 1
                          : 1 - (double)plan->count / fmax(1, (double)plan->count_bound);
        fits += plan->fits;
        sum += ms;
        worst = fmax(worst, ms);
        sum_over += over;
        worst_over = fmax(worst_over, over);
        pc_day_plan_free(plan);
    }
    printf("%d castings of %d pieces over %d likely days: mean %.0f ms, worst %.0f; all fit %d of "
           "%d; from the bound: mean %.1f %%, worst %.1f\n",
           pieces * copies, pieces, days_long, sum / PLAIN_DAYS, worst, fits, PLAIN_DAYS,
           100 * sum_over / PLAIN_DAYS, 100 * worst_over);
    fflush(stdout);
}

int main(int argc, char **argv) {
    FILE *file = argc == 2 ? fopen(argv[1], "r") : NULL;
    if (!file)
        stop("opening the best days known");
    double reference = reference_ms(510);
    printf("reference: every three starts of 510 min, %.1f ms\n", reference);
    for (size_t r = 0; r < sizeof drawn_rows / sizeof *drawn_rows; r++) {
        best_row best;
        if (!best_row_read(file, &drawn_rows[r], &best))
            stop("reading the best days known");
        run_row(&drawn_rows[r], &best, reference);
    }
    fclose(file);
    run_days(10, 20, 10);
    run_days(20, 10, 10);
    run_days(4, 50, 10);
    return 0;
}
