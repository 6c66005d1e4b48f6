/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cells of a sphere in patches, so that those the edge of a pool cannot have reached are passed
 * over together. */
#ifndef PCI_FILM_PATCHES_H
#define PCI_FILM_PATCHES_H

#include "film/cells.h"

struct pci_patch {
    double at[3], reach; /* of the cells from their middle */
    double due;          /* no cell of it changes sides before the pool has moved so far in all */
    int side;            /* 1: all under the pool; 0: none; -1: looked at one by one */
    size_t first, end;   /* in cell */
};

struct pci_patches {
    struct pci_patch *item;
    size_t count;
    size_t *cell;
    double moved; /* of the pool, over the radius: no depth less the level has changed more */
    double down[3], level;
};

/* PC_OK or PC_E_MEMORY; to be freed either way. */
pc_status pci_patches_make(const pc_map *map, struct pci_patches *patches);
void pci_patches_free(struct pci_patches *patches);

/* Cells have changed sides otherwise: look at them all the next time. */
void pci_patches_forget(struct pci_patches *patches);

/* The pool has moved on to here. */
void pci_patches_move(struct pci_patches *patches, const double down[3], double level);

/* Whether the cells of a patch have to be looked at after a move. */
bool pci_patch_is_due(const struct pci_patches *patches, struct pci_patch *patch);

#endif
