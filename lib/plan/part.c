/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/part.h"

#include <math.h>

#include "base/try.h"
#include "film/film_sums.h"
#include "plan/layer_film.h"
#include "plan/layout.h"
#include "plan/margins.h"
#include "plan/slug.h"
#include "pourclock/film.h"
#include "pourclock/quantity.h"
#include "resin/cup.h"
#include "wall/bound.h"
#include "wall/layers.h"

/* A pour on a cooled layer waits for this share of the time that layer's bond leaves, at most. */
static const double BOND_SHARE = 0.75;
static const double WAIT_MOST_S = 6.0 * 3600.0;

/* When the bond of a layer closes on an early day: sooner by as much as its gel comes sooner. Where
 * margins are not run, as it does by itself. */
static double early_closes(const pc_layer *last) {
    double sooner = (last->gel_early_s - last->mix_s) / (last->gel_s - last->mix_s);
    double alone_s = last->closes_alone_s - last->mix_s;
    return last->mix_s + (sooner < 1.0 ? sooner * alone_s : alone_s);
}

/* When the next layer may be poured: at the stop of the last one, or when that has cooled, within
 * its bond; not before the least wait of the shop. */
static pc_status next_pour(const pci_run *run, const pc_layer *last, double *pour_s) {
    *pour_s = last->stop_s;
    if (run->c.cooled) {
        double bond_s = BOND_SHARE * (early_closes(last) - last->stop_s);
        double latest_s = last->stop_s + fmin(fmax(bond_s, 0.0), WAIT_MOST_S);
        PCI_TRY(pci_run_cool(run, last, last->stop_s, latest_s, pour_s));
    }
    *pour_s = fmax(*pour_s, last->stop_s + run->c.piece->shop.least_layer_wait_s);
    return PC_OK;
}

/* When its mixing may start. A machine turns by itself, so that the hands mix while the last layer
 * gels and pour the moment it stops; hands that turn can mix only after it. */
static double next_mix(const pci_case *c, const pc_layer *last, double pour_s, double mix_time_s) {
    bool hands_free = c->part->kind == PC_SOLID || c->piece->turning.method == PC_MACHINE ||
                      c->piece->shop.hands > 1 || pci_brushed(c->piece, c->part, last->number);
    /* Pours fall on whole seconds of the printed clock, never before the stop. */
    pour_s = ceil(pour_s - 1e-6);
    double busy_s = hands_free ? last->pour_end_s : ceil(last->stop_s - 1e-6);
    return fmax(pour_s - mix_time_s, busy_s);
}

static pc_status plan_cup(const pci_case *c, pc_layer *layer) {
    pc_cup_events cup = {NAN, NAN, NAN, NAN};
    const pc_resin *mix = pci_case_mix(c, layer->number);
    pc_status status;
    if (c->quick || c->limits_only) { /* limits ask for the pot life alone */
        status = pci_cup_conversion_time(mix, pci_cup_kg(layer), pci_case_resin(c, layer->mix_s),
                                         pci_case_air(c, layer->mix_s), mix->cure.a_pot,
                                         &cup.pot_life_s);
        if (status == PC_E_UNREACHED)
            status = PC_OK;
    } else {
        status = pci_cup_run(mix, pci_cup_kg(layer), pci_case_resin(c, layer->mix_s),
                             pci_case_air(c, layer->mix_s), &cup);
    }
    if (status != PC_OK)
        return status;
    pci_layer_cup(layer, &cup);
    return PC_OK;
}

/* Turning between set and gel, and how even it leaves the wall. */
static void plan_turning(const pci_case *c, const pci_layer_events *events, pc_layer *layer) {
    const pc_turning *turning = &c->piece->turning;
    if (!pci_turned(c->piece, c->part, layer->number))
        return;
    layer->turns_set_to_gel = pci_turning_turns(turning, layer->set_s, layer->gel_s);
    layer->froude = pci_froude(pci_film_speed(turning), c->part->shape.turn_radius_m);
    double slower_rad_s = pci_turning_slower(turning);
    if (slower_rad_s > 0.0)
        layer->unevenness = PC_PI / slower_rad_s * fmax(0.0, events->set_ln_mu_per_s);
}

/* In a quick case: PC_E_LIMIT as soon as the batch, or the turns, break a limit. */
static pc_status quick_check(const pci_case *c, const pc_layer *layer, int count, bool poured) {
    pci_limits limits = {.count = 0};
    if (!c->quick)
        return PC_OK;
    if (!poured)
        pci_judge_batch(c, layer, count, &limits);
    else if (pci_turned(c->piece, c->part, layer->number) &&
             !(layer->turns_set_to_gel >= PC_TURNS_LEAST))
        return PC_E_LIMIT;
    return limits.count > 0 ? PC_E_LIMIT : PC_OK;
}

/* PC_E_LIMIT as soon as the plan misses by no less than the one it is to beat. */
static pc_status check_nearer(const pci_case *c, const pc_part_plan *plan, const pc_layer *layer) {
    pci_limits so_far;
    if (!c->beat)
        return PC_OK;
    pci_judge_so_far(c, plan, (size_t)layer->number, &so_far);
    return pci_misses_by_less(&so_far, c->beat) ? PC_OK : PC_E_LIMIT;
}

