/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Ventilation, respirator, limits of exposure. */
#include <stdio.h>

#include "base/text.h"
#include "pourclock/words.h"
#include "safety/air_sums.h"
#include "safety/caution_list.h"

enum { LIMITS_MOST = 8 };

static const char *name_of(const char *volatile_name) {
    return volatile_name[0] ? volatile_name : "vapor not named";
}

/* What the stated room comes to; "" where it is not stated. */
static void say_in_room(const pci_caution_list *w, const pc_ventilation *v, char *text,
                        size_t size) {
    const pc_shop *shop = &w->piece->shop;
    text[0] = '\0';
    if (!(v->highest_fraction >= 0))
        return;
    pci_format(text, size,
               " In the room of %s with %s: all batches together reach about %.3g ppm at %s, limit "
               "%.3g ppm.%s",
               pc_say(PC_SAY_ROOM, w->units, shop->room_m3).s,
               pc_say_air_flow(w->units, shop->ventilation_m3_s).s, 1e6 * v->highest_fraction,
               pc_say_from(w->schedule->start_clock_s, v->highest_at_s).s, 1e6 * v->limit_fraction,
               v->highest_fraction > v->limit_fraction
                   ? " ABOVE THE LIMIT: more fresh air, local exhaust, or smaller batches farther "
                     "apart."
                   : "");
}

void pci_cautions_of_air(pci_caution_list *w, const pc_ventilation *v) {
    char room[300];
    if (v->answer != PC_AIR_DILUTION) {
        pci_caution_add(w, "ventilation",
                        "Ventilation (%s): no fresh-air figure is calculated: %s.",
                        name_of(v->volatile_name), v->why);
        return;
    }
    say_in_room(w, v, room, sizeof room);
    pci_caution_add(
        w, "ventilation",
        "Ventilation (%s): all batches together give off an estimated %s (upper bound, all there "
        "is in them: %s). Fresh air to stay below %.3g ppm while most is given off: estimate %s "
        "(mixing factor %.0f).%s %s",
        name_of(v->volatile_name), pc_say_mass(v->vapor_kg).s, pc_say_mass(v->vapor_most_kg).s,
        1e6 * v->limit_fraction, pc_say_air_flow(w->units, v->air_m3_s).s, v->mixing, room,
        v->open ? "A drained mold stands open and gives off vapor all over its wall: local exhaust "
                  "there and at the cup."
                : "At the cup, the pour hole and an opened mold the air is stronger: local exhaust "
                  "there.");
}

void pci_cautions_of_any_air(pci_caution_list *w) {
    const pc_volatile *v = &w->resin->gives_off;
    if (w->resin->family == PC_URETHANE)
        pci_caution_add(w, "ventilation",
                        "Ventilation (%s): it sensitizes at parts per billion: general ventilation "
                        "is not enough; local exhaust at the cup and mold, led outdoors.",
                        name_of(v->name));
    else if (pci_same_word(v->name, "styrene") && pci_styrene_lost(v->share) >= 0)
        pci_caution_add(w, "ventilation",
                        "Ventilation (%s): each kg gives off an estimated %.0f g in an open mold "
                        "(40 CFR 63 subpart VVVV; upper bound, all there is in it: %.0f g): fresh "
                        "air, and local exhaust at the cup and mold, led outdoors.",
                        v->name, 1e3 * pci_styrene_lost(v->share), 1e3 * v->share);
    else
        pci_caution_add(w, "ventilation",
                        "Ventilation (%s): fresh air, and local exhaust at the cup and mold, led "
                        "outdoors; more where anything is warmed.",
                        name_of(v->name));
}

static void add_respirator(pci_caution_list *w) {
    switch (w->resin->family) {
    case PC_URETHANE:
        pci_caution_add(
            w, "respirator",
            "Respirator (isocyanate): the diisocyanate in part B (or A) sensitizes: from then on a "
            "trace brings on asthma, and its smell gives no warning. Supplied air, or the "
            "cartridge and change-out time that the safety data sheet names. Anyone with asthma or "
            "a reaction before stays out. Never heat, spray or sand it uncured.");
        break;
    case PC_EPOXY:
        pci_caution_add(
            w, "respirator",
            "Respirator (amine): amine hardeners irritate and sensitize skin and lungs, more when "
            "warm. Cartridge as the safety data sheet names (ammonia and amine, with organic "
            "vapor), or supplied air where it says so. Anyone with asthma or a reaction to epoxy "
            "before stays out.");
        break;
    case PC_POLYESTER:
        pci_caution_add(
            w, "respirator",
            "Respirator (styrene): organic-vapor cartridges as the safety data sheet names, "
            "changed on schedule; supplied air above ten times the limit or where it says so.");
        break;
    case PC_FAMILY_COUNT:
        break;
    }
}

void pci_cautions_of_breathing(pci_caution_list *w) {
    const pc_exposure *row[LIMITS_MOST];
    char text[400];
    add_respirator(w);
    if (w->piece && w->piece->mold.rubber_m > 0 && w->piece->mold.rubber_kind == PC_URETHANE_RUBBER)
        pci_caution_add(
            w, "rubber",
            "Mold rubber (urethane): until cured it contains a diisocyanate too, which sensitizes: "
            "local exhaust (general ventilation is not enough) and supplied air or the cartridge "
            "that its own safety data sheet names; anyone with asthma or a reaction before stays "
            "out.");
    size_t count = pci_exposure_of(w->resin, row, LIMITS_MOST);
    for (size_t i = 0; i < count; i++) {
        pci_exposure_text(row[i], text, sizeof text);
        pci_caution_add(w, "limits", "Exposure limits, %s.%s", text,
                        i + 1 < count ? ""
                                      : " Lower limits are in force in many places: the local one "
                                        "decides; the safety data sheet says which substance is in "
                                        "the resin.");
    }
}
