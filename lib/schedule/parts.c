/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "schedule/parts.h"

#include <math.h>
#include <stdlib.h>

#include "base/text.h"
#include "base/try.h"
#include "plan/layout.h"
#include "schedule/build.h"
#include "schedule/side_by_side.h"

typedef struct plan_all {
    const pc_piece *piece;
    const pci_how *how;
    pci_pour_order molds;
    pc_part_plan *const *plan;
    pci_limits *limits;
    pci_mold_work *work;           /* of each mold */
    double start_s[PC_PARTS_MOST]; /* of each mold */
} plan_all;

bool pci_pin_is_of(const pc_piece *piece, size_t pin, size_t part) {
    size_t named;
    return pci_parts_named(piece, piece->pin[pin].part, &named) > 0 && named == part;
}

double pci_set_time(const pc_piece *piece, size_t part) {
    double time_s = piece->part[part].role == PC_ROLE_SEAM ? PCI_JOIN_S : 0.0;
    time_s += piece->part[part].turn_over ? PCI_OVER_S : 0.0;
    for (size_t k = 0; k < piece->pin_count && k < PC_PINS_MOST; k++)
        if (pci_pin_is_of(piece, k, part))
            time_s += PCI_SET_S * piece->pin[k].count;
    return time_s;
}

/* ---- one mold ---- */

static pc_status plan_part(plan_all *all, size_t part, double start_s, double stood_s) {
    pci_case c;
    pci_case_nominal(all->piece, &all->piece->part[part], &c);
    c.refine = all->how->refine;
    c.tolerance = all->how->tolerance;
    c.mold_stood_s = stood_s;
    c.sphere = all->how->sphere;
    c.limits_only = all->how->limits_only;
    return pci_part_split(&c, start_s, all->how->margins, all->plan[part], &all->limits[part]);
}

static const pc_layer *last_layer(const pc_part_plan *plan) {
    return plan->layer[plan->layer_count - 1];
}

/* When hands are free for the next part in the mold. While a solid gels nothing has to be turned.
 */
static double free_in_mold(const pc_piece *piece, const pc_part_plan *below, size_t part) {
    const pc_layer *last = last_layer(below);
    double set_s = pci_set_time(piece, part);
    if (below->kind == PC_SOLID) /* what is turned over before it has gelled runs out */
        return (piece->part[part].turn_over ? ceil(last->stop_s - 1e-6) : last->pour_end_s) + set_s;
    double stop_s = ceil(last->stop_s - 1e-6);
    bool free = piece->turning.method == PC_MACHINE || piece->shop.hands > 1;
    if (set_s > 0.0) /* into a mold that stands open */
        return stop_s + PCI_HANDS_S + set_s;
    return free ? last->pour_end_s + PCI_HANDS_S : stop_s;
}

/* A solid that another part is poured on has gelled enough not to run by its gel, of which the skin
 * on the cold mold is the last. Where waiting for an unlucky day's gel would miss its bond, that
 * pour comes as soon after the nominal one as the bond asks for. */
static void open_below(const pc_piece *piece, pc_part_plan *below) {
    pc_layer *last = below->layer[below->layer_count - 1];
    double latest_s = pc_bond_deadline(last) - piece->shop.pour_time_s;
    if (below->kind == PC_SOLID && latest_s < last->stop_s)
        last->stop_s = last->opens_s = fmax(last->gel_s, latest_s);
}

/* Until when the next part bonds to the one below: in the worst cases too or, where it comes too
 * late for those, by the plan. */
static double bond_by(const pc_part_plan *below, const pc_part_plan *plan) {
    const pc_layer *last = last_layer(below);
    double by_s = pc_bond_deadline(last);
    return plan->layer[0]->pour_end_s > by_s ? pci_bond_closes(last) : by_s;
}

/* Earliest mix of a part whose mixing takes mix_time_s: it is poured when the part below has gelled
 * enough not to run, and has waited as long as a layer of the shop has to. */
static double mix_in_mold(const pc_piece *piece, const pc_part_plan *below, size_t part,
                          double mix_time_s) {
    double pour_s = last_layer(below)->stop_s + piece->shop.least_layer_wait_s;
    if (isnan(pour_s)) /* it never gels: a limit says so */
        pour_s = below->layer[0]->mix_s + PCI_LONGEST_S;
    return fmax(ceil(pour_s - 1e-6) - ceil(mix_time_s - 1e-6),
                ceil(fmax(0.0, free_in_mold(piece, below, part)) - 1e-6));
}

