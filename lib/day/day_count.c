/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How many castings a day can hold at most: a linear program of what each takes of hands, machines
 * and molds against what there is.
 *
 * A job that is followed by so much curing has to be over so long before the day ends: for every
 * such wait there is a row of the work that must come before it. Castings on one machine follow one
 * another whole: so many in a row, not so many and a half (a superadditive count; the functions
 * u(k) of Fekete and Schepers, Mathematical Programming 91 (2001), from memory). With one pair of
 * hands a job longer than the waits on the machine has to find the machines stopped. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "day/day_grid.h"
#include "solve/packing.h"

enum { ROWS_MOST = 800, COUNTS_MOST = 5 };

/* Two columns a kind: castings in fresh molds, and those in molds that are opened for them. */
typedef struct table {
    const pci_grid *grid;
    size_t columns, rows;
    double cap[2 * PC_DAY_PIECES_MOST];
    double *room, *weight; /* [rows_most], [rows_most][columns] */
    size_t rows_most;
} table;

/* Cells that rows are made for. */
typedef struct marks {
    int hands, stations, waits; /* how many */
    int hands_late[PC_DAY_PIECES_MOST * PCI_DAY_COMB_MOST + 1];
    int station_late[PC_DAY_PIECES_MOST + 1];
    int wait[PC_DAY_PIECES_MOST * PCI_DAY_COMB_MOST];
    int first; /* before which no machine is used */
} marks;

static const pci_kind *kind_of(const table *t, size_t column) {
    return &t->grid->kind[column / 2];
}

static bool in_reused(size_t column) {
    return column % 2 == 1;
}

/* Room for another row; NULL: there are enough, and a bound without it holds as well. */
static double *new_row(table *t, double room) {
    if (t->rows == t->rows_most || !(room >= 0))
        return NULL;
    double *row = &t->weight[t->rows * t->columns];
    memset(row, 0, t->columns * sizeof *row);
    t->room[t->rows++] = room;
    return row;
}

static void set_caps(table *t, const int *asked) {
    const pci_grid *grid = t->grid;
    for (int k = 0; k < grid->kind_count; k++) {
        const pci_kind *kind = &grid->kind[k];
        int done, rounds = (asked[k] + kind->molds - 1) / kind->molds;
        int many = pci_min(asked[k], pci_grid_rounds(grid, k, rounds, &done) * kind->molds);
        t->cap[2 * k] = pci_min(many, kind->molds);
        t->cap[2 * k + 1] = many - t->cap[2 * k];
    }
}

/* Of so many cells of work with a tail behind it, what is over before the last `late` cells. */
static int before_late(int length, int tail, int late) {
    return pci_max(0, length - pci_max(0, late - tail));
}

static int hands_before(const table *t, size_t column, int late) {
    const pci_kind *kind = kind_of(t, column);
    const pci_comb *comb = &kind->comb[0];
    int work = 0;
    if (kind->slots > 1) /* other jobs every hour: all of them behind the last */
        work = before_late(kind->least.hands, kind->least.after_hands, late);
    for (int i = 0; kind->slots == 1 && i < comb->task_count; i++)
        work += before_late(comb->length[i], comb->done - comb->from[i] - comb->length[i], late);
    if (kind->stay == PCI_DAY_STAYS)
        return work;
    /* A mold is opened for a casting that is still to be made, or its own is opened at last. */
    return work + before_late(kind->demold, in_reused(column) ? kind->least.done : 0, late);
}

static void add_hands_row(table *t, int late) {
    const pci_grid *grid = t->grid;
    int room = 0;
    for (int c = 0; c < grid->cells - late; c++)
        room += pci_bits_get(&grid->free_hands, c) ? grid->hands : 0;
    double *row = new_row(t, room);
    for (size_t i = 0; row && i < t->columns; i++)
        row[i] = hands_before(t, i, late);
}

/* k > 0: as a share of one machine's time, rounded down to k + 1 parts, counted in k: castings of
 * such shares that go on one machine together sum to at most 1. */
static double share_of(double share, int k) {
    double parts = (k + 1) * share, whole = floor(parts + 1e-9);
    return k == 0 || fabs(parts - whole) < 1e-9 ? share : whole / k;
}

/* A machine in a working day is a room of its own: nothing turns at night. Of several days the
 * longest is the measure of all. */
static void add_station_rows(table *t, int late, int first) {
    const pci_grid *grid = t->grid;
    int open = 0, longest = 0, rooms = 0;
    for (int d = 0; d < grid->day_count; d++) {
        int from = grid->day_from[d] + (d == 0 ? first : 0);
        int length = pci_min(grid->day_until[d], grid->cells - late) - from;
        if (length <= 0)
            continue;
        open += length;
        rooms++;
        longest = pci_max(longest, length);
    }
    for (int k = 0; k <= COUNTS_MOST && open > 0; k++) {
        double room = k ? rooms : open / (double)longest;
        double *row = new_row(t, room * grid->stations);
        for (size_t i = 0; row && i < t->columns; i++) {
            const pci_least *l = &kind_of(t, i)->least;
            double share = before_late(l->station, l->after_station, late) / (double)longest;
            row[i] = share_of(fmin(1, share), k);
        }
    }
}

/* Leaves each number once. Returns how many. */
static int distinct(int *of, int n) {
    int count = 0;
    for (int i = 0; i < n; i++) {
        int j = 0;
        while (j < count && of[j] != of[i])
            j++;
        if (j == count)
            of[count++] = of[i];
    }
    return count;
}

