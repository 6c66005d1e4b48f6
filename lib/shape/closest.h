/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The point of a mesh nearest to a given one, from a facet nearby. */
#ifndef PCI_SHAPE_CLOSEST_H
#define PCI_SHAPE_CLOSEST_H

#include "pourclock/mesh.h"

/* Facets around each corner. */
typedef struct pci_around {
    size_t *start; /* vertex_count + 1; NULL: not made */
    uint32_t *facet;
} pci_around;

/* Returned: PC_OK, PC_E_MEMORY. Free with pci_around_free (also after an error). */
pc_status pci_around_make(const pc_mesh *mesh, pci_around *around);
void pci_around_free(pci_around *around);

/* Purpose:  squared distance from x to a facet. Given: at: corners, three numbers each.
 * Returned: foot[]: the nearest point of it; *corner: where that lies on an edge or corner, the
 *           nearest corner's place 0..2 in the facet, else -1.
 * Source:   Ericson, Real-Time Collision Detection (2005), 5.1.5 (from memory). */
double pci_facet_distance2(const double *at, const uint32_t corner[3], const double x[3],
                           double foot[3], int *nearest);

/* Purpose:  walks from *facet over the mesh's corners to the one nearest to x, and takes the
 * nearest of the facets around it; but does not set out where *facet is no nearer than the squared
 * distance most2, for then another facet that is so near is known. Returned: squared distance,
 * *facet, foot[]. */
double pci_walk_nearer(const pc_mesh *mesh, const pci_around *around, const double *at,
                       const double x[3], double most2, uint32_t *facet, double foot[3]);

#endif
