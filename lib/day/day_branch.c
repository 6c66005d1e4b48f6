/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The best plan of a small day with one pair of hands, by branch and bound.
 *
 * Castings are placed in the order of their starts, so that a set of starts is met once; the
 * demolds go in at the end, which is exact since they take equally long (pci_grid_finish). Of the
 * best plans there is one with the least sum of starts. In it no casting can start a minute
 * earlier: each stands against something on its left. A casting that is placed where it still could
 * waits for a later one or a demold to stand there; when none can come any more, the branch is
 * left. */
#include <stdlib.h>
#include <string.h>

#include "day/day_ahead.h"
#include "day/day_machines.h"

enum { LIST_MOST = PCI_BRANCH_MOST * PCI_CELLS_MOST };

typedef struct child {
    int kind, start;
    bool reuse; /* its mold is opened before */
    bool waits; /* could start earlier */
} child;

typedef struct branch_search {
    pci_grid *grid;
    pci_ahead *ahead;
    pci_machines machines;
    pci_bits *meets; /* [a][b] */
    int wanted[PC_DAY_PIECES_MOST], left[PC_DAY_PIECES_MOST];
    int todo, demolds; /* castings to place; demolds in the end */
    int limit;         /* cell before which a better plan is done */
    int floor;         /* cell before which none is */
    long nodes, nodes_most;
    bool stopped, reached; /* reached: the floor */
    pci_found *best;
    int waiting[PCI_BRANCH_MOST], waiting_count; /* castings that could start earlier */
    child *list[PCI_BRANCH_MOST];                /* of each depth */
} branch_search;

static void leaf(branch_search *s) {
    int demold[PC_DAY_CASTINGS_MOST], finish = pci_grid_finish(s->grid, demold);
    if (finish < 0 || finish >= s->limit)
        return;
    s->limit = finish;
    s->reached = finish <= s->floor;
    s->stopped = s->stopped || s->reached;
    s->best->count = s->grid->count;
    s->best->finish = finish;
    memcpy(s->best->placed, s->grid->placed, sizeof s->best->placed);
    memcpy(s->best->demold, demold, sizeof demold);
}

/* Castings placed whose mold is not poured again, by the cell they are ready. */
static int demolds_placed(const branch_search *s, int *ready) {
    const pci_grid *grid = s->grid;
    int n = 0, rank[PC_DAY_PIECES_MOST] = {0};
    for (int i = 0; i < grid->count; i++) {
        int k = grid->placed[i].kind;
        const pci_kind *kind = &grid->kind[k];
        if (kind->overnight || rank[k]++ < s->wanted[k] - kind->molds)
            continue;
        int cell = pci_grid_ready(grid, i), at = n++;
        for (; at > 0 && ready[at - 1] > cell; at--)
            ready[at] = ready[at - 1];
        ready[at] = cell;
    }
    return n;
}

/* A node: the last casting placed, what may follow, and the demolds of those placed. */
typedef struct node {
    const child *last;
    child *list;
    int count;
    int soonest;                         /* ready, of those to come; cells from the start */
    int waiting, ready[PCI_BRANCH_MOST]; /* castings to demold, by the cell they are ready */
    int begin[PCI_BRANCH_MOST];          /* of their demolds, were no casting to come */
    int16_t slots[PCI_CELLS_MOST + 1];   /* room for demolds, from a cell on to the limit */
} node;

/* Where these demolds begin at the earliest, were no casting to come. */
static void demolds_begin(const branch_search *s, node *at) {
    int from = 0;
    pci_bits run;
    pci_bits_run(&s->grid->free_hands, s->grid->demold, &run);
    for (int i = 0; i < at->waiting; i++) {
        int cell = pci_bits_next(&run, pci_max(at->ready[i], from));
        at->begin[i] = cell < 0 ? PCI_CELLS_MOST : cell;
        from = at->begin[i] + s->grid->demold;
    }
}

/* Of the castings to come, the one that is ready first after its start. */
static int soonest(const branch_search *s) {
    int cells = PCI_CELLS_MOST;
    for (int k = 0; k < s->grid->kind_count; k++)
        if (s->left[k] && !s->grid->kind[k].overnight)
            cells = pci_min(cells, s->grid->kind[k].least.ready);
    return cells;
}

