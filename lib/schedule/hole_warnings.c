/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a mold is filled and emptied through, by the laminar flow of a resin under its own weight
 * (Hagen-Poiseuille): a sprue too thin for the time of the pour, a pour hole that a slug does not
 * run out of. */
#include <math.h>

#include "base/text.h"
#include "base/try.h"
#include "film/film_sums.h"
#include "pourclock/words.h"
#include "resin/cure_rate.h"
#include "schedule/build.h"

/* A bore with which the same flow takes no longer than it may, in whole millimeters. */
static double bore_for(double bore_m, double takes_s, double most_s) {
    return 1e-3 * ceil(1e3 * bore_m * pow(takes_s / most_s, 0.25) - 1e-6);
}

/* ---- sprues ---- */

static const double POUR_LEAST_S = 10.0; /* where the shop states none, or less (judgment) */

static pc_status warn_sprue(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part *solid = &piece->part[part];
    const pc_part_plan *plan = schedule->part[part];
    double worst = 1.0, takes_s = 0.0, most_s = POUR_LEAST_S;
    if (solid->sprues == 0)
        return PC_OK;
    for (size_t j = 0; j < plan->layer_count; j++) {
        const pc_layer *layer = plan->layer[j];
        const pc_resin *mix = pc_piece_resin(piece, part, layer->number);
        double mu_Pa_s = pci_viscosity(&mix->flow, layer->fill_conversion, layer->fill_T_K);
        double may_s = fmax(POUR_LEAST_S, fmax(piece->shop.pour_time_s, layer->least_pour_s));
        double run_s = pci_bore_time(mix->density_kg_m3, mu_Pa_s,
                                     layer->poured_m3 / fmax(1.0, layer->rounds) / solid->sprues,
                                     solid->sprue_bore_m);
        if (!(run_s > worst * may_s)) /* NaN: not known */
            continue;
        worst = run_s / may_s;
        takes_s = run_s;
        most_s = may_s;
    }
    if (!(worst > 1.0))
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "sprue", false);
    if (!w)
        return PC_E_MEMORY;
    pci_format(w->text, sizeof w->text,
               "%s: by its own weight the resin takes about %s to run through %s of %s; the pour "
               "is planned in %s",
               plan->name, pc_say_duration(takes_s).s, solid->sprues > 1 ? "its sprues" : "a sprue",
               pc_say_length(piece->units, solid->sprue_bore_m).s, pc_say_duration(most_s).s);
    pci_format(
        w->remedy, sizeof w->remedy,
        "a sprue_bore of %s or more, more sprues, or a thinner resin; else state the time it "
        "takes (pour_time)",
        pc_say_length(piece->units, bore_for(solid->sprue_bore_m, takes_s, most_s)).s);
    return PC_OK;
}

/* ---- slugs ---- */

/* Longer, and a slug that thickens leaves more than was planned; air that comes in by the hole it
 * runs out of takes half of it (judgment). */
static const double SLUG_OUT_S = 60.0, SHARED_WITH_AIR = 2.0;
static const double TRIED_M = 0.01;

/* The drained layer whose slug asks for the widest hole, and that hole; NULL: none. */
static const pc_layer *widest_slug(const pc_piece *piece, size_t part, const pc_part_plan *plan,
                                   double *least_m) {
    const pc_layer *widest = NULL;
    *least_m = 0.0;
    for (size_t j = 0; j < plan->layer_count; j++) {
        const pc_layer *layer = plan->layer[j];
        double rho = pc_piece_resin(piece, part, layer->number)->density_kg_m3;
        double takes_s = SHARED_WITH_AIR *
                         pci_bore_time(rho, layer->drain_mu_Pa_s, layer->surplus_kg / rho, TRIED_M);
        double hole_m = bore_for(TRIED_M, takes_s, SLUG_OUT_S);
        if (!(hole_m > *least_m)) /* NaN: not drained, or nothing comes back */
            continue;
        *least_m = hole_m;
        widest = layer;
    }
    return widest;
}

static pc_status warn_hole(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part *body = &piece->part[part];
    const pc_part_plan *plan = schedule->part[part];
    double least_m;
    const pc_layer *slug = widest_slug(piece, part, plan, &least_m);
    if (!slug || body->open || body->pour_hole_m >= least_m)
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "pour-hole", false);
    if (!w)
        return PC_E_MEMORY;
    if (isnan(body->pour_hole_m))
        pci_format(w->text, sizeof w->text,
                   "%s: no pour_hole is stated, and a slug of %s, %.2g Pa.s thick by then, has to "
                   "run out of it",
                   plan->name, pc_say_mass(slug->surplus_kg).s, slug->drain_mu_Pa_s);
    else
        pci_format(w->text, sizeof w->text,
                   "%s: a slug of %s, %.2g Pa.s thick by then, takes about %s to run out of a "
                   "pour_hole of %s, and leaves more than is planned",
                   plan->name, pc_say_mass(slug->surplus_kg).s, slug->drain_mu_Pa_s,
                   pc_say_duration(SLUG_OUT_S * pow(least_m / body->pour_hole_m, 4.0)).s,
                   pc_say_length(piece->units, body->pour_hole_m).s);
    pci_format(w->remedy, sizeof w->remedy,
               "a pour_hole of %s or more lets it out in about %s; or a second hole for the air",
               pc_say_length(piece->units, least_m).s, pc_say_duration(SLUG_OUT_S).s);
    return PC_OK;
}

pc_status pci_hole_warnings(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    PCI_TRY(warn_sprue(piece, part, schedule));
    return warn_hole(piece, part, schedule);
}
