/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A day on the grid as clauses: which starts and demolds go together.
 *
 * Each start and each demold is a cell, told by a variable for every cell: whether it is there or
 * later (the order encoding of constraint programming; from memory: Tamura, Taga, Kitagawa,
 * Banbara, Constraints 14 (2009)). Whose hands and machines are taken in a cell follows from that,
 * and no more are taken than there are. A casting that is left out comes after all cells. */
#ifndef PCI_DAY_DAY_PUZZLE_H
#define PCI_DAY_DAY_PUZZLE_H

#include "day/day_grid.h"
#include "solve/clauses.h"

typedef struct pci_puzzle pci_puzzle;

/* Purpose:  plans of at least `count` castings of wanted[kind] that are over by a cell.
 * Given:    an empty grid, which has to stay; limit: a cell. Returned: NULL where memory fails;
 *           free with pci_puzzle_free. */
pci_puzzle *pci_puzzle_new(const pci_grid *grid, const int *wanted, int count, int limit);
void pci_puzzle_free(pci_puzzle *puzzle);

/* Purpose:  leave plans out that are not over by a cell, no later than the limit so far. */
void pci_puzzle_limit(pci_puzzle *puzzle, int limit);

/* Purpose:  look for such a plan. Returned: placed[]: castings in the order of their starts and
 *           *count of them, where they are found; see pci_clauses_solve. */
pci_verdict pci_puzzle_solve(pci_puzzle *puzzle, long steps_most, long *steps, pci_placed *placed,
                             int *count);

#endif