/* Whether a plan is the same at any other start. */
static bool is_steady(const pc_piece *piece) {
    return piece->shop.day_count == 0 &&
           (!piece->shop.mold_given || piece->shop.mold_K == piece->shop.air_K);
}

/* How long mixing takes is known once the part is planned: then it is planned again for it. */
static pc_status plan_on(plan_all *all, size_t below, size_t part, double first_s) {
    const pc_piece *piece = all->piece;
    const pc_part_plan *under = all->plan[below];
    pc_part_plan *plan = all->plan[part];
    double start_s = mix_in_mold(piece, under, part, PC_MIX_LEAST_S);
    PCI_TRY(plan_part(all, part, start_s, start_s - first_s));
    double mix_time_s = plan->layer[0]->pour_s - plan->layer[0]->mix_s;
    double again_s = mix_in_mold(piece, under, part, mix_time_s);
    if (again_s == start_s)
        return PC_OK;
    if (!is_steady(piece))
        return plan_part(all, part, again_s, again_s - first_s);
    pci_part_shift(plan, again_s - start_s);
    return PC_OK;
}

static pc_status plan_mold(plan_all *all, size_t mold, double start_s) {
    const size_t *part = all->molds.part[mold];
    PCI_TRY(plan_part(all, part[0], start_s, 0.0));
    const char *name = all->piece->part[part[0]].mold; /* spelled alike in all of them */
    for (size_t k = 1; k < all->molds.part_count[mold]; k++) {
        open_below(all->piece, all->plan[part[k - 1]]);
        PCI_TRY(plan_on(all, part[k - 1], part[k], start_s));
        pc_part_plan *plan = all->plan[part[k]];
        plan->bond_by_s = bond_by(all->plan[part[k - 1]], plan);
        plan->on_part = (int)part[k - 1] + 1;
        pci_copy_text(plan->mold, sizeof plan->mold, name);
    }
    return PC_OK;
}

/* ---- its work ---- */

static void add_job(pci_mold_work *work, double from_s, double until_s, int hands, bool turning) {
    if (until_s > from_s && work->job_count < PCI_JOBS_MOST)
        work->job[work->job_count++] = (pci_job){from_s, until_s, hands, turning};
}

/* Mixing and pouring; what follows until the hands are free; and the stop. */
static void add_layer_jobs(const pc_piece *piece, size_t part, const pc_layer *layer, double zero_s,
                           pci_mold_work *work) {
    const pc_part *shape = &piece->part[part];
    double mix_s = layer->mix_s - zero_s, in_s = layer->pour_end_s - zero_s;
    double stop_s = layer->stop_s - zero_s, out_s = layer->drain_s - zero_s;
    int cups = layer->cups < piece->shop.hands ? layer->cups : piece->shop.hands;
    int hands = cups > 1 ? cups : 1;
    bool brushed = pci_brushed(piece, shape, layer->number);
    if (shape->kind == PC_SOLID || brushed) {
        add_job(work, mix_s, in_s, hands, false);
    } else if (pci_drained(piece, shape, layer->number)) {
        add_job(work, mix_s, in_s, hands, false);
        add_job(work, in_s, out_s + fmax(PCI_HANDS_S, layer->pour_end_s - layer->pour_s), 1, true);
    } else if (piece->turning.method == PC_HAND) {
        add_job(work, mix_s, in_s, hands, false);
        add_job(work, in_s, stop_s, 1, true);
    } else {
        add_job(work, mix_s, in_s + PCI_HANDS_S, hands, false);
        add_job(work, stop_s, stop_s + PCI_HANDS_S, 1, false);
        work->machine_from_s = fmin(work->machine_from_s, in_s); /* fmin drops NaN */
        work->machine_until_s = fmax(work->machine_until_s, stop_s + PCI_HANDS_S);
    }
}

static double demold_of(const pc_part_plan *plan) {
    return isnan(plan->demold_late_s) ? plan->demold_s : plan->demold_late_s;
}

