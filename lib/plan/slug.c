/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/slug.h"

#include <math.h>

#include "base/try.h"
#include "film/film_sums.h"
#include "plan/layout.h"
#include "plan/part.h"
#include "pourclock/film.h"
#include "pourclock/quantity.h"
#include "resin/cup.h"
#include "resin/cure_rate.h"
#include "wall/layers.h"

/* Steps in which a slug's and a film's viscosity are followed, as a share of the age of the mix:
 * within one it grows by a few per cent, by some ten near the gel. */
static const double STEP_SHARE = 0.01, STEP_LEAST_S = 0.5;
static const double FIRST_S = 0.2, FIRST_SHARE = 0.25;
enum { STEPS_MOST = 600, TRIES = 12 };
static const double SWIRL_LEAST_S = 20.0; /* until every face is wet (judgment) */
/* A film goes with the root of the viscosity: three seconds late leave a fifth more (judgment). */
static const double GROWTH_MOST_PER_S = 0.12;
static const double NO_MORE = 1e-4; /* share of the fluidity so far that still counts */
static const double CLOSE = 3e-3;   /* of the wanted film */

double pci_drop_m(const pci_case *c) {
    double drop_m = c->piece->turning.drop_length_m;
    return drop_m > 0.0 ? drop_m : PC_PI * c->part->shape.turn_radius_m;
}

static double step_s(const pc_layer *layer, double now_s) {
    return fmax(STEP_LEAST_S, STEP_SHARE * (now_s - layer->mix_s));
}

/* A slug is stirred by the swirling: it is as thick as its mean state. */
static pc_status slug_viscosity(const pci_run *run, const pc_layer *layer, double *mu_Pa_s) {
    pci_layer_state state;
    PCI_TRY(pci_wall_layer_state(run->wall, (size_t)layer->number - 1, &state));
    *mu_Pa_s = pci_viscosity(&pci_case_mix(&run->c, layer->number)->flow, state.a, state.T_K);
    return PC_OK;
}

static pc_status viscosity(const pci_run *run, const pc_layer *layer, double *mu_Pa_s) {
    pci_layer_state state;
    PCI_TRY(pci_wall_layer_state(run->wall, (size_t)layer->number - 1, &state));
    *mu_Pa_s = state.mu_Pa_s;
    return PC_OK;
}

/* Integral of dt/mu over a step across which ln mu runs straight. */
static double fluidity(double step, double mu0, double mu1) {
    if (isinf(mu1))
        return 0.5 * step / mu0;
    double growth = log(mu1 / mu0);
    return fabs(growth) < 1e-6 ? step / mu0 : step * (1.0 / mu0 - 1.0 / mu1) / growth;
}

/* A film as thick as this many times what it ends with has stopped running (judgment). */
static const double DRIPS_NO_MORE = 1.02;

/* The film goes with the root of the fluidity: when enough of it was there. */
static double drip_end(size_t count, const double time_s[], const double sum[]) {
    size_t i = 0;
    while (i + 1 < count && sum[i] < sum[count - 1] / (DRIPS_NO_MORE * DRIPS_NO_MORE))
        i++;
    return count > 0 ? time_s[i] : NAN;
}

/* Mean film left when the slug is poured out at out_s, by Jeffreys' equation from the slug's own
 * depth on: the run is used up. *drip_s: for how long it runs off. */
static pc_status run_film(pci_run *run, const pc_layer *layer, double out_s, double *film_m,
                          double *drip_s) {
    double mu, next_mu, sum = 0.0, time_s[STEPS_MOST], sums[STEPS_MOST];
    size_t count = 0;
    PCI_TRY(pci_run_pour_out(run, layer, out_s));
    PCI_TRY(viscosity(run, layer, &mu));
    double begun_s = pci_wall_time(run->wall); /* at first it cools fast, against the mold */
    for (int i = 0; i < STEPS_MOST && isfinite(mu); i++) {
        double now_s = pci_wall_time(run->wall);
        double step = fmin(step_s(layer, now_s), FIRST_S + FIRST_SHARE * (now_s - begun_s));
        PCI_TRY(pci_wall_advance(run->wall, now_s + step));
        PCI_TRY(viscosity(run, layer, &next_mu));
        double more = fluidity(step, mu, next_mu);
        sum += more;
        mu = next_mu;
        time_s[count] = now_s + step;
        sums[count++] = sum;
        if (more < NO_MORE * sum)
            break;
    }
    double thick_m = pci_drain_film(pci_case_mix(&run->c, layer->number)->density_kg_m3,
                                    pci_drop_m(&run->c), sum);
    double from_m = layer->thickness_m * layer->poured_m3 / layer->volume_m3;
    *film_m = sum > 0.0 ? thick_m / hypot(1.0, thick_m / from_m) : from_m;
    *drip_s = drip_end(count, time_s, sums) - begun_s;
    return PC_OK;
}

