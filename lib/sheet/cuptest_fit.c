/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The user's tests fitted beside the data sheet, and how each row compares with the fit. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "resin/cup.h"
#include "resin/cure_rate.h"
#include "resin/filler.h"
#include "sheet/anchor.h"
#include "sheet/cuptest_rows.h"

static const double HALF_95 = 1.959964;
static const double OUTLIER = 3.0; /* spreads */

/* Readings of one cup follow each other: n of them count as n (1 - c)/(1 + c), c the correlation
 * of neighboring residuals (the usual large-sample count for a first-order autoregression). */
static void widen_logs(const pc_tests *tests, const double value[], double spread[]) {
    for (size_t i = 0; i < tests->count;) {
        size_t n = pci_test_log_length(tests, i);
        double product = 0.0, square = 0.0, last = 0.0;
        for (size_t j = i; j < i + n; j++) {
            double r = value[j] - tests->item[j].reading_K;
            square += r * r;
            product += j > i ? r * last : 0.0;
            last = r;
        }
        double c = square > 0.0 ? fmax(0.0, fmin(0.99, product / square)) : 0.0;
        double counts = fmax(fmin(2.0, (double)n), (double)n * (1.0 - c) / (1.0 + c));
        for (size_t j = i; j < i + n; j++)
            spread[j] *= sqrt((double)n / counts);
        i += n > 0 ? n : 1;
    }
}

/* Standard deviation of the times, and of the readings, about the fit. */
static void note_scatter(const pc_tests *tests, pc_tests_fit *fit) {
    double sum[2] = {0.0, 0.0}, left[2] = {0.0, 0.0};
    for (size_t i = 0; i < tests->count; i++) {
        int reading = !pci_test_is_time(&tests->item[i]);
        sum[reading] += fit->result[i].residual * fit->result[i].residual;
        left[reading] += 1.0 - fit->result[i].leverage;
    }
    fit->scatter = left[0] > 1e-9 ? sqrt(sum[0] / left[0]) : NAN;
    fit->reading_scatter_K = left[1] > 1e-9 ? sqrt(sum[1] / left[1]) : NAN;
}

static void note_rows(const pci_tests_use *use, const double spread[], pc_tests_fit *fit) {
    for (size_t i = 0; i < fit->count; i++) {
        const pc_test *test = &use->tests->item[i];
        pc_test_result *row = &fit->result[i];
        row->model = use->value[i];
        row->residual =
            pci_test_is_time(test) ? log(row->model / test->time_s) : row->model - test->reading_K;
        row->leverage = use->leverage[i];
        row->spread = spread[i];
        row->outlier = !(fabs(row->residual) <= OUTLIER * spread[i]);
        fit->outliers += row->outlier;
    }
    note_scatter(use->tests, fit);
}

/* How each time compares with what its resin was taken to be; one that cannot be worked out says
 * nothing. */
static pc_status note_ratios(const pc_tests *tests, const pc_resin *base, pc_tests_fit *fit) {
    for (size_t i = 0; i < tests->count; i++) {
        double value = NAN;
        if (pci_test_is_time(&tests->item[i]) &&
            pc_test_value(&tests->item[i], base, &value) == PC_E_MEMORY)
            return PC_E_MEMORY;
        fit->result[i].sheet_ratio = tests->item[i].time_s / value;
    }
    return PC_OK;
}

static pc_status ln_rate(const pc_resin *resin, void *context, double *value) {
    *value = pci_cure_rate(&resin->cure, 0.0, *(const double *)context);
    return PC_OK;
}

static pc_status energy(const pc_resin *resin, void *context, double *value) {
    (void)context;
    *value = exp(resin->cure.E1_J_mol * 1e-5);
    return PC_OK;
}

/* Rate and energy together, for their correlation. */
static pc_status rate_and_energy(const pc_resin *resin, void *context, double *value) {
    pc_status status = ln_rate(resin, context, value);
    *value *= exp(resin->cure.E1_J_mol * 1e-5);
    return status;
}

static pc_status pot_odds(const pc_resin *resin, void *context, double *value) {
    (void)context;
    *value = resin->cure.a_pot / (resin->cure.a_gel - resin->cure.a_pot);
    return PC_OK;
}