/* zero_s: the first mix in the mold. */
static void fill_work(const plan_all *all, size_t mold, pci_mold_work *work) {
    const size_t *part = all->molds.part[mold];
    double zero_s = all->plan[part[0]]->layer[0]->mix_s;
    work->job_count = 0;
    work->machine_from_s = work->machine_until_s = NAN;
    work->ready_s = 0.0;
    for (size_t k = 0; k < all->molds.part_count[mold]; k++) {
        const pc_part_plan *plan = all->plan[part[k]];
        double set_s = pci_set_begins(all->piece, all->plan, part[k]) - zero_s;
        add_job(work, set_s, set_s + pci_set_time(all->piece, part[k]), 1, false);
        for (size_t j = 0; j < plan->layer_count; j++)
            add_layer_jobs(all->piece, part[k], plan->layer[j], zero_s, work);
        work->ready_s = fmax(work->ready_s, demold_of(plan) - zero_s);
    }
    for (size_t i = 0; i < work->job_count; i++)
        work->ready_s = fmax(work->ready_s, work->job[i].until_s);
}

/* A part that is poured after one of another mold is poured once that one is out. */
static void fill_waits(const plan_all *all) {
    const pci_pour_order *molds = &all->molds;
    for (size_t m = 0; m < molds->count; m++)
        for (size_t n = 0; n < molds->count; n++)
            all->work[m].least_after_s[n] = -INFINITY;
    for (size_t i = 0; i < all->piece->part_count; i++)
        for (size_t k = 0; k < all->piece->part_count; k++) {
            size_t m = molds->of_part[i], n = molds->of_part[k];
            if (!molds->after[i][k] || m == n)
                continue;
            double zero_s = all->plan[molds->part[m][0]]->layer[0]->mix_s;
            double begins_s = pci_set_begins(all->piece, all->plan, i) - zero_s;
            double *least_s = &all->work[m].least_after_s[n];
            *least_s = fmax(*least_s, all->work[n].ready_s - begins_s);
        }
}

static void fill_works(const plan_all *all) {
    for (size_t m = 0; m < all->molds.count; m++)
        fill_work(all, m, &all->work[m]);
    fill_waits(all);
}

/* ---- side by side ---- */

static void shift_molds(const plan_all *all) {
    for (size_t i = 0; i < all->piece->part_count; i++)
        pci_part_shift(all->plan[i], all->start_s[all->molds.of_part[i]]);
}

static bool waits(const plan_all *all, const bool placed[], size_t mold) {
    for (size_t n = 0; n < all->molds.count; n++)
        if (all->molds.mold_after[mold][n] && !placed[n])
            return true;
    return false;
}

static size_t next_mold(const plan_all *all, const bool placed[], const double start_s[]) {
    size_t next = all->molds.count;
    for (size_t m = 0; m < all->molds.count; m++)
        if (!placed[m] && !waits(all, placed, m) &&
            (next == all->molds.count || start_s[m] < start_s[next]))
            next = m;
    return next;
}

/* Planned at the time it is begun, its jobs come at other times, for which it may have to be begun
 * at another: a few times over, then after all that others do. */
static pc_status settle_mold(plan_all *all, size_t mold, const bool placed[]) {
    enum { ROUNDS = 6 };
    int hands = all->piece->shop.hands;
    double planned_s = 0.0;
    for (int round = 0; round <= ROUNDS; round++) {
        fill_works(all);
        PCI_TRY(pci_soonest_start(all->work, all->molds.count, hands, placed, mold, all->start_s));
        if (round == ROUNDS) /* to where it fits whatever its jobs are */
            for (size_t m = 0; m < all->molds.count; m++)
                if (placed[m])
                    all->start_s[mold] =
                        fmax(all->start_s[mold], ceil(all->start_s[m] + all->work[m].ready_s -
                                                      all->work[mold].job[0].from_s));
        if (all->start_s[mold] == planned_s)
            return PC_OK;
        planned_s = all->start_s[mold];
        PCI_TRY(plan_mold(all, mold, planned_s));
    }
    return PC_OK;
}

/* Where the hour matters: in the order found, each planned for its own hour. */
static pc_status settle_molds(plan_all *all) {
    bool placed[PC_PARTS_MOST] = {false};
    double begin_s[PC_PARTS_MOST];
    for (size_t m = 0; m < all->molds.count; m++)
        begin_s[m] = all->start_s[m];
    for (size_t n = 0; n < all->molds.count; n++) {
        size_t m = next_mold(all, placed, begin_s);
        PCI_TRY(settle_mold(all, m, placed));
        placed[m] = true;
    }
    return PC_OK;
}

