/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "film/film_sums.h"
#include "plan/layout.h"
#include "pourclock/film.h"
#include "pourclock/safety.h"
#include "pourclock/words.h"
#include "resin/cup.h"
#include "resin/cure_rate.h"
#include "safety/air_sums.h"
#include "schedule/build.h"
#include "schedule/parts.h"

static const double TIGHT_SLACK = 0.10; /* of the pot life */
static const size_t STAGES_MANY = 6;    /* of a solid, before a slower resin is named (judgment) */

pc_warning *pci_add_warning(pc_schedule *schedule, const char *code, bool breaks) {
    pc_warning **longer =
        realloc(schedule->warning, (schedule->warning_count + 1) * sizeof *longer);
    if (!longer)
        return NULL;
    schedule->warning = longer;
    pc_warning *w = longer[schedule->warning_count] = calloc(1, sizeof *w);
    if (!w)
        return NULL;
    schedule->warning_count++;
    pci_copy_text(w->code, sizeof w->code, code);
    w->breaks = breaks;
    return w;
}

/* "1, 2, 3": the layers a warning is about, so that one warning does for all of them. */
typedef struct numbers {
    char text[64];
    int count;
} numbers;

static void add_number(numbers *list, int number) {
    size_t used = strlen(list->text);
    snprintf(list->text + used, sizeof list->text - used, list->count++ ? ", %d" : "%d", number);
}

static pc_status warn_bond(const pc_piece *piece, size_t part, size_t j, pc_schedule *schedule) {
    const pc_part_plan *plan = schedule->part[part];
    const pc_layer *layer = plan->layer[j], *next = plan->layer[j + 1];
    double closes_s = pc_bond_deadline(layer);
    if (!(next->pour_end_s > closes_s))
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "bond-window", false);
    if (!w)
        return PC_E_MEMORY;
    const char *word = pc_layer_word(plan->kind);
    snprintf(w->text, sizeof w->text,
             "%s: %s %d is poured by %s, after the bond window of %s %d closed at %s", plan->name,
             word, next->number, pc_say_from(piece->shop.start_clock_s, next->pour_end_s).s, word,
             layer->number, pc_say_by(piece->shop.start_clock_s, closes_s).s);
    pci_format(w->remedy, sizeof w->remedy, "%s; or use a slower resin, or a second pair of hands",
               pc_missed_bond(piece, schedule, part, j + 1));
    return PC_OK;
}

static void say_early(const pc_piece *piece, const pc_part_plan *plan, const pc_layer *worst,
                      const numbers *list, pc_warning *w) {
    const char *word = pc_layer_word(plan->kind);
    pc_words by = pc_say_by(piece->shop.start_clock_s, worst->pour_by_early_s);
    if (list->count == 1)
        snprintf(w->text, sizeof w->text,
                 "%s: with a warmer day or a quicker batch %s %d must be in by %s, before it is "
                 "planned to be",
                 plan->name, word, worst->number, by.s);
    else
        snprintf(w->text, sizeof w->text,
                 "%s: with a warmer day or a quicker batch %ss %s must be in sooner than planned: "
                 "%s %d by %s, not %s",
                 plan->name, word, list->text, word, worst->number, by.s,
                 pc_say_by(piece->shop.start_clock_s, worst->pour_end_s).s);
}

static void say_tight(const pc_part_plan *plan, const pc_layer *worst, const numbers *list,
                      pc_warning *w) {
    const char *word = pc_layer_word(plan->kind);
    double by_s = pc_pour_deadline(plan, (size_t)worst->number - 1);
    pc_words slack = pc_say_duration(by_s - worst->pour_end_s);
    if (list->count == 1)
        snprintf(w->text, sizeof w->text, "%s: %s %d has only %s to spare before its deadline",
                 plan->name, word, worst->number, slack.s);
    else
        snprintf(w->text, sizeof w->text,
                 "%s: %ss %s have little to spare before their deadlines, %s %d only %s",
                 plan->name, word, list->text, word, worst->number, slack.s);
}

