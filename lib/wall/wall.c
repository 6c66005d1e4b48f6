/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "wall/layers.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/range.h"
#include "base/try.h"
#include "resin/cure_rate.h"
#include "wall/bound.h"
#include "wall/inside.h"
#include "wall/pour_out.h"

static const pc_material mold_row[PC_MOLD_KIND_COUNT] = {
#define ROW(name, word, k, rho, cp) {k, rho, cp},
    PC_MOLD_TABLE(ROW)
#undef ROW
};

static const double DEFAULT_TOLERANCE = 4e-5;
/* What a resin burning through half a meter takes, five times over: a few seconds of work. A finer
 * grid and a closer tolerance than the default's are allowed what they need. */
static const double WORK_MOST = 2e7;
static const double CONTACT_SPREADS = 4.0;

pc_status pci_mold_material(pc_mold_kind kind, pc_material *material) {
    if (!material || (unsigned)kind >= PC_MOLD_KIND_COUNT)
        return PC_E_ARGUMENT;
    *material = mold_row[kind];
    return PC_OK;
}

pc_status pci_mold_stack(pc_mold_kind shell, double shell_m, pc_mold_kind rubber, double rubber_m,
                         pci_wall_spec *spec) {
    const pc_mold_kind kind[] = {shell, rubber};
    const double thick_m[] = {shell_m, rubber_m};
    size_t n = 0;
    for (size_t i = 0; i < 2; i++) {
        if (!(thick_m[i] > 0.0))
            continue;
        spec->mold_thickness_m[n] = thick_m[i];
        PCI_TRY(pci_mold_material(kind[i], &spec->mold[n++]));
    }
    spec->mold_count = n;
    return PC_OK;
}

static bool sane_temperature(double T_K) {
    return pci_within(T_K, PC_CURE_TEMPERATURE_MIN_K, PC_CURE_TEMPERATURE_MAX_K);
}

static bool sane_material(const pc_material *m) {
    return pci_within(m->k_W_mK, 1e-3, 1e4) && pci_within(m->rho_kg_m3, 1.0, 1e5) &&
           pci_within(m->cp_J_kgK, 1.0, 1e5);
}

static bool sane_spec(const pci_wall_spec *spec) {
    if ((unsigned)spec->form > PC_SPHERE || spec->mold_count > PC_MOLD_MOST)
        return false;
    if (spec->form != PC_SLAB && !pci_within(spec->cavity_radius_m, 1e-4, 100.0))
        return false;
    for (size_t i = 0; i < spec->mold_count; i++)
        if (!pci_within(spec->mold_thickness_m[i], 1e-5, 2.0) || !sane_material(&spec->mold[i]))
            return false;
    return sane_temperature(spec->mold_K) && pci_within(spec->out_W_m2K, 0.0, 1e9) &&
           pci_within(spec->in_W_m2K, 0.0, 1e9) &&
           (spec->air_fn || sane_temperature(spec->air_K)) &&
           pci_within(spec->tolerance, 0.0, 0.1) && pci_within(spec->refine, 0.0, 64.0) &&
           spec->stop_above_K >= 0.0;
}

pc_status pci_wall_new(const pci_wall_spec *spec, double start_s, pci_wall **wall) {
    if (!spec || !wall || !sane_spec(spec) || !isfinite(start_s))
        return PC_E_ARGUMENT;
    pci_wall *w = calloc(1, sizeof *w);
    if (!w)
        return PC_E_MEMORY;
    w->spec = *spec;
    if (!(spec->tolerance > 0.0))
        w->spec.tolerance = DEFAULT_TOLERANCE;
    if (!(spec->refine > 0.0))
        w->spec.refine = 1.0;
    w->t_s = w->t_old_s = start_s;
    w->step_s = 1.0;
    w->demold_s = NAN;
    w->stop_K = spec->stop_above_K;
    w->work_most = WORK_MOST * fmax(1.0, w->spec.refine * w->spec.refine) *
                   fmax(1.0, DEFAULT_TOLERANCE / w->spec.tolerance);
    double mold_m = 0.0;
    for (size_t i = 0; i < spec->mold_count; i++)
        mold_m += spec->mold_thickness_m[i];
    w->outer_radius_m = spec->form == PC_SLAB ? 0.0 : spec->cavity_radius_m + mold_m;
    w->depth_m = mold_m;
    pc_status status = pci_wall_grow_mold(w);
    if (status != PC_OK) {
        pci_wall_free(w);
        return status;
    }
    *wall = w;
    return PC_OK;
}

