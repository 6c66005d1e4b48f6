/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Designs of cup and film tests, and exact times for them. */
#ifndef TESTS_TESTS_DESIGN_H
#define TESTS_TESTS_DESIGN_H

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#include "pourclock/cuptest.h"
#include "resin/cup.h"
#include "unit.h"

enum { TESTS = 9 };
static const double C0 = PC_ZERO_CELSIUS_K;

static inline pc_resin urethane(void) {
    pc_resin resin;
    assert_ok(pc_resin_defaults(PC_URETHANE, &resin));
    return resin;
}

/* The truth: 0.35 times as fast as the family's beginning at 20 C, E 5 kJ/mol higher. */
static inline pc_resin truth(void) {
    pc_resin resin = urethane();
    pci_cure_rescale(&resin.cure, log(0.35), 5e3, C0 + 20.0);
    return resin;
}

static inline pc_test cup(pc_test_kind kind, double C, double mass_kg) {
    pc_test test = {.day = NAN, .kind = kind, .mass_kg = mass_kg, .T_K = C0 + C, .air_K = C0 + C};
    test.mold_K = test.T_K;
    test.thickness_m = 2e-3;
    test.laid_s = 60.0;
    return test;
}

static inline size_t design(pc_test item[], bool film) {
    static const double C[TESTS] = {14, 14, 18, 20, 23, 23, 27, 30, 30};
    for (size_t i = 0; i < TESTS; i++)
        item[i] = cup(film && i % 4 == 3 ? PC_TEST_FILM : PC_TEST_GEL, C[i], i % 2 ? 0.1 : 0.05);
    return TESTS;
}

/* Exact times of the truth, each off by a normal error in ln. */
static inline void measure(pc_tests *tests, const double exact_s[], gsl_rng *rng, double sigma) {
    for (size_t i = 0; i < tests->count; i++)
        tests->item[i].time_s =
            exact_s[i] * exp(rng ? gsl_ran_gaussian(rng, sigma) : sigma * (i % 2 ? 1.0 : -1.0));
}

static inline void exact_times(pc_tests *tests, double exact_s[]) {
    pc_resin resin = truth();
    for (size_t i = 0; i < tests->count; i++)
        assert_ok(pc_test_value(&tests->item[i], &resin, &exact_s[i]));
}

#endif
