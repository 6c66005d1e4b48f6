/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "plan/layout.h"
#include "pourclock/quantity.h"
#include "pourclock/words.h"
#include "resin/cure_rate.h"
#include "schedule/build.h"

pc_status pci_add_step(pc_schedule *schedule, double at_s, pc_step_kind kind, size_t part,
                       int layer, const char *format, ...) {
    pc_step *step = realloc(schedule->step, (schedule->step_count + 1) * sizeof *step);
    if (!step)
        return PC_E_MEMORY;
    schedule->step = step;
    step += schedule->step_count++;
    memset(step, 0, sizeof *step);
    step->at_s = at_s;
    step->kind = kind;
    step->part = part;
    step->layer = layer;
    va_list args;
    va_start(args, format);
    pci_vformat(step->text, sizeof step->text, format, args);
    va_end(args);
    return PC_OK;
}

/* The filler goes into A before the clock runs, which starts when B comes in. */
static pc_status filled_mix_step(size_t part, const pc_layer *layer, const char *what,
                                 const char *of, const char *cups, pc_schedule *schedule) {
    return pci_add_step(schedule, layer->mix_s, PC_STEP_MIX, part, layer->number,
                        "Mix %s %d%s: %s of A with %s of %.40s stirred in beforehand, and %s of "
                        "B%s; stir the sides "
                        "and bottom too",
                        what, layer->number, of, pc_say_mass(layer->part_a_kg / layer->cups).s,
                        pc_say_mass(layer->filler_kg / layer->cups).s,
                        layer->filler[0] ? layer->filler : "filler",
                        pc_say_mass(layer->part_b_kg / layer->cups).s, cups);
}

static pc_status mix_step(const pc_piece *piece, size_t part, const pc_layer *layer,
                          pc_schedule *schedule) {
    char cups[48] = "", of[80] = "";
    if (layer->resin[0])
        snprintf(of, sizeof of, " (%.60s)", layer->resin);
    const char *what = piece->part[part].kind == PC_SOLID ? "for pour" : "layer";
    if (layer->cups > 1)
        snprintf(cups, sizeof cups,
                 layer->rounds > 1 ? ", the first of %d cups" : ", in each of %d cups",
                 layer->cups);
    if (layer->filler_kg > 0.0)
        return filled_mix_step(part, layer, what, of, cups, schedule);
    return pci_add_step(schedule, layer->mix_s, PC_STEP_MIX, part, layer->number,
                        "Mix %s %d%s: %s of A and %s of B%s; stir the sides and bottom too", what,
                        layer->number, of, pc_say_mass(layer->part_a_kg / layer->cups).s,
                        pc_say_mass(layer->part_b_kg / layer->cups).s, cups);
}

static pc_status pour_step(const pc_piece *piece, size_t part, const pc_layer *layer,
                           pc_schedule *schedule) {
    double by_s = pc_pour_deadline(&schedule->part[part], (size_t)layer->number - 1);
    char filled[64] = "";
    if (schedule->part[part].layer_count > 1 && isfinite(layer->fill_share))
        snprintf(filled, sizeof filled, "; it fills the form to %.0f %% of its volume",
                 100.0 * layer->fill_share);
    return pci_add_step(schedule, layer->pour_s, PC_STEP_POUR, part, layer->number,
                        "%s, all in by %s%s",
                        layer->rounds > 1 ? "Pour; mix and pour the other cups one by one" : "Pour",
                        pc_say_by(piece->shop.start_clock_s, by_s).s, filled);
}

static pc_status brush_step(const pc_piece *piece, size_t part, const pc_layer *layer,
                            pc_schedule *schedule) {
    char cups[112] = "";
    double by_s = pc_pour_deadline(&schedule->part[part], (size_t)layer->number - 1);
    if (layer->rounds > 1)
        snprintf(cups, sizeof cups,
                 "; mix and brush out the other cups one by one, each within %s of its own mix",
                 pc_say_duration(PCI_POT_SHARE * layer->pot_life_s).s);
    return pci_add_step(schedule, layer->pour_s, PC_STEP_BRUSH, part, layer->number,
                        "Brush it on, thin, into every detail first%s; all on by %s", cups,
                        pc_say_by(piece->shop.start_clock_s, by_s).s);
}

