/* SPDX-License-Identifier: GPL-3.0-or-later */
/* List schedules: castings one after the other, each at the first place it fits. */
#include <string.h>

#include "day/day_run.h"

/* SLACK: cells. OTHER_WAY: one in so many moves also changes when castings are demolded. */
enum { ORDERS = 5, SLACK = 3, OTHER_WAY = 8 };

bool pci_found_better(const pci_found *a, const pci_found *b) {
    return a->count != b->count ? a->count > b->count : a->finish < b->finish;
}

static int key_of(const pci_kind *kind, int rule) {
    const pci_comb *comb = &kind->comb[0];
    switch (rule) {
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
static int order_by(const pci_grid *grid, const int *wanted, int rule, int *order) {
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
                order[n++] = k;
            more = more || left[k] > 0;
        }
    }
    return n;
}

static int pick_below(uint32_t *state, int n) {
    *state = *state * 1664525u + 1013904223u;
    return (int)((*state >> 8) % (uint32_t)n);
}

/* Exchanges two castings of an order, or puts one where the other is. */
static bool move(int *order, int a, int b, bool insert) {
    int kept = order[a];
    if (a == b || kept == order[b])
        return false;
    if (!insert) {
        order[a] = order[b];
        order[b] = kept;
        return true;
    }
    for (int step = a < b ? 1 : -1; a != b; a += step)
        order[a] = order[a + step];
    order[b] = kept;
    return true;
}

/* Moves castings within an order; what is a little worse is taken, less and less so: it leads out
 * of dead ends. */
static void improve(pci_list_run *run, const int *best_order, int n, bool late, int effort,
                    pci_found *found) {
    int order[PC_DAY_CASTINGS_MOST], current[PC_DAY_CASTINGS_MOST];
    uint32_t pick = 1; /* the same moves every time */
    pci_found now = *found, tried;
    memcpy(current, best_order, sizeof current);
    int wanted[PC_DAY_PIECES_MOST] = {0};
    for (int i = 0; i < n; i++)
        wanted[best_order[i]]++;
    int bound = pci_grid_bound(run->grid, wanted, 0);
    for (int spent = 0; spent < effort && !(found->count == n && found->finish <= bound); spent++) {
        memcpy(order, current, sizeof order);
        int a = pick_below(&pick, n), b = pick_below(&pick, n);
        bool other = pick_below(&pick, OTHER_WAY) == 0;
        if (!move(order, a, b, pick_below(&pick, 2)))
            continue;
        int slack = SLACK * (effort - spent) / effort;
        pci_list_run_order(run, order, n, late != other, &tried);
        if (tried.count < now.count ||
            (tried.count == now.count && tried.finish > now.finish + slack))
            continue;
        now = tried;
        late = late != other;
        memcpy(current, order, sizeof current);
        if (pci_found_better(&now, found))
            *found = now;
    }
}

void pci_day_list(const pci_grid *grid, const int *wanted, int effort, pci_found *found) {
    int order[PC_DAY_CASTINGS_MOST], best_order[PC_DAY_CASTINGS_MOST], n = 0;
    bool best_late = true;
    pci_list_run run;
    pci_list_run_init(&run, grid);
    *found = (pci_found){.count = -1};
    for (int rule = 0; rule < 2 * ORDERS; rule++) {
        pci_found tried;
        bool late = rule % 2 == 0;
        n = order_by(grid, wanted, rule / 2, order);
        pci_list_run_order(&run, order, n, late, &tried);
        if (!pci_found_better(&tried, found))
            continue;
        memcpy(best_order, order, sizeof best_order);
        best_late = late;
        *found = tried;
    }
    if (n > 1)
        improve(&run, best_order, n, best_late, effort, found);
}
