/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What must give where a day does not fit: each change is tried on its own and planned. */
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/text.h"
#include "base/try.h"
#include "day/day_dates.h"
#include "day/day_plan.h"
#include "pourclock/words.h"

enum { ORDERS = 600 };

PC_PRINTF(2, 3) static void say(pc_day_plan *plan, const char *format, ...) {
    size_t most = sizeof plan->give / sizeof *plan->give;
    if (plan->give_count == most)
        return;
    va_list args;
    va_start(args, format);
    pci_vformat(plan->give[plan->give_count++], sizeof plan->give[0], format, args);
    va_end(args);
}

/* Castings asked of a piece's molds beyond those that they last; 0: they last. */
static int beyond_life(const pci_day *day, size_t owner) {
    const pci_day_piece *piece = &day->piece[owner];
    int asked = 0;
    for (size_t i = 0; i < day->piece_count; i++)
        if (i == owner || day->piece[i].mold_of == owner + 1)
            asked += day->piece[i].copies;
    int life = piece->molds * (piece->lasts - piece->used);
    return piece->lasts && !piece->mold_of && asked > life ? asked - life : 0;
}

/* Pieces that cannot be cast at all today, whatever gives. Returns their number. */
static int hopeless(const pci_day *day, pc_day_plan *plan) {
    int count = 0;
    for (size_t i = 0; i < day->piece_count; i++) {
        const pci_day_piece *piece = &day->piece[i];
        bool any = false;
        for (size_t j = 0; j < piece->job_count; j++)
            any = any || piece->job[j].feasible;
        int worn = beyond_life(day, i);
        if (worn > 0) {
            say(plan,
                "%s: its molds wear out %d casting%s too soon: make %d new mold%s, which last %d",
                piece->name, worn, worn == 1 ? "" : "s", (worn - 1) / piece->lasts + 1,
                worn > piece->lasts ? "s" : "", piece->lasts);
            count++;
        }
        if (!any) {
            say(plan,
                "%s: it cannot be cast at any hour of this day: `pourclock schedule` shows why; "
                "plan the others without it",
                piece->name);
            count++;
        } else if (piece->stay == PCI_DAY_STAYS && day->days <= 1 && piece->copies > piece->molds) {
            say(plan, "%s: %d copies stay in %d mold%s overnight: %d more molds, or more days",
                piece->name, piece->copies, piece->molds, piece->molds == 1 ? "" : "s",
                piece->copies - piece->molds);
            count++;
        }
    }
    return count;
}

/* Cells by which all castings are done; -1: they do not fit. */
static pc_status finish_of(const pci_day *day, int *finish, double *clock_s) {
    pci_solved *solved = malloc(sizeof *solved);
    pc_status status = solved ? pci_day_solve(day, ORDERS, solved) : PC_E_MEMORY;
    *finish = -1;
    if (status == PC_OK && solved->found.count == solved->asked && solved->found.late == 0) {
        *finish = solved->found.finish;
        *clock_s = solved->clock_s + *finish * PCI_DAY_STEP_S;
    }
    free(solved);
    return status;
}

/* Hours beyond the day's own take the job of its last. */
static void longer_jobs(pci_day *day) {
    for (size_t i = 0; i < day->piece_count; i++) {
        pci_day_piece *piece = &day->piece[i];
        bool hourly = piece->job_count > 1 && !piece->by_date; /* job_at has every hour */
        for (size_t j = piece->job_count; hourly && j < PCI_DAY_HOURS_MOST; j++)
            piece->job[piece->job_count++] = piece->job[j - 1];
    }
}

/* A later end of one day, or more days. */
static pc_status more_time(const pci_day *day, pci_day *trial, pc_day_plan *plan, bool *found) {
    int finish;
    double clock_s = 0;
    *trial = *day;
    if (day->days > 1 || day->first[0]) {
        pc_day_workday workday[PC_DAY_DAYS_MOST];
        trial->days = PC_DAY_DAYS_MOST;
        size_t n = pci_day_workdays(trial, workday), used = 0;
        trial->days = (int)n;
        PCI_TRY(finish_of(trial, &finish, &clock_s));
        while (used < n && workday[used].from_s < clock_s)
            used++;
        if (finish >= 0)
            say(plan, "%zu working days instead of %d", used, day->days > 1 ? day->days : 1);
    } else {
        longer_jobs(trial);
        trial->end_s = day->start_s + PC_DAY_S;
        PCI_TRY(finish_of(trial, &finish, &clock_s));
        pc_words clock = pc_say_clock(0, clock_s, PC_CLOCK_MINUTE | PC_CLOCK_BARE);
        if (finish >= 0)
            say(plan, "work until %s%s instead", clock.s,
                clock_s >= PC_DAY_S ? " the next day" : "");
    }
    *found = *found || finish >= 0;
    return PC_OK;
}

static pc_status try_change(const pci_day *trial, const char *text, pc_day_plan *plan,
                            bool *found) {
    int finish;
    double clock_s;
    PCI_TRY(finish_of(trial, &finish, &clock_s));
    if (finish >= 0) {
        say(plan, "%s", text);
        *found = true;
    }
    return PC_OK;
}

static pc_status changes(const pci_day *day, pci_day *trial, pc_day_plan *plan, bool *found) {
    char text[240];
    PCI_TRY(more_time(day, trial, plan, found));
    *trial = *day;
    trial->hands++;
    PCI_TRY(try_change(trial, "one more pair of hands", plan, found));
    trial->hands--;
    trial->stations++;
    if (day->stations > 0)
        PCI_TRY(try_change(trial, "one more turning station", plan, found));
    trial->stations--;
    for (size_t i = 0; i < day->piece_count; i++) {
        if (day->piece[i].copies <= day->piece[i].molds || day->piece[i].mold_of)
            continue;
        snprintf(text, sizeof text, "one more mold of %s", day->piece[i].name);
        trial->piece[i].molds++;
        PCI_TRY(try_change(trial, text, plan, found));
        trial->piece[i].molds--;
    }
    trial->break_count = 0;
    if (day->break_count > 0)
        PCI_TRY(try_change(trial,
                           "breaks taken in turns, so that somebody is at the bench all the time",
                           plan, found));
    return PC_OK;
}

/* Which castings the plan leaves out. */
static void dropped(const pci_day *day, pc_day_plan *plan) {
    if (plan->fits) {
        say(plan, "be late with %zu of %zu", plan->late_count, plan->asked);
        return;
    }
    char text[200] = "";
    size_t used = 0;
    for (size_t i = 0; i < day->piece_count; i++) {
        int left = day->piece[i].copies;
        for (size_t j = 0; j < plan->count; j++)
            left -= plan->casting[j]->piece == i;
        if (left > 0 && used < sizeof text - 1)
            used += (size_t)snprintf(text + used, sizeof text - used, "%s%d of %s",
                                     used ? ", " : "", left, day->piece[i].name);
    }
    say(plan, "cast %zu of %zu%s%s; leave for another day: %s", plan->count, plan->asked,
        day->days > 1 ? "" : " today", plan->proven ? " (the maximum)" : "", text);
}

pc_status pci_day_must_give(const pci_day *day, pc_day_plan *plan) {
    bool found = false;
    pc_status status = PC_OK;
    if (hopeless(day, plan) == 0) {
        pci_day *trial = malloc(sizeof *trial);
        if (!trial)
            return PC_E_MEMORY;
        status = changes(day, trial, plan, &found);
        free(trial);
        if (status == PC_OK && !found)
            say(plan, "no single change of time, hands, stations, molds or breaks fits them all");
    }
    dropped(day, plan);
    return status;
}
