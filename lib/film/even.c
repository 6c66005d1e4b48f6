/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A laid film swaying under turning gravity: steep steps run out, gentle ones stay.
 *
 * h_t + div(rho g h^3/(3 mu)) = 0 with g turning at w. Where h varies gently the sway is undone
 * half a turn later and nothing is evened. It is not undone where a front forms, that is where
 * waves, moving at rho g h^2/mu, overtake within the 1/w that gravity points one way: |grad h^2| >
 * mu w/(rho g). Such steps run out until they are no steeper; a bare place fills from its rim the
 * same way. (The steepest slope is that of the fan h^2 = mu x/(rho g t) at t = 1/w. Derived here.)
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/grow.h"
#include "base/try.h"
#include "film/boxes.h"
#include "film/program.h"

#define NEIGHBOR     1.9 /* neighbors are closer than this times the side of a cell */
#define SWEEPS_MOST  120
#define MOVED_ENOUGH 1e-4 /* of the film, a sweep */

/* Weights of the Laplacian of level.c: w_ij (h_j - h_i) summed over the neighbors, such that r^2
 * has the Laplacian 4; made the same both ways round. */
static void weigh_pairs(pc_map *map, double *moment) {
    memset(moment, 0, map->count * sizeof *moment);
    for (size_t k = 0; k < map->pair_count; k++) {
        const struct pci_pair *p = &map->pair[k];
        double square = 4 * PC_PI * p->distance * p->distance;
        moment[p->i] += map->share[p->j] * square;
        moment[p->j] += map->share[p->i] * square;
    }
    for (size_t k = 0; k < map->pair_count; k++) {
        struct pci_pair *p = &map->pair[k];
        double areas = 16 * PC_PI * PC_PI * map->share[p->i] * map->share[p->j];
        p->weight = 2 * areas * (1 / moment[p->i] + 1 / moment[p->j]);
    }
}

static pc_status add_pair(pc_map *map, size_t i, size_t j, double distance, size_t *room) {
    struct pci_pair *pair = pci_grown(map->pair, map->pair_count, room, sizeof *pair);
    if (!pair)
        return PC_E_MEMORY;
    map->pair = pair;
    map->pair[map->pair_count++] = (struct pci_pair){i, j, distance, 0};
    return PC_OK;
}

/* Neighbors lie close and face the same side. */
static bool are_neighbors(const pc_map *map, size_t i, size_t j, double *distance) {
    double most = NEIGHBOR * sqrt(2 * PC_PI * (map->share[i] + map->share[j]));
    double x = map->x[i] - map->x[j], y = map->y[i] - map->y[j], z = map->z[i] - map->z[j];
    double square = x * x + y * y + z * z;
    if (!(square < most * most) || !(square > 0) || !(map->share[i] > 0) || !(map->share[j] > 0))
        return false;
    *distance = sqrt(square);
    return map->nx[i] * map->nx[j] + map->ny[i] * map->ny[j] + map->nz[i] * map->nz[j] > 0;
}

/* Cells by size: class 0 holds the widest, down to half their width, and so on. Cells of a class
 * lie no closer than their size lets them, so boxes of that size hold few, however fine a part of
 * the mesh is beside the rest. */
enum { CLASSES = 32 };
struct classes {
    unsigned char *of; /* CLASSES: without area, so without neighbors */
    struct pci_boxes boxes[CLASSES];
};

static double side_of(const pc_map *map, size_t i) {
    return sqrt(4 * PC_PI * map->share[i]);
}