/* First cell at which a casting can be demolded: one placed, or one to come. */
static int first_ready(const branch_search *s) {
    const pci_grid *grid = s->grid;
    int ready[PC_DAY_CASTINGS_MOST], first = grid->placed[grid->count - 1].start + soonest(s);
    return demolds_placed(s, ready) > 0 ? pci_min(first, ready[0]) : first;
}

/* Whether a demold may end at a cell. */
static bool demold_may_end(const branch_search *s, int first, int cell) {
    const pci_grid *grid = s->grid;
    int from = cell - grid->demold;
    return first <= from && pci_bits_run_word(&grid->free_hands, from, grid->demold) & 1;
}

/* The same for the jobs of a casting placed, with the opening of its mold. */
static bool demold_may_stand(const branch_search *s, int index, int first) {
    const pci_grid *grid = s->grid;
    const pci_placed *p = &grid->placed[index];
    const pci_comb *comb = &grid->kind[p->kind].comb[0];
    for (int i = comb->task_count - 1; i >= 0; i--)
        if (demold_may_end(s, first, p->start + comb->from[i]))
            return true;
    bool opened = pci_grid_reuses(grid, grid->placed, index);
    return opened && demold_may_end(s, first, p->start - grid->demold);
}

/* Whether a casting placed cannot start a cell earlier, or something may yet come to stand there.
 */
static bool stands(const branch_search *s, int index, int first) {
    const pci_grid *grid = s->grid;
    const pci_placed *p = &grid->placed[index];
    const pci_comb *comb = &grid->kind[p->kind].comb[0];
    int now = grid->placed[grid->count - 1].start;
    int machine = comb->station_length ? p->start + comb->station_from - 1 : -1;
    if (s->todo && machine >= now)
        return true;
    for (int k = 0; k < grid->kind_count; k++)
        if (s->left[k] &&
            pci_bits_next(&s->meets[p->kind * grid->kind_count + k], now - p->start) >= 0)
            return true;
    for (int i = 0; i < comb->task_count; i++)
        if (!pci_bits_get(&grid->free_hands, p->start + comb->from[i] - 1))
            return true;
    if (machine >= 0 && !pci_bits_get(&grid->free_stations, machine))
        return true;
    return demold_may_stand(s, index, first);
}

/* How much later a casting of b starts than one of a when it lets go of hands right before a job of
 * a. */
static void meet(const pci_comb *a, const pci_comb *b, bool reuse, pci_bits *gaps) {
    pci_bits_init(gaps, PCI_CELLS_MOST);
    for (int i = 0; i < a->task_count; i++) {
        for (int j = 0; j < b->task_count; j++)
            pci_bits_fill(gaps, a->from[i] - b->from[j] - b->length[j], 1, true);
        if (reuse) /* its mold is opened there */
            pci_bits_fill(gaps, a->from[i], 1, true);
    }
}

static pci_bits *meeting(const pci_grid *grid, const int *wanted) {
    int kinds = grid->kind_count;
    pci_bits *meets = malloc((size_t)(kinds * kinds) * sizeof *meets);
    for (int a = 0; meets && a < kinds; a++)
        for (int b = 0; b < kinds; b++)
            meet(&grid->kind[a].comb[0], &grid->kind[b].comb[0], wanted[b] > grid->kind[b].molds,
                 &meets[a * kinds + b]);
    return meets;
}

static bool all_stand(const branch_search *s) {
    int first = s->waiting_count ? first_ready(s) : 0;
    for (int i = 0; i < s->waiting_count; i++)
        if (!stands(s, s->waiting[i], first))
            return false;
    return true;
}

/* Cell at which the mold of the next casting of a kind has been opened, or -1: a fresh one. */
static int mold_open(const branch_search *s, int kind) {
    const pci_grid *grid = s->grid;
    const pci_kind *of = &grid->kind[kind];
    int rank = s->wanted[kind] - s->left[kind] - of->molds;
    if (of->overnight || rank < 0)
        return -1;
    for (int i = 0; i < grid->count; i++)
        if (grid->placed[i].kind == kind && rank-- == 0)
            return pci_grid_ready(grid, i) + grid->demold;
    return -1;
}

