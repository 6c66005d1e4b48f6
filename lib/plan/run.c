/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/run.h"

#include <math.h>
#include <string.h>

#include "base/try.h"
#include "film/film_sums.h"
#include "piece/mixes.h"
#include "plan/layout.h"
#include "resin/cup.h"
#include "wall/bound.h"
#include "wall/layers.h"
#include "wall/pour_out.h"

void pci_case_nominal(const pc_piece *piece, const pc_part *part, pci_case *c) {
    memset(c, 0, sizeof *c);
    c->piece = piece;
    c->part = part;
    c->resin = *pci_layer_resin(piece, part, 0);
    for (size_t i = 0; i < part->coat_count && i < PC_COATS_MOST; i++) {
        if (part->coat[i].mix == 0)
            continue;
        c->mixed_layer[c->mix_count] = part->coat[i].number;
        c->mix[c->mix_count++] = *pci_layer_resin(piece, part, part->coat[i].number);
    }
    c->resin_K = piece->shop.resin_K;
    c->mold_K = piece->shop.mold_K;
    c->resin_follows = piece->shop.day_count > 0 && !piece->shop.resin_given;
    c->mold_follows = piece->shop.day_count > 0 && !piece->shop.mold_given;
    c->thickness_factor = 1.0;
}

const pc_resin *pci_case_mix(const pci_case *c, int number) {
    for (size_t i = 0; i < c->mix_count; i++)
        if (c->mixed_layer[i] == number)
            return &c->mix[i];
    return &c->resin;
}

void pci_case_scheduled(const pc_piece *piece, const pc_schedule *schedule, size_t part,
                        pci_case *c) {
    size_t first = part;
    while (schedule->part[first]->on_part > 0)
        first = (size_t)schedule->part[first]->on_part - 1;
    pci_case_nominal(piece, &piece->part[part], c);
    c->mold_stood_s =
        schedule->part[part]->layer[0]->mix_s - schedule->part[first]->layer[0]->mix_s;
}

double pci_case_peak_limit(const pci_case *c) {
    double stated_K = pci_part_peak_limit(c->piece, c->part);
    double warn_K = c->resin.peak_warn_K;
    for (size_t i = 0; i < c->mix_count; i++)
        warn_K = fmin(warn_K, c->mix[i].peak_warn_K);
    return isfinite(stated_K) || !c->prefer_cool ? stated_K : warn_K;
}

double pci_case_air(const pci_case *c, double time_s) {
    return pc_shop_air(&c->piece->shop, c->piece->shop.start_clock_s + time_s) + c->air_shift_K;
}

/* How far the shop's day has moved since the first mix. */
static double day_rise(const pci_case *c, double time_s) {
    return pci_case_air(c, time_s) - pci_case_air(c, 0.0);
}

double pci_case_resin(const pci_case *c, double time_s) {
    return c->resin_K + (c->resin_follows ? day_rise(c, time_s) : 0.0);
}

static double wall_air(double time_s, const void *context) {
    return pci_case_air(context, time_s);
}

static pc_status add_mold(const pc_mold *mold, pci_wall_spec *spec) {
    return pci_mold_stack(mold->shell_kind, mold->has_shell ? mold->shell_m : 0.0,
                          mold->rubber_kind, mold->rubber_m, spec);
}

/* A seam lies between the edges of its two halves, which are cured and as warm as the shop. */
static pc_status add_edge(const pci_case *c, double start_s, pci_wall_spec *spec) {
    const double deep_m = 10e-3; /* heat reaches no deeper into an edge in its time (judgment) */
    spec->mold_K = pci_case_air(c, start_s);
    return pci_mold_stack(PC_RESIN_SHELL, deep_m, PC_SILICONE, 0.0, spec);
}

pc_status pci_run_begin(pci_run *run, const pci_case *c, size_t count, double start_s) {
    memset(run, 0, sizeof *run);
    run->c = *c;
    bool seam = c->part->role == PC_ROLE_SEAM;
    double first_s = start_s - c->mold_stood_s;
    pci_wall_spec spec = {.form = PC_SLAB,
                          .mold_K = c->mold_K + (c->mold_follows ? day_rise(c, first_s) : 0.0),
                          .out_W_m2K = PC_OUTSIDE_W_M2K,
                          .tolerance = c->tolerance,
                          .refine = c->refine};
    if (c->part->kind == PC_SOLID && count > 1) {
        spec.in_W_m2K = PC_OUTSIDE_W_M2K; /* it fills up: its top is free */
    } else if (c->part->kind == PC_SOLID) {
        spec.form = c->part->form;
        spec.cavity_radius_m = pci_solid_half_m(c->part);
    } else if (c->part->kind == PC_HOLLOW && c->part->shape.form != PC_SLAB) {
        spec.form = c->part->shape.form;
        spec.cavity_radius_m = c->part->shape.form_radius_m;
    }
    if (c->part->kind == PC_HOLLOW && c->part->open)
        spec.in_W_m2K = PC_OUTSIDE_W_M2K;
    /* Only a day that changes needs asking at every step. */
    spec.air_K = pci_case_air(c, start_s);
    double most_K = pci_case_peak_limit(c);
    if (c->quick && isfinite(most_K))
        spec.stop_above_K = most_K;
    if (c->piece->shop.day_count > 0) {
        spec.air_fn = wall_air;
        spec.air_context = &run->c;
    }
    pc_status status = seam ? add_edge(c, start_s, &spec) : add_mold(&c->piece->mold, &spec);
    /* Out of the oven it cools, empty, toward the shop. */
    if (status == PC_OK)
        status = pci_wall_new(&spec, first_s - c->piece->shop.mold_rest_s, &run->wall);
    return status;
}

