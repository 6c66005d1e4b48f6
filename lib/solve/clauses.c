/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/clauses.h"

#include <limits.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* Inside, a literal is twice its variable, which counts from 0, plus 1 where it is negated. */
typedef uint32_t literal;

enum {
    NONE = -1,
    VARIABLES_MOST = 1 << 28,
    ROUND = 128,         /* conflicts, times Luby's numbers, until a restart */
    LEARNED_MOST = 4000, /* clauses learned before the first thinning; more each time */
    LEARNED_MORE = 500,
    KEPT_BLOCKS = 2, /* clauses that join so few levels are kept */
};

#define ACTIVITY_MOST  1e100
#define ACTIVITY_DECAY 0.95

/* A clause in the store: how many literals, whether learned, how many levels it joined. */
enum { SIZE, LEARNED, BLOCKS, HEAD };

typedef struct clause_watch {
    uint32_t clause; /* where it is in the store */
    literal other;   /* one of its literals: where it is true there is nothing to do */
} clause_watch;

typedef struct watches {
    clause_watch *at;
    int count, room;
} watches;

struct pci_clauses {
    int variables, room;
    int8_t *value;    /* [2 variables]: 1 true, -1 false, 0 open */
    watches *watched; /* [2 variables]: clauses that watch this literal */
    int *level;       /* [variables] at which it was set */
    int64_t *reason;  /* the clause that set it; NONE */
    double *activity;
    int *heap, *place; /* open ones by activity; where in it, or NONE */
    bool *phase, *seen;
    int *block; /* [variables + 1] stamps of levels */
    literal *trail, *learned;
    int *begin; /* of each level, in the trail */
    int heap_count, trail_count, levels, head, stamp;
    uint32_t *store;
    size_t store_count, store_room;
    int learned_count, learned_most, round;
    double more; /* what a bump adds */
    bool clash, no_memory;
};

static literal inside(int literal_given) {
    return literal_given > 0 ? 2 * (literal)(literal_given - 1)
                             : 2 * (literal)(-literal_given - 1) + 1;
}

static bool grow(pci_clauses *c, void *pointer, size_t count, size_t size) {
    void **at = pointer, *more = realloc(*at, count * size);
    if (!more) {
        c->no_memory = true;
        return false;
    }
    *at = more;
    return true;
}

pci_clauses *pci_clauses_new(void) {
    pci_clauses *c = calloc(1, sizeof *c);
    if (!c)
        return NULL;
    c->more = 1;
    c->learned_most = LEARNED_MOST;
    return c;
}

void pci_clauses_free(pci_clauses *c) {
    if (!c)
        return;
    for (int i = 0; i < 2 * c->variables; i++)
        free(c->watched[i].at);
    free(c->watched);
    free(c->value);
    free(c->level);
    free(c->reason);
    free(c->activity);
    free(c->heap);
    free(c->place);
    free(c->phase);
    free(c->seen);
    free(c->block);
    free(c->trail);
    free(c->learned);
    free(c->begin);
    free(c->store);
    free(c);
}

/* ---- open variables by activity ---- */

static void heap_set(pci_clauses *c, int at, int variable) {
    c->heap[at] = variable;
    c->place[variable] = at;
}

static void heap_up(pci_clauses *c, int at) {
    int variable = c->heap[at];
    while (at > 0 && c->activity[c->heap[(at - 1) / 2]] < c->activity[variable]) {
        heap_set(c, at, c->heap[(at - 1) / 2]);
        at = (at - 1) / 2;
    }
    heap_set(c, at, variable);
}

static void heap_down(pci_clauses *c, int at) {
    int variable = c->heap[at];
    for (int child = 2 * at + 1; child < c->heap_count; child = 2 * at + 1) {
        if (child + 1 < c->heap_count &&
            c->activity[c->heap[child]] < c->activity[c->heap[child + 1]])
            child++;
        if (c->activity[c->heap[child]] <= c->activity[variable])
            break;
        heap_set(c, at, c->heap[child]);
        at = child;
    }
    heap_set(c, at, variable);
}

