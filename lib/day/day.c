/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A day judged and planned. */
#include "pourclock/day.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/range.h"
#include "base/try.h"
#include "day/day_dates.h"
#include "day/day_plan.h"

/* Castings placed in all orders that are tried: some 0.3 s; of a day of many some 0.9 s, of whose
 * moves only few help. */
enum { WORK = 2000000, WORK_OF_MANY = 6000000, MANY = 24 };

void pci_day_defaults(pci_day *day) {
    if (!day)
        return;
    memset(day, 0, sizeof *day);
    day->start_s = 8.5 * 3600;
    day->end_s = 17 * 3600;
    day->hands = day->stations = 1;
    day->demold_s = 600;
    day->setup_s = 0;
}

static pc_status check_job(const pci_day *day, const pci_day_piece *piece, const pci_day_job *job,
                           pc_errors *errors) {
    bool ok = job->task_count >= 1 && job->task_count <= PCI_DAY_COMB_MOST &&
              pci_within(job->ready_s, 0, 30 * PC_DAY_S);
    double before = 0;
    for (size_t i = 0; ok && i < job->task_count; i++) {
        const pci_day_task *task = &job->task[i];
        ok = task->from_s >= before && task->until_s > task->from_s &&
             task->until_s <= 30 * PC_DAY_S;
        before = task->until_s;
    }
    bool station = !isnan(job->station_from_s) || !isnan(job->station_until_s);
    if (ok && station)
        ok = pci_within(job->station_from_s, 0, 30 * PC_DAY_S) &&
             pci_within(job->station_until_s, job->station_from_s, 30 * PC_DAY_S);
    if (!ok)
        return pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = piece->name},
                             "its hands-on jobs are not in order of time, or not finite");
    if (station && day->stations < 1)
        return pc_errors_add(errors, PC_E_VALUE,
                             (pc_place){.section = piece->name, .key = "stations"},
                             "it is turned by a machine and the day has none: stations = 1");
    return PC_OK;
}

static pc_status check_mold(const pci_day *day, const pci_day_piece *piece, pc_errors *errors) {
    pc_place place = {.section = piece->name, .key = "mold"};
    if (!pci_within(piece->clean_s, 0, PCI_DAY_SETUP_MOST_S) ||
        !pci_within(piece->rest_s, 0, PCI_DAY_REST_MOST_S) ||
        !pci_within(piece->lasts, 0, 100000) || !pci_within(piece->used, 0, 100000))
        return pc_errors_add(errors, PC_E_VALUE, place,
                             "to clean takes 0 to 4 h, to rest 0 to 24 h, and a mold lasts and was "
                             "used 0 to 100000 castings");
    if (piece->lasts && piece->used >= piece->lasts)
        return pc_errors_add(errors, PC_E_VALUE, place,
                             "its molds have made %d castings of the %d they last: make a new one "
                             "and set mold_used = 0",
                             piece->used, piece->lasts);
    const pci_day_piece *owner = piece->mold_of ? &day->piece[piece->mold_of - 1] : piece;
    if (piece->mold_of > day->piece_count || owner->mold_of)
        return pc_errors_add(errors, PC_E_VALUE, place, "it names a casting with molds of its own");
    return PC_OK;
}

static pc_status check_due(const pci_day *day, const pci_day_piece *piece, pc_errors *errors) {
    pc_day_workday workday[PC_DAY_DAYS_MOST];
    if (isnan(piece->due_s) || pci_day_workdays(day, workday) == 0)
        return PC_OK;
    if (piece->due_s > workday[0].from_s && piece->due_s < 1e9)
        return PC_OK;
    int date[3];
    pci_date_after(day->first, workday[0].offset, date);
    return pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = piece->name, .key = "due"},
                         "due before the first working day, %04d-%02d-%02d, begins: give a later "
                         "date, or begin sooner with first =",
                         date[0], date[1], date[2]);
}

static pc_status check_slots(const pci_day *day, const pci_day_piece *piece, pc_errors *errors) {
    size_t hours = (size_t)ceil((day->end_s - day->start_s) / 3600 - 1e-9), n = piece->job_count;
    bool good = n > 0 && n <= PCI_DAY_SLOTS_MOST && (n == 1 || n >= hours || piece->by_date);
    for (size_t d = 0; piece->by_date && d < PC_DAY_DAYS_MOST; d++)
        for (size_t h = 0; h < PCI_DAY_HOURS_MOST; h++)
            good = good && piece->job_at[d][h] < n;
    if (good)
        return PC_OK;
    return pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = piece->name},
                         "one job for the day or one for each of its %zu hours is needed", hours);
}

