/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What no plan of a day can beat: work of hands and stations against what is free of them, the
 * first place each casting fits, molds poured again and again. */
#include <stdlib.h>

#include "day/day_grid.h"

enum { NEVER = PCI_CELLS_MOST + 1 };

static pci_least least_of(const pci_kind *kind) {
    pci_least l = {NEVER, NEVER, NEVER, NEVER, NEVER, NEVER, NEVER, NEVER};
    for (int s = 0; s < kind->slots; s++) {
        const pci_comb *comb = &kind->comb[s];
        if (!comb->feasible)
            continue;
        l.hands = pci_min(l.hands, comb->hands_work);
        l.station = pci_min(l.station, comb->station_length);
        l.ready = pci_min(l.ready, comb->ready);
        l.done = pci_min(l.done, comb->done);
        l.before_station = pci_min(l.before_station, comb->station_from);
        for (int i = 0; i < comb->task_count; i++)
            l.task = pci_min(l.task, comb->length[i]);
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
        if (kind->molds < kind->copies && !kind->overnight)
            add_item(grid, (pci_item){k, grid->demold, kind->least.done, true});
        const pci_comb *comb = &kind->comb[0];
        if (kind->slots > 1) /* its jobs lie elsewhere in every hour: all behind the last */
            add_item(grid, (pci_item){k, kind->least.hands, kind->least.after_hands, false});
        for (int i = 0; kind->slots == 1 && i < comb->task_count; i++)
            add_item(grid, (pci_item){k, comb->length[i],
                                      comb->done - comb->from[i] - comb->length[i], false});
    }
}

/* Castings of a kind to come that open a mold before they start. */
static int openings(const pci_grid *grid, const int *left, int k) {
    const pci_kind *kind = &grid->kind[k];
    int n = left[k];
    for (int i = 0; i < grid->count; i++)
        n += grid->placed[i].kind == k;
    return kind->overnight ? 0 : pci_min(left[k], pci_max(0, n - kind->molds));
}

/* Cells of demolding that are free of a next pour, done and to come. */
static int demold_work(const pci_grid *grid, const int *left) {
    int n[PC_DAY_PIECES_MOST] = {0}, sum = 0;
    for (int i = 0; i < grid->count; i++)
        n[grid->placed[i].kind]++;
    for (int k = 0; k < grid->kind_count; k++)
        if (!grid->kind[k].overnight)
            sum += pci_min(n[k] + left[k], grid->kind[k].molds);
    return sum * grid->demold;
}

/* Demolding that may be over by a cell, at most. */
static int demolded_by(const pci_grid *grid, int cell) {
    int sum = 0;
    for (int i = 0; i < grid->count; i++) {
        const pci_placed *p = &grid->placed[i];
        const pci_kind *kind = &grid->kind[p->kind];
        if (!kind->overnight)
            sum += pci_max(0, pci_min(grid->demold, cell - p->start - kind->comb[p->slot].ready));
    }
    return sum;
}

/* What is free of hands or stations from a cell on, counted as far as was asked so far. Cells that
 * no job can use, since too few are free in a row, do not count. */
typedef struct meter {
    const pci_grid *grid;
    const unsigned char *used;
    int capacity, cell, sum;
    pci_bits cells;
} meter;

static meter meter_at(const pci_grid *grid, bool station, int from, int length) {
    meter m = {.grid = grid, .cell = pci_max(from, 0)};
    m.used = station ? grid->turning : grid->busy;
    m.capacity = station ? grid->stations : grid->hands;
    pci_bits run;
    pci_bits_run(station ? &grid->free_stations : &grid->free_hands, length, &run);
    pci_bits_spread(&run, length, &m.cells);
    return m;
}

/* Cell by which so much work can be over. */
static int meter_by(meter *m, int work) {
    while (m->sum < work && m->cell < m->grid->cells) {
        if (pci_bits_get(&m->cells, m->cell))
            m->sum += m->capacity - m->used[m->cell];
        m->cell++;
    }
    return m->sum < work ? NEVER : m->cell;
}

/* Hands: what has the longest way to go first; the demolds behind everything. */
static int hands_bound(const pci_grid *grid, const int *left, int from) {
    int shortest = grid->demold, open[PC_DAY_PIECES_MOST] = {0}, opens = 0;
    for (int k = 0; k < grid->kind_count; k++) {
        if (!left[k])
            continue;
        shortest = pci_min(shortest, grid->kind[k].least.task);
        open[k] = grid->kind[k].molds < grid->kind[k].copies ? openings(grid, left, k) : 0;
        opens += open[k];
    }
    int start = pci_max(0, from - (opens ? grid->demold : 0)), work = 0, finish = 0;
    meter m = meter_at(grid, false, start, shortest);
    for (int i = 0; i < grid->item_count && finish <= grid->cells; i++) {
        const pci_item *item = &grid->item[i];
        int many = item->opens ? open[item->kind] : left[item->kind];
        if (!many)
            continue;
        work += many * item->length;
        finish = pci_max(finish, meter_by(&m, work) + item->tail);
    }
    work += pci_max(0, demold_work(grid, left) - demolded_by(grid, start));
    return work ? pci_max(finish, meter_by(&m, work)) : finish;
}

