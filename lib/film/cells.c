/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cells of a wall map: making them, the level of a pool among them, the spread of a film. */
#include "film/cells.h"

#include <math.h>
#include <stdlib.h>

#include "base/try.h"
#include "film/film_sums.h"
#include "film/program.h"

#define GOLDEN_RAD 2.39996322972865332 /* pi (3 - sqrt 5) */

void pci_lattice(size_t n, double *x, double *y, double *z) {
    for (size_t i = 0; i < n; i++) {
        double h = 1 - (2 * (double)i + 1) / (double)n, r = sqrt(1 - h * h);
        double turn = fmod(GOLDEN_RAD * (double)i, 2 * PC_PI);
        x[i] = r * cos(turn);
        y[i] = r * sin(turn);
        z[i] = h;
    }
}

void pc_map_free(pc_map *map) {
    if (!map)
        return;
    free(map->film_m);
    free(map->sum_m);
    if (!map->twin && !map->sphere) {
        free(map->nx);
        free(map->ny);
        free(map->nz);
    }
    if (!map->twin) {
        free(map->x);
        free(map->y);
        free(map->z);
        free(map->share);
        free(map->reach);
        free(map->facet);
        pci_patches_free(map->patches);
        free(map->pair);
        free(map->sag);
    }
    free(map);
}

static double *numbers(size_t n) {
    return calloc(n, sizeof(double));
}

pc_status pci_map_new(size_t n, bool sphere, pc_map **map) {
    pc_map *m = calloc(1, sizeof *m);
    if (!m)
        return PC_E_MEMORY;
    m->count = n;
    m->sphere = sphere;
    m->x = numbers(n);
    m->y = numbers(n);
    m->z = numbers(n);
    m->nx = sphere ? m->x : numbers(n);
    m->ny = sphere ? m->y : numbers(n);
    m->nz = sphere ? m->z : numbers(n);
    m->share = numbers(n);
    m->reach = numbers(n);
    m->film_m = numbers(n);
    m->sum_m = numbers(n);
    m->facet = calloc(n, sizeof *m->facet);
    if (!m->x || !m->y || !m->z || !m->nx || !m->ny || !m->nz || !m->share || !m->reach ||
        !m->film_m || !m->sum_m || !m->facet) {
        pc_map_free(m);
        return PC_E_MEMORY;
    }
    *map = m;
    return PC_OK;
}

pc_status pci_map_sphere(double radius_m, size_t n, pc_map **map) {
    if (!map || !(radius_m >= 1e-6) || !(radius_m <= 1e3) || n < PC_MAP_CELLS_LEAST ||
        n > PC_MAP_CELLS_MOST)
        return PC_E_ARGUMENT;
    pc_map *m = NULL;
    PCI_TRY(pci_map_new(n, true, &m));
    pci_lattice(n, m->x, m->y, m->z);
    for (size_t i = 0; i < n; i++) {
        m->share[i] = 1 / (double)n;
        m->reach[i] = 1;
        m->facet[i] = i;
    }
    m->radius_m = radius_m;
    m->area_m2 = 4 * PC_PI * radius_m * radius_m;
    m->volume_m3 = m->area_m2 * radius_m / 3;
    pc_status status = pci_patches_make(n, m->x, m->y, m->z, &m->patches);
    if (status == PC_OK)
        *map = m;
    else
        pc_map_free(m);
    return status;
}

pc_status pci_map_make_ready(pc_map *map) {
    PCI_TRY(pci_map_pairs(map));
    if (!map->sag)
        map->sag = calloc(1, sizeof *map->sag);
    if (!map->sag)
        return PC_E_MEMORY;
    pci_sag_make(map->sag);
    return PC_OK;
}

pc_status pci_map_twin(const pc_map *of, double radius_m, pc_map **twin) {
    pc_map *m = malloc(sizeof *m);
    if (!m)
        return PC_E_MEMORY;
    *m = *of;
    m->twin = of;
    m->film_m = numbers(of->count);
    m->sum_m = numbers(of->count);
    m->laid_m3 = m->lump_m3 = 0;
    m->radius_m = radius_m;
    m->area_m2 = 4 * PC_PI * radius_m * radius_m;
    m->volume_m3 = m->area_m2 * radius_m / 3;
    if (m->film_m && m->sum_m) {
        *twin = m;
        return PC_OK;
    }
    pc_map_free(m);
    return PC_E_MEMORY;
}

double pci_pool_angle(double volume_m3, double radius_m) {
    if (!(volume_m3 >= 0) || !(radius_m > 0) || !isfinite(radius_m))
        return NAN;
    double fraction = volume_m3 / (4 * PC_PI / 3) / radius_m / radius_m / radius_m;
    if (!(fraction <= 1 + 1e-12))
        return NAN;
    /* (2 - 3 y + y^3)/4 = fraction for y the cosine, by the trisection of an angle. */
    double y = 2 * cos((2 * PC_PI - acos(2 * fmin(fraction, 1) - 1)) / 3);
    return acos(fmax(-1, fmin(1, y)));
}

