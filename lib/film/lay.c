/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Laying a layer: the pool goes round and leaves the film the wall carries there and then. */
#include "film/lay.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/say.h"
#include "base/try.h"
#include "film/film_sums.h"
#include "film/program.h"
#include "film/viscosity_history.h"
#include "pourclock/resin.h"

#define STEPS_MOST   4000000 /* a day at 30 rpm in the finest steps looked at by default */
#define FIRST_CARRY  0.25    /* start where mu is this share of mu_set: half the film is carried */
#define BLOCK_TURNS  3       /* turns gone through between two leaps over slow stretches */
#define OPEN_TURNS   8       /* the same where the path does not close */
#define GROWTH_EARLY 0.10    /* growth of ln mu leapt over while much is still a pool, */
#define POOL_MUCH    0.20    /* that is this share of the layer */
#define LOOK_ROUGH   1e-6f   /* what a first look in single precision may be off */
#define DEPTH_ALIKE  1e-12   /* depths no further apart are alike */
#define POOL_CELLS   8       /* a pool of fewer cells may stand lower than the deepest of them */

struct run {
    pc_map *map;
    const pc_turn_layer *layer;
    struct pci_program program;
    struct pci_sag own, *sag; /* how films run down: the map's table, or its own */
    double area_m2;           /* of the wall this layer covers */
    double capacity_m3;       /* of the cavity left */
    double carry;             /* film carried at mu = 1, rate = 1, at the equal-area radius */
    double sag_per_m2;        /* rho g/R */
    double pool_m3;
    double wet;      /* share under the pool */
    double speed;    /* of the program, rad/s */
    double turn_s;   /* a turn of its slower axis */
    double time_s;   /* the clock */
    double paused_s; /* turning time is clock time less this */
    double stop_s;   /* infinity: no standstill to come */
    double unit_s, block_s, block_start_s, growth;
    double step_rad;
    double tension_N_m; /* surface tension */
    bool laid, evened;
    bool *under;
    /* Of a sphere, in the order of its patches: */
    float *side;           /* of each cell: 1: under the pool; -1: not */
    float *beyond, *stays; /* of each patch: where it stood to the level; whether it stays there */
    double *depth;
    size_t *changed, *leaving;
};

double pci_layer_area(const pc_map *map, const pc_turn_layer *layer) {
    return layer->film_m > 0 ? layer->volume_m3 / layer->film_m : map->area_m2;
}

static double carried(const struct run *run, double time_s, double rate) {
    double mu = pci_mu_at(&run->layer->history, time_s);
    return rate > 0 ? run->carry * sqrt(mu * rate) : 0;
}

static void none_under(struct run *run) {
    const struct pci_patches *patches = run->map->patches;
    memset(run->under, 0, run->map->count * sizeof *run->under);
    for (size_t i = 0; patches && i < patches->count * PCI_PATCH_CELLS; i++)
        run->side[i] = -1.0f;
    for (size_t k = 0; patches && k < patches->count; k++)
        run->beyond[k] = 0.0f;
}

/* What is still a pool stays where it is: over what lies under it and what just came out. */
static void lay_pool(struct run *run, size_t leaving, double leaving_share) {
    pc_map *map = run->map;
    double share = run->wet + leaving_share, film = run->pool_m3 / (run->area_m2 * share);
    for (size_t i = 0; i < leaving; i++)
        map->film_m[run->leaving[i]] = film;
    for (size_t i = 0; i < map->count; i++)
        if (run->under[i])
            map->film_m[i] = film;
    none_under(run);
    run->pool_m3 = 0;
    run->wet = 0;
    run->laid = true;
    run->evened = false;
}

static void go_under(struct run *run, size_t i) {
    run->pool_m3 += run->map->film_m[i] * run->map->share[i] * run->area_m2;
    run->map->film_m[i] = 0;
    run->under[i] = true;
    run->wet += run->map->share[i];
}

static double depth_of(const pc_map *map, size_t i, const double *down) {
    return map->x[i] * down[0] + map->y[i] * down[1] + map->z[i] * down[2];
}

