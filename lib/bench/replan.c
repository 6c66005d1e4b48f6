/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The plan for what is left: every layer that has not happened moves with what has. */
#include "bench/replan.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/text.h"
#include "base/try.h"
#include "plan/layout.h"
#include "plan/slug.h"
#include "pourclock/words.h"
#include "resin/cup.h"
#include "schedule/build.h"
#include "schedule/parts.h"
#include "wall/layers.h"

typedef struct rerun {
    const pc_piece *piece;
    const pc_schedule *plan;
    const pc_actual *actual;
    double now_s;
    double spread; /* today's error of the pace over the data sheet's: margins shrink with it */
    double ln_s;
    pci_run part[PC_PARTS_MOST];
    pc_schedule *out;
} rerun;

size_t pci_mix_order(const pc_schedule *plan, pci_turn *order) {
    size_t count = 0;
    for (size_t p = 0; p < plan->part_count && p < PC_PARTS_MOST; p++) {
        for (size_t j = 0; j < plan->part[p]->layer_count && j < PC_LAYERS_MOST; j++) {
            /* Insertion: few layers, and equal times keep the order of parts. */
            size_t at = count++;
            double mix_s = plan->part[p]->layer[j]->mix_s;
            while (at > 0 &&
                   plan->part[order[at - 1].part]->layer[order[at - 1].layer]->mix_s > mix_s) {
                order[at] = order[at - 1];
                at--;
            }
            order[at] = (pci_turn){p, j};
        }
    }
    return count;
}

static double known(double value, double otherwise) {
    return isfinite(value) ? value : otherwise;
}

/* Mixed while another part's batch is still in hand: there are hands enough for both. */
static bool planned_beside(const rerun *run, const pci_turn *turn, const pci_turn *before) {
    const pc_layer *layer = run->plan->part[turn->part]->layer[turn->layer];
    const pc_layer *other = run->plan->part[before->part]->layer[before->layer];
    return turn->part != before->part && layer->mix_s < other->pour_end_s - 1.0;
}

/* The layer it is poured on: the one before it in its part, or the last of the part below in its
 * mold; a part past the last: none. */
static pci_turn turn_below(const rerun *run, const pci_turn *turn) {
    if (turn->layer > 0)
        return (pci_turn){turn->part, turn->layer - 1};
    size_t part = pci_part_below(run->plan->part, run->plan->part_count, turn->part);
    if (part >= run->plan->part_count || run->plan->part[part]->layer_count == 0)
        return (pci_turn){run->plan->part_count, 0};
    return (pci_turn){part, run->plan->part[part]->layer_count - 1};
}

/* When a part of another mold is out of it: as planned, later by as much as its gel comes later and
 * as it is asked to; or as it was. */
static double out_of_mold(const rerun *run, size_t part) {
    const pc_part_plan *plan = run->plan->part[part];
    if (plan->layer_count == 0)
        return -INFINITY;
    double later_s = run->out->part[part]->layer[plan->layer_count - 1]->stop_s -
                     plan->layer[plan->layer_count - 1]->stop_s;
    double planned_s = known(plan->demold_late_s, plan->demold_s);
    return known(run->actual->demold_s[part],
                 planned_s + known(later_s, 0.0) + run->actual->demold_late_s[part]);
}

/* Earliest mix of a part that waits until others are out of their molds. */
static double after_others(const rerun *run, size_t part) {
    const pc_part_plan *plan = run->plan->part[part];
    double mix_s = -INFINITY;
    for (size_t k = 0; k < run->plan->part_count; k++)
        if (plan->waits_for >> k & 1u)
            mix_s = fmax(mix_s, out_of_mold(run, k) + plan->ready_s);
    return mix_s;
}