void pci_run_end(pci_run *run) {
    pci_wall_free(run->wall);
    pci_wall_free(run->before);
    run->wall = run->before = NULL;
}

pc_status pci_run_copy(const pci_run *run, pci_run *copy) {
    *copy = *run;
    copy->wall = copy->before = NULL;
    PCI_TRY(pci_wall_copy(run->wall, &copy->wall));
    return run->before ? pci_wall_copy(run->before, &copy->before) : PC_OK;
}

/* The peak at which a layer misses its limit by so much (limits.c) is higher the cooler the layer
 * was filled: the coolest one's holds for all poured so far. */
static void stop_when_hopeless(pci_run *run, double fill_K) {
    double most_K = pci_case_peak_limit(&run->c);
    if (!isfinite(most_K))
        return;
    double base_K = fmin(fill_K, most_K - 1.0);
    double stop_K = base_K + run->c.hopeless_excess * (most_K - base_K) + 1e-6;
    run->hopeless_K = fmax(run->hopeless_K, stop_K);
    pci_wall_stop_above(run->wall, run->hopeless_K);
}

/* The state of the cup when the last of it goes in; in one run with its pot life where that is
 * asked for too. */
static pc_status cup_at_end(const pci_run *run, const pc_layer *layer, double end_s,
                            pc_cup_state *state, double *pot_life_s) {
    const pci_case *c = &run->c;
    double T_K = pci_case_resin(c, layer->mix_s), air_K = pci_case_air(c, layer->mix_s);
    double since_s = (end_s - layer->mix_s) / fmax(1.0, layer->rounds), cup_kg = pci_cup_kg(layer);
    const pc_resin *mix = pci_case_mix(c, layer->number);
    if (pot_life_s)
        return pci_cup_meet(mix, cup_kg, T_K, air_K, since_s, mix->cure.a_pot, state, pot_life_s);
    return pci_cup_at(mix, cup_kg, T_K, air_K, since_s, state);
}

/* As thick as a slug would lie if it were spread over the wall it is swirled over. */
static double slug_m(const pci_case *c, const pc_layer *layer) {
    double thick_m = layer->thickness_m * layer->poured_m3 / layer->volume_m3;
    if (c->part->shape.form == PC_SLAB)
        return thick_m;
    return fmin(thick_m, 0.9 * (c->part->shape.form_radius_m - layer->depth_m));
}

pc_status pci_run_pour(pci_run *run, const pc_layer *layer, double end_s, pc_cup_state *fill,
                       double *pot_life_s) {
    pc_cup_state state;
    bool drained = pci_drained(run->c.piece, run->c.part, layer->number);
    double thickness_m = drained ? slug_m(&run->c, layer) : layer->thickness_m;
    thickness_m *= run->c.thickness_factor;
    PCI_TRY(cup_at_end(run, layer, end_s, &state, pot_life_s));
    PCI_TRY(pci_wall_advance(run->wall, fmax(end_s, pci_wall_time(run->wall))));
    if (drained)
        PCI_TRY(pci_wall_copy(run->wall, &run->before));
    PCI_TRY(pci_wall_pour(run->wall, pci_case_mix(&run->c, layer->number), thickness_m, &state,
                          pci_mu_set(&run->c, layer->number, thickness_m)));
    if (run->c.hopeless_excess > 0.0)
        stop_when_hopeless(run, state.T_K);
    if (fill)
        *fill = state;
    return PC_OK;
}

