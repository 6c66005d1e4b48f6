/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The least number of layers that meets every limit. */
#include <math.h>

#include "base/try.h"
#include "plan/layout.h"
#include "plan/part.h"

static const double SEARCH_REFINE = 0.6, SEARCH_TOLERANCE = 1e-4;

/* A way to pour a part: how many layers, batches over the largest mix split into cups, each layer
 * on a cooled one. count 0: not found. */
typedef struct pour_way {
    int count;
    bool split, cooled;
    double demold_s;
} pour_way;

/* What a search goes through. */
typedef struct plan_search {
    pci_case c;
    int low, high;
    double start_s;
} plan_search;

static pc_status plan_way(const plan_search *s, const pour_way *way, bool margins,
                          pc_part_plan *plan, pci_limits *limits) {
    pci_case c = s->c;
    c.cooled = way->cooled;
    pc_status status = pci_part_plan(&c, way->count, way->split, s->start_s, margins, plan, limits);
    return status == PC_E_LIMIT ? PC_OK : status; /* limits says so */
}

/* A count whose layers take one cup each is the same split or not: *again. */
static pc_status tried_before(const pci_case *c, int count, bool *again) {
    pci_part_room room;
    pc_part_plan *plan = pci_part_in(&room);
    pc_status status = pci_layout(c->piece, c->part, count, true, plan);
    *again = status == PC_OK;
    for (size_t j = 0; status == PC_OK && j < plan->layer_count; j++)
        if (plan->layer[j]->cups > 1)
            *again = false;
    return status;
}

static bool only_heat(const pci_limits *limits) {
    for (size_t i = 0; i < limits->count; i++)
        if (limits->item[i].kind != PCI_LIMIT_PEAK)
            return false;
    return limits->count > 0;
}

static bool misses_heat(const pci_limits *limits) {
    for (size_t i = 0; i < limits->count; i++)
        if (limits->item[i].kind == PCI_LIMIT_PEAK)
            return true;
    return false;
}

/* Of a solid more stages are for a limit of heat: to gain some seconds of pot life by ever smaller
 * cups they would be no answer. */
static bool stages_help(const pci_case *c, const pci_limits *limits) {
    return c->part->kind != PC_SOLID || limits->count == 0 || misses_heat(limits);
}

/* A coat at the gel of the one below and a coat on a cooled one, of one count: the first that meets
 * the limits. cooled_too: the second is worth asking. *more: more coats may help where it fails. */
static pc_status try_count(const plan_search *s, pour_way *way, bool cooled_too, bool *works,
                           bool *more) {
    pci_part_room room;
    pc_part_plan *plan = pci_part_in(&room);
    pci_limits limits;
    way->cooled = false;
    PCI_TRY(plan_way(s, way, false, plan, &limits));
    *more = stages_help(&s->c, &limits);
    if (cooled_too && way->count > 1 && only_heat(&limits)) {
        way->cooled = true;
        PCI_TRY(plan_way(s, way, false, plan, &limits));
    }
    *works = limits.count == 0;
    way->demold_s = plan->demold_s;
    return PC_OK;
}

/* The least count that works. Where that is one of coats on cooled ones, one of more coats, each at
 * the gel of the one below, may be out of the mold sooner. */
static pc_status least_count(const plan_search *s, bool split, pour_way *found) {
    found->count = 0;
    for (int count = s->low; count <= s->high; count++) {
        pour_way trial = {count, split, false, NAN};
        bool again = false, works = false, more = true;
        if (split && s->c.part->kind == PC_HOLLOW)
            PCI_TRY(tried_before(&s->c, count, &again));
        if (again)
            continue;
        PCI_TRY(try_count(s, &trial, found->count == 0, &works, &more));
        if (!works && !more && count == s->low)
            break;
        if (!works)
            continue;
        if (found->count == 0 || trial.demold_s < found->demold_s)
            *found = trial;
        if (!trial.cooled)
            break;
    }
    return PC_OK;
}

/* Only where no number of layers fits one cup each is a layer mixed in several. A solid is poured
 * cup after cup: more stages for their sake would only be more joints. */
