/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/layout.h"

#include <math.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "film/film_sums.h"
#include "piece/edges.h"
#include "piece/mixes.h"
#include "piece/piece_file.h"
#include "piece/shop.h"
#include "pourclock/turn.h"
#include "resin/cure_rate.h"

/* The part of the wall that the stated first layer leaves; the whole wall where it is all of it. */
static double rest_of_wall(const pc_part *part) {
    double rest_m = part->wall_m - part->first_layer_m;
    return rest_m > 1e-9 * part->wall_m ? rest_m : 0.0;
}

int pci_layers_least(const pc_part *part) {
    if (part->kind == PC_HOLLOW && part->coat_count > 0)
        return pci_coats_least(part);
    return part->kind == PC_HOLLOW && rest_of_wall(part) > 0.0 ? 2 : 1;
}

int pci_layers_most(const pc_part *part) {
    if (part->kind == PC_SOLID)
        return PC_LAYERS_MOST;
    if (part->coat_count > 0)
        return pci_coats_most(part);
    int least = pci_layers_least(part);
    if (!isnan(part->first_layer_m) && least == 1)
        return 1;
    /* A wall as thin as one covering layer, or thinner, is still one layer. */
    double over_m = least == 2 ? rest_of_wall(part) : part->wall_m;
    double most = floor(over_m / part->least_layer_m * (1.0 + 1e-9)) + (least == 2 ? 1.0 : 0.0);
    return (int)fmax(least, fmin(PC_LAYERS_MOST, most));
}

/* The first layer is the one the surface is judged by, and lies on the coldest wall: it stays thin.
 * The others share what is left. */
static double hollow_thickness(const pc_part *part, int count, int j) {
    double first_m = part->first_layer_m;
    if (part->coat_count > 0)
        return pci_coat_thickness(part, count, j + 1, PCI_FIRST_LAYER_MOST_M);
    if (isnan(first_m))
        first_m = count == 1 ? part->wall_m : fmin(PCI_FIRST_LAYER_MOST_M, part->wall_m / count);
    if (count == 1)
        return part->wall_m;
    return j == 0 ? first_m : (part->wall_m - first_m) / (count - 1);
}

/* Stages of a solid fill it from the bottom up, each as much of its height: a stack of slabs. One
 * pour is as deep as its heat has to go. */
static double solid_depth(const pc_part *part, int count, int j) {
    double half_m = pci_solid_half_m(part);
    return count == 1 ? half_m * j : 2.0 * half_m * j / count;
}

static pc_status volume_to(const pc_part *part, int count, int j, double depth_m,
                           double *volume_m3) {
    if (part->kind == PC_SOLID) {
        *volume_m3 = part->volume_m3 * j / count;
        return PC_OK;
    }
    return pc_shell_volume(&part->shape, depth_m, volume_m3);
}

static bool laid_by(const pc_piece *piece, const pc_part *part, int number, pc_coat_method method) {
    return part->kind == PC_HOLLOW && pci_layer_method(piece, part, number) == method;
}

bool pci_turned(const pc_piece *piece, const pc_part *part, int number) {
    return laid_by(piece, part, number, PC_COAT_TURN);
}

bool pci_drained(const pc_piece *piece, const pc_part *part, int number) {
    return laid_by(piece, part, number, PC_COAT_DRAIN);
}

bool pci_brushed(const pc_piece *piece, const pc_part *part, int number) {
    return laid_by(piece, part, number, PC_COAT_BRUSH);
}

/* What a layer is poured with: no more than the cavity has room for. */
static double poured(const pc_piece *piece, const pc_part *part, double filled_m3,
                     const pc_layer *layer) {
    if (!pci_drained(piece, part, layer->number))
        return layer->volume_m3;
    double room_m3 = 0.9 * (part->shape.volume_m3 - filled_m3); /* NaN where not known */
    return fmax(layer->volume_m3, fmin(PC_DRAIN_POUR * layer->volume_m3, room_m3));
}

/* How often cups are mixed side by side; a record filled by hand may leave the hands at 0. */
static int rounds_of(int cups, const pc_shop *shop) {
    int hands = shop->hands > 0 ? shop->hands : 1;
    return (cups + hands - 1) / hands;
}

/* A stream over the lip of a cup (judgment). */
static const double LIP_M = 0.06, STREAM_M = 0.008;

/* How long a mix with a filler takes to run out of its cup; 0 without one, when the shop's own
 * pour_time says it all. */
static double thick_pour(const pc_piece *piece, const pc_part *part, const pc_layer *layer) {
    const pc_resin *mix = pci_layer_resin(piece, part, layer->number);
    if (!(mix->fill.parts > 0.0))
        return 0.0;
    return pci_lip_time(mix->density_kg_m3, pci_viscosity(&mix->flow, 0.0, piece->shop.resin_K),
                        layer->poured_m3 / fmax(1.0, layer->rounds), LIP_M, STREAM_M);
}

