/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One list schedule, quickly: castings in an order, each at the first place that it fits. It is run
 * ten thousand times for a large day, so it works on words of 64 cells: the number of busy hands is
 * kept a binary digit a word, and where a job may start is found for 64 cells at a time. */
#ifndef PCI_DAY_DAY_RUN_H
#define PCI_DAY_DAY_RUN_H

#include "day/day_grid.h"

enum { PCI_DIGITS = 6 }; /* of hands and stations, at most 50 */

/* Hands or stations: how many are taken in each cell, and the cells where one is free. */
typedef struct pci_level {
    int most, digits;
    uint64_t digit[PCI_DIGITS][PCI_WORDS];
    pci_bits free;
} pci_level;

/* The molds of a pool: the casting last poured in each, -1: none; castings it has made. */
typedef struct pci_molds {
    short last[PC_DAY_CASTINGS_MOST], made[PC_DAY_CASTINGS_MOST];
} pci_molds;

typedef struct pci_list_run {
    const pci_grid *grid;
    pci_level hands, stations;
    int placed_count;
    pci_placed placed[PC_DAY_CASTINGS_MOST];
    int from[PC_DAY_PIECES_MOST]; /* of a kind: before it none fits any more */
    pci_molds molds[PC_DAY_PIECES_MOST];
} pci_list_run;

/* The next casting to place: of a kind, at the first place at least some cells after the first. */
typedef struct pci_next {
    short kind, wait;
} pci_next;

/* Purpose:  ready to run orders on an empty grid, which is only read. */
void pci_list_run_init(pci_list_run *run, const pci_grid *grid);

/* Takes out what is placed. */
void pci_list_run_empty(pci_list_run *run);

/* The cell at which one more of a kind could start, if no hands are waited for to open its mold;
 * -1: it fits nowhere. */
int pci_list_run_peek(const pci_list_run *run, int kind);

/* Places one more of a kind, its demold too unless that comes late. Returns false where it fits
 * nowhere. */
bool pci_list_run_place(pci_list_run *run, pci_next next, bool late);

/* Purpose:  place castings order[0] to order[n - 1]; one that fits nowhere is left out.
 * Given:    late: demolds after all else, where there is room, rather than each with its casting;
 *           what cannot be demolded then is left out too. Returned: *found: the plan. */
void pci_list_run_order(pci_list_run *run, const pci_next *order, int n, bool late,
                        pci_found *found);

#endif
