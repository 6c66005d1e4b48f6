/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Exotherm: what gets hot, how hot, and what then. Two tiers: to 100 C gloves and patience; above
 * it, or near the boiling point of the monomer, it can burst and burn. */
#include <math.h>

#include "pourclock/words.h"
#include "resin/cup.h"
#include "safety/air_sums.h"
#include "safety/caution_list.h"

static const double NEAR_BOILING_K = 10.0; /* from so far below it vapor drives the resin out */

static bool boils(const pc_resin *resin, double T_K) {
    return pci_has_styrene(resin) && T_K > PC_STYRENE_BOILS_K - NEAR_BOILING_K;
}

bool pci_severe_heat(const pc_resin *resin, double T_K) {
    return !(T_K <= PC_SCORCH_K) || boils(resin, T_K);
}

/* What a cup or pail at that temperature does, and what then. */
static const char *how_hot(const pc_resin *resin, double T_K) {
    if (boils(resin, T_K))
        return "the styrene in it boils (145 C, 293 F): it can spray hot resin, smoke, burst its "
               "container and catch fire. Stand clear, ventilate, never cover or plug it";
    if (pci_severe_heat(resin, T_K))
        return "it can smoke, foam, burst its container and catch fire. Stand clear, ventilate, "
               "never cover or plug it";
    if (!(T_K <= PC_BURN_K))
        return "it burns skin and softens a cup. Heat-proof gloves, and patience until it is cold";
    return "warm; do not pick it up with bare hands";
}

void pci_cautions_of_wall(pci_caution_list *w, const pc_standing *standing) {
    if (!(standing->wall_peak_K > PC_BURN_K))
        return;
    pc_words peak = pc_say_degrees(w->units, standing->wall_peak_K);
    pc_words most = pc_say_degrees(w->units, standing->wall_most_K);
    pc_words tier = pc_say_degrees(w->units, PC_SCORCH_K);
    if (pci_severe_heat(w->resin, standing->wall_peak_K) &&
        !pci_severe_heat(w->resin, standing->wall_planned_K))
        pci_caution_add(
            w, "hot-mold",
            "Exotherm, in the mold: the resin is calculated to stay below %s, but in the worst 5 "
            "%% "
            "of cases to reach %s (upper bound, no heat lost at all: %s): it can smoke and foam. "
            "Heat-proof gloves, a vented plug, stand clear, ventilate, and patience: let it cool "
            "before it is opened. Thinner layers or a cooler mold leave room.",
            tier.s, peak.s, most.s);
    else if (pci_severe_heat(w->resin, standing->wall_peak_K))
        pci_caution_add(
            w, "hot-mold",
            "Exotherm, in the mold: the resin is calculated to reach %s (upper bound, no heat lost "
            "at all: %s): do not pour this plan. Thinner layers, a cooler mold or a slower resin "
            "keep it below %s. Poured all the same it can smoke, burst the mold and catch fire: "
            "never plugged, stand clear, ventilate, an extinguisher in reach.%s",
            peak.s, most.s, tier.s,
            boils(w->resin, standing->wall_peak_K)
                ? " Styrene boils at 145 C (293 F) and sprays hot resin out of the hole."
                : "");
    else
        pci_caution_add(w, "hot-mold",
                        "Exotherm, in the mold: the resin is calculated to reach %s (upper bound, "
                        "no heat lost at all: %s): heat-proof gloves, and patience: let it cool "
                        "before it is opened.",
                        peak.s, most.s);
}

static void add_cup(pci_caution_list *w, const pc_standing *standing) {
    pci_caution_add(
        w, "exotherm",
        "Exotherm, cup: the largest cup (%s) left standing is calculated to reach %s after %s "
        "(upper bound, no heat lost at all: %s): %s. Pour it out by the deadline; what is too "
        "late is spread thin outdoors before it gets hot. Never leave it unattended or throw it "
        "away while hot.",
        pc_say_mass(standing->batch_kg).s, pc_say_degrees(w->units, standing->batch_peak_K).s,
        pc_say_duration(standing->batch_peak_s).s,
        pc_say_degrees(w->units, standing->adiabatic_K).s,
        how_hot(w->resin, standing->batch_peak_K));
}

void pci_cautions_of_cups(pci_caution_list *w, const pc_standing *standing) {
    if (standing->batch_kg > 0)
        add_cup(w, standing);
    if (standing->surplus_kg > 0)
        pci_caution_add(
            w, "surplus",
            "Exotherm, surplus: up to %s is poured back out of the drained mold and goes on "
            "curing; in one pail it is calculated to reach %s, %s after its mix: %s. Spread it "
            "thin on a metal tray outdoors or under exhaust, each surplus apart; never pour it "
            "back into the supply.",
            pc_say_mass(standing->surplus_kg).s,
            pc_say_degrees(w->units, standing->surplus_peak_K).s,
            pc_say_duration(standing->surplus_peak_s).s,
            how_hot(w->resin, standing->surplus_peak_K));
    if (standing->leftover_kg > 0)
        pci_caution_add(
            w, "leftovers",
            "Exotherm, leftovers: about %s stays in the cups; gathered in one pail it is "
            "calculated to reach %s: %s. Leave it spread thin in its cups on bare ground or metal "
            "until cold and hard, then dispose of it as the safety data sheet and local rules say.",
            pc_say_mass(standing->leftover_kg).s,
            pc_say_degrees(w->units, standing->leftover_peak_K).s,
            how_hot(w->resin, standing->leftover_peak_K));
}

pc_status pci_cautions_of_any_cup(pci_caution_list *w) {
    static const double mass_kg = 1.0, T_K = PC_SHEET_K;
    pc_cup_events events = {NAN, NAN, NAN, NAN};
    const pc_cure *cure = &w->resin->cure;
    double most_K = cure->cp_J_kgK > 0.0 ? T_K + cure->heat_J_kg / cure->cp_J_kgK : NAN;
    pc_status status = pci_cup_run(w->resin, mass_kg, T_K, T_K, &events);
    if (status == PC_E_MEMORY)
        return status;
    if (status != PC_OK) /* constants no cup can be run with: the bound serves */
        events.peak_K = most_K;
    pci_caution_add(
        w, "exotherm",
        "Exotherm: a batch left standing heats itself, a larger one more: 1 kg at %s is calculated "
        "to reach %s (upper bound, no heat lost at all: %s): %s. Never leave it unattended or "
        "throw it away while hot.",
        pc_say_degrees(w->units, T_K).s, pc_say_degrees(w->units, events.peak_K).s,
        pc_say_degrees(w->units, most_K).s, how_hot(w->resin, events.peak_K));
    return PC_OK;
}
