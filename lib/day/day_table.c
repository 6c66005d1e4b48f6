/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "day/day_plan.h"

static double clock_of(const pc_day *day, int cell) {
    return day->start_s + cell * PC_DAY_STEP_S;
}

static int casting_order(const void *a, const void *b) {
    const pc_day_casting *x = a, *y = b;
    if (x->start_s != y->start_s)
        return x->start_s < y->start_s ? -1 : 1;
    return (x->piece > y->piece) - (x->piece < y->piece);
}

static int entry_order(const void *a, const void *b) {
    const pc_day_entry *x = a, *y = b;
    if (x->from_s != y->from_s)
        return x->from_s < y->from_s ? -1 : 1;
    return (x->casting > y->casting) - (x->casting < y->casting);
}

static void castings(const pc_day *day, const pci_solved *solved, pc_day_plan *plan) {
    for (size_t i = 0; i < plan->count; i++) {
        const pci_placed *placed = &solved->found.placed[i];
        const pc_day_piece *piece = &day->piece[placed->kind];
        const pc_day_job *job = &piece->job[placed->slot];
        pc_day_casting *casting = &plan->casting[i];
        double start = clock_of(day, placed->start);
        *casting = (pc_day_casting){.piece = (size_t)placed->kind, .job = (size_t)placed->slot};
        casting->start_s = start;
        casting->station_from_s = start + job->station_from_s;
        casting->station_until_s = start + job->station_until_s;
        casting->ready_s = start + job->ready_s;
        casting->demold_s = NAN;
        if (solved->found.demold[i] >= 0)
            casting->demold_s = clock_of(day, solved->found.demold[i]);
    }
    qsort(plan->casting, plan->count, sizeof *plan->casting, casting_order);
}

/* Copies, molds in turn, the demolds of molds poured again, and when each is done. */
static void molds(const pc_day *day, pc_day_plan *plan) {
    int copies[PC_DAY_PIECES_MOST] = {0};
    for (size_t i = 0; i < plan->count; i++) {
        pc_day_casting *casting = &plan->casting[i];
        const pc_day_piece *piece = &day->piece[casting->piece];
        casting->copy = ++copies[casting->piece];
        casting->mold = (casting->copy - 1) % piece->molds + 1;
        for (size_t j = 0; j < i && !piece->overnight; j++) {
            pc_day_casting *before = &plan->casting[j];
            if (before->piece == casting->piece && before->copy == casting->copy - piece->molds)
                before->demold_s =
                    casting->start_s - ceil(day->demold_s / PC_DAY_STEP_S) * PC_DAY_STEP_S;
        }
    }
    for (size_t i = 0; i < plan->count; i++) {
        pc_day_casting *casting = &plan->casting[i];
        const pc_day_job *job = &day->piece[casting->piece].job[casting->job];
        casting->done_s = casting->demold_s + day->demold_s;
        if (isnan(casting->demold_s)) {
            double hands = job->task[job->task_count - 1].until_s;
            casting->done_s = casting->start_s + fmax(hands, job->station_until_s);
        }
    }
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
            pc_day_casting *c = &plan->casting[i];
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
        while (person < 62 && free_at[person] > plan->entry[i].from_s + 1e-6)
            person++;
        free_at[person] = plan->entry[i].until_s;
        plan->entry[i].person = person + 1;
    }
}

static void entries(const pc_day *day, pc_day_plan *plan) {
    for (size_t i = 0; i < plan->count; i++) {
        const pc_day_casting *casting = &plan->casting[i];
        const pc_day_job *job = &day->piece[casting->piece].job[casting->job];
        for (size_t t = 0; t < job->task_count; t++)
            plan->entry[plan->entry_count++] = (pc_day_entry){
                casting->start_s + job->task[t].from_s,
                casting->start_s + job->task[t].until_s,
                job->task[t].what,
                i,
                job->task[t].part,
                job->task[t].layer,
                0,
            };
        if (!isnan(casting->demold_s))
            plan->entry[plan->entry_count++] =
                (pc_day_entry){casting->demold_s, casting->done_s, PC_DAY_DEMOLD, i, 0, 0, 0};
    }
    qsort(plan->entry, plan->entry_count, sizeof *plan->entry, entry_order);
}

pc_status pci_day_timetable(const pc_day *day, const pci_solved *solved, pc_day_plan *plan) {
    plan->asked = (size_t)solved->asked;
    plan->count = (size_t)solved->found.count;
    plan->count_bound = (size_t)solved->count_bound;
    plan->fits = plan->count == plan->asked;
    plan->proven = solved->proven;
    plan->finish_s = plan->count ? clock_of(day, solved->found.finish) : NAN;
    plan->bound_s = plan->fits ? clock_of(day, solved->bound) : NAN;
    plan->casting = calloc(plan->count + 1, sizeof *plan->casting);
    plan->entry = calloc(plan->count * (PC_DAY_COMB_MOST + 1) + 1, sizeof *plan->entry);
    if (!plan->casting || !plan->entry)
        return PC_E_MEMORY;
    castings(day, solved, plan);
    molds(day, plan);
    stations(plan);
    entries(day, plan);
    people(plan);
    return PC_OK;
}
