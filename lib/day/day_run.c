/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "day/day_run.h"

#include <string.h>

static void level_init(pci_level *level, int most, const pci_bits *free) {
    memset(level, 0, sizeof *level);
    level->most = most;
    while (most >> level->digits)
        level->digits++;
    level->free = *free;
}

void pci_list_run_init(pci_list_run *run, const pci_grid *grid) {
    run->grid = grid;
    level_init(&run->no_hands, grid->hands, &grid->free_hands);
    level_init(&run->no_stations, grid->stations, &grid->free_stations);
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

/* Cells at which a casting of a comb may start, of the 64 from a cell on. The machine first: it is
 * what rules out most. */
static uint64_t starts_word(const pci_list_run *run, const pci_comb *comb, int cell, bool reuse) {
    const pci_bits *hands = &run->hands.free;
    int demold = run->grid->demold;
    uint64_t starts = ~UINT64_C(0);
    if (comb->station_length)
        starts &=
            pci_bits_run_word(&run->stations.free, cell + comb->station_from, comb->station_length);
    if (starts && reuse)
        starts &= pci_bits_run_word(hands, cell - demold, demold);
    for (int i = 0; starts && i < comb->task_count; i++)
        starts &= pci_bits_run_word(hands, cell + comb->from[i], comb->length[i]);
    return starts;
}

/* First such cell from `from` on, before `until`; -1: none. */
static int first_start(const pci_list_run *run, const pci_comb *comb, int from, int until,
                       bool reuse) {
    for (int cell = from; cell < until; cell += 64) {
        uint64_t starts = starts_word(run, comb, cell, reuse);
        if (!starts)
            continue;
        int start = cell + pci_word_lowest(starts);
        return start < until ? start : -1;
    }
    return -1;
}

/* First place of a kind at or after a cell; -1: none. */
static int first_place(const pci_list_run *run, int k, int from, bool reuse, int *slot) {
    const pci_grid *grid = run->grid;
    const pci_kind *kind = &grid->kind[k];
    for (int s = pci_slot_at(kind, from); s < kind->slots; s++) {
        const pci_comb *comb = &kind->comb[s];
        if (!comb->feasible)
            continue;
        int last = grid->cells - comb->done; /* everything of it within the day */
        int until = pci_min(last + 1, pci_slot_until(kind, s));
        int start = first_start(run, comb, pci_max(from, pci_slot_from(s)), until, reuse);
        *slot = s;
        if (start >= 0)
            return start;
    }
    return -1;
}

/* First cell from one on where hands are free to demold, and they are taken; -1: none. */
static int take_demold(pci_list_run *run, int from) {
    int demold = run->grid->demold;
    for (int cell = from; cell < run->grid->cells; cell += 64) {
        uint64_t starts = pci_bits_run_word(&run->hands.free, cell, demold);
        if (!starts)
            continue;
        cell += pci_word_lowest(starts);
        take(&run->hands, cell, demold);
        return cell;
    }
    return -1;
}

static int ready_of(const pci_list_run *run, int index) {
    const pci_placed *p = &run->placed[index];
    return p->start + run->grid->kind[p->kind].comb[p->slot].ready;
}

static void take_comb(pci_list_run *run, const pci_comb *comb, int start, bool reuse) {
    for (int i = 0; i < comb->task_count; i++)
        take(&run->hands, start + comb->from[i], comb->length[i]);
    if (comb->station_length)
        take(&run->stations, start + comb->station_from, comb->station_length);
    if (reuse)
        take(&run->hands, start - run->grid->demold, run->grid->demold);
}

static void give_comb(pci_list_run *run, const pci_comb *comb, int start, bool reuse) {
    for (int i = 0; i < comb->task_count; i++)
        give(&run->hands, start + comb->from[i], comb->length[i]);
    if (comb->station_length)
        give(&run->stations, start + comb->station_from, comb->station_length);
    if (reuse)
        give(&run->hands, start - run->grid->demold, run->grid->demold);
}

/* Places one of a kind at or after a cell, its demold too unless that comes late. */
static bool place_from(pci_list_run *run, pci_next next, int from, bool reuse, bool late) {
    int k = next.kind;
    const pci_kind *kind = &run->grid->kind[k];
    int slot, start = first_place(run, k, from, reuse, &slot), index = run->placed_count;
    if (start >= 0 && next.wait > 0)
        start = first_place(run, k, start + next.wait, reuse, &slot);
    if (start < 0)
        return false;
    const pci_comb *comb = &kind->comb[slot];
    take_comb(run, comb, start, reuse);
    run->demold[index] = -1;
    if (!late && !kind->overnight) {
        run->demold[index] = take_demold(run, start + comb->ready);
        if (run->demold[index] < 0) {
            give_comb(run, comb, start, reuse);
            return false;
        }
    }
    run->placed[run->placed_count++] = (pci_placed){k, slot, start};
    run->of[k][run->count[k]++] = index;
    run->last[k] = start;
    return true;
}

/* Places one more of a kind. Behind its molds it is poured where the molds-th from the last was,
 * which is opened right before, and not where its demold stood so far. */
static bool place(pci_list_run *run, pci_next next, bool late) {
    const pci_grid *grid = run->grid;
    int k = next.kind;
    const pci_kind *kind = &grid->kind[k];
    int n = run->count[k];
    if (n < kind->molds)
        return place_from(run, next, run->last[k], false, late);
    if (kind->overnight)
        return false;
    int before = run->of[k][n - kind->molds], demold = run->demold[before];
    if (demold >= 0)
        give(&run->hands, demold, grid->demold);
    int from = pci_max(run->last[k], ready_of(run, before) + grid->demold);
    if (place_from(run, next, from, true, late)) {
        run->demold[before] = -1;
        return true;
    }
    if (demold >= 0)
        take(&run->hands, demold, grid->demold);
    return false;
}

/* Castings that are the last of their mold, in the order they are ready. */
static int last_of_molds(const pci_list_run *run, int *waiting) {
    int n = 0;
    for (int k = 0; k < run->grid->kind_count; k++) {
        const pci_kind *kind = &run->grid->kind[k];
        for (int i = pci_max(0, run->count[k] - kind->molds); i < run->count[k]; i++) {
            int index = run->of[k][i], at = n;
            if (kind->overnight)
                break;
            for (n++; at > 0 && ready_of(run, waiting[at - 1]) > ready_of(run, index); at--)
                waiting[at] = waiting[at - 1];
            waiting[at] = index;
        }
    }
    return n;
}

/* Its mold was opened for a casting that is not made after all. */
static void open_for_nothing(pci_list_run *run, int index) {
    const pci_placed *p = &run->placed[index];
    int molds = run->grid->kind[p->kind].molds;
    for (int i = molds; i < run->count[p->kind]; i++)
        if (run->of[p->kind][i] == index)
            run->demold[run->of[p->kind][i - molds]] = p->start - run->grid->demold;
}

/* Demolds them. A casting whose demold fits nowhere is left out. */
static void demold_late(pci_list_run *run) {
    int waiting[PC_DAY_CASTINGS_MOST], from = 0, kept = 0;
    bool out[PC_DAY_CASTINGS_MOST] = {false};
    int n = last_of_molds(run, waiting);
    for (int i = 0; i < n; i++) {
        /* Equally long: a later one in this order gains nothing before it. */
        int cell = take_demold(run, pci_max(from, ready_of(run, waiting[i])));
        run->demold[waiting[i]] = cell;
        out[waiting[i]] = cell < 0;
        from = cell < 0 ? from : cell;
    }
    for (int i = 0; i < run->placed_count; i++)
        if (out[i])
            open_for_nothing(run, i);
    for (int i = 0; i < run->placed_count; i++)
        if (!out[i]) {
            run->placed[kept] = run->placed[i];
            run->demold[kept++] = run->demold[i];
        }
    run->placed_count = kept;
}

static int finish_of(const pci_list_run *run) {
    int finish = 0;
    for (int i = 0; i < run->placed_count; i++) {
        const pci_placed *p = &run->placed[i];
        const pci_kind *kind = &run->grid->kind[p->kind];
        finish = pci_max(finish, kind->overnight ? p->start + kind->comb[p->slot].done
                                                 : run->demold[i] + run->grid->demold);
    }
    return finish;
}

void pci_list_run_order(pci_list_run *run, const pci_next *order, int n, bool late,
                        pci_found *found) {
    bool full[PC_DAY_PIECES_MOST] = {false};
    run->hands = run->no_hands;
    run->stations = run->no_stations;
    run->placed_count = 0;
    memset(run->count, 0, sizeof run->count);
    memset(run->last, 0, sizeof run->last);
    for (int i = 0; i < n; i++)
        if (!full[order[i].kind])
            full[order[i].kind] = !place(run, order[i], late);
    if (late)
        demold_late(run);
    found->count = run->placed_count;
    found->finish = found->count ? finish_of(run) : PCI_CELLS_MOST + 1;
    memcpy(found->placed, run->placed, (size_t)found->count * sizeof *found->placed);
    memcpy(found->demold, run->demold, (size_t)found->count * sizeof *found->demold);
}