static pc_status check_kits(const pci_day *day, pc_errors *errors) {
    bool good = day->kit_count <= PCI_DAY_KITS_MOST && day->air_count <= PCI_DAY_AIR_MOST;
    for (size_t k = 0; good && k < day->kit_count; k++)
        good = pci_within(day->kit[k].holds_kg, 1e-6, 1e4) &&
               pci_within(day->kit[k].left_kg, 0, 1e4) && day->kit[k].open_days >= 0 &&
               pci_within(day->kit[k].opened, -100000, 100000);
    if (good)
        return PC_OK;
    return pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = "kit", .key = "holds"},
                         "a kit holds more than 0 g and at most 10 t, and 0 g or more is left of "
                         "it");
}

static pc_status check_piece(const pci_day *day, const pci_day_piece *piece, pc_errors *errors) {
    if (!pci_within(piece->copies, 1, PC_DAY_CASTINGS_MOST) ||
        !pci_within(piece->molds, 1, PC_DAY_CASTINGS_MOST))
        return pc_errors_add(errors, PC_E_VALUE,
                             (pc_place){.section = piece->name, .key = "copies"},
                             "copies and molds are 1 to %d", PC_DAY_CASTINGS_MOST);
    PCI_TRY(check_slots(day, piece, errors));
    PCI_TRY(check_mold(day, piece, errors));
    pc_status status = check_due(day, piece, errors);
    for (size_t i = 0; status == PC_OK && i < piece->job_count; i++)
        if (piece->job[i].feasible)
            status = check_job(day, piece, &piece->job[i], errors);
    return status;
}

static pc_status check_days(const pci_day *day, pc_errors *errors) {
    pc_day_workday workday[PC_DAY_DAYS_MOST];
    pc_place place = {.section = "day", .key = "days"};
    if (!pci_within(day->days, 0, PC_DAY_DAYS_MOST) || day->holiday_count > PCI_DAY_HOLIDAYS_MOST)
        return pc_errors_add(errors, PC_E_VALUE, place, "working days are 1 to %d",
                             PC_DAY_DAYS_MOST);
    for (int i = 0; i < 7 && day->by_weekday; i++)
        if (!pci_within(day->week[i].from_s, 0, PC_DAY_S) ||
            !pci_within(day->week[i].until_s, 0, PC_DAY_S))
            return pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = "day", .key = "hours"},
                                 "hours are clock times within the day");
    int n = (int)pci_day_workdays(day, workday), asked = day->days > 1 ? day->days : 1;
    if (n == asked)
        return PC_OK;
    return pc_errors_add(errors, PC_E_VALUE, place,
                         "%d working day%s in the %d days from the first, %d asked for: ask for "
                         "fewer, give fewer holidays, or hours of more weekdays",
                         n, n == 1 ? "" : "s", PCI_DAY_SPAN_MOST, asked);
}

static pc_status check_clock(const pci_day *day, pc_errors *errors) {
    if (!pci_within(day->start_s, 0, PC_DAY_S) ||
        !pci_within(day->end_s - day->start_s, 2 * PCI_DAY_STEP_S, PC_DAY_S))
        return pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = "day", .key = "end"},
                             "the day ends before it starts, or is longer than 24 h: set start "
                             "and end, such as 08:30 and 17:00");
    for (size_t b = 0; b < day->break_count && b < PCI_DAY_BREAKS_MOST; b++)
        if (!(day->rest[b].until_s > day->rest[b].from_s) ||
            !pci_within(day->rest[b].from_s, day->start_s, day->end_s) ||
            !pci_within(day->rest[b].until_s, day->start_s, day->end_s))
            return pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = "day", .key = "breaks"},
                                 "break %zu is not within the day, or ends before it begins: "
                                 "write breaks as 12:00-12:30",
                                 b + 1);
    return PC_OK;
}