static int by_later(const void *a, const void *b) {
    return *(const int *)b - *(const int *)a;
}

static int by_after_station(const void *a, const void *b) {
    const pci_least *x = *(const pci_least *const *)a, *y = *(const pci_least *const *)b;
    return y->after_station - x->after_station;
}

static int stations_bound(const pci_grid *grid, const int *left, int from) {
    const pci_least *least_in[PC_DAY_PIECES_MOST];
    int n = 0, before = NEVER, shortest = NEVER, finish = 0, work = 0;
    for (int k = 0; k < grid->kind_count; k++) {
        const pci_least *l = &grid->kind[k].least;
        if (!left[k] || l->station <= 0)
            continue;
        least_in[n++] = l;
        before = pci_min(before, l->before_station);
        shortest = pci_min(shortest, l->station);
    }
    if (n == 0)
        return 0;
    qsort(least_in, (size_t)n, sizeof least_in[0], by_after_station);
    meter m = meter_at(grid, true, from + before, shortest);
    for (int i = 0; i < n; i++) {
        for (int k = 0; k < grid->kind_count; k++)
            if (least_in[i] == &grid->kind[k].least)
                work += left[k] * least_in[i]->station;
        finish = pci_max(finish, meter_by(&m, work) + least_in[i]->after_station);
    }
    return finish;
}

int pci_grid_work_bound(const pci_grid *grid, const int *left, int from) {
    int hands = hands_bound(grid, left, from);
    return hands > grid->cells ? NEVER : pci_max(hands, stations_bound(grid, left, from));
}

int pci_grid_first_start(const pci_grid *grid, int kind, int from) {
    int first = NEVER;
    for (int s = 0; s < grid->kind[kind].slots; s++) {
        pci_bits starts;
        pci_grid_starts(grid, kind, s, false, &starts);
        int t = pci_bits_next(&starts, from);
        if (t >= 0)
            first = pci_min(first, t);
    }
    return first;
}

/* A kind with r more to come: its first place, and its molds used round after round. */
static int bound_of_kind(const pci_grid *grid, int k, int r, int first) {
    const pci_kind *kind = &grid->kind[k];
    const pci_least *l = &kind->least;
    int n = 0, earliest = first;
    for (int i = 0; i < grid->count; i++)
        if (grid->placed[i].kind == k) {
            n++;
            earliest = pci_min(earliest, grid->placed[i].start);
        }
    if (kind->overnight)
        return n + r > kind->molds ? NEVER : first + l->done;
    int rounds = (n + r + kind->molds - 1) / kind->molds;
    return pci_max(first + l->done, earliest + (rounds - 1) * (l->ready + grid->demold) + l->done);
}

/* Demolds: of castings that are ready at a cell or later, so many one after the other. */
static int demolds_bound(const pci_grid *grid, const int *left, int from) {
    int ready[PC_DAY_CASTINGS_MOST], n = 0, finish = 0;
    for (int k = 0; k < grid->kind_count; k++) {
        const pci_kind *kind = &grid->kind[k];
        int round = kind->least.ready + grid->demold;
        /* The last of each mold: behind those that were poured in it before. */
        for (int i = pci_max(0, left[k] - kind->molds); i < left[k] && !kind->overnight; i++)
            ready[n++] = from + i / kind->molds * round + kind->least.ready;
    }
    qsort(ready, (size_t)n, sizeof *ready, by_later);
    for (int i = 0; i < n; i++)
        finish = pci_max(finish, ready[i] + (i / grid->hands + 1) * grid->demold);
    return finish;
}

int pci_grid_bound(const pci_grid *grid, const int *left, int from) {
    int finish = 0;
    for (int i = 0; i < grid->count; i++) {
        const pci_placed *p = &grid->placed[i];
        finish = pci_max(finish, p->start + grid->kind[p->kind].comb[p->slot].done);
    }
    for (int k = 0; k < grid->kind_count; k++) {
        if (!left[k])
            continue;
        int first = pci_grid_first_start(grid, k, from);
        if (grid->kind[k].least.done == NEVER || first == NEVER)
            return NEVER;
        finish = pci_max(finish, bound_of_kind(grid, k, left[k], first));
    }
    finish = pci_max(finish, pci_grid_work_bound(grid, left, from));
    finish = pci_max(finish, demolds_bound(grid, left, from));
    return finish > grid->cells ? NEVER : finish;
}
