/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "day/day_run.h"

#include <string.h>

static void level_init(pci_level *level, int most) {
    memset(level, 0, sizeof *level);
    level->most = most;
    while (most >> level->digits)
        level->digits++;
}

static void level_empty(pci_level *level, const pci_bits *free) {
    for (int d = 0; d < level->digits; d++)
        memset(level->digit[d], 0, (size_t)free->words * sizeof level->digit[d][0]);
    pci_bits_copy(free, &level->free);
}

void pci_list_run_init(pci_list_run *run, const pci_grid *grid) {
    run->grid = grid;
    level_init(&run->hands, grid->hands);
    level_init(&run->stations, grid->stations);
}

/* One more is taken in each of these cells, where one is free. */
static void take(pci_level *level, int from, int length) {
    int until = from + length;
    for (int w = from / 64; w * 64 < until; w++) {
        uint64_t part = pci_word_part(w, from, until), carry = part, full = part;
        for (int d = 0; d < level->digits; d++) {
            uint64_t sum = level->digit[d][w] ^ carry;
            carry &= level->digit[d][w];
            level->digit[d][w] = sum;
            full &= level->most >> d & 1 ? sum : ~sum;
        }
        level->free.word[w] &= ~full;
    }
}

static void give(pci_level *level, int from, int length) {
    int until = from + length;
    for (int w = from / 64; w * 64 < until; w++) {
        uint64_t part = pci_word_part(w, from, until), borrow = part;
        for (int d = 0; d < level->digits; d++) {
            uint64_t difference = level->digit[d][w] ^ borrow;
            borrow &= difference;
            level->digit[d][w] = difference;
        }
        level->free.word[w] |= part;
    }
}

static void take_comb(pci_list_run *run, const pci_comb *comb, int start) {
    for (int i = 0; i < comb->task_count; i++)
        take(&run->hands, start + comb->from[i], comb->length[i]);
    if (comb->station_length)
        take(&run->stations, start + comb->station_from, comb->station_length);
}

static void give_comb(pci_list_run *run, const pci_comb *comb, int start) {
    for (int i = 0; i < comb->task_count; i++)
        give(&run->hands, start + comb->from[i], comb->length[i]);
    if (comb->station_length)
        give(&run->stations, start + comb->station_from, comb->station_length);
}

/* Demolds a casting as soon as hands are free. Returns false where they are not in time. */
static bool take_demold(pci_list_run *run, pci_placed *p) {
    const pci_grid *grid = run->grid;
    int length = grid->kind[p->kind].demold, latest = pci_grid_latest(grid, p) - length;
    int cell = pci_bits_next_run(&run->hands.free, pci_grid_ready(grid, p), length);
    if (cell < 0 || cell > latest)
        return false;
    take(&run->hands, cell, length);
    p->demold = cell;
    return true;
}

/* The mold of a pool that is free first, and by when if no hands are waited for; -1: none is. */
static int first_mold(const pci_list_run *run, int pool, int *free_from) {
    const pci_grid *grid = run->grid;
    const pci_kind *owner = &grid->kind[pool];
    const pci_molds *molds = &run->molds[pool];
    int best = -1;
    *free_from = PCI_CELLS_MOST;
    for (int m = 0; m<owner->molds && * free_from> 0; m++) {
        if (molds->made[m] >= owner->life)
            continue;
        int from = 0;
        if (molds->last[m] >= 0) {
            const pci_placed *p = &run->placed[molds->last[m]];
            int out = p->demold >= 0 ? p->demold : pci_grid_ready(grid, p);
            from = out + grid->kind[p->kind].demold + owner->rest;
        }
        if (from < *free_from) {
            *free_from = from;
            best = m;
        }
    }
    return best;
}

/* That mold; a casting that waits in it is demolded for it. */
static int choose_mold(pci_list_run *run, int pool, int *free_from) {
    int mold = first_mold(run, pool, free_from);
    if (mold < 0 || run->molds[pool].last[mold] < 0)
        return mold;
    pci_placed *p = &run->placed[run->molds[pool].last[mold]];
    if (p->demold < 0 && !take_demold(run, p))
        return -1;
    *free_from = p->demold + run->grid->kind[p->kind].demold + run->grid->kind[pool].rest;
    return mold;
}

