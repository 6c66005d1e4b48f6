/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Weighted least squares with priors: the data sheet's figures, the user's tests, and what is known
 * of the family, together. Never singular: there are as many priors as unknowns. */
#include "sheet/anchor.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "resin/filler.h"
#include "resin/unknowns.h"
#include "sheet/cuptest_rows.h"
#include "solve/fit.h"

static const double STEP = 0.02;  /* of an unknown, in its prior's sd: drowns the steppers' noise */
static const double U_MOST = 8.0; /* sd from the prior that the search may stray */
static const double FIXED_SD = 1e-3; /* of an unknown that [cure] states, in its own unit */
/* Node-steps the films of a fit may take: it tries a few hundred resins, of which a film of 10 mm
 * takes 2000 each; one that burns through in a thin front takes a thousand times more. */
static const double FILM_WORK = 1e6, FILM_WORK_LEAST = 2e7;
static const double MOST = 1e8; /* s: no sheet states more */
enum { WIDENINGS = 3, START_ROUNDS = 40 };

struct fitting {
    const pc_resin *base;
    pci_prior prior;
    size_t free[PC_UNKNOWNS], p;
    pci_tests_use *use; /* may be NULL */
    size_t tests;
    pci_effort effort;
    double value[PC_DATA_MOST]; /* of the sheet's figures by the model, where last asked for */
};

static pc_resin resin_at(const struct fitting *fit, const double x[]) {
    double theta[PC_UNKNOWNS];
    memcpy(theta, fit->prior.mean, sizeof theta);
    for (size_t i = 0; i < fit->p; i++) {
        size_t k = fit->free[i];
        theta[k] += fit->prior.sd[k] * fmax(-U_MOST, fmin(U_MOST, x[i]));
    }
    theta[PCI_ENERGY] = fmax(theta[PCI_ENERGY], 1e3);
    theta[PCI_HEAT] = fmax(theta[PCI_HEAT], 0.0);
    pc_resin resin = *fit->base;
    const pc_data_sheet *sheet = &resin.sheet;
    pci_cure_of_unknowns(&fit->base->cure, theta, &resin.cure);
    if (sheet->a_pot_given)
        resin.cure.a_pot = fmin(fit->base->cure.a_pot, 0.999 * resin.cure.a_gel);
    if (sheet->a_demold_given)
        resin.cure.a_demold = fmax(fit->base->cure.a_demold, 0.001 + 0.999 * resin.cure.a_gel);
    resin.flow.a_gel = resin.cure.a_gel;
    return resin;
}

static double test_residual(const pc_test *test, double value, double spread) {
    if (!pci_test_is_time(test))
        return (value - test->reading_K) / spread;
    return (isinf(value) ? 8.0 : log(value / test->time_s)) / spread;
}

static pc_status tests_residuals(struct fitting *fit, const pc_resin *resin, double r[]) {
    if (!fit->use)
        return PC_OK;
    pci_tests_use *use = fit->use;
    pc_status status =
        pci_test_values(use->tests, resin, fit->effort.fineness, &fit->effort.work, use->value);
    for (size_t i = 0; status == PC_OK && i < fit->tests; i++)
        r[i] = test_residual(&use->tests->item[i], use->value[i], use->spread[i]);
    return status;
}

/* First the sheet's figures, then the tests, then the priors. */
static pc_status residuals(const double x[], double r[], struct fitting *fit) {
    pc_resin resin = resin_at(fit, x);
    size_t n = resin.sheet.count;
    pc_status status = PC_OK;
    for (size_t i = 0; status == PC_OK && i < n; i++) {
        status = pci_datum_value(&resin.sheet.datum[i], &resin, &fit->effort, &fit->value[i]);
        if (status == PC_OK)
            r[i] = pci_datum_residual(&resin.sheet.datum[i], fit->value[i]);
    }
    if (status == PC_OK)
        status = tests_residuals(fit, &resin, r + n);
    for (size_t i = 0; i < fit->p; i++)
        r[n + fit->tests + i] = x[i];
    return status;
}

static pc_status fine_residuals(const double x[], double r[], void *context) {
    struct fitting *fit = context;
    fit->effort.fineness = PCI_FINE;
    return residuals(x, r, fit);
}

static pc_status rough_residuals(const double x[], double r[], void *context) {
    struct fitting *fit = context;
    fit->effort.fineness = PCI_ROUGH;
    return residuals(x, r, fit);
}

