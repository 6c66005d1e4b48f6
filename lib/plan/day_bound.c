/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What no plan of a day can beat: work of hands and stations against what is free of them, the
 * first place each casting fits, molds poured again and again. */
#include <stdlib.h>

#include "plan/day_grid.h"

enum { NEVER = PCI_CELLS_MOST + 1 };

static int least(int a, int b) {
    return a < b ? a : b;
}

static int most(int a, int b) {
    return a > b ? a : b;
}

/* The least a casting of a kind takes, over its slots. */
typedef struct pci_least {
    int hands, station, ready, done, after_hands, after_station;
    int task, before_station; /* shortest task; from the start to the machine */
} pci_least;

static pci_least least_of(const pci_kind *kind) {
    pci_least l = {NEVER, NEVER, NEVER, NEVER, NEVER, NEVER, NEVER, NEVER};
    for (int s = 0; s < kind->slots; s++) {
        const pci_comb *comb = &kind->comb[s];
        if (!comb->feasible)
            continue;
        l.hands = least(l.hands, comb->hands_work);
        l.station = least(l.station, comb->station_length);
        l.ready = least(l.ready, comb->ready);
        l.done = least(l.done, comb->done);
        l.before_station = least(l.before_station, comb->station_from);
        for (int i = 0; i < comb->task_count; i++)
            l.task = least(l.task, comb->length[i]);
        l.after_hands = least(l.after_hands, comb->done - comb->hands_end);
        l.after_station =
            least(l.after_station, comb->done - comb->station_from - comb->station_length);
    }
    return l;
}

/* Cells that a job of a length could use: those in a row of free ones at least so long. */
static void usable(const pci_bits *bits, int length, pci_bits *cells) {
    pci_bits run;
    pci_bits_run(bits, length, &run);
    pci_bits_spread(&run, length, cells);
}

/* Cell by which so much has been free from a cell on, of hands or stations. */
static int free_by(const pci_grid *grid, bool station, int from, int length, int work) {
    const unsigned char *used = station ? grid->turning : grid->busy;
    int capacity = station ? grid->stations : grid->hands, c = most(from, 0);
    pci_bits cells;
    usable(station ? &grid->free_stations : &grid->free_hands, length, &cells);
    for (; work > 0 && c < grid->cells; c++)
        if (pci_bits_get(&cells, c))
            work -= capacity - used[c];
    return work > 0 ? NEVER : c;
}

static int first_start(const pci_grid *grid, int kind) {
    int first = NEVER;
    for (int s = 0; s < grid->kind[kind].slots; s++) {
        pci_bits starts;
        pci_grid_starts(grid, kind, s, false, &starts);
        int t = pci_bits_next(&starts, 0);
        if (t >= 0)
            first = least(first, t);
    }
    return first;
}

/* A kind with r more to come: its first place, and its molds used round after round. */
static int bound_of_kind(const pci_grid *grid, int k, int r, int first, const pci_least *l) {
    const pci_kind *kind = &grid->kind[k];
    int n = 0, earliest = first;
    for (int i = 0; i < grid->count; i++)
        if (grid->placed[i].kind == k) {
            n++;
            earliest = least(earliest, grid->placed[i].start);
        }
    if (kind->overnight)
        return n + r > kind->molds ? NEVER : first + l->done;
    int rounds = (n + r + kind->molds - 1) / kind->molds;
    return most(first + l->done, earliest + (rounds - 1) * (l->ready + grid->demold) + l->done);
}

/* Demolds to come of castings placed: those neither fixed nor opened for a next pour. */
static int demolds_waiting(const pci_grid *grid, int *finish) {
    int waiting = 0, of_kind[PC_DAY_PIECES_MOST] = {0};
    for (int i = 0; i < grid->count; i++) {
        const pci_placed *p = &grid->placed[i];
        const pci_kind *kind = &grid->kind[p->kind];
        *finish = most(*finish, p->start + kind->comb[p->slot].done);
        if (p->demold >= 0)
            *finish = most(*finish, p->demold + grid->demold);
        if (kind->overnight)
            continue;
        bool opened = of_kind[p->kind]++ >= kind->molds; /* one mold opened for each of these */
        waiting += (p->demold < 0) - opened;
    }
    return waiting;
}

