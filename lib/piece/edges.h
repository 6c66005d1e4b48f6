/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is cast along the edge of an open form: the joint of two halves, a rim. */
#ifndef PCI_PIECE_EDGES_H
#define PCI_PIECE_EDGES_H

#include "input/fields.h"
#include "pourclock/piece.h"

/* A gap that a spatula reaches into (judgment). */
#define PCI_SEAM_WIDTH_M 3e-3

/* Keys of their sections; members of a pc_part. */
enum { PCI_EDGE_KEYS = 7 };
extern const pci_field pci_seam_fields[PCI_EDGE_KEYS], pci_rim_fields[PCI_EDGE_KEYS];

/* A seam or a rim as large as it comes out. */
typedef struct pci_edge {
    size_t form_count;
    size_t form[2]; /* the parts whose edge it is along */
    double length_m, width_m, depth_m;
} pci_edge;

/* Purpose:  the forms a seam or rim is along, and its sizes: as stated, else by its forms.
 * Returned: whether all of it is known; false of a plain part. */
bool pci_edge_of(const pc_piece *piece, const pc_part *part, pci_edge *edge);

/* Purpose:  make every seam and rim of a piece as large as its forms ask for, pour it after them,
 *           and add the seam of two open halves that state its length and nothing else.
 * Given:    ini: NULL where the piece is from no file. May be called again after a change.
 * Returned: PC_OK, or the first error's status with all of them in errors. */
pc_status pci_edges_settle(pc_piece *piece, const pci_ini *ini, pc_errors *errors);

#endif