static void heap_add(pci_clauses *c, int variable) {
    if (c->place[variable] != NONE)
        return;
    heap_set(c, c->heap_count++, variable);
    heap_up(c, c->place[variable]);
}

static int heap_take(pci_clauses *c) {
    int top = c->heap[0];
    c->place[top] = NONE;
    if (--c->heap_count > 0) {
        heap_set(c, 0, c->heap[c->heap_count]);
        heap_down(c, 0);
    }
    return top;
}

static void bump(pci_clauses *c, int variable) {
    c->activity[variable] += c->more;
    if (c->activity[variable] > ACTIVITY_MOST) {
        for (int v = 0; v < c->variables; v++)
            c->activity[v] /= ACTIVITY_MOST;
        c->more /= ACTIVITY_MOST;
    }
    if (c->place[variable] != NONE)
        heap_up(c, c->place[variable]);
}

/* ---- variables and clauses ---- */

static bool room_for(pci_clauses *c, int variables) {
    if (variables <= c->room)
        return true;
    size_t n = (size_t)c->room;
    while (n < (size_t)variables)
        n = 2 * n + 64;
    bool ok =
        grow(c, &c->value, 2 * n, sizeof *c->value) &&
        grow(c, &c->watched, 2 * n, sizeof *c->watched) &&
        grow(c, &c->level, n, sizeof *c->level) && grow(c, &c->reason, n, sizeof *c->reason) &&
        grow(c, &c->activity, n, sizeof *c->activity) && grow(c, &c->heap, n, sizeof *c->heap) &&
        grow(c, &c->place, n, sizeof *c->place) && grow(c, &c->phase, n, sizeof *c->phase) &&
        grow(c, &c->seen, n, sizeof *c->seen) && grow(c, &c->block, n + 1, sizeof *c->block) &&
        grow(c, &c->trail, n, sizeof *c->trail) &&
        grow(c, &c->learned, n + 1, sizeof *c->learned) &&
        grow(c, &c->begin, n + 1, sizeof *c->begin);
    c->room = ok ? (int)n : c->room;
    return ok;
}

int pci_clauses_variables(pci_clauses *c, int count) {
    if (c->no_memory || count > VARIABLES_MOST - c->variables ||
        !room_for(c, c->variables + count)) {
        c->no_memory = true;
        return 1;
    }
    int first = c->variables;
    c->variables += count;
    for (int v = first; v < c->variables; v++) {
        c->value[2 * v] = c->value[2 * v + 1] = 0;
        c->watched[2 * v] = c->watched[2 * v + 1] = (watches){NULL, 0, 0};
        c->level[v] = 0;
        c->reason[v] = NONE;
        c->activity[v] = 0;
        c->place[v] = NONE;
        c->phase[v] = c->seen[v] = false;
        c->block[v + 1] = 0;
        heap_add(c, v);
    }
    c->block[0] = 0;
    return first + 1;
}

static void set(pci_clauses *c, literal l, int64_t reason) {
    c->value[l] = 1;
    c->value[l ^ 1] = -1;
    c->level[l / 2] = c->levels;
    c->reason[l / 2] = reason;
    c->trail[c->trail_count++] = l;
}

static void back_to(pci_clauses *c, int level) {
    if (c->levels <= level)
        return;
    while (c->trail_count > c->begin[level]) {
        literal l = c->trail[--c->trail_count];
        c->value[l] = c->value[l ^ 1] = 0;
        c->phase[l / 2] = !(l & 1);
        heap_add(c, (int)(l / 2));
    }
    c->head = c->trail_count;
    c->levels = level;
}

static bool watch_by(pci_clauses *c, literal l, uint32_t clause, literal other) {
    watches *w = &c->watched[l];
    if (w->count == w->room) {
        int room = 2 * w->room + 4;
        if (!grow(c, &w->at, (size_t)room, sizeof *w->at))
            return false;
        w->room = room;
    }
    w->at[w->count++] = (clause_watch){clause, other};
    return true;
}

