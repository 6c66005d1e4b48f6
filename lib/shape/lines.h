/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The crossings of a mesh with all lines of a grid along one axis, filed by line. */
#ifndef PCI_SHAPE_LINES_H
#define PCI_SHAPE_LINES_H

#include "pourclock/mesh.h"

typedef struct pci_line_mark {
    double w; /* along the line, in cells */
    uint32_t facet;
    int32_t after; /* winding number beyond it */
} pci_line_mark;

typedef struct pci_lines {
    int axis;
    size_t nu, nv;       /* lines: u along the axis after the lines' own, v along the next */
    size_t *start;       /* of each line's marks, u fastest; nu nv + 1 */
    pci_line_mark *mark; /* rising along each line */
} pci_lines;

/* Purpose:  files the crossings. Given: at: corners in cells; n: cells a side.
 * Returned: *lines, to be freed by pci_lines_free (also after an error); PC_OK, PC_E_MEMORY. */
pc_status pci_lines_file(const pc_mesh *mesh, const double *at, const size_t n[3], int axis,
                         pci_lines *lines);

/* The side of a cell, at least h, at which all crossings along the three axes are about that many:
 * parts that overlap, or lie in one another, have far more surface than bounds the inside. */
double pci_lines_cell(const pc_mesh *mesh, double h, double crossings);
#define PCI_CROSSINGS_MOST 4e6

void pci_lines_free(pci_lines *lines);

/* Winding number of the point w along line (u, v). */
static inline int pci_lines_winding(const pci_lines *l, size_t u, size_t v, double w) {
    size_t line = u + l->nu * v, low = l->start[line], high = l->start[line + 1];
    size_t first = low;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (l->mark[middle].w < w)
            low = middle + 1;
        else
            high = middle;
    }
    return low > first ? l->mark[low - 1].after : 0;
}

#endif
