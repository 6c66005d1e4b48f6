/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The exact search of a day: against every start there is on small days, and its two ways against
 * each other. */
#include "unit.h"

#include <limits.h>
#include <string.h>

#include "base/try.h"
#include "day/day_grid.h"
#include "days.h"

/* ---- every start there is ---- */

typedef struct brute {
    const pc_day *day;
    int cells, n, kind[8], start[8];
    int best_count, best_finish;
    int hands[200], stations[200];
} brute;

static bool use(int *busy, int cells, int from, int length, int most) {
    if (from < 0 || from + length > cells)
        return false;
    bool ok = true;
    for (int c = from; c < from + length; c++)
        ok = (++busy[c] <= most) && ok;
    return ok;
}

/* Every way to place the demolds that are left, in every order and at every minute. */
static void brute_demolds(brute *b, const int *ready, int n, int at, int finish) {
    int p = minutes(b->day->demold_s);
    if (finish >= b->best_finish && b->n <= b->best_count)
        return;
    if (at == n) {
        if (b->n > b->best_count || finish < b->best_finish) {
            b->best_count = b->n;
            b->best_finish = finish;
        }
        return;
    }
    for (int t = ready[at]; t + p <= b->cells; t++) {
        if (use(b->hands, b->cells, t, p, b->day->hands))
            brute_demolds(b, ready, n, at + 1, t + p > finish ? t + p : finish);
        for (int c = t; c < t + p; c++)
            b->hands[c]--;
    }
}

/* The job of a casting that starts at a minute: by the hour where jobs are. */
static const pc_day_job *job_at(const pc_day_piece *piece, int start) {
    size_t hour = piece->job_count > 1 ? (size_t)start / 60 : 0;
    return &piece->job[hour < piece->job_count ? hour : piece->job_count - 1];
}

static int done_of(const pc_day_job *job) {
    double hands = job->task[job->task_count - 1].until_s;
    return minutes(fmax(hands, job->station_until_s));
}

/* The copies of a piece stand in order of start, molds in turn: those that use its mold before and
 * after casting i; -1: none. */
static void brute_molds(const brute *b, int i, int *copies, int *before, int *after) {
    int rank = 0, molds = b->day->piece[b->kind[i]].molds;
    *copies = 0;
    *before = *after = -1;
    for (int j = 0; j < b->n; j++) {
        if (b->kind[j] != b->kind[i])
            continue;
        ++*copies;
        rank += j < i;
    }
    for (int j = 0, r = 0; j < b->n; j++) {
        if (b->kind[j] != b->kind[i])
            continue;
        if (r == rank - molds)
            *before = j;
        if (r == rank + molds)
            *after = j;
        r++;
    }
}

static void brute_judge(brute *b) {
    const pc_day *day = b->day;
    int ready[8], waiting = 0, finish = 0, p = minutes(day->demold_s);
    memset(b->hands, 0, sizeof b->hands);
    memset(b->stations, 0, sizeof b->stations);
    for (int c = 0; c < b->cells; c++)
        for (size_t r = 0; r < day->break_count; r++) {
            double from = day->start_s + c * 60;
            if (from < day->rest[r].until_s && from + 60 > day->rest[r].from_s)
                b->hands[c] = day->hands;
        }
    for (int i = 0; i < b->n; i++) {
        const pc_day_piece *piece = &day->piece[b->kind[i]];
        const pc_day_job *job = job_at(piece, b->start[i]);
        if (!job->feasible)
            return;
        for (size_t t = 0; t < job->task_count; t++) {
            int from = minutes(job->task[t].from_s);
            if (!use(b->hands, b->cells, b->start[i] + from, minutes(job->task[t].until_s) - from,
                     day->hands))
                return;
        }
        if (job->station_until_s > 0) {
            int from = minutes(job->station_from_s);
            if (!use(b->stations, b->cells, b->start[i] + from,
                     minutes(job->station_until_s) - from, day->stations))
                return;
        }
        int copies, before, after;
        brute_molds(b, i, &copies, &before, &after);
        if (piece->overnight) {
            if (copies > piece->molds)
                return;
            int over = b->start[i] + done_of(job);
            finish = over > finish ? over : finish;
            continue;
        }
        int out = b->start[i] + minutes(job->ready_s);
        if (before >= 0) {
            const pc_day_job *first = job_at(piece, b->start[before]);
            if (b->start[i] - p < b->start[before] + minutes(first->ready_s) ||
                !use(b->hands, b->cells, b->start[i] - p, p, day->hands))
                return;
        }
        if (after < 0)
            ready[waiting++] = out;
    }
    brute_demolds(b, ready, waiting, 0, finish);
}