/* Depth of every cell and the pool's level; the deepest cell is under the pool, however small. */
static double find_level(struct run *run, const double *down) {
    double most = -INFINITY, *depth = run->depth;
    for (size_t i = 0; i < run->map->count; i++) {
        depth[i] = depth_of(run->map, i, down);
        most = depth[i] > most ? depth[i] : most;
    }
    double level = pci_pool_level(run->map, depth, down, run->pool_m3 / run->capacity_m3);
    return level < most ? level : most;
}

/* On a sphere the level hangs on the volume alone, and is below the deepest cell for sure unless
 * the pool is no bigger than a cell. Then no depth need be known. */
static double sphere_level(struct run *run, const double *down) {
    double level = pci_pool_level(run->map, NULL, NULL, run->pool_m3 / run->capacity_m3);
    bool plain = level < 1.0 - 2.0 * POOL_CELLS / (double)run->map->count; /* a cap: (1 - y)/2 */
    return plain ? level : find_level(run, down) - DEPTH_ALIKE;
}

/* What comes out of the pool in a step: cells, their share, the share of film they carry. */
struct leaving {
    size_t count;
    double share, demand;
};

static void come_out(struct run *run, size_t i, struct leaving *leaving) {
    const pc_map *map = run->map;
    run->under[i] = false;
    run->wet -= map->share[i];
    leaving->share += map->share[i];
    leaving->demand += map->share[i] * map->reach[i];
    run->leaving[leaving->count++] = i;
}

/* Cells of a patch whose side of the level is not the one they were on, added to run->changed,
 * which holds n; returns how many it holds then. Those that may be are told by the sign bit. */
static size_t look_at(struct run *run, size_t first, const double *down, double level, size_t n) {
    const struct pci_patches *p = run->map->patches;
    const float *x = p->x + first, *y = p->y + first, *z = p->z + first;
    float a = (float)down[0], b = (float)down[1], c = (float)down[2], at = (float)level;
    float *side = run->side + first, look[PCI_PATCH_CELLS];
    uint32_t bits[PCI_PATCH_CELLS], any = 0;
#pragma omp simd
    for (size_t i = 0; i < PCI_PATCH_CELLS; i++)
        look[i] = (x[i] * a + y[i] * b + z[i] * c - at) * side[i] - LOOK_ROUGH;
    memcpy(bits, look, sizeof bits);
    for (size_t i = 0; i < PCI_PATCH_CELLS; i++)
        any |= bits[i];
    if (any >> 31 == 0)
        return n;
    for (size_t i = 0; i < PCI_PATCH_CELLS; i++) {
        if (bits[i] >> 31 == 0 || first + i >= run->map->count)
            continue;
        size_t cell = p->cell[first + i];
        bool is_under = depth_of(run->map, cell, down) >= level;
        if (is_under == run->under[cell])
            continue;
        side[i] = -side[i];
        run->changed[n++] = cell;
    }
    return n;
}

/* Of a sphere only patches that the level goes through, or went through, are looked at. */
static size_t look_round(struct run *run, const double *down, double level) {
    const struct pci_patches *p = run->map->patches;
    const float *x = p->middle_x, *y = p->middle_y, *z = p->middle_z, *reach = p->reach;
    float a = (float)down[0], b = (float)down[1], c = (float)down[2], at = (float)level;
    float *beyond = run->beyond, *stays = run->stays;
#pragma omp simd
    for (size_t k = 0; k < p->count; k++) {
        float above = x[k] * a + y[k] * b + z[k] * c - at;
        float now = fabsf(above) > reach[k] ? above : 0.0f;
        stays[k] = now * beyond[k];
        beyond[k] = now;
    }
    size_t n = 0;
    for (size_t k = 0; k < p->count; k++)
        if (!(stays[k] > 0.0f))
            n = look_at(run, k * PCI_PATCH_CELLS, down, level, n);
    return n;
}

/* Cells whose side of the level is not the one they were on, into run->changed; returns how many.
 * Few cells change, and unpredictably: no branch, to avoid mispredictions. */
static size_t find_changed(struct run *run, const double *down) {
    const double *depth = run->depth;
    const bool *under = run->under;
    size_t *changed = run->changed, n = 0;
    if (run->map->patches)
        return look_round(run, down, sphere_level(run, down));
    double level = find_level(run, down);
    for (size_t i = 0; i < run->map->count; i++) {
        changed[n] = i;
        n += (depth[i] >= level) != under[i];
    }
    return n;
}

