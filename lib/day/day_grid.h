/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The days on whole minutes, nights between them too: when hands and machines are free, and where a
 * casting fits. */
#ifndef PCI_DAY_DAY_GRID_H
#define PCI_DAY_DAY_GRID_H

#include "day/day_bits.h"
#include "day/day_held.h"

enum { PCI_SLOT_CELLS = 60 };

/* A comb on the grid, cells after its start. */
typedef struct pci_comb {
    bool feasible;
    int task_count, from[PCI_DAY_COMB_MOST], length[PCI_DAY_COMB_MOST];
    int station_from, station_length; /* length 0: none */
    int hands_end, hands_work;        /* end of the last task; cells in all */
    int over, ready, done;            /* hands and machine done; demolded at the earliest */
} pci_comb;

/* The least that a casting of a kind takes, over its slots; more than all days if it cannot be. */
typedef struct pci_least {
    int hands, station, ready, done;
    int after_hands, after_station; /* after its last of either, until it is done */
    int before_station;             /* from the start to the machine */
} pci_least;

typedef struct pci_kind { /* of a piece */
    int copies, molds, slots, demold, rest;
    int pool, life; /* the kind whose molds it is poured in; castings each of them still lasts */
    int due;        /* cell */
    pci_day_stay stay;
    bool by_date; /* at: the comb of a start in an hour of a working day */
    unsigned char at[PC_DAY_DAYS_MOST][PCI_DAY_HOURS_MOST];
    pci_comb comb[PCI_DAY_SLOTS_MOST];
    pci_least least;
} pci_kind;

/* Hands-on work that every casting of a kind asks for, and the time from its end until the casting
 * is done at the earliest. */
typedef struct pci_item {
    int kind, length, tail;
    bool opens; /* the mold of the casting before; only where one is poured again */
} pci_item;

typedef struct pci_placed {
    int kind, slot, start, mold;
    int demold; /* cell; -1: it stays in the mold */
} pci_placed;

/* Days with nothing placed in them yet. */
typedef struct pci_grid {
    int cells, hands, stations, demold; /* demold: the shortest */
    int shift;                          /* cells from the clock time of the first slot to cell 0 */
    double clock_s;                     /* of cell 0 */
    int day_count, day_from[PC_DAY_DAYS_MOST], day_until[PC_DAY_DAYS_MOST];
    int kind_count;
    pci_kind kind[PC_DAY_PIECES_MOST];
    int item_count;
    pci_item item[PC_DAY_PIECES_MOST * (PCI_DAY_COMB_MOST + 1)]; /* longest tail first */
    pci_bits free_hands, free_stations; /* at work; hands: outside breaks */
} pci_grid;

/* Purpose:  the grid of checked days, empty but for nights and breaks. */
void pci_grid_init(const pci_day *day, pci_grid *grid);

/* Purpose:  first start of a kind at or after a cell, as far as hands and stations are free.
 * Returned: the cell; -1: none. *slot: its comb. */
int pci_grid_place(const pci_grid *grid, const pci_bits *hands, const pci_bits *stations, int kind,
                   int from, int *slot);

/* First cell of the working day after the one of a cell; grid->cells: there is none. */
int pci_grid_next_day(const pci_grid *grid, int cell);

/* Whether a casting is taken out of its mold at all; the cell from which it may be, by which it has
 * to be, and at which it is done. */
bool pci_grid_demolds(const pci_grid *grid, const pci_placed *placed);
int pci_grid_ready(const pci_grid *grid, const pci_placed *placed);
int pci_grid_latest(const pci_grid *grid, const pci_placed *placed);
int pci_grid_done(const pci_grid *grid, const pci_placed *placed);

/* Purpose:  lower bound of the cell at which asked[kind] castings are done.
 * Returned: PCI_CELLS_MOST + 1 if they cannot fit. */
int pci_grid_bound(const pci_grid *grid, const int *asked);

/* Fills kind[].least and item[] of a grid with its combs: to be called once after pci_grid_init. */
void pci_grid_least(pci_grid *grid);

/* Purpose:  castings of a kind, one after the other in one mold, with all hands and machines.
 * Given:    most: how many. Returned: how many fit; *done: cell at which the last of them is. */
int pci_grid_rounds(const pci_grid *grid, int kind, int most, int *done);

/* Purpose:  how many of asked[kind] castings the days can hold, at most. */
int pci_grid_count_bound(const pci_grid *grid, const int *asked);

/* Purpose:  cell before which not all can be done, for the days could not hold all of them by then.
 * Given:    low: such a cell known; high: one by which they may be. */
int pci_grid_count_floor(const pci_grid *grid, const int *asked, int low, int high);

/* A plan found. */
typedef struct pci_found {
    int count, late, finish; /* finish: PCI_CELLS_MOST + 1 if there is none */
    int sum;                 /* of the cells at which each is done */
    pci_placed placed[PC_DAY_CASTINGS_MOST];
} pci_found;

bool pci_found_better(const pci_found *a, const pci_found *b);

/* Purpose:  list schedules of wanted[kind] castings in several orders, improved by moves.
 * Given:    an empty grid; effort: orders tried. Returned: *found: most castings, then fewest late,
 *           then earliest finish; PC_OK; PC_E_MEMORY. */
pc_status pci_day_list(const pci_grid *grid, const int *wanted, int effort, pci_found *found);

#endif
