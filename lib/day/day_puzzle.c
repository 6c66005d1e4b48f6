/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "day/day_puzzle.h"

#include <stdlib.h>

#include "day/day_machines.h"

enum {
    PAIRS_MOST = 160, /* clauses of a cell written out one by one; else hands are counted */
    USERS_MOST = 2 * PC_DAY_CASTINGS_MOST,
};

/* A cell from lo to hi, or none of them, which is hi + 1. */
typedef struct when {
    int lo, hi, first; /* variable of lo + 1: there or later; those of the next cells follow */
} when;

typedef struct casting {
    int kind, rank;  /* of its kind, by start */
    when start, out; /* out: demolded with no pour behind it */
} casting;

/* Cells taken by somebody: `length` of them, `offset` after a cell that is from f to u. */
typedef struct use {
    int user;
    const when *of;
    int from, until, offset, length;
} use;

struct pci_puzzle {
    const pci_grid *grid;
    pci_clauses *clauses;
    int yes; /* a variable that is true */
    int limit, many;
    casting list[PC_DAY_CASTINGS_MOST];
    int wanted[PC_DAY_PIECES_MOST];
    bool knows_turned;
    int turned[1 << PCI_BRANCH_MOST]; /* cells, where they are worked out */
    use *use;
    int use_count, use_room;
    bool no_memory;
};

static void one_of(pci_puzzle *p, int a, int b, int c) {
    int literals[] = {a, b, c};
    pci_clauses_add(p->clauses, literals, 3);
}

/* Literal: the cell is t or later. */
static int at_or_after(const pci_puzzle *p, const when *w, int t) {
    if (t <= w->lo)
        return p->yes;
    return t > w->hi + 1 ? -p->yes : w->first + t - w->lo - 1;
}

static int never(const pci_puzzle *p, const when *w) {
    return at_or_after(p, w, w->hi + 1);
}

static when when_new(pci_puzzle *p, int lo, int hi) {
    when w = {lo, pci_max(hi, lo - 1), 0};
    int many = w.hi + 1 - lo;
    if (many > 0)
        w.first = pci_clauses_variables(p->clauses, many);
    for (int t = lo + 1; t <= w.hi; t++)
        one_of(p, at_or_after(p, &w, t), -at_or_after(p, &w, t + 1), -p->yes);
    return w;
}

/* It is no cell from one to another. */
static void not_from_to(pci_puzzle *p, const when *w, int from, int to) {
    if (from <= to)
        one_of(p, -at_or_after(p, w, from), at_or_after(p, w, to + 1), -p->yes);
}

/* Last cell at which a casting may start with the comb of a slot. */
static int slot_last(const pci_kind *kind, int slot, const when *w) {
    return pci_min(w->hi, pci_slot_until(kind, slot) - 1);
}

/* b no earlier than so many cells after a, where a is cast with the comb of a slot. */
static void apart(pci_puzzle *p, const when *a, int from, int until, const when *b, int cells) {
    for (int t = pci_max(from, a->lo); t <= until; t++)
        one_of(p, -at_or_after(p, a, t), at_or_after(p, a, until + 1),
               at_or_after(p, b, pci_min(t + cells, b->hi + 1)));
}

/* The casting that is poured in the same mold right before or after another; NULL: none. */
static casting *in_same_mold(const pci_puzzle *p, casting *of, int side) {
    int away = side * p->grid->kind[of->kind].molds, rank = of->rank + away;
    return rank >= 0 && rank < p->wanted[of->kind] ? of + away : NULL;
}

static void add_casting(pci_puzzle *p, int k, int rank) {
    const pci_kind *kind = &p->grid->kind[k];
    const pci_least *least = &kind->least;
    casting *c = &p->list[p->many++];
    int rounds = rank / kind->molds;
    *c = (casting){.kind = k, .rank = rank};
    int lo = kind->overnight ? 0 : rounds * (least->ready + p->grid->demold);
    c->start = when_new(p, pci_min(lo, p->limit + 1), p->limit - least->done);
    if (!kind->overnight)
        c->out = when_new(p, pci_min(lo + least->ready, p->limit + 1), p->limit - p->grid->demold);
    if (kind->overnight && rounds > 0) /* its mold is not free again today */
        one_of(p, never(p, &c->start), -p->yes, -p->yes);
}

/* Its own hours, the one before it, its mold, its demold. */
static void bind_casting(pci_puzzle *p, casting *c) {
    const pci_kind *kind = &p->grid->kind[c->kind];
    casting *next = kind->overnight ? NULL : in_same_mold(p, c, 1);
    int demold = p->grid->demold;
    for (int s = 0; s < kind->slots; s++) {
        const pci_comb *comb = &kind->comb[s];
        int from = pci_slot_from(s), until = slot_last(kind, s, &c->start);
        int last = comb->feasible ? p->grid->cells - comb->done : -1;
        not_from_to(p, &c->start, pci_max(from, last + 1), until);
        if (!comb->feasible || kind->overnight)
            continue;
        apart(p, &c->start, from, until, &c->out, comb->ready);
        if (next)
            apart(p, &c->start, from, until, &next->start, comb->ready + demold);
    }
    if (c->rank > 0)
        for (int t = c[-1].start.lo + 1; t <= c->start.hi + 1; t++)
            one_of(p, -at_or_after(p, &c[-1].start, t), at_or_after(p, &c->start, t), -p->yes);
    if (!kind->overnight) /* it is cast, and no other in its mold behind it: it has a demold */
        one_of(p, never(p, &c->start), next ? -never(p, &next->start) : -p->yes,
               -never(p, &c->out));
}

