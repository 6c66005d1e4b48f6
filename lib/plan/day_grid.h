/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The day on whole minutes: who and what is busy in which cell, and where a casting fits. */
#ifndef PCI_PLAN_DAY_GRID_H
#define PCI_PLAN_DAY_GRID_H

#include <stdint.h>

#include "pourclock/day.h"

enum {
    PCI_CELLS_MOST = 1440,
    PCI_WORDS = (PCI_CELLS_MOST + 63) / 64,
    PCI_SLOT_CELLS = 60,
};

typedef struct pci_bits {
    uint64_t word[PCI_WORDS];
} pci_bits;

/* A comb on the grid, cells after its start. */
typedef struct pci_comb {
    bool feasible;
    int task_count, from[PC_DAY_COMB_MOST], length[PC_DAY_COMB_MOST];
    int station_from, station_length; /* length 0: none */
    int hands_end, hands_work;        /* end of the last task; cells in all */
    int ready, done;                  /* done: demolded, at the earliest; overnight: comb over */
} pci_comb;

typedef struct pci_kind { /* of a piece */
    int copies, molds, slots;
    bool overnight;
    pci_comb comb[PC_DAY_SLOTS_MOST];
} pci_kind;

typedef struct pci_placed {
    int kind, slot, start;
    int demold; /* cell; -1: not fixed */
} pci_placed;

/* A day with the castings placed in it so far. */
typedef struct pci_grid {
    int cells, hands, stations, demold;
    int kind_count;
    pci_kind kind[PC_DAY_PIECES_MOST];
    unsigned char busy[PCI_CELLS_MOST], turning[PCI_CELLS_MOST];
    pci_bits free_hands, free_stations;
    int count;
    pci_placed placed[PC_DAY_CASTINGS_MOST];
} pci_grid;

/* Purpose:  the day's grid, empty but for its breaks. Given: a checked day; end_s: may be later
 *           than the day's own, at most 24 h from its start. */
void pci_grid_init(const pc_day *day, double end_s, pci_grid *grid);

/* Purpose:  cells where a casting of a kind may start as far as hands and stations go.
 * Given:    slot; reuse: with a mold to open right before. */
void pci_grid_starts(const pci_grid *grid, int kind, int slot, bool reuse, pci_bits *starts);

/* First set cell at or after `from`; -1: none. */
int pci_bits_next(const pci_bits *bits, int from);
bool pci_bits_get(const pci_bits *bits, int cell);
/* Cells at which so many free cells begin in a row. */
void pci_bits_run(const pci_bits *bits, int length, pci_bits *run);
/* Each set cell and the length - 1 behind it. */
void pci_bits_spread(const pci_bits *bits, int length, pci_bits *spread);

/* Purpose:  put a casting in, molds opened for the next pour included. Returned: false, and the
 *           grid as it was, where it does not fit. pci_grid_undo takes the last one out again. */
bool pci_grid_place(pci_grid *grid, int kind, int slot, int start);
void pci_grid_undo(pci_grid *grid);

/* Take hands for a demold of a casting placed, and give them back. */
bool pci_grid_demold(pci_grid *grid, int index, int cell);
void pci_grid_undo_demold(pci_grid *grid, int index);

/* Purpose:  demold every casting that is the last of its mold and not yet demolded, as early as
 *           hands allow, in the order they are ready (which is the earliest finish there is, since
 *           all take equally long).
 * Returned: the cell at which everything is done, or -1: they do not fit, or one that is fixed is
 *           not the last of its mold. demold: room for the cells by index, or NULL; -1 for those
 *           that stay. The grid is as it was. */
int pci_grid_finish(pci_grid *grid, int *demold);

/* The casting whose mold is poured next by placed[index], or -1. */
int pci_grid_before(const pci_grid *grid, int index);

/* Purpose:  lower bound of the cell at which everything is done, with left[kind] more castings.
 * Returned: PCI_CELLS_MOST + 1 where they cannot fit. */
int pci_grid_bound(const pci_grid *grid, const int *left);

/* Purpose:  how many of left[kind] castings can go into the rest of the day, at most. */
int pci_grid_count_bound(const pci_grid *grid, const int *left);

/* A plan found. */
typedef struct pci_found {
    int count, finish; /* finish: PCI_CELLS_MOST + 1 where there is none */
    pci_placed placed[PC_DAY_CASTINGS_MOST];
    int demold[PC_DAY_CASTINGS_MOST]; /* -1: overnight, or opened for the next pour */
} pci_found;

bool pci_found_better(const pci_found *a, const pci_found *b);

/* Purpose:  list schedules of wanted[kind] castings in several orders, improved by swaps.
 * Given:    an empty grid (left empty). Returned: *found: most castings, then earliest finish. */
void pci_day_list(pci_grid *grid, const int *wanted, pci_found *found);

/* Purpose:  the best plan of wanted[kind] castings, by branch and bound.
 * Given:    *found: a plan to beat; nodes_most. Returned: *found improved; *nodes added to; true
 *           where the search came to its end. PC_E_MEMORY counts as not at its end. */
bool pci_day_search(pci_grid *grid, const int *wanted, long nodes_most, pci_found *found,
                    long *nodes);

#endif
