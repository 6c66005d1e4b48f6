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
    int before_station;             /* from the start to the machine */
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

/* A day with nothing placed in it yet. */
typedef struct pci_grid {
    int cells, hands, stations, demold;
    int kind_count;
    pci_kind kind[PC_DAY_PIECES_MOST];
    int item_count;
    pci_item item[PC_DAY_PIECES_MOST * (PC_DAY_COMB_MOST + 1)]; /* longest tail first */
    pci_bits free_hands, free_stations;                         /* outside breaks, by cell */
} pci_grid;

/* Purpose:  the day's grid, empty but for its breaks. Given: a checked day; end_s: may be later
 *           than the day's own, at most 24 h from its start. */
void pci_grid_init(const pc_day *day, double end_s, pci_grid *grid);

/* Purpose:  cells where a casting of a kind may start in an hour, alone in the day. */
void pci_grid_starts(const pci_grid *grid, int kind, int slot, pci_bits *starts);

/* Purpose:  lower bound of the cell at which asked[kind] castings are done.
 * Returned: PCI_CELLS_MOST + 1 if they cannot fit. */
int pci_grid_bound(const pci_grid *grid, const int *asked);

/* Fills kind[].least and item[] of a grid with its combs: to be called once after pci_grid_init. */
void pci_grid_least(pci_grid *grid);

/* First cell at which a kind may start; PCI_CELLS_MOST + 1: none. */
int pci_grid_first_start(const pci_grid *grid, int kind);

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

#endif
