/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Judging a turning program for a layer; standstills; the best program of a machine. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/say.h"
#include "base/try.h"
#include "film/film_sums.h"
#include "film/judge.h"
#include "film/program.h"
#include "film/viscosity_history.h"
#include "pourclock/resin.h"
#include "solve/threads.h"

#define HORIZON_TURNS 24.0 /* looked at where the path does not close sooner */
#define STOP_THINS    0.02 /* a standstill to gel may thin the top by this share */
#define INSTANTS      4    /* beginnings of a standstill tried in the window */

/* Reciprocal of d ln mu/dt at a time; infinity where the resin does not thicken. */
static double tau_at(const pc_mu_history *history, double time_s) {
    double growth = time_s < history->gel_s ? pci_mu_growth(history, time_s) : INFINITY;
    return growth > 0 ? 1 / growth : INFINITY;
}

/* From when on a standstill until gel thins the top of the wall by STOP_THINS at most: there
 * h/h0 = 1/sqrt(1 + 4 k/3), k = rho g h^2 F/R. Found by halving; F falls with the time. */
static double may_stop(const pc_turn_layer *layer, double radius_m, double set_s) {
    double most = 0.75 * (1 / ((1 - STOP_THINS) * (1 - STOP_THINS)) - 1) * radius_m /
                  (layer->density_kg_m3 * PC_GRAVITY * layer->film_m * layer->film_m);
    double low = set_s, high = layer->history.gel_s;
    if (pci_mu_fluidity(&layer->history, low, high) <= most)
        return low;
    for (int i = 0; i < 60; i++) {
        double middle = low + (high - low) / 2;
        if (pci_mu_fluidity(&layer->history, middle, layer->history.gel_s) > most)
            low = middle;
        else
            high = middle;
    }
    return high;
}

static size_t cell_count(int fineness) {
    return fineness == 0 ? 400 : 1200 * (size_t)fineness;
}

static pc_status check_judge(const pc_turning *turning, const pc_turn_layer *layer, int fineness,
                             pc_errors *errors) {
    if (!turning || !layer || turning->method == PC_DRAIN || fineness < 0 || fineness > 16)
        return PC_E_ARGUMENT;
    if (!(layer->film_m > 0) || !isfinite(layer->film_m) || !(layer->radius_m > 0) ||
        !isfinite(layer->radius_m) || !(layer->volume_m3 > 0) || !isfinite(layer->volume_m3) ||
        !(layer->density_kg_m3 > 0) || !isfinite(layer->density_kg_m3) || layer->mount < 0)
        return PC_E_ARGUMENT;
    if (pci_mu_history_check(&layer->history) != PC_OK)
        return pc_errors_add(errors, PC_E_ARGUMENT, PC_NOWHERE,
                             "the layer has gelled before its pour ends: mix a smaller or a cooler "
                             "batch");
    return pci_turning_check(turning, errors);
}

/* Everything but the map. radius_m: of the sphere of the layer's own area. */
static pc_status judge_numbers(const pc_turning *turning, const pc_turn_layer *layer,
                               double radius_m, int fineness, pc_turn_result *r) {
    double speed = pci_film_speed(turning);
    r->mu_set_Pa_s = pci_film_mu_set(layer->density_kg_m3, layer->film_m, speed, layer->radius_m);
    r->set_s = pci_mu_reach(&layer->history, r->mu_set_Pa_s);
    r->gel_s = layer->history.gel_s;
    r->tau_s = tau_at(&layer->history, r->set_s);
    r->turns = pci_turning_turns(turning, r->set_s, r->gel_s);
    r->froude =
        pci_froude(turning->method == PC_HAND ? PC_HAND_MOVE_RAD_S : speed, layer->radius_m);
    r->pool_rad = pci_pool_angle(layer->volume_m3, radius_m);
    double turn_s = turning->method == PC_MACHINE ? 2 * PC_PI / fabs(turning->outer_rad_s)
                                                  : 2 * PC_PI / pci_turning_slower(turning);
    pc_coverage c;
    PCI_TRY(pci_turning_coverage(turning, layer->mount, r->pool_rad, HORIZON_TURNS * turn_s,
                                 fineness, &c));
    r->gap_s = c.gap_s;
    r->unevenness = c.gap_s / (2 * r->tau_s);
    r->never_faced_rad = c.never_faced_rad;
    r->missed = c.missed;
    r->locks = c.locks;
    double start = layer->history.time_s[0];
    r->from_s = fmax(start, r->set_s - fmin(r->gap_s, r->set_s - start));
    r->to_s = may_stop(layer, layer->radius_m, r->set_s);
    return PC_OK;
}

pc_status pci_judge_sphere(int fineness, pc_map **sphere) {
    PCI_TRY(pci_map_sphere(1, cell_count(fineness), sphere));
    pc_status status = pci_map_make_ready(*sphere);
    if (status == PC_OK)
        return PC_OK;
    pc_map_free(*sphere);
    *sphere = NULL;
    return status;
}

