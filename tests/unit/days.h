/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Days made up by chance, and what has to hold of every plan of one. */
#ifndef TESTS_DAYS_H
#define TESTS_DAYS_H

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "day/day_plan.h"
#include "pick.h"
#include "pourclock/day.h"
#include "unit.h"

/* A comb of hands-on jobs in whole minutes: `jobs` of them, one on the machine in between. */
static inline pci_day_job comb(int jobs, int work, int gap, int cure, bool station) {
    pci_day_job job = {.feasible = true, .station_from_s = NAN, .station_until_s = NAN};
    int at = 0;
    for (int i = 0; i < jobs; i++) {
        job.task[job.task_count++] =
            (pci_day_task){at * 60.0, (at + work) * 60.0, PC_DAY_POUR, 0, i + 1};
        at += work + gap;
    }
    at -= gap;
    if (station) {
        job.station_from_s = (work - 1) * 60.0;
        job.station_until_s = at * 60.0;
    }
    job.ready_s = (at + cure) * 60.0;
    return job;
}

static inline void add_piece(pci_day *day, int copies, int molds, pci_day_job job) {
    pci_day_piece *piece = &day->piece[day->piece_count++];
    snprintf(piece->name, sizeof piece->name, "piece %d", (int)day->piece_count);
    piece->copies = copies;
    piece->molds = molds;
    piece->job_count = 1;
    piece->due_s = NAN;
    piece->job[0] = job;
}

static inline void small_day(pci_day *day, int length_min) {
    pci_day_defaults(day);
    day->start_s = 9 * 3600;
    day->end_s = day->start_s + length_min * 60;
    day->demold_s = 120;
}

static inline void random_day(pci_day *day, int pieces, int copies_most, int minutes) {
    small_day(day, minutes);
    day->hands = pick(1, 2);
    day->stations = pick(1, 2);
    day->demold_s = 60 * pick(1, 3);
    if (pick(0, 1)) {
        int from = pick(1, minutes - 4);
        day->rest[day->break_count++] =
            (pc_day_break){day->start_s + from * 60, day->start_s + (from + pick(1, 3)) * 60};
    }
    for (int i = 0; i < pieces; i++) {
        int copies = pick(1, copies_most);
        add_piece(day, copies, pick(1, copies),
                  comb(pick(1, 3), pick(1, 4), pick(1, 5), pick(1, 12), pick(0, 2) > 0));
        day->piece[i].stay = pick(0, 9) == 0 ? PCI_DAY_STAYS : PCI_DAY_STAYS_IF_LATE;
    }
}

static inline int minutes(double s) {
    return (int)ceil(s / 60 - 1e-6);
}

/* ---- properties ---- */

/* Cells of the calendar from the first working day on. */
enum { PLAN_CELLS = PCI_DAY_SPAN_MOST * 1440 };

static inline void count_use(int *busy, const pc_day_plan *plan, double from_s, double until_s) {
    double zero_s = plan->workday[0]->from_s;
    int from = (int)floor((from_s - zero_s) / 60 + 1e-6), until = minutes(until_s - zero_s);
    ck_assert_int_ge(from, 0);
    ck_assert_int_le(until, PLAN_CELLS);
    bool at_work = false; /* within one working day */
    for (size_t d = 0; d < plan->workday_count; d++)
        at_work = at_work || (from_s >= plan->workday[d]->from_s - 1e-6 &&
                              until_s <= plan->workday[d]->until_s + 1e-6);
    ck_assert(at_work);
    for (int c = from; c < until; c++)
        busy[c]++;
}

static inline double day_end_s(const pc_day_plan *plan, double clock_s) {
    size_t d = 0;
    while (d + 1 < plan->workday_count && plan->workday[d + 1]->from_s <= clock_s)
        d++;
    return plan->workday[d]->until_s;
}

/* No overlap in a mold, which is cleaned, rests and wears out. */
static inline void check_molds(const pci_day *day, const pc_day_plan *plan) {
    static int made[PC_DAY_PIECES_MOST][PC_DAY_CASTINGS_MOST + 1];
    memset(made, 0, sizeof made);
    for (size_t i = 0; i < plan->count; i++) {
        const pc_day_casting *c = plan->casting[i];
        const pci_day_piece *piece = &day->piece[c->piece];
        size_t pool = piece->mold_of ? piece->mold_of - 1 : c->piece;
        const pci_day_piece *owner = &day->piece[pool];
        ck_assert(c->mold >= 1 && c->mold <= owner->molds);
        made[pool][c->mold]++;
        ck_assert(!owner->lasts || made[pool][c->mold] + owner->used <= owner->lasts);
        for (size_t j = 0; j < i; j++) {
            const pc_day_casting *o = plan->casting[j];
            const pci_day_piece *other = &day->piece[o->piece];
            size_t its = other->mold_of ? other->mold_of - 1 : o->piece;
            if (its == pool && o->mold == c->mold)
                ck_assert(!isnan(o->demold_s) && o->done_s + owner->rest_s <= c->start_s + 1e-6);
        }
    }
}