/* The family's prior, but for what [cure] states on its own. False: the constants are no resin's.
 */
static bool set_prior(struct fitting *fit) {
    const pc_data_sheet *sheet = &fit->base->sheet;
    double stated[PC_UNKNOWNS];
    fit->prior = *pci_family_prior(fit->base->family);
    pci_unknowns_of(&fit->base->cure, stated);
    fit->prior.mean[PCI_LN_K1] = stated[PCI_LN_K1];
    if (sheet->constants_given) /* those of a file are as good a mean as a family's */
        memcpy(fit->prior.mean, stated, sizeof stated);
    const bool given[PC_UNKNOWNS] = {[PCI_ENERGY] = sheet->E1_given,
                                     [PCI_HEAT] = sheet->heat_given,
                                     [PCI_GEL] = sheet->a_gel_given,
                                     [PCI_POT] = sheet->a_pot_given,
                                     [PCI_DEMOLD] = sheet->a_demold_given};
    for (size_t k = 0; k < PC_UNKNOWNS; k++) {
        if (given[k]) {
            fit->prior.mean[k] = stated[k];
            fit->prior.sd[k] = FIXED_SD;
        }
        if (fit->prior.sd[k] > 0.0)
            fit->free[fit->p++] = k;
        if (!isfinite(fit->prior.mean[k]))
            return false;
    }
    return true;
}

/* ln of (model/stated) of the first time there is: of the sheet, else of the tests. */
static pc_status first_lateness(struct fitting *fit, const pc_resin *resin, double *late) {
    const pc_data_sheet *sheet = &resin->sheet;
    double value = NAN, stated = NAN;
    pc_status status = PC_E_UNREACHED;
    for (size_t i = 0; status == PC_E_UNREACHED && i < sheet->count; i++)
        if (sheet->datum[i].kind != PC_DATUM_PEAK) {
            stated = sheet->datum[i].value;
            status = pci_datum_value(&sheet->datum[i], resin, &fit->effort, &value);
        }
    for (size_t i = 0; status == PC_E_UNREACHED && i < fit->tests; i++)
        status = pci_test_lateness(fit->use->tests, i, resin, &stated, &value);
    if (status == PC_OK)
        *late = isinf(value) ? 3.0 : log(value / stated);
    return status;
}

/* The rate's prior begins where the first time is met by a resin of the family. */
static pc_status start_rate(struct fitting *fit) {
    double zero[PC_UNKNOWNS] = {0.0}, late = INFINITY;
    fit->effort.fineness = PCI_ROUGH;
    pc_status status = PC_OK;
    for (int i = 0; status == PC_OK && fabs(late) > 1e-7 && i < START_ROUNDS; i++) {
        pc_resin resin = resin_at(fit, zero);
        status = first_lateness(fit, &resin, &late);
        fit->prior.mean[PCI_LN_K1] += fmax(-3.0, fmin(3.0, status == PC_OK ? late : 0.0));
    }
    return status;
}

static void keep_covariance(const struct fitting *fit, const pci_fit *found, pc_resin *resin) {
    pc_resin_fit *kept = &resin->fit;
    double C[PC_UNKNOWNS][PC_UNKNOWNS];
    memset(kept, 0, sizeof *kept);
    for (size_t i = 0; i < fit->p; i++)
        for (size_t j = 0; j < fit->p; j++)
            C[i][j] = found->covariance[i][j];
    for (size_t i = 0; i < fit->p; i++) /* Cholesky, row by row */
        for (size_t j = 0; j <= i; j++) {
            double sum = C[i][j];
            for (size_t k = 0; k < j; k++)
                sum -= C[i][k] * C[j][k];
            C[i][j] = i == j ? sqrt(fmax(sum, 0.0)) : C[j][j] > 0.0 ? sum / C[j][j] : 0.0;
        }
    for (size_t i = 0; i < fit->p; i++)
        for (size_t j = 0; j <= i; j++)
            kept->factor[fit->free[i]][fit->free[j]] = fit->prior.sd[fit->free[i]] * C[i][j];
    kept->known = true;
    kept->tests = (int)fit->tests;
}

