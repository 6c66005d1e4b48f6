/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Plans and bounds of tiny days against every start there is: as many castings, never later by more
 * than a minute. */
#include "unit.h"

#include "base/try.h"

#include <string.h>

#include "days.h"

/* ---- every start there is ---- */

typedef struct brute {
    const pci_day *day;
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

/* Every way to demold, castings at the minutes that they may be: each between ready and latest. */
static void brute_demolds(brute *b, const int *ready, const int *latest, int n, int at,
                          int finish) {
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
    for (int t = ready[at]; t + p <= latest[at]; t++) {
        if (use(b->hands, b->cells, t, p, b->day->hands))
            brute_demolds(b, ready, latest, n, at + 1, t + p > finish ? t + p : finish);
        for (int c = t; c < t + p; c++)
            b->hands[c]--;
    }
}

/* The job of a casting that starts at a minute: by the hour where jobs are. */
static const pci_day_job *job_at(const pci_day_piece *piece, int start) {
    size_t hour = piece->job_count > 1 ? (size_t)start / 60 : 0;
    return &piece->job[hour < piece->job_count ? hour : piece->job_count - 1];
}

static int done_of(const pci_day_job *job) {
    double hands = job->task[job->task_count - 1].until_s;
    return minutes(fmax(hands, job->station_until_s));
}

/* The copies of a piece are in order of start, molds in turn: the one that uses its mold after
 * casting i; -1: none. */
static void brute_molds(const brute *b, int i, int *copies, int *after) {
    int rank = 0, molds = b->day->piece[b->kind[i]].molds;
    *copies = 0;
    *after = -1;
    for (int j = 0; j < b->n; j++) {
        if (b->kind[j] != b->kind[i])
            continue;
        ++*copies;
        rank += j < i;
    }
    for (int j = 0, r = 0; j < b->n; j++) {
        if (b->kind[j] != b->kind[i])
            continue;
        if (r == rank + molds)
            *after = j;
        r++;
    }
}

static void brute_judge(brute *b) {
    const pci_day *day = b->day;
    int ready[8], latest[8], waiting = 0, finish = 0;
    memset(b->hands, 0, sizeof b->hands);
    memset(b->stations, 0, sizeof b->stations);
    for (int c = 0; c < b->cells; c++)
        for (size_t r = 0; r < day->break_count; r++) {
            double from = day->start_s + c * 60;
            if (from < day->rest[r].until_s && from + 60 > day->rest[r].from_s)
                b->hands[c] = day->hands;
        }
    for (int i = 0; i < b->n; i++) {
        const pci_day_piece *piece = &day->piece[b->kind[i]];
        const pci_day_job *job = job_at(piece, b->start[i]);
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
        int copies, after;
        brute_molds(b, i, &copies, &after);
        if (piece->stay == PCI_DAY_STAYS) {
            if (copies > piece->molds)
                return;
            int over = b->start[i] + done_of(job);
            finish = over > finish ? over : finish;
            continue;
        }
        ready[waiting] = b->start[i] + minutes(job->ready_s);
        latest[waiting++] = after < 0 ? b->cells : b->start[after];
    }
    brute_demolds(b, ready, latest, waiting, 0, finish);
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
static void bounds_hold(const pci_day *day, int number, const brute *b) {
    static pci_day cut;
    cut = *day;
    pc_day_plan *plan;
    cut.orders_most = 1;
    pci_day_make(&cut, &plan, NULL);
    ck_assert_msg((int)plan->count_bound >= b->best_count, "day %d: at most %zu castings, not %d",
                  number, plan->count_bound, b->best_count);
    if (plan->fits)
        ck_assert_msg(minutes(plan->bound_s - day->start_s) <= b->best_finish,
                      "day %d: not done before %d min, but it is after %d", number,
                      minutes(plan->bound_s - day->start_s), b->best_finish);
    pc_day_plan_free(plan);
}

static brute brute_best(const pci_day *day) {
    brute b = {.day = day, .best_finish = 1 << 20};
    b.cells = minutes(day->end_s - day->start_s);
    brute_sets(&b, 0);
    return b;
}

static int castings_of(const pci_day *day) {
    int castings = 0;
    for (size_t k = 0; k < day->piece_count; k++)
        castings += day->piece[k].copies;
    return castings;
}

static void against_brute(const pci_day *day, int number) {
    brute b = brute_best(day);
    bounds_hold(day, number, &b);
    pc_day_plan *plan;
    static pci_day quick;
    quick = *day;
    quick.orders_most = 20000;
    pc_status status = pci_day_make(&quick, &plan, NULL);
    ck_assert_msg(status == PC_OK, "day %d: %s", number, pci_status_name(status));
    ck_assert_msg((int)plan->count == b.best_count, "day %d: %zu castings, every start gives %d",
                  number, plan->count, b.best_count);
    if (b.best_count > 0) {
        int finish = minutes(plan->finish_s - day->start_s);
        ck_assert_msg(finish >= b.best_finish && finish <= b.best_finish + 1,
                      "day %d: done after %d min, every start gives %d", number, finish,
                      b.best_finish);
    }
    pc_day_plan_free(plan);
}

START_TEST(lists_against_every_start) {
    pick_state = 20240611;
    for (int i = 0; i < 900; i++) {
        static pci_day day;
        random_day(&day, pick(1, 2), pick(1, 2), pick(14, 34));
        if (castings_of(&day) <= 3)
            against_brute(&day, i);
    }
}
END_TEST

START_TEST(lists_against_every_start_of_three_pieces) {
    pick_state = 7;
    for (int i = 0; i < 60; i++) {
        static pci_day day;
        random_day(&day, 3, 1, pick(18, 36));
        against_brute(&day, i);
    }
}
END_TEST

START_TEST(lists_against_every_start_of_four_castings) {
    pick_state = 11;
    for (int i = 0; i < 40; i++) {
        static pci_day day;
        random_day(&day, 2, 2, pick(12, 20));
        day.hands = i % 4 ? 1 : 2;
        against_brute(&day, i);
    }
}
END_TEST

/* Molds that are poured again, opened where another casting's demold may stand before. */
START_TEST(lists_against_every_start_with_molds_opened) {
    pick_state = 19;
    for (int i = 0; i < 200; i++) {
        static pci_day day;
        random_day(&day, 2, 1, pick(20, 34));
        day.hands = i % 5 ? 1 : 2;
        day.piece[0].copies = 2;
        day.piece[0].molds = 1;
        day.piece[0].stay = PCI_DAY_STAYS_IF_LATE;
        against_brute(&day, i);
    }
}
END_TEST

/* Other combs in the second hour: slower, or faster, or none at all. */
START_TEST(lists_against_every_start_by_the_hour) {
    pick_state = 13;
    for (int i = 0; i < 60; i++) {
        static pci_day day;
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

int main(void) {
    Suite *suite = suite_create("tiny days");
    TCase *tc = tcase_create("tiny days");
    tcase_set_timeout(tc, 600);
    tcase_add_test(tc, lists_against_every_start);
    tcase_add_test(tc, lists_against_every_start_of_three_pieces);
    tcase_add_test(tc, lists_against_every_start_of_four_castings);
    tcase_add_test(tc, lists_against_every_start_with_molds_opened);
    tcase_add_test(tc, lists_against_every_start_by_the_hour);
    suite_add_tcase(suite, tc);
    return run_suite(suite);
}
