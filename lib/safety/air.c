/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Dilution air, build-up and purge of a room, styrene lost: closed forms. */
#include "pourclock/safety.h"

#include <math.h>

#include "base/range.h"
#include "base/text.h"
#include "piece/mixes.h"
#include "pourclock/resin.h"
#include "safety/air_sums.h"

static bool is_mixing(double x) {
    return x >= 1 && x < INFINITY;
}

double pci_vapor_volume(double mass_kg, double molar_mass_kg_mol, double T_K) {
    if (!pci_not_negative(mass_kg) || !pci_positive(molar_mass_kg_mol) || !pci_positive(T_K))
        return NAN;
    return mass_kg * PC_GAS_CONSTANT * T_K / (molar_mass_kg_mol * PC_ATMOSPHERE_PA);
}

double pci_limit_fraction(double limit_kg_m3, double molar_mass_kg_mol, double T_K) {
    return pci_vapor_volume(limit_kg_m3, molar_mass_kg_mol, T_K);
}

double pci_dilution_air(double vapor_m3_s, double limit_fraction, double mixing) {
    if (!pci_not_negative(vapor_m3_s) || !(limit_fraction > 0 && limit_fraction < 1) ||
        !is_mixing(mixing))
        return NAN;
    return mixing * vapor_m3_s / limit_fraction;
}

double pci_purge_time(double from, double to, double room_m3, double air_m3_s, double mixing) {
    if (!pci_positive(from) || !(to > 0 && to <= from) || !pci_positive(room_m3) ||
        !pci_positive(air_m3_s) || !is_mixing(mixing))
        return NAN;
    return mixing * room_m3 / air_m3_s * log(from / to);
}

bool pci_has_styrene(const pc_resin *resin) {
    return resin &&
           (resin->family == PC_POLYESTER || pci_same_word(resin->gives_off.name, "styrene"));
}

double pci_styrene_lost(double share) {
    if (!(share >= 0 && share <= 1))
        return NAN;
    return PC_STYRENE_LOST_1 * pow(100 * share, 2.275) / 1000;
}

bool pci_piece_has_styrene(const pc_piece *piece) {
    for (size_t i = 0; pci_mix_of(piece, i); i++)
        if (pci_has_styrene(pci_mix_of(piece, i)))
            return true;
    return false;
}
