/* SPDX-License-Identifier: GPL-3.0-or-later */
/* List schedules: castings one after the other, each at the first place it fits. */
#include <limits.h>
#include <stdlib.h>
#include <string.h>

#include "day/day_run.h"

/* SLACK: cells. OTHER_WAY: one in this many moves also changes when castings are demolded; AGAIN:
 * of a small day, is followed by another at once. */
enum { ORDERS = 6, SMALL = 24, SLACK = 8, SLACK_LARGE = 1, ROUNDS = 6, OTHER_WAY = 8, AGAIN = 3 };
enum { WAIT, EXCHANGE, INSERT, WAYS = 3, WAYS_LARGE = 25, WAIT_MOST = 20 };
enum { NEAR = 8 }; /* of a large day two castings change places that are as near in the order */

bool pci_found_better(const pci_found *a, const pci_found *b) {
    if (a->count != b->count)
        return a->count > b->count;
    if (a->late != b->late)
        return a->late < b->late;
    return a->finish != b->finish ? a->finish < b->finish : a->sum < b->sum;
}

static int key_of(const pci_kind *kind, int rule) {
    const pci_comb *comb = &kind->comb[0];
    switch (rule) {
    case 5:
        return kind->due;
    case 0:
        return 0; /* as written */
    case 1:
        return -comb->done; /* slow to cure first */
    case 2:
        return comb->station_length + comb->hands_work; /* quick first */
    case 3:
        return -(comb->done - comb->hands_end); /* longest tail first */
    default:
        return -comb->hands_work;
    }
}

/* Castings in an order: by rule, or round and round the kinds. */
static int order_by(const pci_grid *grid, const int *wanted, int rule, pci_next *order) {
    int n = 0, left[PC_DAY_PIECES_MOST], rank[PC_DAY_PIECES_MOST], kinds = grid->kind_count;
    for (int k = 0; k < kinds; k++) {
        left[k] = wanted[k];
        int at = k;
        while (at > 0 && key_of(&grid->kind[rank[at - 1]], rule) > key_of(&grid->kind[k], rule)) {
            rank[at] = rank[at - 1];
            at--;
        }
        rank[at] = k;
    }
    for (bool more = true; more;) {
        more = false;
        for (int r = 0; r < kinds; r++) {
            int k = rank[r], many = rule == 0 && left[k] > 0 ? 1 : left[k];
            /* Rule 0 goes round the kinds; the others empty one kind after the other, as many as
             * there are molds at a time. */
            many = many > grid->kind[k].molds ? grid->kind[k].molds : many;
            for (; many > 0; many--, left[k]--)
                order[n++] = (pci_next){(short)k, 0};
            more = more || left[k] > 0;
        }
    }
    return n;
}

/* The generator xorshift64* (Marsaglia 2003, Vigna 2016; constants from memory). */
static int pick_below(uint64_t *state, int n) {
    *state ^= *state >> 12;
    *state ^= *state << 25;
    *state ^= *state >> 27;
    return (int)(((*state * UINT64_C(0x2545F4914F6CDD1D)) >> 32) * (uint64_t)n >> 32);
}

/* Exchanges two castings of an order, puts one where the other is, or has one wait. */
static bool move(pci_next *order, int n, uint64_t *pick) {
    int a = pick_below(pick, n), b = pick_below(pick, n);
    if (n > SMALL)
        b = pci_max(0, pci_min(n - 1, a - NEAR + pick_below(pick, 2 * NEAR + 1)));
    int way = pick_below(pick, n > SMALL ? WAYS_LARGE : WAYS);
    if (way != WAIT)
        way = way % 2 ? EXCHANGE : INSERT;
    pci_next kept = order[a];
    if (way == WAIT) {
        order[a].wait = (short)(kept.wait ? 0 : 1 + pick_below(pick, WAIT_MOST));
        return true;
    }
    if (a == b || (kept.kind == order[b].kind && kept.wait == order[b].wait))
        return false;
    if (way == EXCHANGE) {
        order[a] = order[b];
        order[b] = kept;
        return true;
    }
    for (int step = a < b ? 1 : -1; a != b; a += step)
        order[a] = order[a + step];
    order[b] = kept;
    return true;
}

static bool best_there_is(const pci_found *found, int n, int bound) {
    return found->count == n && found->late == 0 && found->finish <= bound;
}

/* Moves castings within an order; what is a little worse is accepted, less and less so: it leads
 * out of dead ends. Each round begins at the best order. */
static void improve(pci_list_run *run, pci_next *best_order, int n, bool best_late, int bound,
                    int effort, pci_found *found) {
    pci_next order[PC_DAY_CASTINGS_MOST], current[PC_DAY_CASTINGS_MOST];
    uint64_t pick = 1; /* the same moves every time */
    pci_found now = *found, tried;
    bool late = best_late;
    int round = n > SMALL ? effort : effort / ROUNDS + 1, most = n > SMALL ? SLACK_LARGE : SLACK;
    for (int spent = 0; spent < effort && !best_there_is(found, n, bound); spent++) {
        int into = spent % round;
        if (into == 0) {
            memcpy(current, best_order, sizeof current);
            now = *found;
            late = best_late;
        }
        memcpy(order, current, sizeof order);
        bool other = pick_below(&pick, OTHER_WAY) == 0;
        bool moved = move(order, n, &pick);
        while (n <= SMALL && pick_below(&pick, AGAIN) == 0)
            moved = move(order, n, &pick) || moved;
        if (!moved)
            continue;
        int slack = most * (round - into) / round;
        pci_list_run_order(run, order, n, late != other, &tried);
        pci_found limit = {
            .count = now.count, .late = now.late, .finish = now.finish + slack, .sum = INT_MAX};
        if (pci_found_better(&limit, &tried))
            continue;
        now = tried;
        late = late != other;
        memcpy(current, order, sizeof current);
        if (pci_found_better(&now, found)) {
            *found = now;
            memcpy(best_order, order, sizeof order);
            best_late = late;
        }
    }
}

static void try_orders(pci_list_run *run, const int *wanted, int effort, pci_found *found) {
    const pci_grid *grid = run->grid;
    pci_next order[PC_DAY_CASTINGS_MOST], best_order[PC_DAY_CASTINGS_MOST];
    int n = 0;
    bool best_late = true;
    *found = (pci_found){.count = -1};
    for (int rule = 0; rule < 2 * ORDERS; rule++) {
        pci_found tried;
        bool late = rule % 2 == 0;
        n = order_by(grid, wanted, rule / 2, order);
        pci_list_run_order(run, order, n, late, &tried);
        if (!pci_found_better(&tried, found))
            continue;
        memcpy(best_order, order, sizeof best_order);
        best_late = late;
        *found = tried;
    }
    if (n > 0)
        improve(run, best_order, n, best_late, pci_grid_bound(grid, wanted), effort, found);
}

pc_status pci_day_list(const pci_grid *grid, const int *wanted, int effort, pci_found *found) {
    pci_list_run *run = malloc(sizeof *run);
    if (!run)
        return PC_E_MEMORY;
    pci_list_run_init(run, grid);
    try_orders(run, wanted, effort, found);
    free(run);
    return PC_OK;
}
