/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The cells of a sphere by patches of neighbors. */
#include <math.h>
#include <stdlib.h>

#include "film/cells.h"
#include "pourclock/quantity.h"

#define ROUNDING 1e-5 /* more than what single precision makes of a place on the unit sphere */

struct around {
    double angle;
    size_t cell;
};

static int by_angle(const void *a, const void *b) {
    double x = ((const struct around *)a)->angle, y = ((const struct around *)b)->angle;
    return (x > y) - (x < y);
}

/* Bands from the top down, each as high as a patch and sorted round the axis. */
static void sort_bands(size_t n, const double *z, struct around *list) {
    double side = sqrt(4 * PC_PI * PCI_PATCH_CELLS / (double)n);
    for (size_t start = 0, count; start < n; start += count) {
        double down = fmin(PC_PI / 2, fmin(acos(z[start]), PC_PI - acos(z[start])) + side / 2);
        count = PCI_PATCH_CELLS * (size_t)fmax(1, round(2 * PC_PI * sin(down) / side));
        count = count < n - start ? count : n - start;
        qsort(list + start, count, sizeof *list, by_angle);
    }
}

/* The middle of the cells of a patch, and how far from it they lie. */
static void measure(struct pci_patches *p, size_t patch, size_t n) {
    size_t first = patch * PCI_PATCH_CELLS, end = first + PCI_PATCH_CELLS;
    double x = 0, y = 0, z = 0, square = 0;
    end = end < n ? end : n;
    for (size_t i = first; i < end; i++) {
        x += (double)p->x[i] / (double)(end - first);
        y += (double)p->y[i] / (double)(end - first);
        z += (double)p->z[i] / (double)(end - first);
    }
    for (size_t i = first; i < end; i++) {
        double dx = (double)p->x[i] - x, dy = (double)p->y[i] - y, dz = (double)p->z[i] - z;
        square = fmax(square, dx * dx + dy * dy + dz * dz);
    }
    p->middle_x[patch] = (float)x;
    p->middle_y[patch] = (float)y;
    p->middle_z[patch] = (float)z;
    p->reach[patch] = (float)(sqrt(square) + ROUNDING);
}

static void fill(struct pci_patches *p, size_t n, const double *x, const double *y, const double *z,
                 const struct around *list) {
    for (size_t i = 0; i < n; i++) {
        p->cell[i] = list[i].cell;
        p->x[i] = (float)x[list[i].cell];
        p->y[i] = (float)y[list[i].cell];
        p->z[i] = (float)z[list[i].cell];
    }
    for (size_t k = 0; k < p->count; k++)
        measure(p, k, n);
}

pc_status pci_patches_make(size_t n, const double *x, const double *y, const double *z,
                           struct pci_patches **patches) {
    size_t count = (n + PCI_PATCH_CELLS - 1) / PCI_PATCH_CELLS, room = count * PCI_PATCH_CELLS;
    struct around *list = malloc(n * sizeof *list);
    struct pci_patches *p = *patches = calloc(1, sizeof *p);
    if (p) {
        p->count = count;
        p->cell = calloc(room, sizeof *p->cell);
        p->x = calloc(3 * room + 4 * count, sizeof *p->x);
    }
    if (!list || !p || !p->cell || !p->x) {
        free(list);
        return PC_E_MEMORY;
    }
    p->y = p->x + room;
    p->z = p->y + room;
    p->middle_x = p->z + room;
    p->middle_y = p->middle_x + count;
    p->middle_z = p->middle_y + count;
    p->reach = p->middle_z + count;
    for (size_t i = 0; i < n; i++)
        list[i] = (struct around){atan2(y[i], x[i]), i};
    sort_bands(n, z, list);
    fill(p, n, x, y, z, list);
    free(list);
    return PC_OK;
}

void pci_patches_free(struct pci_patches *patches) {
    if (!patches)
        return;
    free(patches->cell);
    free(patches->x);
    free(patches);
}
