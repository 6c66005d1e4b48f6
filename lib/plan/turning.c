/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/turning.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "plan/build.h"
#include "plan/layout.h"

#define SAMPLES 96 /* of a layer's viscosity, closer together towards gel */

void pc_turn_plan_free(pc_turn_plan *plan) {
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
        return PC_E_UNREACHED;
    size_t count = 0;
    for (size_t k = 0; k < SAMPLES; k++) {
        double u = 1 - (double)k / SAMPLES;
        pc_layer_state state;
        time[k] = start + span * (1 - u * u);
        pc_status status = pc_wall_advance(run->wall, time[k]);
        if (status == PC_OK)
            status = pc_wall_layer_state(run->wall, index, &state);
        if (status != PC_OK)
            return status;
        mu[k] = state.mu_Pa_s;
        if (!isfinite(mu[k]))
            break;
        count = k + 1;
    }
    const pc_part *part = run->c.part;
    plan->layer[index] = (pc_turn_layer){
        .density_kg_m3 = run->c.resin.density_kg_m3,
        .film_m = planned->thickness_m,
        .volume_m3 = planned->volume_m3,
        .radius_m = part->shape.turn_radius_m,
        .mount = run->c.piece->turning.remount ? (int)index : 0,
        .history = {count, time, mu, planned->gel_s},
    };
    plan->count = index + 1;
    return count > 0 ? pc_wall_advance(run->wall, planned->gel_s) : PC_E_UNREACHED;
}

pc_status pci_turn_histories(const pci_case *c, const pc_part_plan *planned, pc_turn_plan *plan) {
    memset(plan, 0, sizeof *plan);
    if (c->part->kind != PC_HOLLOW || planned->layer_count < 1)
        return PC_E_ARGUMENT;
    const pc_turning *turning = &c->piece->turning;
    plan->drop_m =
        turning->drop_length_m > 0 ? turning->drop_length_m : 2 * c->part->shape.turn_radius_m;
    pci_run run;
    pc_status status = pci_run_begin(&run, c, planned->layer[0].mix_s);
    for (size_t j = 0; j < planned->layer_count && status == PC_OK; j++) {
        const pc_layer *layer = &planned->layer[j];
        status = pci_run_pour(&run, layer->thickness_m, pci_cup_kg(layer), layer->mix_s,
                              layer->pour_end_s, NAN, NULL);
        if (status == PC_OK)
            status = sample(&run, layer, j, plan);
    }
    pci_run_end(&run);
    return status;
}

pc_status pc_turn_plan_make(const pc_piece *piece, const pc_schedule *schedule, size_t part,
                            pc_turn_plan *plan) {
    if (!plan)
        return PC_E_ARGUMENT;
    memset(plan, 0, sizeof *plan);
    if (!piece || !schedule || part >= piece->part_count || part >= schedule->part_count)
        return PC_E_ARGUMENT;
    pci_case c;
    pci_case_nominal(piece, &piece->part[part], &c);
    return pci_turn_histories(&c, &schedule->part[part], plan);
}

/* What a drained layer cannot be is said in the plan's own warnings. */
static pc_status drained(const pc_turn_plan *plan, size_t j, const pc_part_plan *planned,
                         pc_layer *layer, pc_schedule *schedule) {
    const pc_turn_layer *t = &plan->layer[j];
    pc_errors errors = PC_ERRORS_INIT;
    pc_drain_result r;
    pc_status status = pc_drain_plan(t, plan->drop_m, PC_DRAIN_POUR * t->volume_m3, &r, &errors);
    if (status == PC_OK) {
        layer->drain_s = r.out_s;
        layer->surplus_kg = r.surplus_m3 * t->density_kg_m3;
        layer->mean_m = r.film_m;
        return PC_OK;
    }
    pc_warning *w = pci_add_warning(schedule, "drain", false);
    if (w) {
        snprintf(w->text, sizeof w->text, "%s: layer %d cannot be drained to its thickness",
                 planned->name, layer->number);
        pci_copy_text(w->remedy, sizeof w->remedy, errors.count ? errors.item[0].text : "");
    }
    pc_errors_free(&errors);
    return w ? PC_OK : PC_E_MEMORY;
}

static pc_status warn_uneven(const pci_case *c, const pc_part_plan *planned, const pc_layer *layer,
                             pc_schedule *schedule) {
    if (!(layer->thin_m < c->part->least_layer_m))
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "uneven", false);
    if (!w)
        return PC_E_MEMORY;
    snprintf(
        w->text, sizeof w->text,
        layer->thin_m < 0.05e-3
            ? "%s: turned like this layer %d leaves places bare"
            : "%s: turned like this layer %d comes out thinner than covers, %.2f mm, in places",
        planned->name, layer->number, 1e3 * layer->thin_m);
    pci_copy_text(
        w->remedy, sizeof w->remedy,
        "`pourclock turn` shows where, and finds better speeds; remount the mold a quarter "
        "turn round between layers, so that thin places do not lie on thin places");
    return PC_OK;
}

static pc_status turned(const pc_turning *turning, const pc_turn_layer *t, pc_layer *layer) {
    pc_turn_result r;
    pc_status status = pc_turn_judge(turning, t, NULL, 0, &r, NULL);
    if (status == PC_E_MEMORY)
        return status;
    if (status != PC_OK) /* a turning or a layer that cannot be turned is said elsewhere */
        return PC_OK;
    layer->thin_m = r.spread.thin_m;
    layer->mean_m = r.spread.mean_m;
    layer->thick_m = r.spread.thick_m;
    layer->lump_m3 = r.spread.lump_m3;
    layer->unevenness = r.unevenness;
    return PC_OK;
}

pc_status pci_turn_part(const pci_case *c, pc_part_plan *planned, pc_schedule *schedule) {
    if (c->part->kind != PC_HOLLOW)
        return PC_OK;
    pc_turn_plan plan;
    pc_status status = pci_turn_histories(c, planned, &plan);
    for (size_t j = 0; j < plan.count && status == PC_OK; j++) {
        pc_layer *layer = &planned->layer[j];
        if (c->piece->turning.method == PC_DRAIN) {
            status = drained(&plan, j, planned, layer, schedule);
            continue;
        }
        status = turned(&c->piece->turning, &plan.layer[j], layer);
        if (status == PC_OK)
            status = warn_uneven(c, planned, layer, schedule);
    }
    pc_turn_plan_free(&plan);
    return status == PC_E_UNREACHED ? PC_OK : status;
}
