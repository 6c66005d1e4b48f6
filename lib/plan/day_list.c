/* SPDX-License-Identifier: GPL-3.0-or-later */
/* List schedules: castings one after the other, each at the first place it fits. */
#include <string.h>

#include "plan/day_grid.h"

enum { ORDERS = 5, SLACK = 3, CAREFUL = 10 }; /* cells; runs that one careful run costs */

bool pci_found_better(const pci_found *a, const pci_found *b) {
    return a->count != b->count ? a->count > b->count : a->finish < b->finish;
}

static int reuse_from(const pci_grid *grid, int kind) {
    const pci_kind *of = &grid->kind[kind];
    int start[PC_DAY_CASTINGS_MOST], n = 0;
    for (int i = 0; i < grid->count; i++)
        if (grid->placed[i].kind == kind)
            start[n++] = grid->placed[i].start + of->comb[grid->placed[i].slot].ready;
    /* Placed in the order of their starts: the mold that is out first is the molds-th from last. */
    return n < of->molds ? -1 : start[n - of->molds] + grid->demold;
}

/* Puts one more of a kind in, as early as it fits; careful: with every demold. */
static bool place_first(pci_grid *grid, int kind, bool careful) {
    int from = reuse_from(grid, kind);
    bool reuse = from >= 0;
    if (reuse && grid->kind[kind].overnight)
        return false;
    for (int s = 0; s < grid->kind[kind].slots; s++) {
        pci_bits starts;
        pci_grid_starts(grid, kind, s, reuse, &starts);
        for (int t = pci_bits_next(&starts, from); t >= 0; t = pci_bits_next(&starts, t + 1)) {
            if (!pci_grid_place(grid, kind, s, t))
                continue;
            if (!careful || pci_grid_finish(grid, NULL) >= 0)
                return true;
            pci_grid_undo(grid);
            break; /* the demolds no longer fit; later is no better */
        }
    }
    return false;
}

static void run(pci_grid *grid, const int *order, int n, bool careful, pci_found *best) {
    bool full[PC_DAY_PIECES_MOST] = {false};
    for (int i = 0; i < n; i++)
        if (!full[order[i]])
            full[order[i]] = !place_first(grid, order[i], careful);
    pci_found found = {.count = grid->count};
    found.finish = pci_grid_finish(grid, found.demold);
    if (found.count > 0 && found.finish >= 0 && pci_found_better(&found, best)) {
        memcpy(found.placed, grid->placed, sizeof found.placed);
        *best = found;
    }
    while (grid->count)
        pci_grid_undo(grid);
}

/* Looking at the demolds at every step is slow: only where the day is too full without. Returns the
 * runs it cost. */
static int run_order(pci_grid *grid, const int *order, int n, pci_found *best) {
    pci_found before = *best;
    run(grid, order, n, false, best);
    if (best->count == n || before.count == n)
        return 1;
    run(grid, order, n, true, best);
    return 1 + CAREFUL;
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
static void improve(pci_grid *grid, const int *best_order, int n, int effort, pci_found *found) {
    int order[PC_DAY_CASTINGS_MOST], current[PC_DAY_CASTINGS_MOST];
    uint32_t pick = 1; /* the same moves every time */
    pci_found now = *found;
    memcpy(current, best_order, sizeof current);
    int wanted[PC_DAY_PIECES_MOST] = {0};
    for (int i = 0; i < n; i++)
        wanted[best_order[i]]++;
    int bound = pci_grid_bound(grid, wanted, 0);
    for (int spent = 0; spent < effort && !(found->count == n && found->finish <= bound); spent++) {
        memcpy(order, current, sizeof order);
        int a = pick_below(&pick, n), b = pick_below(&pick, n);
        if (!move(order, a, b, pick_below(&pick, 2)))
            continue;
        pci_found tried = {.count = 0, .finish = PCI_CELLS_MOST + 1};
        int slack = SLACK * (effort - spent) / effort;
        spent += run_order(grid, order, n, &tried) - 1;
        if (tried.count < now.count ||
            (tried.count == now.count && tried.finish > now.finish + slack))
            continue;
        now = tried;
        memcpy(current, order, sizeof current);
        if (pci_found_better(&now, found))
            *found = now;
    }
}

void pci_day_list(pci_grid *grid, const int *wanted, int effort, pci_found *found) {
    int order[PC_DAY_CASTINGS_MOST], best_order[PC_DAY_CASTINGS_MOST], n = 0;
    *found = (pci_found){.count = 0, .finish = PCI_CELLS_MOST + 1};
    for (int rule = 0; rule < ORDERS; rule++) {
        pci_found before = *found;
        n = order_by(grid, wanted, rule, order);
        run_order(grid, order, n, found);
        if (rule == 0 || pci_found_better(found, &before))
            memcpy(best_order, order, sizeof best_order);
    }
    if (n > 1)
        improve(grid, best_order, n, effort, found);
}
