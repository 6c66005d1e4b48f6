/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What would free a part whose limits do not hold: one thing is changed at a time, further and
 * further, and the part is planned again until its limits hold. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "pourclock/words.h"
#include "resin/cup.h"
#include "schedule/build.h"

/* Never cooler than what a cold resin is warned of: who did so would be advised to warm it. */
static const double COLDEST_K = PCI_COLD_RESIN_K, WARMEST_K = PC_ZERO_CELSIUS_K + 45.0;

typedef struct trial {
    const pci_case *base;
    pc_piece *piece; /* a copy to change; its shapes stay the base's */
    pc_part part;
    pci_case c;
    double start_s;
    bool film; /* is among what has to be freed */
    char *text;
    size_t size;
} trial;

static void reset(trial *t) {
    *t->piece = *t->base->piece;
    t->part = *t->base->part;
    t->c = *t->base;
    t->c.piece = t->piece;
    t->c.part = &t->part;
    t->c.refine = PCI_TRIAL_REFINE;
    t->c.tolerance = PCI_TRIAL_TOLERANCE;
    t->c.quick = true;
    t->c.film = t->film;
}

static pc_status holds(trial *t, bool *yes) {
    pci_part_room room;
    pci_limits limits;
    pc_status status = pci_part_split(&t->c, t->start_s, false, pci_part_in(&room), &limits);
    *yes = status == PC_OK && limits.count == 0;
    return status == PC_E_ARGUMENT ? PC_OK : status; /* out of the model's range: not a way out */
}

PC_PRINTF(2, 3) static void offer(trial *t, const char *format, ...) {
    static const char between[] = "; or ";
    size_t before = strlen(t->text), used = before;
    if (used > 0 && used + sizeof between < t->size) {
        memcpy(t->text + used, between, sizeof between);
        used += sizeof between - 1;
    }
    va_list args;
    va_start(args, format);
    int n = pci_vformat(t->text + used, t->size - used, format, args);
    va_end(args);
    if (n < 0 || (size_t)n >= t->size - used) /* no half sentences */
        t->text[before] = '\0';
}

typedef void (*change)(trial *t, double x);

static void set_resin_K(trial *t, double x) {
    t->c.resin_K = x;
    t->c.resin_follows = false;
}

static void set_mold_K(trial *t, double x) {
    t->c.mold_K = x;
    t->c.mold_follows = false;
}

static void set_both_K(trial *t, double x) {
    t->c.resin_K = t->c.mold_K = x;
    t->c.resin_follows = t->c.mold_follows = false;
}

/* x: how many times slower the resin is. */
static void set_slower(trial *t, double x) {
    t->c.resin.cure.A1_per_s /= x;
    t->c.resin.cure.A2_per_s /= x;
    for (size_t i = 0; i < t->c.mix_count; i++) {
        t->c.mix[i].cure.A1_per_s /= x;
        t->c.mix[i].cure.A2_per_s /= x;
    }
}

static void set_faster_turning(trial *t, double x) {
    t->piece->turning.outer_rad_s *= x;
    t->piece->turning.inner_rad_s *= x;
}

static void set_hands(trial *t, double x) {
    t->piece->shop.hands = (int)x;
    /* Two people halve the stirring of a single cup's A and B too (practice). */
    if (isnan(t->piece->shop.mix_time_s))
        t->piece->shop.mix_time_s = PC_MIX_LEAST_S;
    t->piece->shop.mix_time_s /= x;
    t->piece->shop.pour_time_s /= x;
}

static void set_free_layers(trial *t, double x) {
    (void)x;
    t->part.layers_asked = 0;
}

static void set_largest_mix(trial *t, double x) {
    t->piece->shop.largest_mix_kg = x;
}

/* First of the values from, from + step, ... (at most `most` of them) that frees the part. */
static pc_status first_value(trial *t, change apply, double from, double step, int most,
                             double *found) {
    *found = NAN;
    for (int i = 0; i < most; i++) {
        double x = from + step * i;
        bool yes;
        reset(t);
        apply(t, x);
        PCI_TRY(holds(t, &yes));
        if (yes) {
            *found = x;
            return PC_OK;
        }
    }
    return PC_OK;
}

