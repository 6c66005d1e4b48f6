/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Skin, peroxide, fire, warming, plug, machine; and the short lines of every piece. */
#include <math.h>

#include "base/text.h"
#include "plan/layout.h"
#include "pourclock/words.h"
#include "safety/caution_list.h"

static const char *wash(pc_family family) {
    switch (family) {
    case PC_URETHANE:
        return "Wash with soap and water, not solvent; no water into the resin.";
    case PC_EPOXY:
        return "Epoxy sensitizes through the skin for life: no bare hands, and wash with soap, not "
               "solvent.";
    case PC_POLYESTER:
        return "Wash with soap and water, not acetone.";
    case PC_FAMILY_COUNT:
        break;
    }
    return "";
}

static void add_peroxide(pci_caution_list *w) {
    const pc_catalyst *level = &w->resin->catalyst;
    char range[64] = "of the data sheet";
    if (level->low > 0 && level->high >= level->low)
        pci_format(range, sizeof range, "of the data sheet, %.3g %% to %.3g %%", 100 * level->low,
                   100 * level->high);
    pci_caution_add(
        w, "peroxide",
        "Peroxide hardener: never mix it with the promoter directly: it explodes. Measure it by "
        "mass, its level inside the range %s, goggles on; keep it cool, in its own "
        "vented container, away from metal and rags, and never pour any back. In the eyes: at once "
        "15 minutes of running water, then a doctor.",
        range);
    pci_caution_add(
        w, "fire",
        "Fire: styrene vapor ignites from 31 C (88 F) and travels along the floor: no heat gun, "
        "open flame, spark, pilot light or unflued heater; containers grounded against static. "
        "Resin, mold and water bath are never warmed above 30 C (86 F).");
}

void pci_cautions_of_handling(pci_caution_list *w) {
    pci_caution_add(w, "skin",
                    "Skin and eyes: gloves as the safety data sheet names, changed when splashed, "
                    "sleeves, apron, goggles (not glasses) while mixing and pouring; eyewash "
                    "within reach. %s",
                    wash(w->resin->family));
    if (w->resin->family == PC_POLYESTER)
        add_peroxide(w);
    else
        pci_caution_add(
            w, "heat",
            "Warming: water bath or oven under thermostat only, to no more than the maker's limit; "
            "containers shut in a bath (water spoils urethane), wiped dry and opened slowly; no "
            "heat gun or flame on cups, molds or containers.");
}

/* What turns a layer, and whether in a mold that is shut; a solid and a brushed coat stand still.
 */
typedef struct moves {
    bool machine, hands, shut;
} moves;

static void add_moves(const pc_piece *piece, const pc_part *part, int number, moves *m) {
    bool turned = pci_turned(piece, part, number), machine = piece->turning.method == PC_MACHINE;
    if (!turned && !pci_drained(piece, part, number))
        return;
    m->machine = m->machine || (turned && machine);
    m->hands = m->hands || !(turned && machine);
    m->shut = m->shut || !part->open;
}

static moves find_moves(const pc_piece *piece, const pc_schedule *schedule) {
    moves m = {false, false, false};
    for (size_t p = 0; p < schedule->part_count && p < PC_PARTS_MOST; p++)
        for (size_t i = 0; i < schedule->part[p]->layer_count; i++)
            if (schedule->part[p]->kind == PC_HOLLOW)
                add_moves(piece, &piece->part[p], schedule->part[p]->layer[i]->number, &m);
    return m;
}

static double largest_cup(const pc_schedule *schedule) {
    double cup_kg = 0;
    for (size_t p = 0; p < schedule->part_count; p++)
        for (size_t i = 0; i < schedule->part[p]->layer_count; i++) {
            const pc_layer *layer = schedule->part[p]->layer[i];
            cup_kg = fmax(cup_kg, layer->batch_kg / (layer->cups > 1 ? layer->cups : 1));
        }
    return cup_kg;
}

static void add_by_hand(pci_caution_list *w, bool shut) {
    pci_caution_add(w, "lifting",
                    shut ? "Turning by hand: plug and clamp the mold, goggles on (resin can leak "
                           "at the seam), and share or rest a heavy mold: about %s of resin "
                           "besides the mold's own weight."
                         : "Tilting by hand: goggles on (resin can run over the rim), and share or "
                           "rest a heavy form: about %s of resin besides the form's own weight.",
                    pc_say_mass(w->schedule->resin_kg).s);
}

void pci_cautions_of_turning(pci_caution_list *w) {
    moves m = find_moves(w->piece, w->schedule);
    if (m.shut)
        pci_caution_add(
            w, "plug",
            "Plug and hole: air inside a warm mold swells and can burst it: a plug with a small "
            "vent from the start; before opening loosen it slowly, face away. Never heat a sealed "
            "hollow piece.");
    if (largest_cup(w->schedule) > PC_STIRRED_MOST_KG)
        pci_caution_add(w, "mixer",
                        "Mixer: a cup of %s is more than one person stirs in the mixing time: a "
                        "slow drill mixer with the pail secured, sleeves and hair tied, or several "
                        "cups mixed and poured one by one.",
                        pc_say_mass(largest_cup(w->schedule)).s);
    if (m.machine)
        pci_caution_add(
            w, "machine",
            "Turning machine (%s outer): guard its whole sweep, keep clear, hair tied, no loose "
            "sleeves, scarves, rings or glove cuffs near it; stop it and cut its power before "
            "reaching in, and beware of the swing of an unbalanced mold. Plug and clamp the mold "
            "so that nothing is thrown.",
            pc_say_rpm(w->piece->turning.outer_rad_s).s);
    if (m.hands)
        add_by_hand(w, m.shut);
}

void pci_cautions_of_every_piece(pci_caution_list *w) {
    static const char *const line[][2] = {
        {"first-aid", "First aid: eyes, 15 minutes of running water; breathed in, fresh air; then "
                      "call for help, safety data sheet in hand."},
        {"extinguisher", "Fire extinguisher at hand: dry powder or CO2."},
        {"alone", "Not alone; children and anyone pregnant stay away."},
        {"food", "No food, drink or smoking where resin is handled."},
        {"fit", "A respirator seals on a shaved face only, without a beard, after a fit test."},
        {"gloves", "Gloves as the data sheet names: thin nitrile lasts minutes against styrene."},
        {"rags", "Rags with acetone or peroxide: into a closed metal bin, under water."},
        {"flammable", "Acetone and aerosol release are flammable: no spark, no flame, fresh air."},
        {"plaster", "Setting plaster gets hot and burns skin: never cast a hand or foot in it."},
        {"dust", "Dust of cured resin, filler and plaster: wet or under extraction, particulate "
                 "respirator and goggles; sand only what is fully cured."},
        {"heavy", "Molds from 10 kg (22 lb) up: lift with two, secured on the frame before it "
                  "turns."},
        {"switch", "Turning machine: a switch that cannot start it by surprise."},
    };
    for (size_t i = 0; i < sizeof line / sizeof line[0]; i++)
        pci_caution_add_always(w, line[i][0], line[i][1]);
}