static void brute_starts(brute *b, int at) {
    if (at == b->n) {
        brute_judge(b);
        return;
    }
    int from = at > 0 && b->kind[at] == b->kind[at - 1] ? b->start[at - 1] : 0;
    for (b->start[at] = from; b->start[at] < b->cells; b->start[at]++)
        brute_starts(b, at + 1);
}

/* Every set of castings, then every start. */
static void brute_sets(brute *b, size_t kind) {
    if (kind == b->day->piece_count) {
        if (b->n > 0 && b->n >= b->best_count)
            brute_starts(b, 0);
        return;
    }
    int n = b->n;
    for (int copies = b->day->piece[kind].copies; copies >= 0; copies--) {
        b->n = n + copies;
        for (int i = n; i < b->n; i++)
            b->kind[i] = (int)kind;
        brute_sets(b, kind + 1);
    }
    b->n = n;
}

/* Cut short at once, what it says of plans in general has to hold of the best. */
static void bounds_hold(const pc_day *day, int number, const brute *b) {
    pc_day cut = *day;
    pc_day_plan plan;
    cut.steps_most = 1;
    pc_day_make(&cut, &plan, NULL);
    ck_assert_msg((int)plan.count_bound >= b->best_count, "day %d: at most %zu castings, not %d",
                  number, plan.count_bound, b->best_count);
    if (plan.fits)
        ck_assert_msg(minutes(plan.bound_s - day->start_s) <= b->best_finish,
                      "day %d: not done before %d min, but it is after %d", number,
                      minutes(plan.bound_s - day->start_s), b->best_finish);
    pc_day_plan_free(&plan);
}

static brute brute_best(const pc_day *day) {
    brute b = {.day = day, .best_finish = 1 << 20};
    b.cells = minutes(day->end_s - day->start_s);
    brute_sets(&b, 0);
    return b;
}

static int castings_of(const pc_day *day) {
    int castings = 0;
    for (size_t k = 0; k < day->piece_count; k++)
        castings += day->piece[k].copies;
    return castings;
}

static void against_brute(const pc_day *day, int number) {
    brute b = brute_best(day);
    bounds_hold(day, number, &b);
    pc_day_plan plan;
    pc_status status = pc_day_make(day, &plan, NULL);
    ck_assert_msg(status == PC_OK, "day %d: %s", number, pci_status_name(status));
    ck_assert_msg(plan.exact && plan.proven, "day %d is not proven", number);
    ck_assert_msg((int)plan.count == b.best_count, "day %d: %zu castings, every start gives %d",
                  number, plan.count, b.best_count);
    if (b.best_count > 0) {
        int finish = minutes(plan.finish_s - day->start_s);
        ck_assert_msg(finish == b.best_finish, "day %d: done after %d min, every start gives %d",
                      number, finish, b.best_finish);
    }
    pc_day_plan_free(&plan);
}

START_TEST(exact_search_against_every_start) {
    pick_state = 20240611;
    for (int i = 0; i < 400; i++) {
        pc_day day;
        random_day(&day, pick(1, 2), pick(1, 2), pick(14, 34));
        if (castings_of(&day) <= 3)
            against_brute(&day, i);
    }
}
END_TEST

START_TEST(exact_search_against_every_start_of_three_pieces) {
    pick_state = 7;
    for (int i = 0; i < 60; i++) {
        pc_day day;
        random_day(&day, 3, 1, pick(18, 36));
        against_brute(&day, i);
    }
}
END_TEST

START_TEST(exact_search_against_every_start_of_four_castings) {
    pick_state = 11;
    for (int i = 0; i < 40; i++) {
        pc_day day;
        random_day(&day, 2, 2, pick(12, 20));
        day.hands = i % 4 ? 1 : 2;
        against_brute(&day, i);
    }
}
END_TEST

/* Molds that are poured again, opened where another casting's demold may stand before. */
START_TEST(exact_search_against_every_start_with_molds_opened) {
    pick_state = 19;
    for (int i = 0; i < 120; i++) {
        pc_day day;
        random_day(&day, 2, 1, pick(20, 34));
        day.hands = i % 5 ? 1 : 2;
        day.piece[0].copies = 2;
        day.piece[0].molds = 1;
        day.piece[0].overnight = false;
        against_brute(&day, i);
    }
}
END_TEST