/* How much more the tests scatter about the fit than their spreads say, 1 or more. */
static double excess_scatter(const struct fitting *fit, const double r[], const double leverage[]) {
    double sum = 0.0, left = 0.0;
    size_t first = fit->base->sheet.count;
    for (size_t i = 0; i < fit->tests; i++) {
        sum += r[first + i] * r[first + i];
        left += 1.0 - leverage[first + i];
    }
    return left > 0.5 ? fmax(1.0, sqrt(sum / left)) : 1.0;
}

static pc_status search(struct fitting *fit, pci_fit *found, double r[], double leverage[]) {
    size_t n = fit->base->sheet.count + fit->tests + fit->p;
    double step[PC_UNKNOWNS];
    for (size_t i = 0; i < fit->p; i++)
        step[i] = STEP;
    if (fit->use)
        fit->use->widened = 1.0;
    for (int round = 0;; round++) {
        pc_status status =
            pci_fit_run(fine_residuals, rough_residuals, fit, n, fit->p, step, found, leverage);
        if (status == PC_OK)
            status = fine_residuals(found->x, r, fit);
        if (status != PC_OK)
            return status;
        double s = fit->tests > 0 ? excess_scatter(fit, r, leverage) : 1.0;
        if (!(s > 1.02) || round == WIDENINGS)
            return PC_OK;
        fit->use->widened *= s;
        for (size_t i = 0; i < fit->tests; i++)
            fit->use->spread[i] *= s;
    }
}

static pc_status fail(pc_errors *errors, const pc_resin *resin, pc_status status) {
    if (status == PC_E_MEMORY)
        return pc_errors_add(errors, status, (pc_place){.file = resin->path}, "%s",
                             pc_status_text(status));
    pc_place place = {.file = resin->path, .section = "resin"};
    if (resin->sheet.count > 0)
        place.key = pci_datum_key(resin->sheet.datum[0].kind);
    if (status == PC_E_UNREACHED)
        return pc_errors_add(errors, PC_E_VALUE, place,
                             "by these figures a film of %g mm never gels at %g C: check the "
                             "minutes, the temperatures and the masses against the data sheet",
                             PC_FILM_M * 1e3, PC_SHEET_K - PC_ZERO_CELSIUS_K);
    return pc_errors_add(errors, PC_E_VALUE, place,
                         "no resin of the %s family comes near these times: check the minutes, the "
                         "temperatures and the masses against the data sheet",
                         pc_family_word(resin->family));
}

static pc_status judge_sheet(const pc_resin *resin, const pci_tests_use *use, pc_errors *errors) {
    const pc_data_sheet *sheet = &resin->sheet;
    bool timed = use && use->tests->count > 0;
    for (size_t i = 0; i < sheet->count; i++) {
        const pc_datum *d = &sheet->datum[i];
        if (!(d->value > 0.0 && d->value <= MOST) || !(d->spread > 0.0 && d->spread <= MOST))
            return pc_errors_add(
                errors, PC_E_VALUE,
                (pc_place){.file = resin->path, .section = "resin", .key = pci_datum_key(d->kind)},
                "a figure of a data sheet is more than 0");
        timed = timed || d->kind != PC_DATUM_PEAK;
    }
    if (timed)
        return PC_OK;
    return pc_errors_add(errors, PC_E_KEY,
                         (pc_place){.file = resin->path, .section = "resin", .key = "pot_life"},
                         "no pot_life, gel_time, film_gel or demold_time, and no A1 and E1 in "
                         "[cure]: give one of them from the data sheet, such as pot_life = 5 min");
}

/* The part is never kept longer than the sheet itself says, at the thickness it says it for. */
static pc_status meet_stated_demold(pc_resin *resin) {
    for (size_t i = 0; i < resin->sheet.count; i++) {
        const pc_datum *d = &resin->sheet.datum[i];
        double a, hottest_K;
        if (d->kind != PC_DATUM_DEMOLD || isnan(d->thickness_m) || resin->sheet.a_demold_given)
            continue;
        pc_status status =
            pci_film_at(resin, d->thickness_m, d->mass_kg, d->T_K, d->value, &a, &hottest_K);
        if (status == PC_E_NUMERIC) /* it burned through long before */
            continue;
        if (status != PC_OK)
            return status;
        double least = resin->cure.a_gel + 1e-3 * (1.0 - resin->cure.a_gel);
        resin->cure.a_demold = fmin(resin->cure.a_demold, fmax(a, least));
        if (!resin->sheet.demold_below_given)
            resin->demold_below_K = fmax(resin->demold_below_K, hottest_K);
    }
    return PC_OK;
}

