/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a part, and a layer of it, is cast in: the piece's resin unless it states one, or a filler,
 * of its own. */
#include "piece/mixes.h"

#include <math.h>
#include <stdlib.h>

#include "base/text.h"
#include "base/try.h"
#include "sheet/filler_file.h"

const pc_coat *pci_coat_of(const pc_part *part, int number) {
    for (size_t i = 0; i < part->coat_count && i < PC_COATS_MOST; i++)
        if (part->coat[i].number == number)
            return &part->coat[i];
    return NULL;
}

static const pc_resin *mix_at(const pc_piece *piece, size_t mix) {
    return mix > 0 && mix <= piece->mix_count ? &piece->mix[mix - 1].resin : &piece->resin;
}

const pc_resin *pci_mix_of(const pc_piece *piece, size_t index) {
    return index <= piece->mix_count ? mix_at(piece, index) : NULL;
}

const pc_resin *pci_layer_resin(const pc_piece *piece, const pc_part *part, int number) {
    const pc_coat *coat = pci_coat_of(part, number);
    return mix_at(piece, coat && coat->mix > 0 ? coat->mix : part->mix);
}

const pc_resin *pc_piece_resin(const pc_piece *piece, size_t part, int layer) {
    if (!piece)
        return NULL;
    if (part >= piece->part_count || part >= PC_PARTS_MOST)
        return &piece->resin;
    return pci_layer_resin(piece, &piece->part[part], layer);
}

pc_coat_method pci_layer_method(const pc_piece *piece, const pc_part *part, int number) {
    const pc_coat *coat = pci_coat_of(part, number);
    if (coat && coat->method != PC_COAT_AS_PIECE)
        return (pc_coat_method)coat->method;
    return piece->turning.method == PC_DRAIN ? PC_COAT_DRAIN : PC_COAT_TURN;
}

static pc_status add_mix(pc_piece *piece, const pc_mix *mix, size_t *place) {
    pc_mix *more = realloc(piece->mix, (piece->mix_count + 1) * sizeof *more);
    if (!more)
        return PC_E_MEMORY;
    piece->mix = more;
    more[piece->mix_count] = *mix;
    *place = ++piece->mix_count;
    return PC_OK;
}

pc_status pci_read_mix(pc_piece *piece, const pci_at *resin, const pci_at *filler, size_t base,
                       size_t *place) {
    pc_mix mix = {.base = base};
    pci_copy_text(mix.section, sizeof mix.section, resin->section);
    *place = 0;
    if (!resin->value && !filler->value)
        return PC_OK;
    size_t from = resin->errors ? resin->errors->count : 0;
    if (resin->value) {
        mix.own_resin = true;
        pc_status status = pc_resin_find(resin->value, piece->path, &mix.resin, resin->errors);
        pci_errors_place(resin, from);
        PCI_TRY(status);
    }
    if (filler->value) {
        pci_filler_defaults(&mix.filler);
        PCI_TRY(pci_filler_value(filler, piece->path, &mix.filler, &mix.filler_parts));
        if (isnan(mix.filler_parts) || isnan(mix.filler.density_kg_m3))
            return pci_refuse(
                filler, PC_E_VALUE,
                "\"%.60s\" does not say both which filler and how much: write such as "
                "bronze-powder 250 parts",
                filler->value);
    }
    return add_mix(piece, &mix, place);
}

static pc_status settle_mix(pc_piece *piece, const pci_ini *ini, pc_mix *mix, pc_errors *errors) {
    pci_at at = {piece->path, 0, mix->section, "filler", NULL, errors};
    if (ini)
        at = pci_ini_at(ini, mix->section, "filler", errors);
    if (!mix->own_resin)
        mix->resin = *mix_at(piece, mix->base);
    const pc_catalyst *catalyst = &mix->resin.catalyst;
    double level = piece->shop.catalyst;
    if (mix->own_resin && catalyst->at > 0.0 && level > 0.0 && level != catalyst->level)
        PCI_TRY(pc_resin_set_catalyst(&mix->resin, level, errors));
    if (mix->filler_parts > 0.0)
        return pci_fill_at(&at, &mix->resin, &mix->filler, mix->filler_parts);
    return PC_OK;
}

/* A part's mix comes before those of its layers, which may be based on it. */
pc_status pci_mixes_settle(pc_piece *piece, const pci_ini *ini, pc_errors *errors) {
    pc_status status = PC_OK;
    for (size_t i = 0; i < piece->mix_count && piece->resin.name[0]; i++)
        status = pci_first(status, settle_mix(piece, ini, &piece->mix[i], errors));
    return status;
}

static double fixed_thickness(const pc_part *part, int number) {
    const pc_coat *coat = pci_coat_of(part, number);
    return number == 1 ? part->first_layer_m : coat ? coat->thickness_m : NAN;
}

/* What the layers of a stated thickness leave of the wall, how many they are, and the highest
 * number stated. */
static double rest_of_wall(const pc_part *part, int *fixed, int *highest) {
    double rest_m = part->wall_m;
    *fixed = *highest = 0;
    for (int number = 1; number <= PC_LAYERS_MOST; number++) {
        double thick_m = fixed_thickness(part, number);
        if (!isnan(thick_m)) {
            rest_m -= thick_m;
            ++*fixed;
        }
        if (!isnan(thick_m) || pci_coat_of(part, number))
            *highest = number;
    }
    return rest_m > 1e-9 * part->wall_m ? rest_m : 0.0;
}

int pci_coats_least(const pc_part *part) {
    int fixed, highest;
    double rest_m = rest_of_wall(part, &fixed, &highest);
    int least = fixed + (rest_m > 0.0 ? 1 : 0);
    return least > highest ? least : highest;
}

int pci_coats_most(const pc_part *part) {
    int fixed, highest;
    double rest_m = rest_of_wall(part, &fixed, &highest);
    int least = pci_coats_least(part);
    double most = fixed + floor(rest_m / part->least_layer_m * (1.0 + 1e-9));
    return most < least ? least : most < PC_LAYERS_MOST ? (int)most : PC_LAYERS_MOST;
}

/* As without coats: a first layer that nothing is said of is thin, the others share what is left.
 */
double pci_coat_thickness(const pc_part *part, int count, int number, double first_most_m) {
    double thick_m = fixed_thickness(part, number);
    if (!isnan(thick_m))
        return thick_m;
    int fixed, highest;
    double rest_m = rest_of_wall(part, &fixed, &highest);
    int free_layers = count - fixed;
    bool first_free = isnan(fixed_thickness(part, 1));
    double first_m = first_free ? fmin(first_most_m, rest_m / free_layers) : 0.0;
    if (first_free && number == 1)
        return free_layers == 1 ? rest_m : first_m;
    return (rest_m - first_m) / (free_layers - (first_free ? 1 : 0));
}

double pci_coat_holds_m(const pc_coat *coat, double density_kg_m3) {
    double by_yield_m = coat->yield_Pa / (density_kg_m3 * PC_GRAVITY);
    return fmin(by_yield_m, coat->no_run_m); /* fmin skips NaN */
}