pc_status pci_day_check(const pci_day *day, pc_errors *errors) {
    if (!day || day->piece_count > PC_DAY_PIECES_MOST || day->break_count > PCI_DAY_BREAKS_MOST)
        return PC_E_ARGUMENT;
    pc_status status = check_clock(day, errors);
    if (status == PC_OK)
        status = check_days(day, errors);
    if (status == PC_OK)
        status = check_kits(day, errors);
    if (!pci_within(day->hands, 1, 50) || !pci_within(day->stations, 0, 50))
        status = pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = "day", .key = "hands"},
                               "hands are 1 to 50 and stations 0 to 50");
    if (!pci_within(day->demold_s, PCI_DAY_STEP_S, 4 * 3600) ||
        !pci_within(day->setup_s, 0, PCI_DAY_SETUP_MOST_S))
        status = pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = "day", .key = "demold"},
                               "the time to demold is 1 min to 4 h, to set up 0 to 4 h");
    if (status != PC_OK)
        return status;
    if (day->piece_count == 0)
        return pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = "day"},
                             "nothing to cast: add a section [casting NAME] with piece = FILE");
    int castings = 0;
    for (size_t i = 0; i < day->piece_count; i++) {
        pc_status one = check_piece(day, &day->piece[i], errors);
        status = status == PC_OK ? one : status;
        castings += one == PC_OK ? day->piece[i].copies : 0;
    }
    if (status == PC_OK && castings > PC_DAY_CASTINGS_MOST)
        return pc_errors_add(errors, PC_E_SIZE, (pc_place){.section = "day", .key = "copies"},
                             "%d castings are more than %d: split the file", castings,
                             PC_DAY_CASTINGS_MOST);
    return status;
}

pc_status pci_day_solve(const pci_day *day, int orders_most, pci_solved *out) {
    pci_grid *grid = malloc(sizeof *grid);
    if (!grid)
        return PC_E_MEMORY;
    pci_grid_init(day, grid);
    pci_grid_least(grid);
    int asked[PC_DAY_PIECES_MOST] = {0}, n = 0;
    for (size_t k = 0; k < day->piece_count; k++)
        n += asked[k] = day->piece[k].copies;
    memset(out, 0, sizeof *out);
    out->asked = n;
    out->clock_s = grid->clock_s;
    out->count_bound = pci_grid_count_bound(grid, asked);
    int work = n > MANY && grid->day_count == 1 ? WORK_OF_MANY : WORK;
    int orders = orders_most > 0 ? orders_most : work / (n + 1);
    pc_status status = pci_day_list(grid, asked, orders, &out->found);
    out->bound = pci_grid_bound(grid, asked);
    if (out->found.count == n)
        out->bound = pci_grid_count_floor(grid, asked, out->bound, out->found.finish);
    if (out->bound > grid->cells && out->count_bound == n)
        out->count_bound = n - 1;
    if (out->found.count == n)
        out->proven = out->found.finish <= out->bound;
    else
        out->proven = out->found.count == out->count_bound;
    free(grid);
    return status;
}

static pc_status plan_day(const pci_day *day, pc_day_plan *plan) {
    pci_solved *solved = malloc(sizeof *solved);
    pc_status status = solved ? pci_day_solve(day, day->orders_most, solved) : PC_E_MEMORY;
    if (status == PC_OK)
        status = pci_day_timetable(day, solved, plan);
    free(solved);
    if (status == PC_OK)
        status = pci_day_air_of(day, plan, plan->air);
    for (size_t i = 0; i < plan->entry_count; i++)
        pci_day_entry_text(plan->entry[i]->text, sizeof plan->entry[i]->text, day, plan,
                           plan->entry[i]);
    for (size_t i = 0; i < plan->kit_use_count; i++)
        pci_day_kit_text(plan->kit_use[i]->text, sizeof plan->kit_use[i]->text, day,
                         plan->kit_use[i]);
    if (status != PC_OK || (plan->fits && plan->late_count == 0))
        return status;
    return pci_day_must_give(day, plan);
}

pc_status pci_day_make(const pci_day *day, pc_day_plan **plan, pc_errors *errors) {
    if (!plan)
        return PC_E_ARGUMENT;
    *plan = NULL;
    PCI_TRY(pci_day_check(day, errors));
    pc_day_plan *made = calloc(1, sizeof *made);
    if (made)
        made->air = calloc(1, sizeof *made->air);
    pc_status status = made && made->air ? plan_day(day, made) : PC_E_MEMORY;
    if (status == PC_OK)
        *plan = made;
    else
        pc_day_plan_free(made);
    return status;
}
