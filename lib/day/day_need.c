/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a number of castings needs: the fewest days as things are, and what one change would save.
 * Each change is planned anew, in as many working days as there can be. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/range.h"
#include "base/try.h"
#include "day/day_dates.h"
#include "day/day_plan.h"

enum { ORDERS = 1500, PAIR_ORDERS = 200, RESINS_MOST = 8 };

static const double WARMER_K = 5, LONGER_S = 3600;

typedef enum change_kind { NOTHING, HANDS, STATIONS, MOLDS, HOURS, WARMER, RESIN } change_kind;

typedef struct what_if {
    change_kind kind;
    size_t piece;         /* of MOLDS */
    const pci_day *other; /* of WARMER and RESIN: the jobs it makes */
} what_if;

typedef struct search {
    const pci_day *day; /* with the castings asked for, and as many days as there can be */
    pci_day *trial;
    pci_solved *solved;
    what_if change[PC_DAY_CHANGES_MOST];
    pci_day *other[1 + RESINS_MOST];
    size_t others;
    pc_day_need *need;
} search;

/* Castings shared out as copies are: every piece its whole share, then the largest remainders. */
static void share_out(pci_day *day, int castings) {
    double all = 0, rest[PC_DAY_PIECES_MOST];
    int left = castings;
    for (size_t i = 0; i < day->piece_count; i++)
        all += day->piece[i].copies;
    for (size_t i = 0; i < day->piece_count; i++) {
        double share = castings * day->piece[i].copies / all;
        day->piece[i].copies = (int)floor(share + 1e-9);
        rest[i] = share - day->piece[i].copies;
        left -= day->piece[i].copies;
    }
    for (; left > 0; left--) {
        size_t most = 0;
        for (size_t i = 1; i < day->piece_count; i++)
            most = rest[i] > rest[most] ? i : most;
        day->piece[most].copies++;
        rest[most] = -1;
    }
}

/* A piece that has no castings left is none of the day's: molds shared with it stay with the other.
 */
static void drop_empty(pci_day *day) {
    for (size_t i = day->piece_count; i-- > 0;) {
        bool shared = false;
        for (size_t j = 0; j < day->piece_count; j++)
            shared = shared || day->piece[j].mold_of == i + 1;
        if (day->piece[i].copies > 0 || shared)
            continue;
        memmove(&day->piece[i], &day->piece[i + 1],
                (day->piece_count - i - 1) * sizeof day->piece[0]);
        day->piece_count--;
        for (size_t j = 0; j < day->piece_count; j++)
            day->piece[j].mold_of -= day->piece[j].mold_of > i + 1;
    }
}

static void longest_calendar(pci_day *day) {
    pc_day_workday workday[PC_DAY_DAYS_MOST];
    day->days = PC_DAY_DAYS_MOST;
    day->days = (int)pci_day_workdays(day, workday);
}

static void apply(const what_if *c, pci_day *day) {
    switch (c->kind) {
    case NOTHING:
        break;
    case HANDS:
        day->hands++;
        break;
    case STATIONS:
        day->stations++;
        break;
    case MOLDS:
        day->piece[c->piece].molds++;
        break;
    case HOURS:
        day->end_s = fmin(day->end_s + LONGER_S, PC_DAY_S);
        for (int w = 0; w < 7; w++)
            if (day->week[w].until_s > 0)
                day->week[w].until_s = fmin(day->week[w].until_s + LONGER_S, PC_DAY_S);
        break;
    case WARMER:
    case RESIN:
        for (size_t i = 0; i < day->piece_count; i++) {
            day->piece[i].job_count = c->other->piece[i].job_count;
            memcpy(day->piece[i].job, c->other->piece[i].job, sizeof day->piece[i].job);
            day->piece[i].by_date = c->other->piece[i].by_date;
            memcpy(day->piece[i].job_at, c->other->piece[i].job_at, sizeof day->piece[i].job_at);
        }
        break;
    }
}

/* When the last of the pieces is due; infinity: one is not. */
static double last_due(const pci_day *day) {
    double last = 0;
    for (size_t i = 0; i < day->piece_count; i++)
        last = fmax(last, isnan(day->piece[i].due_s) ? INFINITY : day->piece[i].due_s);
    return last;
}

/* Working time from one moment to another, negative if it is earlier. */
static double work_between(const pci_day *day, double from_s, double until_s) {
    pc_day_workday workday[PC_DAY_DAYS_MOST];
    size_t n = pci_day_workdays(day, workday);
    double low = fmin(from_s, until_s), high = fmax(from_s, until_s), sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += fmax(0, fmin(high, workday[i].until_s) - fmax(low, workday[i].from_s));
    return until_s < from_s ? -sum : sum;
}

static int orders_of(const pci_day *day, int orders) {
    return day->orders_most > 0 && day->orders_most < orders ? day->orders_most : orders;
}

/* Plans the day with one or two changes. */
static pc_status plan_with(search *s, const what_if *a, const what_if *b, int orders,
                           pc_day_change *result) {
    *s->trial = *s->day;
    apply(a, s->trial);
    if (b)
        apply(b, s->trial);
    PCI_TRY(pci_day_solve(s->trial, orders, s->solved));
    result->finish_s = NAN;
    if (s->solved->found.count == s->solved->asked)
        result->finish_s = s->solved->clock_s + s->solved->found.finish * PCI_DAY_STEP_S;
    double date_s = s->need->date_s + (a->kind == HOURS || (b && b->kind == HOURS) ? LONGER_S : 0);
    result->meets = result->finish_s <= date_s && s->solved->found.late == 0;
    pc_day_workday workday[PC_DAY_DAYS_MOST];
    size_t n = pci_day_workdays(s->trial, workday);
    for (result->workdays = 0; (size_t)result->workdays < n; result->workdays++)
        if (!(workday[result->workdays].from_s < result->finish_s))
            break;
    return PC_OK;
}

