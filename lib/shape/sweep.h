/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The merge tree of a filled grid, swept from the top layer down. */
#ifndef PCI_SHAPE_SWEEP_H
#define PCI_SHAPE_SWEEP_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "pourclock/status.h"

/* A part of the inside that is cut off from the vent above a layer. */
typedef struct pci_pocket {
    double top[3]; /* a cell of its highest layer, near the middle of it */
    double saddle; /* layer in which it joins what holds the vent, or a higher pocket */
    size_t cells;  /* above that layer */
    bool to_vent;  /* it joins what holds the vent */
} pci_pocket;

typedef struct pci_sweep {
    size_t count, room;
    pci_pocket *pocket;
    double highest[3]; /* the highest cell of all */
} pci_sweep;

/* Purpose:  every pocket of a grid of cells, x fastest, z up; cells touch at faces.
 * Given:    inside[]: 0 or 1; vent: a cell inside (NULL: the highest of each connected part).
 * Returned: *sweep, to be freed by pci_sweep_free (also after an error); PC_OK, PC_E_MEMORY. */
pc_status pci_sweep_down(const size_t n[3], const uint8_t *inside, const size_t *vent,
                         pci_sweep *sweep);

void pci_sweep_free(pci_sweep *sweep);

#endif