static int by_start(const void *a, const void *b) {
    const child *x = a, *y = b;
    return x->start != y->start ? x->start - y->start : x->kind - y->kind;
}

/* Whether a child cannot lead to a better plan, as far as the castings ahead of it tell: those
 * left, the child taken off. */
static bool hopeless(branch_search *s, const node *at, const child *c, int set) {
    const pci_grid *grid = s->grid;
    pci_ahead_last last = {.set = set, .before = -1, .last = c->kind, .start = c->start};
    if (!pci_ahead_knows_hands(s->ahead))
        return false;
    if (grid->count) {
        last.before = at->last->kind;
        last.gap = c->start - at->last->start;
    }
    last.demolds = s->demolds;
    while (last.out < at->waiting && at->begin[last.out] + grid->demold <= c->start)
        last.out++;
    last.quiet = pci_min(at->soonest, grid->kind[c->kind].least.ready);
    if (last.out < at->waiting)
        last.quiet = pci_min(last.quiet, at->ready[last.out] - c->start);
    return pci_ahead_hands(s->ahead, s->left, &last) >= s->limit;
}

/* Adds where castings of a kind may go next. Returns false: they fit nowhere any more, now or after
 * others, within a better plan. (One at the last start, of a kind that should have come before, is
 * met on another branch.) */
static bool children_of(branch_search *s, int k, node *at) {
    const pci_grid *grid = s->grid;
    const pci_kind *kind = &grid->kind[k];
    int open = mold_open(s, k), from = open > at->last->start ? open : at->last->start;
    int rounds = (s->left[k] + kind->molds - 1) / kind->molds - 1;
    int after = kind->overnight ? 0 : rounds * (kind->least.ready + grid->demold);
    bool fits = false;
    s->left[k]--;
    int set = pci_ahead_set(s->ahead, s->left);
    pci_bits starts;
    pci_grid_starts(grid, k, 0, open >= 0, &starts);
    int until = s->limit - after - kind->comb[0].done;
    for (int t = pci_bits_next(&starts, from); t >= 0 && t < until;
         t = pci_bits_next(&starts, t + 1)) {
        bool edge = t == open || !pci_bits_get(&starts, t - 1);
        child c = {k, t, open >= 0, !edge};
        if (t == at->last->start && k < at->last->kind)
            continue;
        fits = true;
        if (at->count < LIST_MOST && !hopeless(s, at, &c, set))
            at->list[at->count++] = c;
    }
    s->left[k]++;
    return fits;
}

static bool children(branch_search *s, node *at) {
    for (int k = 0; k < s->grid->kind_count; k++)
        if (s->left[k] && !children_of(s, k, at))
            return false;
    qsort(at->list, (size_t)at->count, sizeof *at->list, by_start);
    return true;
}

static void descend(branch_search *s, const child *last);

static void try_child(branch_search *s, const child *c) {
    int waiting = s->waiting_count;
    pci_grid_put_in(s->grid, c->kind, 0, c->start, c->reuse);
    s->left[c->kind]--;
    s->todo--;
    if (c->waits)
        s->waiting[s->waiting_count++] = s->grid->count - 1;
    if (all_stand(s))
        descend(s, c);
    s->waiting_count = waiting;
    s->left[c->kind]++;
    s->todo++;
    pci_grid_take_out(s->grid, c->reuse);
}

/* Demolds that hands have room for from a cell on, to the limit. */
static void slots_from(const branch_search *s, int first, int16_t *slots) {
    const pci_grid *grid = s->grid;
    int run = 0, count = 0;
    slots[s->limit - 1] = 0;
    for (int cell = s->limit - 2; cell >= first; cell--) {
        run = pci_bits_get(&grid->free_hands, cell) ? run + 1 : 0;
        if (run == grid->demold) {
            count++;
            run = 0;
        }
        slots[cell] = (int16_t)count;
    }
}