/* Puts a clause of two or more into the store, watched by its first two. */
static int64_t keep(pci_clauses *c, const literal *l, int count, bool learned, int blocks) {
    size_t need = c->store_count + HEAD + (size_t)count;
    if (need > UINT32_MAX)
        c->no_memory = true;
    if (need > c->store_room && !c->no_memory && grow(c, &c->store, 2 * need, sizeof *c->store))
        c->store_room = 2 * need;
    if (c->no_memory)
        return NONE;
    uint32_t at = (uint32_t)c->store_count, *clause = c->store + at;
    clause[SIZE] = (uint32_t)count;
    clause[LEARNED] = learned;
    clause[BLOCKS] = (uint32_t)blocks;
    memcpy(clause + HEAD, l, (size_t)count * sizeof *l);
    c->store_count = need;
    c->learned_count += learned;
    return watch_by(c, l[0], at, l[1]) && watch_by(c, l[1], at, l[0]) ? (int64_t)at : NONE;
}

/* What is false for good is left out of a clause, and a clause that holds for good altogether. */
void pci_clauses_add(pci_clauses *c, const int *literals, int count) {
    if (c->no_memory || c->clash)
        return;
    back_to(c, 0);
    int n = 0;
    for (int i = 0; i < count; i++) {
        literal l = inside(literals[i]);
        bool known = c->value[l] < 0;
        for (int j = 0; j < n; j++) {
            if (c->learned[j] == (l ^ 1))
                return;
            known = known || c->learned[j] == l;
        }
        if (c->value[l] > 0)
            return;
        if (!known)
            c->learned[n++] = l;
    }
    if (n == 0)
        c->clash = true;
    else if (n == 1)
        set(c, c->learned[0], NONE);
    else
        keep(c, c->learned, n, false, 0);
}

/* ---- what follows ---- */

/* A clause of which the watched literal `gone` has become false: another is watched instead where
 * one is not false. Returns false: there is none. */
static bool watch_another(pci_clauses *c, uint32_t at, literal gone) {
    uint32_t *l = c->store + at + HEAD;
    uint32_t size = c->store[at + SIZE];
    for (uint32_t k = 2; k < size; k++)
        if (c->value[l[k]] >= 0) {
            if (!watch_by(c, l[k], at, l[0]))
                return false;
            l[1] = l[k];
            l[k] = gone;
            return true;
        }
    return false;
}

/* Looks at the clauses that watch a literal, which is false now. Returns the one that cannot hold
 * any more, or NONE. */
static int64_t visit(pci_clauses *c, literal gone, long *steps) {
    watches *w = &c->watched[gone];
    int64_t broken = NONE;
    int i = 0, kept = 0;
    *steps += w->count;
    while (i < w->count && broken == NONE) {
        clause_watch now = w->at[i++];
        if (c->value[now.other] > 0) {
            w->at[kept++] = now;
            continue;
        }
        uint32_t *l = c->store + now.clause + HEAD;
        if (l[0] == gone) {
            l[0] = l[1];
            l[1] = gone;
        }
        now.other = l[0];
        if (c->value[l[0]] <= 0 && watch_another(c, now.clause, gone))
            continue;
        w->at[kept++] = now;
        if (c->value[l[0]] < 0)
            broken = now.clause;
        else if (c->value[l[0]] == 0)
            set(c, l[0], now.clause);
    }
    while (i < w->count)
        w->at[kept++] = w->at[i++];
    w->count = kept;
    return broken;
}

static int64_t propagate(pci_clauses *c, long *steps) {
    int64_t broken = NONE;
    while (broken == NONE && c->head < c->trail_count && !c->no_memory)
        broken = visit(c, c->trail[c->head++] ^ 1, steps);
    return broken;
}

/* ---- what a conflict teaches ---- */

