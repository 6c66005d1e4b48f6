/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The cautions of a piece, from its own batches, resin, turning and mold. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/pi.h"
#include "base/text.h"
#include "pourclock/safety.h"

enum { CAUTIONS_MOST = 20 };

typedef struct writer {
    const pc_piece *piece;
    const pc_schedule *schedule;
    pc_units units;
    pc_cautions *list;
} writer;

typedef struct short_text {
    char s[48];
} short_text;

const char *pc_deferral(void) {
    return "Figures are estimates and upper bounds, not a hazard assessment: follow the maker's "
           "safety data sheet and local codes; licensed practice decides.";
}

#if defined(__GNUC__)
__attribute__((format(printf, 3, 4)))
#endif
static void
add(writer *w, const char *code, const char *format, ...) {
    if (w->list->count == CAUTIONS_MOST)
        return;
    pc_caution *item = &w->list->item[w->list->count++];
    pci_copy_text(item->code, sizeof item->code, code);
    va_list args;
    va_start(args, format);
    pci_vformat(item->text, sizeof item->text, format, args);
    va_end(args);
}

static short_text temperature(const writer *w, double K) {
    short_text t;
    double C = K - PC_ZERO_CELSIUS_K;
    if (w->units == PC_US)
        pci_format(t.s, sizeof t.s, "%.0f F", C * 1.8 + 32);
    else
        pci_format(t.s, sizeof t.s, "%.0f C", C);
    return t;
}

static short_text minutes(double s) {
    short_text t;
    if (s < 90)
        pci_format(t.s, sizeof t.s, "%.0f s", s);
    else if (s < 5400)
        pci_format(t.s, sizeof t.s, "%.0f min", s / 60);
    else
        pci_format(t.s, sizeof t.s, "%.1f h", s / 3600);
    return t;
}

static short_text air_flow(const writer *w, double m3_s) {
    short_text t;
    if (w->units == PC_US)
        pci_format(t.s, sizeof t.s, "%.0f cfm", m3_s * 2118.880003);
    else
        pci_format(t.s, sizeof t.s, "%.0f m3/h", m3_s * 3600);
    return t;
}

static short_text grams(double kg) {
    short_text t;
    pci_format(t.s, sizeof t.s, kg < 0.01 ? "%.1f g" : "%.0f g", 1000 * kg);
    return t;
}

static const char *how_hot(double K) {
    if (!(K < PC_SCORCH_K))
        return "it can smoke, foam, soften its cup and burn";
    if (!(K < PC_BURN_K))
        return "hot enough to burn skin and soften a cup";
    return "warm; do not hold it in the hand";
}

/* The batch in its cup, and what is left over. */
static void exotherm(writer *w, const pc_standing *standing) {
    if (standing->batch_kg > 0)
        add(w, "exotherm",
            "Exotherm: the largest batch (%s) left standing in its cup is worked out to reach %s "
            "after about %s (no heat lost at all: %s): %s. Pour it out thin by the deadline; never "
            "leave or bin it hot; carry a cup that smokes outdoors if that is safe.",
            grams(standing->batch_kg).s, temperature(w, standing->batch_peak_K).s,
            minutes(standing->batch_peak_s).s, temperature(w, standing->adiabatic_K).s,
            how_hot(standing->batch_peak_K));
    if (standing->leftover_kg > 0)
        add(w, "leftovers",
            "Leftovers: about %s stays in the cups; gathered in one pail it could reach %s: %s. "
            "Leave it spread thin in its cups on bare ground or metal until cold and hard, then "
            "dispose of it as the safety data sheet and local rules say.",
            grams(standing->leftover_kg).s, temperature(w, standing->leftover_peak_K).s,
            how_hot(standing->leftover_peak_K));
}

static void air(writer *w, const pc_ventilation *vent) {
    if (vent->answer != PC_AIR_DILUTION) {
        add(w, "air", "Air (%s): the dilution formula does not apply: %s.",
            vent->volatile_name[0] ? vent->volatile_name : "vapor not named", vent->why);
        return;
    }
    char room[200] = "";
    if (vent->reached_fraction >= 0)
        pci_format(room, sizeof room, " With the room and ventilation stated: about %.0f ppm.%s",
                   1e6 * vent->reached_fraction,
                   vent->reached_fraction > vent->limit_fraction
                       ? " ABOVE THE LIMIT: more air, smaller batches or local exhaust."
                       : "");
    else if (vent->still_fraction >= 0)
        pci_format(room, sizeof room, " In the room stated with no air moving: about %.0f ppm.",
                   1e6 * vent->still_fraction);
    add(w, "air",
        "Air (%s): upper bound %s given off; estimate %s of fresh air at the worst batch to stay "
        "under %.3g ppm in the room (mixing factor %.0f).%s At the mold and cup the air is "
        "stronger: local exhaust there.",
        vent->volatile_name, grams(vent->vapor_kg).s, air_flow(w, vent->air_m3_s).s,
        1e6 * vent->limit_fraction, vent->mixing, room);
}