static pc_status film_left(const pci_run *run, const pc_layer *layer, double out_s,
                           double *film_m) {
    pci_run copy;
    double drip_s;
    pc_status status = pci_run_copy(run, &copy);
    if (status == PC_OK)
        status = run_film(&copy, layer, out_s, film_m, &drip_s);
    pci_run_end(&copy);
    return status;
}

/* A slug's viscosity from its pour to its gel. */
typedef struct thickening {
    size_t count;
    double time_s[STEPS_MOST + 1], mu_Pa_s[STEPS_MOST + 1];
    double gel_s; /* infinity where it is not reached */
} thickening;

static pc_status follow_slug(pci_run *run, const pc_layer *layer, thickening *slug) {
    slug->count = 0;
    slug->gel_s = INFINITY;
    for (int i = 0; i <= STEPS_MOST; i++) {
        double now_s = pci_wall_time(run->wall);
        slug->time_s[slug->count] = now_s;
        PCI_TRY(slug_viscosity(run, layer, &slug->mu_Pa_s[slug->count]));
        if (isinf(slug->mu_Pa_s[slug->count++])) {
            slug->gel_s = now_s;
            break;
        }
        PCI_TRY(pci_wall_advance(run->wall, now_s + step_s(layer, now_s)));
    }
    return PC_OK;
}

static pc_status slug_of(const pci_run *run, const pc_layer *layer, thickening *slug) {
    pci_run copy;
    pc_status status = pci_run_copy(run, &copy);
    if (status == PC_OK)
        status = follow_slug(&copy, layer, slug);
    pci_run_end(&copy);
    return status;
}

/* Straight in ln mu between the points; a gel counts as ten times too thick. */
static double slug_mu(const thickening *slug, double time_s) {
    size_t i = 1;
    while (i + 1 < slug->count && slug->time_s[i] < time_s)
        i++;
    if (slug->count < 2)
        return slug->mu_Pa_s[0];
    double mu0 = slug->mu_Pa_s[i - 1], mu1 = fmin(slug->mu_Pa_s[i], 10.0 * PC_POUR_OUT_MOST_PA_S);
    double share = (time_s - slug->time_s[i - 1]) / (slug->time_s[i] - slug->time_s[i - 1]);
    return mu0 * pow(mu1 / mu0, fmax(0.0, fmin(1.0, share)));
}

/* When it begins to thicken faster than hands can meet the moment. */
static double runs_away(const thickening *slug) {
    for (size_t i = 1; i < slug->count; i++) {
        double growth = log(slug->mu_Pa_s[i] / slug->mu_Pa_s[i - 1]);
        if (growth > GROWTH_MOST_PER_S * (slug->time_s[i] - slug->time_s[i - 1]))
            return slug->time_s[i - 1];
    }
    return INFINITY;
}

/* The latest minute to pour it out: it still runs, it leaves time to, and the film does not yet
 * hang on the second. */
static double latest_out(const thickening *slug) {
    size_t last = slug->count - 1;
    double high_s = slug->time_s[last], low_s = slug->time_s[0];
    for (int i = 0; i < 40; i++) {
        double out_s = 0.5 * (low_s + high_s);
        if (slug_mu(slug, out_s) < PC_POUR_OUT_MOST_PA_S)
            low_s = out_s;
        else
            high_s = out_s;
    }
    return fmin(fmin(low_s, slug->gel_s - PC_POUR_OUT_LEAST_S), runs_away(slug));
}

