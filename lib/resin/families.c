/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is known of each family before any data sheet: a mean and a standard deviation of each
 * unknown of anchoring, and the constants that are never anchored. None of it is a measurement of
 * any one resin; a sheet moves it.
 *
 * Urethane. Activation energy: 41.6 kJ/mol of a bulk TDI and polyester diol, 34.0 with a tin
 * catalyst, 43.6 of a polyether and MDI (n 0.87), overall order 3/2 to 2 of a tin-catalyzed triol
 * and MDI (published abstracts, at second hand); 54.87 of a rigid gelling reaction without water,
 * n 2 (Baser & Khakhar, Polym. Eng. Sci. 34 (1994) 632, at second hand). Heat: 55 kJ a mole of
 * aromatic NCO by calorimetry; rapid-setting rigid casting urethanes carry 20 to 50 % of a liquid
 * that does not react, and castings of them reach about 100 C (practice).
 * Epoxy. Rates: the Kamal set of Thermochim. Acta, doi 10.1016/j.tca.2015.11.014, Table 5 (at
 * second hand): 35982 1/s at 54.96 kJ/mol, the second term 0.09933 of it at 44.289; a film's gel
 * time from 4 to 43 C falls with 46 kJ/mol (practice), the set gives 46.9. Polyester. Energy of a
 * redox cure 40 to 60, of a thermal one 80 to 90 kJ/mol (at second hand); two cups of practice: gel
 * after 13 min, peak 162 C after 34; gel after 60, peak 126 C after 70. Gel conversion:
 * Flory-Stockmayer for epoxy (4, 2). Viscosity exponents of urethane: Castro & Macosko, AIChE J. 28
 * (1982) 250, set 2 (at second hand). The shares a_pot, a_demold and a_bond, all spreads, n of
 * urethane and polyester, k2/k1 of polyester: fitted to the pairs of cup and film in
 * tests/published/pairs.txt, or judgment. */
#include <math.h>
#include <string.h>

#include "pourclock/resin.h"
#include "resin/unknowns.h"

/* ln of odds: logit(0.66) and so on, to four digits of the share. */
#define LOGIT_0577 0.310470 /* epoxy a_gel */
#define LOGIT_0660 0.663294 /* urethane a_gel */
#define LOGIT_0670 0.708185 /* urethane a_pot/a_gel */
#define LOGIT_0680 0.753772
#define LOGIT_0700 0.847298
#define LOGIT_0750 1.098612
#define LOGIT_0765 1.180290
#define LOGIT_0882 2.011507
#define LOGIT_006  (-2.751535)

typedef struct family_row {
    pci_prior prior; /* in the order of unknowns.h; the first has no mean of its own */
    double E2_less_E1_J_mol, m, n, cp_J_kgK, k_W_mK, a_bond;
    double E_mu_J_mol, c, d;
    double peak_warn_C, least_C;
    pc_catalyst catalyst;
    pc_volatile gives_off;
} family_row;

static const family_row rows[PC_FAMILY_COUNT] = {
    [PC_URETHANE] = {{{0.0, 40e3, 170e3, LOGIT_0660, LOGIT_0670, LOGIT_0765, 0.0},
                      {3.0, 6e3, 30e3, 0.30, 0.5, 0.70, 0.0}},
                     0.0,
                     1.0,
                     1.5,
                     1800.0,
                     0.20,
                     0.90,
                     41300.0,
                     1.5,
                     1.0,
                     100.0,
                     10.0,
                     {0.0, 0.0, 0.0, 0.0, 0.0},
                     {"diisocyanate", NAN, NAN, NAN, NAN, NAN}},
    [PC_EPOXY] = {{{0.0, 55e3, 400e3, LOGIT_0577, LOGIT_0750, LOGIT_0882, 2.024193 /* ln 7.57 */},
                   {3.0, 5e3, 40e3, 0.15, 0.8, 0.70, 0.5}},
                  -10.67e3,
                  0.39845,
                  1.5361,
                  1900.0,
                  0.20,
                  0.80,
                  50000.0,
                  1.5,
                  1.0,
                  120.0,
                  10.0,
                  {0.0, 0.0, 0.0, 0.0, 0.0},
                  {"amine", NAN, NAN, NAN, NAN, NAN}},
    [PC_POLYESTER] = {{{0.0, 60e3, 300e3, LOGIT_006, LOGIT_0700, LOGIT_0680, 3.401197 /* ln 30 */},
                       {3.0, 10e3, 50e3, 0.40, 0.8, 0.80, 0.8}},
                      0.0,
                      1.0,
                      1.75,
                      1900.0,
                      0.19,
                      0.80,
                      35000.0,
                      1.0,
                      1.0,
                      140.0,
                      15.0,
                      {0.01, 0.0075, 0.03, 1.0, 0.01},
                      {"styrene", 0.40, NAN, 50e-6, NAN, 0.10415}},
};

/* A rate with which 100 g in a cup last some minutes: only a place to begin the search from. */
static const double LN_K1_START[PC_FAMILY_COUNT] = {-6.5, -9.5, -9.5};

const pci_prior *pci_family_prior(pc_family family) {
    return &rows[family].prior;
}

static void set_cure(pc_family family, pc_cure *cure) {
    const family_row *row = &rows[family];
    double theta[PC_UNKNOWNS];
    memcpy(theta, row->prior.mean, sizeof theta);
    theta[PCI_LN_K1] = LN_K1_START[family];
    pc_cure base = {.A1_per_s = 1.0,
                    .m = row->m,
                    .n = row->n,
                    .cp_J_kgK = row->cp_J_kgK,
                    .k_W_mK = row->k_W_mK,
                    .a_bond = row->a_bond};
    base.A2_per_s = row->prior.sd[PCI_AUTO] > 0.0 ? 1.0 : 0.0;
    base.E2_J_mol = row->E2_less_E1_J_mol;
    pci_cure_of_unknowns(&base, theta, cure);
}

pc_status pc_resin_defaults(pc_family family, pc_resin *resin) {
    if (!resin || (unsigned)family >= PC_FAMILY_COUNT)
        return PC_E_ARGUMENT;
    const family_row *row = &rows[family];
    memset(resin, 0, sizeof *resin);
    resin->family = family;
    resin->density_kg_m3 = 1100.0;
    resin->share_a = resin->share_b = 0.5;
    resin->density_a_kg_m3 = resin->density_b_kg_m3 = NAN;
    resin->peak_limit_K = NAN;
    resin->peak_warn_K = PC_ZERO_CELSIUS_K + row->peak_warn_C;
    resin->least_temperature_K = PC_ZERO_CELSIUS_K + row->least_C;
    resin->demold_below_K = PC_ZERO_CELSIUS_K + 60.0;
    resin->catalyst = row->catalyst;
    if (resin->catalyst.at > 0.0) {
        resin->share_b = resin->catalyst.level / (1.0 + resin->catalyst.level);
        resin->share_a = 1.0 - resin->share_b;
    }
    set_cure(family, &resin->cure);
    resin->flow.mu_ref_Pa_s = 0.5;
    resin->flow.T_ref_K = PC_SHEET_K;
    resin->flow.E_mu_J_mol = row->E_mu_J_mol;
    resin->flow.c = row->c;
    resin->flow.d = row->d;
    resin->flow.a_gel = resin->cure.a_gel;
    resin->gives_off = row->gives_off;
    return PC_OK;
}