enum { TEMPERATURE_STEPS = 10 };

static pc_status try_temperature(trial *t, change apply, double now_K, const char *what) {
    for (int way = -1; way <= 1; way += 2) {
        double warmest_K = fmin(WARMEST_K, pci_warmest_resin(t->base->piece));
        double limit_K = way < 0 ? COLDEST_K : warmest_K, step_K = 2.0 * way, found_K;
        int most = (int)fmax(0.0, fmin(TEMPERATURE_STEPS, (limit_K - now_K) / step_K));
        PCI_TRY(first_value(t, apply, now_K + step_K, step_K, most, &found_K));
        if (!isnan(found_K)) {
            offer(t, "%s %s to %s%s", way < 0 ? "cool" : "warm", what,
                  pc_say_degrees(t->piece->units, found_K).s, way < 0 ? " (" PCI_NO_DEW ")" : "");
            return PC_OK;
        }
    }
    return PC_OK;
}

/* How many times slower a resin is tried: from a third slower to twenty times. */
enum { SLOWER_STEPS = 13 };

static double slower_by(int step) {
    return pow(10.0, 0.1 * (step + 1));
}

/* Least slowing that frees the part once `also` has been done (NULL: nothing else). */
static pc_status least_slowing(trial *t, change also, double x, double *found) {
    *found = NAN;
    for (int i = 0; i < SLOWER_STEPS && isnan(*found); i++) {
        bool yes;
        reset(t);
        set_slower(t, slower_by(i));
        if (also)
            also(t, x);
        PCI_TRY(holds(t, &yes));
        if (yes)
            *found = slower_by(i);
    }
    return PC_OK;
}

/* Pot life, as a data sheet would state it, of the resin slowed down. */
static pc_words slowed_pot_life(trial *t, double found) {
    reset(t);
    set_slower(t, found);
    pc_cup_events cup = {NAN, NAN, NAN, NAN};
    double T_K = PC_SHEET_K;
    if (pci_cup_run(&t->c.resin, 0.1, T_K, T_K, &cup) != PC_OK)
        cup.pot_life_s = NAN;
    return pc_say_duration(cup.pot_life_s);
}

static pc_status try_slower(trial *t) {
    double found;
    pc_status status = least_slowing(t, NULL, 0.0, &found);
    if (status == PC_OK && !isnan(found))
        offer(t, "use a resin with a pot life of %s (100 g at 23 C) or more",
              slowed_pot_life(t, found).s);
    return status;
}

/* Two changes at once, where no single one does. */
static pc_status try_pairs(trial *t) {
    for (double drop_K = 5.0; drop_K <= 20.0 && t->text[0] == '\0'; drop_K += 5.0) {
        double T_K = fmin(t->base->resin_K, t->base->mold_K) - drop_K, found;
        if (T_K < COLDEST_K)
            break;
        PCI_TRY(least_slowing(t, set_both_K, T_K, &found));
        if (!isnan(found))
            offer(t,
                  "use a resin with a pot life of %s (100 g at 23 C) or more and cool resin "
                  "and mold to %s (" PCI_NO_DEW ")",
                  slowed_pot_life(t, found).s, pc_say_degrees(t->base->piece->units, T_K).s);
    }
    return PC_OK;
}

/* Whether a drained layer comes out thicker than it is to be. */
static bool leaves_more(const pci_limits *limits) {
    for (size_t i = 0; i < limits->count; i++)
        if (limits->item[i].kind == PCI_LIMIT_DRAIN && limits->item[i].is < limits->item[i].may_be)
            return true;
    return false;
}

/* What wall could be had as things stand: thinner, or, where draining leaves more, thicker. */
static pc_status try_wall(trial *t, const pci_limits *limits) {
    double wall_m = t->base->part->wall_m;
    bool thicker = leaves_more(limits);
    for (int i = 1; i <= 8 && t->base->part->kind == PC_HOLLOW; i++) {
        bool yes;
        reset(t);
        t->part.wall_m = wall_m * (thicker ? 10 + 2 * i : 10 - i) / 10.0;
        if (t->part.wall_m < t->part.least_layer_m)
            break;
        PCI_TRY(holds(t, &yes));
        if (yes) {
            offer(t, "make the wall no %s than %s", thicker ? "less" : "more",
                  pc_say_thickness(t->base->piece->units, t->part.wall_m).s);
            break;
        }
    }
    return PC_OK;
}

