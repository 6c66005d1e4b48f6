/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How hot what is mixed gets: left in its cup, gathered in a pail, poured back out of a drained
 * mold, and on the wall. */
#include <math.h>

#include "base/range.h"
#include "piece/mixes.h"
#include "pourclock/safety.h"
#include "resin/cup.h"

static pc_status run_cup(const pc_resin *resin, double mass_kg, double resin_K, double air_K,
                         double *peak_K, double *peak_s) {
    pc_cup_events events;
    *peak_K = *peak_s = NAN;
    if (!(mass_kg > 0))
        return PC_OK;
    pc_status status = pci_cup_run(resin, mass_kg, resin_K, air_K, &events);
    if (status == PC_OK) {
        *peak_K = events.peak_K;
        *peak_s = events.peak_s;
    }
    return status;
}

/* The air of the warmest batch, where the shop's goes by the clock. */
static double hottest_air(const pc_piece *piece, const pc_schedule *schedule) {
    double air_K = schedule->air_K;
    for (size_t p = 0; piece->shop.day_count > 0 && p < schedule->part_count; p++)
        for (size_t i = 0; i < schedule->part[p]->layer_count; i++) {
            double clock_s = schedule->start_clock_s + schedule->part[p]->layer[i]->mix_s;
            air_K = fmax(air_K, pc_shop_air(&piece->shop, clock_s));
        }
    return air_K;
}

static double rise_of(const pc_resin *mix) {
    return mix->cure.cp_J_kgK > 0.0 ? mix->cure.heat_J_kg / mix->cure.cp_J_kgK : NAN;
}

/* Of one mix: the largest cup, the largest surplus, and all that stays in cups. */
static void find_masses(const pc_piece *piece, const pc_schedule *schedule, const pc_resin *mix,
                        pc_standing *out) {
    for (size_t p = 0; p < schedule->part_count; p++)
        for (size_t i = 0; i < schedule->part[p]->layer_count; i++) {
            const pc_layer *layer = schedule->part[p]->layer[i];
            if (!pci_positive(layer->batch_kg) || pc_piece_resin(piece, p, layer->number) != mix)
                continue;
            out->batch_kg =
                fmax(out->batch_kg, layer->batch_kg / (layer->cups > 1 ? layer->cups : 1));
            out->surplus_kg = fmax(out->surplus_kg, layer->surplus_kg); /* fmax skips NaN */
            out->leftover_kg += layer->batch_kg * piece->shop.cup_loss;
        }
}

/* How much hotter than planned a layer gets in the worst 5 % of cases; its bound is that of the
 * same cases. */
static double late_shift(const pc_layer *layer) {
    return layer->peak_late_K > layer->peak_K ? layer->peak_late_K - layer->peak_K : 0.0;
}

/* A layer starts no hotter than the hottest of what meets in it, and heats by no more than all its
 * heat. */
static void find_wall(const pc_piece *piece, const pc_schedule *schedule, double start_K,
                      pc_standing *out) {
    for (size_t p = 0; p < schedule->part_count; p++) {
        double under_K = start_K;
        for (size_t i = 0; i < schedule->part[p]->layer_count; i++) {
            const pc_layer *layer = schedule->part[p]->layer[i];
            double rise_K = rise_of(pc_piece_resin(piece, p, layer->number));
            double peak_K = fmax(layer->peak_K, layer->peak_late_K); /* fmax skips NaN */
            under_K = fmax(under_K, layer->fill_T_K);
            out->wall_most_K = fmax(out->wall_most_K, under_K + rise_K + late_shift(layer));
            out->wall_peak_K = fmax(out->wall_peak_K, peak_K);
            out->wall_planned_K = fmax(out->wall_planned_K, layer->peak_K);
            under_K = fmax(under_K, peak_K);
        }
    }
}

/* The hotter of two, each with its mass. */
static void keep_hotter(double *mass_kg, double *peak_K, double other_kg, double other_K,
                        bool *keeps) {
    *keeps = !(other_kg > 0) || *peak_K >= other_K;
    if (*keeps)
        return;
    *mass_kg = other_kg;
    *peak_K = other_K;
}

/* What is left standing of each mix: the hottest of each kind is reported. */
static void keep_hottest(pc_standing *out, const pc_standing *of) {
    bool keeps;
    keep_hotter(&out->batch_kg, &out->batch_peak_K, of->batch_kg, of->batch_peak_K, &keeps);
    out->batch_peak_s = keeps ? out->batch_peak_s : of->batch_peak_s;
    keep_hotter(&out->leftover_kg, &out->leftover_peak_K, of->leftover_kg, of->leftover_peak_K,
                &keeps);
    out->leftover_peak_s = keeps ? out->leftover_peak_s : of->leftover_peak_s;
    keep_hotter(&out->surplus_kg, &out->surplus_peak_K, of->surplus_kg, of->surplus_peak_K, &keeps);
    out->surplus_peak_s = keeps ? out->surplus_peak_s : of->surplus_peak_s;
    out->adiabatic_K = fmax(out->adiabatic_K, of->adiabatic_K);
}

static pc_status stand_mix(const pc_piece *piece, const pc_schedule *schedule, const pc_resin *mix,
                           pc_standing *out) {
    double resin_K = schedule->resin_K, air_K = hottest_air(piece, schedule);
    *out = (pc_standing){0};
    find_masses(piece, schedule, mix, out);
    out->adiabatic_K = fmax(resin_K, air_K) + rise_of(mix); /* warmer air heats a cup too */
    pc_status status =
        run_cup(mix, out->batch_kg, resin_K, air_K, &out->batch_peak_K, &out->batch_peak_s);
    if (status == PC_OK)
        status = run_cup(mix, out->leftover_kg, resin_K, air_K, &out->leftover_peak_K,
                         &out->leftover_peak_s);
    if (status == PC_OK)
        status = run_cup(mix, out->surplus_kg, resin_K, air_K, &out->surplus_peak_K,
                         &out->surplus_peak_s);
    return status;
}

pc_status pc_standing_of(const pc_piece *piece, const pc_schedule *schedule, pc_standing *out) {
    if (!piece || !schedule || !out || schedule->part_count > PC_PARTS_MOST)
        return PC_E_ARGUMENT;
    pc_status status = stand_mix(piece, schedule, &piece->resin, out);
    for (size_t i = 1; status == PC_OK && pci_mix_of(piece, i); i++) {
        pc_standing of;
        status = stand_mix(piece, schedule, pci_mix_of(piece, i), &of);
        if (status == PC_OK && of.batch_kg > 0)
            keep_hottest(out, &of);
    }
    out->wall_peak_K = out->wall_planned_K = out->wall_most_K = NAN;
    find_wall(piece, schedule,
              fmax(fmax(schedule->resin_K, hottest_air(piece, schedule)), schedule->mold_K), out);
    return status;
}
