/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The air under a high place of a mesh, exact to its facets. */
#ifndef PCI_SHAPE_POCKET_H
#define PCI_SHAPE_POCKET_H

#include "shape/closest.h"

/* What measuring pockets needs of a mesh; made once for all of them. */
typedef struct pci_pocket_room {
    const pc_mesh *mesh;
    pci_around around;
    double *height;   /* of each corner, along up */
    uint32_t *heap;   /* corners to go to, the highest first */
    uint32_t *passed; /* corners in the order gone through */
    uint32_t *seen;   /* number of the pocket a corner was last seen in */
    uint32_t pocket;
    size_t left; /* corners that may still be gone through */
} pci_pocket_room;

/* Returned: PC_OK, PC_E_MEMORY. Free with pci_pocket_room_free (also after an error). */
pc_status pci_pocket_room_make(const pc_mesh *mesh, const double up[3], pci_pocket_room *room);
void pci_pocket_room_free(pci_pocket_room *room);

/* The high place above a corner: from neighbor to higher neighbor. */
uint32_t pci_pocket_climb(const pci_pocket_room *room, uint32_t corner);

/* Purpose:  the saddle below a high place and the air above it.
 * Given:    top: a corner; low, high: heights between which the saddle lies, m; level: NaN, or the
 *           saddle's height where it is known.
 * Returned: *saddle: height of the corner over which the surface leads to a higher place; *volume
 * of what the surface bounds above it; *area of that surface. False where no such corner lies
 *           between low and high, or too much has been gone through already.
 * Notes:    corners are gone through from the highest down; the lowest passed before one above the
 *           top is the saddle (topographic prominence). Volume: integral of (z - saddle) n_z. */
bool pci_pocket_measure(pci_pocket_room *room, const double up[3], uint32_t top, double low,
                        double high, double level, double *saddle, double *volume, double *area);

#endif
