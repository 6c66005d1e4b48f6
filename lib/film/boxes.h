/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cells of a wall map sorted into a grid of boxes, so that those close together are found together.
 */
#ifndef PCI_FILM_BOXES_H
#define PCI_FILM_BOXES_H

#include "film/cells.h"

struct pci_boxes {
    size_t side; /* boxes along each axis */
    double low[3], step;
    size_t *start; /* of each box in cell; side^3 + 1 */
    size_t *cell;  /* cells by box */
};

/* Boxes no smaller than least_step and not many more than cells; PC_OK or PC_E_MEMORY, and to be
 * freed either way. */
pc_status pci_boxes_sort(const pc_map *map, double least_step, struct pci_boxes *boxes);
void pci_boxes_free(struct pci_boxes *boxes);

/* Which line of boxes along an axis holds a coordinate. */
size_t pci_box_line(const struct pci_boxes *boxes, double x, int axis);

#endif
