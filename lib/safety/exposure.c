/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Exposure limits of what casting resins give off, row by row from the page named. Limits change,
 * and the local ones may be lower. "Read" says that the page was read in a stored copy. */
#include "pourclock/safety.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "safety/air_sums.h"

#define PPM   1e-6
#define MG_M3 1e-6
#define G_MOL 1e-3

static const pc_exposure table[] = {
    /* Read. */
    {.substance = "styrene",
     .of = "polyester",
     .source = "NIOSH Pocket Guide, Publication 2005-151",
     .date = "September 2005",
     .molar_mass_kg_mol = 104.2 * G_MOL,
     .niosh_fraction = 50 * PPM,
     .niosh_kg_m3 = 215 * MG_M3,
     .niosh_short_fraction = 100 * PPM,
     .niosh_ceiling_fraction = NAN,
     .niosh_ceiling_kg_m3 = NAN,
     .osha_fraction = 100 * PPM,
     .osha_ceiling_fraction = 200 * PPM,
     .osha_peak_fraction = 600 * PPM,
     .idlh_fraction = 700 * PPM,
     .idlh_kg_m3 = NAN},
    /* Read; that NIOSH agreed with 0.2 ppm is said there, that it kept it is from memory. */
    {.substance = "methyl ethyl ketone peroxide",
     .of = "polyester",
     .source = "NIOSH comments on the OSHA rule, 54 FR 2332",
     .date = "January 1989",
     .molar_mass_kg_mol = 176.2 * G_MOL,
     .niosh_fraction = NAN,
     .niosh_kg_m3 = NAN,
     .niosh_short_fraction = NAN,
     .niosh_ceiling_fraction = 0.2 * PPM,
     .niosh_ceiling_kg_m3 = 1.5 * MG_M3,
     .osha_fraction = NAN,
     .osha_ceiling_fraction = NAN,
     .osha_peak_fraction = NAN,
     .idlh_fraction = NAN,
     .idlh_kg_m3 = NAN},
    /* Read. */
    {.substance = "acetone",
     .of = "polyester",
     .source = "OSHA Chemical Sampling Information",
     .date = "2008",
     .molar_mass_kg_mol = 58.1 * G_MOL,
     .niosh_fraction = 250 * PPM,
     .niosh_kg_m3 = 590 * MG_M3,
     .niosh_short_fraction = NAN,
     .niosh_ceiling_fraction = NAN,
     .niosh_ceiling_kg_m3 = NAN,
     .osha_fraction = 1000 * PPM,
     .osha_ceiling_fraction = NAN,
     .osha_peak_fraction = NAN,
     .idlh_fraction = 2500 * PPM,
     .idlh_kg_m3 = NAN},
    /* Read. */
    {.substance = "MDI",
     .of = "urethane",
     .source = "NIOSH IDLH page",
     .date = "May 1994",
     .molar_mass_kg_mol = 250.3 * G_MOL,
     .niosh_fraction = 0.005 * PPM,
     .niosh_kg_m3 = 0.05 * MG_M3,
     .niosh_short_fraction = NAN,
     .niosh_ceiling_fraction = 0.020 * PPM,
     .niosh_ceiling_kg_m3 = 0.2 * MG_M3,
     .osha_fraction = NAN,
     .osha_ceiling_fraction = 0.02 * PPM,
     .osha_peak_fraction = NAN,
     .idlh_fraction = NAN,
     .idlh_kg_m3 = 75 * MG_M3},
    /* Read. */
    {.substance = "TDI",
     .of = "urethane",
     .source = "NIOSH IDLH page",
     .date = "May 1994",
     .molar_mass_kg_mol = 174.2 * G_MOL,
     .niosh_fraction = NAN,
     .niosh_kg_m3 = NAN,
     .niosh_short_fraction = NAN,
     .niosh_ceiling_fraction = NAN,
     .niosh_ceiling_kg_m3 = NAN,
     .osha_fraction = NAN,
     .osha_ceiling_fraction = 0.02 * PPM,
     .osha_peak_fraction = NAN,
     .idlh_fraction = 2.5 * PPM,
     .idlh_kg_m3 = NAN,
     .carcinogen = true},
    /* Read. */
    {.substance = "HDI",
     .of = "urethane",
     .source = "NIOSH Pocket Guide, Publication 2005-151",
     .date = "September 2005",
     .molar_mass_kg_mol = 168.2 * G_MOL,
     .niosh_fraction = 0.005 * PPM,
     .niosh_kg_m3 = 0.035 * MG_M3,
     .niosh_short_fraction = NAN,
     .niosh_ceiling_fraction = 0.020 * PPM,
     .niosh_ceiling_kg_m3 = 0.140 * MG_M3,
     .osha_fraction = NAN,
     .osha_ceiling_fraction = NAN,
     .osha_peak_fraction = NAN,
     .idlh_fraction = NAN,
     .idlh_kg_m3 = NAN},
    /* Read; the mass, 4 mg/m3, from memory. */
    {.substance = "diethylenetriamine",
     .of = "epoxy",
     .source = "NIOSH Manual of Analytical Methods, method 2540",
     .date = "August 1994",
     .molar_mass_kg_mol = 103.2 * G_MOL,
     .niosh_fraction = 1 * PPM,
     .niosh_kg_m3 = 4 * MG_M3,
     .niosh_short_fraction = NAN,
     .niosh_ceiling_fraction = NAN,
     .niosh_ceiling_kg_m3 = NAN,
     .osha_fraction = NAN,
     .osha_ceiling_fraction = NAN,
     .osha_peak_fraction = NAN,
     .idlh_fraction = NAN,
     .idlh_kg_m3 = NAN,
     .skin = true},
};