/* early: those that margins may call for before they are planned to be in; else those that have
 * little to spare. One warning for all layers of a part: the remedy is the same. */
static pc_status warn_pot(const pc_piece *piece, const pc_part_plan *plan, bool early,
                          pc_schedule *schedule) {
    numbers list = {"", 0};
    const pc_layer *worst = NULL;
    double least_s = INFINITY;
    for (size_t j = 0; j < plan->layer_count; j++) {
        const pc_layer *layer = plan->layer[j];
        double slack_s = layer->pour_by_s - layer->pour_end_s;
        double early_s = layer->pour_by_early_s - layer->pour_end_s;
        /* Negative: a broken limit, said elsewhere. */
        if (!(slack_s >= 0.0) || early != (early_s < 0.0) ||
            (!early && slack_s >= TIGHT_SLACK * layer->pot_life_s))
            continue;
        add_number(&list, layer->number);
        if (!((early ? early_s : slack_s) < least_s - 0.5))
            continue;
        least_s = early ? early_s : slack_s;
        worst = layer;
    }
    if (!worst)
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "pot-tight", false);
    if (!w)
        return PC_E_MEMORY;
    if (early)
        say_early(piece, plan, worst, &list, w);
    else
        say_tight(plan, worst, &list, w);
    char cool[128];
    pci_say_cooling(piece, "the resin", "", cool, sizeof cool);
    snprintf(w->remedy, sizeof w->remedy,
             "weigh A and B out beforehand, have mold and funnel ready, and mix faster than "
             "planned%s%s",
             cool[0] ? "; or " : "", cool);
    return PC_OK;
}

/* The coolest resin, from what it is on, that still runs as a pool when it is in; NaN where none up
 * to what is safe does. */
static pc_status running_resin(const pc_piece *piece, size_t part, const pc_layer *layer,
                               double *resin_K) {
    const pc_resin *mix = pc_piece_resin(piece, part, layer->number);
    double most_K = pci_warmest_resin(piece);
    double since_s = (layer->pour_end_s - layer->mix_s) / fmax(1.0, layer->rounds);
    *resin_K = NAN;
    for (double T_K = piece->shop.resin_K + 2.0; T_K <= most_K && isnan(*resin_K); T_K += 2.0) {
        pc_cup_state state;
        PCI_TRY(pci_cup_at(mix, pci_cup_kg(layer), T_K, piece->shop.air_K, since_s, &state));
        if (pci_viscosity(&mix->flow, state.a, state.T_K) < layer->mu_set_Pa_s)
            *resin_K = T_K;
    }
    return PC_OK;
}

static pc_status say_even(const pc_piece *piece, size_t part, const pc_layer *layer,
                          pc_warning *w) {
    double resin_K;
    char slow[96] = "", warm[80] = "";
    PCI_TRY(running_resin(piece, part, layer, &resin_K));
    if (piece->turning.method == PC_MACHINE)
        snprintf(slow, sizeof slow, "turn the outer axis at %s or slower for the first turns, or ",
                 pc_say_rpm(pci_slow_start(piece, part, layer) * piece->turning.outer_rad_s).s);
    if (isfinite(resin_K))
        snprintf(warm, sizeof warm, ", or warm the resin to %s so that it runs",
                 pc_say_degrees(piece->units, resin_K).s);
    pci_format(w->remedy, sizeof w->remedy,
               "%stilt the mold slowly until every face has been down, then turn without a break%s",
               slow, warm);
    return PC_OK;
}

/* Layers that the turning wall carries from their pour, in one warning: the remedy is the same. */
static pc_status warn_set(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part_plan *plan = schedule->part[part];
    numbers list = {"", 0};
    const pc_layer *first = NULL;
    for (size_t j = 0; j < plan->layer_count; j++) {
        const pc_layer *layer = plan->layer[j];
        bool gelled = layer->gel_s <= layer->pour_end_s; /* a broken limit, said elsewhere */
        if (!(layer->set_s <= layer->pour_end_s) || gelled)
            continue;
        add_number(&list, layer->number);
        if (!first)
            first = layer;
    }
    if (list.count == 0 || piece->turning.method == PC_DRAIN)
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "sets-at-once", false);
    if (!w)
        return PC_E_MEMORY;
    snprintf(w->text, sizeof w->text,
             "%s: at this speed the wall carries the resin of layer%s %s from the moment it is "
             "poured, so that it does not run round without help",
             plan->name, list.count > 1 ? "s" : "", list.text);
    return say_even(piece, part, first, w);
}

