/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What must give where a day does not fit: each change is tried on its own and worked out. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/text.h"
#include "day/day_plan.h"

#define DAY_S 86400.0

enum { ORDERS = 600 };

#if defined(__GNUC__)
__attribute__((format(printf, 2, 3)))
#endif
static void
say(pc_day_plan *plan, const char *format, ...) {
    size_t most = sizeof plan->give / sizeof *plan->give;
    if (plan->give_count == most)
        return;
    va_list args;
    va_start(args, format);
    pci_vformat(plan->give[plan->give_count++], sizeof plan->give[0], format, args);
    va_end(args);
}

/* Pieces that cannot be cast at all today, whatever gives. Returns their number. */
static int hopeless(const pc_day *day, pc_day_plan *plan) {
    int count = 0;
    for (size_t i = 0; i < day->piece_count; i++) {
        const pc_day_piece *piece = &day->piece[i];
        bool any = false;
        for (size_t j = 0; j < piece->job_count; j++)
            any = any || piece->job[j].feasible;
        if (!any) {
            say(plan,
                "%s: its own schedule holds at no hour of this day: see `schedule` for what would "
                "free it, and plan the others without it",
                piece->name);
            count++;
        } else if (piece->overnight && piece->copies > piece->molds) {
            say(plan, "%s: %d copies stay in %d mold%s overnight: %d more molds, or more days",
                piece->name, piece->copies, piece->molds, piece->molds == 1 ? "" : "s",
                piece->copies - piece->molds);
            count++;
        }
    }
    return count;
}

static pc_status all_fit(pci_day_solver solve, const pc_day *day, double end_s, bool *fits,
                         double *finish_s) {
    pci_solved solved;
    pc_status status = solve(day, end_s, ORDERS, &solved);
    *fits = status == PC_OK && solved.found.count == solved.asked;
    *finish_s = *fits ? day->start_s + solved.found.finish * PC_DAY_STEP_S : NAN;
    return status;
}

/* Hours beyond the day's own take the job of its last. */
static void longer_jobs(pc_day *day) {
    for (size_t i = 0; i < day->piece_count; i++) {
        pc_day_piece *piece = &day->piece[i];
        for (size_t j = piece->job_count; piece->job_count > 1 && j < PC_DAY_SLOTS_MOST; j++)
            piece->job[piece->job_count++] = piece->job[j - 1];
    }
}

static pc_status later_end(pci_day_solver solve, const pc_day *day, pc_day *trial,
                           pc_day_plan *plan, bool *found) {
    bool fits;
    double finish;
    *trial = *day;
    longer_jobs(trial);
    pc_status status = all_fit(solve, trial, day->start_s + DAY_S, &fits, &finish);
    if (status == PC_OK && fits) {
        char clock[16];
        pc_clock_text(finish, false, clock, sizeof clock);
        say(plan, "work until %s%s instead", clock, finish >= DAY_S ? " the next day" : "");
        *found = true;
    }
    return status;
}

static pc_status one_more(pci_day_solver solve, const pc_day *day, pc_day *trial, int *what,
                          const char *text, pc_day_plan *plan, bool *found) {
    bool fits;
    double finish;
    (*what)++;
    pc_status status = all_fit(solve, trial, day->end_s, &fits, &finish);
    (*what)--;
    if (status == PC_OK && fits) {
        say(plan, "%s", text);
        *found = true;
    }
    return status;
}

static pc_status changes(pci_day_solver solve, const pc_day *day, pc_day *trial, pc_day_plan *plan,
                         bool *found) {
    char text[240];
    pc_status status = later_end(solve, day, trial, plan, found);
    *trial = *day;
    if (status == PC_OK)
        status = one_more(solve, day, trial, &trial->hands, "one more pair of hands", plan, found);
    if (status == PC_OK && day->stations > 0)
        status =
            one_more(solve, day, trial, &trial->stations, "one more turning station", plan, found);
    for (size_t i = 0; status == PC_OK && i < day->piece_count; i++) {
        if (day->piece[i].copies <= day->piece[i].molds)
            continue;
        snprintf(text, sizeof text, "one more mold of %s", day->piece[i].name);
        status = one_more(solve, day, trial, &trial->piece[i].molds, text, plan, found);
    }
    if (status == PC_OK && day->break_count > 0) {
        bool fits;
        double finish;
        trial->break_count = 0;
        status = all_fit(solve, trial, day->end_s, &fits, &finish);
        if (status == PC_OK && fits)
            say(plan, "breaks taken in turns, so that somebody is at the bench all the time");
        *found = *found || fits;
    }
    return status;
}

/* Which castings the plan leaves out. */
static void dropped(const pc_day *day, pc_day_plan *plan) {
    char text[200] = "";
    size_t used = 0;
    for (size_t i = 0; i < day->piece_count; i++) {
        int left = day->piece[i].copies;
        for (size_t j = 0; j < plan->count; j++)
            left -= plan->casting[j].piece == i;
        if (left > 0 && used < sizeof text - 1)
            used += (size_t)snprintf(text + used, sizeof text - used, "%s%d of %s",
                                     used ? ", " : "", left, day->piece[i].name);
    }
    say(plan, "cast %zu of %zu today%s; leave for another day: %s", plan->count, plan->asked,
        plan->proven ? " (the maximum)" : "", text);
}

pc_status pci_day_must_give(const pc_day *day, pci_day_solver solve, pc_day_plan *plan) {
    bool found = false;
    pc_status status = PC_OK;
    if (hopeless(day, plan) == 0) {
        pc_day *trial = malloc(sizeof *trial);
        if (!trial)
            return PC_E_MEMORY;
        status = changes(solve, day, trial, plan, &found);
        free(trial);
        if (status == PC_OK && !found)
            say(plan, "no single change of hours, hands, stations, molds or breaks fits them all");
    }
    dropped(day, plan);
    return status;
}