/* The clock, batch and cup of a layer; the wall stands at the end of its pour. */
static pc_status pour_layer(pci_run *run, double mix_s, const pc_part_plan *plan, pc_layer *layer) {
    const pci_case *c = &run->c;
    int count = (int)plan->layer_count;
    pci_layer_clock(&c->piece->shop, mix_s, layer);
    layer->mu_set_Pa_s = pci_mu_set(c, layer->number, layer->thickness_m);
    layer->pot_life_s = INFINITY; /* a limit that the batch exceeds without it needs no cup */
    pc_status status = quick_check(c, layer, count, false);
    if (status == PC_OK)
        status = plan_cup(c, layer);
    if (status == PC_OK)
        status = quick_check(c, layer, count, false);
    if (status == PC_OK)
        status = check_nearer(c, plan, layer);
    pc_cup_state fill = {NAN, NAN};
    if (status == PC_OK)
        status = pci_run_pour(run, layer, layer->pour_end_s, &fill, NULL);
    layer->fill_T_K = fill.T_K;
    layer->fill_conversion = fill.a;
    return status;
}

/* What turning makes of a layer. */
static pc_status judge_film(const pci_case *c, const pci_poured *poured, pc_layer *layer) {
    if (c->limits_only && !pci_film_decides(c->piece, layer))
        return PC_OK;
    return pci_layer_film(c, poured->wall, poured->set_ln_mu_per_s, layer);
}

/* The minute to pour a slug out. */
static pc_status plan_drain(const pci_run *run, pc_layer *layer) {
    if (!run->before)
        return PC_OK;
    PCI_TRY(pci_drain_plan(run, layer));
    return run->c.quick && !pci_drains(layer) ? PC_E_LIMIT : PC_OK;
}

static pc_status gel_layer(pci_run *run, int count, pci_poured *poured, pc_layer *layer) {
    const pci_case *c = &run->c;
    pci_layer_events events;
    pc_status status = pci_run_gel(run, layer, &events);
    if (status != PC_OK)
        return status;
    layer->gel_s = events.gel_s;
    layer->set_s = events.set_s;
    layer->first_gel_s = events.first_gel_s;
    layer->stop_s = layer->opens_s = layer->gel_s;
    plan_turning(c, &events, layer);
    poured->set_ln_mu_per_s = events.set_ln_mu_per_s;
    return quick_check(c, layer, count, true);
}

static pc_status plan_layer(pci_run *run, double mix_s, const pc_part_plan *plan,
                            pci_poured *poured, pc_layer *layer) {
    bool turned = pci_turned(run->c.piece, run->c.part, layer->number);
    pc_status status = pour_layer(run, mix_s, plan, layer);
    if (status == PC_OK)
        status = plan_drain(run, layer);
    if (status == PC_OK && run->c.film && turned)
        status = pci_wall_copy(run->wall, &poured->wall);
    return status == PC_OK ? gel_layer(run, (int)plan->layer_count, poured, layer) : status;
}

/* The wall follows the last cup of a brushed coat: what the first cup covered closes as much sooner
 * as it was brushed sooner. */
static void close_brushed(pc_layer *layer) {
    double sooner_s = pci_last_mix(layer) - layer->mix_s;
    if (!(layer->cup_s > 0.0))
        return;
    layer->closes_s -= sooner_s;
    layer->first_gel_s -= sooner_s;
}

static pc_status finish(pci_run *run, double start_s, pc_part_plan *plan) {
    pci_layer_events events[PC_LAYERS_MOST];
    /* The last layer may have gelled later than that: then the part does not cure in time. */
    pc_status status = pci_run_finish(run, start_s + PCI_LONGEST_S, &plan->demold_s, events);
    for (size_t j = 0; j < plan->layer_count && status == PC_OK; j++) {
        plan->layer[j]->closes_s = events[j].bond_close_s;
        plan->layer[j]->peak_K = events[j].peak_K;
        plan->layer[j]->peak_s = events[j].peak_s;
        close_brushed(plan->layer[j]);
    }
    return status;
}

/* The printed clock stops turning when 95 % of the samples have gelled. */
static pc_status with_margins(pci_samples *samples, pc_layer *layer) {
    pc_status status = pci_samples_layer(samples, layer);
    if (status == PC_OK && layer->gel_late_s > layer->gel_s)
        layer->stop_s = layer->opens_s = layer->gel_late_s;
    return status;
}

/* Where only limits are asked for, a bond by itself is what a pour on a cooled layer waits by, and
 * a part on a part. */
static bool asks_bond(const pci_case *c, bool last) {
    if (c->cooled && !last)
        return true;
    return !c->quick && (!c->limits_only || (last && c->piece->part_count > 1));
}

/* The next layer of the plan, but for its film, and when the mixing of the one after it may start.
 */
