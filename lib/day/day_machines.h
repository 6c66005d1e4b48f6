/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whether machines on their own leave room for the castings still to come, hands left out: how a
 * few castings are shared out to machines is looked through whole. */
#ifndef PCI_DAY_DAY_MACHINES_H
#define PCI_DAY_DAY_MACHINES_H

#include "day/day_grid.h"

typedef struct pci_machines {
    int kinds, stations;
    int first[PC_DAY_PIECES_MOST];  /* bit of a kind's first casting */
    int before[PC_DAY_PIECES_MOST]; /* cells from the start to the machine */
    bool turned[PC_DAY_PIECES_MOST];
    int16_t over[1 << PCI_BRANCH_MOST]; /* of a set on one machine: cells until all is done */
} pci_machines;

/* Given: wanted[kind] castings, at most PCI_BRANCH_MOST in all. */
void pci_machines_init(pci_machines *machines, const pci_grid *grid, const int *wanted);

/* Purpose:  whether left[kind] castings that start at a cell or later, beside those in the grid,
 *           cannot all be done before the limit. */
bool pci_machines_late(const pci_machines *machines, const pci_grid *grid, const int *left,
                       int start, int limit);

/* Purpose:  cell before which machines do not let wanted[kind] castings be done, on an empty grid.
 * Given:    low: a bound known; high: a cell that is enough. */
int pci_machines_floor(const pci_machines *machines, const pci_grid *grid, const int *wanted,
                       int low, int high);

#endif