static what_if *add_change(search *s, change_kind kind, const char *format, const char *name) {
    size_t n = s->need->change_count;
    if (n == PC_DAY_CHANGES_MOST)
        return NULL;
    snprintf(s->need->change[n].text, sizeof s->need->change[n].text, format, name);
    s->change[n] = (what_if){.kind = kind};
    s->need->change_count++;
    return &s->change[n];
}

/* The day with its pieces planned otherwise; a plan that cannot be made is no change to offer. */
static void add_planned(search *s, change_kind kind, const pci_otherwise *otherwise,
                        const char *format, const char *name) {
    pci_day *other = malloc(sizeof *other);
    if (!other)
        return;
    *other = *s->day;
    bool planned = pci_day_plan_pieces(other, otherwise, NULL) == PC_OK;
    for (size_t i = 0; planned && i < other->piece_count; i++)
        for (size_t j = 0; j < other->piece[i].job_count; j++)
            planned = planned && other->piece[i].job[j].feasible;
    what_if *added = planned ? add_change(s, kind, format, name) : NULL;
    if (!added) {
        free(other);
        return;
    }
    added->other = other;
    s->other[s->others++] = other;
}

static bool has_files(const pci_day *day) {
    for (size_t i = 0; i < day->piece_count; i++)
        if (!day->piece[i].path[0])
            return false;
    return true;
}

static void add_changes(search *s) {
    const pci_day *day = s->day;
    add_change(s, NOTHING, "%s", "as it is");
    add_change(s, HANDS, "%s", "one more pair of hands");
    if (day->stations > 0)
        add_change(s, STATIONS, "%s", "one more turning station");
    for (size_t i = 0; i < day->piece_count && i < PC_DAY_CHANGES_MOST / 2; i++) {
        what_if *added = day->piece[i].mold_of
                             ? NULL
                             : add_change(s, MOLDS, "one more mold of %.60s", day->piece[i].name);
        if (added)
            added->piece = i;
    }
    add_change(s, HOURS, "%s", "one more hour a day");
    if (!has_files(day))
        return;
    pci_otherwise warmer = {.warmer_K = WARMER_K};
    add_planned(s, WARMER, &warmer, "%s", "a shop 5 C (9 F) warmer");
    pc_shelf_resin shelf[RESINS_MOST];
    size_t n = pc_shelf_list(RESINS_MOST, shelf);
    for (size_t i = 0; i < n && i < RESINS_MOST; i++) {
        pci_otherwise resin = {.resin = shelf[i].name};
        add_planned(s, RESIN, &resin, "resin %.60s", shelf[i].name);
    }
}

static void add_remedy(pc_day_need *need, const char *a, const char *b) {
    if (need->remedy_count == sizeof need->remedy / sizeof *need->remedy)
        return;
    char *text = need->remedy[need->remedy_count++];
    snprintf(text, sizeof need->remedy[0], "%s%s%s", a, b ? ", and " : "", b ? b : "");
}

/* What meets the date: one change, or where none does, two. */
static pc_status find_remedies(search *s) {
    pc_day_need *need = s->need;
    size_t n = need->change_count;
    if (need->change[0].meets)
        return PC_OK;
    for (size_t i = 1; i < n; i++)
        if (need->change[i].meets)
            add_remedy(need, need->change[i].text, NULL);
    for (size_t i = 1; need->remedy_count == 0 && i < n; i++)
        for (size_t j = i; j < n; j++) {
            bool both_jobs = s->change[i].other && s->change[j].other;
            pc_day_change pair;
            if (both_jobs)
                continue;
            PCI_TRY(
                plan_with(s, &s->change[i], &s->change[j], orders_of(s->day, PAIR_ORDERS), &pair));
            if (pair.meets)
                add_remedy(need, need->change[i].text,
                           i == j ? "the same again" : need->change[j].text);
        }
    return PC_OK;
}

static pc_status run(search *s, int castings) {
    pc_day_need *need = s->need;
    need->castings = castings;
    add_changes(s);
    for (size_t i = 0; i < need->change_count; i++) {
        pc_day_change *change = &need->change[i];
        PCI_TRY(plan_with(s, &s->change[i], NULL, orders_of(s->day, ORDERS), change));
        change->saved_s = work_between(s->day, change->finish_s, need->change[0].finish_s);
        if (i == 0)
            need->bound_s = s->solved->clock_s + s->solved->bound * PCI_DAY_STEP_S;
    }
    return find_remedies(s);
}

pc_status pci_day_need_of(const pci_day *day, int castings, pc_day_need *need, pc_errors *errors) {
    if (!day || !need || !pci_within(castings, 1, PC_DAY_CASTINGS_MOST))
        return PC_E_ARGUMENT;
    memset(need, 0, sizeof *need);
    PCI_TRY(pci_day_check(day, errors));
    pc_day_workday workday[PC_DAY_DAYS_MOST];
    pci_day *all = malloc(sizeof *all);
    search s = {.day = all, .need = need};
    s.trial = malloc(sizeof *s.trial);
    s.solved = malloc(sizeof *s.solved);
    pc_status status = all && s.trial && s.solved ? PC_OK : PC_E_MEMORY;
    if (status == PC_OK) {
        need->date_s = fmin(workday[pci_day_workdays(day, workday) - 1].until_s, last_due(day));
        *all = *day;
        share_out(all, castings);
        drop_empty(all);
        longest_calendar(all);
        status = run(&s, castings);
    }
    for (size_t i = 0; i < s.others; i++)
        free(s.other[i]);
    free(all);
    free(s.trial);
    free(s.solved);
    return status;
}
