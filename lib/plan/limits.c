/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The limits of a layer, and by how much it misses them. */
#include <math.h>

#include "plan/layout.h"
#include "plan/part.h"
#include "pourclock/film.h"

const char *pci_limit_code(pci_limit_kind kind) {
    switch (kind) {
#define CODE_CASE(name, code)                                                                      \
    case name:                                                                                     \
        return code;
        PCI_LIMIT_TABLE(CODE_CASE)
#undef CODE_CASE
    }
    return "";
}

void pci_limit_broken(pci_limits *limits, pci_limit_kind kind, int layer, double is, double may_be,
                      double excess) {
    if (limits->count < PCI_LIMITS_MOST)
        limits->item[limits->count++] = (pci_limit){kind, layer, is, may_be, excess};
    limits->worst = fmax(limits->worst, excess);
}

static const double ROUNDING = 1.0 + 1e-9;

/* The thin 5 % of the wall decides where it is known, not the mean. Not so for hands, which do not
 * tilt alike twice, nor for a layer that hangs on the wall from its pour: it is spread by hand
 * before it is turned. A warning says so in both cases. */
bool pci_film_decides(const pc_piece *piece, const pc_layer *layer) {
    return piece->turning.method == PC_MACHINE && layer->set_s > layer->pour_end_s;
}

static double deciding_thickness(const pc_piece *piece, const pc_layer *layer) {
    bool mapped = !isnan(layer->thin_m) && pci_film_decides(piece, layer);
    return mapped ? layer->thin_m : layer->thickness_m;
}

bool pci_too_thin(const pci_case *c, const pc_layer *layer) {
    return !(deciding_thickness(c->piece, layer) * ROUNDING >= c->part->least_layer_m);
}

/* Limits that the batch alone decides. */
void pci_judge_batch(const pci_case *c, const pc_layer *layer, int count, pci_limits *limits) {
    const pc_piece *piece = c->piece;
    const pc_part *part = c->part;
    double eps = ROUNDING;
    double takes_s = layer->pour_end_s - pci_last_mix(layer),
           may_s = PCI_POT_SHARE * layer->pot_life_s;
    /* A pot life that is not known has no end in the 30 days a cup is followed. */
    if (!isnan(may_s) && !(takes_s <= may_s * eps))
        pci_limit_broken(limits, PCI_LIMIT_POT_LIFE, layer->number, takes_s, may_s,
                         takes_s / may_s);
    if (!(pci_cup_kg(layer) <= piece->shop.largest_mix_kg * eps))
        pci_limit_broken(limits, PCI_LIMIT_MIX, layer->number, pci_cup_kg(layer),
                         piece->shop.largest_mix_kg,
                         pci_cup_kg(layer) / piece->shop.largest_mix_kg);
    if (part->kind == PC_SOLID)
        return;
    if (pci_brushed(piece, part, layer->number))
        return; /* as thin as it is asked to be */
    if (pci_too_thin(c, layer)) {
        double thin_m = deciding_thickness(piece, layer);
        pci_limit_broken(limits, PCI_LIMIT_THIN, layer->number, thin_m, part->least_layer_m,
                         part->least_layer_m / fmax(thin_m, 1e-6));
    }
    bool first_free = !isnan(part->first_layer_m) || part->layers_asked == count;
    if (layer->number == 1 && !first_free && !(layer->thickness_m <= PCI_FIRST_LAYER_MOST_M * eps))
        pci_limit_broken(limits, PCI_LIMIT_FIRST, 1, layer->thickness_m, PCI_FIRST_LAYER_MOST_M,
                         layer->thickness_m / PCI_FIRST_LAYER_MOST_M);
}

static void judge_peak(const pci_case *c, const pc_layer *layer, pci_limits *limits) {
    double peak_most_K = pci_case_peak_limit(c);
    if (isfinite(peak_most_K) && !(layer->peak_K <= peak_most_K)) {
        double base_K = fmin(layer->fill_T_K, peak_most_K - 1.0);
        pci_limit_broken(limits, PCI_LIMIT_PEAK, layer->number, layer->peak_K, peak_most_K,
                         (layer->peak_K - base_K) / (peak_most_K - base_K));
    }
}

static void judge_turns(const pci_case *c, const pc_layer *layer, pci_limits *limits) {
    if (pci_turned(c->piece, c->part, layer->number) &&
        !(layer->turns_set_to_gel >= PC_TURNS_LEAST))
        pci_limit_broken(limits, PCI_LIMIT_TURNS, layer->number, layer->turns_set_to_gel,
                         PC_TURNS_LEAST, PC_TURNS_LEAST / fmax(layer->turns_set_to_gel, 0.1));
}

bool pci_drains(const pc_layer *layer) {
    return !(layer->thickness_m * ROUNDING < layer->drains_least_m) &&
           !(layer->thickness_m > layer->drains_most_m * ROUNDING);
}

/* What draining leaves on the wall has a least and a most. */
static void judge_drain(const pc_layer *layer, pci_limits *limits) {
    double film_m = layer->thickness_m;
    if (pci_drains(layer))
        return;
    double may_m = film_m < layer->drains_least_m ? layer->drains_least_m : layer->drains_most_m;
    pci_limit_broken(limits, PCI_LIMIT_DRAIN, layer->number, film_m, may_m,
                     fmax(film_m / may_m, may_m / film_m));
}

int pci_kinds_broken(const pci_limits *limits) {
    unsigned kinds = 0;
    int count = 0;
    for (size_t i = 0; i < limits->count; i++) {
        unsigned bit = 1u << limits->item[i].kind;
        count += (kinds & bit) == 0;
        kinds |= bit;
    }
    return count;
}

bool pci_misses_by_less(const pci_limits *a, const pci_limits *b) {
    int kinds_a = pci_kinds_broken(a), kinds_b = pci_kinds_broken(b);
    return kinds_a != kinds_b ? kinds_a < kinds_b : a->worst < b->worst;
}

void pci_judge_so_far(const pci_case *c, const pc_part_plan *plan, size_t layers,
                      pci_limits *limits) {
    limits->count = 0;
    limits->worst = 1.0;
    for (size_t j = 0; j < layers; j++) {
        pci_judge_batch(c, plan->layer[j], (int)plan->layer_count, limits);
        if (isnan(plan->layer[j]->gel_s))
            break;
        judge_turns(c, plan->layer[j], limits);
        judge_drain(plan->layer[j], limits);
    }
}

/* A layer that never gels ends the plan: of its wall, and of the layers that were to follow, there
 * is nothing to judge but that the part does not cure. */
void pci_judge(const pci_case *c, const pc_part_plan *plan, pci_limits *limits) {
    limits->count = 0;
    limits->worst = 1.0;
    for (size_t j = 0; j < plan->layer_count; j++) {
        pci_judge_batch(c, plan->layer[j], (int)plan->layer_count, limits);
        if (isnan(plan->layer[j]->gel_s))
            break;
        judge_peak(c, plan->layer[j], limits);
        judge_turns(c, plan->layer[j], limits);
        judge_drain(plan->layer[j], limits);
    }
    if (isnan(plan->demold_s))
        pci_limit_broken(limits, PCI_LIMIT_CURE, (int)plan->layer_count, PCI_LONGEST_S,
                         PCI_LONGEST_S, 2.0);
}
