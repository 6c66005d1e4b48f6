/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a caster would object to in a plan that meets its limits: too hot for the family, too cold
 * to cure, too long to turn by hand, too much to stir by hand, a mesh in the wrong unit. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "piece/mixes.h"
#include "piece/shop.h"
#include "plan/layout.h"
#include "pourclock/words.h"
#include "resin/cup.h"
#include "resin/cure_rate.h"
#include "safety/air_sums.h"
#include "schedule/build.h"

static const double STIRRED_BY_HAND_KG = 5.0;   /* (practice) */
static const double MESH_ASKED_ABOUT_KG = 25.0; /* a bust in hand, not a monument (judgment) */

/* ---- heat and cold ---- */

void pci_say_cooling(const pc_piece *piece, const char *what, const char *then, char *text,
                     size_t size) {
    text[0] = '\0';
    if (piece->shop.resin_K > PCI_COLD_RESIN_K)
        pci_format(text, size, "cool %s (not below %s; " PCI_NO_DEW ")%s", what,
                   pc_say_degrees(piece->units, PCI_COLD_RESIN_K).s, then);
}

static double hottest(const pc_layer *layer) {
    return fmax(layer->peak_K, layer->peak_late_K); /* fmax drops NaN */
}

/* How many stages, each poured on a cooled one, keep a solid below the family's peak to warn of; 0
 * where no number does. */
static pc_status cool_stages(const pc_piece *piece, size_t part, double start_s, size_t *stages) {
    pc_piece *trial = malloc(sizeof *trial);
    pci_case c;
    pci_part_room room;
    pc_part_plan *plan = pci_part_in(&room);
    pci_limits limits;
    *stages = 0;
    if (!trial)
        return PC_E_MEMORY;
    *trial = *piece;
    pci_case_nominal(trial, &trial->part[part], &c);
    c.resin.peak_limit_K = c.resin.peak_warn_K;
    c.refine = PCI_TRIAL_REFINE;
    c.tolerance = PCI_TRIAL_TOLERANCE;
    c.quick = true;
    pc_status status = pci_part_split(&c, start_s, false, plan, &limits);
    if (status == PC_OK && limits.count == 0)
        *stages = plan->layer_count;
    free(trial);
    return status;
}

static pc_status say_cooler(const pc_piece *piece, size_t part, const pc_part_plan *plan,
                            pc_warning *w) {
    size_t stages = 0;
    if (plan->kind == PC_SOLID)
        PCI_TRY(cool_stages(piece, part, plan->layer[0]->mix_s, &stages));
    pc_words limit = pc_say_degrees(piece->units, pc_piece_resin(piece, part, 0)->peak_warn_K);
    char cool[128];
    pci_say_cooling(piece, "resin and mold", stages > plan->layer_count ? ", or " : ", ", cool,
                    sizeof cool);
    if (stages > plan->layer_count)
        pci_format(w->remedy, sizeof w->remedy,
                   "pour it in %zu stages, each on a cooled one (peak_limit = %s in the resin file "
                   "plans them); or %stake a slower resin",
                   stages, limit.s, cool);
    else
        pci_format(w->remedy, sizeof w->remedy,
                   "%stake a slower or less reactive resin, or pour on cooled layers "
                   "(least_layer_wait = 1 h)",
                   cool);
    return PC_OK;
}

/* No limit is stated, so none is exceeded: the temperature is named, and what it does. */
static pc_status warn_hot(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part_plan *plan = schedule->part[part];
    const pc_layer *worst = NULL;
    const pc_resin *own = pc_piece_resin(piece, part, 0);
    double warn_K = own->peak_warn_K;
    if (isfinite(own->peak_limit_K))
        return PC_OK;
    for (size_t j = 0; j < plan->layer_count; j++)
        warn_K = fmin(warn_K, pc_piece_resin(piece, part, (int)j + 1)->peak_warn_K);
    for (size_t j = 0; j < plan->layer_count; j++)
        if (hottest(plan->layer[j]) > warn_K &&
            (!worst || hottest(plan->layer[j]) > hottest(worst)))
            worst = plan->layer[j];
    if (!worst)
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "hot", false);
    if (!w)
        return PC_E_MEMORY;
    pci_format(
        w->text, sizeof w->text,
        "%s: %s %d heats itself to %s; above %s a casting of this kind may foam, shrink, crack "
        "and scorch its mold",
        plan->name, pc_layer_word(plan->kind), worst->number,
        pc_say_degrees(piece->units, hottest(worst)).s, pc_say_degrees(piece->units, warn_K).s);
    return say_cooler(piece, part, plan, w);
}

