/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The comb of hands-on jobs that a schedule asks for. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/range.h"
#include "base/text.h"
#include "day/day_plan.h"
#include "pourclock/day.h"
#include "schedule/build.h"
#include "schedule/parts.h"

typedef struct builder {
    pci_day_task task[PC_PARTS_MOST * (PC_LAYERS_MOST * 2 + 1) + 1];
    size_t count;
} builder;

static const double FAR_S = 1e9; /* no job of a plan is so far off; its seconds fit an int */

static bool add(builder *b, double from_s, double until_s, pc_day_do what, size_t part, int layer) {
    if (!(fabs(from_s) < FAR_S) || !(fabs(until_s) < FAR_S) || until_s < from_s)
        return false;
    b->task[b->count++] = (pci_day_task){from_s, until_s, what, part, layer};
    return true;
}

static int by_time(const void *a, const void *b) {
    const pci_day_task *x = a, *y = b;
    return (x->from_s > y->from_s) - (x->from_s < y->from_s);
}

/* A layer's jobs: mixing, pouring and plugging, which turning by hand or swirling go on from; then
 * the stop, or pouring out. */
static bool add_layer(builder *b, const pc_piece *piece, const pc_part_plan *part, size_t p,
                      const pc_layer *layer) {
    pc_method method = piece->turning.method;
    double mix = layer->mix_s, in = layer->pour_end_s, stop = layer->stop_s, out = layer->drain_s;
    int number = layer->number;
    if (layer->method == PC_COAT_DRAIN)
        method = PC_DRAIN;
    if (part->kind == PC_SOLID || layer->cup_s > 0.0 || (method == PC_DRAIN && isnan(out)))
        return add(b, mix, in, PC_DAY_POUR, p, number);
    if (method == PC_HAND)
        return add(b, mix, fmax(stop, in), PC_DAY_POUR, p, number);
    if (method == PC_DRAIN)
        return add(b, mix, fmax(out, in), PC_DAY_POUR, p, number) &&
               add(b, out, out + fmax(PCI_HANDS_S, in - layer->pour_s), PC_DAY_STOP, p, number);
    return add(b, mix, in + PCI_HANDS_S, PC_DAY_POUR, p, number) &&
           add(b, stop, stop + PCI_HANDS_S, PC_DAY_STOP, p, number);
}

/* The number of a resin that is not the piece's; 0: it is. */
static unsigned char resin_of(pci_day_job *job, const char *name) {
    size_t i = 0;
    if (!name[0])
        return 0;
    while (i + 1 < PCI_DAY_RESINS_MOST && job->other_resin[i][0] &&
           strncmp(job->other_resin[i], name, sizeof job->other_resin[i] - 1) != 0)
        i++;
    pci_copy_text(job->other_resin[i], sizeof job->other_resin[i], name);
    return (unsigned char)(i + 1);
}

static void note_act(const pc_schedule *schedule, const pci_day_task *task, pci_day_job *job) {
    if (task->what == PC_DAY_SETUP || job->act_count == PCI_DAY_ACTS_MOST)
        return;
    pci_day_act *act = &job->act[job->act_count++];
    *act = (pci_day_act){.at_s = (int)ceil(task->from_s - 1e-6),
                         .task = (unsigned char)(job->task_count - 1),
                         .what = (unsigned char)task->what,
                         .part = (unsigned char)task->part,
                         .layer = (unsigned char)task->layer};
    const pc_part_plan *part = schedule->part[task->part];
    for (size_t i = 0; i < part->layer_count && task->what == PC_DAY_POUR; i++)
        if (part->layer[i]->number == task->layer) {
            act->part_a_kg = part->layer[i]->part_a_kg;
            act->part_b_kg = part->layer[i]->part_b_kg;
            act->filler_kg = part->layer[i]->filler_kg;
            act->resin = resin_of(job, part->layer[i]->resin);
        }
}