enum { ROWS = sizeof table / sizeof table[0] };

const pc_exposure *pci_exposure_at(size_t index) {
    return index < ROWS ? &table[index] : NULL;
}

const pc_exposure *pci_exposure_find(const char *substance) {
    for (size_t i = 0; substance && i < ROWS; i++)
        if (pci_same_word(substance, table[i].substance))
            return &table[i];
    return NULL;
}

/* The hardener and the cleaner of a polyester are there whatever the monomer's name. */
static bool is_at_hand(const pc_resin *resin, const pc_exposure *row, bool named) {
    if (pci_same_word(row->substance, resin->gives_off.name))
        return true;
    if (!pci_same_word(row->of, pc_family_word(resin->family)))
        return false;
    return !named || pci_same_word(row->substance, "methyl ethyl ketone peroxide") ||
           pci_same_word(row->substance, "acetone");
}

size_t pci_exposure_of(const pc_resin *resin, const pc_exposure **row, size_t most) {
    if (!resin || !row)
        return 0;
    bool named = pci_exposure_find(resin->gives_off.name) != NULL;
    size_t count = 0;
    for (size_t i = 0; i < ROWS && count < most; i++)
        if (is_at_hand(resin, &table[i], named))
            row[count++] = &table[i];
    return count;
}

static void append(char *text, size_t size, const char *more) {
    size_t used = strlen(text);
    snprintf(text + used, size - used, "%s", more);
}

/* A limit in millionths, by volume (ppm) or by mass (mg/m3); nothing where there is none. */
static void append_limit(char *text, size_t size, const char *before, double limit,
                         const char *unit) {
    char figure[32];
    if (!(limit > 0))
        return;
    pci_format(figure, sizeof figure, "%.4g", limit * 1e6);
    append(text, size, before);
    append(text, size, figure);
    append(text, size, unit);
}

size_t pci_exposure_text(const pc_exposure *row, char *buffer, size_t size) {
    char text[400];
    if (!row)
        return 0;
    bool niosh = row->niosh_fraction > 0, osha = row->osha_fraction > 0;
    snprintf(text, sizeof text, "%s:", row->substance);
    append_limit(text, sizeof text, " NIOSH ", row->niosh_fraction, " ppm");
    append_limit(text, sizeof text, " (", row->niosh_kg_m3, " mg/m3)");
    append_limit(text, sizeof text, ", over 15 minutes ", row->niosh_short_fraction, " ppm");
    append_limit(text, sizeof text, niosh ? ", ceiling " : " NIOSH ceiling ",
                 row->niosh_ceiling_fraction, " ppm");
    append_limit(text, sizeof text, " (", row->niosh_ceiling_kg_m3, " mg/m3)");
    if (row->carcinogen)
        append(text, sizeof text, " NIOSH potential occupational carcinogen");
    append_limit(text, sizeof text, "; OSHA ", row->osha_fraction, " ppm");
    append_limit(text, sizeof text, osha ? ", ceiling " : "; OSHA ceiling ",
                 row->osha_ceiling_fraction, " ppm");
    append_limit(text, sizeof text, ", peak ", row->osha_peak_fraction,
                 " ppm for 5 minutes in any 3 hours");
    append_limit(text, sizeof text, "; immediately dangerous ", row->idlh_fraction, " ppm");
    append_limit(text, sizeof text, "; immediately dangerous ", row->idlh_kg_m3, " mg/m3");
    if (row->skin)
        append(text, sizeof text, "; enters through the skin");
    append(text, sizeof text, " [");
    append(text, sizeof text, row->source);
    append(text, sizeof text, ", ");
    append(text, sizeof text, row->date);
    append(text, sizeof text, "]");
    if (buffer && size > 0)
        snprintf(buffer, size, "%s", text);
    return strlen(text);
}