static bool exceeds(const pci_limits *limits, pci_limit_kind kind) {
    for (size_t i = 0; i < limits->count; i++)
        if (limits->item[i].kind == kind)
            return true;
    return false;
}

static pc_status try_layers_and_mix(trial *t) {
    double found;
    pc_status status = PC_OK;
    if (t->base->part->layers_asked > 0) {
        status = first_value(t, set_free_layers, 0.0, 1.0, 1, &found);
        if (status == PC_OK && !isnan(found))
            offer(t, "remove 'layers = %d': a different number of layers works",
                  t->base->part->layers_asked);
    }
    if (status == PC_OK && isfinite(t->base->piece->shop.largest_mix_kg)) {
        double now_kg = t->base->piece->shop.largest_mix_kg;
        status = first_value(t, set_largest_mix, 0.75 * now_kg, -0.25 * now_kg, 2, &found);
        if (status == PC_OK && !isnan(found))
            offer(t, "mix no more than %s at a time", pc_say_mass(found).s);
    }
    return status;
}

static pc_status try_hands_and_speed(trial *t, const pci_limits *limits) {
    double found;
    pc_status status = PC_OK;
    if (exceeds(limits, PCI_LIMIT_POT_LIFE)) {
        status = first_value(t, set_hands, 2.0, 1.0, 1, &found);
        if (status == PC_OK && !isnan(found))
            offer(t, "have a second pair of hands, so that mixing and pouring take half as long");
    }
    if (status == PC_OK && exceeds(limits, PCI_LIMIT_TURNS) &&
        t->base->piece->turning.method == PC_MACHINE) {
        status = first_value(t, set_faster_turning, 1.25, 0.25, 12, &found);
        if (status == PC_OK && !isnan(found))
            offer(t, "turn the outer axis at %s, the inner in the same ratio",
                  pc_say_rpm(found * t->base->piece->turning.outer_rad_s).s);
    }
    return status;
}

static pc_status try_all(trial *t, const pci_limits *limits) {
    pc_status status = try_layers_and_mix(t);
    if (status == PC_OK)
        status = try_temperature(t, set_resin_K, t->base->resin_K, "the resin");
    if (status == PC_OK)
        status = try_temperature(t, set_mold_K, t->base->mold_K, "the mold");
    if (status == PC_OK && t->text[0] == '\0')
        status = try_temperature(t, set_both_K, t->base->resin_K, "resin and mold");
    if (status == PC_OK)
        status = try_slower(t);
    if (status == PC_OK)
        status = try_hands_and_speed(t, limits);
    if (status == PC_OK && t->text[0] == '\0')
        status = try_wall(t, limits);
    if (status == PC_OK && t->text[0] == '\0')
        status = try_pairs(t);
    return status;
}

pc_status pci_remedies(const pci_case *c, double start_s, const pci_limits *limits, char *text,
                       size_t size) {
    text[0] = '\0';
    if (c->part->kind == PC_HOLLOW && c->part->wall_m < c->part->least_layer_m) {
        snprintf(text, size,
                 "make the wall no less than %s, or state least_layer if your resin covers thinner",
                 pc_say_thickness(c->piece->units, c->part->least_layer_m).s);
        return PC_OK;
    }
    trial t = {.base = c, .start_s = start_s, .text = text, .size = size};
    t.film = exceeds(limits, PCI_LIMIT_THIN) || exceeds(limits, PCI_LIMIT_DRAIN);
    t.piece = malloc(sizeof *t.piece);
    if (!t.piece)
        return PC_E_MEMORY;
    pc_status status = try_all(&t, limits);
    free(t.piece);
    if (status == PC_OK && text[0] == '\0')
        snprintf(text, size,
                 "no single change was found that works: change two at once (a slower "
                 "resin and a cooler shop, a thinner wall, smaller mixes)");
    return status;
}