/* Whether a literal of a learned clause follows from its others. */
static bool follows(const pci_clauses *c, literal l) {
    if (c->reason[l / 2] == NONE)
        return false;
    const uint32_t *clause = c->store + c->reason[l / 2];
    for (uint32_t k = 0; k < clause[SIZE]; k++) {
        literal other = clause[HEAD + k];
        if (other / 2 != l / 2 && !c->seen[other / 2] && c->level[other / 2] > 0)
            return false;
    }
    return true;
}

/* Takes out of c->learned[1 ..] what follows from the rest. Returns the count. */
static int shorten(pci_clauses *c, int count) {
    int kept = 1;
    literal *l = c->learned;
    for (int i = 1; i < count; i++)
        if (!follows(c, l[i])) {
            literal other = l[kept];
            l[kept++] = l[i];
            l[i] = other;
        }
    for (int i = 1; i < count; i++) /* those taken out too: till here they were needed */
        c->seen[l[i] / 2] = false;
    return kept;
}

/* The clause learned from one that broke, into c->learned: first the literal that it sets. Returns
 * its count. */
static int learn(pci_clauses *c, int64_t broken) {
    int count = 1, open = 0, at = c->trail_count - 1;
    do {
        const uint32_t *clause = c->store + broken;
        for (uint32_t k = 0; k < clause[SIZE]; k++) {
            literal l = clause[HEAD + k];
            int v = (int)(l / 2);
            if (c->value[l] > 0 || c->seen[v] || c->level[v] == 0)
                continue; /* true: it is the one that this clause set */
            c->seen[v] = true;
            bump(c, v);
            if (c->level[v] == c->levels)
                open++;
            else
                c->learned[count++] = l;
        }
        while (!c->seen[c->trail[at] / 2])
            at--;
        literal last = c->trail[at--];
        broken = c->reason[last / 2];
        c->seen[last / 2] = false;
        c->learned[0] = last ^ 1;
    } while (--open > 0);
    return shorten(c, count);
}

/* Brings the last level but one of the learned clause to its second place. Returns that level. */
static int level_behind(pci_clauses *c, int count) {
    if (count == 1)
        return 0;
    literal *l = c->learned;
    for (int i = 2; i < count; i++)
        if (c->level[l[i] / 2] > c->level[l[1] / 2]) {
            literal other = l[1];
            l[1] = l[i];
            l[i] = other;
        }
    return c->level[l[1] / 2];
}

/* Levels that the learned clause joins. */
static int blocks_of(pci_clauses *c, int count) {
    int blocks = 0;
    c->stamp++;
    for (int i = 0; i < count; i++) {
        int level = c->level[c->learned[i] / 2];
        blocks += c->block[level] != c->stamp;
        c->block[level] = c->stamp;
    }
    return blocks;
}

static void take_lesson(pci_clauses *c, int64_t broken) {
    int count = learn(c, broken), blocks = blocks_of(c, count);
    back_to(c, level_behind(c, count));
    int64_t reason = count > 1 ? keep(c, c->learned, count, true, blocks) : NONE;
    if (!c->no_memory)
        set(c, c->learned[0], reason);
    c->more /= ACTIVITY_DECAY;
}

/* ---- the store made smaller ---- */

enum { BLOCKS_COUNTED = 64 };

static int blocks_counted(const uint32_t *clause) {
    return clause[BLOCKS] < BLOCKS_COUNTED ? (int)clause[BLOCKS] : BLOCKS_COUNTED - 1;
}

/* Of learned clauses that join so many levels, how many go: half of all, the widest first. */
static void choose(const pci_clauses *c, int *goes) {
    int many[BLOCKS_COUNTED] = {0}, want = c->learned_count / 2;
    for (size_t at = 0; at < c->store_count; at += HEAD + c->store[at + SIZE])
        if (c->store[at + LEARNED])
            many[blocks_counted(c->store + at)]++;
    for (int b = BLOCKS_COUNTED - 1; b >= 0; b--) {
        goes[b] = b <= KEPT_BLOCKS ? 0 : many[b] < want ? many[b] : want;
        want -= goes[b];
    }
}