/* A hollow's layers can be asked for; a solid's pours follow the largest mix. */
static void say_room(const pc_piece *piece, size_t part, const pc_part_plan *plan, pc_warning *w) {
    char more[80] = "", cool[128];
    size_t count = plan->layer_count + 1;
    if (count > (size_t)pci_layers_most(&piece->part[part]))
        more[0] = '\0';
    else if (plan->kind == PC_HOLLOW)
        snprintf(more, sizeof more, "ask for one layer more (layers = %zu), ", count);
    else
        snprintf(more, sizeof more, "pour in %zu (largest_mix = %s), ", count,
                 pc_say_mass(1e-3 * ceil(1e3 * plan->resin_kg / (double)count)).s);
    pci_say_cooling(piece, "the resin or the mold", ", ", cool, sizeof cool);
    snprintf(w->remedy, sizeof w->remedy, "for room below the limit %s%s%stake a slower resin",
             more, cool, more[0] || cool[0] ? "or " : "");
}

/* The nominal peak holds, that of an unlucky day does not: no limit is exceeded, but it can be. */
static pc_status warn_hot(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part_plan *plan = schedule->part[part];
    pci_case c;
    pci_case_nominal(piece, &piece->part[part], &c);
    double limit_K = pci_case_peak_limit(&c);
    const pc_layer *worst = NULL;
    for (size_t j = 0; j < plan->layer_count; j++) {
        const pc_layer *layer = plan->layer[j];
        if (layer->peak_K <= limit_K && layer->peak_late_K > limit_K &&
            (!worst || layer->peak_over_share > worst->peak_over_share))
            worst = layer;
    }
    if (!worst)
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "peak-margin", false);
    if (!w)
        return PC_E_MEMORY;
    const char *word = pc_layer_word(plan->kind);
    snprintf(
        w->text, sizeof w->text,
        "%s: %s %d stays below the limit of %s by the plan, yet exceeds it in %.0f %% of what the "
        "margins try: in the worst 5 %% of cases it reaches %s or more",
        plan->name, word, worst->number, pc_say_degrees(piece->units, limit_K).s,
        100.0 * worst->peak_over_share, pc_say_degrees(piece->units, worst->peak_late_K).s);
    say_room(piece, part, plan, w);
    return PC_OK;
}

/* Hands turn no faster than they do, and a drained mold stands. */
static pc_status warn_speed(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part_plan *plan = schedule->part[part];
    double radius_m = piece->part[part].shape.turn_radius_m;
    double speed = pci_film_speed(&piece->turning);
    if (plan->kind != PC_HOLLOW || piece->turning.method != PC_MACHINE ||
        !(pci_froude(speed, radius_m) > PC_FROUDE_MOST))
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "speed", false);
    if (!w)
        return PC_E_MEMORY;
    double most =
        fabs(piece->turning.outer_rad_s) * sqrt(PC_FROUDE_MOST * PC_GRAVITY / radius_m) / speed;
    snprintf(w->text, sizeof w->text, "%s turns so fast that resin is flung outward", plan->name);
    snprintf(w->remedy, sizeof w->remedy, "turn the outer axis at %s or slower",
             pc_say_rpm(most).s);
    return PC_OK;
}

/* A fast resin keeps a solid below its limit by many thin stages. Where the largest mix asks for as
 * many, another resin would change nothing. */