void pci_wall_free(pci_wall *wall) {
    if (!wall)
        return;
    pci_wall_release(wall);
    free(wall);
}

static void copy_state(const pci_wall *from, pci_wall *to) {
    const pci_nodes *fn = &from->n;
    const pci_points *fp = &from->p;
    const struct {
        double *to;
        const double *from;
        size_t count;
    } arrays[] = {
        {to->n.x_m, fn->x_m, fn->count},     {to->n.C, fn->C, fn->count},
        {to->n.G, fn->G, fn->count},         {to->n.T, fn->T, fn->count},
        {to->n.T_old, fn->T_old, fn->count}, {to->n.F, fn->F, fn->count},
        {to->n.F_old, fn->F_old, fn->count}, {to->p.volume, fp->volume, fp->count},
        {to->p.Q, fp->Q, fp->count},         {to->p.a, fp->a, fp->count},
        {to->p.a_old, fp->a_old, fp->count}, {to->p.F, fp->F, fp->count},
        {to->p.F_old, fp->F_old, fp->count},
    };
    for (size_t i = 0; i < sizeof arrays / sizeof *arrays; i++)
        if (arrays[i].count > 0)
            memcpy(arrays[i].to, arrays[i].from, arrays[i].count * sizeof(double));
    if (fp->count > 0)
        memcpy(to->p.node, fp->node, fp->count * sizeof *fp->node);
    if (from->layer_count > 0)
        memcpy(to->layer, from->layer, from->layer_count * sizeof *from->layer);
}

pc_status pci_wall_copy(const pci_wall *wall, pci_wall **copy) {
    if (!wall || !copy)
        return PC_E_ARGUMENT;
    pci_wall *w = malloc(sizeof *w);
    if (!w)
        return PC_E_MEMORY;
    *w = *wall;
    memset(&w->n, 0, sizeof w->n);
    memset(&w->p, 0, sizeof w->p);
    w->layer_room = wall->layer_count + 1; /* a copy often takes the next layer */
    w->layer = calloc(w->layer_room, sizeof *w->layer);
    if (!w->layer || pci_wall_reserve(w, wall->n.count + 1, wall->p.count + 1) != PC_OK) {
        pci_wall_free(w);
        return PC_E_MEMORY;
    }
    w->n.count = wall->n.count;
    w->p.count = wall->p.count;
    copy_state(wall, w);
    *copy = w;
    return PC_OK;
}

static bool sane_pour(const pci_wall *wall, const pc_resin *resin, double thickness_m,
                      const pc_cup_state *state) {
    const pc_cure *cure = &resin->cure;
    pc_material material = {cure->k_W_mK, resin->density_kg_m3, cure->cp_J_kgK};
    if (wall->layer_count >= PC_WALL_LAYERS_MOST || !pci_within(thickness_m, 1e-6, 1.0) ||
        !sane_material(&material) || !sane_temperature(state->T_K) ||
        !pci_within(state->a, 0.0, 1.0))
        return false;
    if (!pci_within(cure->A1_per_s, 0.0, 1e30) || !pci_within(cure->A2_per_s, 0.0, 1e30) ||
        !pci_within(cure->E1_J_mol, 0.0, 1e6) || !pci_within(cure->E2_J_mol, 0.0, 1e6) ||
        !pci_within(cure->m, 0.0, 10.0) || !pci_within(cure->n, 0.0, 10.0) ||
        !pci_within(cure->heat_J_kg, 0.0, 1e7) || !pci_within(cure->a_gel, 0.0, 1.0))
        return false;
    double inner = wall->outer_radius_m - wall->depth_m - thickness_m;
    return wall->spec.form == PC_SLAB || inner >= -1e-9 * wall->outer_radius_m;
}

