/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The best program a machine can run for a layer. */
#include <math.h>
#include <stdlib.h>

#include "base/try.h"
#include "film/film_sums.h"
#include "film/judge.h"
#include "pourclock/resin.h"
#include "solve/threads.h"

#define SLOWEST_RAD_S PC_RPM        /* 1 rpm, where the file is silent */
#define FASTEST_RAD_S (30 * PC_RPM) /* 30 rpm */
#define EQUAL_SHARE   0.005         /* of the film: no difference */

/* Inner to outer where any ratio can be set: near the gears that close late, and their inverses.
 * The golden ratio is the one furthest from every small fraction. */
static const double ratios[] = {
    1.0 / 8, 1.0 / 4,  2.0 / 7, 3.0 / 8,  0.381966011, 0.618033989, 5.0 / 8, 0.7320508, 7.0 / 9,
    0.9,     10.0 / 9, 9.0 / 7, 1.366025, 1.618033989, 2.618033989, 4,       1.0 / 3,   1.0 / 2};

enum { SHARES = 4 }; /* of the fastest speeds */

struct range {
    double slowest, fastest; /* of each axis */
};

static pc_status find_range(const pc_turning *turning, const pc_turn_layer *layer,
                            struct range *range, pc_errors *errors) {
    range->slowest = turning->slowest_rad_s > 0 ? turning->slowest_rad_s : SLOWEST_RAD_S;
    range->fastest = turning->fastest_rad_s > 0 ? turning->fastest_rad_s : FASTEST_RAD_S;
    if (!(range->slowest <= range->fastest))
        return pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = "turning", .key = "slowest"},
                             "the slowest speed is above the fastest: give slowest and fastest the "
                             "other way round");
    double most = sqrt(PC_FROUDE_MOST * PC_GRAVITY / layer->radius_m);
    if (range->slowest > most)
        return pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = "turning", .key = "slowest"},
                             "at its slowest, %.3g rpm, the machine already throws the resin "
                             "outward in a mold of this size; it must turn slower than %.3g rpm",
                             range->slowest / PC_RPM, most / PC_RPM);
    return PC_OK;
}

/* The fastest pair of speeds with a ratio that the range and the Froude number allow, times a
 * share; false where there is none. */
static bool speeds(const struct range *range, const pc_turn_layer *layer, double ratio,
                   double share, pc_turning *turning) {
    double most = sqrt(PC_FROUDE_MOST * PC_GRAVITY / layer->radius_m) / hypot(1, ratio);
    double outer = fmin(fmin(range->fastest, range->fastest / ratio), most) * share;
    if (!(outer >= range->slowest * (1 - 1e-9)) || !(outer * ratio >= range->slowest * (1 - 1e-9)))
        return false;
    turning->outer_rad_s = outer;
    turning->inner_rad_s = outer * ratio;
    return true;
}

/* One program of the search and the wall it makes. */
struct program_trial {
    pc_turning program;
    pc_spread spread;
};

struct searching {
    const pc_map *sphere;
    const pc_turn_layer *layer;
    int fineness;
    struct program_trial *trial;
    size_t count;
};

static pc_status try_one(size_t i, void *context) {
    const struct searching *s = context;
    struct program_trial *t = &s->trial[i];
    return pci_turn_spread(s->sphere, &t->program, s->layer, s->fineness, &t->spread, NULL);
}

static bool better(const struct program_trial *a, const struct program_trial *b, double film_m) {
    double step = EQUAL_SHARE * film_m;
    if (fabs(a->spread.thin_m - b->spread.thin_m) > step)
        return a->spread.thin_m > b->spread.thin_m;
    return pci_film_speed(&a->program) < pci_film_speed(&b->program) * (1 - 1e-9);
}

/* Every program that the gears, the range and the resin allow. */
static void list_trials(const pc_turning *turning, const struct range *range, struct searching *s) {
    static const double shares[SHARES] = {1, 0.7, 0.5, 0.3};
    size_t count = turning->ratio_count ? turning->ratio_count : sizeof ratios / sizeof ratios[0];
    for (size_t i = 0; i < count * SHARES; i++) {
        pc_turning *program = &s->trial[s->count].program;
        double ratio = fabs(turning->ratio_count ? turning->ratio[i / SHARES] : ratios[i / SHARES]);
        *program = *turning;
        if (ratio > 0 && isfinite(ratio) &&
            speeds(range, s->layer, ratio, shares[i % SHARES], program))
            s->count++;
    }
}

static pc_status run_trials(struct searching *s, pc_turning *best, pc_turn_result *result,
                            pc_errors *errors) {
    pc_map *own = NULL;
    const struct program_trial *first = &s->trial[0];
    pc_status status = s->sphere ? PC_OK : pci_judge_sphere(s->fineness, &own);
    s->sphere = s->sphere ? s->sphere : own;
    if (status == PC_OK)
        status = pci_in_threads(try_one, s, s->count);
    for (size_t i = 1; i < s->count; i++)
        if (better(&s->trial[i], first, s->layer->film_m))
            first = &s->trial[i];
    *best = first->program;
    if (status == PC_OK || status == PC_E_VALUE || status == PC_E_ARGUMENT) /* or says why not */
        status = pci_turn_judge(s->sphere, best, s->layer, NULL, s->fineness, result, errors);
    pc_map_free(own);
    return status;
}

pc_status pci_turn_search(const pc_map *sphere, const pc_turning *turning,
                          const pc_turn_layer *layer, int fineness, pc_turning *best,
                          pc_turn_result *result, pc_errors *errors) {
    struct range range;
    if (!turning || !layer || !best || !result || turning->method != PC_MACHINE ||
        !(layer->radius_m > 0) || !isfinite(layer->radius_m) ||
        turning->ratio_count > PC_RATIOS_MOST)
        return PC_E_ARGUMENT;
    PCI_TRY(find_range(turning, layer, &range, errors));
    size_t most = turning->ratio_count ? turning->ratio_count : sizeof ratios / sizeof ratios[0];
    struct searching s = {.sphere = sphere,
                          .layer = layer,
                          .fineness = fineness,
                          .trial = calloc(most, SHARES * sizeof *s.trial)};
    if (!s.trial)
        return PC_E_MEMORY;
    list_trials(turning, &range, &s);
    pc_status status =
        s.count > 0
            ? run_trials(&s, best, result, errors)
            : pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = "turning", .key = "ratios"},
                            "no gear ratio keeps both axes between %.3g and %.3g rpm and below the "
                            "speed that throws the resin outward: other gears, or a wider range",
                            range.slowest / PC_RPM, range.fastest / PC_RPM);
    free(s.trial);
    return status;
}