/* The caution says what then; here, so that it is at the head of the plan. */
static void forbid_heat(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part_plan *plan = schedule->part[part];
    for (size_t j = 0; j < plan->layer_count && !schedule->do_not_pour[0]; j++) {
        const pc_layer *layer = plan->layer[j];
        if (isfinite(layer->peak_K) &&
            pci_severe_heat(pc_piece_resin(piece, part, layer->number), layer->peak_K))
            pci_format(schedule->do_not_pour, sizeof schedule->do_not_pour,
                       "%.60s, %s %d heats itself to %s: it can burst the mold and catch fire; see "
                       "WARNINGS",
                       plan->name, pc_layer_word(plan->kind), layer->number,
                       pc_say_degrees(piece->units, layer->peak_K).s);
    }
}

const pc_resin *pci_most_tender(const pc_piece *piece) {
    const pc_resin *tender = &piece->resin;
    for (size_t i = 1; pci_mix_of(piece, i); i++)
        if (pci_mix_of(piece, i)->least_temperature_K > tender->least_temperature_K)
            tender = pci_mix_of(piece, i);
    return tender;
}

/* The coldest of what the resin meets. */
static pc_status warn_cold(const pc_piece *piece, pc_schedule *schedule) {
    const pc_shop *shop = &piece->shop;
    double coldest_K = fmin(shop->resin_K, fmin(shop->mold_K, shop->air_K));
    const pc_resin *mix = pci_most_tender(piece);
    bool uncured = coldest_K < mix->least_temperature_K;
    if (!uncured && !(shop->resin_K < PCI_COLD_RESIN_K))
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, uncured ? "too-cold" : "cold", false);
    if (!w)
        return PC_E_MEMORY;
    if (uncured && !schedule->do_not_pour[0])
        pci_format(schedule->do_not_pour, sizeof schedule->do_not_pour,
                   "at %s this resin does not cure through; WARNINGS say what to warm",
                   pc_say_degrees(piece->units, coldest_K).s);
    if (uncured)
        pci_format(w->text, sizeof w->text,
                   "at %s this resin will not cure through, however long it is left: it is not "
                   "worked below %s",
                   pc_say_degrees(piece->units, coldest_K).s,
                   pc_say_degrees(piece->units, mix->least_temperature_K).s);
    else
        pci_format(w->text, sizeof w->text, PCI_COLD_RESIN_WORDS,
                   pc_say_degrees(piece->units, shop->resin_K).s);
    bool styrene = mix->family == PC_POLYESTER;
    pci_format(
        w->remedy, sizeof w->remedy,
        "stand the closed %s in a room or a warm water bath at %s until warm through, and warm "
        "the mold%s; never heat them over a flame",
        styrene ? "can of resin (never the peroxide)" : "bottles",
        pc_say_degrees(piece->units, PC_SHEET_K).s, uncured ? " and the shop until it is out" : "");
    return PC_OK;
}

/* ---- hands ---- */

double pci_hand_turning(const pc_piece *piece, const pc_part_plan *plan) {
    double longest_s = NAN;
    if (piece->turning.method != PC_HAND || plan->kind != PC_HOLLOW)
        return NAN;
    for (size_t j = 0; j < plan->layer_count; j++)
        if (plan->layer[j]->method == PC_COAT_TURN)
            longest_s = fmax(longest_s, plan->layer[j]->stop_s - plan->layer[j]->pour_end_s);
    return longest_s;
}

/* One change tried on the plan as it is, and whether hands then turn no longer than they may. */
typedef struct hand_trial {
    pc_piece *piece;
    pci_case c;
    const pc_part_plan *plan;
    double late; /* the stop of the printed clock over the nominal gel, as a ratio */
} hand_trial;