/* The later it is poured out the more it leaves: false position, an end kept twice counted half. */
static pc_status find_out(const pci_run *run, const pc_layer *layer, double low_s, double high_s,
                          double *out_s) {
    double wanted_m = layer->thickness_m * run->c.thickness_factor, film_m;
    double low = log(layer->drains_least_m / wanted_m), high = log(layer->drains_most_m / wanted_m);
    int kept = 0;
    *out_s = low_s;
    for (int i = 0; i < TRIES && high > low; i++) {
        *out_s = low_s - low * (high_s - low_s) / (high - low);
        PCI_TRY(film_left(run, layer, *out_s, &film_m));
        double off = log(film_m / wanted_m);
        if (fabs(off) < CLOSE)
            break;
        if (off < 0.0) {
            low_s = *out_s;
            low = off;
            high *= kept == 1 ? 0.5 : 1.0;
            kept = 1;
        } else {
            high_s = *out_s;
            high = off;
            low *= kept == -1 ? 0.5 : 1.0;
            kept = -1;
        }
    }
    return PC_OK;
}

/* What becomes of it: how long the film drips, and of what is poured back whether another mold can
 * be swirled with it, within the same share of its pot life as any pour, and how hot it gets. */
static pc_status follow_out(pci_run *copy, pc_layer *layer) {
    const pci_case *c = &copy->c;
    const pc_resin *mix = pci_case_mix(c, layer->number);
    double out_s = layer->drain_s, film_m;
    pci_layer_state slug;
    pc_cup_events cup;
    PCI_TRY(pci_wall_advance(copy->wall, out_s));
    PCI_TRY(pci_wall_layer_state(copy->wall, (size_t)layer->number - 1, &slug));
    if (layer->surplus_kg > 0.0) {
        const pc_cup_state state = {.T_K = slug.T_K, .a = slug.a};
        PCI_TRY(pci_cup_run_from(mix, layer->surplus_kg, &state, pci_case_air(c, out_s), &cup));
        double good_s = PCI_POT_SHARE * cup.pot_life_s;
        bool enough = good_s >= c->piece->shop.pour_time_s + SWIRL_LEAST_S;
        layer->back_good_s = enough ? good_s : 0.0;
        layer->back_peak_K = cup.peak_K;
        layer->back_peak_s = cup.peak_s;
    }
    return run_film(copy, layer, out_s, &film_m, &layer->drip_s);
}

static pc_status note_out(const pci_run *run, pc_layer *layer) {
    pci_run copy;
    pc_status status = pci_run_copy(run, &copy);
    if (status == PC_OK)
        status = follow_out(&copy, layer);
    pci_run_end(&copy);
    return status;
}

static void forget(pc_layer *layer) {
    layer->drain_s = layer->drain_mu_Pa_s = layer->mean_m = layer->surplus_kg = NAN;
    layer->drains_least_m = layer->drains_most_m = NAN;
    layer->drip_s = layer->back_good_s = layer->back_peak_K = layer->back_peak_s = NAN;
}

pc_status pci_drain_plan(const pci_run *run, pc_layer *layer) {
    thickening slug;
    double first_s = pci_wall_time(run->wall) + SWIRL_LEAST_S, out_s;
    forget(layer);
    PCI_TRY(slug_of(run, layer, &slug));
    if (slug.mu_Pa_s[slug.count - 1] <= PC_POUR_OUT_MOST_PA_S)
        return PC_OK; /* it never thickens: the gel says so */
    double latest_s = fmax(latest_out(&slug), first_s);
    PCI_TRY(film_left(run, layer, first_s, &layer->drains_least_m));
    PCI_TRY(film_left(run, layer, latest_s, &layer->drains_most_m));
    if (!pci_drains(layer))
        return PC_OK;
    PCI_TRY(find_out(run, layer, first_s, latest_s, &out_s));
    layer->drain_s = out_s;
    layer->drain_mu_Pa_s = slug_mu(&slug, out_s);
    layer->mean_m = layer->thickness_m;
    layer->surplus_kg =
        pci_case_mix(&run->c, layer->number)->density_kg_m3 * (layer->poured_m3 - layer->volume_m3);
    return run->c.quick ? PC_OK : note_out(run, layer);
}