/* A joint or a rim is filled at this pace, from cups of so much of it (judgment). */
static const double LAY_S_PER_M = 180.0, LAY_M_PER_CUP = 1.0;

static void plan_laying(const pc_piece *piece, const pc_part *part, pc_layer *layer) {
    pci_edge edge;
    if (!part->laid || !pci_edge_of(piece, part, &edge))
        return;
    layer->cups = (int)fmax(layer->cups, fmin(1000.0, ceil(edge.length_m / LAY_M_PER_CUP - 1e-9)));
    layer->rounds = rounds_of(layer->cups, &piece->shop);
    layer->least_pour_s = fmax(layer->least_pour_s, LAY_S_PER_M * edge.length_m / layer->cups);
}

/* A wall is brushed at this pace (judgment): a face coat, worked into every detail, takes half an
 * hour a square meter, a coat on its back ten minutes. */
static const double FACE_S_PER_M2 = 1800.0, BACK_S_PER_M2 = 600.0;

/* Cups small enough to be brushed out in their pot life, one after the other or side by side. */
static void plan_brush(const pc_piece *piece, const pc_part *part, pc_layer *layer) {
    const pc_coat *coat = pci_coat_of(part, layer->number);
    double most_kg = fmin(coat->cup_kg, piece->shop.largest_mix_kg);
    layer->cups = (int)fmin(1000.0, fmax(1.0, ceil(layer->batch_kg / most_kg - 1e-9)));
    layer->rounds = rounds_of(layer->cups, &piece->shop);
    layer->cup_s = coat->cup_s;
    if (isnan(coat->cup_s))
        layer->cup_s = (layer->number == 1 ? FACE_S_PER_M2 : BACK_S_PER_M2) * part->shape.area_m2 /
                       layer->cups;
}

static void weigh(const pc_piece *piece, const pc_part *part, bool split, pc_layer *layer) {
    const pc_shop *shop = &piece->shop;
    const pc_resin *mix = pci_layer_resin(piece, part, layer->number);
    layer->batch_kg = mix->density_kg_m3 * layer->poured_m3 / (1.0 - shop->cup_loss);
    if (part->kind == PC_SOLID)
        layer->trim_kg = mix->density_kg_m3 * (layer->poured_m3 - layer->volume_m3);
    layer->part_a_kg = layer->batch_kg * mix->share_a;
    layer->part_b_kg = layer->batch_kg * mix->share_b;
    layer->filler_kg = layer->batch_kg * mix->fill.share;
    pci_copy_text(layer->filler, sizeof layer->filler, mix->fill.of.name);
    if (strcmp(mix->name, piece->resin.name) != 0)
        pci_copy_text(layer->resin, sizeof layer->resin, mix->name);
    layer->cups = 1;
    if (split && layer->batch_kg > shop->largest_mix_kg)
        layer->cups = (int)fmin(1000.0, ceil(layer->batch_kg / shop->largest_mix_kg - 1e-9));
    layer->rounds = part->kind == PC_SOLID ? rounds_of(layer->cups, shop) : 1;
    layer->least_pour_s = thick_pour(piece, part, layer);
    if (pci_brushed(piece, part, layer->number))
        plan_brush(piece, part, layer);
    plan_laying(piece, part, layer);
}

static void blank_layer(pc_layer *layer) {
    memset(layer, 0, sizeof *layer);
    double *const unknown[] = {
        &layer->set_s,           &layer->first_gel_s,      &layer->gel_s,
        &layer->stop_s,          &layer->opens_s,          &layer->closes_s,
        &layer->closes_alone_s,  &layer->peak_K,           &layer->peak_s,
        &layer->mu_set_Pa_s,     &layer->drain_s,          &layer->pour_by_s,
        &layer->pot_life_s,      &layer->cup_gel_s,        &layer->cup_peak_K,
        &layer->cup_peak_s,      &layer->fill_T_K,         &layer->thin_m,
        &layer->mean_m,          &layer->thick_m,          &layer->lump_m3,
        &layer->unevenness,      &layer->froude,           &layer->fill_conversion,
        &layer->gel_late_s,      &layer->set_early_s,      &layer->gel_early_s,
        &layer->closes_early_s,  &layer->pour_by_early_s,  &layer->peak_late_K,
        &layer->peak_over_share, &layer->turns_set_to_gel, &layer->surplus_kg,
        &layer->drains_least_m,  &layer->drains_most_m,    &layer->fill_share,
        &layer->drain_mu_Pa_s,   &layer->drip_s,           &layer->back_good_s,
        &layer->back_peak_K,     &layer->back_peak_s,
    };
    for (size_t i = 0; i < sizeof unknown / sizeof *unknown; i++)
        *unknown[i] = NAN;
}