/* sphere: as pci_judge_sphere makes it, or NULL. */
static pc_status judge_map(const pc_map *sphere, const pc_turning *turning,
                           const pc_turn_layer *layer, const pc_turn_stop *stop, double radius_m,
                           int fineness, pc_spread *spread, pc_errors *errors) {
    pc_map *map = NULL;
    bool fits =
        sphere && sphere->count == cell_count(fineness) && radius_m >= 1e-6 && radius_m <= 1e3;
    pc_status status = fits ? pci_map_twin(sphere, radius_m, &map)
                            : pci_map_sphere(radius_m, cell_count(fineness), &map);
    if (status == PC_OK)
        status = pci_map_layer_add(map, turning, layer, stop, fineness, spread, errors);
    pc_map_free(map);
    return status;
}

static pc_status sphere_of(const pc_turn_layer *layer, double *radius_m, pc_errors *errors) {
    *radius_m = sqrt(layer->volume_m3 / layer->film_m / (4 * PC_PI));
    if (isnan(pci_pool_angle(layer->volume_m3, *radius_m)))
        return pc_errors_add(errors, PC_E_VALUE, PC_NOWHERE,
                             "a layer of %s holds more resin than a cavity of its area: "
                             "thinner layer, or cast it solid",
                             pci_say_both(PC_SAY_THICKNESS, layer->film_m).s);
    return PC_OK;
}

pc_status pci_turn_spread(const pc_map *sphere, const pc_turning *turning,
                          const pc_turn_layer *layer, int fineness, pc_spread *spread,
                          pc_errors *errors) {
    double radius = NAN;
    PCI_TRY(check_judge(turning, layer, fineness, errors));
    PCI_TRY(sphere_of(layer, &radius, errors));
    return judge_map(sphere, turning, layer, NULL, radius, fineness, spread, errors);
}

pc_status pci_turn_judge(const pc_map *sphere, const pc_turning *turning,
                         const pc_turn_layer *layer, const pc_turn_stop *stop, int fineness,
                         pc_turn_result *result, pc_errors *errors) {
    double radius = NAN;
    if (!result)
        return PC_E_ARGUMENT;
    pc_status status = check_judge(turning, layer, fineness, errors);
    if (status == PC_OK)
        status = sphere_of(layer, &radius, errors);
    if (status != PC_OK)
        return status;
    memset(result, 0, sizeof *result);
    status = judge_numbers(turning, layer, radius, fineness, result);
    if (status == PC_OK)
        status = judge_map(sphere, turning, layer, stop, radius, fineness, &result->spread, errors);
    return status;
}

/* Standstills of several lengths, each from several instants. */
struct interrupting {
    const pc_map *sphere;
    const pc_turning *turning;
    const pc_turn_layer *layer;
    int fineness;
    double radius_m;
    pc_turn_stop *stop;
    pc_spread *spread;
};

static pc_status interrupt_once(size_t i, void *context) {
    const struct interrupting *all = context;
    return judge_map(all->sphere, all->turning, all->layer, &all->stop[i], all->radius_m,
                     all->fineness, &all->spread[i], NULL);
}

/* The worst instant of each length. */
static void note_worst(const struct interrupting *all, size_t count, pc_turn_interruption *item) {
    for (size_t i = 0; i < count * INSTANTS; i++) {
        pc_turn_interruption *of = &item[i / INSTANTS];
        if (i % INSTANTS == 0)
            of->thin_m = INFINITY;
        if (!(all->spread[i].thin_m < of->thin_m))
            continue;
        of->from_s = all->stop[i].from_s;
        of->thin_m = all->spread[i].thin_m;
        of->lump_m3 = all->spread[i].lump_m3;
    }
}

static pc_status interrupt_all(struct interrupting *all, const pc_turn_result *whole, size_t count,
                               pc_turn_interruption *item) {
    for (size_t i = 0; i < count * INSTANTS; i++)
        all->stop[i] = (pc_turn_stop){whole->from_s + (whole->to_s - whole->from_s) *
                                                          (double)(i % INSTANTS) / INSTANTS,
                                      item[i / INSTANTS].for_s};
    PCI_TRY(pci_in_threads(interrupt_once, all, count * INSTANTS));
    note_worst(all, count, item);
    return PC_OK;
}

pc_status pci_turn_interrupt(const pc_map *sphere, const pc_turning *turning,
                             const pc_turn_layer *layer, int fineness, size_t count,
                             pc_turn_interruption *item) {
    struct interrupting all = {
        .sphere = sphere, .turning = turning, .layer = layer, .fineness = fineness};
    if (!item && count > 0)
        return PC_E_ARGUMENT;
    PCI_TRY(check_judge(turning, layer, fineness, NULL));
    PCI_TRY(sphere_of(layer, &all.radius_m, NULL));
    for (size_t i = 0; i < count; i++)
        if (!(item[i].for_s > 0))
            return PC_E_ARGUMENT;
    pc_turn_result whole;
    PCI_TRY(judge_numbers(turning, layer, all.radius_m, fineness, &whole));
    if (count == 0)
        return PC_OK;
    all.stop = calloc(count, INSTANTS * sizeof *all.stop);
    all.spread = calloc(count, INSTANTS * sizeof *all.spread);
    pc_map *own = NULL;
    pc_status status = all.stop && all.spread ? PC_OK : PC_E_MEMORY;
    if (status == PC_OK && !sphere)
        status = pci_judge_sphere(fineness, &own);
    all.sphere = sphere ? sphere : own;
    if (status == PC_OK)
        status = interrupt_all(&all, &whole, count, item);
    pc_map_free(own);
    free(all.stop);
    free(all.spread);
    return status;
}