static pc_status warn_stages(const pc_piece *piece, const pc_part_plan *plan,
                             pc_schedule *schedule) {
    if (plan->kind != PC_SOLID || plan->layer_count <= STAGES_MANY)
        return PC_OK;
    double batch_kg = 0.0;
    for (size_t j = 0; j < plan->layer_count; j++)
        batch_kg += plan->layer[j]->batch_kg;
    if (batch_kg > (double)(plan->layer_count - 1) * piece->shop.largest_mix_kg)
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "many-stages", false);
    if (!w)
        return PC_E_MEMORY;
    snprintf(w->text, sizeof w->text,
             "%s: this resin heats so fast that it needs %zu stages over %s, each with its own "
             "mix and its own joint",
             plan->name, plan->layer_count,
             pc_say_duration(plan->layer[plan->layer_count - 1]->stop_s - plan->layer[0]->mix_s).s);
    pci_copy_text(w->remedy, sizeof w->remedy,
                  "pour it in a slower resin (longer pot life), which needs fewer stages; "
                  "'pourclock schedule --resin' shows how many");
    return PC_OK;
}

static pc_status warn_film(const pc_piece *piece, const pc_part_plan *plan, const pc_layer *layer,
                           pc_schedule *schedule) {
    if (layer->film_note[0] == '\0' && !layer->locks)
        return PC_OK;
    if (!pci_drains(layer)) /* a limit says so */
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, layer->locks ? "locks" : "film", false);
    if (!w)
        return PC_E_MEMORY;
    if (layer->locks) {
        snprintf(w->text, sizeof w->text,
                 "%s: at this ratio the mold comes back to the same places each time: some of the "
                 "wall is never at the bottom",
                 plan->name);
        snprintf(w->remedy, sizeof w->remedy,
                 "change the ratio of the two speeds to one that closes late, such as 4:1 or 8:1 "
                 "less a tooth; 'pourclock turn' finds one");
    } else if (piece->turning.method == PC_DRAIN) {
        pci_format(w->text, sizeof w->text, "%s, layer %d cannot be drained so: %s", plan->name,
                   layer->number, layer->film_note);
        snprintf(
            w->remedy, sizeof w->remedy,
            "do not pour it by this: when to pour it out is not known; plan the thickness that "
            "stays (wall, least_layer), or turn the mold instead of draining it");
    } else {
        pci_format(w->text, sizeof w->text, "%s, layer %d: the film cannot be calculated: %s",
                   plan->name, layer->number, layer->film_note);
        snprintf(w->remedy, sizeof w->remedy, "see 'pourclock turn' for this piece");
    }
    return PC_OK;
}

/* A machine's thin places are a limit; hands are only warned. */
static pc_status warn_uneven(const pc_piece *piece, size_t part, const pc_layer *layer,
                             pc_schedule *schedule) {
    double least_m = piece->part[part].least_layer_m;
    if (piece->turning.method != PC_HAND || !(layer->thin_m < least_m) ||
        !(layer->set_s > layer->pour_end_s))
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "uneven", false);
    if (!w)
        return PC_E_MEMORY;
    snprintf(w->text, sizeof w->text,
             "%s: tilted by the same cycle throughout, layer %d would come out as thin as %s in "
             "places",
             schedule->part[part]->name, layer->number,
             pc_say_thickness(piece->units, layer->thin_m).s);
    pci_copy_text(
        w->remedy, sizeof w->remedy,
        "keep tilting slowly without holds from set to gel, over edges and corners too, "
        "and begin each layer from another face; 'pourclock turn' shows where it is thin");
    return PC_OK;
}

/* A part that is in after the part below it in the mold has stopped bonding, by the plan or on a
 * quick day. */