/* When the batch can be mixed: its layer's turn has come, and the hands are free. */
static double mix_time(const rerun *run, const pci_turn *turn, const pci_turn *before) {
    const pc_actual_layer *was = &run->actual->layer[turn->part][turn->layer];
    if (isfinite(was->mix_s))
        return was->mix_s;
    const pc_layer *layer = run->plan->part[turn->part]->layer[turn->layer];
    double mix_s = layer->mix_s;
    const pci_turn under = turn_below(run, turn);
    if (under.part < run->plan->part_count) {
        const pc_layer *below = run->plan->part[under.part]->layer[under.layer];
        double opened_s = known(below->opens_s, below->pour_end_s);
        const pc_layer *below_now = run->out->part[under.part]->layer[under.layer];
        mix_s = known(below_now->opens_s, below_now->pour_end_s) + (layer->mix_s - opened_s);
    }
    if (before != NULL && !planned_beside(run, turn, before)) {
        const pc_layer *other = run->plan->part[before->part]->layer[before->layer];
        const pc_layer *other_now = run->out->part[before->part]->layer[before->layer];
        bool turns = run->plan->part[before->part]->kind == PC_HOLLOW; /* a solid stops by itself */
        bool after_stop = turns && isfinite(other->stop_s) && layer->mix_s >= other->stop_s - 1.0;
        double free_s =
            after_stop ? known(other_now->stop_s, other_now->pour_end_s) : other_now->pour_end_s;
        /* A layer's own successor may be mixed while the mold still turns, as planned. */
        if (before->part != turn->part || !after_stop)
            mix_s = fmax(mix_s, free_s);
    }
    if (turn->layer == 0)
        mix_s = fmax(mix_s, after_others(run, turn->part));
    return fmax(mix_s + was->late_s, run->now_s);
}

/* A margin beside a nominal time, no wider than what is known today. */
static double margin(const rerun *run, double planned_s, double planned_nominal_s, double now_s) {
    return now_s + (planned_s - planned_nominal_s) * run->spread;
}

static pc_status fill_cup(const rerun *run, const pci_run *part, const pc_layer *planned,
                          pc_layer *layer) {
    pc_cup_events cup;
    const pci_case *c = &part->c;
    PCI_TRY(pci_cup_run(pci_case_mix(c, layer->number), pci_cup_kg(layer),
                        pci_case_resin(c, layer->mix_s), pci_case_air(c, layer->mix_s), &cup));
    pci_layer_cup(layer, &cup);
    double early_share = (planned->pour_by_early_s - pci_last_mix(planned)) /
                         (planned->pour_by_s - pci_last_mix(planned));
    layer->pour_by_early_s = pci_last_mix(layer) + PCI_POT_SHARE * cup.pot_life_s *
                                                       (1.0 - (1.0 - early_share) * run->spread);
    return PC_OK;
}

static pc_status fill_wall(rerun *run, const pci_turn *turn, const pc_layer *planned,
                           pc_layer *layer) {
    const pc_actual_layer *was = &run->actual->layer[turn->part][turn->layer];
    pci_run *part = &run->part[turn->part];
    pc_cup_state in;
    pci_layer_events events;
    double planned_out_s = layer->drain_s;
    pc_status status = pci_run_pour(part, layer, layer->pour_end_s, &in, NULL);
    if (status == PC_OK && part->before != NULL) {
        status = pci_drain_plan(part, layer);
        layer->drain_s = known(layer->drain_s, planned_out_s);
    }
    if (status == PC_OK)
        status = pci_run_gel(part, layer, &events);
    if (status != PC_OK)
        return status;
    layer->fill_T_K = in.T_K;
    layer->fill_conversion = in.a;
    layer->set_s = events.set_s;
    layer->first_gel_s = events.first_gel_s;
    layer->peak_K = events.peak_K;
    layer->peak_s = events.peak_s;
    layer->gel_s = known(was->gel_s, events.gel_s);
    layer->set_early_s = margin(run, planned->set_early_s, planned->set_s, layer->set_s);
    layer->gel_early_s = margin(run, planned->gel_early_s, planned->gel_s, layer->gel_s);
    layer->gel_late_s = margin(run, planned->gel_late_s, planned->gel_s, layer->gel_s);
    if (isfinite(was->gel_s))
        layer->gel_early_s = layer->gel_late_s = was->gel_s;
    double stop_s = isfinite(was->gel_s)
                        ? was->gel_s
                        : margin(run, planned->stop_s, planned->gel_s, layer->gel_s);
    if (isfinite(planned->stop_s))
        layer->stop_s = known(was->stop_s, fmax(stop_s, run->now_s));
    if (isfinite(planned->opens_s))
        layer->opens_s = known(was->stop_s, stop_s);
    return pci_run_bond_alone(part, layer, &layer->closes_alone_s);
}

