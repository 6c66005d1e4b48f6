/* SPDX-License-Identifier: GPL-3.0-or-later */
/* In a plan that ends soonest each mold can be taken to start at 0, or right when something that is
 * in its way ends: the jobs or the machine of one begun before. So molds are placed one by one,
 * each at such a moment, in every order, and what cannot end sooner than the best so far is left
 * out. */
#include "schedule/side_by_side.h"

#include <math.h>
#include <stdlib.h>

#include "base/try.h"

enum { MOMENTS_MOST = 2048, TRIES_MOST = 20000 };
static const double SAME_S = 0.5; /* ends as close as that are one */
static const double EPS_S = 1e-6;

typedef struct start_search {
    const pci_mold_work *work;
    size_t count;
    int hands;
    bool placed[PC_PARTS_MOST];
    double start_s[PC_PARTS_MOST];
    double end_s, sum_s; /* of those placed */
    double best_s[PC_PARTS_MOST], best_end_s, best_sum_s;
    long tries;      /* left */
    double *moments; /* MOMENTS_MOST for each mold placed */
} start_search;

/* Hands that a work asks for at a time after its start. */
static int hands_at(const pci_mold_work *work, int hands, double at_s) {
    int turning = 0, other = 0;
    for (size_t i = 0; i < work->job_count; i++) {
        const pci_job *job = &work->job[i];
        if (!(job->from_s <= at_s + EPS_S && at_s + EPS_S < job->until_s))
            continue;
        if (job->turning)
            turning += job->hands;
        else if (job->hands > other)
            other = job->hands;
    }
    return turning + other < hands ? turning + other : hands;
}

static int all_hands_at(const start_search *s, double at_s) {
    int sum = 0;
    for (size_t k = 0; k < s->count; k++)
        if (s->placed[k])
            sum += hands_at(&s->work[k], s->hands, at_s - s->start_s[k]);
    return sum;
}

static bool share_machine(const start_search *s, size_t a, size_t b) {
    const pci_mold_work *x = &s->work[a], *y = &s->work[b]; /* NaN: never */
    return s->start_s[a] + x->machine_from_s < s->start_s[b] + y->machine_until_s - EPS_S &&
           s->start_s[b] + y->machine_from_s < s->start_s[a] + x->machine_until_s - EPS_S;
}

/* Whether what is placed, the last of it at start_s[index], is no more than hands and machine do.
 * Only where a job begins can hands become too few. */
static bool placed_fits(const start_search *s, size_t index) {
    for (size_t k = 0; k < s->count; k++) {
        if (!s->placed[k])
            continue;
        if (k != index && share_machine(s, k, index))
            return false;
        for (size_t i = 0; i < s->work[k].job_count; i++)
            if (all_hands_at(s, s->start_s[k] + s->work[k].job[i].from_s) > s->hands)
                return false;
    }
    return true;
}

static bool fits(start_search *s, size_t index, double at_s) {
    s->start_s[index] = at_s;
    s->placed[index] = true;
    bool good = placed_fits(s, index);
    s->placed[index] = false;
    return good;
}

static bool waits_for_unplaced(const start_search *s, size_t index) {
    for (size_t k = 0; k < s->count; k++)
        if (isfinite(s->work[index].least_after_s[k]) && !s->placed[k])
            return true;
    return false;
}

/* No sooner than that: of molds not placed yet what is known so far. */
static double least_start(const start_search *s, size_t index) {
    double least_s = 0.0;
    for (size_t k = 0; k < s->count; k++)
        if (s->placed[k])
            least_s = fmax(least_s, s->start_s[k] + s->work[index].least_after_s[k]);
    return least_s;
}

