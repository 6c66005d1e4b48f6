/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "day/day_ahead.h"

#include <stdlib.h>
#include <string.h>

#include "day/day_bits.h"

enum {
    FAR = 4 * PCI_CELLS_MOST, /* above every finish */
    LEVELS_MOST = 6,          /* of how long no demold is ready yet */
    TABLE_MOST = 1 << 25,     /* entries; above it the bound is not used */
    WORK_MOST = 100000000, /* inner steps; above it sets not yet worked out count by their work */
};

/* A comb as it is asked for here. */
typedef struct whole_comb {
    pci_bits busy;                   /* hands, from the start */
    int work;                        /* cells of it */
    int end;                         /* by which it is over */
    int done;                        /* demolded, at the earliest */
    int machine_from, machine_until; /* until <= from: not on it */
} whole_comb;

struct pci_ahead {
    const pci_grid *grid;
    int kinds, step[PC_DAY_PIECES_MOST], wanted[PC_DAY_PIECES_MOST];
    whole_comb whole[PC_DAY_PIECES_MOST];
    int gaps; /* from start to start, 0 to gaps - 1; from there on one is past the other */
    int levels, level_step; /* of that, and cells of each */
    long work;              /* left */
    pci_bits *apart; /* [a][b][b reuses its mold]: gaps that a and b can have, to twice `gaps` */
    int16_t *tail;   /* [left][before][last][level][gap][with demolds, without]; plus 1, or 0 */
};

static void whole_of(const pci_comb *comb, whole_comb *whole) {
    *whole = (whole_comb){.done = FAR};
    pci_bits_init(&whole->busy, PCI_CELLS_MOST);
    if (!comb->feasible)
        return;
    for (int i = 0; i < comb->task_count; i++)
        pci_bits_fill(&whole->busy, comb->from[i], comb->length[i], true);
    int over = comb->station_from + comb->station_length;
    whole->work = comb->hands_work;
    whole->end = pci_max(comb->hands_end, over);
    whole->done = comb->done;
    whole->machine_from = comb->station_from;
    whole->machine_until = comb->station_length ? over : 0;
}

/* Whether b may not start `gap` cells after a. */
static bool clash(const pci_grid *grid, const pci_comb *a, const pci_comb *b, bool reuse, int gap) {
    for (int i = 0; i < a->task_count; i++) {
        int from = a->from[i], until = from + a->length[i];
        for (int j = 0; j < b->task_count; j++)
            if (from < gap + b->from[j] + b->length[j] && gap + b->from[j] < until)
                return true;
        if (reuse && from < gap && gap - grid->demold < until)
            return true;
    }
    int from = a->station_from, until = from + a->station_length;
    return grid->stations == 1 && a->station_length && b->station_length &&
           from < gap + b->station_from + b->station_length && gap + b->station_from < until;
}

static pci_bits *apart_of(const pci_ahead *ahead, int a, int b, bool reuse) {
    return &ahead->apart[(a * ahead->kinds + b) * 2 + reuse];
}

static void fill_apart(pci_ahead *ahead) {
    for (int a = 0; a < ahead->kinds; a++)
        for (int b = 0; b < ahead->kinds; b++)
            for (int reuse = 0; reuse <= 1; reuse++) {
                pci_bits *bits = apart_of(ahead, a, b, reuse);
                if (!ahead->wanted[a] || !ahead->wanted[b])
                    continue;
                pci_bits_init(bits, 2 * ahead->gaps);
                pci_bits_fill(bits, ahead->gaps, ahead->gaps, true);
                for (int gap = 0; gap < ahead->gaps; gap++)
                    if (!clash(ahead->grid, &ahead->grid->kind[a].comb[0],
                               &ahead->grid->kind[b].comb[0], reuse, gap))
                        pci_bits_set(bits, gap, true);
            }
}

/* As many levels as there is room for, up to when the first casting is ready. */
static void set_levels(pci_ahead *ahead, size_t entries) {
    int first = FAR;
    for (int k = 0; k < ahead->kinds; k++)
        if (ahead->wanted[k] && !ahead->grid->kind[k].overnight)
            first = pci_min(first, ahead->grid->kind[k].least.ready);
    ahead->levels = pci_min(LEVELS_MOST, (int)(TABLE_MOST / entries));
    ahead->levels = first == FAR ? 1 : ahead->levels;
    ahead->level_step = ahead->levels > 1 ? first / (ahead->levels - 1) + 1 : FAR;
}

static bool allocate(pci_ahead *ahead, int sets) {
    size_t kinds = (size_t)ahead->kinds;
    size_t entries = (size_t)sets * kinds * kinds * (size_t)(ahead->gaps + 1) * 2;
    if (entries > TABLE_MOST || 2 * ahead->gaps > PCI_CELLS_MOST)
        return true;
    set_levels(ahead, entries);
    ahead->apart = calloc(kinds * kinds * 2, sizeof *ahead->apart);
    /* Most of it is never looked at: memory comes as it is touched. */
    ahead->tail = calloc(entries * (size_t)ahead->levels, sizeof *ahead->tail);
    if (!ahead->apart || !ahead->tail)
        return false;
    fill_apart(ahead);
    return true;
}