static int wait_after(const pci_comb *comb, int i) {
    return comb->from[i + 1] - comb->from[i] - comb->length[i];
}

/* Cells on the machine in which no job of more than `wait` cells of others can be: its own shorter
 * jobs, and the waits between them. */
static int closed_cells(const pci_comb *comb, int wait) {
    int from = comb->station_from, until = from + comb->station_length, closed = 0;
    for (int i = 0; i < comb->task_count; i++) {
        int begin = comb->from[i], end = begin + comb->length[i];
        if (comb->length[i] <= wait)
            closed += pci_max(0, pci_min(end, until) - pci_max(begin, from));
        if (i + 1 < comb->task_count && wait_after(comb, i) <= wait)
            closed += pci_max(0, pci_min(comb->from[i + 1], until) - pci_max(end, from));
    }
    return closed;
}

/* One pair of hands: while a job of more than `wait` cells is on, no machine is in a closed cell.
 */
static void add_closed_row(table *t, int wait) {
    const pci_grid *grid = t->grid;
    int open = 0;
    for (int d = 0; d < grid->day_count; d++)
        open += pci_max(0, pci_min(grid->day_until[d], grid->cells) - grid->day_from[d]);
    double *row = new_row(t, (double)grid->stations * open);
    for (size_t i = 0; row && i < t->columns; i++) {
        const pci_kind *kind = kind_of(t, i);
        const pci_comb *comb = &kind->comb[0];
        int longer = kind->stay != PCI_DAY_STAYS && kind->demold > wait ? kind->demold : 0;
        for (int j = 0; j < comb->task_count; j++)
            longer += comb->length[j] > wait ? comb->length[j] : 0;
        row[i] = closed_cells(comb, wait) + grid->stations * longer;
    }
}

static void find_marks(const table *t, marks *m) {
    const pci_grid *grid = t->grid;
    bool hours = false;
    m->hands = m->stations = 1; /* 0: the whole day */
    m->hands_late[0] = m->station_late[0] = m->waits = 0;
    m->first = grid->cells;
    for (int k = 0; k < grid->kind_count; k++) {
        const pci_kind *kind = &grid->kind[k];
        const pci_comb *comb = &kind->comb[0];
        if (t->cap[2 * k] <= 0)
            continue;
        hours = hours || kind->slots > 1;
        m->hands_late[m->hands++] = kind->least.after_hands;
        for (int i = 0; i + 1 < comb->task_count && kind->slots == 1; i++) {
            m->hands_late[m->hands++] = comb->done - comb->from[i] - comb->length[i];
            m->wait[m->waits++] = wait_after(comb, i);
        }
        if (kind->least.station <= 0)
            continue;
        m->station_late[m->stations++] = kind->least.after_station;
        m->first = pci_min(m->first, kind->least.before_station);
    }
    m->hands = distinct(m->hands_late, m->hands);
    m->stations = distinct(m->station_late, m->stations);
    bool closes = grid->hands == 1 && grid->stations > 0 && !hours;
    m->waits = closes ? distinct(m->wait, m->waits) : 0;
}

static bool add_rows(table *t) {
    marks m;
    find_marks(t, &m);
    int rows = m.hands + m.stations * (COUNTS_MOST + 1) + m.waits;
    t->rows_most = (size_t)pci_min(rows, ROWS_MOST);
    t->room = malloc(t->rows_most * sizeof *t->room);
    t->weight = malloc(t->rows_most * t->columns * sizeof *t->weight);
    if (!t->room || !t->weight)
        return false;
    for (int i = 0; i < m.stations; i++)
        add_station_rows(t, m.station_late[i], m.first);
    for (int i = 0; i < m.waits; i++)
        add_closed_row(t, m.wait[i]);
    for (int i = 0; i < m.hands; i++)
        add_hands_row(t, m.hands_late[i]);
    return true;
}

static int all_of(const pci_grid *grid, const int *asked) {
    int all = 0;
    for (int k = 0; k < grid->kind_count; k++)
        all += asked[k];
    return all;
}

int pci_grid_count_bound(const pci_grid *grid, const int *asked) {
    table t = {.grid = grid, .columns = 2 * (size_t)grid->kind_count};
    int all = all_of(grid, asked);
    set_caps(&t, asked);
    if (add_rows(&t)) {
        pci_packing packing = {t.columns, t.rows, t.cap, t.weight, t.room};
        double most;
        if (pci_packing_most(&packing, &most) == PC_OK && most < all)
            all = (int)floor(most + 1e-6);
    }
    free(t.room);
    free(t.weight);
    return all;
}

int pci_grid_count_floor(const pci_grid *grid, const int *asked, int low, int high) {
    int all = all_of(grid, asked);
    pci_grid *shorter = malloc(sizeof *shorter);
    while (shorter && low < high) {
        int middle = (low + high) / 2;
        *shorter = *grid;
        shorter->cells = middle;
        pci_bits_fill(&shorter->free_hands, middle, grid->cells - middle, false);
        pci_bits_fill(&shorter->free_stations, middle, grid->cells - middle, false);
        if (pci_grid_count_bound(shorter, asked) < all)
            low = middle + 1;
        else
            high = middle;
    }
    free(shorter);
    return low;
}
