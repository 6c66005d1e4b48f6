/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How the mold of a planned piece is turned, judged part by part. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "film/film_sums.h"
#include "film/judge.h"
#include "film/program.h"
#include "pourclock/turn.h"
#include "schedule/turn_plan.h"

enum { FINENESS = 1, COARSE = 0, MAP_CELLS = 3000 };
static const double ENDLESS_S = 1200.0; /* of a path that never closes so much is looked at */

/* What layers and programs are judged on. */
typedef struct spheres {
    pc_map *fine, *coarse;
} spheres;

static void keep_why(pc_turned_layer *l, pc_status status, pc_errors *errors) {
    l->status = status;
    snprintf(l->why, sizeof l->why, "%s",
             errors->count ? errors->item[0].text : pc_status_text(status));
    pc_errors_free(errors);
}

/* A drained layer is the schedule's, which follows slug and film on the wall; where that has none
 * the film alone says why. */
static pc_status judge_drained(const pc_layer *planned, const pc_turned_part *part,
                               const pc_turn_layer *layer, pc_drain_result *drain,
                               pc_errors *errors) {
    if (isnan(planned->drain_s))
        return pci_drain_when(layer, part->plan.drop_m, planned->poured_m3, drain, errors);
    *drain = (pc_drain_result){
        .out_s = planned->drain_s,
        .mu_out_Pa_s = planned->drain_mu_Pa_s,
        .film_m = planned->thickness_m,
        .edge_m = 1.5 * planned->thickness_m, /* Jeffreys' film at its foot over its mean */
        .surplus_m3 = planned->poured_m3 - planned->volume_m3,
        .gel_s = planned->gel_s,
        .least_m = planned->drains_least_m,
        .most_m = planned->drains_most_m};
    return PC_OK;
}

/* A layer that cannot be turned says why; out of memory nothing does. */
static pc_status judge_layer(const spheres *on, const pc_turning *turning, const pc_layer *planned,
                             const pc_turned_part *part, size_t j, pc_turned_layer *l) {
    static const double stops[PC_TURN_STOPS] = {10, 30, 60};
    const pc_turn_layer *layer = &part->plan.layer[j];
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status;
    if (l->method == PC_COAT_BRUSH) {
        status = pc_errors_add(&errors, PC_E_VALUE, PC_NOWHERE, "it is brushed on, not turned");
    } else if (l->method == PC_COAT_DRAIN) {
        status = judge_drained(planned, part, layer, &l->drain, &errors);
    } else {
        status = pci_turn_judge(on->fine, turning, layer, NULL, FINENESS, &l->result, &errors);
        for (int k = 0; k < PC_TURN_STOPS; k++)
            l->stop[k].for_s = stops[k];
        if (status == PC_OK)
            status = pci_turn_interrupt(on->coarse, turning, layer, COARSE, PC_TURN_STOPS, l->stop);
    }
    keep_why(l, status, &errors);
    return status == PC_E_MEMORY ? status : PC_OK;
}

static bool is_turned(const pc_turned_part *part, size_t j) {
    return part->layer[j].method == PC_COAT_TURN;
}

/* The thin 5 % of a layer as a share of what is wanted; NaN where it has none. */
static double thin_share(const pc_turned_part *part, size_t j, const pc_turn_result *result) {
    return result->spread.thin_m / part->plan.layer[j].film_m;
}

/* Keeps a program when every layer of it is better than the least there is by enough to be worth
 * changing gears. */
static pc_status try_program(const spheres *on, const pc_turning *program, pc_turned_part *part,
                             double *least) {
    pc_turn_result result[PC_LAYERS_MOST] = {0};
    double share = INFINITY;
    for (size_t j = 0; j < part->plan.count; j++) {
        if (!is_turned(part, j))
            continue;
        pc_status status = pci_turn_judge(on->fine, program, &part->plan.layer[j], NULL, FINENESS,
                                          &result[j], NULL);
        if (status != PC_OK)
            return status == PC_E_MEMORY ? status : PC_OK;
        double own = thin_share(part, j, &result[j]);
        if (!(own > PC_TURN_BETTER_BY * *least))
            return PC_OK;
        share = fmin(share, own);
    }
    *least = share;
    part->best = *program;
    part->has_best = true;
    memcpy(part->best_result, result, sizeof result);
    return PC_OK;
}