static pc_status find_way(const plan_search *s, pour_way *found) {
    if (s->c.part->kind == PC_SOLID)
        return least_count(s, true, found);
    PCI_TRY(least_count(s, false, found));
    if (found->count > 0 || !isfinite(s->c.piece->shop.largest_mix_kg))
        return PC_OK;
    return least_count(s, true, found);
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

/* Where none works: the count that misses by least. Once the best misses one kind of limit only, a
 * peak that misses by more cannot be nearer: hot stages poured on hot ones burn through in fronts
 * that take long to follow. */
static pc_status nearest_miss(const plan_search *s, pc_part_plan *best, pci_limits *best_limits) {
    pci_part_room room;
    pc_part_plan *trial = pci_part_in(&room);
    pci_limits limits;
    pci_case one = s->c;
    for (int count = s->low; count <= s->high; count++) {
        if (count > s->low && !stages_help(&s->c, best_limits))
            break;
        one.hopeless_excess =
            count > s->low && kinds_broken(best_limits) == 1 ? best_limits->worst : 0.0;
        /* The film, which is slow to follow, can only break more. */
        one.film = count == s->low && s->c.film;
        pc_status status = pci_part_plan(&one, count, true, s->start_s, false, trial, &limits);
        bool nearer = status == PC_OK && (count == s->low || misses_by_less(&limits, best_limits));
        if (nearer && s->c.film && !one.film) {
            one.film = true;
            status = pci_part_plan(&one, count, true, s->start_s, false, trial, &limits);
            nearer = status == PC_OK && misses_by_less(&limits, best_limits);
        }
        if (runs_away(status, count, s->low))
            continue;
        PCI_TRY(status);
        if (nearer) {
            pci_part_copy(trial, best);
            *best_limits = limits;
        }
    }
    return PC_OK;
}

static pc_status whole_miss(const plan_search *whole, bool margins, pc_part_plan *plan,
                            pci_limits *limits) {
    PCI_TRY(nearest_miss(whole, plan, limits));
    if (!margins || !whole->c.piece->margins.on)
        return PC_OK;
    pour_way nearest = {(int)plan->layer_count, true, false, NAN};
    return plan_way(whole, &nearest, true, plan, limits);
}

/* The way found, in full. Rarely the film comes out too thin, or the coarse search was a shade off:
 * then other counts. */
static pc_status plan_whole(const plan_search *whole, const pour_way *found, bool margins,
                            pc_part_plan *plan, pci_limits *limits) {
    plan_search strict = *whole;
    strict.c.hopeless_excess = 1.0;
    PCI_TRY(plan_way(whole, found, margins, plan, limits));
    for (int count = whole->low; limits->count > 0 && count <= whole->high; count++) {
        pci_part_room room;
        pc_part_plan *other = pci_part_in(&room);
        pci_limits other_limits;
        pour_way trial = {count, found->split, found->cooled, NAN};
        PCI_TRY(plan_way(&strict, &trial, margins, other, &other_limits));
        if (other_limits.count > 0)
            continue;
        pci_part_copy(other, plan);
        *limits = other_limits;
    }
    return PC_OK;
}

/* By the coarse grid: the way, and whether it keeps the wall below the family's peak to warn of,
 * where neither resin nor mold states a limit. A hollow wall takes more layers for that as long as
 * some number works; the stages of a solid are not more for it, only poured on cooled ones. */
static pc_status find_cool_way(plan_search *coarse, pour_way *found) {
    const pci_case *c = &coarse->c;
    plan_search cool = *coarse;
    cool.c.prefer_cool = true;
    bool stated = isfinite(pci_case_peak_limit(c));
    PCI_TRY(find_way(stated || c->part->kind == PC_HOLLOW ? &cool : coarse, found));
    if (stated)
        return PC_OK;
    bool is_cool = found->count > 0;
    if (c->part->kind == PC_HOLLOW && !is_cool)
        PCI_TRY(find_way(coarse, found));
    if (c->part->kind == PC_SOLID && found->count > 1) {
        pour_way trial = *found;
        bool more;
        PCI_TRY(try_count(&cool, &trial, true, &is_cool, &more));
        if (is_cool)
            *found = trial;
    }
    coarse->c.prefer_cool = is_cool && (c->part->kind == PC_HOLLOW || found->count > 1);
    return PC_OK;
}

pc_status pci_part_split(const pci_case *c, double start_s, bool margins, pc_part_plan *plan,
                         pci_limits *limits) {
    plan_search coarse = {*c, pci_layers_least(c->part), pci_layers_most(c->part), start_s};
    if (c->part->layers_asked > 0)
        coarse.low = coarse.high = c->part->layers_asked;
    coarse.c.quick = true;
    if (!(c->refine > 0.0)) { /* the way found is planned again on the fine grid */
        coarse.c.refine = SEARCH_REFINE;
        coarse.c.tolerance = SEARCH_TOLERANCE;
    }
    pour_way found;
    PCI_TRY(find_cool_way(&coarse, &found));
    plan_search whole = coarse;
    whole.c = *c;
    if (c->quick) { /* all that is asked is whether there is a way */
        plan->layer_count = (size_t)found.count;
        limits->count = 0;
        limits->worst = 1.0;
        if (found.count == 0)
            pci_limit_broken(limits, PCI_LIMIT_NONE, 0, NAN, NAN, 2.0);
        return PC_OK;
    }
    whole.c.film = true;
    if (found.count == 0)
        return whole_miss(&whole, margins, plan, limits);
    if (!coarse.c.prefer_cool)
        return plan_whole(&whole, &found, margins, plan, limits);
    whole.c.prefer_cool = true;
    PCI_TRY(plan_whole(&whole, &found, margins, plan, limits));
    if (!only_heat(limits))
        return PC_OK;
    whole.c.prefer_cool = false; /* a shade over: it is warned of */
    return plan_whole(&whole, &found, margins, plan, limits);
}
