/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The air a planned piece asks for. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/range.h"
#include "base/text.h"
#include "piece/mixes.h"
#include "pourclock/safety.h"
#include "safety/air_sums.h"

#define PURGED 0.1 /* of the limit: when the room counts as clear (judgment) */

static const char *const words[] = {
#define WORD_(name, word) word,
    PC_AIR_TABLE(WORD_)
#undef WORD_
};

const char *pci_air_answer_word(pc_air_answer answer) {
    return (size_t)answer < sizeof words / sizeof *words ? words[answer] : "";
}

/* Limit by volume: the lowest of the file's (either way of stating it) and the table's, ceilings
 * included: some substances have no other. A file may tighten the table's, never loosen it. */
static double limit_of(const pc_volatile *v, const pc_exposure *row, double molar_mass,
                       double T_K) {
    double limit = v->limit_fraction;
    limit = fmin(limit, pci_limit_fraction(v->limit_kg_m3, molar_mass, T_K)); /* fmin skips NaN */
    if (row)
        limit = fmin(fmin(limit, fmin(row->niosh_fraction, row->osha_fraction)),
                     fmin(row->niosh_ceiling_fraction, row->osha_ceiling_fraction));
    return limit;
}

/* Share of the mix that leaves as vapor: the larger of what the file states and the published rule
 * for styrene. */
static double lost_share(const pc_volatile *v) {
    double lost = NAN;
    if (v->share >= 0 && v->share <= 1 && v->evaporated_share >= 0 && v->evaporated_share <= 1)
        lost = v->share * v->evaporated_share;
    if (pci_same_word(v->name, "styrene"))
        lost = fmax(lost, pci_styrene_lost(v->share)); /* fmax skips NaN */
    return lost;
}

/* Every batch that gives off the same, from its mix to its gel; false where one does not gel. */
static bool list_batches(const pc_piece *piece, const pc_schedule *schedule, const pc_volatile *of,
                         pc_ventilation *out) {
    out->vapor_kg = out->vapor_most_kg = 0;
    for (size_t p = 0; p < schedule->part_count; p++)
        for (size_t i = 0; i < schedule->part[p]->layer_count; i++) {
            const pc_layer *layer = schedule->part[p]->layer[i];
            const pc_volatile *v = &pc_piece_resin(piece, p, layer->number)->gives_off;
            double lost = lost_share(v);
            if (!pci_same_word(v->name, of->name))
                continue;
            if (!(layer->gel_s > layer->mix_s) || !pci_not_negative(layer->batch_kg) ||
                out->batch_count == PC_AIR_BATCHES_MOST)
                return false;
            double vapor_kg = layer->batch_kg * lost;
            out->batch[out->batch_count++] =
                (pc_air_batch){p, layer->number, layer->mix_s, layer->gel_s, vapor_kg};
            out->vapor_kg += vapor_kg;
            out->vapor_most_kg += layer->batch_kg * v->share;
        }
    return out->batch_count > 0;
}

static pc_status fill_room(const pc_piece *piece, pc_ventilation *out) {
    double room = piece->shop.room_m3, air = piece->shop.ventilation_m3_s;
    if (!pci_positive(room))
        return PC_OK;
    double m3_per_kg = pci_vapor_volume(1, out->molar_mass_kg_mol, out->air_K);
    out->still_fraction = fmin(1, out->vapor_most_kg * m3_per_kg / room);
    if (!pci_not_negative(air))
        return PC_OK;
    pc_status status = pci_room_highest(out->batch, out->batch_count, m3_per_kg, room, air,
                                        out->mixing, &out->highest_fraction, &out->highest_at_s);
    double clear = PURGED * out->limit_fraction;
    if (status == PC_OK && air > 0)
        out->purge_s = out->highest_fraction > clear
                           ? pci_purge_time(out->highest_fraction, clear, room, air, out->mixing)
                           : 0;
    return status;
}

static pc_status refuse_formula(pc_ventilation *out, pc_air_answer answer, const char *why) {
    out->answer = answer;
    out->batch_count = 0;
    out->vapor_kg = out->vapor_most_kg = NAN;
    pci_copy_text(out->why, sizeof out->why, why);
    return PC_OK;
}

static bool has_open(const pc_piece *piece) {
    for (size_t p = 0; p < piece->part_count && p < PC_PARTS_MOST; p++)
        if (piece->part[p].open)
            return true;
    return false;
}