static pc_status usual_film(const pc_resin *resin, void *context, double *value) {
    (void)context;
    pci_effort effort = {PCI_ROUGH, INFINITY};
    return pci_film_time(resin, PC_FILM_M, 0.1, PC_SHEET_K, resin->cure.a_gel, &effort, value);
}

static pc_status fit_all(struct fitting *fit, pc_resin *resin, double r[], double leverage[]) {
    pci_fit found = {.x = {0.0}};
    pc_status status = start_rate(fit);
    if (status == PC_OK)
        status = search(fit, &found, r, leverage);
    if (status != PC_OK)
        return status;
    *resin = resin_at(fit, found.x);
    for (size_t i = 0; i < resin->sheet.count; i++) {
        resin->sheet.datum[i].model = fit->value[i];
        resin->sheet.datum[i].residual = r[i];
    }
    for (size_t i = 0; fit->use && fit->use->leverage && i < fit->tests; i++)
        fit->use->leverage[i] = leverage[resin->sheet.count + i];
    keep_covariance(fit, &found, resin);
    status = pci_ln_sd(resin, usual_film, NULL, &resin->fit.film_sd);
    return status == PC_OK ? meet_stated_demold(resin) : status;
}

static pc_status anchor_plain(pc_resin *resin, pci_tests_use *use, pc_errors *errors) {
    pc_resin trial = *resin;
    trial.flow.a_gel = trial.cure.a_gel;
    if (trial.sheet.constants_given && !use) {
        *resin = trial;
        return PC_OK;
    }
    pc_status status = judge_sheet(&trial, use, errors);
    if (status != PC_OK)
        return status;
    struct fitting fit = {.base = resin, .use = use, .tests = use ? use->tests->count : 0};
    fit.effort.work = fmax(FILM_WORK_LEAST, FILM_WORK * (double)(trial.sheet.count + fit.tests));
    if (!set_prior(&fit))
        return PC_E_ARGUMENT;
    size_t n = trial.sheet.count + fit.tests + fit.p;
    double *r = malloc(2 * n * sizeof *r);
    status = r ? fit_all(&fit, &trial, r, r + n) : PC_E_MEMORY;
    free(r);
    if (status != PC_OK)
        return fail(errors, resin, status);
    if (isnan(trial.fit.film_sd))
        return fail(errors, resin, PC_E_UNREACHED);
    *resin = trial;
    return PC_OK;
}

/* A sheet's figures, and tests, are of the resin without its filler. */
pc_status pci_anchor(pc_resin *resin, pci_tests_use *use, pc_errors *errors) {
    if (!resin || resin->sheet.count > PC_DATA_MOST)
        return PC_E_ARGUMENT;
    pc_resin plain = *resin;
    pci_resin_unfill(&plain);
    pc_status status = anchor_plain(&plain, use, errors);
    if (status == PC_OK)
        status = pci_resin_fill(&plain, &resin->fill.of, resin->fill.parts, NULL);
    if (status == PC_OK)
        *resin = plain;
    return status;
}

pc_status pc_resin_anchor(pc_resin *resin, pc_errors *errors) {
    return pci_anchor(resin, NULL, errors);
}

pc_status pci_ln_sd(const pc_resin *resin, pci_resin_value value_of, void *context, double *sd) {
    static const double DELTA = 0.5; /* sd to either side */
    double variance = 0.0;
    *sd = NAN;
    if (!resin->fit.known)
        return PC_OK;
    for (size_t j = 0; j < PC_UNKNOWNS; j++) {
        double z[PC_UNKNOWNS] = {0.0}, high, low;
        pc_resin drawn;
        if (!(resin->fit.factor[j][j] > 0.0))
            continue;
        z[j] = DELTA;
        pci_resin_draw(resin, z, &drawn);
        pc_status status = value_of(&drawn, context, &high);
        z[j] = -DELTA;
        pci_resin_draw(resin, z, &drawn);
        if (status == PC_OK)
            status = value_of(&drawn, context, &low);
        if (status != PC_OK)
            return status;
        variance += pow(log(high / low) / (2.0 * DELTA), 2.0);
    }
    if (isfinite(variance))
        *sd = sqrt(variance);
    return PC_OK;
}