static inline void check_casting(const pci_day *day, const pc_day_plan *plan, size_t i) {
    const pc_day_casting *c = plan->casting[i];
    const pci_day_piece *piece = &day->piece[c->piece];
    const pci_day_job *job = &piece->job[c->job];
    ck_assert(isnan(c->demold_s) ? piece->stay == PCI_DAY_STAYS : c->demold_s >= c->ready_s - 1e-6);
    double end_s = day_end_s(plan, c->start_s);
    ck_assert(piece->stay != PCI_DAY_STAYS_NOT || c->done_s <= end_s + 1e-6);
    ck_assert(piece->stay != PCI_DAY_STAYS || isnan(c->demold_s) || c->demold_s >= end_s);
    ck_assert(c->done_s <= plan->finish_s + 1e-6);
    ck_assert(c->late == (c->done_s > piece->due_s));
    size_t seen = 0;
    for (size_t e = 0; e < plan->entry_count; e++)
        if (plan->entry[e]->casting == i && plan->entry[e]->what != PC_DAY_DEMOLD) {
            assert_near(plan->entry[e]->from_s, c->start_s + job->task[seen].from_s, 1e-6);
            seen++;
        }
    ck_assert_uint_eq(seen, job->task_count);
    for (size_t j = 0; j < i; j++) {
        const pc_day_casting *o = plan->casting[j];
        if (o->station && o->station == c->station)
            ck_assert(o->station_until_s <= c->station_from_s + 1e-6 ||
                      c->station_until_s <= o->station_from_s + 1e-6);
    }
}

/* No overlap, no break or night worked, molds and machines never twice at once, windows kept (the
 * jobs of a casting are where its schedule put them). */
static inline void check_plan(const pci_day *day, const pc_day_plan *plan) {
    static int hands[PLAN_CELLS], stations[PLAN_CELLS];
    memset(hands, 0, sizeof hands);
    memset(stations, 0, sizeof stations);
    for (size_t i = 0; i < plan->entry_count; i++) {
        const pc_day_entry *e = plan->entry[i];
        count_use(hands, plan, e->from_s, e->until_s);
        ck_assert_int_ge(e->person, 1);
        ck_assert_int_le(e->person, day->hands);
        double midnight_s = floor(e->from_s / 86400) * 86400;
        for (size_t b = 0; b < day->break_count; b++)
            ck_assert(e->until_s <= midnight_s + day->rest[b].from_s ||
                      e->from_s >= midnight_s + day->rest[b].until_s);
        for (size_t j = 0; j < i; j++)
            ck_assert(plan->entry[j]->person != e->person ||
                      plan->entry[j]->until_s <= e->from_s + 1e-6);
    }
    size_t late = 0;
    for (size_t i = 0; i < plan->count; i++) {
        const pc_day_casting *c = plan->casting[i];
        if (c->station) {
            ck_assert_int_le(c->station, day->stations);
            count_use(stations, plan, c->station_from_s, c->station_until_s);
        }
        check_casting(day, plan, i);
        late += c->late;
    }
    check_molds(day, plan);
    for (int c = 0; c < PLAN_CELLS; c++) {
        ck_assert_int_le(hands[c], day->hands);
        ck_assert_int_le(stations[c], day->stations);
    }
    ck_assert_uint_le(plan->count, plan->count_bound);
    ck_assert_uint_eq(plan->late_count, late);
    ck_assert(!plan->fits || plan->finish_s >= plan->bound_s - 1e-6);
    ck_assert(plan->fits == (plan->count == plan->asked));
    ck_assert((plan->fits && late == 0) || plan->give_count > 0);
}

/* Plans a day, fits or not, and judges the plan. */
static inline void plan_holds(const pci_day *day) {
    pc_day_plan *plan;
    pc_status status = pci_day_make(day, &plan, NULL);
    ck_assert(status == PC_OK);
    ck_assert(plan->fits == (plan->count == plan->asked));
    check_plan(day, plan);
    pc_day_plan_free(plan);
}

#endif