static void turning_words(const pc_turning *turning, char *text, size_t size) {
    if (turning->method == PC_HAND)
        snprintf(text, size, "by hand, every face in turn");
    else if (turning->inner_rad_s != 0.0 && turning->outer_rad_s != 0.0)
        snprintf(text, size, "outer %s, inner %s", pc_say_rpm(turning->outer_rad_s).s,
                 pc_say_rpm(turning->inner_rad_s).s);
    else
        snprintf(text, size, "one axis, %s",
                 pc_say_rpm(fmax(fabs(turning->outer_rad_s), fabs(turning->inner_rad_s))).s);
}

/* What a slug flows like, for an eye that has no viscometer (practice, from memory). */
static const char *flows_like(double mu_Pa_s) {
    return mu_Pa_s < 0.5 ? "oil" : mu_Pa_s < 2.0 ? "thin syrup" : mu_Pa_s < 5.0 ? "syrup" : "honey";
}

static pc_status drain_steps(const pc_piece *piece, size_t part, const pc_layer *layer,
                             pc_schedule *schedule) {
    if (isnan(layer->drain_s))
        return pci_add_step(schedule, layer->pour_end_s, PC_STEP_TURN, part, layer->number,
                            "Swirl over every face; when to pour it out is not known: see the "
                            "warnings first");
    PCI_TRY(pci_add_step(schedule, layer->pour_end_s, PC_STEP_TURN, part, layer->number,
                         "Swirl over every face until it flows like %s, about %s",
                         flows_like(layer->drain_mu_Pa_s),
                         pc_say_by(piece->shop.start_clock_s, layer->drain_s).s));
    return pci_add_step(schedule, layer->drain_s, PC_STEP_TURN, part, layer->number,
                        "Pour out, hole down, about %s back; leave it hole down",
                        pc_say_mass(layer->surplus_kg).s);
}

/* How the wall is begun where it carries the layer from the pour: turned so slowly that the resin
 * runs as a pool, twice as thin as what such a wall carries. */
double pci_slow_start(const pc_piece *piece, size_t part, const pc_layer *layer) {
    const pc_resin *mix = pc_piece_resin(piece, part, layer->number);
    double mu_Pa_s = pci_viscosity(&mix->flow, layer->fill_conversion, layer->fill_T_K);
    return layer->mu_set_Pa_s / (2.0 * mu_Pa_s);
}

static const double CREEP_RAD_S = PC_RPM; /* 1 rpm: slower no machine is turned */

/* "slowly at first" of a machine that can be, else by tilting it. */
static pc_status even_steps(const pc_piece *piece, size_t part, const pc_layer *layer,
                            const char *how, const char *until, pc_schedule *schedule) {
    double share = pci_slow_start(piece, part, layer);
    double outer = share * fmax(fabs(piece->turning.outer_rad_s), fabs(piece->turning.inner_rad_s));
    if (piece->turning.method == PC_MACHINE && outer >= CREEP_RAD_S)
        return pci_add_step(schedule, layer->pour_end_s, PC_STEP_TURN, part, layer->number,
                            "Plug and turn at once, slowly at first (outer %s for two turns, the "
                            "inner in the same ratio), then %s without a break until %s",
                            pc_say_rpm(share * piece->turning.outer_rad_s).s, how, until);
    return pci_add_step(schedule, layer->pour_end_s, PC_STEP_TURN, part, layer->number,
                        "%stilt the mold slowly until every face has been down, then turn (%s) "
                        "without a break until %s",
                        piece->part[part].open ? "At once " : "Plug, ", how, until);
}

static pc_status turn_steps(const pc_piece *piece, size_t part, const pc_layer *layer,
                            pc_schedule *schedule) {
    char how[96];
    turning_words(&piece->turning, how, sizeof how);
    pc_words until = pc_say_from(piece->shop.start_clock_s, layer->stop_s);
    if (pci_drained(piece, &piece->part[part], layer->number))
        return drain_steps(piece, part, layer, schedule);
    double set_s = isnan(layer->set_early_s) ? layer->set_s : layer->set_early_s;
    /* It hangs where it is put: turning spreads nothing. */
    if (layer->set_s <= layer->pour_end_s && layer->gel_s > layer->pour_end_s)
        return even_steps(piece, part, layer, how, until.s, schedule);
    if (isnan(set_s) || set_s <= layer->pour_end_s)
        return pci_add_step(schedule, layer->pour_end_s, PC_STEP_TURN, part, layer->number,
                            "%s at once (%s) without a break until %s",
                            piece->part[part].open ? "Tilt it" : "Plug and turn", how, until.s);
    pc_status status = pci_add_step(schedule, layer->pour_end_s, PC_STEP_TURN, part, layer->number,
                                    "%s (%s) until %s; from %s do not stop",
                                    piece->part[part].open ? "Tilt it" : "Plug and turn", how,
                                    until.s, pc_say_by(piece->shop.start_clock_s, set_s).s);
    if (status == PC_OK)
        status = pci_add_step(schedule, set_s, PC_STEP_TURN, part, layer->number,
                              "Turn without a break from now: the wall is setting");
    return status;
}