/* ---- hands and machines ---- */

static void add_use(pci_puzzle *p, use u) {
    if (p->use_count == p->use_room) {
        int room = 2 * p->use_room + 64;
        use *more = realloc(p->use, (size_t)room * sizeof *more);
        if (!more) {
            p->no_memory = true;
            return;
        }
        p->use = more;
        p->use_room = room;
    }
    u.from = pci_max(u.from, u.of->lo);
    u.until = pci_min(u.until, u.of->hi);
    if (u.from <= u.until && u.length > 0)
        p->use[p->use_count++] = u;
}

static void uses_of(pci_puzzle *p, int index, bool machines) {
    casting *c = &p->list[index];
    const pci_kind *kind = &p->grid->kind[c->kind];
    int demold = p->grid->demold, first = 2 * index;
    for (int s = 0; s < kind->slots; s++) {
        const pci_comb *comb = &kind->comb[s];
        int from = pci_slot_from(s), until = slot_last(kind, s, &c->start);
        if (machines)
            add_use(p,
                    (use){first, &c->start, from, until, comb->station_from, comb->station_length});
        for (int i = 0; !machines && i < comb->task_count; i++)
            add_use(p, (use){first, &c->start, from, until, comb->from[i], comb->length[i]});
    }
    if (machines || kind->overnight)
        return;
    add_use(p, (use){first + 1, &c->out, c->out.lo, c->out.hi, 0, demold});
    if (in_same_mold(p, c, -1)) /* opened right before */
        add_use(p, (use){first, &c->start, c->start.lo, c->start.hi, -demold, demold});
}

/* No more than `most` of so many hold: counted through, a variable for each count so far. */
static void count_through(pci_puzzle *p, const int *literals, int n, int most) {
    int before = 0;
    for (int i = 0; i < n; i++) {
        int now = i + 1 < n ? pci_clauses_variables(p->clauses, most) : 0;
        for (int j = 0; j < most && now; j++) {
            if (before)
                one_of(p, -(before + j), now + j, -p->yes);
            if (j == 0 || before)
                one_of(p, -literals[i], j == 0 ? -p->yes : -(before + j - 1), now + j);
        }
        if (before)
            one_of(p, -literals[i], -(before + most - 1), -p->yes);
        before = now;
    }
}

static void at_most(pci_puzzle *p, const int *literals, int n, int most) {
    if (n <= most)
        return;
    if (most == 0)
        for (int i = 0; i < n; i++)
            one_of(p, -literals[i], -p->yes, -p->yes);
    else if (most == 1 && n * (n - 1) / 2 <= PAIRS_MOST)
        for (int i = 0; i < n; i++)
            for (int j = 0; j < i; j++)
                one_of(p, -literals[i], -literals[j], -p->yes);
    else
        count_through(p, literals, n, most);
}

/* From when until when a use has to begin to take a cell. Returns false: it cannot. */
static bool takes(const use *u, int cell, int *from, int *until) {
    *from = pci_max(u->from, cell - u->offset - u->length + 1);
    *until = pci_min(u->until, cell - u->offset);
    return *from <= *until;
}

/* A cell that is taken by no more than `most`. */
static void share_cell(pci_puzzle *p, int cell, int most) {
    int taken[USERS_MOST] = {0}; /* variable of a user; -1: none yet */
    int literals[USERS_MOST], n = 0, from, until;
    for (int i = 0; i < p->use_count; i++) {
        int user = p->use[i].user;
        if (taken[user] || !takes(&p->use[i], cell, &from, &until))
            continue;
        taken[user] = -1;
        n++;
    }
    if (n <= most)
        return;
    n = 0;
    for (int i = 0; i < p->use_count; i++) {
        const use *u = &p->use[i];
        if (!takes(u, cell, &from, &until))
            continue;
        if (taken[u->user] < 0)
            literals[n++] = taken[u->user] = pci_clauses_variables(p->clauses, 1);
        one_of(p, -at_or_after(p, u->of, from), at_or_after(p, u->of, until + 1), taken[u->user]);
    }
    at_most(p, literals, n, most);
}

static void share(pci_puzzle *p, bool machines) {
    const pci_grid *grid = p->grid;
    p->use_count = 0;
    for (int i = 0; i < p->many; i++)
        uses_of(p, i, machines);
    for (int cell = 0; cell < p->limit; cell++)
        share_cell(p, cell,
                   machines ? grid->stations - grid->turning[cell]
                            : grid->hands - grid->busy[cell]);
}