pc_status pci_run_pour_out(pci_run *run, const pc_layer *layer, double time_s) {
    if (!run->before)
        return PC_OK;
    pci_layer_state slug;
    PCI_TRY(pci_wall_advance(run->wall, fmax(time_s, pci_wall_time(run->wall))));
    PCI_TRY(pci_wall_layer_state(run->wall, (size_t)layer->number - 1, &slug));
    PCI_TRY(pci_wall_pour_out(run->before, run->wall));
    pci_wall_free(run->wall);
    run->wall = run->before;
    run->before = NULL;
    pc_cup_state state = {slug.T_K, slug.a};
    return pci_wall_pour(run->wall, pci_case_mix(&run->c, layer->number),
                         layer->thickness_m * run->c.thickness_factor, &state, NAN);
}

pc_status pci_run_advance(pci_run *run, const pc_layer *layer, double time_s) {
    if (run->before && layer->drain_s <= time_s)
        PCI_TRY(pci_run_pour_out(run, layer, layer->drain_s));
    return pci_wall_advance(run->wall, fmax(time_s, pci_wall_time(run->wall)));
}

pc_status pci_run_gel(pci_run *run, const pc_layer *layer, pci_layer_events *events) {
    size_t index = (size_t)layer->number - 1;
    double now_s = pci_wall_time(run->wall), gel_s;
    PCI_TRY(pci_run_pour_out(run, layer, fmax(layer->drain_s, now_s))); /* fmax drops NaN */
    double latest_s = fmax(layer->mix_s + PCI_LONGEST_S, pci_wall_time(run->wall));
    pc_status status = pci_wall_until_gel(run->wall, index, latest_s, &gel_s);
    pc_status found = pci_wall_events(run->wall, index, events);
    return status == PC_OK ? found : status;
}

pc_status pci_run_cool(const pci_run *run, const pc_layer *layer, double from_s, double latest_s,
                       double *cool_s) {
    enum { LOOKS = 24 };
    pci_wall *wall;
    *cool_s = latest_s; /* where it cannot be followed */
    PCI_TRY(pci_wall_copy(run->wall, &wall));
    if (run->c.hopeless_excess > 0.0)
        pci_wall_stop_above(wall, 0.0);
    pc_status status = PC_OK;
    /* It may be cool yet: a polyester heats itself after its gel. Past the last look at which it is
     * not. */
    *cool_s = from_s;
    for (int i = 0; i <= LOOKS && status == PC_OK; i++) {
        double at_s = from_s + (latest_s - from_s) * i / LOOKS;
        pci_layer_state state;
        status = pci_wall_advance(wall, fmax(at_s, pci_wall_time(wall)));
        if (status == PC_OK)
            status = pci_wall_layer_state(wall, (size_t)layer->number - 1, &state);
        if (status == PC_OK && state.hottest_K > pci_case_air(&run->c, at_s) + PCI_COOLED_K)
            *cool_s = fmin(latest_s, at_s + (latest_s - from_s) / LOOKS);
    }
    pci_wall_free(wall);
    return status == PC_E_LIMIT ? PC_OK : status;
}

pc_status pci_run_bond_alone(const pci_run *run, const pc_layer *layer, double *closes_s) {
    pci_wall *alone;
    *closes_s = NAN;
    pc_status status = pci_wall_copy(run->wall, &alone);
    if (status != PC_OK)
        return status;
    if (run->c.hopeless_excess > 0.0) /* what it would come to is no limit of the plan */
        pci_wall_stop_above(alone, 0.0);
    double latest_s = fmax(layer->mix_s + PCI_LONGEST_S, pci_wall_time(alone));
    status = pci_wall_until_bond(alone, (size_t)layer->number - 1, latest_s, closes_s);
    pci_wall_free(alone);
    return status == PC_E_UNREACHED ? PC_OK : status;
}

pc_status pci_run_finish(pci_run *run, double latest_s, double *demold_s,
                         pci_layer_events events[]) {
    size_t count = pci_wall_layers(run->wall);
    double closes_s;
    *demold_s = NAN;
    if (count == 0)
        return PC_E_ARGUMENT;
    latest_s = fmax(latest_s, pci_wall_time(run->wall));
    pc_status status = pci_wall_until_demold(run->wall, latest_s, demold_s);
    /* A part can be ready before its last layer's bond closes: look on for it. */
    if (status == PC_OK || status == PC_E_UNREACHED)
        status = pci_wall_until_bond(run->wall, count - 1, fmax(latest_s, pci_wall_time(run->wall)),
                                     &closes_s);
    if (status == PC_E_UNREACHED)
        status = PC_OK;
    for (size_t j = 0; j < count && status == PC_OK; j++)
        status = pci_wall_events(run->wall, j, &events[j]);
    return status;
}

double pci_mu_set(const pci_case *c, int number, double thickness_m) {
    if (!pci_turned(c->piece, c->part, number))
        return NAN;
    return pci_film_mu_set(pci_case_mix(c, number)->density_kg_m3, thickness_m,
                           pci_film_speed(&c->piece->turning), c->part->shape.turn_radius_m);
}
