/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "film/patches.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "film/boxes.h"

/* A box too many costs less than a cell too many at the pool's edge: found by trial. */
#define BOXES_A_CELL 0.25
#define ROUNDING     1e-6

static double distance(const double a[3], const double b[3]) {
    double x = a[0] - b[0], y = a[1] - b[1], z = a[2] - b[2];
    return sqrt(x * x + y * y + z * z);
}

static void enclose(const pc_map *map, const size_t *cell, struct pci_patch *patch) {
    double n = (double)(patch->end - patch->first);
    for (size_t k = patch->first; k < patch->end; k++) {
        patch->at[0] += map->x[cell[k]] / n;
        patch->at[1] += map->y[cell[k]] / n;
        patch->at[2] += map->z[cell[k]] / n;
    }
    for (size_t k = patch->first; k < patch->end; k++) {
        double at[3] = {map->x[cell[k]], map->y[cell[k]], map->z[cell[k]]};
        patch->reach = fmax(patch->reach, distance(at, patch->at) + ROUNDING);
    }
}

pc_status pci_patches_make(const pc_map *map, struct pci_patches *patches) {
    struct pci_boxes boxes;
    memset(patches, 0, sizeof *patches);
    double step = 2 / cbrt(BOXES_A_CELL * (double)map->count);
    pc_status status = pci_boxes_make(map, NULL, map->count, step, &boxes);
    patches->item = calloc(map->count, sizeof *patches->item);
    patches->cell = malloc(map->count * sizeof *patches->cell);
    if (!patches->item || !patches->cell)
        status = PC_E_MEMORY;
    for (size_t k = 0, end; k < map->count && status == PC_OK; k = end) {
        struct pci_patch *patch = &patches->item[patches->count++];
        for (end = k; end < map->count && boxes.item[end].key == boxes.item[k].key; end++)
            patches->cell[end] = boxes.item[end].cell;
        patch->first = k;
        patch->end = end;
        enclose(map, patches->cell, patch);
    }
    pci_boxes_free(&boxes);
    pci_patches_forget(patches);
    return status;
}

void pci_patches_free(struct pci_patches *patches) {
    free(patches->item);
    free(patches->cell);
}

void pci_patches_forget(struct pci_patches *patches) {
    for (size_t k = 0; k < patches->count; k++) {
        patches->item[k].due = -INFINITY;
        patches->item[k].side = -1;
    }
}

void pci_patches_move(struct pci_patches *patches, const double down[3], double level) {
    patches->moved += distance(down, patches->down) + fabs(level - patches->level);
    memcpy(patches->down, down, sizeof patches->down);
    patches->level = level;
}

bool pci_patch_is_due(const struct pci_patches *patches, struct pci_patch *patch) {
    if (patches->moved < patch->due)
        return false;
    const double *down = patches->down;
    double above =
        patch->at[0] * down[0] + patch->at[1] * down[1] + patch->at[2] * down[2] - patches->level;
    double spare = fabs(above) - patch->reach;
    if (!(spare > 0)) {
        patch->side = -1;
        return true;
    }
    patch->due = patches->moved + spare;
    int side = above > 0, before = patch->side;
    patch->side = side;
    return side != before;
}