/* What is left, over all kinds: work, and the least of heads, tails and lengths. */
typedef struct pci_left {
    int hands, station;             /* work */
    int start, machine;             /* first cell of either */
    int task, turn;                 /* shortest of either */
    int after_hands, after_station; /* least tail behind either */
} pci_left;

static void add_left(pci_left *sum, int many, int first, const pci_least *l) {
    sum->hands += many * l->hands;
    sum->start = least(sum->start, first);
    sum->task = least(sum->task, l->task);
    sum->after_hands = least(sum->after_hands, l->after_hands);
    if (l->station <= 0)
        return;
    sum->station += many * l->station;
    sum->machine = least(sum->machine, first + l->before_station);
    sum->turn = least(sum->turn, l->station);
    sum->after_station = least(sum->after_station, l->after_station);
}

int pci_grid_bound(const pci_grid *grid, const int *left) {
    int finish = 0, demolds = demolds_waiting(grid, &finish);
    pci_left sum = {0, 0, NEVER, NEVER, NEVER, NEVER, NEVER, NEVER};
    for (int k = 0; k < grid->kind_count; k++) {
        if (!left[k])
            continue;
        pci_least l = least_of(&grid->kind[k]);
        int first = first_start(grid, k);
        if (l.done == NEVER || first == NEVER)
            return NEVER;
        finish = most(finish, bound_of_kind(grid, k, left[k], first, &l));
        demolds += grid->kind[k].overnight ? 0 : left[k];
        add_left(&sum, left[k], first, &l);
    }
    if (sum.hands > 0)
        finish =
            most(finish, free_by(grid, false, sum.start, sum.task, sum.hands) + sum.after_hands);
    if (sum.station > 0)
        finish = most(finish,
                      free_by(grid, true, sum.machine, sum.turn, sum.station) + sum.after_station);
    int all = sum.hands + demolds * grid->demold;
    int shortest = demolds ? least(sum.task, grid->demold) : sum.task;
    if (all > 0)
        finish = most(finish, free_by(grid, false, 0, shortest, all));
    return finish > grid->cells ? NEVER : finish;
}

static int by_size(const void *a, const void *b) {
    return *(const int *)a - *(const int *)b;
}

/* How many of these works fit into so much capacity, the smallest first. */
static int fit(int *work, int n, int capacity) {
    qsort(work, (size_t)n, sizeof *work, by_size);
    int count = 0;
    while (count < n && work[count] <= capacity)
        capacity -= work[count++];
    return count;
}

static int capacity_of(const pci_grid *grid, bool station) {
    const unsigned char *used = station ? grid->turning : grid->busy;
    int all = station ? grid->stations : grid->hands, sum = 0;
    for (int c = 0; c < grid->cells; c++)
        sum += all - used[c];
    return sum;
}

int pci_grid_count_bound(const pci_grid *grid, const int *left) {
    int hands[PC_DAY_CASTINGS_MOST], station[PC_DAY_CASTINGS_MOST], n = 0;
    for (int k = 0; k < grid->kind_count; k++) {
        const pci_kind *kind = &grid->kind[k];
        pci_least l = least_of(kind);
        int first = left[k] ? first_start(grid, k) : NEVER;
        if (first == NEVER || l.done == NEVER || first + l.done > grid->cells)
            continue;
        int rounds = 1 + (grid->cells - first - l.done) / most(1, l.ready + grid->demold);
        int many = least(left[k], (kind->overnight ? 1 : rounds) * kind->molds);
        for (int i = 0; i < many && n < PC_DAY_CASTINGS_MOST; i++) {
            hands[n] = l.hands + (kind->overnight ? 0 : grid->demold);
            station[n++] = l.station;
        }
    }
    int by_hands = fit(hands, n, capacity_of(grid, false));
    return least(by_hands, fit(station, n, capacity_of(grid, true)));
}