static pc_status arrange_molds(plan_all *all) {
    if (all->molds.count == 1)
        return PC_OK;
    fill_works(all);
    PCI_TRY(pci_side_by_side(all->work, all->molds.count, all->piece->shop.hands, all->start_s));
    if (all->piece->shop.day_count > 0)
        return settle_molds(all);
    shift_molds(all);
    return PC_OK;
}

static pc_status plan_molds(plan_all *all) {
    for (size_t m = 0; m < all->molds.count; m++)
        PCI_TRY(plan_mold(all, m, 0.0));
    return arrange_molds(all);
}

/* A part waits for all of a mold. */
static void note_waits(const plan_all *all) {
    const pci_pour_order *molds = &all->molds;
    for (size_t i = 0; i < all->piece->part_count; i++) {
        all->plan[i]->ready_s = pci_set_time(all->piece, i);
        all->plan[i]->waits_for = 0;
        for (size_t k = 0; k < all->piece->part_count; k++)
            for (size_t n = 0; n < all->piece->part_count; n++)
                if (molds->after[i][n] && molds->of_part[n] == molds->of_part[k] &&
                    molds->of_part[i] != molds->of_part[k])
                    all->plan[i]->waits_for |= 1u << k;
    }
}

pc_status pci_plan_parts(const pc_piece *piece, const pci_how *how, pc_part_plan *const plan[],
                         pci_limits limits[]) {
    size_t circle;
    plan_all *all = calloc(1, sizeof *all);
    if (!all)
        return PC_E_MEMORY;
    all->piece = piece;
    all->how = how;
    all->plan = plan;
    all->limits = limits;
    pc_status status = pci_molds_of(piece, &all->molds, &circle);
    if (status == PC_OK) {
        all->work = calloc(all->molds.count, sizeof *all->work);
        status = all->work ? plan_molds(all) : PC_E_MEMORY;
    }
    if (status == PC_OK)
        note_waits(all);
    free(all->work);
    free(all);
    if (status == PC_OK)
        pci_demold_together(plan, piece->part_count);
    return status;
}

/* ---- parts of one mold, by their plans ---- */

size_t pci_part_below(pc_part_plan *const plan[], size_t count, size_t part) {
    size_t on_part = plan[part]->on_part > 0 ? (size_t)plan[part]->on_part : count + 1;
    return on_part <= count ? on_part - 1 : count;
}

size_t pci_part_above(pc_part_plan *const plan[], size_t count, size_t part) {
    size_t above = 0;
    while (above < count && pci_part_below(plan, count, above) != part)
        above++;
    return above;
}

bool pci_set_in_wet(const pc_piece *piece, pc_part_plan *const plan[], size_t part) {
    size_t below = pci_part_below(plan, piece->part_count, part);
    return below < piece->part_count && plan[below]->kind == PC_SOLID &&
           plan[below]->layer_count > 0 && pci_set_time(piece, part) > 0.0 &&
           !piece->part[part].turn_over && piece->part[part].role != PC_ROLE_SEAM;
}

double pci_set_begins(const pc_piece *piece, pc_part_plan *const plan[], size_t part) {
    if (pci_set_in_wet(piece, plan, part))
        return last_layer(plan[pci_part_below(plan, piece->part_count, part)])->pour_end_s;
    return plan[part]->layer[0]->mix_s - pci_set_time(piece, part);
}

static double later(double a, double b) {
    return isnan(a) || isnan(b) ? NAN : fmax(a, b);
}

void pci_demold_together(pc_part_plan *const plan[], size_t count) {
    for (size_t last = 0; last < count; last++) {
        double demold_s = plan[last]->demold_s, late_s = plan[last]->demold_late_s;
        if (pci_part_above(plan, count, last) < count)
            continue;
        for (size_t i = last; i < count; i = pci_part_below(plan, count, i)) {
            demold_s = later(demold_s, plan[i]->demold_s);
            late_s = later(late_s, plan[i]->demold_late_s);
        }
        for (size_t i = last; i < count; i = pci_part_below(plan, count, i)) {
            plan[i]->demold_s = demold_s;
            plan[i]->demold_late_s = late_s;
        }
    }
}
