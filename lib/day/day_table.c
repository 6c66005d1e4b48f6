/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include "day/day_dates.h"
#include "day/day_plan.h"

static double clock_of(const pci_solved *solved, int cell) {
    return solved->clock_s + cell * PCI_DAY_STEP_S;
}

static int casting_order(const void *a, const void *b) {
    const pc_day_casting *x = *(pc_day_casting *const *)a, *y = *(pc_day_casting *const *)b;
    if (x->start_s != y->start_s)
        return x->start_s < y->start_s ? -1 : 1;
    return (x->piece > y->piece) - (x->piece < y->piece);
}

static int entry_order(const void *a, const void *b) {
    const pc_day_entry *x = *(pc_day_entry *const *)a, *y = *(pc_day_entry *const *)b;
    if (x->from_s != y->from_s)
        return x->from_s < y->from_s ? -1 : 1;
    return (x->casting > y->casting) - (x->casting < y->casting);
}

static void castings(const pci_day *day, const pci_solved *solved, pc_day_plan *plan) {
    for (size_t i = 0; i < plan->count; i++) {
        const pci_placed *placed = &solved->found.placed[i];
        const pci_day_piece *piece = &day->piece[placed->kind];
        const pci_day_job *job = &piece->job[placed->slot];
        pc_day_casting *casting = plan->casting[i];
        double start = clock_of(solved, placed->start);
        *casting = (pc_day_casting){.piece = (size_t)placed->kind, .job = (size_t)placed->slot};
        casting->mold = placed->mold + 1;
        casting->start_s = start;
        casting->station_from_s = start + job->station_from_s;
        casting->station_until_s = start + job->station_until_s;
        casting->ready_s = start + job->ready_s;
        casting->demold_s = placed->demold >= 0 ? clock_of(solved, placed->demold) : NAN;
        casting->done_s = casting->demold_s + day->demold_s + piece->clean_s;
        if (isnan(casting->demold_s)) {
            double hands = job->task[job->task_count - 1].until_s;
            casting->done_s = start + fmax(hands, job->station_until_s);
        }
        casting->late = casting->done_s > piece->due_s;
        plan->late_count += casting->late;
    }
    qsort(plan->casting, plan->count, sizeof *plan->casting, casting_order);
    int copies[PC_DAY_PIECES_MOST] = {0};
    for (size_t i = 0; i < plan->count; i++)
        plan->casting[i]->copy = ++copies[plan->casting[i]->piece];
}

/* Stations and people by who is free first: enough, since no cell holds more than there are. The
 * grid rounds outward to whole minutes, so on the clock they are apart all the more. */
static void stations(pc_day_plan *plan) {
    double free_at[64];
    for (int i = 0; i < 64; i++)
        free_at[i] = -INFINITY;
    for (double last = -INFINITY;;) {
        pc_day_casting *next = NULL; /* by the time they come onto the machine */
        for (size_t i = 0; i < plan->count; i++) {
            pc_day_casting *c = plan->casting[i];
            if (c->station == 0 && c->station_from_s >= last &&
                (!next || c->station_from_s < next->station_from_s))
                next = c;
        }
        if (!next)
            return;
        int station = 0;
        while (station < 62 && free_at[station] > next->station_from_s + 1e-6)
            station++;
        free_at[station] = next->station_until_s;
        next->station = station + 1;
        last = next->station_from_s;
    }
}

static void people(pc_day_plan *plan) {
    double free_at[64];
    for (int i = 0; i < 64; i++)
        free_at[i] = -INFINITY;
    for (size_t i = 0; i < plan->entry_count; i++) {
        int person = 0;
        while (person < 62 && free_at[person] > plan->entry[i]->from_s + 1e-6)
            person++;
        free_at[person] = plan->entry[i]->until_s;
        plan->entry[i]->person = person + 1;
    }
}

static void entries(const pci_day *day, pc_day_plan *plan) {
    for (size_t i = 0; i < plan->count; i++) {
        const pc_day_casting *casting = plan->casting[i];
        const pci_day_job *job = &day->piece[casting->piece].job[casting->job];
        for (size_t t = 0; t < job->task_count; t++)
            *plan->entry[plan->entry_count++] =
                (pc_day_entry){.from_s = casting->start_s + job->task[t].from_s,
                               .until_s = casting->start_s + job->task[t].until_s,
                               .what = job->task[t].what,
                               .casting = i,
                               .part = job->task[t].part,
                               .layer = job->task[t].layer};
        if (!isnan(casting->demold_s))
            *plan->entry[plan->entry_count++] = (pc_day_entry){.from_s = casting->demold_s,
                                                               .until_s = casting->done_s,
                                                               .what = PC_DAY_DEMOLD,
                                                               .casting = i};
    }
    qsort(plan->entry, plan->entry_count, sizeof *plan->entry, entry_order);
}

pc_status pci_day_timetable(const pci_day *day, const pci_solved *solved, pc_day_plan *plan) {
    plan->asked = (size_t)solved->asked;
    plan->count = (size_t)solved->found.count;
    plan->count_bound = (size_t)solved->count_bound;
    plan->fits = plan->count == plan->asked;
    plan->proven = solved->proven;
    plan->finish_s = plan->count ? clock_of(solved, solved->found.finish) : NAN;
    plan->bound_s = plan->fits ? clock_of(solved, solved->bound) : NAN;
    pc_day_workday workday[PC_DAY_DAYS_MOST];
    plan->workday_count = pci_day_workdays(day, workday);
    plan->workday = pci_list_new(plan->workday_count, sizeof **plan->workday);
    plan->casting = pci_list_new(plan->count, sizeof **plan->casting);
    plan->entry = pci_list_new(plan->count * (PCI_DAY_COMB_MOST + 1), sizeof **plan->entry);
    if (!plan->workday || !plan->casting || !plan->entry)
        return PC_E_MEMORY;
    for (size_t d = 0; d < plan->workday_count; d++)
        *plan->workday[d] = workday[d];
    castings(day, solved, plan);
    stations(plan);
    entries(day, plan);
    people(plan);
    return pci_day_use_kits(day, plan);
}
