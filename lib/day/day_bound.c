/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What no plan of a day can beat: work of hands and stations against what is free of them, the
 * first place each casting fits, molds poured again and again. */
#include <stdlib.h>

#include "day/day_grid.h"

enum { NEVER = PCI_CELLS_MOST + 1 };

static pci_least least_of(const pci_kind *kind) {
    pci_least l = {NEVER, NEVER, NEVER, NEVER, NEVER, NEVER, NEVER};
    for (int s = 0; s < kind->slots; s++) {
        const pci_comb *comb = &kind->comb[s];
        if (!comb->feasible)
            continue;
        l.hands = pci_min(l.hands, comb->hands_work);
        l.station = pci_min(l.station, comb->station_length);
        l.ready = pci_min(l.ready, comb->ready);
        l.done = pci_min(l.done, comb->done);
        l.before_station = pci_min(l.before_station, comb->station_from);
        l.after_hands = pci_min(l.after_hands, comb->done - comb->hands_end);
        l.after_station =
            pci_min(l.after_station, comb->done - comb->station_from - comb->station_length);
    }
    return l;
}

static void add_item(pci_grid *grid, pci_item item) {
    int at = grid->item_count++;
    while (at > 0 && grid->item[at - 1].tail < item.tail) {
        grid->item[at] = grid->item[at - 1];
        at--;
    }
    grid->item[at] = item;
}

void pci_grid_least(pci_grid *grid) {
    for (int k = 0; k < grid->kind_count; k++) {
        pci_kind *kind = &grid->kind[k];
        kind->least = least_of(kind);
        if (kind->least.done == NEVER)
            continue;
        if (kind->molds < kind->copies && kind->stay != PCI_DAY_STAYS)
            add_item(grid, (pci_item){k, kind->demold, kind->least.done, true});
        const pci_comb *comb = &kind->comb[0];
        if (kind->slots > 1) /* its jobs lie elsewhere in every hour: all behind the last */
            add_item(grid, (pci_item){k, kind->least.hands, kind->least.after_hands, false});
        for (int i = 0; kind->slots == 1 && i < comb->task_count; i++)
            add_item(grid, (pci_item){k, comb->length[i],
                                      comb->done - comb->from[i] - comb->length[i], false});
    }
}

/* Castings of a kind that need a mold opened before they start. */
static int openings(const pci_grid *grid, const int *asked, int k) {
    const pci_kind *kind = &grid->kind[k];
    return kind->stay == PCI_DAY_STAYS ? 0 : pci_max(0, asked[k] - kind->molds);
}

/* Cells of demolding that no next pour waits for. */
static int demold_work(const pci_grid *grid, const int *asked) {
    int sum = 0;
    for (int k = 0; k < grid->kind_count; k++)
        if (grid->kind[k].stay != PCI_DAY_STAYS)
            sum += pci_min(asked[k], grid->kind[k].molds) * grid->kind[k].demold;
    return sum;
}

/* Hands or stations that are free, counted from a cell as far as was asked so far. */
typedef struct meter {
    const pci_bits *free;
    int capacity, cells, cell, sum;
} meter;

/* Cell by which an amount of work can be over. */
static int meter_by(meter *m, int work) {
    for (; m->sum < work && m->cell < m->cells; m->cell++)
        m->sum += pci_bits_get(m->free, m->cell) ? m->capacity : 0;
    return m->sum < work ? NEVER : m->cell;
}

/* Hands: what has the longest way to go first; the demolds after everything. */
static int hands_bound(const pci_grid *grid, const int *asked) {
    int work = 0, finish = 0;
    meter m = {&grid->free_hands, grid->hands, grid->cells, 0, 0};
    for (int i = 0; i < grid->item_count && finish <= grid->cells; i++) {
        const pci_item *item = &grid->item[i];
        int many = item->opens ? openings(grid, asked, item->kind) : asked[item->kind];
        if (!many)
            continue;
        work += many * item->length;
        finish = pci_max(finish, meter_by(&m, work) + item->tail);
    }
    work += demold_work(grid, asked);
    return work ? pci_max(finish, meter_by(&m, work)) : finish;
}

static int by_later(const void *a, const void *b) {
    return *(const int *)b - *(const int *)a;
}