/* Whether a clause is done with: it holds for good, or is among those to go (the oldest). */
static bool done_with(const pci_clauses *c, const uint32_t *clause, int *goes) {
    for (uint32_t k = 0; k < clause[SIZE]; k++)
        if (c->value[clause[HEAD + k]] > 0)
            return true;
    return clause[LEARNED] && goes[blocks_counted(clause)]-- > 0;
}

/* Nothing is set but for good, and all that follows from it is. The first two of each clause that
 * stays are open then. */
static void thin(pci_clauses *c) {
    int goes[BLOCKS_COUNTED];
    choose(c, goes);
    for (int i = 0; i < 2 * c->variables; i++)
        c->watched[i].count = 0;
    for (int i = 0; i < c->trail_count; i++)
        c->reason[c->trail[i] / 2] = NONE;
    size_t old_count = c->store_count, next;
    c->store_count = 0;
    c->learned_count = 0;
    for (size_t at = 0; at < old_count && !c->no_memory; at = next) {
        uint32_t *from = c->store + at;
        next = at + HEAD + from[SIZE];
        if (done_with(c, from, goes))
            continue;
        int count = 0;
        bool learned = from[LEARNED];
        int blocks = (int)from[BLOCKS];
        for (uint32_t k = 0; k < from[SIZE]; k++)
            if (c->value[from[HEAD + k]] == 0)
                c->learned[count++] = from[HEAD + k];
        keep(c, c->learned, count, learned, blocks);
    }
    c->learned_most += LEARNED_MORE;
}

/* ---- the search ---- */

static int luby(int i) {
    int k = 1;
    while ((1 << k) - 1 < i + 1)
        k++;
    return (1 << k) - 1 == i + 1 ? 1 << (k - 1) : luby(i + 1 - (1 << (k - 1)));
}

/* Sets an open variable as it was last. Returns false: there is none. */
static bool decide(pci_clauses *c) {
    while (c->heap_count > 0) {
        int v = heap_take(c);
        if (c->value[2 * v])
            continue;
        c->begin[c->levels++] = c->trail_count;
        set(c, 2 * (literal)v + !c->phase[v], NONE);
        return true;
    }
    return false;
}

/* Searches until so many conflicts: PCI_CLAUSES_OPEN. */
static pci_verdict run(pci_clauses *c, int conflicts, long steps_most, long *steps) {
    for (;;) {
        int64_t broken = propagate(c, steps);
        if (c->no_memory)
            return PCI_CLAUSES_MEMORY;
        if (broken != NONE) {
            if (c->levels == 0) {
                c->clash = true;
                return PCI_CLAUSES_CLASH;
            }
            take_lesson(c, broken);
            conflicts--;
        } else if (conflicts <= 0 || *steps >= steps_most) {
            return PCI_CLAUSES_OPEN;
        } else if (!decide(c)) {
            return PCI_CLAUSES_HOLD;
        }
    }
}

/* Between rounds. */
static void tidy(pci_clauses *c, long *steps) {
    back_to(c, 0);
    c->round++;
    if (c->learned_count <= c->learned_most)
        return;
    c->clash = propagate(c, steps) != NONE;
    if (!c->clash)
        thin(c);
}

pci_verdict pci_clauses_solve(pci_clauses *c, long steps_most, long *steps) {
    long more = steps_most > 0 ? steps_most : 0;
    long until = *steps < LONG_MAX - more ? *steps + more : LONG_MAX;
    if (c->no_memory)
        return PCI_CLAUSES_MEMORY;
    back_to(c, 0);
    while (!c->clash) {
        pci_verdict verdict = run(c, ROUND * luby(c->round), until, steps);
        if (verdict != PCI_CLAUSES_OPEN)
            return verdict;
        tidy(c, steps);
        if (*steps >= until && !c->clash)
            return PCI_CLAUSES_OPEN;
    }
    return PCI_CLAUSES_CLASH;
}

bool pci_clauses_true(const pci_clauses *c, int literal_given) {
    return c->value[inside(literal_given)] > 0;
}
