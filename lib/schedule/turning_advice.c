/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "pourclock/turn.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "plan/run.h"
#include "plan/slug.h"
#include "wall/layers.h"

#define SAMPLES 192 /* of a layer's viscosity, closer together after the pour and toward gel */

void pci_turn_plan_free(pc_turn_plan *plan) {
    if (!plan)
        return;
    for (size_t i = 0; i < PC_LAYERS_MOST; i++) {
        free(plan->time_s[i]);
        free(plan->mu_Pa_s[i]);
    }
    memset(plan, 0, sizeof *plan);
}

/* The layer's mean viscosity from its pour to its gel; the wall stands at its gel then. */
static pc_status sample(pci_run *run, const pc_layer *planned, size_t index, pc_turn_plan *plan) {
    double *time = malloc(SAMPLES * sizeof *time), *mu = malloc(SAMPLES * sizeof *mu);
    plan->time_s[index] = time;
    plan->mu_Pa_s[index] = mu;
    if (!time || !mu)
        return PC_E_MEMORY;
    double start = planned->pour_end_s, span = planned->gel_s - start;
    if (!(span > 0))
        return isnan(span) ? PC_E_UNREACHED : PC_E_LIMIT;
    size_t count = 0;
    for (size_t k = 0; k < SAMPLES; k++) {
        double u = (double)k / SAMPLES;
        pci_layer_state state;
        time[k] = start + span * u * u * (3 - 2 * u);
        pc_status status = pci_run_advance(run, planned, time[k]);
        if (status == PC_OK)
            status = pci_wall_layer_state(run->wall, index, &state);
        if (status != PC_OK)
            return status;
        mu[k] = state.mu_Pa_s;
        if (!isfinite(mu[k]))
            break;
        count = k + 1;
    }
    const pc_part *part = run->c.part;
    plan->layer[index] = (pc_turn_layer){
        .density_kg_m3 = pci_case_mix(&run->c, planned->number)->density_kg_m3,
        .film_m = planned->thickness_m,
        .volume_m3 = planned->volume_m3,
        .radius_m = part->shape.turn_radius_m,
        .mount = run->c.piece->turning.remount ? (int)index : 0,
        .history = {count, time, mu, planned->gel_s},
    };
    plan->count = index + 1;
    return count > 0 ? pci_run_advance(run, planned, planned->gel_s) : PC_E_LIMIT;
}

static pc_status histories(const pci_case *c, const pc_part_plan *planned, pc_turn_plan *plan) {
    memset(plan, 0, sizeof *plan);
    if (c->part->kind != PC_HOLLOW || planned->layer_count < 1)
        return PC_E_ARGUMENT;
    plan->drop_m = pci_drop_m(c);
    pci_run run;
    pc_status status = pci_run_begin(&run, c, planned->layer_count, planned->layer[0]->mix_s);
    for (size_t j = 0; j < planned->layer_count && status == PC_OK; j++) {
        const pc_layer *layer = planned->layer[j];
        status = pci_run_pour(&run, layer, layer->pour_end_s, NULL, NULL);
        if (status == PC_OK)
            status = sample(&run, layer, j, plan);
    }
    pci_run_end(&run);
    return status;
}

pc_status pci_turn_plan_make(const pc_piece *piece, const pc_schedule *schedule, size_t part,
                             pc_turn_plan *plan) {
    if (!plan)
        return PC_E_ARGUMENT;
    memset(plan, 0, sizeof *plan);
    if (!piece || !schedule || part >= piece->part_count || part >= schedule->part_count)
        return PC_E_ARGUMENT;
    pci_case c;
    pci_case_scheduled(piece, schedule, part, &c);
    return histories(&c, schedule->part[part], plan);
}