pci_ahead *pci_ahead_new(const pci_grid *grid, const int *wanted) {
    pci_ahead *ahead = calloc(1, sizeof *ahead);
    if (!ahead)
        return NULL;
    ahead->grid = grid;
    ahead->kinds = grid->kind_count;
    ahead->work = WORK_MOST;
    int sets = 1, longest = 0;
    for (int k = 0; k < ahead->kinds; k++) {
        ahead->wanted[k] = wanted[k];
        ahead->step[k] = sets;
        sets *= wanted[k] + 1;
        whole_of(&grid->kind[k].comb[0], &ahead->whole[k]);
        longest = wanted[k] ? pci_max(longest, ahead->whole[k].end) : longest;
    }
    ahead->gaps = longest + 2 * grid->demold + 1;
    if (!allocate(ahead, sets)) {
        pci_ahead_free(ahead);
        return NULL;
    }
    return ahead;
}

void pci_ahead_free(pci_ahead *ahead) {
    if (!ahead)
        return;
    free(ahead->apart);
    free(ahead->tail);
    free(ahead);
}

int pci_ahead_set(const pci_ahead *ahead, const int *left) {
    int set = 0;
    for (int k = 0; k < ahead->kinds; k++)
        set += ahead->step[k] * left[k];
    return set;
}

static bool reuses(const pci_ahead *ahead, int kind, const int *left) {
    const pci_kind *of = &ahead->grid->kind[kind];
    return !of->overnight && ahead->wanted[kind] - left[kind] >= of->molds;
}

/* Cells from a start on until all is done. `paid`: where demolds that find room in waits are taken
 * off at their full length, so that all demolds can be added on top; `plain`: without demolds. */
typedef struct tail {
    int paid, plain;
} tail;

/* The two castings that a next one has to fit in with. */
typedef struct pair {
    int before, last, gap, end; /* end: cells after the last one's start, when both are over */
    bool alone;                 /* the one before is over */
    int quiet;                  /* cells from the last one's start in which nothing is demolded */
    pci_bits busy;              /* hands, from the last one's start */
} pair;

static tail tail_of(pci_ahead *ahead, int *left, int set, int before, int last, int gap, int level);

/* Nothing more to come: what is busy, and waits before it that no demold fills. */
static tail tail_end(const pci_ahead *ahead, const pair *p) {
    int demold = ahead->grid->demold, run = 0;
    tail t = {0, ahead->whole[p->last].done};
    for (int cell = 0; cell < p->end; cell++) {
        if (!pci_bits_get(&p->busy, cell)) {
            t.paid += cell < p->quiet;
            run += cell >= p->quiet;
            continue;
        }
        t.paid += 1 + run % demold;
        run = 0;
    }
    if (!p->alone)
        t.plain = pci_max(t.plain, ahead->whole[p->before].done - p->gap);
    return t;
}

/* Gaps at which a kind may follow a pair. */
static void gaps_after(const pci_ahead *ahead, const pair *p, int n, bool reuse, pci_bits *gaps) {
    *gaps = *apart_of(ahead, p->last, n, reuse);
    if (p->alone)
        return;
    pci_bits_and_shifted(gaps, apart_of(ahead, p->before, n, reuse), p->gap);
    const whole_comb *a = &ahead->whole[p->before], *b = &ahead->whole[p->last],
                     *c = &ahead->whole[n];
    int from = pci_max(a->machine_from - p->gap, b->machine_from);
    int until = pci_min(a->machine_until - p->gap, b->machine_until);
    if (ahead->grid->stations != 2 || from >= until || c->machine_from >= c->machine_until)
        return;
    int first = from - c->machine_until + 1; /* both machines are taken from then on */
    pci_bits_fill(gaps, first, until - c->machine_from - first, false);
}

/* At a cell behind the last start: demolds that fit into the waits before, and how long the wait
 * that lasts then is. */
typedef struct wait {
    int16_t demolds, run;
} wait;

static void waits_of(const pci_ahead *ahead, const pair *p, int until, wait *waits) {
    wait now = {0, 0};
    for (int cell = 0; cell <= until; cell++) {
        waits[cell] = now;
        if (pci_bits_get(&p->busy, cell))
            now = (wait){(int16_t)(now.demolds + now.run / ahead->grid->demold), 0};
        else
            now.run = (int16_t)(now.run + (cell >= p->quiet));
    }
}

