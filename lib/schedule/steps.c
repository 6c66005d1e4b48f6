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
#include "schedule/edge_words.h"
#include "schedule/parts.h"

pc_status pci_add_step(pc_schedule *schedule, double at_s, pc_step_kind kind, size_t part,
                       int layer, const char *format, ...) {
    pc_step **longer = realloc(schedule->step, (schedule->step_count + 1) * sizeof *longer);
    if (!longer)
        return PC_E_MEMORY;
    schedule->step = longer;
    pc_step *step = longer[schedule->step_count] = calloc(1, sizeof *step);
    if (!step)
        return PC_E_MEMORY;
    schedule->step_count++;
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
    double by_s = pc_pour_deadline(schedule->part[part], (size_t)layer->number - 1);
    char filled[64] = "";
    if (schedule->part[part]->layer_count > 1 && isfinite(layer->fill_share))
        snprintf(filled, sizeof filled, "; it fills the form to %.0f %% of its volume",
                 100.0 * layer->fill_share);
    char what[160];
    pci_say_pour(piece, part, layer, what, sizeof what);
    return pci_add_step(schedule, layer->pour_s, PC_STEP_POUR, part, layer->number,
                        "%s%s, all in by %s%s", what,
                        layer->rounds > 1 ? "; mix and pour the other cups one by one" : "",
                        pc_say_by(piece->shop.start_clock_s, by_s).s, filled);
}