static pc_status short_enough(hand_trial *t, bool *yes) {
    pci_part_room room;
    pc_part_plan *plan = pci_part_in(&room);
    pci_limits limits;
    t->c.refine = PCI_TRIAL_REFINE;
    t->c.tolerance = PCI_TRIAL_TOLERANCE;
    t->c.cooled = t->plan->cooled;
    pc_status status = pci_part_plan(&t->c, (int)t->plan->layer_count, true,
                                     t->plan->layer[0]->mix_s, false, plan, &limits);
    *yes = status == PC_OK && (limits.count == 0 || !t->plan->feasible) &&
           t->late * pci_hand_turning(t->piece, plan) <= t->piece->shop.hand_most_s;
    return status == PC_E_ARGUMENT ? PC_OK : status; /* out of the model's range: not a way */
}

/* How much later than the nominal gel the margins stop, of the layer turned longest. */
static double lateness(const pc_piece *piece, const pc_part_plan *plan) {
    double longest_s = pci_hand_turning(piece, plan);
    for (size_t j = 0; j < plan->layer_count; j++) {
        const pc_layer *layer = plan->layer[j];
        if (layer->stop_s - layer->pour_end_s == longest_s && layer->gel_s > layer->pour_end_s)
            return longest_s / (layer->gel_s - layer->pour_end_s);
    }
    return 1.0;
}

static void offer(pc_warning *w, const char *text) {
    size_t used = strlen(w->remedy);
    pci_format(w->remedy + used, sizeof w->remedy - used, "%s%s", used > 0 ? "; or " : "", text);
}

static pc_status offer_warmer_mold(hand_trial *t, pc_warning *w) {
    double most_K = pci_warmest_mold(t->piece);
    char text[80];
    double now_K = t->piece->shop.mold_K;
    bool yes = false;
    for (double mold_K = now_K + 2.0; mold_K <= most_K && !yes; mold_K += 2.0) {
        t->c.mold_K = mold_K;
        t->c.mold_follows = false;
        PCI_TRY(short_enough(t, &yes));
        if (yes) {
            pci_format(text, sizeof text, "warm the mold to %s",
                       pc_say_degrees(t->piece->units, mold_K).s);
            offer(w, text);
        }
    }
    return PC_OK;
}

/* How many times faster the resin has to be, at most eight; NaN where that is not enough. */
static pc_status least_speed(hand_trial *t, double *times) {
    *times = NAN;
    pc_cure cure = t->c.resin.cure;
    for (double x = 1.1; x <= 8.0; x *= 1.1) {
        bool yes;
        t->c.resin.cure.A1_per_s = cure.A1_per_s * x;
        t->c.resin.cure.A2_per_s = cure.A2_per_s * x;
        PCI_TRY(short_enough(t, &yes));
        if (!yes)
            continue;
        *times = x;
        break;
    }
    return PC_OK;
}

/* More of the catalyst makes the same resin so much faster, within its range. */
static void offer_catalyst(const hand_trial *t, double times, pc_warning *w) {
    const pc_catalyst *catalyst = &t->piece->resin.catalyst;
    if (!(catalyst->at > 0.0) || !(catalyst->power > 0.0))
        return;
    double level = catalyst->level * pow(times, 1.0 / catalyst->power);
    char text[96];
    if (!(level <= catalyst->high))
        return;
    pci_format(text, sizeof text, "use %.2g %% of catalyst instead of %.2g %%", 100.0 * level,
               100.0 * catalyst->level);
    offer(w, text);
}

static pc_status offer_faster_resin(hand_trial *t, pc_warning *w) {
    char text[96];
    double times, T_K = PC_SHEET_K;
    pc_cup_events cup;
    PCI_TRY(least_speed(t, &times));
    if (isnan(times))
        return PC_OK;
    offer_catalyst(t, times, w);
    PCI_TRY(pci_cup_run(&t->c.resin, 0.1, T_K, T_K, &cup)); /* as fast as it was left */
    pci_format(text, sizeof text, "use a resin with a pot life of %s (100 g at 23 C) or less",
               pc_say_duration(cup.pot_life_s).s);
    offer(w, text);
    return PC_OK;
}

