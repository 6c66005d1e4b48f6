/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A wall map on a mesh: triangles, the large ones halved, into cells. */
#include "film/cells.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/grow.h"
#include "film/program.h"

struct triangle {
    double p[3][3];
    size_t facet;
};

/* A growing list: of triangles done, or a stack of those yet to be halved. */
struct triangles {
    struct triangle *item;
    size_t count, room;
};

static pc_status push(struct triangles *list, const struct triangle *t) {
    struct triangle *item = pci_grown(list->item, list->count, &list->room, sizeof *item);
    if (!item)
        return PC_E_MEMORY;
    list->item = item;
    list->item[list->count++] = *t;
    return PC_OK;
}

/* Twice the area as a vector; length of it halved is the area. */
static double area_vector(const struct triangle *t, double v[3]) {
    double a[3], b[3];
    for (int k = 0; k < 3; k++) {
        a[k] = t->p[1][k] - t->p[0][k];
        b[k] = t->p[2][k] - t->p[0][k];
    }
    v[0] = a[1] * b[2] - a[2] * b[1];
    v[1] = a[2] * b[0] - a[0] * b[2];
    v[2] = a[0] * b[1] - a[1] * b[0];
    return sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]) / 2;
}

/* Halve across the longest edge. */
static void halve(const struct triangle *t, struct triangle *a, struct triangle *b) {
    int longest = 0;
    double most = -1;
    for (int i = 0; i < 3; i++) {
        double sum = 0;
        for (int k = 0; k < 3; k++) {
            double d = t->p[(i + 1) % 3][k] - t->p[i][k];
            sum += d * d;
        }
        if (sum > most) {
            most = sum;
            longest = i;
        }
    }
    *a = *b = *t;
    int j = (longest + 1) % 3;
    for (int k = 0; k < 3; k++)
        a->p[j][k] = b->p[longest][k] = (t->p[longest][k] + t->p[j][k]) / 2;
}

static pc_status split(const struct triangle *whole, double most_m2, struct triangles *stack,
                       struct triangles *done) {
    pc_status status = push(stack, whole);
    while (status == PC_OK && stack->count > 0) {
        struct triangle t = stack->item[--stack->count], a, b;
        double v[3];
        if (area_vector(&t, v) <= most_m2) {
            status = done->count < PC_MAP_CELLS_MOST ? push(done, &t) : PC_E_SIZE;
            continue;
        }
        halve(&t, &a, &b);
        status = push(stack, &a);
        if (status == PC_OK)
            status = push(stack, &b);
    }
    return status;
}

/* Area, its centroid, the vector area and the volume; all from the first corner, for precision. */
struct whole {
    double area, center[3], vector[3], volume;
};

static pc_status measure(size_t n, const double (*corner)[3], struct whole *whole) {
    memset(whole, 0, sizeof *whole);
    for (size_t i = 0; i < n; i++) {
        struct triangle t;
        double v[3];
        for (int j = 0; j < 3; j++)
            for (int k = 0; k < 3; k++) {
                double x = corner[3 * i + (size_t)j][k];
                if (!isfinite(x) || !(fabs(x) < 1e4))
                    return PC_E_VALUE;
                t.p[j][k] = x - corner[0][k];
            }
        double area = area_vector(&t, v);
        for (int k = 0; k < 3; k++) {
            whole->center[k] += area * (t.p[0][k] + t.p[1][k] + t.p[2][k]) / 3;
            whole->vector[k] += v[k] / 2;
            whole->volume += v[k] * t.p[0][k] / 6;
        }
        whole->area += area;
    }
    if (!(whole->area > 0))
        return PC_E_VALUE;
    double open = 0;
    for (int k = 0; k < 3; k++) {
        whole->center[k] = whole->center[k] / whole->area + corner[0][k];
        open += whole->vector[k] * whole->vector[k];
    }
    /* A closed surface has no vector area, and the right way out a volume. */
    if (!(sqrt(open) <= 1e-4 * whole->area) || !(whole->volume > 0))
        return PC_E_VALUE;
    return PC_OK;
}

static void fill(pc_map *map, const struct triangles *done, const struct whole *whole) {
    double r = sqrt(whole->area / (4 * PC_PI));
    map->radius_m = r;
    map->area_m2 = whole->area;
    map->volume_m3 = whole->volume;
    for (size_t i = 0; i < done->count; i++) {
        const struct triangle *t = &done->item[i];
        double v[3], at[3], area = area_vector(t, v);
        for (int k = 0; k < 3; k++)
            at[k] = ((t->p[0][k] + t->p[1][k] + t->p[2][k]) / 3 - whole->center[k]) / r;
        map->x[i] = at[0];
        map->y[i] = at[1];
        map->z[i] = at[2];
        map->nx[i] = area > 0 ? v[0] / (2 * area) : 0;
        map->ny[i] = area > 0 ? v[1] / (2 * area) : 0;
        map->nz[i] = area > 0 ? v[2] / (2 * area) : 0;
        map->share[i] = area / whole->area;
        map->reach[i] = sqrt(sqrt(at[0] * at[0] + at[1] * at[1] + at[2] * at[2]));
        map->facet[i] = t->facet;
    }
}

pc_status pci_map_facets(size_t facet_count, const double (*corner)[3], size_t cells,
                         pc_map **map) {
    if (!map || !corner || facet_count < 4)
        return PC_E_ARGUMENT;
    if (facet_count > PC_MAP_CELLS_MOST || cells > PC_MAP_CELLS_MOST)
        return PC_E_SIZE;
    struct whole whole;
    pc_status status = measure(facet_count, corner, &whole);
    if (status != PC_OK)
        return status;
    struct triangles stack = {0}, done = {0};
    double most = cells ? whole.area / (double)cells : INFINITY;
    for (size_t i = 0; i < facet_count && status == PC_OK; i++) {
        struct triangle t = {.facet = i};
        memcpy(t.p, &corner[3 * i], sizeof t.p);
        status = split(&t, most, &stack, &done);
    }
    free(stack.item);
    pc_map *m = NULL;
    if (status == PC_OK)
        status = pci_map_new(done.count, false, &m);
    if (status == PC_OK) {
        fill(m, &done, &whole);
        *map = m;
    }
    free(done.item);
    return status;
}