static void respirator(writer *w) {
    switch (w->piece->resin.family) {
    case PC_URETHANE:
        add(w, "respirator",
            "Respirator: the diisocyanate in part B (or A) sensitises: once sensitised, a trace "
            "brings on asthma, and its smell gives no warning. Supplied air, or the cartridge and "
            "change-out time the safety data sheet names; anyone with asthma or a reaction before "
            "stays out. Never heat, spray or sand it uncured.");
        break;
    case PC_EPOXY:
        add(w, "respirator",
            "Respirator: amine hardeners irritate and sensitise skin and lungs, more when warmed. "
            "Cartridge as the safety data sheet names (ammonia and amine, with organic vapor), or "
            "supplied air where it says so.");
        break;
    case PC_POLYESTER:
        add(w, "respirator",
            "Respirator: styrene vapor: organic-vapor cartridges as the safety data sheet names, "
            "changed on schedule; supplied air above ten times the limit or where it says so.");
        break;
    case PC_FAMILY_COUNT:
        break;
    }
}

static void fire(writer *w) {
    if (w->piece->resin.family == PC_POLYESTER)
        add(w, "fire",
            "Fire: no heat gun, open flame, spark or pilot light: styrene vapor ignites at room "
            "temperature, and the peroxide hardener decomposes when hot. Never mix peroxide with "
            "promoter directly; keep it cool, in its own container, off rags; goggles while "
            "measuring it.");
    else
        add(w, "heat",
            "Warming: water bath or oven under thermostat only, to no more than the maker's limit; "
            "containers shut in a bath (water spoils urethane), wiped dry and opened slowly; no "
            "heat gun or flame on cups, molds or containers.");
}

static void skin(writer *w) {
    add(w, "skin",
        "Skin and eyes: nitrile gloves changed when splashed, sleeves, apron, goggles (not "
        "glasses) while mixing and pouring; eyewash at hand. %s",
        w->piece->resin.family == PC_EPOXY
            ? "Epoxy sensitises through the skin for life: no bare hands, and wash with soap, not "
              "solvent."
            : "Wash with soap and water, not solvent.");
}

static void turning(writer *w) {
    if (w->piece->turning.method == PC_MACHINE) {
        double outer = fabs(w->piece->turning.outer_rad_s) * 30 / PCI_PI;
        add(w, "machine",
            "Turning machine (%.3g rpm outer): guard its whole sweep, keep clear, hair tied, no "
            "loose sleeves, scarves, rings or glove cuffs near it; stop it and cut its power "
            "before "
            "reaching in, and mind the swing of an unbalanced mold. Plug and clamp the mold so "
            "that "
            "nothing is thrown.",
            outer);
    } else {
        add(w, "lifting",
            "Turning by hand: plug and clamp the mold, goggles on (resin can leak at the seam), "
            "and share or rest a heavy mold: about %s of resin besides the mold's own weight.",
            grams(w->schedule->resin_kg).s);
    }
}

static double hottest(const pc_schedule *schedule) {
    double peak = 0;
    for (size_t p = 0; p < schedule->part_count; p++)
        for (size_t i = 0; i < schedule->part[p].layer_count; i++)
            peak = fmax(peak, fmax(schedule->part[p].layer[i].peak_K,
                                   schedule->part[p].layer[i].peak_late_K));
    return peak;
}

static void in_the_mold(writer *w) {
    double peak = hottest(w->schedule);
    if (peak > PC_BURN_K)
        add(w, "hot-mold",
            "Hot casting: the resin in the mold is worked out to reach %s: heat-proof gloves, and "
            "let it cool before opening.",
            temperature(w, peak).s);
    for (size_t p = 0; p < w->schedule->part_count; p++)
        if (w->schedule->part[p].kind == PC_HOLLOW) {
            add(w, "pressure",
                "Closed cavity: warm air inside swells; vent the pour hole before unplugging, face "
                "away, and never heat a sealed hollow piece.");
            break;
        }
    add(w, "dust",
        "Sanding and cutting: only when fully cured, wet or under extraction, with a particulate "
        "respirator and goggles; plaster and filler dust too.");
}

pc_status pc_cautions_make(const pc_piece *piece, const pc_schedule *schedule, pc_units units,
                           pc_cautions *cautions) {
    if (!cautions)
        return PC_E_ARGUMENT;
    *cautions = (pc_cautions){0, NULL};
    if (!piece || !schedule || (unsigned)piece->resin.family >= PC_FAMILY_COUNT)
        return PC_E_ARGUMENT;
    pc_standing standing;
    pc_ventilation vent;
    pc_status status = pc_standing_of(piece, schedule, &standing);
    if (status == PC_OK)
        status = pc_ventilation_of(piece, schedule, &vent);
    if (status != PC_OK)
        return status;
    cautions->item = calloc(CAUTIONS_MOST, sizeof *cautions->item);
    if (!cautions->item)
        return PC_E_MEMORY;
    writer w = {piece, schedule, units, cautions};
    exotherm(&w, &standing);
    air(&w, &vent);
    respirator(&w);
    skin(&w);
    turning(&w);
    fire(&w);
    in_the_mold(&w);
    add(&w, "deferral", "%s", pc_deferral());
    return PC_OK;
}

void pc_cautions_free(pc_cautions *cautions) {
    if (!cautions)
        return;
    free(cautions->item);
    *cautions = (pc_cautions){0, NULL};
}