/* Other combs in the second hour: slower, or faster, or none at all. */
START_TEST(exact_search_against_every_start_by_the_hour) {
    pick_state = 13;
    for (int i = 0; i < 60; i++) {
        pc_day day;
        int pieces = pick(1, 2);
        random_day(&day, pieces, 3 - pieces, pick(62, 84));
        for (int k = 0; k < pieces; k++) {
            bool station = !isnan(day.piece[k].job[0].station_from_s);
            day.piece[k].job_count = 2;
            day.piece[k].job[1] = comb(pick(1, 3), pick(1, 4), pick(1, 5), pick(1, 12), station);
            day.piece[k].job[pick(0, 1)].feasible = pick(0, 4) > 0;
        }
        against_brute(&day, i);
    }
}
END_TEST

/* ---- the search alone, without the list schedule it starts from ---- */

static void grid_of(const pc_day *day, pci_grid *grid, int *wanted) {
    pci_grid_init(day, day->end_s, grid);
    pci_grid_least(grid);
    for (size_t k = 0; k < PC_DAY_PIECES_MOST; k++)
        wanted[k] = k < day->piece_count ? day->piece[k].copies : 0;
}

/* The best plan of a day, asked for from all castings down; count 0: there is none. */
static pci_found from_nothing(const pc_day *day, int number) {
    pci_grid *grid = malloc(sizeof *grid);
    int wanted[PC_DAY_PIECES_MOST];
    pci_found found = {.finish = PCI_CELLS_MOST + 1};
    grid_of(day, grid, wanted);
    for (int count = castings_of(day); count > 0 && found.count == 0; count--) {
        long steps = 0;
        ck_assert_msg(pci_day_search(grid, wanted, count, PC_DAY_STEPS_MOST, &found, &steps),
                      "day %d: not ended", number);
    }
    free(grid);
    return found;
}

/* Bug 2 of the day: where castings are left out, clauses held that the machines turn them all the
 * same, and that not even one fits. The list schedule's plan, mostly the best, hid it. */
START_TEST(bug_2_what_is_left_out_takes_no_machine) {
    pc_day day;
    small_day(&day, 30);
    add_piece(&day, 2, 2, comb(2, 3, 10, 5, true)); /* on the machine from minute 2 to 16 */
    pci_found found = from_nothing(&day, 0);
    ck_assert_int_eq(found.count, 1);
    ck_assert_int_eq(found.finish, 16 + 5 + 2);
}
END_TEST

/* The same of days made up by chance. */
START_TEST(exact_search_from_nothing_against_every_start) {
    pick_state = 23;
    int left_out = 0;
    for (int i = 0; i < 60; i++) {
        pc_day day;
        random_day(&day, 2, 2, pick(12, 20));
        brute b = brute_best(&day);
        pci_found found = from_nothing(&day, i);
        ck_assert_msg(found.count == b.best_count, "day %d: %d castings, every start gives %d", i,
                      found.count, b.best_count);
        ck_assert_msg(found.count == 0 || found.finish == b.best_finish, "day %d: %d min, not %d",
                      i, found.finish, b.best_finish);
        left_out += b.best_count > 0 && b.best_count < castings_of(&day);
    }
    ck_assert_int_gt(left_out, 5);
}
END_TEST

/* ---- the two ways of the exact search against each other ---- */

/* Finish of all castings by branch and bound, cells; more than a day: they do not fit. */
static int branched(const pc_day *day, bool *ended) {
    pci_grid *grid = malloc(sizeof *grid);
    int wanted[PC_DAY_PIECES_MOST];
    pci_found found = {.finish = PCI_CELLS_MOST + 1};
    grid_of(day, grid, wanted);
    bool may_fit = pci_grid_bound(grid, wanted, 0) <= grid->cells;
    *ended = may_fit ? pci_day_branch(grid, wanted, 1000000, &found) : day->hands == 1;
    free(grid);
    return found.finish;
}

static int searched(const pc_day *day) {
    pc_day_plan plan;
    pc_day_make(day, &plan, NULL);
    ck_assert(plan.proven);
    int finish = plan.fits ? minutes(plan.finish_s - day->start_s) : PCI_CELLS_MOST + 1;
    check_plan(day, &plan);
    pc_day_plan_free(&plan);
    return finish;
}

START_TEST(both_ways_of_the_exact_search_agree) {
    pick_state = 29;
    for (int i = 0; i < 150; i++) {
        pc_day day;
        bool ended;
        random_day(&day, pick(2, 4), 2, pick(40, 150));
        day.hands = 1;
        int by_branches = branched(&day, &ended), by_search = searched(&day);
        ck_assert_msg(ended, "day %d: not ended", i);
        ck_assert_msg(by_branches == by_search, "day %d: %d min by branches, %d by search", i,
                      by_branches, by_search);
        day.hands = 2;
        branched(&day, &ended); /* which it does not do */
        ck_assert(!ended);
    }
}
END_TEST

