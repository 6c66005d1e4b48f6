/* SPDX-License-Identifier: GPL-3.0-or-later */
/* List schedules: castings one after the other, each at the first place it fits. */
#include <string.h>

#include "plan/day_grid.h"

enum { ORDERS = 5, EVALUATIONS = 12000 }; /* swaps tried: so many over the number of castings */

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

/* Puts one more of a kind in, as early as it fits with every demold. */
static bool place_first(pci_grid *grid, int kind) {
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
            if (pci_grid_finish(grid, NULL) >= 0)
                return true;
            pci_grid_undo(grid);
            break; /* the demolds no longer fit; later is no better */
        }
    }
    return false;
}

static void run_order(pci_grid *grid, const int *order, int n, pci_found *best) {
    bool full[PC_DAY_PIECES_MOST] = {false};
    for (int i = 0; i < n; i++)
        if (!full[order[i]])
            full[order[i]] = !place_first(grid, order[i]);
    pci_found found = {.count = grid->count};
    found.finish = pci_grid_finish(grid, found.demold);
    if (found.count > 0 && found.finish >= 0 && pci_found_better(&found, best)) {
        memcpy(found.placed, grid->placed, sizeof found.placed);
        *best = found;
    }
    while (grid->count)
        pci_grid_undo(grid);
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

void pci_day_list(pci_grid *grid, const int *wanted, pci_found *found) {
    int order[PC_DAY_CASTINGS_MOST], best_order[PC_DAY_CASTINGS_MOST], n = 0;
    *found = (pci_found){.count = 0, .finish = PCI_CELLS_MOST + 1};
    for (int rule = 0; rule < ORDERS; rule++) {
        pci_found before = *found;
        n = order_by(grid, wanted, rule, order);
        run_order(grid, order, n, found);
        if (rule == 0 || pci_found_better(found, &before))
            memcpy(best_order, order, sizeof best_order);
    }
    int bound = pci_grid_bound(grid, wanted, 0);
    uint32_t pick = 1; /* the same swaps every time */
    int tries = n > 1 ? EVALUATIONS / (n * n) : 0;
    tries = tries > 60 ? 60 : tries < 20 && n > 1 ? 20 : tries;
    for (int i = 0; i < tries && !(found->count == n && found->finish <= bound); i++) {
        memcpy(order, best_order, sizeof order);
        pick = pick * 1664525u + 1013904223u;
        int a = (int)((pick >> 8) % (uint32_t)n);
        pick = pick * 1664525u + 1013904223u;
        int b = (int)((pick >> 8) % (uint32_t)n), kept = order[a];
        if (order[a] == order[b])
            continue;
        order[a] = order[b];
        order[b] = kept;
        pci_found before = *found;
        run_order(grid, order, n, found);
        if (pci_found_better(found, &before))
            memcpy(best_order, order, sizeof best_order);
    }
}
