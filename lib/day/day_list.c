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
/* Of a large day two castings change places that are as near in the order; not where the day holds
 * no more: then any may take the place of one that is in. */
enum { NEAR = 8 };
/* A large day is moved from several beginnings, each for a share of the effort, then the best of
 * them for the rest: what a line of moves comes to depends on where it begins. WORTH: the effort
 * from which on it is. */
enum { LINES = 4, SHARE_OF_A_LINE = 10, BEGINNINGS = 24, WORTH = 5000 };
/* They take what can begin first, give or take some cells and a share of a rule's key. */
enum { ABOUT = 8, SHARE = 8 };

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

/* Castings in an order: each time the kind that can begin first, about; by chance and by rule. */
static void order_first(pci_list_run *run, const int *wanted, int rule, bool late, uint64_t *pick,
                        pci_next *order) {
    const pci_grid *grid = run->grid;
    int left[PC_DAY_PIECES_MOST], many = 0, n = 0;
    bool full[PC_DAY_PIECES_MOST] = {false};
    pci_list_run_empty(run);
    for (int k = 0; k < grid->kind_count; k++)
        many += left[k] = wanted[k];
    for (; n < many; n++) {
        int first = -1, least = INT_MAX;
        for (int k = 0; k < grid->kind_count; k++) {
            int start = left[k] && !full[k] ? pci_list_run_peek(run, k) : -1;
            full[k] = full[k] || start < 0;
            int score = SHARE * (start < 0 ? grid->cells : start) + key_of(&grid->kind[k], rule) +
                        pick_below(pick, SHARE * ABOUT + 1);
            if (left[k] && score < least) {
                least = score;
                first = k;
            }
        }
        order[n] = (pci_next){(short)first, 0};
        left[first]--;
        full[first] = full[first] || !pci_list_run_place(run, order[n], late);
    }
}

/* Exchanges two castings of an order, puts one where the other is, or has one wait. */
static bool move(pci_next *order, int n, int placed, uint64_t *pick) {
    int a = pick_below(pick, pci_min(n, placed + 1)), b = pick_below(pick, n);
    if (n > SMALL && placed == n)
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

/* An order, and the plan that comes of it. */
typedef struct attempt {
    pci_next order[PC_DAY_CASTINGS_MOST];
    bool late; /* demolds after all else */
    pci_found found;
} attempt;

/* Moves castings within an order; what is a little worse is accepted, less and less so: it leads
 * out of dead ends. Each round begins at the best order. */
static void improve(pci_list_run *run, int n, int bound, int effort, uint64_t *pick,
                    attempt *best) {
    attempt now, tried;
    int round = n > SMALL ? effort : effort / ROUNDS + 1, most = n > SMALL ? SLACK_LARGE : SLACK;
    for (int spent = 0; spent < effort && !best_there_is(&best->found, n, bound); spent++) {
        int into = spent % round;
        if (into == 0)
            now = *best;
        memcpy(tried.order, now.order, sizeof now.order);
        tried.late = now.late != (pick_below(pick, OTHER_WAY) == 0);
        bool moved = move(tried.order, n, now.found.count, pick);
        while (n <= SMALL && pick_below(pick, AGAIN) == 0)
            moved = move(tried.order, n, now.found.count, pick) || moved;
        if (!moved)
            continue;
        int slack = most * (round - into) / round;
        pci_list_run_order(run, tried.order, n, tried.late, &tried.found);
        pci_found limit = {.count = now.found.count,
                           .late = now.found.late,
                           .finish = now.found.finish + slack,
                           .sum = INT_MAX};
        if (pci_found_better(&limit, &tried.found))
            continue;
        now = tried;
        if (pci_found_better(&now.found, &best->found))
            *best = now;
    }
}

/* Takes an order where its plan is better. */
static void try_order(pci_list_run *run, int n, attempt *tried, attempt *best) {
    pci_list_run_order(run, tried->order, n, tried->late, &tried->found);
    if (pci_found_better(&tried->found, &best->found))
        *best = *tried;
}

/* The best of some orders by what can begin first. */
static void begin(pci_list_run *run, const int *wanted, int n, uint64_t *pick, attempt *tried,
                  attempt *best) {
    best->found.count = -1;
    for (int i = 0; i < BEGINNINGS; i++) {
        tried->late = i % 2 == 0;
        order_first(run, wanted, i / 2 % ORDERS, tried->late, pick, tried->order);
        try_order(run, n, tried, best);
    }
}

static void try_orders(pci_list_run *run, const int *wanted, int effort, attempt *best) {
    const pci_grid *grid = run->grid;
    attempt tried, other;
    uint64_t pick = 1; /* the same moves every time */
    int n = 0, bound = pci_grid_bound(grid, wanted);
    best->found = (pci_found){.count = -1};
    for (int rule = 0; rule < 2 * ORDERS; rule++) {
        n = order_by(grid, wanted, rule / 2, tried.order);
        tried.late = rule % 2 == 0;
        try_order(run, n, &tried, best);
    }
    int lines = n > SMALL && effort >= WORTH ? LINES : 0;
    for (int i = 0; i < lines; i++) {
        other = *best;
        if (i > 0)
            begin(run, wanted, n, &pick, &tried, &other);
        improve(run, n, bound, effort / SHARE_OF_A_LINE, &pick, &other);
        if (pci_found_better(&other.found, &best->found))
            *best = other;
    }
    improve(run, n, bound, effort - lines * (effort / SHARE_OF_A_LINE), &pick, best);
}

pc_status pci_day_list(const pci_grid *grid, const int *wanted, int effort, pci_found *found) {
    pci_list_run *run = malloc(sizeof *run);
    attempt *best = malloc(sizeof *best);
    pc_status status = run && best ? PC_OK : PC_E_MEMORY;
    if (status == PC_OK) {
        pci_list_run_init(run, grid);
        try_orders(run, wanted, effort, best);
        *found = best->found;
    }
    free(best);
    free(run);
    return status;
}