static pc_status stop_step(const pc_piece *piece, size_t part, const pc_layer *layer, bool last,
                           pc_schedule *schedule) {
    bool solid = piece->part[part].kind == PC_SOLID;
    bool still = !pci_turned(piece, &piece->part[part], layer->number); /* nor plugged */
    const char *what = still ? "Gelled" : "Stop turning: gelled",
               *open = still || piece->part[part].open ? "" : "; unplug";
    char cool[64] = "";
    if (!last && layer[1].mix_s > layer->stop_s + PCI_HANDS_S)
        snprintf(cool, sizeof cool, "; let it cool, next mix %s",
                 pc_say_from(piece->shop.start_clock_s, layer[1].mix_s).s);
    if (last)
        return pci_add_step(schedule, layer->stop_s, PC_STEP_STOP, part, layer->number,
                            "%s through%s", what,
                            solid ? "; keep it level and leave it" : "; the wall is whole");
    /* No deadline that has gone by when the next layer is in. */
    double closes_s = pc_bond_deadline(layer);
    if (closes_s < layer[1].pour_end_s)
        return pci_add_step(schedule, layer->stop_s, PC_STEP_STOP, part, layer->number,
                            "%s%s%s; too late to bond without help: scuff and clean first", what,
                            open, cool);
    return pci_add_step(schedule, layer->stop_s, PC_STEP_STOP, part, layer->number,
                        "%s%s%s; the next pour bonds until %s", what, open, cool,
                        pc_say_by(piece->shop.start_clock_s, closes_s).s);
}

static pc_status demold_steps(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part_plan *plan = &schedule->part[part];
    const pc_layer *last = &plan->layer[plan->layer_count - 1];
    double at_s = isnan(plan->demold_late_s) ? plan->demold_s : plan->demold_late_s;
    if (isnan(at_s) || isnan(last->stop_s))
        return PC_OK;
    pc_status status = PC_OK;
    if (at_s > last->stop_s)
        status = pci_add_step(
            schedule, last->stop_s, PC_STEP_WAIT, part, 0, "%s cure and cool until %s",
            pci_turned(piece, &piece->part[part], last->number) && !piece->part[part].open
                ? "Unplug and let it"
                : "Let it",
            pc_say_from(piece->shop.start_clock_s, at_s).s);
    if (status == PC_OK)
        status = pci_add_step(schedule, at_s, PC_STEP_DEMOLD, part, 0, "Demold %s, not before",
                              plan->name);
    return status;
}

pc_status pci_part_steps(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part_plan *plan = &schedule->part[part];
    pc_status status = PC_OK;
    for (size_t j = 0; j < plan->layer_count && status == PC_OK; j++) {
        const pc_layer *layer = &plan->layer[j];
        bool last = j + 1 == plan->layer_count;
        if (isnan(layer->mix_s) || isnan(layer->gel_s))
            break; /* an earlier layer never gels */
        bool brushed = layer->cup_s > 0.0;
        status = mix_step(piece, part, layer, schedule);
        if (status == PC_OK && brushed)
            status = brush_step(piece, part, layer, schedule);
        else if (status == PC_OK)
            status = pour_step(piece, part, layer, schedule);
        if (status == PC_OK && plan->kind == PC_HOLLOW && !brushed)
            status = turn_steps(piece, part, layer, schedule);
        if (status == PC_OK)
            status = stop_step(piece, part, layer, last, schedule);
    }
    return status == PC_OK ? demold_steps(piece, part, schedule) : status;
}

/* By time; at the same time a stop comes before what follows from it. The order of adding settles
 * the rest, since qsort is not stable. */
void pci_sort_steps(pc_schedule *schedule) {
    for (size_t i = 1; i < schedule->step_count; i++) {
        pc_step step = schedule->step[i];
        size_t k = i;
        for (; k > 0 && schedule->step[k - 1].at_s > step.at_s; k--)
            schedule->step[k] = schedule->step[k - 1];
        schedule->step[k] = step;
    }
}