/* Many short jobs that hardly fit, on two machines: learning does not end soon, and the search goes
 * on by branches. */
static void full_day(pc_day *day, int length_min) {
    static const int jobs[8][4] = {{2, 4, 12, 21}, {2, 2, 4, 35},  {2, 5, 13, 25}, {4, 6, 6, 35},
                                   {3, 4, 4, 31},  {2, 3, 12, 20}, {2, 6, 12, 55}, {2, 6, 13, 50}};
    small_day(day, length_min);
    day->stations = 2;
    day->demold_s = 600;
    for (int i = 0; i < 8; i++)
        add_piece(day, 1, 1, comb(jobs[i][0], jobs[i][1], jobs[i][2], jobs[i][3], true));
}

START_TEST(a_full_day_is_searched_by_branches) {
    pc_day day;
    bool ended;
    full_day(&day, 540);
    ck_assert_int_eq(branched(&day, &ended), searched(&day));
    ck_assert(ended);
}
END_TEST

/* Bug 3 of the day: a plan of fewer castings is over sooner, and branch and bound was told to beat
 * it; that all of them fit, till later, was called proven wrong. */
START_TEST(bug_3_a_plan_of_fewer_castings_is_none_to_beat) {
    pc_day day;
    bool ended;
    full_day(&day, 540);
    int finish = branched(&day, &ended), wanted[PC_DAY_PIECES_MOST];
    pci_grid *grid = malloc(sizeof *grid);
    pci_found found = {.count = 7, .finish = finish - 10};
    long steps = 0;
    day.end_s = day.start_s + finish * 60; /* so that learning finds no plan soon */
    grid_of(&day, grid, wanted);
    ck_assert(pci_day_search(grid, wanted, 8, PC_DAY_STEPS_MOST, &found, &steps));
    ck_assert_int_eq(found.count, 8);
    ck_assert_int_eq(found.finish, finish);
    free(grid);
}
END_TEST

/* More castings than branches are for, learned to the end: as much as the machine takes. */
START_TEST(twelve_castings_are_searched_exactly) {
    pc_day day;
    small_day(&day, 1000);
    day.hands = 2;
    add_piece(&day, 6, 6, comb(2, 3, 20, 40, true)); /* on the machine from minute 2 to 26 */
    add_piece(&day, 6, 6, comb(3, 2, 8, 9, true));   /* from minute 1 to 22 */
    /* A quick one first and one last, those slow to cure in between; 1 min until the machine
     * starts, 6 x 24 + 6 x 21 on it, 9 to cure and 2 to demold. */
    ck_assert_int_eq(searched(&day), 1 + 6 * 24 + 6 * 21 + 9 + 2);
}
END_TEST

/* Bug 4 of the day: the share of the effort that a search of many castings gets was worked out
 * beyond the largest long, and came out as none. */
START_TEST(bug_4_any_effort_may_be_asked_for) {
    pc_day day;
    pc_day_plan plan;
    small_day(&day, 600);
    day.stations = 2;
    day.steps_most = LONG_MAX;
    add_piece(&day, 4, 4, comb(2, 3, 20, 40, true));
    add_piece(&day, 1, 1, comb(3, 5, 7, 33, true));
    add_piece(&day, 4, 4, comb(3, 2, 8, 9, true));
    ck_assert_int_eq(pc_day_make(&day, &plan, NULL), PC_OK);
    ck_assert(plan.proven);
    check_plan(&day, &plan);
    pc_day_plan_free(&plan);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("days searched exactly");
    TCase *tc = tcase_create("days searched exactly");
    tcase_set_timeout(tc, 600);
    tcase_add_test(tc, exact_search_against_every_start);
    tcase_add_test(tc, exact_search_against_every_start_of_three_pieces);
    tcase_add_test(tc, exact_search_against_every_start_of_four_castings);
    tcase_add_test(tc, exact_search_against_every_start_with_molds_opened);
    tcase_add_test(tc, exact_search_against_every_start_by_the_hour);
    tcase_add_test(tc, bug_2_what_is_left_out_takes_no_machine);
    tcase_add_test(tc, exact_search_from_nothing_against_every_start);
    tcase_add_test(tc, both_ways_of_the_exact_search_agree);
    tcase_add_test(tc, a_full_day_is_searched_by_branches);
    tcase_add_test(tc, bug_3_a_plan_of_fewer_castings_is_none_to_beat);
    tcase_add_test(tc, twelve_castings_are_searched_exactly);
    tcase_add_test(tc, bug_4_any_effort_may_be_asked_for);
    suite_add_tcase(suite, tc);
    return run_suite(suite);
}