static pc_status run_turn(rerun *run, const pci_turn *turn, const pci_turn *before) {
    const pc_layer *planned = run->plan->part[turn->part]->layer[turn->layer];
    pc_layer *layer = run->out->part[turn->part]->layer[turn->layer];
    const pc_actual_layer *was = &run->actual->layer[turn->part][turn->layer];
    layer->mix_s = mix_time(run, turn, before);
    layer->pour_s = layer->mix_s + (planned->pour_s - planned->mix_s);
    layer->pour_end_s = known(
        was->pour_end_s, fmax(layer->pour_s + (planned->pour_end_s - planned->pour_s), run->now_s));
    layer->pour_s = fmin(layer->pour_s, layer->pour_end_s);
    if (isfinite(planned->drain_s))
        layer->drain_s = layer->pour_end_s + (planned->drain_s - planned->pour_end_s);
    pc_status status = PC_OK;
    if (turn->layer == 0) {
        pci_case paced;
        pci_case_at_pace(run->piece, run->out, turn->part, run->ln_s, &paced);
        status = pci_run_begin(&run->part[turn->part], &paced,
                               run->plan->part[turn->part]->layer_count, layer->mix_s);
    }
    if (status == PC_OK)
        status = fill_cup(run, &run->part[turn->part], planned, layer);
    return status == PC_OK ? fill_wall(run, turn, planned, layer) : status;
}

static pc_status fill_demold(rerun *run, size_t part) {
    const pc_part_plan *planned = run->plan->part[part];
    pc_part_plan *now = run->out->part[part];
    pci_run *part_run = &run->part[part];
    pci_layer_events events[PC_LAYERS_MOST];
    double late_s = run->actual->demold_late_s[part];
    if (planned->layer_count == 0)
        return PC_OK;
    double latest_s = pci_wall_time(part_run->wall) + PCI_LONGEST_S;
    pc_status status = pci_run_finish(part_run, latest_s, &now->demold_s, events);
    now->demold_late_s = margin(run, planned->demold_late_s, planned->demold_s, now->demold_s);
    now->demold_s += late_s;
    now->demold_late_s += late_s;
    run->out->demold_s = fmax(run->out->demold_s, now->demold_s);
    run->out->demold_late_s = fmax(run->out->demold_late_s, now->demold_late_s);
    for (size_t j = 0; j < planned->layer_count && status == PC_OK; j++) {
        pc_layer *layer = now->layer[j];
        const pc_layer *was = planned->layer[j];
        layer->peak_K = events[j].peak_K;
        layer->peak_s = events[j].peak_s;
        layer->peak_late_K = margin(run, was->peak_late_K, was->peak_K, layer->peak_K);
        layer->closes_s = known(events[j].bond_close_s, layer->closes_alone_s);
        layer->closes_early_s = margin(run, was->closes_early_s, was->closes_s, layer->closes_s);
    }
    return status;
}

/* ---- what has gone wrong ---- */

static void warn(const rerun *run, const pci_turn *turn, const char *code, const char *text,
                 const char *remedy) {
    pc_warning *warning = pci_add_warning(run->out, code, true);
    if (warning == NULL)
        return;
    warning->part = turn->part;
    warning->layer = run->out->part[turn->part]->layer[turn->layer]->number;
    pci_copy_text(warning->text, sizeof warning->text, text);
    pci_copy_text(warning->remedy, sizeof warning->remedy, remedy);
    run->out->feasible = false;
}