static pc_status note_constants(const pc_resin *base, pc_tests_fit *fit) {
    double rate_sd, energy_sd, sum_sd, pot_sd, T_K = fit->T_ref_K;
    const pc_resin *resin = &fit->resin;
    pc_status status = pci_ln_sd(resin, ln_rate, &T_K, &rate_sd);
    if (status == PC_OK)
        status = pci_ln_sd(resin, energy, NULL, &energy_sd);
    if (status == PC_OK)
        status = pci_ln_sd(resin, rate_and_energy, &T_K, &sum_sd);
    if (status == PC_OK)
        status = pci_ln_sd(resin, pot_odds, NULL, &pot_sd);
    if (status != PC_OK)
        return status;
    double ratio = pci_cure_rate(&resin->cure, 0.0, T_K) / pci_cure_rate(&base->cure, 0.0, T_K);
    fit->ln_rate_error = rate_sd;
    fit->E_error_J_mol = 1e5 * energy_sd;
    double product = rate_sd * energy_sd;
    fit->correlation =
        product > 0.0
            ? (sum_sd * sum_sd - rate_sd * rate_sd - energy_sd * energy_sd) / (2.0 * product)
            : 0.0;
    fit->correlation = fmax(-1.0, fmin(1.0, fit->correlation));
    fit->rate_scale = ratio;
    fit->rate_low = ratio * exp(-HALF_95 * rate_sd);
    fit->rate_high = ratio * exp(HALF_95 * rate_sd);
    fit->E_J_mol = resin->cure.E1_J_mol;
    fit->E_low_J_mol = fit->E_J_mol - HALF_95 * fit->E_error_J_mol;
    fit->E_high_J_mol = fit->E_J_mol + HALF_95 * fit->E_error_J_mol;
    double a_gel = resin->cure.a_gel, odds = resin->cure.a_pot / (a_gel - resin->cure.a_pot);
    double low = odds * exp(-HALF_95 * pot_sd), high = odds * exp(HALF_95 * pot_sd);
    fit->a_pot = resin->cure.a_pot;
    fit->a_pot_low = a_gel * low / (1.0 + low);
    fit->a_pot_high = a_gel * high / (1.0 + high);
    return PC_OK;
}

/* Harmonic mean of the temperatures. */
static double mean_temperature(const pc_tests *tests) {
    double sum = 0.0;
    for (size_t i = 0; i < tests->count; i++)
        sum += 1.0 / tests->item[i].T_K;
    return (double)tests->count / sum;
}

static bool has_logs(const pc_tests *tests) {
    for (size_t i = 0; i < tests->count; i++)
        if (!pci_test_is_time(&tests->item[i]))
            return true;
    return false;
}

/* Twice where cups were logged: how the readings hang together shows only beside a fit. */
static pc_status fit_all(const pc_resin *resin, pci_tests_use *use, double stated[],
                         pc_tests_fit *fit, pc_errors *errors) {
    const pc_tests *tests = use->tests;
    size_t n = tests->count;
    pci_test_spreads(tests, stated);
    memcpy(use->spread, stated, n * sizeof *stated);
    fit->resin = *resin;
    pc_status status = pci_anchor(&fit->resin, use, errors);
    if (status == PC_OK && has_logs(tests)) {
        memcpy(use->spread, stated, n * sizeof *stated);
        widen_logs(tests, use->value, use->spread);
        fit->resin = *resin;
        status = pci_anchor(&fit->resin, use, errors);
    }
    if (status != PC_OK)
        return status;
    fit->widened = use->widened;
    fit->T_ref_K = mean_temperature(tests);
    note_rows(use, stated, fit);
    status = note_ratios(tests, resin, fit);
    if (status == PC_OK)
        status = note_constants(resin, fit);
    /* Read back, planned with and fitted again as it is now. */
    fit->resin.sheet.constants_given = true;
    return status;
}

pc_status pc_tests_fit_run(const pc_tests *tests, const pc_resin *resin, const pc_tests_how *how,
                           pc_tests_fit *fit, pc_errors *errors) {
    static const pc_tests_how plain = {false};
    if (!fit)
        return PC_E_ARGUMENT;
    memset(fit, 0, sizeof *fit);
    if (!tests || !resin || tests->count == 0 || tests->count > PC_TESTS_MOST)
        return PC_E_ARGUMENT;
    pc_status status = pci_tests_check(tests, how ? how : &plain, errors);
    if (status != PC_OK)
        return status;
    size_t n = tests->count;
    double *work = calloc(4 * n, sizeof *work);
    fit->result = calloc(n, sizeof *fit->result);
    pci_tests_use use = {tests, work, work + n, work + 2 * n, 1.0};
    fit->count = n;
    pc_resin bare = *resin; /* tests are made without the filler */
    pci_resin_unfill(&bare);
    if (work && fit->result)
        status = fit_all(&bare, &use, work + 3 * n, fit, errors);
    else
        status = pc_errors_add(errors, PC_E_MEMORY, PC_NOWHERE, "%s", pc_status_text(PC_E_MEMORY));
    free(work);
    if (status == PC_OK)
        status = pci_resin_fill(&fit->resin, &resin->fill.of, resin->fill.parts, NULL);
    return status;
}

struct gel_cup {
    double mass_kg, T_K;
};

static pc_status cup_gel(const pc_resin *resin, void *context, double *value) {
    const struct gel_cup *cup = context;
    return pci_cup_conversion_time(resin, cup->mass_kg, cup->T_K, cup->T_K, resin->cure.a_gel,
                                   value);
}

pc_status pc_tests_fit_gel(const pc_tests_fit *fit, double mass_kg, double T_K, double *gel_s,
                           double *low_s, double *high_s) {
    if (!fit || !gel_s || !low_s || !high_s || !fit->resin.fit.known)
        return PC_E_ARGUMENT;
    struct gel_cup cup = {mass_kg, T_K};
    double sd;
    pc_resin plain = fit->resin;
    pci_resin_unfill(&plain);
    pc_status status = cup_gel(&plain, &cup, gel_s);
    if (status == PC_OK)
        status = pci_ln_sd(&plain, cup_gel, &cup, &sd);
    if (status != PC_OK)
        return status;
    *low_s = *gel_s * exp(-HALF_95 * sd);
    *high_s = *gel_s * exp(HALF_95 * sd);
    return PC_OK;
}