static pc_status plan_next(pci_planning *p) {
    pci_run *run = &p->run;
    pc_part_plan *plan = p->plan;
    size_t j = p->planned++;
    pc_layer *layer = plan->layer[j];
    bool last = j + 1 == plan->layer_count;
    double pour_s;
    PCI_TRY(plan_layer(run, p->mix_s, plan, &p->poured[j], layer));
    PCI_TRY(with_margins(p->samples, layer));
    if (asks_bond(&run->c, last))
        PCI_TRY(pci_run_bond_alone(run, layer, &layer->closes_alone_s));
    if (layer->cup_s > 0.0)
        layer->closes_alone_s -= pci_last_mix(layer) - layer->mix_s;
    if (last)
        return PC_OK;
    PCI_TRY(next_pour(run, layer, &pour_s));
    p->mix_s =
        next_mix(&run->c, layer, pour_s, pci_mix_time(&run->c.piece->shop, plan->layer[j + 1]));
    return PC_OK;
}

bool pci_ran_hot(const pci_run *run) {
    double most_K = pci_case_peak_limit(&run->c);
    for (size_t j = 0; j < pci_wall_layers(run->wall); j++) {
        pci_layer_events events;
        if (pci_wall_events(run->wall, j, &events) == PC_OK && events.peak_K > most_K)
            return true;
    }
    return false;
}

pc_status pci_planning_begin(const pci_case *c, int count, bool split, double start_s, bool margins,
                             pc_part_plan *plan, pci_planning *p) {
    *p = (pci_planning){.plan = plan, .start_s = start_s, .mix_s = start_s, .limits.worst = 1.0};
    PCI_TRY(pci_layout(c->piece, c->part, count, split, plan));
    plan->cooled = c->cooled;
    PCI_TRY(pci_run_begin(&p->run, c, plan->layer_count, start_s));
    return margins ? pci_samples_new(c, plan->layer_count, start_s, &p->samples) : PC_OK;
}

void pci_planning_end(pci_planning *p) {
    if (p->run.c.work && p->run.wall)
        *p->run.c.work += pci_wall_work(p->run.wall);
    pci_samples_free(p->samples);
    for (size_t j = 0; j < PC_LAYERS_MOST; j++)
        pci_wall_free(p->poured[j].wall);
    pci_run_end(&p->run);
}

static pc_status finish_planning(pci_planning *p) {
    pc_part_plan *plan = p->plan;
    PCI_TRY(finish(&p->run, p->start_s, plan));
    return pci_samples_finish(p->samples, plan, plan->most_sensitive, sizeof plan->most_sensitive);
}

/* The film of the next layer that has one and has gelled. */
static pc_status plan_film(pci_planning *p) {
    pc_layer *layer = p->plan->layer[p->filmed];
    pci_poured *poured = &p->poured[p->filmed++];
    pc_status status = PC_OK;
    if (poured->wall && !isnan(layer->gel_s))
        status = judge_film(&p->run.c, poured, layer);
    pci_wall_free(poured->wall);
    poured->wall = NULL;
    return status;
}

/* One thing of it: the next layer, the end, or the next film. */
static pc_status do_next(pci_planning *p) {
    if (p->finished)
        return plan_film(p);
    p->finished = p->planned == p->plan->layer_count;
    return p->finished ? finish_planning(p) : plan_next(p);
}

static bool has_films(const pci_planning *p) {
    size_t j = p->filmed;
    while (j < p->planned && !p->poured[j].wall)
        j++;
    return j < p->planned;
}

pc_status pci_planning_step(pci_planning *p) {
    const pci_case *c = &p->run.c;
    pc_status status = do_next(p);
    if (status == PC_E_UNREACHED) { /* never gels: said as a limit that does not hold */
        p->finished = true;
        status = PC_OK;
    }
    p->done = status != PC_OK || (p->finished && !has_films(p));
    if (status == PC_OK && p->finished)
        pci_judge(c, p->plan, &p->limits);
    else if (status == PC_OK)
        pci_judge_so_far(c, p->plan, p->planned, &p->limits);
    if (status == PC_OK && c->beat && !p->done && !pci_misses_by_less(&p->limits, c->beat))
        status = PC_E_LIMIT;
    p->plan->feasible = status == PC_OK && p->limits.count == 0;
    if (status == PC_OK)
        return PC_OK;
    p->done = true;
    p->limits.count = 0;
    p->limits.worst = 1.0;
    if (status == PC_E_LIMIT)
        pci_limit_broken(&p->limits, pci_ran_hot(&p->run) ? PCI_LIMIT_PEAK : PCI_LIMIT_NONE, 0, NAN,
                         NAN, 2.0);
    return status;
}

pc_status pci_part_plan(const pci_case *c, int count, bool split, double start_s, bool margins,
                        pc_part_plan *plan, pci_limits *limits) {
    pci_planning p;
    pc_status status = pci_planning_begin(c, count, split, start_s, margins, plan, &p);
    while (status == PC_OK && !p.done)
        status = pci_planning_step(&p);
    *limits = p.limits;
    pci_planning_end(&p);
    return status;
}
