/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The least number of layers that holds every limit. */
#include <math.h>

#include "plan/layout.h"
#include "plan/part.h"

static const double SEARCH_REFINE = 0.6, SEARCH_TOLERANCE = 1e-4;

/* A quick case that broke a limit on the way: which one does not matter. */
static void broke_early(pci_limits *limits) {
    limits->count = 0;
    limits->worst = 1.0;
    pci_limit_broken(limits, PCI_LIMIT_NONE, 0, NAN, NAN, 2.0);
}

static pc_status try_count(const pci_case *c, int count, bool split, double start_s, bool margins,
                           pc_part_plan *plan, pci_limits *limits) {
    pc_status status = pci_part_plan(c, count, split, start_s, margins, plan, limits);
    if (status == PC_E_LIMIT) {
        broke_early(limits);
        status = PC_OK;
    }
    return status;
}

/* A count whose layers take one cup each is the same split or not: *again. */
static pc_status tried_before(const pci_case *c, int count, bool *again) {
    pc_part_plan plan;
    pc_status status = pci_layout(c->piece, c->part, count, true, &plan);
    *again = status == PC_OK;
    for (size_t j = 0; status == PC_OK && j < plan.layer_count; j++)
        if (plan.layer[j].cups > 1)
            *again = false;
    return status;
}

/* Least count that holds; 0 where none does. split: after the same without has found none. */
static pc_status least_count(const pci_case *c, int low, int high, bool split, double start_s,
                             pc_part_plan *plan, pci_limits *limits, int *found) {
    pci_case quick = *c;
    quick.quick = true;
    if (!(c->refine > 0.0)) { /* the count found is planned again on the fine grid */
        quick.refine = SEARCH_REFINE;
        quick.tolerance = SEARCH_TOLERANCE;
    }
    *found = 0;
    for (int count = low; count <= high && *found == 0; count++) {
        bool again = false;
        pc_status status = split ? tried_before(c, count, &again) : PC_OK;
        if (again)
            continue;
        if (status == PC_OK)
            status = try_count(&quick, count, split, start_s, false, plan, limits);
        if (status != PC_OK)
            return status;
        if (limits->count == 0)
            *found = count;
    }
    return PC_OK;
}

static int kinds_broken(const pci_limits *limits) {
    unsigned kinds = 0;
    int count = 0;
    for (size_t i = 0; i < limits->count; i++) {
        unsigned bit = 1u << limits->item[i].kind;
        count += (kinds & bit) == 0;
        kinds |= bit;
    }
    return count;
}

static bool misses_by_less(const pci_limits *a, const pci_limits *b) {
    int kinds_a = kinds_broken(a), kinds_b = kinds_broken(b);
    return kinds_a != kinds_b ? kinds_a < kinds_b : a->worst < b->worst;
}

/* A trial that runs away: no nearer than the best so far, whatever it would come to. */
static bool runs_away(pc_status status, int count, int low) {
    return count > low && (status == PC_E_LIMIT || status == PC_E_NUMERIC);
}

/* Where none holds: the count that misses by least. Once the best misses one kind of limit only, a
 * peak that misses by more cannot be nearer: hot stages poured on hot ones burn through in fronts
 * that take long to follow. */
static pc_status nearest_miss(const pci_case *c, int low, int high, double start_s,
                              pc_part_plan *best, pci_limits *best_limits) {
    pc_part_plan trial;
    pci_limits limits;
    pci_case one = *c;
    for (int count = low; count <= high; count++) {
        one.hopeless_excess =
            count > low && kinds_broken(best_limits) == 1 ? best_limits->worst : 0.0;
        /* The film, which is slow to follow, can only break more. */
        one.film = count == low && c->film;
        pc_status status = pci_part_plan(&one, count, true, start_s, false, &trial, &limits);
        bool nearer = status == PC_OK && (count == low || misses_by_less(&limits, best_limits));
        if (nearer && c->film && !one.film) {
            one.film = true;
            status = pci_part_plan(&one, count, true, start_s, false, &trial, &limits);
            nearer = status == PC_OK && misses_by_less(&limits, best_limits);
        }
        if (runs_away(status, count, low))
            continue;
        if (status != PC_OK)
            return status;
        if (nearer) {
            *best = trial;
            *best_limits = limits;
        }
    }
    return PC_OK;
}

static pc_status whole_miss(const pci_case *whole, int low, int high, double start_s, bool margins,
                            pc_part_plan *plan, pci_limits *limits) {
    pc_status status = nearest_miss(whole, low, high, start_s, plan, limits);
    if (status == PC_OK && margins && whole->piece->margins.on)
        status = pci_part_plan(whole, (int)plan->layer_count, true, start_s, margins, plan, limits);
    return status;
}

pc_status pci_part_split(const pci_case *c, double start_s, bool margins, pc_part_plan *plan,
                         pci_limits *limits) {
    int low = 1, high = pci_layers_most(c->part), found;
    if (c->part->layers_asked > 0)
        low = high = c->part->layers_asked;
    bool split = false, one_cup = !isfinite(c->piece->shop.largest_mix_kg);
    pc_status status = least_count(c, low, high, false, start_s, plan, limits, &found);
    /* Only where no number of layers fits one cup each is a layer mixed in several. */
    if (status == PC_OK && found == 0 && !one_cup) {
        split = true;
        status = least_count(c, low, high, true, start_s, plan, limits, &found);
    }
    if (status != PC_OK || c->quick)
        return status;
    pci_case whole = *c, held = *c;
    whole.film = true;
    if (found == 0)
        return whole_miss(&whole, low, high, start_s, margins, plan, limits);
    status = pci_part_plan(&whole, found, split, start_s, margins, plan, limits);
    /* Rarely the film comes out too thin, or the coarse search was a shade off: other counts. */
    held.film = whole.film;
    held.hopeless_excess = 1.0;
    for (int count = low; status == PC_OK && limits->count > 0 && count <= high; count++) {
        pc_part_plan other;
        pci_limits other_limits;
        status = try_count(&held, count, split, start_s, margins, &other, &other_limits);
        if (status == PC_OK && other_limits.count == 0) {
            *plan = other;
            *limits = other_limits;
        }
    }
    return status;
}