static double effusivity(double k_W_mK, double rho_kg_m3, double cp_J_kgK) {
    return sqrt(k_W_mK * rho_kg_m3 * cp_J_kgK);
}

/* Temperature at which two bodies meet, by their effusivities: what the face between the wall so
 * far, at wall_K, and a layer to come takes at once and keeps for a while. */
static double contact_temperature(const pci_wall *wall, double wall_K, const pc_resin *resin,
                                  double T_K) {
    const pci_wall_spec *spec = &wall->spec;
    double old, fresh = effusivity(resin->cure.k_W_mK, resin->density_kg_m3, resin->cure.cp_J_kgK);
    if (wall->layer_count > 0) {
        const pc_resin *under = &wall->layer[wall->layer_count - 1].resin;
        old = effusivity(under->cure.k_W_mK, under->density_kg_m3, under->cure.cp_J_kgK);
    } else if (spec->mold_count > 0) {
        const pc_material *m = &spec->mold[spec->mold_count - 1];
        old = effusivity(m->k_W_mK, m->rho_kg_m3, m->cp_J_kgK);
    } else {
        return T_K;
    }
    return (old * wall_K + fresh * T_K) / (old + fresh);
}

static void raise_peak(pci_layer_events *events, double T_K, double time_s) {
    if (T_K > events->peak_K) {
        events->peak_K = T_K;
        events->peak_s = time_s;
    }
}

/* Points that come out of the cup gelled already have no crossing to find. */
static void note_at_pour(pci_wall *wall, pci_wall_layer *layer, const pc_cup_state *state) {
    const pc_cure *cure = &layer->resin.cure;
    pci_layer_events *e = &layer->now.events;
    *e = (pci_layer_events){NAN, NAN, NAN, NAN, NAN, -INFINITY, wall->t_s};
    layer->now.last_gel_s = -INFINITY;
    layer->now.gelled = 0;
    if (state->a >= cure->a_gel) {
        layer->now.gelled = layer->count;
        e->first_gel_s = e->gel_s = wall->t_s;
    }
    if (state->a >= cure->a_bond)
        e->bond_close_s = wall->t_s;
    if (pci_viscosity(&layer->resin.flow, state->a, state->T_K) >= layer->mu_set_Pa_s)
        e->set_s = wall->t_s;
    raise_peak(e, state->T_K, wall->t_s);
}

static bool room_for_layer(pci_wall *wall) {
    if (wall->layer_count < wall->layer_room)
        return true;
    size_t room = wall->layer_room == 0 ? 1 : 2 * wall->layer_room;
    pci_wall_layer *bigger = realloc(wall->layer, room * sizeof *bigger);
    if (!bigger)
        return false;
    wall->layer = bigger;
    wall->layer_room = room;
    return true;
}