/* Where the search is not worth while: hands' work and the longest cure of what is left. */
static tail tail_by_work(const pci_ahead *ahead, const int *left) {
    tail t = {0, 0};
    for (int k = 0; k < ahead->kinds; k++) {
        if (!left[k])
            continue;
        t.paid += left[k] * ahead->whole[k].work;
        t.plain = pci_max(t.plain, ahead->whole[k].done);
    }
    return t;
}

static int16_t *known_of(const pci_ahead *ahead, int set, int before, int last, int level) {
    size_t at = (size_t)((set * ahead->kinds + before) * ahead->kinds + last);
    at = at * (size_t)ahead->levels + (size_t)level;
    return &ahead->tail[at * (size_t)(ahead->gaps + 1) * 2];
}

/* Rounded down: demolds are held to be possible sooner than they are. */
static int level_of(const pci_ahead *ahead, int quiet) {
    return quiet <= 0 ? 0 : pci_min(quiet / ahead->level_step, ahead->levels - 1);
}

/* Kind n next, at every gap that can be better. What follows takes no less than it does with n on
 * its own. */
static void tail_next_kind(pci_ahead *ahead, int *left, int set, const pair *p, int n,
                           const wait *waits, tail *t) {
    int demold = ahead->grid->demold, rest = set - ahead->step[n];
    bool reuse = reuses(ahead, n, left);
    pci_bits gaps;
    gaps_after(ahead, p, n, reuse, &gaps);
    left[n]--;
    tail alone = tail_of(ahead, left, rest, n, n, ahead->gaps, 0);
    for (int g = pci_bits_next(&gaps, 0); g >= 0 && g <= p->end + 2 * demold;
         g = pci_bits_next(&gaps, g + 1)) {
        /* Its mold is opened in the last of the wait. */
        int open = waits[g].run - (reuse ? demold : 0);
        int paid = g - demold * (waits[g].demolds + (open > 0 ? open / demold : 0));
        ahead->work--;
        if (paid + alone.paid >= t->paid && g + alone.plain >= t->plain)
            continue;
        tail next = tail_of(ahead, left, rest, p->last, n, g, level_of(ahead, p->quiet - g));
        t->paid = pci_min(t->paid, paid + next.paid);
        t->plain = pci_min(t->plain, g + next.plain);
    }
    left[n]++;
}

static tail tail_next(pci_ahead *ahead, int *left, int set, const pair *p) {
    wait waits[PCI_CELLS_MOST + 1];
    waits_of(ahead, p, p->end + 2 * ahead->grid->demold, waits);
    tail t = {FAR, FAR};
    for (int n = 0; n < ahead->kinds; n++)
        if (left[n])
            tail_next_kind(ahead, left, set, p, n, waits, &t);
    t.plain = pci_max(t.plain, ahead->whole[p->last].done);
    return t;
}

static pair pair_of(const pci_ahead *ahead, int before, int last, int gap) {
    pair p = {.before = before, .last = last, .gap = gap, .alone = gap == ahead->gaps};
    p.end = ahead->whole[last].end;
    p.busy = ahead->whole[last].busy;
    if (!p.alone) {
        p.end = pci_max(p.end, ahead->whole[before].end - gap);
        pci_bits_or_shifted(&p.busy, &ahead->whole[before].busy, gap);
    }
    return p;
}

static tail tail_of(pci_ahead *ahead, int *left, int set, int before, int last, int gap,
                    int level) {
    gap = pci_min(gap, ahead->gaps);
    int16_t *known = known_of(ahead, set, before, last, level) + 2 * gap;
    if (known[0])
        return (tail){known[0] - 1, known[1] - 1};
    if (ahead->work <= 0)
        return tail_by_work(ahead, left);
    pair p = pair_of(ahead, before, last, gap);
    p.quiet = level * ahead->level_step;
    tail t = set ? tail_next(ahead, left, set, &p) : tail_end(ahead, &p);
    known[0] = (int16_t)(t.paid + 1);
    known[1] = (int16_t)(t.plain + 1);
    return t;
}

bool pci_ahead_knows_hands(const pci_ahead *ahead) {
    return ahead->tail != NULL;
}

/* With `out` demolds done before the start, and none in the `quiet` cells after it. */
static int bound_of(pci_ahead *ahead, int *left, const pci_ahead_last *at, int out, int quiet) {
    bool first = at->before < 0;
    tail t = tail_of(ahead, left, at->set, first ? at->last : at->before, at->last,
                     first ? ahead->gaps : at->gap, level_of(ahead, quiet));
    return pci_max(t.plain, t.paid + (at->demolds - out) * ahead->grid->demold);
}

int pci_ahead_hands(pci_ahead *ahead, int *left, const pci_ahead_last *at) {
    if (!ahead->tail)
        return 0;
    int bound = bound_of(ahead, left, at, at->out, at->quiet);
    if (at->out > 0 && at->quiet > 0) /* or one fewer, which is done any time later */
        bound = pci_min(bound, bound_of(ahead, left, at, at->out - 1, 0));
    return at->start + bound;
}
