/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a test would give with a resin: the cup and the wall run as the test was. */
#include "sheet/cuptest_rows.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/try.h"
#include "resin/cup.h"
#include "resin/cure_rate.h"
#include "wall/bound.h"

static const double LONGEST_S = 30.0 * PC_DAY_S;

bool pci_test_is_time(const pc_test *test) {
    return test->kind != PC_TEST_LOG;
}

size_t pci_test_log_length(const pc_tests *tests, size_t first) {
    size_t i = first;
    while (i < tests->count && tests->item[i].kind == PC_TEST_LOG &&
           strcmp(tests->item[i].cup, tests->item[first].cup) == 0)
        i++;
    return i - first;
}

/* The user's own rubber, or the reference mold, at the mold's temperature in the shop's air. */
static void film_mold(const pc_test *test, pci_fineness fineness, pci_wall_spec *spec) {
    pci_reference_mold(test->mold_K, spec);
    if (fineness == PCI_ROUGH) {
        spec->refine = 0.25;
        spec->tolerance = 2e-3;
    }
    spec->air_K = test->air_K;
    /* Thick and hot it burns through in a front, which a fit cannot wait for on the fine grid. */
    if (test->thickness_m > 4e-3 && fineness == PCI_FINE) {
        spec->refine = 0.4;
        spec->tolerance = 2e-4;
    }
    if (!(test->rubber_m > 0.0))
        return;
    pci_mold_stack(test->shell_kind, test->shell_m, test->rubber_kind, test->rubber_m, spec);
}

/* *work: node-steps it may take; less what it took. NULL: the wall's own bound. */
static pc_status film_gel(const pc_test *test, const pc_resin *resin, pci_fineness fineness,
                          double *work, double *gel_s) {
    pc_cup_state state;
    PCI_TRY(pci_cup_at(resin, test->mass_kg, test->T_K, test->air_K, test->laid_s, &state));
    pci_wall_spec spec;
    pci_wall *wall;
    film_mold(test, fineness, &spec);
    PCI_TRY(pci_wall_new(&spec, test->laid_s, &wall));
    if (work)
        pci_wall_bound_work(wall, *work);
    pc_status status = pci_wall_pour(wall, resin, test->thickness_m, &state, NAN);
    if (status == PC_OK)
        status = pci_wall_until_gel(wall, 0, LONGEST_S, gel_s);
    if (work)
        *work -= pci_wall_work(wall);
    pci_wall_free(wall);
    return status;
}

static bool sane_test(const pc_test *test) {
    return test && (unsigned)test->kind < PC_TEST_KIND_COUNT && test->mass_kg > 0.0 &&
           test->T_K > 0.0 && test->air_K > 0.0 &&
           (test->kind != PC_TEST_FILM ||
            (test->laid_s >= 0.0 && test->thickness_m > 0.0 && test->mold_K > 0.0));
}

pc_status pc_test_value(const pc_test *test, const pc_resin *resin, double *value) {
    if (!resin || !value || !sane_test(test))
        return PC_E_ARGUMENT;
    const pc_cure *cure = &resin->cure;
    pc_cup_state state;
    pc_status status = PC_E_ARGUMENT;
    switch (test->kind) {
    case PC_TEST_GEL:
    case PC_TEST_POT:
        return pci_cup_conversion_time(resin, test->mass_kg, test->T_K, test->air_K,
                                       test->kind == PC_TEST_GEL ? cure->a_gel : cure->a_pot,
                                       value);
    case PC_TEST_FILM:
        return film_gel(test, resin, PCI_FINE, NULL, value);
    case PC_TEST_LOG:
        status = pci_cup_at(resin, test->mass_kg, test->T_K, test->air_K, test->time_s, &state);
        if (status == PC_OK)
            *value = state.T_K;
        return status;
    case PC_TEST_KIND_COUNT:
        break;
    }
    return status;
}