int pci_list_run_peek(const pci_list_run *run, int kind) {
    int from, slot;
    if (first_mold(run, run->grid->kind[kind].pool, &from) < 0)
        return -1;
    return pci_grid_place(run->grid, &run->hands.free, &run->stations.free, kind,
                          pci_max(from, run->from[kind]), &slot);
}

bool pci_list_run_place(pci_list_run *run, pci_next next, bool late) {
    const pci_grid *grid = run->grid;
    int k = next.kind, pool = grid->kind[k].pool, free_from;
    int mold = choose_mold(run, pool, &free_from);
    if (mold < 0)
        return false;
    pci_placed p = {.kind = k, .mold = mold};
    const pci_bits *hands = &run->hands.free, *stations = &run->stations.free;
    int from = pci_max(free_from, run->from[k]);
    p.start = pci_grid_place(grid, hands, stations, k, from, &p.slot);
    run->from[k] = p.start >= 0 && free_from <= run->from[k] ? p.start : run->from[k];
    if (p.start >= 0 && next.wait > 0)
        p.start = pci_grid_place(grid, hands, stations, k, p.start + next.wait, &p.slot);
    for (;;) {
        if (p.start < 0)
            return false;
        const pci_comb *comb = &grid->kind[k].comb[p.slot];
        take_comb(run, comb, p.start);
        p.demold = -1;
        if (late || !pci_grid_demolds(grid, &p) || take_demold(run, &p))
            break;
        give_comb(run, comb, p.start);
        if (grid->kind[k].stay != PCI_DAY_STAYS_NOT)
            return false;
        p.start =
            pci_grid_place(grid, hands, stations, k, pci_grid_next_day(grid, p.start), &p.slot);
    }
    run->molds[pool].last[mold] = (short)run->placed_count;
    run->molds[pool].made[mold]++;
    run->placed[run->placed_count++] = p;
    return true;
}

/* Demolds what is still in its mold, in the order it is ready: all take about equally long, so a
 * later one gains nothing before another. A casting whose demold fits nowhere is left out. */
static void demold_late(pci_list_run *run) {
    int waiting[PC_DAY_CASTINGS_MOST], n = 0, kept = 0;
    bool out[PC_DAY_CASTINGS_MOST] = {false};
    for (int i = 0; i < run->placed_count; i++) {
        const pci_placed *p = &run->placed[i];
        if (p->demold >= 0 || !pci_grid_demolds(run->grid, p))
            continue;
        int at = n++, ready = pci_grid_ready(run->grid, p);
        for (; at > 0 && pci_grid_ready(run->grid, &run->placed[waiting[at - 1]]) > ready; at--)
            waiting[at] = waiting[at - 1];
        waiting[at] = i;
    }
    for (int i = 0; i < n; i++)
        out[waiting[i]] = !take_demold(run, &run->placed[waiting[i]]);
    for (int i = 0; i < run->placed_count; i++)
        if (!out[i])
            run->placed[kept++] = run->placed[i];
    run->placed_count = kept;
}

static void judge(const pci_list_run *run, pci_found *found) {
    const pci_grid *grid = run->grid;
    found->count = run->placed_count;
    found->finish = found->count ? 0 : PCI_CELLS_MOST + 1;
    found->late = found->sum = 0;
    for (int i = 0; i < run->placed_count; i++) {
        int done = pci_grid_done(grid, &run->placed[i]);
        found->finish = pci_max(found->finish, done);
        found->sum += done;
        found->late += done > grid->kind[run->placed[i].kind].due;
    }
    memcpy(found->placed, run->placed, (size_t)found->count * sizeof *found->placed);
}

void pci_list_run_empty(pci_list_run *run) {
    const pci_grid *grid = run->grid;
    level_empty(&run->hands, &grid->free_hands);
    level_empty(&run->stations, &grid->free_stations);
    run->placed_count = 0;
    for (int k = 0; k < grid->kind_count; k++) {
        run->from[k] = 0;
        for (int m = 0; m < grid->kind[k].molds; m++) {
            run->molds[k].last[m] = -1;
            run->molds[k].made[m] = 0;
        }
    }
}

void pci_list_run_order(pci_list_run *run, const pci_next *order, int n, bool late,
                        pci_found *found) {
    bool full[PC_DAY_PIECES_MOST] = {false};
    pci_list_run_empty(run);
    for (int i = 0; i < n; i++)
        if (!full[order[i].kind])
            full[order[i].kind] = !pci_list_run_place(run, order[i], late);
    if (late)
        demold_late(run);
    judge(run, found);
}
