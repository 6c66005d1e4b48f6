/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The day on whole minutes: who and what is busy in which cell, and where a casting fits. */
#ifndef PCI_DAY_DAY_GRID_H
#define PCI_DAY_DAY_GRID_H

#include "day/day_bits.h"
#include "pourclock/day.h"

enum { PCI_SLOT_CELLS = 60 };

/* A comb on the grid, cells after its start. */
typedef struct pci_comb {
    bool feasible;
    int task_count, from[PC_DAY_COMB_MOST], length[PC_DAY_COMB_MOST];
    int station_from, station_length; /* length 0: none */
    int hands_end, hands_work;        /* end of the last task; cells in all */
    int ready, done;                  /* done: demolded, at the earliest; overnight: comb over */
} pci_comb;

/* The least that a casting of a kind takes, over its slots; more than a day where it cannot be. */
typedef struct pci_least {
    int hands, station, ready, done;
    int after_hands, after_station; /* behind its last of either, until it is done */
    int task, before_station;       /* shortest job; from the start to the machine */
} pci_least;

typedef struct pci_kind { /* of a piece */
    int copies, molds, slots;
    bool overnight;
    pci_comb comb[PC_DAY_SLOTS_MOST];
    pci_least least;
} pci_kind;

/* The hour whose comb a kind has where it starts at a cell; the first cell of an hour, and the one
 * behind its last, which for the last hour is behind every day. */
static inline int pci_slot_at(const pci_kind *kind, int cell) {
    return pci_min(cell / PCI_SLOT_CELLS, kind->slots - 1);
}

static inline int pci_slot_from(int slot) {
    return slot * PCI_SLOT_CELLS;
}

static inline int pci_slot_until(const pci_kind *kind, int slot) {
    return slot + 1 < kind->slots ? pci_slot_from(slot + 1) : PCI_CELLS_MOST;
}

/* Hands-on work that every casting of a kind asks for, and the time from its end until the casting
 * is done at the earliest. */
typedef struct pci_item {
    int kind, length, tail;
    bool opens; /* the mold of the casting before; only where one is poured again */
} pci_item;

typedef struct pci_placed {
    int kind, slot, start;
} pci_placed;

/* A day with the castings placed in it so far. */
typedef struct pci_grid {
    int cells, hands, stations, demold;
    int kind_count;
    pci_kind kind[PC_DAY_PIECES_MOST];
    int item_count;
    pci_item item[PC_DAY_PIECES_MOST * (PC_DAY_COMB_MOST + 1)]; /* longest tail first */
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

/* Purpose:  put a casting in at a start that pci_grid_starts allows, the last of its kind, its mold
 *           out in time where it is one poured again. pci_grid_take_out takes the last one out. */
void pci_grid_put_in(pci_grid *grid, int kind, int slot, int start, bool reuse);
void pci_grid_take_out(pci_grid *grid, bool reuse);

/* Whether placed[index], castings in the order of their starts, is poured in a mold that another of
 * them was in before. */
bool pci_grid_reuses(const pci_grid *grid, const pci_placed *placed, int index);

/* Purpose:  demold every casting that is the last of its mold, as early as hands allow, in the
 * order they are ready (which is the earliest finish there is, since all take equally long).
 * Given:    castings put in in the order of their starts. Returned: the cell at which everything is
 *           done, or -1: they do not fit. demold[index]: the cells; -1 for those that are not
 *           demolded so. The grid is as it was. */
int pci_grid_finish(pci_grid *grid, int *demold);

/* The cell at which placed[index] may be demolded. */
int pci_grid_ready(const pci_grid *grid, int index);

/* Purpose:  lower bound of the cell at which everything is done, with left[kind] more castings that
 *           start at `from` or later, in the order of starts.
 * Returned: PCI_CELLS_MOST + 1 where they cannot fit. */
int pci_grid_bound(const pci_grid *grid, const int *left, int from);

/* The part of it that only looks at the work. */
int pci_grid_work_bound(const pci_grid *grid, const int *left, int from);

/* Fills kind[].least and item[] of a grid with its combs: to be called once after pci_grid_init. */
void pci_grid_least(pci_grid *grid);

/* First cell from one on at which a kind may start; PCI_CELLS_MOST + 1: none. */
int pci_grid_first_start(const pci_grid *grid, int kind, int from);

/* Purpose:  how many of asked[kind] castings an empty day can hold, at most. */
int pci_grid_count_bound(const pci_grid *grid, const int *asked);

/* Purpose:  cell before which a day cannot be over, for it could not hold all of them by then.
 * Given:    an empty grid; low: such a cell known; high: one by which they may be. */
int pci_grid_count_floor(const pci_grid *grid, const int *asked, int low, int high);

/* A plan found. */
typedef struct pci_found {
    int count, finish; /* finish: PCI_CELLS_MOST + 1 where there is none */
    pci_placed placed[PC_DAY_CASTINGS_MOST];
    int demold[PC_DAY_CASTINGS_MOST]; /* -1: overnight, or opened for the next pour */
} pci_found;

bool pci_found_better(const pci_found *a, const pci_found *b);

/* Purpose:  list schedules of wanted[kind] castings in several orders, improved by moves.
 * Given:    an empty grid; effort: orders tried.
 * Returned: *found: most castings, then earliest finish. */
void pci_day_list(const pci_grid *grid, const int *wanted, int effort, pci_found *found);

/* Purpose:  the best plan of `count` of wanted[kind] castings, by exact search. A kind's molds are
 *           poured in turn.
 * Given:    an empty grid; *found: a plan to beat; steps_most, of all that is in *steps.
 * Returned: *found improved; *steps, of clauses, added to (what branch and bound takes beside is at
 *           most about as much); true where the search came to its end: none is better. Where
 *           memory fails it did not. */
bool pci_day_search(pci_grid *grid, const int *wanted, int count, long steps_most, pci_found *found,
                    long *steps);

enum { PCI_BRANCH_MOST = 8 }; /* castings */

/* Whether branch and bound knows such a day: one pair of hands, the same combs in every hour. */
bool pci_day_branches(const pci_grid *grid);

/* Purpose:  the best plan of all of wanted[kind] castings, by branch and bound: a second way, for
 *           days full of jobs that hardly fit.
 * Given:    an empty grid, on which pci_grid_bound does not rule them out; *found: a plan to beat;
 *           nodes_most. Returned: *found improved; true where it came to its end; false also for
 *           more than PCI_BRANCH_MOST castings, for a day it does not know, and where memory
 *           fails. */
bool pci_day_branch(pci_grid *grid, const int *wanted, long nodes_most, pci_found *found);

#endif