static pc_status log_values(const pc_test *test, size_t n, const pc_resin *resin, double value[]) {
    double *time_s = malloc(n * sizeof *time_s);
    pc_cup_state *state = malloc(n * sizeof *state);
    pc_status status = time_s && state ? PC_OK : PC_E_MEMORY;
    for (size_t i = 0; status == PC_OK && i < n; i++)
        time_s[i] = test[i].time_s;
    if (status == PC_OK)
        status =
            pci_cup_trace(resin, test[0].mass_kg, test[0].T_K, test[0].air_K, n, time_s, state);
    for (size_t i = 0; status == PC_OK && i < n; i++)
        value[i] = state[i].T_K;
    free(time_s);
    free(state);
    return status;
}

static pc_status one_value(const pc_test *test, const pc_resin *resin, pci_fineness fineness,
                           double *film_work, double *value) {
    if (test->kind == PC_TEST_FILM && sane_test(test))
        return film_gel(test, resin, fineness, film_work, value);
    return pc_test_value(test, resin, value);
}

pc_status pci_test_values(const pc_tests *tests, const pc_resin *resin, pci_fineness fineness,
                          double *film_work, double value[]) {
    for (size_t i = 0; i < tests->count;) {
        size_t n = pci_test_log_length(tests, i);
        pc_status status = n > 0
                               ? log_values(&tests->item[i], n, resin, &value[i])
                               : one_value(&tests->item[i], resin, fineness, film_work, &value[i]);
        if (status == PC_E_UNREACHED)
            value[i] = INFINITY;
        else if (status != PC_OK)
            return status;
        i += n > 0 ? n : 1;
    }
    return PC_OK;
}

/* The hottest reading of a logged cup. */
static size_t log_summit(const pc_test *test, size_t n) {
    size_t best = 0;
    for (size_t i = 1; i < n; i++)
        if (test[i].reading_K > test[best].reading_K)
            best = i;
    return best;
}

pc_status pci_test_lateness(const pc_tests *tests, size_t row, const pc_resin *resin,
                            double *stated, double *value) {
    const pc_test *test = &tests->item[row];
    size_t n = pci_test_log_length(tests, row);
    if (n > 0) {
        pc_cup_events events;
        *stated = test[log_summit(test, n)].time_s;
        if (!(*stated > 0.0))
            return PC_E_UNREACHED;
        pc_status status = pci_cup_run(resin, test->mass_kg, test->T_K, test->air_K, &events);
        *value = events.peak_s > 0.0 ? events.peak_s : INFINITY;
        return status;
    }
    *stated = test->time_s;
    pc_status status = pc_test_value(test, resin, value);
    if (status == PC_E_UNREACHED) {
        *value = INFINITY;
        status = PC_OK;
    }
    return status;
}

/* Judgment: a timed cup, a film touched with a gloved finger, a thermometer in a cup whose loss of
 * heat is only roughly known; and half a year until a test counts for half of its weight, since
 * lots change. */
static const double CUP_SPREAD = 0.05, FILM_SPREAD = 0.10, READING_SPREAD_K = 1.0;
static const double FADE_DAYS = 180.0;

void pci_test_spreads(const pc_tests *tests, double spread[]) {
    double newest = -INFINITY;
    for (size_t i = 0; i < tests->count; i++)
        newest = fmax(newest, tests->item[i].day); /* passes over NaN */
    for (size_t i = 0; i < tests->count; i++) {
        const pc_test *test = &tests->item[i];
        double usual = test->kind == PC_TEST_FILM  ? FILM_SPREAD
                       : test->kind == PC_TEST_LOG ? READING_SPREAD_K
                                                   : CUP_SPREAD;
        double age = isnan(test->day) ? 0.0 : (newest - test->day) / FADE_DAYS;
        spread[i] = (test->spread > 0.0 ? test->spread : usual) * sqrt(exp2(age));
    }
}

void pc_tests_free(pc_tests *tests) {
    if (!tests)
        return;
    free(tests->item);
    tests->item = NULL;
    tests->count = 0;
}

void pc_tests_fit_free(pc_tests_fit *fit) {
    if (!fit)
        return;
    free(fit->result);
    fit->result = NULL;
    fit->count = 0;
}
