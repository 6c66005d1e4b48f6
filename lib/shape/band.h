/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The cells of a grid within a depth of a mesh's surface, and how deep each lies: time and memory
 * grow with the surface over a cell's face times the depth, not with the box around the mesh. */
#ifndef PCI_SHAPE_BAND_H
#define PCI_SHAPE_BAND_H

#include <math.h>

#include "shape/closest.h"
#include "shape/lines.h"

#define PCI_BLOCK_SIDE  8
#define PCI_BLOCK_CELLS 512
#define PCI_NO_CELL     UINT32_MAX

/* depth: distance to the surface in cells, negative outside; infinite where it is not known.
 * facet: the one that is so near; UINT32_MAX: none known. */
typedef struct pci_cell {
    float depth;
    uint32_t facet;
} pci_cell;

/* 8 x 8 x 8 cells, x fastest. A cell's number is its block's times 512 and its place in it. */
typedef struct pci_block {
    uint32_t place[3]; /* first cell / 8 */
    uint32_t next[6];  /* blocks on its sides, +x -x +y -y +z -z; + 1; 0: unknown */
    pci_cell cell[PCI_BLOCK_CELLS];
} pci_block;

typedef struct pci_band {
    const pc_mesh *mesh;
    double h;       /* side of a cell, m */
    double low[3];  /* center of the first cell, m */
    size_t n[3];    /* cells a side of the box; a multiple of 8 */
    double deepest; /* cells: depths inside up to half a cell beyond this are kept */
    size_t blocks, block_room, blocks_most;
    pci_block *block;
    uint32_t *slot; /* open hash table of block numbers + 1 */
    size_t slots;
    double *at;        /* the mesh's corners, in cells */
    pci_lines columns; /* along z: what is inside */
    pci_around around;
    bool overlaps; /* some surface is hidden inside another part */
    double *site;  /* points of the surface that stand for facets whose nearest point is hidden: */
    size_t sites;  /* numbered on from the last facet */
} pci_band;

/* Purpose:  depth of the cells near the surface of a closed mesh.
 * Given:    h: side of a cell, m, made larger where the box needs more than PCI_BAND_LINES_MOST
 *           lines along an axis, or the band far more cells than `cells`, which were expected;
 *           deepest_m: as deep as this (INFINITY: all the inside).
 * Returned: *band, to be freed by pci_band_free (also after an error); PC_OK, PC_E_MEMORY.
 * Notes:    inside: winding number not 0, so that parts that overlap count once. The nearest facet
 *           is handed on from cell to cell in the order of depth, and looked for again around its
 *           corners where facets are small: depth is exact to the mesh at nearly every cell, over
 *           by up to 3 % and a fiftieth of a cell at the others, where no other part hides the foot
 * of the perpendicular. Along the curve in which two parts cut through each other it is over by at
 * most 1/(8 d) cells. */
#define PCI_BAND_LINES_MOST ((size_t)16000000)
pc_status pci_band_make(const pc_mesh *mesh, double h, double deepest_m, double cells,
                        pci_band *band);
void pci_band_free(pci_band *band);

/* Side of a cell at which the band to that depth has about so many cells. */
double pci_band_cell(const pc_mesh *mesh, double deepest_m, double cells);

/* Whole cells of a cell's center; the center in m. */
void pci_band_place(const pci_band *band, uint32_t cell, size_t place[3]);
void pci_band_point(const pci_band *band, uint32_t cell, double at_m[3]);

/* The cell one step along: side 0..5 as in pci_block.next; PCI_NO_CELL where the band has none. */
uint32_t pci_band_beside(pci_band *band, uint32_t cell, int side);
/* The cell at an offset of -1, 0 or 1 along each axis, or PCI_NO_CELL. */
uint32_t pci_band_near(pci_band *band, uint32_t cell, const int step[3]);

static inline pci_cell *pci_band_at(const pci_band *b, uint32_t cell) {
    return &b->block[cell / PCI_BLOCK_CELLS].cell[cell % PCI_BLOCK_CELLS];
}

/* Depth with its sign; infinite where it is not known. */
static inline double pci_band_depth(const pci_band *b, uint32_t cell) {
    return (double)pci_band_at(b, cell)->depth;
}

static inline bool pci_band_inside(const pci_band *b, uint32_t cell) {
    return pci_band_at(b, cell)->depth >= 0.0f;
}

/* The cell whose center is nearest to a point in cells; PCI_NO_CELL where the band has none. */
uint32_t pci_band_cell_at(const pci_band *band, const double at[3]);

/* Distance of a point in cells to the surface and the nearest point of it, from the facet of a cell
 * close by; INFINITY where that cell has none. */
double pci_band_distance(const pci_band *band, uint32_t cell, const double at[3], double foot[3]);

#endif