pc_status pci_wall_pour(pci_wall *wall, const pc_resin *resin, double thickness_m,
                        const pc_cup_state *state, double mu_set_Pa_s) {
    if (!wall || !resin || !state || !sane_pour(wall, resin, thickness_m, state))
        return PC_E_ARGUMENT;
    if (!room_for_layer(wall))
        return PC_E_MEMORY;
    pci_wall_layer *layer = &wall->layer[wall->layer_count];
    memset(layer, 0, sizeof *layer);
    layer->resin = *resin;
    layer->thickness_m = thickness_m;
    layer->mu_set_Pa_s = mu_set_Pa_s;
    layer->pour_s = wall->t_s;
    pci_rate_prepare(&resin->cure, &layer->rate);
    double wall_K = wall->n.count > 0 ? wall->n.T[wall->n.count - 1] : state->T_K;
    double contact_K = contact_temperature(wall, wall_K, resin, state->T_K);
    PCI_TRY(pci_wall_grow_layer(wall, layer, thickness_m, state));
    for (size_t i = layer->first; i < wall->p.count; i++)
        wall->released_0_J += wall->p.Q[i] * state->a;
    note_at_pour(wall, layer, state);
    raise_peak(&layer->now.events, contact_K, wall->t_s);
    if (wall->layer_count > 0)
        raise_peak(&layer[-1].now.events, contact_K, wall->t_s);
    wall->layer_count++;
    wall->demold_s = NAN;
    wall->rates_fresh = false;
    wall->t_old_s = wall->t_s;
    /* The jump of temperature at the new face spreads over one element in about this long. */
    double width = thickness_m / (double)(layer->count - 1);
    double spread_s =
        width * width * resin->density_kg_m3 * resin->cure.cp_J_kgK / resin->cure.k_W_mK;
    wall->step_s = 0.1 * spread_s;
    layer->contact_s = wall->t_s + CONTACT_SPREADS * spread_s;
    return PC_OK;
}

static pc_status one_step(pci_wall *wall, double end_s) {
    PCI_TRY(pci_wall_step(wall, end_s));
    pci_wall_note_events(wall);
    for (size_t l = 0; wall->stop_K > 0.0 && l < wall->layer_count; l++)
        if (wall->layer[l].now.events.peak_K > wall->stop_K)
            return PC_E_LIMIT;
    return PC_OK;
}

static bool at_time(const pci_wall *wall, double time_s) {
    return wall->t_s >= time_s;
}

static bool sane_wall_time(const pci_wall *wall, double time_s) {
    return wall && isfinite(time_s) && time_s >= wall->t_s;
}

pc_status pci_wall_advance(pci_wall *wall, double time_s) {
    if (!sane_wall_time(wall, time_s))
        return PC_E_ARGUMENT;
    if (wall->n.count == 0) { /* bare, before the first pour: nothing to conduct */
        wall->t_s = wall->t_old_s = time_s;
        return PC_OK;
    }
    while (!at_time(wall, time_s)) {
        PCI_TRY(one_step(wall, time_s));
    }
    return PC_OK;
}

pc_status pci_wall_viscosity_at(pci_wall *wall, size_t layer, double time_s, double end_s,
                                double *mu_Pa_s) {
    pci_layer_state state;
    if (!wall || !mu_Pa_s || !(time_s >= wall->t_old_s) || !(time_s <= end_s))
        return PC_E_ARGUMENT;
    while (wall->t_s < end_s && (wall->t_s < time_s || !(wall->t_old_s < wall->t_s)))
        PCI_TRY(one_step(wall, end_s));
    PCI_TRY(pci_wall_layer_state(wall, layer, &state));
    double step_s = wall->t_s - wall->t_old_s;
    *mu_Pa_s = step_s > 0.0 ? pci_layer_viscosity(wall, &wall->layer[layer],
                                                  (time_s - wall->t_old_s) / step_s)
                            : state.mu_Pa_s;
    return PC_OK;
}

/* Goes back to the start of the last step and forward again to a time inside it, so that the next
 * pour can happen at the event itself. */
static pc_status land_on(pci_wall *wall, double time_s) {
    if (!(time_s < wall->t_s) || time_s < wall->t_old_s)
        return PC_OK;
    double step_s = wall->step_s, demold_s = wall->demold_s;
    size_t nodes = wall->n.count, points = wall->p.count;
    memcpy(wall->n.T, wall->n.T_old, nodes * sizeof *wall->n.T);
    memcpy(wall->p.a, wall->p.a_old, points * sizeof *wall->p.a);
    for (size_t l = 0; l < wall->layer_count; l++)
        wall->layer[l].now = wall->layer[l].before;
    wall->lost_J = wall->lost_old_J;
    wall->t_s = wall->t_old_s;
    wall->rates_fresh = false;
    wall->demold_s = demold_s > wall->t_s ? NAN : demold_s;
    pc_status status = pci_wall_advance(wall, time_s);
    wall->step_s = step_s;
    return status;
}

