/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "film/boxes.h"

#include <math.h>
#include <stdlib.h>

size_t pci_box_line(const struct pci_boxes *boxes, double x, int axis) {
    double at = (x - boxes->low[axis]) / boxes->step;
    return at > 0 ? (size_t)fmin(at, (double)(boxes->side - 1)) : 0;
}

static size_t box_of(const struct pci_boxes *boxes, const pc_map *map, size_t i) {
    return (pci_box_line(boxes, map->z[i], 2) * boxes->side + pci_box_line(boxes, map->y[i], 1)) *
               boxes->side +
           pci_box_line(boxes, map->x[i], 0);
}

pc_status pci_boxes_sort(const pc_map *map, double least_step, struct pci_boxes *boxes) {
    double high[3] = {-INFINITY, -INFINITY, -INFINITY}, span = 0;
    const double *const at[3] = {map->x, map->y, map->z};
    for (int k = 0; k < 3; k++) {
        boxes->low[k] = INFINITY;
        for (size_t i = 0; i < map->count; i++) {
            boxes->low[k] = fmin(boxes->low[k], at[k][i]);
            high[k] = fmax(high[k], at[k][i]);
        }
        span = fmax(span, high[k] - boxes->low[k]);
    }
    double most = floor(cbrt(8.0 * (double)map->count));
    boxes->side = (size_t)fmax(1, fmin(most, floor(span / least_step)));
    boxes->step = fmax(span / (double)boxes->side, 1e-300);
    size_t n = boxes->side * boxes->side * boxes->side;
    boxes->start = calloc(n + 2, sizeof *boxes->start);
    boxes->cell = malloc(map->count * sizeof *boxes->cell);
    if (!boxes->start || !boxes->cell)
        return PC_E_MEMORY;
    for (size_t i = 0; i < map->count; i++)
        boxes->start[box_of(boxes, map, i) + 2]++;
    for (size_t k = 2; k < n + 2; k++)
        boxes->start[k] += boxes->start[k - 1];
    for (size_t i = 0; i < map->count; i++)
        boxes->cell[boxes->start[box_of(boxes, map, i) + 1]++] = i;
    return PC_OK;
}

void pci_boxes_free(struct pci_boxes *boxes) {
    free(boxes->start);
    free(boxes->cell);
}