#define BRUSH_IT "brush every coat, thickened so that it stays (method = brush)"

static pc_status say_shorter(const pc_piece *piece, size_t part, const pc_part_plan *plan,
                             pc_warning *w) {
    hand_trial t = {.plan = plan, .late = lateness(piece, plan)};
    t.piece = malloc(sizeof *t.piece);
    if (!t.piece)
        return PC_E_MEMORY;
    *t.piece = *piece;
    pci_case_nominal(t.piece, &t.piece->part[part], &t.c);
    pc_status status = offer_warmer_mold(&t, w);
    pci_case_nominal(t.piece, &t.piece->part[part], &t.c);
    if (status == PC_OK)
        status = offer_faster_resin(&t, w);
    free(t.piece);
    if (!piece->part[part].open)
        offer(w, "take turns, or turn it on a machine");
    else if (w->remedy[0]) /* a machine would spill it */
        offer(w, BRUSH_IT);
    else
        offer(w, BRUSH_IT ", or take a faster resin or a warmer room");
    return status;
}

static pc_status warn_hand(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part_plan *plan = schedule->part[part];
    double longest_s = pci_hand_turning(piece, plan);
    if (!(longest_s > piece->shop.hand_most_s))
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "hand-long", false);
    if (!w)
        return PC_E_MEMORY;
    pci_format(w->text, sizeof w->text,
               "%s: a layer is %s by hand for %s at a stretch; nobody keeps that up longer than "
               "%s (hand_most)",
               plan->name, piece->part[part].open ? "tilted" : "turned",
               pc_say_duration(longest_s).s, pc_say_duration(piece->shop.hand_most_s).s);
    return say_shorter(piece, part, plan, w);
}

/* ---- amounts ---- */

static pc_status warn_mixer(const pc_piece *piece, const pc_part_plan *plan,
                            pc_schedule *schedule) {
    double cup_kg = 0.0;
    for (size_t j = 0; j < plan->layer_count; j++)
        cup_kg = fmax(cup_kg, pci_cup_kg(plan->layer[j]));
    if (!(cup_kg > STIRRED_BY_HAND_KG))
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "mixer", false);
    if (!w)
        return PC_E_MEMORY;
    pci_format(w->text, sizeof w->text, "%s: one cup is %s, more than is stirred by hand in %s",
               plan->name, pc_say_mass(cup_kg).s,
               pc_say_duration(pci_cup_mix_time(&piece->shop, cup_kg)).s);
    pci_copy_text(
        w->remedy, sizeof w->remedy,
        "use a power mixer with a guarded paddle, slow enough not to whip in air; or state "
        "the largest mix you stir by hand (largest_mix = 5 kg)");
    return PC_OK;
}

/* Once for the piece: of its smallest cup. A shop's scale is off by 0.1 to 0.5 g (practice). */
static pc_status warn_small(pc_schedule *schedule) {
    const double small_kg = 0.02, off_kg = 0.1e-3;
    const pc_layer *least = NULL;
    const pc_part_plan *of = NULL;
    for (size_t p = 0; p < schedule->part_count; p++)
        for (size_t j = 0; j < schedule->part[p]->layer_count; j++) {
            const pc_layer *layer = schedule->part[p]->layer[j];
            if (pci_cup_kg(layer) < (least ? pci_cup_kg(least) : small_kg)) {
                least = layer;
                of = schedule->part[p];
            }
        }
    if (!least)
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "small-cup", false);
    if (!w)
        return PC_E_MEMORY;
    double part_kg = fmin(least->part_a_kg, least->part_b_kg) / least->cups;
    pci_format(w->text, sizeof w->text,
               "%s: a cup is %s in all: a scale off by 0.1 g is off by %.2g %% of its %s", of->name,
               pc_say_mass(pci_cup_kg(least)).s, 100.0 * off_kg / part_kg,
               least->part_b_kg < least->part_a_kg ? "B" : "A");
    pci_copy_text(w->remedy, sizeof w->remedy,
                  "weigh finer than that, on a scale tried with a known mass; or mix more");
    return PC_OK;
}

