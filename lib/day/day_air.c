/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The air of a day: what all castings give off in the one shop. */
#include <math.h>
#include <stdlib.h>

#include "base/range.h"
#include "base/text.h"
#include "day/day_plan.h"
#include "pourclock/day.h"
#include "safety/air_sums.h"

/* More batches than a job has room for share its last entry: from the earliest to the latest they
 * are given off as fast as the fastest, which errs high. */
static void add_batch(const pc_air_batch *batch, double zero_s, pci_day_job *job) {
    pci_day_batch one = {batch->from_s - zero_s, batch->to_s - zero_s, batch->vapor_kg};
    if (job->batch_count < PCI_DAY_BATCHES_MOST) {
        job->batch[job->batch_count++] = one;
        return;
    }
    pci_day_batch *last = &job->batch[PCI_DAY_BATCHES_MOST - 1];
    double span_s = fmin(last->to_s - last->from_s, one.to_s - one.from_s);
    last->vapor_kg += one.vapor_kg;
    last->to_s = last->from_s + span_s;
}

pc_status pci_day_job_air(const pc_piece *piece, const pc_schedule *schedule, double zero_s,
                          pci_day_job *job) {
    pc_ventilation *air = malloc(sizeof *air);
    if (!air)
        return PC_E_MEMORY;
    pc_status status = pci_ventilation_of(piece, schedule, air);
    pci_day_vapor *vapor = &job->vapor;
    if (status == PC_OK) {
        vapor->answer = air->answer;
        pci_copy_text(vapor->name, sizeof vapor->name, air->volatile_name);
        vapor->limit_fraction = air->limit_fraction;
        vapor->m3_per_kg = pci_vapor_volume(1.0, air->molar_mass_kg_mol, air->air_K);
        vapor->mixing = air->mixing;
        vapor->room_m3 = piece->shop.room_m3;
        vapor->ventilation_m3_s = piece->shop.ventilation_m3_s;
        for (size_t i = 0; i < air->batch_count; i++)
            add_batch(&air->batch[i], zero_s, job);
    }
    free(air);
    return status;
}

static const pci_day_job *job_of(const pci_day *day, const pc_day_casting *casting) {
    return &day->piece[casting->piece].job[casting->job];
}

/* The strictest limit: vapor of another substance counts in proportion to its own. */
static void find_shop(const pci_day *day, const pc_day_plan *plan, pc_day_air *air) {
    for (size_t i = 0; i < plan->count; i++) {
        const pci_day_vapor *v = &job_of(day, plan->casting[i])->vapor;
        if (v->answer != PC_AIR_DILUTION || !pci_positive(v->limit_fraction) ||
            !pci_positive(v->m3_per_kg) || job_of(day, plan->casting[i])->batch_count == 0)
            continue;
        air->several = air->several || (air->name[0] && !pci_same_word(air->name, v->name));
        if (!(v->limit_fraction >= air->limit_fraction)) {
            air->limit_fraction = v->limit_fraction;
            pci_copy_text(air->name, sizeof air->name, v->name);
        }
        air->mixing = fmax(air->mixing, v->mixing);
        if (pci_positive(v->room_m3)) /* fmin skips NaN */
            air->room_m3 = fmin(air->room_m3, v->room_m3);
        if (pci_not_negative(v->ventilation_m3_s) && pci_positive(v->room_m3))
            air->ventilation_m3_s = fmin(air->ventilation_m3_s, v->ventilation_m3_s);
    }
}

/* Every batch of every casting by the clock, vapor as a volume of the strictest substance. */
static size_t list_batches(const pci_day *day, const pc_day_plan *plan, pc_day_air *air,
                           pc_air_batch *list) {
    size_t count = 0;
    for (size_t i = 0; i < plan->count; i++) {
        const pc_day_casting *casting = plan->casting[i];
        const pci_day_job *job = job_of(day, casting);
        double scale = job->vapor.m3_per_kg * air->limit_fraction / job->vapor.limit_fraction;
        for (size_t b = 0;
             job->vapor.answer == PC_AIR_DILUTION && scale > 0 && b < job->batch_count; b++) {
            const pci_day_batch *batch = &job->batch[b];
            air->vapor_kg += batch->vapor_kg;
            list[count++] = (pc_air_batch){i, 0, casting->start_s + batch->from_s,
                                           casting->start_s + batch->to_s, batch->vapor_kg * scale};
        }
    }
    return count;
}

pc_status pci_day_air_of(const pci_day *day, const pc_day_plan *plan, pc_day_air *air) {
    if (!day || !plan || !air)
        return PC_E_ARGUMENT;
    *air = (pc_day_air){.limit_fraction = NAN, .room_m3 = NAN, .ventilation_m3_s = NAN};
    air->air_m3_s = air->highest_fraction = air->highest_clock_s = NAN;
    find_shop(day, plan, air);
    if (!pci_positive(air->limit_fraction))
        return PC_OK;
    pc_air_batch *list = calloc(plan->count * PCI_DAY_BATCHES_MOST + 1, sizeof *list);
    if (!list)
        return PC_E_MEMORY;
    double rate_m3_s;
    size_t count = list_batches(day, plan, air, list);
    pc_status status = pci_air_rate(list, count, &rate_m3_s, NULL);
    if (status == PC_OK) {
        air->air_m3_s = pci_dilution_air(rate_m3_s, air->limit_fraction, air->mixing);
        if (pci_positive(air->room_m3) && pci_not_negative(air->ventilation_m3_s))
            status = pci_room_highest(list, count, 1.0, air->room_m3, air->ventilation_m3_s,
                                      air->mixing, &air->highest_fraction, &air->highest_clock_s);
    }
    free(list);
    return status;
}