/* The pool moves on: cells go under and give their film back, others come out with theirs. */
static void pool_step(struct run *run) {
    pc_map *map = run->map;
    double down[3], rate;
    struct leaving leaving = {0, 0, 0};
    pci_program_down(&run->program, run->time_s - run->paused_s, down, &rate);
    double film = carried(run, run->time_s, rate);
    size_t changed = find_changed(run, down);
    for (size_t k = 0; k < changed; k++) {
        size_t i = run->changed[k];
        run->under[i] ? come_out(run, i, &leaving) : go_under(run, i);
    }
    /* As thick as the pool is deep: it is carried whole. */
    if (film * run->area_m2 * fmax(run->wet + leaving.share, leaving.demand) >= run->pool_m3) {
        lay_pool(run, leaving.count, leaving.share);
        return;
    }
    for (size_t j = 0; j < leaving.count; j++)
        map->film_m[run->leaving[j]] = film * map->reach[run->leaving[j]];
    run->pool_m3 -= film * leaving.demand * run->area_m2;
}

/* The mold stands still from t0 to t1: films run down into the pool. */
static void stand(struct run *run, double t0, double t1) {
    pc_map *map = run->map;
    double down[3], fluidity = pci_mu_fluidity(&run->layer->history, t0, t1);
    pci_program_down(&run->program, t0 - run->paused_s, down, NULL);
    if (!(fluidity > 0))
        return;
    for (size_t i = 0; i < map->count; i++) {
        double film = map->film_m[i];
        double c = -(map->nx[i] * down[0] + map->ny[i] * down[1] + map->nz[i] * down[2]);
        double run_down = run->sag_per_m2 * film * film * fluidity;
        if (!(run_down > PCI_SAG_RUN_LEAST))
            continue;
        double left = pci_sag(run->sag, acos(c > 1 ? 1 : c < -1 ? -1 : c), run_down);
        map->film_m[i] = film * left;
        run->pool_m3 += film * (1 - left) * map->share[i] * run->area_m2;
    }
    if (run->pool_m3 > 0)
        run->laid = false;
}

/* Over stretches where the viscosity hardly grows the turns repeat themselves: leap. */
static void leap(struct run *run, double until_s) {
    if (run->time_s - run->block_start_s < run->block_s)
        return;
    double growth = run->pool_m3 > POOL_MUCH * run->layer->volume_m3 ? GROWTH_EARLY : run->growth;
    double mu = pci_mu_at(&run->layer->history, run->block_start_s);
    double to = fmin(pci_mu_reach(&run->layer->history, mu * exp(growth)), until_s);
    double units = floor((to - run->time_s) / run->unit_s);
    if (units > 0)
        run->time_s += units * run->unit_s;
    run->block_start_s = run->time_s;
}

static void plan_blocks(struct run *run, int fineness) {
    const struct pci_program *p = &run->program;
    double turn = p->method == PC_MACHINE ? 2 * PC_PI / fabs(p->outer) : p->period_s;
    bool closes = p->closure_s <= OPEN_TURNS * turn || p->reverse_s > 0 || p->method == PC_HAND;
    run->unit_s = closes ? p->closure_s : turn;
    run->block_s =
        closes ? run->unit_s * ceil(BLOCK_TURNS * turn / run->unit_s) : OPEN_TURNS * turn;
    run->step_rad = (fineness == 0 ? 8.0 : 4.0 / fineness) * PC_PI / 180;
    run->growth = fineness == 0 ? 0.06 : 0.03 / fineness;
}

/* The next step of turning, or of standing in the hand, on the clock. */
static void advance(struct run *run, double until_s) {
    double now = run->time_s;
    struct pci_step step = pci_program_step(&run->program, now - run->paused_s, run->step_rad);
    double next = fmin(step.end_s + run->paused_s, until_s);
    if (!(next > now)) /* rounding of a long clock */
        next = fmin(until_s, nextafter(now, INFINITY) + 1e-9);
    if (step.hold)
        stand(run, now, next);
    run->time_s = next;
    if (!step.hold)
        pool_step(run);
}

/* A layer laid sways on: what is too steep runs out in the next turn, and surface tension levels it
 * for as long as it flows. */