/* Whether there are too few for the demolds behind the cells they are ready at: of castings placed,
 * and of those to come were they to start at `start`. */
static bool demolds_crowd(const branch_search *s, const node *at, int start) {
    const pci_grid *grid = s->grid;
    int release[PC_DAY_CASTINGS_MOST], n = at->waiting;
    memcpy(release, at->ready, (size_t)n * sizeof *release);
    for (int k = 0; k < grid->kind_count; k++) {
        const pci_kind *kind = &grid->kind[k];
        /* The last of each mold are among those to come. */
        int many = kind->overnight ? 0 : pci_min(s->left[k], kind->molds);
        while (many-- > 0) {
            int ready = start + kind->least.ready, i = n++;
            for (; i > 0 && release[i - 1] > ready; i--)
                release[i] = release[i - 1];
            release[i] = ready;
        }
    }
    for (int i = 0; i < n; i++)
        if (release[i] >= s->limit || n - i > at->slots[release[i]])
            return true;
    return false;
}

/* Whether castings that all start at a cell or later cannot lead to a better plan. */
static bool too_late(branch_search *s, const node *at, int start) {
    if (demolds_crowd(s, at, start))
        return true;
    if (pci_machines_late(&s->machines, s->grid, s->left, start, s->limit))
        return true;
    return !pci_ahead_knows_hands(s->ahead) &&
           pci_grid_work_bound(s->grid, s->left, start) >= s->limit;
}

static void descend(branch_search *s, const child *last) {
    s->stopped = s->stopped || ++s->nodes > s->nodes_most;
    if (s->stopped)
        return;
    if (s->todo == 0) {
        leaf(s);
        return;
    }
    node at;
    at.last = last;
    at.list = s->list[s->grid->count];
    at.count = 0;
    at.waiting = demolds_placed(s, at.ready);
    slots_from(s, at.waiting ? pci_min(at.ready[0], last->start) : last->start, at.slots);
    if (too_late(s, &at, last->start))
        return;
    demolds_begin(s, &at);
    at.soonest = soonest(s);
    if (!children(s, &at))
        return;
    int judged = last->start;
    for (int i = 0; i < at.count && !s->stopped; i++) {
        if (at.list[i].start > judged) {
            judged = at.list[i].start;
            if (too_late(s, &at, judged))
                break;
        }
        try_child(s, &at.list[i]);
    }
}

bool pci_day_branches(const pci_grid *grid) {
    for (int k = 0; k < grid->kind_count; k++)
        if (grid->kind[k].slots > 1)
            return false;
    return grid->hands == 1;
}

bool pci_day_branch(pci_grid *grid, const int *wanted, long nodes_most, pci_found *found) {
    branch_search s = {.grid = grid, .nodes_most = nodes_most, .best = found};
    for (int k = 0; k < grid->kind_count; k++) {
        const pci_kind *kind = &grid->kind[k];
        s.wanted[k] = s.left[k] = wanted[k];
        s.todo += wanted[k];
        if (!kind->overnight)
            s.demolds += pci_min(wanted[k], kind->molds);
    }
    if (s.todo > PCI_BRANCH_MOST || !pci_day_branches(grid))
        return false;
    s.limit = found->finish <= grid->cells ? found->finish : grid->cells + 1;
    pci_machines_init(&s.machines, grid, wanted);
    s.meets = meeting(grid, wanted);
    s.floor =
        pci_machines_floor(&s.machines, grid, wanted, pci_grid_bound(grid, wanted, 0), s.limit);
    s.ahead = pci_ahead_new(grid, wanted);
    s.list[0] = malloc(sizeof *s.list[0] * LIST_MOST * PCI_BRANCH_MOST);
    s.stopped = !s.ahead || !s.meets || !s.list[0];
    for (int i = 1; !s.stopped && i < PCI_BRANCH_MOST; i++)
        s.list[i] = s.list[i - 1] + LIST_MOST;
    child first = {.kind = 0, .start = 0};
    descend(&s, &first);
    free(s.list[0]);
    free(s.meets);
    pci_ahead_free(s.ahead);
    return s.reached || !s.stopped;
}
