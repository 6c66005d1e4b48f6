/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Exposure limits of what casting resins give off. The table is data from one edition of a
 * published guide; limits change, and the local ones may be lower. */
#include "pourclock/safety.h"

#include <math.h>

#include "base/text.h"
#include "safety/air_sums.h"

#define PPM   1e-6
#define MG_M3 1e-6
#define G_MOL 1e-3

const char *pc_exposure_edition(void) {
    return "NIOSH Pocket Guide to Chemical Hazards, DHHS (NIOSH) 2005-149, September 2007";
}

/* NIOSH average, by volume and mass; NIOSH ceiling, likewise; OSHA average, ceiling; IDLH. */
static const pc_exposure table[] = {
    {"styrene", "polyester", 104.2 * G_MOL, 50 * PPM, 215 * MG_M3, NAN, NAN, 100 * PPM, 200 * PPM,
     700 * PPM},
    {"MDI", "urethane", 250.3 * G_MOL, 0.005 * PPM, 0.05 * MG_M3, 0.020 * PPM, 0.2 * MG_M3, NAN,
     0.02 * PPM, NAN},
    {"TDI", "urethane", 174.2 * G_MOL, NAN, NAN, NAN, NAN, NAN, 0.02 * PPM, 2.5 * PPM},
    {"HDI", "urethane", 168.2 * G_MOL, 0.005 * PPM, 0.035 * MG_M3, 0.020 * PPM, 0.140 * MG_M3, NAN,
     NAN, NAN},
    {"diethylenetriamine", "epoxy", 103.2 * G_MOL, 1 * PPM, 4 * MG_M3, NAN, NAN, NAN, NAN, NAN},
    {"methyl ethyl ketone peroxide", "polyester", 176.2 * G_MOL, NAN, NAN, 0.2 * PPM, 1.5 * MG_M3,
     NAN, NAN, NAN},
    {"acetone", "cleaning", 58.1 * G_MOL, 250 * PPM, 590 * MG_M3, NAN, NAN, 1000 * PPM, NAN,
     2500 * PPM},
};

const pc_exposure *pc_exposure_at(size_t index) {
    return index < sizeof table / sizeof *table ? &table[index] : NULL;
}

const pc_exposure *pci_exposure_find(const char *substance) {
    for (size_t i = 0; substance && i < sizeof table / sizeof *table; i++)
        if (pci_same_word(substance, table[i].substance))
            return &table[i];
    return NULL;
}