/* A kind's place in the order of what the machine is followed by, longest first. */
typedef struct tail {
    int after_station, work;
} tail;

static int by_after_station(const void *a, const void *b) {
    return ((const tail *)b)->after_station - ((const tail *)a)->after_station;
}

static int stations_bound(const pci_grid *grid, const int *asked) {
    tail tails[PC_DAY_PIECES_MOST];
    size_t n = 0;
    int before = NEVER, finish = 0, work = 0;
    for (int k = 0; k < grid->kind_count; k++) {
        const pci_least *l = &grid->kind[k].least;
        if (!asked[k] || l->station <= 0)
            continue;
        tails[n++] = (tail){l->after_station, asked[k] * l->station};
        before = pci_min(before, l->before_station);
    }
    qsort(tails, n, sizeof tails[0], by_after_station);
    meter m = {&grid->free_stations, grid->stations, grid->cells, before, 0};
    for (size_t i = 0; i < n; i++) {
        work += tails[i].work;
        finish = pci_max(finish, meter_by(&m, work) + tails[i].after_station);
    }
    return finish;
}

int pci_grid_rounds(const pci_grid *grid, int k, int most, int *done) {
    const pci_kind *kind = &grid->kind[k];
    pci_placed p = {.kind = k, .demold = -1};
    int from = 0, n = 0;
    for (; n < most && n < kind->life; n++) {
        p.start = pci_grid_place(grid, &grid->free_hands, &grid->free_stations, k, from, &p.slot);
        if (p.start < 0)
            return n;
        if (kind->slots > 1) { /* what starts later may be ready sooner */
            *done = p.start + kind->least.done;
            from = p.start + kind->least.ready + kind->demold + kind->rest;
            continue;
        }
        if (!pci_grid_demolds(grid, &p)) {
            *done = p.start + kind->comb[p.slot].over;
            return n + 1;
        }
        int out = pci_bits_next_run(&grid->free_hands, pci_grid_ready(grid, &p), kind->demold);
        if (out < 0)
            return kind->stay == PCI_DAY_STAYS ? n + 1 : n;
        *done = out + kind->demold;
        from = *done + kind->rest;
        if (kind->stay == PCI_DAY_STAYS) /* poured on the last day it would not be demolded */
            *done = pci_min(*done, pci_grid_next_day(grid, p.start) + kind->comb[p.slot].over);
    }
    return n;
}

/* A kind's molds used round after round. */
static int bound_of_kind(const pci_grid *grid, int k, int asked) {
    int molds = grid->kind[k].molds, rounds = (asked + molds - 1) / molds, done = NEVER;
    return pci_grid_rounds(grid, k, rounds, &done) == rounds ? done : NEVER;
}

/* Demolds of the last casting of each mold, one after the other. */
static int demolds_bound(const pci_grid *grid, const int *asked) {
    int ready[PC_DAY_CASTINGS_MOST], n = 0, finish = 0;
    for (int k = 0; k < grid->kind_count; k++) {
        const pci_kind *kind = &grid->kind[k];
        int round = kind->least.ready + kind->demold + kind->rest;
        /* Later than those poured in the same mold before. */
        for (int i = pci_max(0, asked[k] - kind->molds);
             i < asked[k] && kind->stay != PCI_DAY_STAYS; i++)
            ready[n++] = i / kind->molds * round + kind->least.ready;
    }
    qsort(ready, (size_t)n, sizeof *ready, by_later);
    for (int i = 0; i < n; i++)
        finish = pci_max(finish, ready[i] + (i / grid->hands + 1) * grid->demold);
    return finish;
}

int pci_grid_bound(const pci_grid *grid, const int *asked) {
    int finish = 0;
    for (int k = 0; k < grid->kind_count; k++) {
        if (!asked[k])
            continue;
        if (grid->kind[k].least.done == NEVER)
            return NEVER;
        finish = pci_max(finish, bound_of_kind(grid, k, asked[k]));
    }
    finish = pci_max(finish, hands_bound(grid, asked));
    if (finish <= grid->cells)
        finish = pci_max(finish, stations_bound(grid, asked));
    finish = pci_max(finish, demolds_bound(grid, asked));
    return finish > grid->cells ? NEVER : finish;
}
