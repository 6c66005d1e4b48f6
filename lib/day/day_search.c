/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The best plan of a small day: one that is over sooner is asked for until there is none.
 *
 * Learning from conflicts (day_puzzle.c) sees at once that long cures and long jobs do not go
 * together; that many short ones do not all fit it learns slowly. Branch and bound (day_branch.c)
 * is quick at the latter. Where the first has not ended soon the second is tried. */
#include <string.h>

#include "day/day_machines.h"
#include "day/day_puzzle.h"

enum {
    STEPS_FIRST = 8000000, /* till branch and bound is tried */
    STEPS_A_NODE = 400     /* what a node of it takes, about */
};

typedef struct search {
    pci_grid *grid;
    pci_puzzle *puzzle;
    int asked, floor; /* castings in all; cell before which they are not done */
    int limit;        /* cell by which a better plan is over */
    pci_found *found;
} search;

/* Demolds a plan's castings as early as can be. Returns its finish, as pci_grid_finish does. */
static int finish_of(pci_grid *grid, const pci_placed *placed, int count, int *demold) {
    for (int i = 0; i < count; i++)
        pci_grid_put_in(grid, placed[i].kind, placed[i].slot, placed[i].start,
                        pci_grid_reuses(grid, placed, i));
    int finish = pci_grid_finish(grid, demold);
    for (int i = count - 1; i >= 0; i--)
        pci_grid_take_out(grid, pci_grid_reuses(grid, placed, i));
    return finish;
}

/* Asks for better plans, until there is none: PCI_CLAUSES_CLASH. */
static pci_verdict improve(search *s, long steps_most, long *steps) {
    for (;;) {
        pci_found next;
        pci_verdict verdict =
            pci_puzzle_solve(s->puzzle, steps_most - *steps, steps, next.placed, &next.count);
        if (verdict != PCI_CLAUSES_HOLD)
            return verdict;
        next.finish = finish_of(s->grid, next.placed, next.count, next.demold);
        if (next.finish < 0 || next.finish > s->limit)
            return PCI_CLAUSES_OPEN; /* never, were the clauses right */
        *s->found = next;
        if (next.count == s->asked && next.finish <= s->floor)
            return PCI_CLAUSES_CLASH;
        s->limit = next.finish - 1;
        pci_puzzle_limit(s->puzzle, s->limit);
    }
}

/* Branch and bound for all castings. It is told the limit alone: a plan of fewer castings, which
 * may be over sooner, is none to beat. Returns true where it came to its end. */
static bool branch(search *s, const int *wanted, long nodes_most) {
    pci_found all = {.finish = s->limit + 1};
    bool ended = pci_day_branch(s->grid, wanted, nodes_most, &all);
    if (all.count == s->asked) {
        *s->found = all;
        s->limit = all.finish - 1;
        pci_puzzle_limit(s->puzzle, s->limit);
    }
    return ended;
}

static pci_verdict two_ways(search *s, const int *wanted, int count, long steps_most, long *steps) {
    long first = steps_most - *steps > STEPS_FIRST ? *steps + STEPS_FIRST : steps_most;
    pci_verdict verdict = improve(s, first, steps);
    if (verdict != PCI_CLAUSES_OPEN)
        return verdict;
    bool branches = count == s->asked && count <= PCI_BRANCH_MOST && pci_day_branches(s->grid);
    if (branches && branch(s, wanted, (steps_most - *steps) / STEPS_A_NODE))
        return PCI_CLAUSES_CLASH;
    return improve(s, steps_most, steps);
}

static int floor_of(const pci_grid *grid, const int *wanted, int asked, int high) {
    int low = pci_grid_bound(grid, wanted, 0);
    pci_machines machines;
    if (asked > PCI_BRANCH_MOST || low > high)
        return low;
    pci_machines_init(&machines, grid, wanted);
    return pci_machines_floor(&machines, grid, wanted, low, high);
}

bool pci_day_search(pci_grid *grid, const int *wanted, int count, long steps_most, pci_found *found,
                    long *steps) {
    search s = {.grid = grid, .found = found};
    for (int k = 0; k < grid->kind_count; k++)
        s.asked += wanted[k];
    bool any = found->count < count; /* any plan of so many is better */
    s.limit = any ? grid->cells : found->finish - 1;
    s.floor = floor_of(grid, wanted, s.asked, s.limit + 1);
    if (count == s.asked && s.floor > s.limit)
        return true;
    s.puzzle = pci_puzzle_new(grid, wanted, count, s.limit);
    pci_verdict verdict =
        s.puzzle ? two_ways(&s, wanted, count, steps_most, steps) : PCI_CLAUSES_MEMORY;
    pci_puzzle_free(s.puzzle);
    return verdict == PCI_CLAUSES_CLASH;
}