static bool same_speeds(const pc_turning *a, const pc_turning *b) {
    return a->outer_rad_s == b->outer_rad_s && a->inner_rad_s == b->inner_rad_s;
}

/* Of each layer the program that serves it best is tried for all of them, none twice. */
static pc_status try_searched(const spheres *on, const pc_turning *turning, pc_turned_part *part,
                              double least) {
    pc_turning tried[PC_LAYERS_MOST + 1] = {*turning};
    size_t count = 1;
    for (size_t j = 0; j < part->plan.count; j++) {
        if (!is_turned(part, j))
            continue;
        pc_errors errors = PC_ERRORS_INIT;
        pc_turn_result result;
        pc_turning *program = &tried[count];
        pc_status status = pci_turn_search(on->coarse, turning, &part->plan.layer[j], COARSE,
                                           program, &result, &errors);
        size_t k = 0;
        while (status == PC_OK && !same_speeds(&tried[k], program))
            k++;
        if (status == PC_OK && k == count) {
            count++;
            status = try_program(on, program, part, &least);
        } else if (errors.count) {
            snprintf(part->why_no_best, sizeof part->why_no_best, "%s", errors.item[0].text);
        }
        pc_errors_free(&errors);
        if (status == PC_E_MEMORY)
            return status;
    }
    return PC_OK;
}

/* A better program than the piece's, where there is one; the worst layer is what counts. Hands are
 * offered the cycle of all quarter turns. */
static pc_status find_best(const spheres *on, const pc_turning *turning, pc_turned_part *part) {
    double least = INFINITY;
    for (size_t j = 0; j < part->plan.count; j++) {
        if (!is_turned(part, j))
            continue;
        double share = thin_share(part, j, &part->layer[j].result);
        if (part->layer[j].status != PC_OK || isnan(share))
            return PC_OK;
        least = fmin(least, share);
    }
    if (turning->method != PC_HAND)
        return try_searched(on, turning, part, least);
    pc_turning program = *turning;
    program.tilt_count = 0;
    return try_program(on, &program, part, &least);
}

/* Lays the layers up to `last` on a map. Layers that cannot be laid are left out. */
static pc_status fill_map(const pc_turning *turning, const pc_turned_part *part, size_t last,
                          pc_map *map, pc_spread *spread) {
    pc_status status = PC_OK;
    for (size_t j = 0; j < part->plan.count && j <= last && status == PC_OK; j++) {
        if (is_turned(part, j) && part->layer[j].status == PC_OK)
            status =
                pci_map_layer_add(map, turning, &part->plan.layer[j], NULL, FINENESS, spread, NULL);
    }
    return status;
}

static pc_status add_sum(const pc_turning *turning, const pc_part *part, pc_turned_part *of) {
    pc_status status = pci_map_sphere(part->shape.turn_radius_m, MAP_CELLS, &of->map);
    if (status == PC_OK)
        status = fill_map(turning, of, PC_LAYERS_MOST, of->map, &of->sum);
    if (status == PC_OK)
        return pci_map_spread(of->map, &of->sum);
    pc_map_free(of->map); /* a cavity much smaller than the sphere: no sum, no more */
    of->map = NULL;
    return status == PC_E_MEMORY ? status : PC_OK;
}

static pc_status judge_part(const spheres *on, const pc_piece *piece, const pc_schedule *schedule,
                            pc_turned_part *part) {
    const pc_turning *turning = &piece->turning;
    pc_status status = pci_turn_plan_make(piece, schedule, part->part, &part->plan);
    if (status != PC_OK)
        return status;
    size_t first = part->plan.count; /* that is turned */
    for (size_t j = 0; j < part->plan.count && status == PC_OK; j++) {
        part->layer[j].method = schedule->part[part->part]->layer[j]->method;
        status = judge_layer(on, turning, schedule->part[part->part]->layer[j], part, j,
                             &part->layer[j]);
        if (is_turned(part, j) && first == part->plan.count)
            first = j;
    }
    if (status != PC_OK || first == part->plan.count)
        return status;
    double pool_rad = part->layer[first].status == PC_OK ? part->layer[first].result.pool_rad : 1.0;
    double period_s = pci_turning_closure(turning, NULL, NULL);
    status = pci_turning_coverage(turning, 0, pool_rad, isfinite(period_s) ? period_s : ENDLESS_S,
                                  FINENESS, &part->coverage);
    if (status == PC_OK)
        status = find_best(on, turning, part);
    return status == PC_OK ? add_sum(turning, &piece->part[part->part], part) : status;
}

