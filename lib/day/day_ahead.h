/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the castings still to come cost at least, worked out by dynamic programming over the sets of
 * them, whatever else happens. Branch and bound (day_branch.c) lives on it.
 *
 * With one pair of hands a day is mostly a puzzle of combs: the jobs of one casting go into the
 * waits of those before it, and demolds only into waits as long as they are. Castings in order of
 * their starts, and of each its two forerunners known, that puzzle is solved exactly here, breaks
 * and molds left out; with one or two machines no older casting is in the way at all.
 *
 * One pair of hands, and combs that are the same in every hour (pci_day_branches). */
#ifndef PCI_DAY_DAY_AHEAD_H
#define PCI_DAY_DAY_AHEAD_H

#include "day/day_grid.h"

typedef struct pci_ahead pci_ahead;

/* Purpose:  tables for wanted[kind] castings of a grid. Returned: NULL where memory fails; free
 *           with pci_ahead_free. */
pci_ahead *pci_ahead_new(const pci_grid *grid, const int *wanted);
void pci_ahead_free(pci_ahead *ahead);

/* The last casting by start, and the one before it. */
typedef struct pci_ahead_last {
    int set;               /* of the castings to come: pci_ahead_set */
    int before, last, gap; /* kinds, before -1: none; cells from start to start */
    int start;             /* of the last */
    int demolds, out;      /* of all castings; at most that many of them are over by the start */
    int quiet;             /* cells from the start in which no other is ready */
} pci_ahead_last;

/* The number of a set of castings to come, left[kind] of each. */
int pci_ahead_set(const pci_ahead *ahead, const int *left);

/* Purpose:  cell before which not everything is done. Given: left[kind] to come; it is changed on
 *           the way and as it was in the end. 0 where it knows nothing of hands. */
int pci_ahead_hands(pci_ahead *ahead, int *left, const pci_ahead_last *at);

/* Whether there is a table for hands: combs are shorter than half a day, and it is not too large.
 */
bool pci_ahead_knows_hands(const pci_ahead *ahead);

#endif
