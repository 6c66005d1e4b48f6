/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cells of a wall map sorted into boxes, so that those close together are found together, however
 * unevenly they lie. */
#ifndef PCI_FILM_BOXES_H
#define PCI_FILM_BOXES_H

#include <stdint.h>

#include "film/cells.h"

struct pci_boxes {
    double low[3], step;
    size_t side; /* boxes along each axis, most of them empty */
    size_t count;
    struct pci_boxed { /* in order of key, then cell */
        uint64_t key;  /* of the box: those along x follow each other */
        size_t cell;
    } * item;
};

/* The given cells (all of the map where cell is NULL) in boxes no smaller than least_step. PC_OK or
 * PC_E_MEMORY; to be freed either way. */
pc_status pci_boxes_make(const pc_map *map, const size_t *cell, size_t count, double least_step,
                         struct pci_boxes *boxes);
void pci_boxes_free(struct pci_boxes *boxes);

/* The boxes that hold a place and touch that one: up to 9 stretches [first, end) of item. Returns
 * how many. */
size_t pci_boxes_near(const struct pci_boxes *boxes, const double at[3], size_t first[9],
                      size_t end[9]);

#endif