static const char *why_no_plan(pc_status status) {
    if (status == PC_E_UNREACHED)
        return "a layer never gels, so turning it cannot be judged: warm the shop or the resin";
    if (status == PC_E_LIMIT)
        return "a layer has gelled before it is in the mold, so turning it cannot be judged; "
               "`pourclock schedule` says what would make it work";
    return pc_status_text(status);
}

static pc_status judge_parts(const spheres *on, const pc_piece *piece, const pc_schedule *schedule,
                             pc_turn_report *report, pc_errors *errors) {
    for (size_t i = 0; i < piece->part_count; i++) {
        if (piece->part[i].kind != PC_HOLLOW)
            continue;
        pc_turned_part *part = &report->part[report->count++];
        part->part = i;
        pc_status status = judge_part(on, piece, schedule, part);
        if (status != PC_OK)
            return pc_errors_add(errors, status, PC_NOWHERE, "%s: %s", piece->part[i].name,
                                 why_no_plan(status));
    }
    if (report->count == 0)
        return pc_errors_add(errors, PC_E_VALUE, PC_NOWHERE,
                             "the piece has no hollow part: nothing is turned");
    return PC_OK;
}

pc_status pc_turn_report_make(const pc_piece *piece, const pc_schedule *schedule,
                              pc_turn_report *report, pc_errors *errors) {
    if (!report)
        return PC_E_ARGUMENT;
    memset(report, 0, sizeof *report);
    if (!piece || !schedule || piece->part_count > PC_PARTS_MOST)
        return PC_E_ARGUMENT;
    pc_status status = pci_turning_check(&piece->turning, errors);
    if (status != PC_OK)
        return status;
    report->speed_rad_s = pci_film_speed(&piece->turning);
    if (piece->turning.method == PC_HAND)
        report->tilt_count = pci_turning_tilts(&piece->turning, report->tilt, &report->period_s);
    report->part = calloc(piece->part_count + 1, sizeof *report->part);
    if (!report->part)
        return PC_E_MEMORY;
    spheres on = {NULL, NULL};
    status = pci_judge_sphere(FINENESS, &on.fine);
    if (status == PC_OK)
        status = pci_judge_sphere(COARSE, &on.coarse);
    if (status == PC_OK)
        status = judge_parts(&on, piece, schedule, report, errors);
    pc_map_free(on.fine);
    pc_map_free(on.coarse);
    return status;
}

void pc_turn_report_free(pc_turn_report *report) {
    if (!report)
        return;
    for (size_t i = 0; i < report->count; i++) {
        pci_turn_plan_free(&report->part[i].plan);
        pc_map_free(report->part[i].map);
    }
    free(report->part);
    memset(report, 0, sizeof *report);
}

static pc_status map_of_mesh(const pc_mesh *mesh, pc_map **map) {
    double(*corner)[3] = malloc(3 * mesh->facet_count * sizeof *corner);
    if (!corner)
        return PC_E_MEMORY;
    for (size_t i = 0; i < 3 * mesh->facet_count; i++)
        memcpy(corner[i], &mesh->vertex[3 * (size_t)mesh->facet[i]], sizeof corner[i]);
    pc_status status =
        pci_map_facets(mesh->facet_count, (const double(*)[3])corner, MAP_CELLS, map);
    free(corner);
    return status;
}

pc_status pc_turn_map(const pc_turning *turning, const pc_turned_part *part, size_t layer,
                      const pc_mesh *mesh, double radius_m, pc_map **map, pc_spread *spread) {
    if (!map)
        return PC_E_ARGUMENT;
    *map = NULL;
    if (!turning || !part || !spread || (mesh && mesh->facet_count == 0))
        return PC_E_ARGUMENT;
    pc_status status = mesh ? map_of_mesh(mesh, map) : pci_map_sphere(radius_m, MAP_CELLS, map);
    if (status == PC_OK)
        status = fill_map(turning, part, layer, *map, spread);
    if (status == PC_OK && layer == SIZE_MAX)
        status = pci_map_spread(*map, spread);
    if (status != PC_OK) {
        pc_map_free(*map);
        *map = NULL;
    }
    return status;
}