static void name_parts(const pc_piece *piece, const pc_schedule *schedule, pci_day_job *job) {
    job->method = piece->turning.method;
    job->part_count = schedule->part_count;
    for (size_t p = 0; p < schedule->part_count; p++) {
        pci_copy_text(job->part_name[p], sizeof job->part_name[p], schedule->part[p]->name);
        job->solid[p] = schedule->part[p]->kind == PC_SOLID;
        for (size_t i = 0; i < schedule->part[p]->layer_count && i < PC_LAYERS_MOST; i++)
            job->laid_by[p][i] = (unsigned char)schedule->part[p]->layer[i]->method;
    }
}

/* Jobs that overlap or touch become one. */
static pc_status merge(builder *b, const pc_schedule *schedule, double zero_s, pci_day_job *job) {
    qsort(b->task, b->count, sizeof *b->task, by_time);
    for (size_t i = 0; i < b->count; i++) {
        pci_day_task task = b->task[i];
        task.from_s -= zero_s;
        task.until_s -= zero_s;
        pci_day_task *last = job->task_count ? &job->task[job->task_count - 1] : NULL;
        if (last && task.from_s <= last->until_s + PCI_DAY_STEP_S / 2) {
            last->until_s = fmax(last->until_s, task.until_s);
            if (last->what == PC_DAY_STOP || last->what == PC_DAY_SETUP) {
                last->what = task.what;
                last->part = task.part;
                last->layer = task.layer;
            }
            note_act(schedule, &task, job);
            continue;
        }
        if (job->task_count == PCI_DAY_COMB_MOST)
            return PC_E_SIZE;
        job->task[job->task_count++] = task;
        note_act(schedule, &task, job);
    }
    return PC_OK;
}

pc_status pci_day_job_of(const pc_piece *piece, const pc_schedule *schedule, const pci_day *day,
                         pci_day_job *job) {
    if (!piece || !schedule || !day || !job || schedule->part_count > PC_PARTS_MOST ||
        !pci_within(day->setup_s, 0, PCI_DAY_SETUP_MOST_S))
        return PC_E_ARGUMENT;
    memset(job, 0, sizeof *job);
    job->station_from_s = job->station_until_s = NAN;
    name_parts(piece, schedule, job);
    builder *b = calloc(1, sizeof *b);
    if (!b)
        return PC_E_MEMORY;
    bool ok = true;
    double first = INFINITY;
    for (size_t p = 0; p < schedule->part_count; p++) {
        const pc_part_plan *part = schedule->part[p];
        for (size_t i = 0; i < part->layer_count && i < PC_LAYERS_MOST; i++) {
            const pc_layer *layer = part->layer[i];
            double set_s = i == 0 ? pci_set_time(piece, p) : 0.0;
            double begins_s = i == 0 ? pci_set_begins(piece, schedule->part, p) : layer->mix_s;
            if (set_s > 0.0)
                ok = ok && add(b, begins_s, begins_s + set_s, PC_DAY_SETUP, p, 0);
            ok = ok && add_layer(b, piece, part, p, layer);
            first = fmin(first, begins_s);
            if (part->kind == PC_HOLLOW && piece->turning.method == PC_MACHINE &&
                layer->method == PC_COAT_TURN) {
                job->station_from_s = fmin(job->station_from_s, layer->pour_s);
                job->station_until_s = fmax(job->station_until_s, layer->stop_s + PCI_HANDS_S);
            }
        }
    }
    double demold = fmax(schedule->demold_s, schedule->demold_late_s);
    job->feasible = ok && schedule->feasible && b->count > 0 && isfinite(demold);
    pc_status status = PC_OK;
    if (job->feasible) {
        double zero = first - day->setup_s;
        if (day->setup_s > 0)
            add(b, zero, first, PC_DAY_SETUP, 0, 0);
        status = merge(b, schedule, zero, job);
        if (status == PC_OK)
            status = pci_day_job_air(piece, schedule, zero, job);
        job->ready_s = demold - zero;
        job->station_from_s -= zero;
        job->station_until_s -= zero;
    }
    free(b);
    return status;
}
