/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The air a planned piece asks for, and how hot its batches get when left standing. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/range.h"
#include "base/text.h"
#include "base/try.h"
#include "pourclock/safety.h"
#include "safety/air_sums.h"

#define PURGED 0.1 /* of the limit: when the room counts as clear (judgement) */

static const char *const words[] = {
#define WORD_(name, word) word,
    PC_AIR_TABLE(WORD_)
#undef WORD_
};

const char *pc_air_answer_word(pc_air_answer answer) {
    return (size_t)answer < sizeof words / sizeof *words ? words[answer] : "";
}

/* Limit by volume: the lowest of the file's (either way of stating it) and the guide's, ceilings
 * included: some substances have no other. A file may tighten the guide's, never loosen it. */
static double limit_of(const pc_volatile *v, const pc_exposure *row, double molar_mass,
                       double T_K) {
    double limit = v->limit_fraction;
    limit = fmin(limit, pci_limit_fraction(v->limit_kg_m3, molar_mass, T_K)); /* fmin skips NaN */
    if (row)
        limit = fmin(fmin(limit, fmin(row->niosh_fraction, row->osha_fraction)),
                     fmin(row->niosh_ceiling_fraction, row->osha_ceiling_fraction));
    return limit;
}

/* Share of the mix that leaves as vapor, at most. */
static double lost_share(const pc_resin *resin) {
    const pc_volatile *v = &resin->gives_off;
    if (v->share >= 0 && v->share <= 1 && v->evaporated_share >= 0 && v->evaporated_share <= 1)
        return v->share * v->evaporated_share;
    if (resin->family == PC_POLYESTER && pci_same_word(v->name, "styrene"))
        return pci_styrene_lost(fmin(v->share, 0.5)); /* the rule's range ends there */
    return NAN;
}

/* The layer that gives off most in a second, from its mix to its gel. */
static void worst_batch(const pc_schedule *schedule, double lost, pc_ventilation *out) {
    out->rate_kg_s = out->worst_s = NAN;
    for (size_t p = 0; p < schedule->part_count; p++)
        for (size_t i = 0; i < schedule->part[p].layer_count; i++) {
            const pc_layer *layer = &schedule->part[p].layer[i];
            double stretch = layer->gel_s - layer->mix_s;
            double rate = layer->batch_kg * lost / stretch;
            if (pci_positive(stretch) && rate >= 0 && !(rate <= out->rate_kg_s)) {
                out->rate_kg_s = rate;
                out->worst_s = stretch;
            }
        }
}

static void in_the_room(const pc_piece *piece, double vapor_m3_s, double all_m3,
                        pc_ventilation *out) {
    double room = piece->shop.room_m3, air = piece->shop.ventilation_m3_s;
    if (!pci_positive(room))
        return;
    out->still_fraction = fmin(1, all_m3 / room);
    if (!pci_positive(air))
        return;
    out->reached_fraction = pci_build_up(vapor_m3_s, room, air, out->mixing, out->worst_s);
    double clear = PURGED * out->limit_fraction;
    out->purge_s = out->reached_fraction > clear
                       ? pci_purge_time(out->reached_fraction, clear, room, air, out->mixing)
                       : 0;
}

static void no_formula(pc_ventilation *out, pc_air_answer answer, const char *why) {
    out->answer = answer;
    snprintf(out->why, sizeof out->why, "%s", why);
}

pc_status pc_ventilation_of(const pc_piece *piece, const pc_schedule *schedule,
                            pc_ventilation *out) {
    if (!piece || !schedule || !out || schedule->part_count > PC_PARTS_MOST)
        return PC_E_ARGUMENT;
    memset(out, 0, sizeof *out);
    const pc_resin *resin = &piece->resin;
    const pc_volatile *v = &resin->gives_off;
    pci_copy_text(out->volatile_name, sizeof out->volatile_name, v->name);
    out->mixing = PC_MIXING_FACTOR;
    out->vapor_kg = out->rate_kg_s = out->worst_s = out->limit_fraction = NAN;
    out->air_m3_s = out->still_fraction = out->reached_fraction = out->purge_s = NAN;
    if (resin->family == PC_URETHANE) {
        no_formula(out, PC_AIR_LOCAL_EXHAUST,
                   "a sensitiser with a limit of parts per billion: dilution air is no answer; use "
                   "local exhaust at the cup and mold, and the respirator of the safety data "
                   "sheet");
        return PC_OK;
    }
    const pc_exposure *row = pci_exposure_find(v->name);
    double T = schedule->air_K, molar = v->molar_mass_kg_mol;
    if (!pci_positive(molar) && row)
        molar = row->molar_mass_kg_mol;
    double lost = lost_share(resin);
    out->limit_fraction = limit_of(v, row, molar, T);
    if (!pci_positive(out->limit_fraction) || !pci_positive(molar) || !(lost >= 0) ||
        !pci_positive(T)) {
        no_formula(out, PC_AIR_UNKNOWN,
                   "share, evaporated share, limit or molar mass of what it gives off is not "
                   "stated: copy them from the safety data sheet into [safety] of the resin file; "
                   "until then use local exhaust");
        return PC_OK;
    }
    out->vapor_kg = schedule->resin_kg * lost;
    worst_batch(schedule, lost, out);
    if (!(out->rate_kg_s >= 0)) {
        no_formula(out, PC_AIR_UNKNOWN,
                   "no batch of the schedule gels: there is no time to spread "
                   "the vapor over; use local exhaust");
        return PC_OK;
    }
    out->answer = PC_AIR_DILUTION;
    double vapor_m3_s = pci_vapor_volume(out->rate_kg_s, molar, T);
    out->air_m3_s = pci_dilution_air(vapor_m3_s, out->limit_fraction, out->mixing);
    in_the_room(piece, vapor_m3_s, pci_vapor_volume(out->vapor_kg, molar, T), out);
    return PC_OK;
}

pc_status pc_standing_of(const pc_piece *piece, const pc_schedule *schedule, pc_standing *out) {
    if (!piece || !schedule || !out || schedule->part_count > PC_PARTS_MOST)
        return PC_E_ARGUMENT;
    double batch = 0, leftover = 0;
    for (size_t p = 0; p < schedule->part_count; p++)
        for (size_t i = 0; i < schedule->part[p].layer_count; i++) {
            const pc_layer *layer = &schedule->part[p].layer[i];
            if (!pci_positive(layer->batch_kg))
                continue;
            batch = fmax(batch, layer->batch_kg / (layer->cups > 1 ? layer->cups : 1));
            leftover += layer->batch_kg * piece->shop.cup_loss;
        }
    *out = (pc_standing){batch, NAN, NAN, leftover, NAN, NAN, NAN};
    const pc_cure *cure = &piece->resin.cure;
    out->adiabatic_K = schedule->resin_K + cure->heat_J_kg / cure->cp_J_kgK;
    pc_cup_events events;
    if (batch > 0) {
        PCI_TRY(pc_cup_run(&piece->resin, batch, schedule->resin_K, schedule->air_K, &events));
        out->batch_peak_K = events.peak_K;
        out->batch_peak_s = events.peak_s;
    }
    if (leftover > 0) {
        PCI_TRY(pc_cup_run(&piece->resin, leftover, schedule->resin_K, schedule->air_K, &events));
        out->leftover_peak_K = events.peak_K;
        out->leftover_peak_s = events.peak_s;
    }
    return PC_OK;
}