static pc_status brush_step(const pc_piece *piece, size_t part, const pc_layer *layer,
                            pc_schedule *schedule) {
    char cups[112] = "";
    double by_s = pc_pour_deadline(schedule->part[part], (size_t)layer->number - 1);
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

/* "Pass 2 of 3: s", before "wirl", where there are several. */
static void say_pass(const pc_piece *piece, size_t part, const pc_part_plan *plan,
                     const pc_layer *layer, char *text, size_t size) {
    int pass = 0, passes = 0;
    for (size_t j = 0; j < plan->layer_count; j++)
        if (pci_drained(piece, &piece->part[part], plan->layer[j]->number)) {
            passes++;
            pass += plan->layer[j]->number <= layer->number;
        }
    pci_copy_text(text, size, "S");
    if (passes > 1)
        pci_format(text, size, "Pass %d of %d: s", pass, passes);
}

/* Never into fresh resin; what can still be poured is said, the rest is spent. */
static void say_back(const pc_layer *layer, char *text, size_t size) {
    if (!(layer->surplus_kg > 0.0))
        text[0] = '\0';
    else if (layer->back_good_s > 0.0)
        pci_format(text, size, " into an empty cup, good for another mold for %s, then spent",
                   pc_say_duration(layer->back_good_s).s);
    else
        pci_copy_text(text, size, " into an empty cup, spent: spread it thin");
}

static pc_status drain_steps(const pc_piece *piece, size_t part, const pc_layer *layer,
                             pc_schedule *schedule) {
    if (isnan(layer->drain_s))
        return pci_add_step(schedule, layer->pour_end_s, PC_STEP_TURN, part, layer->number,
                            "Swirl over every face; when to pour it out is not known: see the "
                            "warnings first");
    char back[112], pass[32];
    say_pass(piece, part, schedule->part[part], layer, pass, sizeof pass);
    say_back(layer, back, sizeof back);
    PCI_TRY(pci_add_step(schedule, layer->pour_end_s, PC_STEP_TURN, part, layer->number,
                         "%swirl over every face until it flows like %s, about %s", pass,
                         flows_like(layer->drain_mu_Pa_s),
                         pc_say_by(piece->shop.start_clock_s, layer->drain_s).s));
    return pci_add_step(schedule, layer->drain_s, PC_STEP_TURN, part, layer->number,
                        "Pour out, hole down, about %s back%s: by the feel, not the clock, and at "
                        "once where it strings; leave it hole down, it drips for about %s",
                        pc_say_mass(layer->surplus_kg).s, back, pc_say_duration(layer->drip_s).s);
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

/* The wall sets, maybe while some of the layer is still poured in. */
static pc_status setting_step(size_t part, const pc_layer *layer, double set_s,
                              pc_schedule *schedule) {
    char later[160] = "";
    if (set_s < pc_pour_deadline(schedule->part[part], (size_t)layer->number - 1))
        snprintf(later, sizeof later,
                 "; what is poured later %s: tilt the mold slowly over every face, then turn it",
                 layer->filler_kg > 0.0
                     ? "no longer runs by itself (stiff with filler)"
                     : "is carried round by the turning wall instead of running over it");
    return pci_add_step(schedule, set_s, PC_STEP_TURN, part, layer->number,
                        "Turn without a break from now: the wall is setting%s", later);
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
                            "%s at once (%s) without a break until %s; if it %s, tilt it slowly "
                            "over every face first",
                            piece->part[part].open ? "Tilt it" : "Plug and turn", how, until.s,
                            layer->filler_kg > 0.0
                                ? "no longer runs by itself (stiff with filler)"
                                : "is carried round instead of running over the wall");
    pc_status status = pci_add_step(schedule, layer->pour_end_s, PC_STEP_TURN, part, layer->number,
                                    "%s (%s) until %s; from %s do not stop",
                                    piece->part[part].open ? "Tilt it" : "Plug and turn", how,
                                    until.s, pc_say_by(piece->shop.start_clock_s, set_s).s);
    return status == PC_OK ? setting_step(part, layer, set_s, schedule) : status;
}

/* What is poured on a layer: the next of its part, or the first of the part that is poured next
 * into its mold. */
typedef struct layer_above {
    const pc_layer *layer; /* NULL: none */
    size_t part, index;    /* of it */
    bool of_part;          /* it is the next of its part */
    const char *name;
    double bond_by_s;
} layer_above;

static layer_above find_above(const pc_schedule *schedule, size_t part, const pc_layer *layer) {
    const pc_part_plan *plan = schedule->part[part];
    if ((size_t)layer->number < plan->layer_count)
        return (layer_above){
            plan->layer[layer->number], part, (size_t)layer->number, true, "the next pour",
            pc_bond_deadline(layer)};
    size_t i = pci_part_above(schedule->part, schedule->part_count, part);
    if (i == schedule->part_count)
        return (layer_above){NULL, 0, 0, false, "", NAN};
    plan = schedule->part[i];
    return (layer_above){plan->layer[0], i, 0, false, plan->name, plan->bond_by_s};
}

static pc_status stop_step(const pc_piece *piece, size_t part, const pc_layer *layer,
                           pc_schedule *schedule) {
    bool solid = piece->part[part].kind == PC_SOLID;
    bool still = !pci_turned(piece, &piece->part[part], layer->number); /* nor plugged */
    bool held = piece->part[part].role == PC_ROLE_SEAM;
    const char *what = still ? "Gelled" : "Stop turning: gelled",
               *open = still || piece->part[part].open ? "" : "; unplug";
    char cool[128] = "";
    layer_above above = find_above(schedule, part, layer);
    if (!above.layer)
        return pci_add_step(schedule, layer->stop_s, PC_STEP_STOP, part, layer->number,
                            "%s through%s", what,
                            held    ? "; leave it clamped"
                            : solid ? "; keep it level and leave it"
                                    : "; the wall is whole");
    if (above.layer->mix_s > layer->stop_s + PCI_HANDS_S)
        snprintf(cool, sizeof cool, "; %s, next mix %s",
                 above.of_part ? "let it cool" : "leave it in its mold",
                 pc_say_from(piece->shop.start_clock_s, above.layer->mix_s).s);
    /* No deadline that has gone by when what comes next is in. */
    if (above.bond_by_s < above.layer->pour_end_s)
        return pci_add_step(schedule, layer->stop_s, PC_STEP_STOP, part, layer->number,
                            "%s%s%s; too late to bond without help: %s", what, open, cool,
                            pc_missed_bond(piece, schedule, above.part, above.index));
    return pci_add_step(schedule, layer->stop_s, PC_STEP_STOP, part, layer->number,
                        "%s%s%s; %.96s bonds until %s", what, open, cool, above.name,
                        pc_say_by(piece->shop.start_clock_s, above.bond_by_s).s);
}

/* What leaves the mold with a part: its own name, or all the names in its mold. */
static void say_demolded(const pc_schedule *schedule, size_t part, char *text, size_t size) {
    pc_part_plan *const *plan = schedule->part;
    size_t chain[PC_PARTS_MOST], count = 0;
    for (size_t i = part; i < schedule->part_count && count < PC_PARTS_MOST;
         i = pci_part_below(plan, schedule->part_count, i))
        chain[count++] = i;
    if (count == 1) {
        pci_copy_text(text, size, plan[part]->name);
        return;
    }
    pci_format(text, size, "the mold %.40s: ", plan[part]->mold);
    for (size_t k = count; k-- > 0;) {
        size_t used = strlen(text);
        pci_format(text + used, size - used, "%s%.40s",
                   k + 1 == count ? ""
                   : k > 0        ? ", "
                                  : " and ",
                   plan[chain[k]]->name);
    }
    size_t used = strlen(text);
    pci_format(text + used, size - used, " together");
}

/* What is cut off of all that leaves the mold with a part. */
static void say_trim(const pc_piece *piece, const pc_schedule *schedule, size_t part, char *text,
                     size_t size) {
    double trim_kg = 0.0;
    int sprues = 0, vents = 0;
    for (size_t i = part; i < schedule->part_count;
         i = pci_part_below(schedule->part, schedule->part_count, i)) {
        sprues += piece->part[i].sprues;
        vents += piece->part[i].vents;
        for (size_t j = 0; j < schedule->part[i]->layer_count; j++)
            trim_kg += schedule->part[i]->layer[j]->trim_kg;
    }
    text[0] = '\0';
    if (trim_kg > 0.0)
        pci_format(text, size, ", then cut off %s%s%s (%s)", sprues > 0 ? "sprue" : "",
                   sprues > 0 && vents > 0 ? " and " : "", vents > 0 ? "vents" : "",
                   pc_say_mass(trim_kg).s);
}

/* Of all parts of a mold at once, after the last. */
static pc_status demold_steps(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part_plan *plan = schedule->part[part];
    const pc_layer *last = plan->layer[plan->layer_count - 1];
    double at_s = isnan(plan->demold_late_s) ? plan->demold_s : plan->demold_late_s;
    if (isnan(at_s) || isnan(last->stop_s) ||
        pci_part_above(schedule->part, schedule->part_count, part) < schedule->part_count)
        return PC_OK;
    char what[160], trim[64];
    say_demolded(schedule, part, what, sizeof what);
    say_trim(piece, schedule, part, trim, sizeof trim);
    pc_status status = PC_OK;
    if (at_s > last->stop_s)
        status = pci_add_step(
            schedule, last->stop_s, PC_STEP_WAIT, part, 0, "%s cure and cool until %s",
            pci_turned(piece, &piece->part[part], last->number) && !piece->part[part].open
                ? "Unplug and let it"
                : "Let it",
            pc_say_from(piece->shop.start_clock_s, at_s).s);
    if (status == PC_OK && piece->part[part].role == PC_ROLE_SEAM)
        return pci_add_step(schedule, at_s, PC_STEP_DEMOLD, part, 0,
                            "Take clamps and tape off %.60s and trim it flush, not before", what);
    return status == PC_OK ? pci_add_step(schedule, at_s, PC_STEP_DEMOLD, part, 0,
                                          "Demold %s%s, not before", what, trim)
                           : status;
}

/* What is made ready for a part, all in one step that is done when its mixing starts. */
static pc_status set_step(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    char text[sizeof((pc_step *)0)->text];
    pci_say_ready(piece, part, text, sizeof text);
    if (!text[0])
        return PC_OK;
    const char *wet = pci_set_in_wet(piece, schedule->part, part)
                          ? ", into the wet pour, hung so that they stay upright"
                          : "";
    return pci_add_step(schedule, pci_set_begins(piece, schedule->part, part), PC_STEP_SET, part, 1,
                        "%s%s", text, wet);
}

pc_status pci_part_steps(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part_plan *plan = schedule->part[part];
    pc_status status = set_step(piece, part, schedule);
    for (size_t j = 0; j < plan->layer_count && status == PC_OK; j++) {
        const pc_layer *layer = plan->layer[j];
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
            status = stop_step(piece, part, layer, schedule);
    }
    return status == PC_OK ? demold_steps(piece, part, schedule) : status;
}

/* By time; at the same time a stop comes before what follows from it. The order of adding settles
 * the rest, since qsort is not stable. */
void pci_sort_steps(pc_schedule *schedule) {
    for (size_t i = 1; i < schedule->step_count; i++) {
        pc_step *step = schedule->step[i];
        size_t k = i;
        for (; k > 0 && schedule->step[k - 1]->at_s > step->at_s; k--)
            schedule->step[k] = schedule->step[k - 1];
        schedule->step[k] = step;
    }
}