/* Volume below a level by the divergence theorem, sum of (s - level) (n.down) dA over what lies
 * under it; cells are sorted into levels, and the level is found between two of them. */
static double mesh_level(const pc_map *map, const double *depth, const double *down,
                         double fraction) {
    double first[PCI_LEVELS + 1] = {0}, zeroth[PCI_LEVELS + 1] = {0};
    double least = INFINITY, most = -INFINITY;
    for (size_t i = 0; i < map->count; i++) {
        least = depth[i] < least ? depth[i] : least;
        most = depth[i] > most ? depth[i] : most;
    }
    double step = (most - least) / PCI_LEVELS;
    if (!(step > 0))
        return most;
    double whole = 0, per_step = 1 / step;
    const double *nx = map->nx, *ny = map->ny, *nz = map->nz, *share = map->share;
    for (size_t i = 0; i < map->count; i++) {
        size_t k = (size_t)((depth[i] - least) * per_step);
        double c = share[i] * (nx[i] * down[0] + ny[i] * down[1] + nz[i] * down[2]);
        k = k < PCI_LEVELS ? k : PCI_LEVELS - 1;
        zeroth[k] += c;
        first[k] += c * depth[i];
        whole += c * depth[i];
    }
    double goal = fraction * whole, sum0 = 0, sum1 = 0, below = 0;
    for (size_t k = PCI_LEVELS; k-- > 0;) {
        sum0 += zeroth[k];
        sum1 += first[k];
        double level = least + (double)k * step, volume = sum1 - level * sum0;
        if (volume >= goal && volume > below)
            return level + step * (volume - goal) / (volume - below);
        below = volume;
    }
    return least;
}

double pci_pool_level(const pc_map *map, const double *depth, const double down[3],
                      double fraction) {
    if (!map->sphere)
        return mesh_level(map, depth, down, fraction);
    return 2 * cos((2 * PC_PI - acos(2 * fmax(0, fmin(fraction, 1)) - 1)) / 3);
}

struct place {
    double film, share;
};

static int by_film(const void *a, const void *b) {
    double x = ((const struct place *)a)->film, y = ((const struct place *)b)->film;
    return (x > y) - (x < y);
}

/* Film that a share of the wall is below, straight between the middles of the cells. */
static double quantile(const struct place *place, size_t n, double share) {
    double sum = 0, middle = 0, before = 0;
    for (size_t i = 0; i < n; i++) {
        middle = sum + place[i].share / 2;
        if (middle >= share) {
            if (i == 0)
                return place[0].film;
            double u = (share - before) / (middle - before);
            return place[i - 1].film + u * (place[i].film - place[i - 1].film);
        }
        before = middle;
        sum += place[i].share;
    }
    return place[n - 1].film;
}

pc_status pci_spread(const pc_map *map, const double *film, pc_spread *spread) {
    struct place *place = malloc(map->count * sizeof *place);
    if (!place)
        return PC_E_MEMORY;
    double mean = 0, bare = 0;
    for (size_t i = 0; i < map->count; i++) {
        place[i] = (struct place){film[i], map->share[i]};
        mean += film[i] * map->share[i];
        bare += film[i] > 0 ? 0 : map->share[i];
    }
    qsort(place, map->count, sizeof *place, by_film);
    spread->thin_m = quantile(place, map->count, 0.05);
    spread->thick_m = quantile(place, map->count, 0.95);
    spread->least_m = place[0].film;
    spread->most_m = place[map->count - 1].film;
    spread->mean_m = mean;
    spread->bare = fmin(bare, 1);
    free(place);
    return PC_OK;
}

size_t pc_map_cells(const pc_map *map, size_t from, size_t most, pc_map_cell *cell) {
    size_t count = map ? map->count : 0;
    for (size_t i = from; cell && i < count && i - from < most; i++) {
        double r = map->radius_m;
        cell[i - from] = (pc_map_cell){
            .at = {map->x[i] * r, map->y[i] * r, map->z[i] * r},
            .normal = {map->nx[i], map->ny[i], map->nz[i]},
            .area_m2 = map->share[i] * map->area_m2,
            .film_m = map->film_m[i],
            .sum_m = map->sum_m[i],
            .facet = map->facet[i],
        };
    }
    return count;
}

pc_status pci_map_spread(const pc_map *map, pc_spread *spread) {
    if (!map || !spread)
        return PC_E_ARGUMENT;
    *spread = (pc_spread){.lump_m3 = map->lump_m3, .volume_m3 = map->laid_m3};
    return pci_spread(map, map->sum_m, spread);
}
