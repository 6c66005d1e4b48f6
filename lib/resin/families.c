/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Defaults of each resin family.
 *
 * Urethane kinetics: Baser & Khakhar, Polym. Eng. Sci. 34 (1994) 632, gelling without water
 * (quoted in a secondary source). Epoxy kinetics: Thermochim. Acta, doi 10.1016/j.tca.2015.11.014,
 * Table 5 (quoted in a secondary source). Urethane viscosity exponents: Castro & Macosko, AIChE J.
 * 28 (1982) 250, set 2. a_gel: Flory-Stockmayer, (3,2) and (4,2). From memory or engineering
 * judgement: the whole polyester column, a_pot, a_bond, a_demold, cp and the epoxy viscosity. */
#include <math.h>
#include <string.h>

#include "base/text.h"
#include "pourclock/resin.h"

static const char *const words[PC_FAMILY_COUNT] = {
#define WORD(name, word) word,
    PC_FAMILY_TABLE(WORD)
#undef WORD
};

/* A polyester's rate hangs on its promoter and peroxide, so its A1 has no meaning before
 * anchoring: it only starts the search. */
static const struct {
    pc_cure cure;
    double E_mu_J_mol, c, d;
    pc_volatile gives_off;
    double peak_warn_C, least_C; /* practice */
} family_row[PC_FAMILY_COUNT] = {
    [PC_URETHANE] = {{7.398e6, 54870.0, 0.0, 54870.0, 1.0, 2.0, 256e3, 1800.0, 0.20, 0.707,
                      0.60 * 0.707, 0.90, 0.85},
                     41300.0,
                     1.5,
                     1.0,
                     {"diisocyanate", NAN, NAN, NAN, NAN, NAN},
                     100.0,
                     10.0},
    [PC_EPOXY] = {{35982.0, 54960.0, 0.09933 * 35982.0, 44289.0, 0.39845, 1.5361, 460e3, 1900.0,
                   0.20, 0.577, 0.60 * 0.577, 0.72, 0.72},
                  50000.0,
                  1.5,
                  1.0,
                  {"amine", NAN, NAN, NAN, NAN, NAN},
                  120.0,
                  10.0},
    [PC_POLYESTER] = {{1.0e6, 60000.0, 60.0e6, 60000.0, 1.0, 1.5, 375e3, 1900.0, 0.19, 0.08,
                       0.60 * 0.08, 0.80, 0.70},
                      35000.0,
                      1.0,
                      1.0,
                      {"styrene", 0.40, NAN, 50e-6, NAN, 0.10415},
                      140.0,
                      15.0},
};

const char *pc_family_word(pc_family family) {
    return (unsigned)family < PC_FAMILY_COUNT ? words[family] : "";
}

int pc_family_from_word(const char *word) {
    for (int i = 0; word && i < PC_FAMILY_COUNT; i++)
        if (pci_same_word(word, words[i]))
            return i;
    return -1;
}

pc_status pc_resin_defaults(pc_family family, pc_resin *resin) {
    if (!resin || (unsigned)family >= PC_FAMILY_COUNT)
        return PC_E_ARGUMENT;
    memset(resin, 0, sizeof *resin);
    resin->family = family;
    resin->density_kg_m3 = 1100.0;
    resin->share_a = resin->share_b = 0.5;
    resin->density_a_kg_m3 = resin->density_b_kg_m3 = NAN;
    resin->peak_limit_K = NAN;
    resin->peak_warn_K = PC_ZERO_CELSIUS_K + family_row[family].peak_warn_C;
    resin->least_temperature_K = PC_ZERO_CELSIUS_K + family_row[family].least_C;
    resin->demold_below_K = PC_ZERO_CELSIUS_K + 45.0;
    resin->cure = family_row[family].cure;
    resin->flow.mu_ref_Pa_s = 0.5;
    resin->flow.T_ref_K = PC_ZERO_CELSIUS_K + 23.0;
    resin->flow.E_mu_J_mol = family_row[family].E_mu_J_mol;
    resin->flow.c = family_row[family].c;
    resin->flow.d = family_row[family].d;
    resin->flow.a_gel = resin->cure.a_gel;
    pc_data_sheet *sheet = &resin->sheet;
    sheet->pot_life_s = sheet->demold_s = NAN;
    sheet->pot_life_mass_kg = 0.1;
    sheet->pot_life_T_K = sheet->demold_T_K = PC_ZERO_CELSIUS_K + 23.0;
    sheet->demold_thickness_m = 3e-3;
    resin->gives_off = family_row[family].gives_off;
    return PC_OK;
}
