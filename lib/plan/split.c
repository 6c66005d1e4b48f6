/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The least number of layers that meets every limit. */
#include <math.h>
#include <stdlib.h>

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
    bool *hot; /* set where a way misses by heat; may be NULL */
} plan_search;

static bool misses_heat(const pci_limits *limits) {
    for (size_t i = 0; i < limits->count; i++)
        if (limits->item[i].kind == PCI_LIMIT_PEAK)
            return true;
    return false;
}

static pc_status plan_way(const plan_search *s, const pour_way *way, bool margins,
                          pc_part_plan *plan, pci_limits *limits) {
    pci_case c = s->c;
    c.cooled = way->cooled;
    pc_status status = pci_part_plan(&c, way->count, way->split, s->start_s, margins, plan, limits);
    if (s->hot && misses_heat(limits))
        *s->hot = true;
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

/* A count that is being planned. */
typedef struct contender {
    pci_planning planning;
    pci_part_room room;
} contender;

/* Counts low to next - 1 have been begun; those that run away are gone again. */
typedef struct contest {
    const plan_search *s;
    contender *of[PC_LAYERS_MOST + 1];
    int next;
} contest;

static void drop(contest *all, int count) {
    if (all->of[count])
        pci_planning_end(&all->of[count]->planning);
    free(all->of[count]);
    all->of[count] = NULL;
}

static pc_status begin_next(contest *all) {
    const plan_search *s = all->s;
    int count = all->next++;
    contender *one = all->of[count] = calloc(1, sizeof *one);
    return one ? pci_planning_begin(&s->c, count, true, s->start_s, false, pci_part_in(&one->room),
                                    &one->planning)
               : PC_E_MEMORY;
}

/* The one that misses by least as far as is known, of equals the fewest; done: of those planned to
 * the end; 0: there is none. */
static int nearest(const contest *all, bool done) {
    int best = 0;
    for (int count = all->s->low; count < all->next; count++) {
        const contender *one = all->of[count];
        if (one && (one->planning.done || !done) &&
            (best == 0 ||
             pci_misses_by_less(&one->planning.limits, &all->of[best]->planning.limits)))
            best = count;
    }
    return best;
}

/* Once the best misses one kind of limit only, a peak that misses by more cannot be nearer: hot
 * stages poured on hot ones burn through in fronts that take long to follow. */
static pc_status step_on(contest *all, int count) {
    pci_planning *p = &all->of[count]->planning;
    int known = count > all->s->low ? nearest(all, true) : 0;
    const pci_limits *by = known > 0 ? &all->of[known]->planning.limits : NULL;
    p->run.c.hopeless_excess = by && pci_kinds_broken(by) == 1 ? by->worst : 0.0;
    pc_status status = pci_planning_step(p);
    if (count == all->s->low || (status != PC_E_LIMIT && status != PC_E_NUMERIC))
        return status;
    drop(all, count); /* it runs away: no nearer, whatever it would come to */
    return PC_OK;
}

/* Each count is planned on only while it might still be the nearest: layers, and films, break more
 * and more. The stages of a solid are begun one after the other, while more may help. */
static pc_status run_contest(contest *all, int *best) {
    const plan_search *s = all->s;
    bool hollow = s->c.part->kind != PC_SOLID;
    do
        PCI_TRY(begin_next(all));
    while (hollow && all->next <= s->high);
    for (;;) {
        *best = nearest(all, false);
        const pci_planning *p = &all->of[*best]->planning;
        if (!p->done) {
            PCI_TRY(step_on(all, *best));
        } else if (all->next <= s->high && stages_help(&s->c, &p->limits)) {
            PCI_TRY(begin_next(all));
        } else {
            return PC_OK;
        }
    }
}

static bool only_thin(const pci_limits *limits) {
    for (size_t i = 0; i < limits->count; i++)
        if (limits->item[i].kind != PCI_LIMIT_THIN)
            return false;
    return limits->count > 0;
}

/* Whether a search would end where the contest did: not where a count might work on cooled layers,
 * but for its films, or by splitting its cups. */
static bool is_settled(const contest *all, int best) {
    for (int count = all->s->low; count < all->next; count++) {
        const contender *one = all->of[count];
        if (!one || pci_ran_hot(&one->planning.run) ||
            (one->planning.finished && only_thin(&one->planning.limits)))
            return false;
    }
    const pci_planning *p = &all->of[best]->planning;
    for (size_t j = 0; j < p->plan->layer_count; j++)
        if (p->limits.count == 0 && p->plan->layer[j]->cups > 1)
            return false;
    return true;
}

/* The count that misses by least, or the least that works. *settled, where asked for: as
 * is_settled; where it is not, there is no more. */
static pc_status nearest_miss(const plan_search *s, bool *settled, pc_part_plan *best,
                              pci_limits *best_limits) {
    contest all = {.s = s, .next = s->low};
    int count = 0;
    pc_status status = run_contest(&all, &count);
    if (settled)
        *settled = status == PC_OK && is_settled(&all, count);
    if (settled ? *settled : status == PC_OK) {
        pci_part_copy(&all.of[count]->room.plan, best);
        *best_limits = all.of[count]->planning.limits;
    }
    for (int i = s->low; i < all.next; i++)
        drop(&all, i);
    return status;
}

static pc_status whole_miss(const plan_search *whole, bool margins, pc_part_plan *plan,
                            pci_limits *limits) {
    PCI_TRY(nearest_miss(whole, NULL, plan, limits));
    if (!margins || !whole->c.piece->margins.on)
        return PC_OK;
    pour_way nearest = {(int)plan->layer_count, true, false, NAN};
    return plan_way(whole, &nearest, true, plan, limits);
}

/* The way found, in full. Rarely the film comes out too thin, or the coarse search was a shade off:
 * then other counts. */
static pc_status plan_whole(const plan_search *whole, const pour_way *found, bool margins,
                            pc_part_plan *plan, pci_limits *limits) {
    const pci_limits any = {1, {{PCI_LIMIT_NONE, 0, NAN, NAN, 1.0}}, 1.0}; /* is too much */
    plan_search strict = *whole;
    strict.c.hopeless_excess = 1.0;
    strict.c.beat = &any;
    PCI_TRY(plan_way(whole, found, margins, plan, limits));
    for (int count = whole->low; limits->count > 0 && count <= whole->high; count++) {
        if (count == found->count)
            continue;
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
    bool hot = false;
    cool.c.prefer_cool = true;
    cool.hot = &hot;
    bool stated = isfinite(pci_case_peak_limit(c));
    PCI_TRY(find_way(stated || c->part->kind == PC_HOLLOW ? &cool : coarse, found));
    if (stated)
        return PC_OK;
    bool is_cool = found->count > 0;
    if (c->part->kind == PC_HOLLOW && !is_cool && hot) /* else it would go the same way again */
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

/* Where only limits are asked for, the search is as fine as the plan in full: most often one
 * contest does for both. */
static pc_status plan_at_once(const plan_search *s, bool *settled, pc_part_plan *plan,
                              pci_limits *limits) {
    plan_search cool = *s;
    cool.c.film = true;
    cool.c.prefer_cool = true;
    *settled = false;
    if (!s->c.limits_only || s->c.part->kind != PC_HOLLOW)
        return PC_OK;
    for (int number = 1; number <= s->high; number++)
        if (pci_drained(s->c.piece, s->c.part, number)) /* a slug's heat ends the search alone */
            return PC_OK;
    pc_status status = nearest_miss(&cool, settled, plan, limits);
    return status == PC_E_MEMORY ? status : PC_OK;
}

pc_status pci_part_split(const pci_case *c, double start_s, bool margins, pc_part_plan *plan,
                         pci_limits *limits) {
    plan_search coarse = {*c, pci_layers_least(c->part), pci_layers_most(c->part), start_s, NULL};
    if (c->part->layers_asked > 0)
        coarse.low = coarse.high = c->part->layers_asked;
    bool settled;
    PCI_TRY(plan_at_once(&coarse, &settled, plan, limits));
    if (settled)
        return PC_OK;
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