typedef double (*event_time)(const pci_wall *wall, size_t layer);

static double gel_time(const pci_wall *wall, size_t layer) {
    return wall->layer[layer].now.events.gel_s;
}

static double bond_time(const pci_wall *wall, size_t layer) {
    return wall->layer[layer].now.events.bond_close_s;
}

static double demold_time(const pci_wall *wall, size_t layer) {
    (void)layer;
    return wall->demold_s;
}

static pc_status until(pci_wall *wall, event_time event, size_t layer, double latest_s,
                       double *time_s) {
    if (!time_s || !sane_wall_time(wall, latest_s) || layer >= wall->layer_count)
        return PC_E_ARGUMENT;
    while (isnan(event(wall, layer)) && !at_time(wall, latest_s)) {
        PCI_TRY(one_step(wall, latest_s));
    }
    double found_s = event(wall, layer);
    if (isnan(found_s))
        return PC_E_UNREACHED;
    *time_s = found_s;
    return PC_OK;
}

pc_status pci_wall_until_gel(pci_wall *wall, size_t layer, double latest_s, double *time_s) {
    pc_status status = until(wall, gel_time, layer, latest_s, time_s);
    if (status == PC_OK)
        status = land_on(wall, *time_s);
    if (status == PC_OK) {
        /* The step that landed here may place the last crossing a rounding or step error off. */
        wall->layer[layer].now.gelled = wall->layer[layer].count;
        wall->layer[layer].now.events.gel_s = *time_s;
    }
    return status;
}

pc_status pci_wall_until_bond(pci_wall *wall, size_t layer, double latest_s, double *time_s) {
    pc_status status = until(wall, bond_time, layer, latest_s, time_s);
    if (status == PC_OK)
        status = land_on(wall, *time_s);
    if (status == PC_OK)
        wall->layer[layer].now.events.bond_close_s = *time_s;
    return status;
}

pc_status pci_wall_until_demold(pci_wall *wall, double latest_s, double *time_s) {
    pc_status status = until(wall, demold_time, 0, latest_s, time_s);
    if (status == PC_OK)
        status = land_on(wall, *time_s);
    if (status == PC_OK)
        wall->demold_s = *time_s;
    return status;
}

pc_status pci_wall_pour_out(pci_wall *before, const pci_wall *wall) {
    if (!before || !wall || wall->layer_count != before->layer_count + 1 ||
        wall->n.count < before->n.count || wall->p.count < before->p.count ||
        !(wall->t_s >= before->t_s))
        return PC_E_ARGUMENT;
    if (before->n.count > 0)
        memcpy(before->n.T, wall->n.T, before->n.count * sizeof *wall->n.T);
    if (before->p.count > 0)
        memcpy(before->p.a, wall->p.a, before->p.count * sizeof *wall->p.a);
    for (size_t l = 0; l < before->layer_count; l++)
        before->layer[l].now = before->layer[l].before = wall->layer[l].now;
    before->t_s = before->t_old_s = wall->t_s;
    before->step_s = wall->step_s;
    before->work = wall->work;
    before->lost_J = before->lost_old_J = wall->lost_J;
    before->demold_s = NAN;
    before->rates_fresh = false;
    return PC_OK;
}

void pci_wall_stop_above(pci_wall *wall, double T_K) {
    wall->stop_K = T_K;
}

void pci_wall_bound_work(pci_wall *wall, double work) {
    wall->work_most = work;
}

double pci_wall_work(const pci_wall *wall) {
    return wall->work;
}

double pci_wall_time(const pci_wall *wall) {
    return wall ? wall->t_s : NAN;
}

size_t pci_wall_layers(const pci_wall *wall) {
    return wall ? wall->layer_count : 0;
}

pc_status pci_wall_events(const pci_wall *wall, size_t layer, pci_layer_events *events) {
    if (!wall || !events || layer >= wall->layer_count)
        return PC_E_ARGUMENT;
    *events = wall->layer[layer].now.events;
    return PC_OK;
}