static void judge_pot_life(const rerun *run, const pci_turn *turn, const char *name) {
    const pc_layer *layer = run->out->part[turn->part]->layer[turn->layer];
    const pc_actual_layer *was = &run->actual->layer[turn->part][turn->layer];
    double over_s = pci_last_mix(layer) + layer->pot_life_s;
    const char *word = pc_layer_word(run->out->part[turn->part]->kind);
    char text[320];
    if (!(layer->pour_end_s > over_s))
        return;
    pc_words clock = pc_say_by(run->out->start_clock_s, over_s);
    if (!isfinite(was->mix_s)) {
        snprintf(text, sizeof text,
                 "%.80s, %s %d: mixed as planned, its pot life would be over at %s, before it is "
                 "in.",
                 name, word, layer->number, clock.s);
        warn(run, turn, "pot-life-ahead", text,
             "Cool the resin, or plan the rest anew for this hour with pourclock schedule.");
        return;
    }
    if (isfinite(was->pour_end_s)) {
        snprintf(text, sizeof text,
                 "%.80s, %s %d went in after its pot life was over (%s): it may not cover.", name,
                 word, layer->number, clock.s);
        warn(run, turn, "pot-life", text,
             "Look into the mold once it has gelled; where the wall is bare, pour another thin "
             "layer before the bond closes.");
        return;
    }
    char remedy[320];
    pc_words peak = pc_say_degrees(run->piece->units, layer->cup_peak_K);
    if (run->now_s < over_s) {
        snprintf(text, sizeof text,
                 "Pot life ends at %s (%.80s, %s %d), sooner than the usual pour takes: pour "
                 "now, and fast.",
                 clock.s, name, word, layer->number);
        snprintf(remedy, sizeof remedy, "What is not in by then stays out: it may reach %s.",
                 peak.s);
        warn(run, turn, "pot-life-short", text, remedy);
        return;
    }
    snprintf(text, sizeof text, "POT LIFE OVER at %s (%.80s, %s %d): do not pour this batch.",
             clock.s, name, word, layer->number);
    snprintf(remedy, sizeof remedy,
             "Set the cup outdoors on bare ground, away from anything that burns: it may reach "
             "%s. Tell the clock it was thrown away and mix anew.",
             peak.s);
    warn(run, turn, "pot-life", text, remedy);
}

static void judge_bond(const rerun *run, const pci_turn *turn, const char *name) {
    const pci_turn lower = turn_below(run, turn);
    if (lower.part >= run->plan->part_count)
        return;
    const pc_layer *layer = run->out->part[turn->part]->layer[turn->layer];
    const pc_layer *below = run->out->part[lower.part]->layer[lower.layer];
    const pc_actual_layer *was = &run->actual->layer[turn->part][turn->layer];
    const pc_actual_layer *under = &run->actual->layer[lower.part][lower.layer];
    const char *word = pc_layer_word(run->out->part[lower.part]->kind);
    name = run->out->part[lower.part]->name;
    char text[320];
    double closes_s = below->closes_alone_s;
    if (!isfinite(closes_s) || !(layer->pour_end_s > closes_s))
        return;
    pc_words clock = pc_say_by(run->out->start_clock_s, closes_s);
    if (!isfinite(under->pour_end_s)) {
        snprintf(text, sizeof text,
                 "%.80s, %s %d: its bond window would close at %s, before the next pour is in.",
                 name, word, below->number, clock.s);
        warn(run, turn, "bond-ahead", text,
             "Plan the rest anew for this hour with pourclock schedule.");
        return;
    }
    bool shut = run->now_s > closes_s || isfinite(was->pour_end_s);
    snprintf(text, sizeof text,
             shut ? "BOND WINDOW SHUT at %s (%.80s, %s %d): the next pour will not bond by "
                    "itself."
                  : "Bond window shuts at %s (%.80s, %s %d), before the next pour can be in.",
             clock.s, name, word, below->number);
    char remedy[320];
    pci_format(remedy, sizeof remedy, "%s.",
               pc_missed_bond(run->piece, run->plan, turn->part, turn->layer));
    remedy[0] = (char)(remedy[0] - 'a' + 'A');
    warn(run, turn, "bond-window", text, remedy);
}

static void judge_peak(const rerun *run, const pci_turn *turn, const char *name) {
    const pc_layer *layer = run->out->part[turn->part]->layer[turn->layer];
    const pc_actual_layer *was = &run->actual->layer[turn->part][turn->layer];
    double limit_K = pc_piece_peak_limit(run->piece, turn->part);
    if (!(layer->peak_K > limit_K))
        return;
    char text[320];
    pc_words clock = pc_say_by(run->out->start_clock_s, layer->peak_s);
    bool mixed = isfinite(was->mix_s);
    snprintf(text, sizeof text, "%.80s, %s %d %s %s at %s: over the limit of %s.", name,
             pc_layer_word(run->out->part[turn->part]->kind), layer->number,
             mixed ? "runs to" : "would run to", pc_say_degrees(run->piece->units, layer->peak_K).s,
             clock.s, pc_say_degrees(run->piece->units, limit_K).s);
    if (!mixed)
        warn(run, turn, "peak-ahead", text,
             "Do not mix it: let mold and shop cool, or plan the rest anew for this hour with "
             "pourclock schedule.");
    else
        warn(run, turn, "peak", text,
             "Stand clear of the pour hole, move air over the mold's outside, keep anything that "
             "burns away; let it cool before demolding.");
}

