/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "film/boxes.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SIDE_MOST ((double)(1 << 20)) /* three of them fit a key */
#define KEY_SHIFT 21

static uint64_t key_of(uint64_t x, uint64_t y, uint64_t z) {
    return (z << KEY_SHIFT | y) << KEY_SHIFT | x;
}

/* Line of boxes along an axis that holds a coordinate, below 0 or above the last for one outside.
 */
static double line_of(const struct pci_boxes *boxes, double x, int axis) {
    return floor((x - boxes->low[axis]) / boxes->step);
}

static uint64_t box_of(const struct pci_boxes *boxes, const double at[3]) {
    uint64_t line[3];
    for (int k = 0; k < 3; k++) /* the largest coordinate ends the last box */
        line[k] = (uint64_t)fmax(0, fmin(line_of(boxes, at[k], k), (double)(boxes->side - 1)));
    return key_of(line[0], line[1], line[2]);
}

static int by_key(const void *a, const void *b) {
    const struct pci_boxed *x = a, *y = b;
    if (x->key != y->key)
        return x->key < y->key ? -1 : 1;
    return (x->cell > y->cell) - (x->cell < y->cell);
}

pc_status pci_boxes_make(const pc_map *map, const size_t *cell, size_t count, double least_step,
                         struct pci_boxes *boxes) {
    double high[3] = {-INFINITY, -INFINITY, -INFINITY}, span = 0;
    const double *const at[3] = {map->x, map->y, map->z};
    memset(boxes, 0, sizeof *boxes);
    boxes->item = malloc((count + 1) * sizeof *boxes->item);
    if (!boxes->item)
        return PC_E_MEMORY;
    boxes->count = count;
    for (size_t n = 0; n < count; n++)
        boxes->item[n].cell = cell ? cell[n] : n;
    for (int k = 0; k < 3; k++) {
        boxes->low[k] = INFINITY;
        for (size_t n = 0; n < count; n++) {
            boxes->low[k] = fmin(boxes->low[k], at[k][boxes->item[n].cell]);
            high[k] = fmax(high[k], at[k][boxes->item[n].cell]);
        }
        span = fmax(span, high[k] - boxes->low[k]);
    }
    boxes->side = (size_t)fmax(1, fmin(SIDE_MOST, floor(span / least_step)));
    boxes->step = fmax(span / (double)boxes->side, fmax(least_step, 1e-300));
    for (size_t n = 0; n < count; n++) {
        size_t i = boxes->item[n].cell;
        boxes->item[n].key = box_of(boxes, (double[3]){map->x[i], map->y[i], map->z[i]});
    }
    qsort(boxes->item, count, sizeof *boxes->item, by_key);
    return PC_OK;
}

void pci_boxes_free(struct pci_boxes *boxes) {
    free(boxes->item);
}

/* First item whose box does not come before a key. */
static size_t first_from(const struct pci_boxes *boxes, uint64_t key) {
    size_t low = 0, high = boxes->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (boxes->item[middle].key < key)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

size_t pci_boxes_near(const struct pci_boxes *boxes, const double at[3], size_t first[9],
                      size_t end[9]) {
    uint64_t low[3], high[3];
    double most = (double)(boxes->side - 1);
    size_t found = 0;
    for (int k = 0; k < 3; k++) {
        double line = line_of(boxes, at[k], k);
        if (!(line >= -1) || !(line <= most + 1))
            return 0;
        low[k] = (uint64_t)fmax(0, fmin(line, most) - 1);
        high[k] = (uint64_t)fmin(most, line + 1);
    }
    for (uint64_t z = low[2]; z <= high[2]; z++)
        for (uint64_t y = low[1]; y <= high[1]; y++) {
            size_t from = first_from(boxes, key_of(low[0], y, z)), to = from;
            uint64_t last = key_of(high[0], y, z);
            while (to < boxes->count && boxes->item[to].key <= last)
                to++;
            if (from == to)
                continue;
            first[found] = from;
            end[found++] = to;
        }
    return found;
}