static pc_status sort_classes(const pc_map *map, struct classes *classes, size_t *list) {
    double widest = 0;
    for (size_t i = 0; i < map->count; i++)
        widest = fmax(widest, side_of(map, i));
    for (size_t i = 0; i < map->count; i++) {
        double side = side_of(map, i), half = widest / 2;
        int c = 0;
        for (; c < CLASSES - 1 && side <= half; half /= 2)
            c++;
        classes->of[i] = (unsigned char)(side > 0 ? c : CLASSES);
    }
    pc_status status = PC_OK;
    for (int c = 0; c < CLASSES && status == PC_OK; c++, widest /= 2) {
        size_t count = 0;
        for (size_t i = 0; i < map->count; i++)
            if (classes->of[i] == c)
                list[count++] = i;
        if (count > 0)
            status = pci_boxes_make(map, list, count, NEIGHBOR * widest, &classes->boxes[c]);
    }
    return status;
}

/* Pairs of cell i with the later cells of its class and with all of the wider classes. */
static pc_status pairs_of(pc_map *map, const struct classes *classes, size_t i, size_t *room) {
    const double at[3] = {map->x[i], map->y[i], map->z[i]};
    for (int c = 0; c <= classes->of[i] && c < CLASSES; c++) {
        const struct pci_boxes *boxes = &classes->boxes[c];
        size_t first[9], end[9], found = boxes->count ? pci_boxes_near(boxes, at, first, end) : 0;
        for (size_t n = 0; n < found; n++)
            for (size_t k = first[n]; k < end[n]; k++) {
                size_t j = boxes->item[k].cell;
                double distance;
                if ((c == classes->of[i] && j <= i) || !are_neighbors(map, i, j, &distance))
                    continue;
                PCI_TRY(add_pair(map, i, j, distance, room));
            }
    }
    return PC_OK;
}

pc_status pci_map_pairs(pc_map *map) {
    if (map->pair_count > 0)
        return PC_OK;
    struct classes classes = {0};
    size_t room = 0, *list = malloc(map->count * sizeof *list);
    double *moment = malloc(map->count * sizeof *moment);
    classes.of = malloc(map->count);
    pc_status status = list && moment && classes.of ? PC_OK : PC_E_MEMORY;
    if (status == PC_OK)
        status = sort_classes(map, &classes, list);
    for (size_t i = 0; i < map->count && status == PC_OK; i++)
        status = pairs_of(map, &classes, i, &room);
    if (status == PC_OK)
        weigh_pairs(map, moment);
    else
        map->pair_count = 0;
    for (int c = 0; c < CLASSES; c++)
        pci_boxes_free(&classes.boxes[c]);
    free(classes.of);
    free(moment);
    free(list);
    return status;
}

/* Let one pair run out to the steepest step; returns the film moved. */
static double run_out(pc_map *map, const struct pci_pair *pair, double slope_m2) {
    size_t i = pair->i, j = pair->j;
    if (map->film_m[i] < map->film_m[j]) {
        i = pair->j;
        j = pair->i;
    }
    double high = map->film_m[i], low = map->film_m[j], sum = high + low;
    if (!(sum > 0)) /* two bare cells */
        return 0;
    double excess = high - low - slope_m2 * pair->distance / sum;
    if (!(excess > 0))
        return 0;
    double a = map->share[i], b = map->share[j];
    double volume = excess * a * b / (a + b);
    map->film_m[i] -= volume / a;
    map->film_m[j] += volume / b;
    return volume;
}

pc_status pci_even(pc_map *map, double slope_m2) {
    double most = 0, least = INFINITY, mean = 0;
    for (size_t i = 0; i < map->count; i++) {
        most = fmax(most, map->film_m[i]);
        least = fmin(least, map->film_m[i]);
        mean += map->film_m[i] * map->share[i];
    }
    if (!(most * most - least * least > slope_m2 / sqrt((double)map->count)))
        return PC_OK;
    PCI_TRY(pci_map_pairs(map));
    for (int sweep = 0; sweep < SWEEPS_MOST; sweep++) {
        double moved = 0;
        for (size_t k = 0; k < map->pair_count; k++)
            moved += run_out(map, &map->pair[k], slope_m2);
        if (moved <= MOVED_ENOUGH * mean)
            break;
    }
    return PC_OK;
}