static pc_status even(struct run *run) {
    double mu = pci_mu_at(&run->layer->history, run->time_s + run->turn_s);
    double reach = run->carry / PC_RIMMING_MEAN; /* its square is R/(rho g) */
    run->evened = true;
    if (!isfinite(mu))
        return PC_OK;
    pc_status status = pci_even(run->map, mu * run->speed * reach * reach);
    double film = run->layer->volume_m3 / run->area_m2, r = run->map->radius_m;
    double until = fmin(run->stop_s, run->layer->history.gel_s);
    double fluidity = pci_mu_fluidity(&run->layer->history, run->time_s, fmax(until, run->time_s));
    if (status == PC_OK)
        status = pci_level(run->map,
                           run->tension_N_m * film * film * film * fluidity / (3 * r * r * r * r));
    return status;
}

/* The standstill asked for. */
static void stop_now(struct run *run, double for_s) {
    double end = fmin(run->time_s + for_s, run->layer->history.gel_s);
    stand(run, run->time_s, end);
    run->paused_s += end - run->time_s;
    run->time_s = end;
    run->stop_s = INFINITY;
    run->block_start_s = end;
    run->evened = run->evened && run->laid;
}

/* Gelled as a pool: it stays where it is. */
static void gel_pool(struct run *run) {
    if (!(run->wet > 0)) {
        double down[3];
        pci_program_down(&run->program, run->time_s - run->paused_s, down, NULL);
        double level = find_level(run, down);
        for (size_t i = 0; i < run->map->count; i++)
            if (run->depth[i] >= level)
                go_under(run, i);
    }
    lay_pool(run, 0, 0);
}

/* Where to begin: early enough for a film a half as thick, and before a standstill. */
static void begin(struct run *run, const pc_turn_stop *stop) {
    const pc_mu_history *history = &run->layer->history;
    double start = history->time_s[0], film = run->layer->volume_m3 / run->area_m2;
    double mu_set = film * film / (run->carry * run->carry * run->speed);
    bool stops = stop && stop->for_s > 0 && stop->from_s + stop->for_s > start;
    run->stop_s = stops ? fmax(stop->from_s, start) : INFINITY;
    run->time_s = fmin(pci_mu_reach(history, FIRST_CARRY * mu_set), run->stop_s) - run->block_s;
    run->time_s = fmax(start, run->time_s);
    run->paused_s = start;
    run->block_start_s = run->time_s;
}

static pc_status turn(struct run *run, const pc_turn_stop *stop) {
    double gel = run->layer->history.gel_s;
    pc_status status = PC_OK;
    begin(run, stop);
    for (long steps = 0; run->time_s < gel; steps++) {
        if (steps > STEPS_MOST)
            return PC_E_SIZE;
        if (run->laid && !run->evened)
            status = even(run);
        if (status != PC_OK || (run->laid && !(run->stop_s < gel)))
            return status;
        if (run->laid)
            run->time_s = fmax(run->time_s, run->stop_s);
        if (run->time_s >= run->stop_s) {
            stop_now(run, stop->for_s);
            continue;
        }
        bool pending = run->stop_s < gel;
        leap(run, pending ? run->stop_s - run->block_s : gel);
        advance(run, fmin(run->stop_s, gel));
    }
    if (!run->laid && run->pool_m3 > 0)
        gel_pool(run);
    return PC_OK;
}

/* What stands above twice the mean film. */
static double lump_of(const struct run *run) {
    double mean = run->layer->volume_m3 / run->area_m2, sum = 0;
    for (size_t i = 0; i < run->map->count; i++)
        sum += fmax(0, run->map->film_m[i] - 2 * mean) * run->map->share[i];
    return sum * run->area_m2;
}