pc_status pci_layout(const pc_piece *piece, const pc_part *part, int count, bool split,
                     pc_part_plan *plan) {
    if (count < 1 || count > PC_LAYERS_MOST)
        return PC_E_ARGUMENT;
    *plan = (pc_part_plan){.layer = plan->layer};
    plan->kind = part->kind;
    pci_copy_text(plan->name, sizeof plan->name, part->name);
    plan->area_m2 = part->shape.area_m2 > 0.0 ? part->shape.area_m2 : NAN;
    plan->wall_m = part->kind == PC_SOLID ? NAN : part->wall_m;
    pci_copy_text(plan->mold, sizeof plan->mold, part->mold);
    plan->filled_m3 = plan->demold_s = plan->demold_late_s = plan->bond_by_s = NAN;
    plan->layer_count = (size_t)count;
    double depth_m = 0.0, volume_m3 = 0.0;
    for (int j = 0; j < count; j++) {
        pc_layer *layer = plan->layer[j];
        blank_layer(layer);
        layer->number = j + 1;
        layer->method = (int)pci_layer_method(piece, part, layer->number);
        layer->depth_m = depth_m;
        double next_m = part->kind == PC_SOLID ? solid_depth(part, count, j + 1)
                                               : depth_m + hollow_thickness(part, count, j);
        if (j == count - 1) /* no rounding error in the whole */
            next_m = part->kind == PC_SOLID ? solid_depth(part, count, count) : part->wall_m;
        double to_m3;
        PCI_TRY(volume_to(part, count, j + 1, next_m, &to_m3));
        layer->thickness_m = next_m - depth_m;
        layer->volume_m3 = to_m3 - volume_m3;
        if (!(layer->thickness_m > 0.0) || !(layer->volume_m3 > 0.0))
            return PC_E_ARGUMENT;
        layer->poured_m3 = poured(piece, part, volume_m3, layer);
        if (part->kind == PC_SOLID)
            layer->fill_share = (double)(j + 1) / count;
        if (j == count - 1) /* they stand full when the part is */
            layer->poured_m3 += pci_trim_m3(part);
        depth_m = next_m;
        volume_m3 = to_m3;
        weigh(piece, part, split, layer);
        plan->resin_kg += layer->batch_kg;
    }
    plan->shell_volume_m3 = volume_m3;
    return PC_OK;
}

double pci_cup_kg(const pc_layer *layer) {
    return layer->batch_kg / layer->cups;
}

void pci_layer_cup(pc_layer *layer, const pc_cup_events *cup) {
    layer->pot_life_s = cup->pot_life_s;
    layer->cup_gel_s = cup->gel_s;
    layer->cup_peak_K = cup->peak_K;
    layer->cup_peak_s = cup->peak_s;
    layer->pour_by_s = pci_last_mix(layer) + PCI_POT_SHARE * cup->pot_life_s;
}

double pci_last_mix(const pc_layer *layer) {
    return layer->pour_end_s - (layer->pour_end_s - layer->mix_s) / fmax(1.0, layer->rounds);
}

double pci_mix_time(const pc_shop *shop, const pc_layer *layer) {
    int rounds = rounds_of(layer->cups, shop);
    return pci_cup_mix_time(shop, pci_cup_kg(layer)) * (layer->rounds > 1 ? 1 : rounds);
}

void pci_layer_clock(const pc_shop *shop, double mix_s, pc_layer *layer) {
    double mix_time_s = pci_mix_time(shop, layer);
    layer->mix_s = mix_s;
    layer->pour_s = mix_s + mix_time_s;
    double pour_time_s = fmax(layer->least_pour_s, shop->pour_time_s);
    if (layer->cup_s > 0.0) /* brushed out, not poured */
        pour_time_s = layer->cup_s;
    layer->pour_end_s = mix_s + layer->rounds * (mix_time_s + pour_time_s);
}

double pci_solid_half_m(const pc_part *part) {
    double area_m2 = part->shape.area_m2;
    if (!(area_m2 > 0.0))
        area_m2 = cbrt(36.0 * PC_PI * part->volume_m3 * part->volume_m3);
    return (1.0 + (double)part->form) * part->volume_m3 / area_m2;
}

double pc_pour_deadline(const pc_part_plan *plan, size_t layer) {
    if (!plan || layer >= plan->layer_count || layer >= PC_LAYERS_MOST)
        return NAN;
    const pc_layer *l = plan->layer[layer];
    double by_s = fmin(l->pour_by_s, l->pour_by_early_s);
    double bond_s = layer > 0 ? pc_bond_deadline(plan->layer[layer - 1]) : plan->bond_by_s;
    return bond_s > l->pour_s ? fmin(by_s, bond_s) : by_s;
}