static pc_status warn_part_bond(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part_plan *plan = schedule->part[part];
    size_t below = pci_part_below(schedule->part, schedule->part_count, part);
    if (below >= schedule->part_count)
        return PC_OK;
    const pc_part_plan *under = schedule->part[below];
    double early_s = pc_bond_deadline(under->layer[under->layer_count - 1]);
    double in_s = plan->layer[0]->pour_end_s, start_s = piece->shop.start_clock_s;
    bool missed = in_s > plan->bond_by_s;
    if (!missed && !(in_s > early_s))
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "bond-window", false);
    if (!w)
        return PC_E_MEMORY;
    pc_words pour = pc_say_from(start_s, in_s), closes = pc_say_by(start_s, plan->bond_by_s);
    if (missed)
        pci_format(w->text, sizeof w->text,
                   "%s is in at %s, after %s below it stopped bonding by itself at %s", plan->name,
                   pour.s, under->name, closes.s);
    else
        pci_format(
            w->text, sizeof w->text,
            "%s is in at %s; %s below it bonds until %s, in the worst 5 %% of cases until %s",
            plan->name, pour.s, under->name, closes.s, pc_say_by(start_s, early_s).s);
    if (missed)
        pci_format(w->remedy, sizeof w->remedy,
                   "%s; or let the wires carry the joint, or use a slower resin",
                   pc_missed_bond(piece, schedule, part, 0));
    else
        pci_copy_text(w->remedy, sizeof w->remedy,
                      piece->part[part].turn_over /* clamped shut: no finger reaches it */
                          ? "test what stands in the sprue, or is left in the cup, with a gloved "
                            "finger; turn the mold over and pour as soon as it has gelled"
                          : "test the part below with a gloved finger; pour as soon as it has "
                            "gelled");
    return PC_OK;
}

/* A wall turned on solids of its mold touches more than the last of them: two legs. */
static pc_status warn_other_bonds(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part_plan *plan = schedule->part[part];
    double in_s = plan->layer[0]->pour_end_s, start_s = piece->shop.start_clock_s;
    size_t count = schedule->part_count, below = pci_part_below(schedule->part, count, part);
    for (size_t i = below; plan->kind == PC_HOLLOW && i < count;
         i = pci_part_below(schedule->part, count, i)) {
        const pc_part_plan *under = schedule->part[i];
        double closes_s = pci_bond_closes(under->layer[under->layer_count - 1]);
        if (i == below || under->kind != PC_SOLID || !(in_s > closes_s))
            continue;
        pc_warning *w = pci_add_warning(schedule, "bond-window", false);
        if (!w)
            return PC_E_MEMORY;
        pci_format(w->text, sizeof w->text,
                   "%s is in at %s; %s, if it stands on that too, stopped bonding at %s",
                   plan->name, pc_say_from(start_s, in_s).s, under->name,
                   pc_say_by(start_s, closes_s).s);
        pci_copy_text(w->remedy, sizeof w->remedy,
                      "legs that stand side by side are one part: add up their volumes and areas "
                      "and pour them from one cup; or let the wires carry the joint");
    }
    return PC_OK;
}

pc_status pci_part_warnings(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part_plan *plan = schedule->part[part];
    pc_status status = pci_practice_warnings(piece, part, schedule);
    if (status == PC_OK)
        status = warn_speed(piece, part, schedule);
    if (status == PC_OK)
        status = warn_set(piece, part, schedule);
    if (status == PC_OK)
        status = warn_stages(piece, plan, schedule);
    if (status == PC_OK)
        status = warn_pot(piece, plan, true, schedule);
    if (status == PC_OK)
        status = warn_pot(piece, plan, false, schedule);
    if (status == PC_OK)
        status = warn_hot(piece, part, schedule);
    if (status == PC_OK)
        status = pci_coat_warnings(piece, part, schedule);
    if (status == PC_OK)
        status = warn_part_bond(piece, part, schedule);
    if (status == PC_OK)
        status = warn_other_bonds(piece, part, schedule);
    if (status == PC_OK)
        status = pci_edge_warnings(piece, part, schedule);
    if (status == PC_OK)
        status = pci_hole_warnings(piece, part, schedule);
    for (size_t j = 0; j < plan->layer_count && status == PC_OK; j++) {
        if (j == 0 || !plan->layer[j]->locks)
            status = warn_film(piece, plan, plan->layer[j], schedule);
        if (status == PC_OK)
            status = warn_uneven(piece, part, plan->layer[j], schedule);
        if (status == PC_OK && j + 1 < plan->layer_count)
            status = warn_bond(piece, part, j, schedule);
    }
    return status;
}