/* The same layers and masses; steps and warnings are made anew. */
static pc_schedule *copy_plan(const pc_schedule *plan) {
    pc_schedule *out = pci_schedule_new(plan->part_count);
    if (out == NULL)
        return NULL;
    pc_part_plan **part = out->part;
    *out = *plan;
    out->part = part;
    for (size_t p = 0; p < plan->part_count; p++)
        pci_part_copy(plan->part[p], part[p]);
    out->warning = NULL;
    out->step = NULL;
    out->step_count = out->warning_count = 0;
    out->feasible = true;
    out->demold_s = out->demold_late_s = NAN; /* fmax drops NaN */
    return out;
}

/* Parts of one mold: the bond of each with the one below, and one demold for all. */
static void bind_parts(rerun *run) {
    pc_part_plan *const *part = run->out->part;
    for (size_t p = 0; p < run->plan->part_count; p++) {
        const pci_turn under = turn_below(run, &(pci_turn){p, 0});
        if (under.part < run->plan->part_count)
            part[p]->bond_by_s = pc_bond_deadline(part[under.part]->layer[under.layer]);
    }
    pci_demold_together(part, run->plan->part_count);
}

static pc_status run_all(rerun *run) {
    pci_turn order[PC_PARTS_MOST * PC_LAYERS_MOST];
    size_t count = pci_mix_order(run->plan, order);
    pc_status status = PC_OK;
    for (size_t i = 0; i < count && status == PC_OK; i++)
        status = run_turn(run, &order[i], i > 0 ? &order[i - 1] : NULL);
    for (size_t p = 0; p < run->plan->part_count && status == PC_OK; p++)
        status = fill_demold(run, p);
    bind_parts(run);
    for (size_t i = 0; i < count && status == PC_OK; i++) {
        const char *name = run->plan->part[order[i].part]->name;
        judge_pot_life(run, &order[i], name);
        judge_bond(run, &order[i], name);
        judge_peak(run, &order[i], name);
    }
    return status;
}

static pc_status replan_all(rerun *run) {
    const pc_shop *shop = &run->piece->shop;
    if (shop->day_count > 0) {
        run->out->air_K = shop->air_K;
        run->out->resin_K = shop->resin_K;
        run->out->mold_K = shop->mold_K;
    }
    pc_status status = run_all(run);
    for (size_t p = 0; p < run->plan->part_count && status == PC_OK; p++)
        status = pci_part_steps(run->piece, p, run->out);
    pci_sort_steps(run->out);
    for (size_t p = 0; p < PC_PARTS_MOST; p++)
        pci_run_end(&run->part[p]);
    return status;
}

pc_status pc_replan(const pc_piece *piece, const pc_schedule *plan, const pc_actual *actual,
                    double now_s, const pc_pace *pace, pc_schedule **replan) {
    if (replan == NULL)
        return PC_E_ARGUMENT;
    *replan = NULL;
    if (piece == NULL || plan == NULL || actual == NULL || !isfinite(now_s) ||
        !isfinite(plan->start_clock_s) || plan->part_count > piece->part_count ||
        plan->part_count > PC_PARTS_MOST || (pace != NULL && !isfinite(pace->ln_s)))
        return PC_E_ARGUMENT;
    rerun *run = calloc(1, sizeof *run);
    pc_piece *moved = pci_piece_on_clock(piece, plan);
    pc_schedule *out = copy_plan(plan);
    pc_status status = PC_E_MEMORY;
    if (run != NULL && moved != NULL && out != NULL) {
        run->piece = moved;
        run->plan = plan;
        run->actual = actual;
        run->now_s = now_s;
        run->out = out;
        run->spread = pace != NULL ? fmin(1.0, pace->ln_s_error / pci_prior_error(piece)) : 1.0;
        run->ln_s = pace != NULL ? pace->ln_s : 0.0;
        status = replan_all(run);
    }
    free(moved);
    free(run);
    if (status == PC_OK)
        *replan = out;
    else
        pc_schedule_free(out);
    return status;
}