static pc_status check_layer(const pc_map *map, const pc_turning *turning,
                             const pc_turn_layer *layer, const pc_turn_stop *stop,
                             pc_errors *errors) {
    if (!(layer->density_kg_m3 > 0) || !isfinite(layer->density_kg_m3) || !(layer->volume_m3 > 0) ||
        !isfinite(layer->volume_m3) || layer->mount < 0)
        return PC_E_ARGUMENT;
    if (!isnan(layer->film_m) && (!(layer->film_m > 0) || !isfinite(layer->film_m)))
        return PC_E_ARGUMENT;
    if (stop && (isnan(stop->from_s) || !(stop->for_s >= 0)))
        return PC_E_ARGUMENT;
    if (pci_mu_history_check(&layer->history) != PC_OK)
        return pc_errors_add(errors, PC_E_ARGUMENT, PC_NOWHERE,
                             "the layer has gelled before its pour ends: mix a smaller or a cooler "
                             "batch");
    PCI_TRY(pci_turning_check(turning, errors));
    double left = map->volume_m3 - map->laid_m3;
    if (layer->volume_m3 > left)
        return pc_errors_add(errors, PC_E_VALUE, PC_NOWHERE,
                             "the layer's resin, %s, is more than the %s the cavity still "
                             "holds: thinner wall",
                             pci_say_both(PC_SAY_VOLUME, layer->volume_m3).s,
                             pci_say_both(PC_SAY_VOLUME, fmax(left, 0)).s);
    return PC_OK;
}

pc_status pci_lay(pc_map *map, const pc_turning *turning, const pc_turn_layer *layer,
                  const pc_turn_stop *stop, int fineness, double *lump_m3, pc_errors *errors) {
    if (!map || !turning || !layer || fineness < 0 || fineness > 16 || turning->method == PC_DRAIN)
        return PC_E_ARGUMENT;
    PCI_TRY(check_layer(map, turning, layer, stop, errors));
    struct run run = {.map = map, .layer = layer, .area_m2 = pci_layer_area(map, layer)};
    double radius = layer->radius_m > 0 ? layer->radius_m : map->radius_m;
    double weight = layer->density_kg_m3 * PC_GRAVITY;
    run.capacity_m3 = map->volume_m3 - map->laid_m3;
    run.carry = PC_RIMMING_MEAN * sqrt(radius / weight);
    run.sag_per_m2 = weight / radius;
    run.pool_m3 = layer->volume_m3;
    run.sag = map->sag ? map->sag : &run.own;
    pci_program_start(&run.program, turning, layer->mount);
    plan_blocks(&run, fineness);
    run.tension_N_m =
        turning->surface_tension_N_m > 0 ? turning->surface_tension_N_m : PC_SURFACE_TENSION_N_M;
    run.speed = pci_film_speed(turning);
    run.turn_s = 2 * PC_PI / pci_turning_slower(turning);
    run.under = calloc(map->count, sizeof *run.under);
    run.depth = malloc(map->count * sizeof *run.depth);
    size_t patches = map->patches ? map->patches->count : 0;
    run.side = malloc((patches * (PCI_PATCH_CELLS + 2) + 1) * sizeof *run.side);
    run.changed = malloc(map->count * sizeof *run.changed);
    run.leaving = malloc(map->count * sizeof *run.leaving);
    pc_status status = PC_E_MEMORY;
    if (run.under && run.side && run.depth && run.changed && run.leaving) {
        run.beyond = run.side + patches * PCI_PATCH_CELLS;
        run.stays = run.beyond + patches;
        none_under(&run);
        memset(map->film_m, 0, map->count * sizeof *map->film_m);
        status = turn(&run, stop);
    }
    free(run.under);
    free(run.side);
    free(run.depth);
    free(run.changed);
    free(run.leaving);
    *lump_m3 = lump_of(&run);
    return status;
}

pc_status pci_map_layer_add(pc_map *map, const pc_turning *turning, const pc_turn_layer *layer,
                            const pc_turn_stop *stop, int fineness, pc_spread *spread,
                            pc_errors *errors) {
    if (!map || !layer)
        return PC_E_ARGUMENT;
    double *before = malloc(map->count * sizeof *before), lump = 0;
    if (!before)
        return PC_E_MEMORY;
    memcpy(before, map->film_m, map->count * sizeof *before);
    pc_status status = pci_lay(map, turning, layer, stop, fineness, &lump, errors);
    pc_spread own = {.lump_m3 = lump};
    if (status == PC_OK)
        status = pci_spread(map, map->film_m, &own);
    if (status != PC_OK) {
        memcpy(map->film_m, before, map->count * sizeof *before);
        free(before);
        return status;
    }
    free(before);
    own.volume_m3 = own.mean_m * pci_layer_area(map, layer);
    for (size_t i = 0; i < map->count; i++)
        map->sum_m[i] += map->film_m[i];
    map->laid_m3 += own.volume_m3;
    map->lump_m3 += lump;
    if (spread)
        *spread = own;
    return PC_OK;
}