/* The room is stated, and what all batches give off passes the limit in it. */
static pc_status warn_air(const pc_piece *piece, const pc_ventilation *air, pc_schedule *schedule) {
    if (!(air->highest_fraction > air->limit_fraction))
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "air", false);
    if (!w)
        return PC_E_MEMORY;
    pci_format(w->text, sizeof w->text,
               "Ventilation: all batches together bring the room to about %.3g ppm of %s at %s, "
               "above its limit of %.3g ppm",
               1e6 * air->highest_fraction, air->volatile_name,
               pc_say_from(schedule->start_clock_s, air->highest_at_s).s,
               1e6 * air->limit_fraction);
    pci_format(w->remedy, sizeof w->remedy,
               "let in %s of fresh air (%s now), or use local exhaust at the cup and mold, or "
               "smaller batches farther apart; until then the respirator of the safety data sheet",
               pc_say_air_flow(piece->units, air->air_m3_s).s,
               pc_say_air_flow(piece->units, piece->shop.ventilation_m3_s).s);
    return PC_OK;
}

static pc_status warn_flash(const pc_piece *piece, pc_schedule *schedule) {
    const pc_shop *shop = &piece->shop;
    double hottest_K = fmax(fmax(shop->resin_K, shop->mold_K), schedule->air_K);
    if (!pci_piece_has_styrene(piece) || !(hottest_K > PC_STYRENE_WARM_K + 1e-6))
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "flash-point", false);
    if (!w)
        return PC_E_MEMORY;
    pci_format(w->text, sizeof w->text,
               "resin, mold or shop at %s: from 31 C (88 F), the flash point of styrene, its vapor "
               "ignites at any spark",
               pc_say_degrees(piece->units, hottest_K).s);
    pci_copy_text(w->remedy, sizeof w->remedy,
                  "keep resin, mold and water bath at 30 C (86 F) or colder, no spark or flame in "
                  "the shop, fresh air");
    return PC_OK;
}

/* A sheet whose figures do not agree, and what one test of the user's own would do for the times.
 */
static pc_status warn_sheet(const pc_piece *piece, pc_schedule *schedule) {
    const double FILM_TEST_SD = 0.10, WORTH_IT = 0.15;
    char text[400];
    double sd = piece->resin.fit.film_sd;
    double worst = pc_resin_disagreement(&piece->resin, text, sizeof text);
    if (worst > 2.0) {
        pc_warning *w = pci_add_warning(schedule, "data-sheet", false);
        if (!w)
            return PC_E_MEMORY;
        pci_format(w->text, sizeof w->text, "%s: %s", piece->resin.name, text);
        pci_copy_text(
            w->remedy, sizeof w->remedy,
            "check minutes, masses and temperatures against the sheet; a film that gelled "
            "at the bench is film_gel, never gel_time");
    }
    if (!piece->resin.fit.known || !(sd > WORTH_IT))
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "film-test", false);
    if (!w)
        return PC_E_MEMORY;
    double with_test = sd * FILM_TEST_SD / sqrt(sd * sd + FILM_TEST_SD * FILM_TEST_SD);
    pci_format(w->text, sizeof w->text,
               "these times rest on a data sheet: when a film of %s gels is known to x/%.2f only",
               piece->resin.name, exp(sd));
    pci_format(
        w->remedy, sizeof w->remedy,
        "one film test of your own brings it to about x/%.2f: pourclock cuptest, or film_gel "
        "in the resin file",
        exp(with_test));
    return PC_OK;
}

pc_status pci_piece_warnings(const pc_piece *piece, pc_schedule *schedule) {
    pc_ventilation *air = malloc(sizeof *air);
    if (!air)
        return PC_E_MEMORY;
    const pc_resin *mix;
    pc_status status = pc_ventilation_of_vapor(piece, schedule, 0, &mix, air);
    for (size_t i = 0; status == PC_OK && mix; i++) {
        status = warn_air(piece, air, schedule);
        if (status == PC_OK)
            status = pc_ventilation_of_vapor(piece, schedule, i + 1, &mix, air);
    }
    free(air);
    if (status == PC_OK)
        status = warn_sheet(piece, schedule);
    return status == PC_OK ? warn_flash(piece, schedule) : status;
}
