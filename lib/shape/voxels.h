/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A mesh on a grid of cubic cells: which lie inside. */
#ifndef PCI_SHAPE_VOXELS_H
#define PCI_SHAPE_VOXELS_H

#include <stdint.h>

#include "pourclock/mesh.h"

#define PCI_VOXELS_SIDE_MOST 1000

typedef struct pci_voxels {
    size_t n[3], cells;
    double h;          /* side of a cell, m */
    double low[3];     /* center of the first cell, m, in the grid's own axes */
    double axis[3][3]; /* rows: the grid's axes in the mesh's */
    uint8_t *inside;   /* 0 or 1 a cell, x fastest */
} pci_voxels;

/* Purpose:  a grid round a mesh with its inside filled (non-zero winding number: parts that
 *           overlap count once).
 * Given:    mesh, closed; up: direction that becomes the grid's z axis (NULL: the mesh's own axes);
 *           h: side asked for, m; most_cells: it is made larger until the grid holds at most so
 *           many cells, and no side more than PCI_VOXELS_SIDE_MOST.
 * Returned: *grid, to be freed by pci_voxels_free (also after an error); PC_OK, PC_E_MEMORY. */
pc_status pci_voxels_fill(const pc_mesh *mesh, const double *up, double h, size_t most_cells,
                          pci_voxels *grid);

void pci_voxels_free(pci_voxels *grid);

static inline size_t pci_voxels_at(const pci_voxels *g, size_t x, size_t y, size_t z) {
    return x + g->n[0] * (y + g->n[1] * z);
}

/* Center of a cell in the mesh's axes, m. */
void pci_voxels_point(const pci_voxels *grid, const double cell[3], double at_m[3]);
/* A point of the mesh's axes in cells. */
void pci_voxels_cell(const pci_voxels *grid, const double at_m[3], double cell[3]);

#endif
