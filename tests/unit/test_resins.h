/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Invented resins of fixed constants, so that tests of what is built on a resin do not move with
 * the priors of the families; and resins anchored to one figure. */
#ifndef TESTS_TEST_RESINS_H
#define TESTS_TEST_RESINS_H

#include "pourclock/resin.h"
#include "sheet/datum.h"
#include "unit.h"

/* 100 g at 23 C: pot life 3 min, gel 4 min, hot: 427 K. */
static inline void fixed_urethane(pc_resin *resin) {
    assert_ok(pc_resin_defaults(PC_URETHANE, resin));
    resin->density_kg_m3 = 1050.0;
    resin->flow.mu_ref_Pa_s = 0.12;
    resin->cure = (pc_cure){2914799.60326, 54870,        0,   0,           0, 2, 256e3, 1800, 0.2,
                            0.707,         0.2429319585, 0.9, 0.8722696537};
    resin->flow.a_gel = resin->cure.a_gel;
    resin->peak_limit_K = PC_ZERO_CELSIUS_K + 80.0;
    resin->demold_below_K = PC_ZERO_CELSIUS_K + 45.0;
    resin->sheet.constants_given = true;
}

/* 100 g at 23 C: pot life 9 min, gel 15 min. */
static inline void fixed_polyester(pc_resin *resin) {
    assert_ok(pc_resin_defaults(PC_POLYESTER, resin));
    resin->density_kg_m3 = 1120.0;
    resin->flow.mu_ref_Pa_s = 0.35;
    resin->cure = (pc_cure){1112875.40179, 60000, 66772524.1077, 60000,         1,   1.5, 375e3,
                            1900,          0.19,  0.08,          0.04490820675, 0.8, 0.98};
    resin->flow.a_gel = resin->cure.a_gel;
    resin->peak_limit_K = PC_ZERO_CELSIUS_K + 120.0;
    resin->demold_below_K = PC_ZERO_CELSIUS_K + 45.0;
    resin->sheet.constants_given = true;
}

/* 100 g at 23 C: pot life 35 min, gel 75 min. */
static inline void fixed_epoxy(pc_resin *resin) {
    assert_ok(pc_resin_defaults(PC_EPOXY, resin));
    resin->density_kg_m3 = 1120.0;
    resin->flow.mu_ref_Pa_s = 0.8;
    resin->cure =
        (pc_cure){58679.2450954, 54960, 5828.62236383, 44289,         0.39845, 1.5361,      460e3,
                  1900,          0.2,   0.577,         0.09320362084, 0.72,    0.9446848803};
    resin->flow.a_gel = resin->cure.a_gel;
    resin->peak_limit_K = PC_ZERO_CELSIUS_K + 80.0;
    resin->demold_below_K = PC_ZERO_CELSIUS_K + 45.0;
    resin->sheet.constants_given = true;
}

/* A resin of each family with constants that are no sheet's and never move. */
static inline void plain_resin(pc_family family, pc_resin *resin) {
    static const pc_cure cure[PC_FAMILY_COUNT] = {
        {7.398e6, 54870, 0, 54870, 1, 2, 256e3, 1800, 0.20, 0.707, 0.6 * 0.707, 0.90, 0.85},
        {35982, 54960, 3574.1, 44289, 0.39845, 1.5361, 460e3, 1900, 0.20, 0.577, 0.6 * 0.577, 0.72,
         0.72},
        {1e6, 60000, 60e6, 60000, 1, 1.5, 375e3, 1900, 0.19, 0.08, 0.6 * 0.08, 0.80, 0.70},
    };
    assert_ok(pc_resin_defaults(family, resin));
    resin->cure = cure[family];
    resin->flow.a_gel = resin->cure.a_gel;
    resin->demold_below_K = PC_ZERO_CELSIUS_K + 45.0;
    resin->sheet.constants_given = true;
}

/* Adds a figure of 100 g at 23 C (a film of 1.5 mm, a casting) to a sheet. */
static inline pc_datum *state(pc_resin *resin, pc_datum_kind kind, double value) {
    ck_assert_uint_lt(resin->sheet.count, PC_DATA_MOST);
    pc_datum *datum = &resin->sheet.datum[resin->sheet.count++];
    *datum = pci_datum_new(kind);
    datum->value = value;
    datum->spread = pci_datum_spread(datum);
    return datum;
}

/* A resin of a family whose cup of 100 g gels, or whose pot life ends, at a time. */
static inline void anchored(pc_family family, pc_datum_kind kind, double value, pc_resin *resin) {
    assert_ok(pc_resin_defaults(family, resin));
    state(resin, kind, value);
    assert_ok(pc_resin_anchor(resin, NULL));
}

#endif