/* ---- machines as a whole ---- */

/* The next of all lists of how many of each kind there are. Returns false: that was the last. */
static bool next_left(const pci_puzzle *p, int *left) {
    for (int k = 0; k < p->grid->kind_count; k++) {
        if (left[k] < p->wanted[k]) {
            left[k]++;
            return true;
        }
        left[k] = 0;
    }
    return false;
}

/* How long machines take at least for the last so many of each kind, for every such list. */
static void time_machines(pci_puzzle *p) {
    int left[PC_DAY_PIECES_MOST] = {0}, n = 0;
    pci_machines machines;
    if (p->many > PCI_BRANCH_MOST || p->grid->stations == 0)
        return;
    p->knows_turned = true;
    pci_machines_init(&machines, p->grid, p->wanted);
    while (next_left(p, left))
        p->turned[n++] = pci_machines_floor(&machines, p->grid, left, 0, p->grid->cells + 1);
}

/* So one of them starts that long before the limit, where none of them is left out. Cell by cell
 * that is hard to see. */
static void limit_machines(pci_puzzle *p, int limit) {
    int left[PC_DAY_PIECES_MOST] = {0}, n = 0;
    while (p->knows_turned && next_left(p, left)) {
        int clause[2 * PCI_BRANCH_MOST], many = 0, latest = limit - p->turned[n++];
        for (int i = 0; i < p->many; i++) {
            const casting *c = &p->list[i];
            if (!left[c->kind] || c->rank != p->wanted[c->kind] - left[c->kind])
                continue;
            clause[many++] = -at_or_after(p, &c->start, latest + 1);
            clause[many++] = never(p, &c[left[c->kind] - 1].start); /* the last of its kind */
        }
        pci_clauses_add(p->clauses, clause, many);
    }
}

/* ---- the whole ---- */

static void all_but(pci_puzzle *p, int most) {
    int left_out[PC_DAY_CASTINGS_MOST];
    for (int i = 0; i < p->many; i++)
        left_out[i] = never(p, &p->list[i].start);
    at_most(p, left_out, p->many, most);
}

pci_puzzle *pci_puzzle_new(const pci_grid *grid, const int *wanted, int count, int limit) {
    pci_puzzle *p = calloc(1, sizeof *p);
    if (!p)
        return NULL;
    p->clauses = pci_clauses_new();
    if (!p->clauses) {
        free(p);
        return NULL;
    }
    p->grid = grid;
    p->limit = pci_min(limit, grid->cells);
    p->yes = pci_clauses_variables(p->clauses, 1);
    pci_clauses_add(p->clauses, &p->yes, 1);
    for (int k = 0; k < grid->kind_count; k++) {
        p->wanted[k] = wanted[k];
        for (int rank = 0; rank < wanted[k]; rank++)
            add_casting(p, k, rank);
    }
    all_but(p, p->many - count);
    for (int i = 0; i < p->many; i++)
        bind_casting(p, &p->list[i]);
    share(p, false);
    share(p, true);
    time_machines(p);
    pci_puzzle_limit(p, p->limit);
    if (p->no_memory) {
        pci_puzzle_free(p);
        return NULL;
    }
    return p;
}

void pci_puzzle_free(pci_puzzle *p) {
    if (!p)
        return;
    pci_clauses_free(p->clauses);
    free(p->use);
    free(p);
}

void pci_puzzle_limit(pci_puzzle *p, int limit) {
    limit_machines(p, limit);
    for (int i = 0; i < p->many; i++) {
        const casting *c = &p->list[i];
        const pci_kind *kind = &p->grid->kind[c->kind];
        if (!kind->overnight)
            not_from_to(p, &c->out, limit - p->grid->demold + 1, c->out.hi);
        for (int s = 0; s < kind->slots; s++)
            not_from_to(p, &c->start, pci_max(pci_slot_from(s), limit - kind->comb[s].done + 1),
                        slot_last(kind, s, &c->start));
    }
}

/* The cell that it is; hi + 1: none. */
static int cell_of(const pci_puzzle *p, const when *w) {
    int t = w->lo;
    while (t <= w->hi && pci_clauses_true(p->clauses, at_or_after(p, w, t + 1)))
        t++;
    return t;
}

pci_verdict pci_puzzle_solve(pci_puzzle *p, long steps_most, long *steps, pci_placed *placed,
                             int *count) {
    pci_verdict verdict = pci_clauses_solve(p->clauses, steps_most, steps);
    if (verdict != PCI_CLAUSES_HOLD)
        return verdict;
    *count = 0;
    for (int i = 0; i < p->many; i++) {
        const casting *c = &p->list[i];
        const pci_kind *kind = &p->grid->kind[c->kind];
        int start = cell_of(p, &c->start), at = *count;
        if (start > c->start.hi)
            continue;
        for (; at > 0 && placed[at - 1].start > start; at--)
            placed[at] = placed[at - 1];
        placed[at] = (pci_placed){c->kind, pci_slot_at(kind, start), start};
        ++*count;
    }
    return verdict;
}
