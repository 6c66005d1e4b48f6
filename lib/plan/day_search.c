/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The best plan of a small day, by branch and bound.
 *
 * Push every job of a best plan to the left as far as it goes. Each casting and each demold then
 * stands against something on its left: the start of the day or of an hour, a break, a mold not yet
 * out, or a job that itself stands against something. Following these from the ground up gives an
 * order in which each goes to a place where it could not start a minute earlier, as far as those
 * before it in the order are concerned. So it is enough to try those places: the edges of the cells
 * where it fits. A demold is put in on its own only where the next job stands against it; all
 * others go in at the end, which is exact since they take equally long (pci_grid_finish). */
#include <stdlib.h>
#include <string.h>

#include "plan/day_grid.h"

enum { CHILDREN_MOST = 1024, SPENT_MOST = 16384 };

typedef struct child {
    int kind, slot, start; /* kind -1: slot is the casting to demold */
} child;

typedef struct search {
    pci_grid *grid;
    int left[PC_DAY_PIECES_MOST];
    int todo;
    long nodes, nodes_most;
    bool stopped;
    pci_found *best;
    child *spent;
    int spent_count;
} search;

/* Placings already tried from here or further up: every plan that holds one of them, along with all
 * that is placed now, has been seen, since placings may be made in any order. */
static bool spent(const search *s, const child *c) {
    for (int i = 0; i < s->spent_count; i++)
        if (s->spent[i].kind == c->kind && s->spent[i].start == c->start)
            return true;
    return false;
}

static void add_child(child *list, int *n, child c) {
    for (int i = 0; i < *n; i++)
        if (list[i].kind == c.kind && list[i].slot == c.slot && list[i].start == c.start)
            return;
    if (*n < CHILDREN_MOST)
        list[(*n)++] = c;
}

/* Whether a job of a comb (or the opening of its mold) begins at a cell. */
static bool begins_at(const pci_grid *grid, const child *c, int cell) {
    const pci_comb *comb = &grid->kind[c->kind].comb[c->slot];
    if (c->start - grid->demold == cell)
        return true;
    for (int i = 0; i < comb->task_count; i++)
        if (c->start + comb->from[i] == cell)
            return true;
    return false;
}

static void castings_of_kind(const search *s, int kind, int must, child *list, int *n) {
    const pci_grid *grid = s->grid;
    for (int slot = 0; slot < grid->kind[kind].slots; slot++) {
        int first = slot * PCI_SLOT_CELLS;
        for (int reuse = 0; reuse <= 1; reuse++) {
            pci_bits starts;
            pci_grid_starts(grid, kind, slot, reuse, &starts);
            for (int t = pci_bits_next(&starts, 0); t >= 0; t = pci_bits_next(&starts, t + 1)) {
                bool edge = t == first || !pci_bits_get(&starts, t - 1);
                child c = {kind, slot, t};
                for (int i = 0; !edge && i < grid->count; i++) {
                    const pci_placed *p = &grid->placed[i];
                    edge = p->kind == kind &&
                           p->start + grid->kind[kind].comb[p->slot].ready + grid->demold == t;
                }
                if (edge && (must < 0 || begins_at(grid, &c, must)))
                    add_child(list, n, c);
            }
            if (grid->kind[kind].overnight)
                break;
        }
    }
}

static void demolds(const search *s, int must, child *list, int *n) {
    const pci_grid *grid = s->grid;
    pci_bits run;
    pci_bits_run(&grid->free_hands, grid->demold, &run);
    for (int i = 0; i < grid->count; i++) {
        const pci_placed *p = &grid->placed[i];
        const pci_kind *kind = &grid->kind[p->kind];
        if (kind->overnight || p->demold >= 0)
            continue;
        int ready = p->start + kind->comb[p->slot].ready;
        for (int t = pci_bits_next(&run, ready); t >= 0; t = pci_bits_next(&run, t + 1))
            if ((t == ready || !pci_bits_get(&run, t - 1)) && (must < 0 || t == must))
                add_child(list, n, (child){-1, i, t});
    }
}

static int by_start(const void *a, const void *b) {
    const child *x = a, *y = b;
    int demold = (x->kind < 0) - (y->kind < 0); /* castings before demolds */
    if (demold)
        return demold;
    return x->start != y->start ? x->start - y->start : x->kind - y->kind;
}

static void leaf(search *s) {
    int demold[PC_DAY_CASTINGS_MOST], finish = pci_grid_finish(s->grid, demold);
    if (finish < 0 || finish >= s->best->finish)
        return;
    s->best->count = s->grid->count;
    s->best->finish = finish;
    memcpy(s->best->placed, s->grid->placed, sizeof s->best->placed);
    memcpy(s->best->demold, demold, sizeof demold);
}

static void descend(search *s, int must);

static void try_child(search *s, const child *c) {
    pci_grid *grid = s->grid;
    if (c->kind < 0) {
        if (c->start + grid->demold >= s->best->finish || !pci_grid_demold(grid, c->slot, c->start))
            return;
        descend(s, c->start + grid->demold);
        pci_grid_undo_demold(grid, c->slot);
        return;
    }
    if (c->start + grid->kind[c->kind].comb[c->slot].done >= s->best->finish ||
        !pci_grid_place(grid, c->kind, c->slot, c->start))
        return;
    s->left[c->kind]--;
    s->todo--;
    descend(s, -1);
    s->left[c->kind]++;
    s->todo++;
    pci_grid_undo(grid);
}

static void descend(search *s, int must) {
    if (s->stopped)
        return;
    if (++s->nodes > s->nodes_most) {
        s->stopped = true;
        return;
    }
    if (s->todo == 0) {
        leaf(s);
        return;
    }
    if (pci_grid_bound(s->grid, s->left) >= s->best->finish)
        return;
    child *list = malloc(CHILDREN_MOST * sizeof *list);
    if (!list) {
        s->stopped = true;
        return;
    }
    int n = 0;
    for (int k = 0; k < s->grid->kind_count; k++)
        if (s->left[k] > 0)
            castings_of_kind(s, k, must, list, &n);
    demolds(s, must, list, &n);
    s->stopped = s->stopped || n == CHILDREN_MOST;
    qsort(list, (size_t)n, sizeof *list, by_start);
    int spent_before = s->spent_count;
    for (int i = 0; i < n && !s->stopped; i++) {
        if (list[i].kind >= 0 && spent(s, &list[i]))
            continue;
        try_child(s, &list[i]);
        if (list[i].kind >= 0 && s->spent_count < SPENT_MOST)
            s->spent[s->spent_count++] = list[i];
    }
    s->spent_count = spent_before;
    free(list);
}

bool pci_day_search(pci_grid *grid, const int *wanted, long nodes_most, pci_found *found,
                    long *nodes) {
    search s = {.grid = grid, .nodes_most = nodes_most, .best = found};
    s.spent = malloc(SPENT_MOST * sizeof *s.spent);
    if (!s.spent)
        return false;
    for (int k = 0; k < grid->kind_count; k++) {
        s.left[k] = wanted[k];
        s.todo += wanted[k];
    }
    descend(&s, -1);
    free(s.spent);
    *nodes += s.nodes;
    return !s.stopped;
}