/* Water that clings to powder foams a urethane (practice). */
static pc_status warn_damp(const pc_piece *piece, pc_schedule *schedule) {
    bool foams = false;
    for (size_t i = 0; pci_mix_of(piece, i); i++)
        foams = foams || (pci_mix_of(piece, i)->fill.parts > 0.0 &&
                          pci_mix_of(piece, i)->family == PC_URETHANE);
    if (!foams)
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "damp", false);
    if (!w)
        return PC_E_MEMORY;
    pci_copy_text(w->text, sizeof w->text,
                  "urethane foams on a damp filler, and powders draw water from the air");
    pci_copy_text(
        w->remedy, sizeof w->remedy,
        "dry the filler by its data sheet, cool it shut; stir it, no lump left, into the part "
        "without isocyanate (see its label; amounts stand at A); stir up what settled");
    return PC_OK;
}

static const double PASTE_PA_S = 100.0; /* stiff as peanut butter: it is troweled (practice) */

/* A filler thickens: what it does to the pour and to the film. */
static pc_status warn_thick(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part_plan *plan = schedule->part[part];
    const pc_layer *slowest = plan->layer[0];
    for (size_t j = 1; j < plan->layer_count; j++)
        if (plan->layer[j]->least_pour_s > slowest->least_pour_s)
            slowest = plan->layer[j];
    if (!(slowest->least_pour_s > piece->shop.pour_time_s) || piece->part[part].laid)
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "thick", false);
    if (!w)
        return PC_E_MEMORY;
    const pc_resin *mix = pc_piece_resin(piece, part, slowest->number);
    double mu_Pa_s = pci_viscosity(&mix->flow, 0.0, piece->shop.resin_K);
    pci_format(w->text, sizeof w->text,
               "%s: with its filler the mix is %.3g times as thick, %.2g Pa.s%s: it takes %s to "
               "run out of its cups, not %s, and is planned so",
               plan->name, mix->flow.mu_ref_Pa_s / mix->fill.plain_mu_Pa_s, mu_Pa_s,
               mu_Pa_s > PASTE_PA_S ? ", a paste" : "", pc_say_duration(slowest->least_pour_s).s,
               pc_say_duration(piece->shop.pour_time_s).s);
    pci_copy_text(w->remedy, sizeof w->remedy,
                  mu_Pa_s > PASTE_PA_S
                      ? "use less filler, or a thinner resin: a paste neither pours nor turns out "
                        "even"
                      : "use less filler, a thinner or a warmer resin; wide cups pour faster");
    return PC_OK;
}

static pc_status warn_unit(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part_plan *plan = schedule->part[part];
    const pc_part *stated = &piece->part[part];
    if (!stated->mesh_path[0] || !(plan->resin_kg > MESH_ASKED_ABOUT_KG))
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "unit", false);
    if (!w)
        return PC_E_MEMORY;
    pci_format(w->text, sizeof w->text,
               "%s: the mesh read in %s asks for %s of resin: is that its unit?", plan->name,
               stated->mesh_unit, pc_say_mass(plan->resin_kg).s);
    pci_copy_text(
        w->remedy, sizeof w->remedy,
        "check mesh_unit against one length you can measure; 'pourclock area' shows the size");
    return PC_OK;
}

pc_status pci_practice_warnings(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    if (schedule->part[part]->layer_count == 0)
        return PC_OK;
    if (part == 0)
        PCI_TRY(warn_cold(piece, schedule));
    if (part == 0)
        PCI_TRY(warn_damp(piece, schedule));
    forbid_heat(piece, part, schedule);
    if (part + 1 == schedule->part_count)
        PCI_TRY(warn_small(schedule));
    PCI_TRY(warn_hot(piece, part, schedule));
    PCI_TRY(warn_hand(piece, part, schedule));
    PCI_TRY(warn_mixer(piece, schedule->part[part], schedule));
    PCI_TRY(warn_thick(piece, part, schedule));
    return warn_unit(piece, part, schedule);
}