static void set_blank(const pc_piece *piece, const pc_schedule *schedule, const pc_volatile *v,
                      pc_ventilation *out) {
    memset(out, 0, sizeof *out);
    pci_copy_text(out->volatile_name, sizeof out->volatile_name, v->name);
    out->mixing = PC_MIXING_FACTOR;
    out->air_K = schedule->air_K;
    out->open = piece->turning.method == PC_DRAIN || has_open(piece);
    out->vapor_kg = out->vapor_most_kg = out->rate_kg_s = out->rate_from_s = NAN;
    out->limit_fraction = out->molar_mass_kg_mol = out->air_m3_s = out->still_fraction = NAN;
    out->highest_fraction = out->highest_at_s = out->purge_s = NAN;
}

pc_status pci_ventilation_of(const pc_piece *piece, const pc_schedule *schedule,
                             pc_ventilation *out) {
    if (!piece || !schedule || !out || schedule->part_count > PC_PARTS_MOST)
        return PC_E_ARGUMENT;
    return pci_ventilation_of_mix(piece, schedule, &piece->resin, out);
}

static bool is_poured(const pc_piece *piece, const pc_schedule *schedule, const pc_resin *mix) {
    for (size_t p = 0; p < schedule->part_count; p++)
        for (size_t i = 0; i < schedule->part[p]->layer_count; i++)
            if (pc_piece_resin(piece, p, schedule->part[p]->layer[i]->number) == mix)
                return true;
    return false;
}

static const pc_resin *vapor_at(const pc_piece *piece, const pc_schedule *schedule, size_t index) {
    for (size_t i = 0; pci_mix_of(piece, i); i++) {
        const pc_resin *mix = pci_mix_of(piece, i);
        bool said = !is_poured(piece, schedule, mix);
        for (size_t k = 0; k < i && !said; k++)
            said = is_poured(piece, schedule, pci_mix_of(piece, k)) &&
                   pci_same_word(pci_mix_of(piece, k)->gives_off.name, mix->gives_off.name);
        if (!said && index-- == 0)
            return mix;
    }
    return NULL;
}

pc_status pc_ventilation_of_vapor(const pc_piece *piece, const pc_schedule *schedule, size_t index,
                                  const pc_resin **mix, pc_ventilation *out) {
    if (!piece || !schedule || !mix || !out || schedule->part_count > PC_PARTS_MOST)
        return PC_E_ARGUMENT;
    *mix = vapor_at(piece, schedule, index);
    return *mix ? pci_ventilation_of_mix(piece, schedule, *mix, out) : PC_OK;
}

pc_status pci_ventilation_of_mix(const pc_piece *piece, const pc_schedule *schedule,
                                 const pc_resin *mix, pc_ventilation *out) {
    const pc_volatile *v = &mix->gives_off;
    set_blank(piece, schedule, v, out);
    if (mix->family == PC_URETHANE)
        return refuse_formula(out, PC_AIR_LOCAL_EXHAUST,
                              "it sensitizes, with a limit of parts per billion: general "
                              "ventilation is not enough; use local exhaust at the cup and mold, "
                              "and the respirator of the safety data sheet");
    const pc_exposure *row = pci_exposure_find(v->name);
    double T_K = schedule->air_K, lost = lost_share(v);
    out->molar_mass_kg_mol =
        pci_positive(v->molar_mass_kg_mol) || !row ? v->molar_mass_kg_mol : row->molar_mass_kg_mol;
    out->limit_fraction = limit_of(v, row, out->molar_mass_kg_mol, T_K);
    if (!pci_positive(out->limit_fraction) || !pci_positive(out->molar_mass_kg_mol) ||
        !(lost >= 0) || !pci_positive(T_K))
        return refuse_formula(out, PC_AIR_UNKNOWN,
                              "its share, evaporated share, limit or molar mass is not stated: "
                              "copy them from the safety data sheet into [safety] of the resin "
                              "file; until then use local exhaust");
    if (!list_batches(piece, schedule, v, out))
        return refuse_formula(out, PC_AIR_UNKNOWN,
                              "a batch of the schedule does not gel: there is no time to spread "
                              "its vapor over; use local exhaust");
    out->answer = PC_AIR_DILUTION;
    pc_status status =
        pci_air_rate(out->batch, out->batch_count, &out->rate_kg_s, &out->rate_from_s);
    if (status != PC_OK)
        return status;
    out->air_m3_s = pci_dilution_air(pci_vapor_volume(out->rate_kg_s, out->molar_mass_kg_mol, T_K),
                                     out->limit_fraction, out->mixing);
    return fill_room(piece, out);
}