static int by_size(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void add_moment(double at_s, double least_s, double *moment, size_t *count) {
    if (at_s > least_s && *count < MOMENTS_MOST)
        moment[(*count)++] = ceil(at_s - EPS_S);
}

/* When a mold may begin: at once, after all that is placed, and whenever a job or the machine of
 * another gets out of the way of one of its own. In order, each once. */
static size_t list_moments(const start_search *s, size_t index, double *moment) {
    const pci_mold_work *mine = &s->work[index];
    double least_s = ceil(least_start(s, index) - EPS_S), last_s = least_s, from_s = 0.0;
    size_t count = 0, kept = 0;
    for (size_t i = 0; i < mine->job_count; i++)
        from_s = fmin(from_s, mine->job[i].from_s);
    moment[count++] = least_s;
    for (size_t k = 0; k < s->count; k++) {
        const pci_mold_work *other = &s->work[k];
        if (!s->placed[k])
            continue;
        for (size_t j = 0; j < other->job_count; j++)
            last_s = fmax(last_s, s->start_s[k] + other->job[j].until_s - from_s);
        double free_s = s->start_s[k] + other->machine_until_s - mine->machine_from_s;
        last_s = fmax(last_s, free_s); /* fmax drops NaN */
        add_moment(free_s, least_s, moment, &count);
    }
    add_moment(last_s, least_s, moment, &count);
    for (size_t k = 0; k < s->count; k++)
        for (size_t j = 0; s->placed[k] && j < s->work[k].job_count; j++)
            for (size_t i = 0; i < mine->job_count; i++)
                add_moment(s->start_s[k] + s->work[k].job[j].until_s - mine->job[i].from_s, least_s,
                           moment, &count);
    qsort(moment, count, sizeof *moment, by_size);
    for (size_t i = 0; i < count; i++)
        if (kept == 0 || moment[i] > moment[kept - 1])
            moment[kept++] = moment[i];
    return kept;
}

static bool is_better(const start_search *s, double end_s, double sum_s) {
    return end_s < s->best_end_s - SAME_S ||
           (end_s < s->best_end_s + SAME_S && sum_s < s->best_sum_s - SAME_S);
}

/* Whether what is placed could still become better than the best. */
static bool may_be_better(const start_search *s) {
    double end_s = s->end_s, sum_s = s->sum_s;
    for (size_t k = 0; k < s->count; k++) {
        if (s->placed[k])
            continue;
        double ready_s = least_start(s, k) + s->work[k].ready_s;
        end_s = fmax(end_s, ready_s);
        sum_s += ready_s;
    }
    return is_better(s, end_s, sum_s);
}

static void keep_best(start_search *s) {
    s->best_end_s = s->end_s;
    s->best_sum_s = s->sum_s;
    for (size_t k = 0; k < s->count; k++)
        s->best_s[k] = s->start_s[k];
}

static void place_rest(start_search *s, size_t done);

/* One mold at each of its moments, and then the rest. */
static void place_mold(start_search *s, size_t done, size_t index) {
    double *moment = s->moments + done * MOMENTS_MOST;
    double end_s = s->end_s, sum_s = s->sum_s;
    size_t count = list_moments(s, index, moment);
    for (size_t i = 0; i < count && s->tries > 0; i++) {
        double ready_s = moment[i] + s->work[index].ready_s;
        if (!is_better(s, fmax(end_s, ready_s), sum_s + ready_s))
            break;
        s->tries--;
        if (!fits(s, index, moment[i]))
            continue;
        s->placed[index] = true;
        s->end_s = fmax(end_s, ready_s);
        s->sum_s = sum_s + ready_s;
        place_rest(s, done + 1);
        s->placed[index] = false;
        s->start_s[index] = moment[i];
        s->end_s = end_s;
        s->sum_s = sum_s;
    }
}

static void place_rest(start_search *s, size_t done) {
    if (done == s->count) {
        if (is_better(s, s->end_s, s->sum_s))
            keep_best(s);
        return;
    }
    if (!may_be_better(s))
        return;
    for (size_t k = 0; k < s->count && s->tries > 0; k++)
        if (!s->placed[k] && !waits_for_unplaced(s, k))
            place_mold(s, done, k);
}

/* The first moment at which a mold fits; after all the others it always does. */
static double first_fit(start_search *s, size_t index) {
    size_t count = list_moments(s, index, s->moments), i = 0;
    while (i + 1 < count && !fits(s, index, s->moments[i]))
        i++;
    return s->moments[i];
}

/* As listed, or those that take longest first: each as soon as it fits. */
static void place_in_turn(start_search *s, bool longest_first) {
    s->end_s = s->sum_s = 0.0;
    for (size_t n = 0; n < s->count; n++) {
        size_t next = s->count;
        for (size_t k = 0; k < s->count; k++)
            if (!s->placed[k] && !waits_for_unplaced(s, k) &&
                (next == s->count || (longest_first && s->work[k].ready_s > s->work[next].ready_s)))
                next = k;
        if (next == s->count)
            break;
        s->start_s[next] = first_fit(s, next);
        s->placed[next] = true;
        s->end_s = fmax(s->end_s, s->start_s[next] + s->work[next].ready_s);
        s->sum_s += s->start_s[next] + s->work[next].ready_s;
    }
    if (is_better(s, s->end_s, s->sum_s))
        keep_best(s);
    for (size_t k = 0; k < s->count; k++)
        s->placed[k] = false;
    s->end_s = s->sum_s = 0.0;
}

static pc_status begin_search(const pci_mold_work *work, size_t count, int hands, start_search *s) {
    *s = (start_search){.work = work,
                        .count = count,
                        .hands = hands > 0 ? hands : 1,
                        .best_end_s = INFINITY,
                        .best_sum_s = INFINITY,
                        .tries = TRIES_MOST};
    s->moments = malloc(count * MOMENTS_MOST * sizeof *s->moments);
    return s->moments ? PC_OK : PC_E_MEMORY;
}

pc_status pci_side_by_side(const pci_mold_work *work, size_t count, int hands, double start_s[]) {
    start_search s;
    PCI_TRY(begin_search(work, count, hands, &s));
    place_in_turn(&s, false);
    place_in_turn(&s, true);
    place_rest(&s, 0);
    double first_s = INFINITY;
    for (size_t k = 0; k < count; k++)
        first_s = fmin(first_s, s.best_s[k]);
    for (size_t k = 0; k < count; k++)
        start_s[k] = s.best_s[k] - first_s;
    free(s.moments);
    return PC_OK;
}

pc_status pci_soonest_start(const pci_mold_work *work, size_t count, int hands, const bool placed[],
                            size_t index, double start_s[]) {
    start_search s;
    PCI_TRY(begin_search(work, count, hands, &s));
    for (size_t k = 0; k < count; k++) {
        s.placed[k] = placed[k];
        s.start_s[k] = start_s[k];
    }
    start_s[index] = first_fit(&s, index);
    free(s.moments);
    return PC_OK;
}
