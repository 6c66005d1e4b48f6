/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The holes of an open mesh: rings of edges with a facet on one side only. */
#ifndef PCI_SHAPE_HOLES_H
#define PCI_SHAPE_HOLES_H

#include "shape/mesh_build.h"

/* One ring of open edges, walked so that a facet laid in it faces as its neighbors do. */
typedef struct pci_hole {
    size_t first, corners; /* in pci_holes.corner */
    double area_m2;        /* of the flat patch that its edges bound, seen along its normal */
    double across_m;       /* longest side of the box around it */
} pci_hole;

typedef struct pci_holes {
    size_t count;
    pci_hole *hole; /* largest area first */
    uint32_t *corner;
} pci_holes;

/* Purpose:  finds the rings of a mesh that pci_mesh_judge has turned one way.
 * Returned: *holes, to be freed by pci_holes_free (also after an error); edges that close no ring
 *           are in none; PC_OK, PC_E_MEMORY. */
pc_status pci_holes_find(const pc_mesh *mesh, pci_holes *holes);
void pci_holes_free(pci_holes *holes);

/* Lays facets in a hole. Given: b holds the mesh's corners by the same numbers.
 * Returned: PC_OK; as pci_builder_polygon. */
pc_status pci_hole_fill(pci_builder *b, const pci_holes *holes, const pci_hole *hole);

/* A hole is small, and closed unasked, up to this share of the mesh's area; all of them together up
 * to PCI_HOLES_SHARE. Larger ones are openings. */
#define PCI_HOLE_SHARE   0.005
#define PCI_HOLES_SHARE  0.02
#define PCI_HOLE_CORNERS 1000
#define PCI_RIM_CORNERS  100000

#endif
