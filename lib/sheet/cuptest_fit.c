/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Least squares through cup and wall in (ln rate, shift of E about a reference temperature, and
 * the conversion at the end of the pot life). */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/try.h"
#include "resin/cup.h"
#include "resin/cure_rate.h"
#include "sheet/cuptest_rows.h"
#include "solve/fit.h"

enum { LN_RATE, E_SHIFT, A_POT, PARAMETERS };

/* Weights of the rows against each other: a hand-timed gel against a thermometer in a cup whose
 * loss of heat is only roughly known. Engineering judgement; the intervals use the scatter seen. */
static const double TIME_UNIT = 0.05, READING_UNIT_K = 1.0;
static const double E_UNIT_J_MOL = 1e4;
static const double SCATTER_LEAST = 0.01, SCATTER_MOST = 0.5; /* of a time */
/* With gel times good to 5 %, E must come out better than this. */
static const double E_ERROR_MOST_J_MOL = 20e3;
/* What is left open about E where it is taken from the family: judgement. */
static const double E_KEPT_ERROR_J_MOL = 5e3;

/* Node-steps the films of a fit may take: it tries a few hundred resins, of which a film of 10 mm
 * takes 2000 each; one that burns through in a thin front takes a thousand times more. */
static const double FILM_WORK = 1e6, FILM_WORK_LEAST = 2e7;

struct fitting {
    const pc_tests *tests;
    pc_resin start;
    double T_ref_K;
    size_t parameters[PARAMETERS], p; /* which are free */
    double *weight, *value;
    double film_work; /* left */
};

static double within(double x, double least, double most) {
    return fmax(least, fmin(most, x));
}

/* The search may try anything; the solvers get what they are made for: E from 1 kJ/mol up, not more
 * than 40 kJ/mol from where it started, rates within e^12. */
static pc_resin resin_at(const struct fitting *fit, const double x[]) {
    double all[PARAMETERS] = {0.0, 0.0, 0.0};
    for (size_t i = 0; i < fit->p; i++)
        all[fit->parameters[i]] = x[i];
    pc_resin resin = fit->start;
    const pc_cure *cure = &resin.cure;
    double E_J_mol = cure->A2_per_s > 0.0 ? fmin(cure->E1_J_mol, cure->E2_J_mol) : cure->E1_J_mol;
    double shift_J_mol =
        within(all[E_SHIFT] * E_UNIT_J_MOL, fmax(-4e4, fmin(0.0, 1e3 - E_J_mol)), 4e4);
    pci_cure_rescale(&resin.cure, within(all[LN_RATE], -12.0, 12.0), shift_J_mol, fit->T_ref_K);
    /* In the logit, so that no step of the search leaves (0, a_gel). */
    double share = resin.cure.a_pot / resin.cure.a_gel;
    double logit = log(share / (1.0 - share)) + all[A_POT];
    if (all[A_POT] != 0.0)
        resin.cure.a_pot = resin.cure.a_gel / (1.0 + exp(-logit));
    return resin;
}

static double unit_of(const pc_test *test) {
    return pci_test_is_time(test) ? TIME_UNIT : READING_UNIT_K;
}

/* Residual in its own unit; one that never gels is so many times too slow. */
static double residual_of(const pc_test *test, double value) {
    if (!pci_test_is_time(test))
        return value - test->reading_K;
    return isinf(value) ? 20.0 : log(value / test->time_s);
}

static pc_status residuals(const double x[], double r[], void *context) {
    struct fitting *fit = context;
    pc_resin resin = resin_at(fit, x);
    pc_status status = pci_test_values(fit->tests, &resin, &fit->film_work, fit->value);
    for (size_t i = 0; status == PC_OK && i < fit->tests->count; i++) {
        const pc_test *test = &fit->tests->item[i];
        r[i] = fit->weight[i] * residual_of(test, fit->value[i]) / unit_of(test);
    }
    return status;
}

static pc_status refuse(pc_errors *errors, const pc_tests *tests, const char *text) {
    return pc_errors_add(errors, PC_E_VALUE, (pc_place){.file = tests->file}, "%s", text);
}

/* Harmonic mean of the temperatures, so that ln rate and E come out nearly uncorrelated. */
static double reference_temperature(const pc_tests *tests) {
    double sum = 0.0;
    for (size_t i = 0; i < tests->count; i++)
        sum += 1.0 / tests->item[i].T_K;
    return (double)tests->count / sum;
}

/* The hottest reading of a logged cup. */
static size_t log_summit(const pc_test *test, size_t n) {
    size_t best = 0;
    for (size_t i = 1; i < n; i++)
        if (test[i].reading_K > test[best].reading_K)
            best = i;
    return best;
}

/* ln of (time computed / measured) of a whole logged cup, by the time of its summit. */
static pc_status log_lateness(const pc_test *test, size_t n, const pc_resin *resin, double *late) {
    pc_cup_events events;
    double measured_s = test[log_summit(test, n)].time_s;
    if (!(measured_s > 0.0))
        return PC_E_UNREACHED;
    pc_status status = pc_cup_run(resin, test->mass_kg, test->T_K, test->air_K, &events);
    if (status == PC_OK && !(events.peak_s > 0.0))
        status = PC_E_UNREACHED;
    if (status == PC_OK)
        *late = log(events.peak_s / measured_s);
    return status;
}

/* Brings the rate to the right size, so that the search starts near. A row that cannot be computed
 * is left out; PC_E_MEMORY where memory ran out over one. */
static pc_status bring_near(struct fitting *fit) {
    const pc_tests *tests = fit->tests;
    for (int round = 0; round < 3; round++) {
        double sum = 0.0, n = 0.0;
        for (size_t i = 0; i < tests->count;) {
            const pc_test *test = &tests->item[i];
            size_t length = pci_test_log_length(tests, i);
            double late = 0.0, value;
            pc_status status = length > 0 ? log_lateness(test, length, &fit->start, &late)
                                          : pc_test_value(test, &fit->start, &value);
            if (status == PC_E_MEMORY)
                return status;
            if (status == PC_OK) {
                sum += length > 0 ? late : log(value / test->time_s);
                n += 1.0;
            }
            i += length > 0 ? length : 1;
        }
        if (n > 0.0)
            pci_cure_rescale(&fit->start.cure, sum / n, 0.0, fit->T_ref_K);
    }
    return PC_OK;
}

/* Readings of one cup follow each other: n of them count as n (1 - c)/(1 + c), c the correlation
 * of neighbouring residuals (the usual large-sample count for a first-order autoregression). */
static void weigh_logs(struct fitting *fit, const double r[]) {
    const pc_tests *tests = fit->tests;
    for (size_t i = 0; i < tests->count;) {
        size_t n = pci_test_log_length(tests, i);
        double product = 0.0, square = 0.0;
        for (size_t j = i; j < i + n; j++) {
            square += r[j] * r[j];
            product += j > i ? r[j] * r[j - 1] : 0.0;
        }
        double c = square > 0.0 ? fmax(0.0, fmin(0.99, product / square)) : 0.0;
        double counts = fmax(fmin(2.0, (double)n), (double)n * (1.0 - c) / (1.0 + c));
        for (size_t j = i; j < i + n; j++)
            fit->weight[j] = sqrt(counts / (double)n);
        i += n > 0 ? n : 1;
    }
}

static double observations(const struct fitting *fit) {
    double sum = 0.0;
    for (size_t i = 0; i < fit->tests->count; i++)
        sum += fit->weight[i] * fit->weight[i];
    return sum;
}

static pc_status search(struct fitting *fit, pci_fit *found, double leverage[], pc_errors *errors) {
    static const double step[PARAMETERS] = {2e-3, 2e-3, 2e-3};
    pc_status status =
        pci_fit_run(residuals, fit, fit->tests->count, fit->p, step, found, leverage);
    if (status == PC_E_NUMERIC)
        return pc_errors_add(errors, PC_E_VALUE, (pc_place){.file = fit->tests->file},
                             "no resin of the %s family explains these tests, or they are too "
                             "alike to tell its constants apart: test at temperatures 8 C or more "
                             "apart, and check minutes against degrees",
                             pc_family_word(fit->start.family));
    return status;
}

/* Before the noise is known: would good gel times of this design tell E at all? */
static pc_status judge_design(const struct fitting *fit, const pci_fit *found, pc_errors *errors) {
    double error = sqrt(found->covariance[1][1]) * E_UNIT_J_MOL;
    if (fit->p > 1 && fit->parameters[1] == E_SHIFT && !(error <= E_ERROR_MOST_J_MOL))
        return pc_errors_add(
            errors, PC_E_VALUE, (pc_place){.file = fit->tests->file},
            "the tests are too alike: with gel times good to 5 %% they give the activation energy "
            "to no better than %.0f kJ/mol; test again 8 C or more colder or warmer, or fit the "
            "rate alone (--rate-only)",
            1e-3 * error);
    return PC_OK;
}

static pc_status judge_energy(const pc_resin *resin, const pc_tests *tests, pc_errors *errors) {
    if (resin->cure.E1_J_mol >= 5e3 && (!(resin->cure.A2_per_s > 0.0) || resin->cure.E2_J_mol > 0))
        return PC_OK;
    return refuse(errors, tests,
                  "the tests say that the resin gels no later in the cold: check which time "
                  "belongs to which temperature");
}

static double interval_scale(const struct fitting *fit, const pci_fit *found, pc_tests_fit *out) {
    out->degrees = observations(fit) - (double)fit->p;
    out->sum_squares = found->sum_squares;
    double s = sqrt(found->sum_squares / out->degrees);
    out->scatter = out->reading_scatter_K = NAN;
    for (size_t i = 0; i < fit->tests->count; i++)
        if (pci_test_is_time(&fit->tests->item[i]))
            out->scatter = s * TIME_UNIT;
        else
            out->reading_scatter_K = s * READING_UNIT_K;
    return fmax(s, SCATTER_LEAST / TIME_UNIT);
}

/* Outliers by the externally studentized residual, against Student's t at 5 % shared among all
 * rows (Bonferroni). */
static void judge_rows(const struct fitting *fit, const double leverage[], pc_tests_fit *out) {
    double n = (double)out->count, s2 = out->sum_squares / out->degrees;
    double bound = pci_student_quantile(1.0 - 0.025 / n, fmax(out->degrees - 1.0, 0.5));
    for (size_t i = 0; i < out->count; i++) {
        const pc_test *test = &fit->tests->item[i];
        pc_test_result *row = &out->result[i];
        row->model = fit->value[i];
        row->residual = residual_of(test, fit->value[i]);
        row->leverage = leverage[i];
        double r = fit->weight[i] * row->residual / unit_of(test);
        double left = fmax(1e-9, 1.0 - leverage[i]), r2 = r * r / left;
        double others = (out->sum_squares - r2) / fmax(out->degrees - 1.0, 1e-9);
        row->studentized = r / sqrt(left * fmax(others, 1e-12 * s2 + 1e-30));
        row->outlier = out->degrees > 1.5 && fabs(row->residual) > 2.0 * SCATTER_LEAST &&
                       fabs(row->studentized) > bound;
        out->outliers += row->outlier;
    }
}

static void note_rate_and_energy(const struct fitting *fit, const pc_resin *base,
                                 const double error[], pc_tests_fit *out) {
    double ratio = log(pci_cure_rate(&out->resin.cure, 0.0, fit->T_ref_K) /
                       pci_cure_rate(&base->cure, 0.0, fit->T_ref_K));
    out->T_ref_K = fit->T_ref_K;
    out->rate_scale = exp(ratio);
    out->rate_low = exp(ratio - out->t_95 * error[LN_RATE]);
    out->rate_high = exp(ratio + out->t_95 * error[LN_RATE]);
    out->E_J_mol = out->resin.cure.E1_J_mol;
    out->E_low_J_mol = out->E_J_mol - out->t_95 * error[E_SHIFT];
    out->E_high_J_mol = out->E_J_mol + out->t_95 * error[E_SHIFT];
}

/* Errors and intervals, in the units of the outside. */
static void note_constants(const struct fitting *fit, const pci_fit *found, const pc_resin *base,
                           pc_tests_fit *out) {
    double scale = interval_scale(fit, found, out), error[PARAMETERS] = {0.0};
    const double unit[PARAMETERS] = {1.0, E_UNIT_J_MOL, 1.0};
    out->t_95 = pci_student_quantile(0.975, out->degrees);
    out->resin = resin_at(fit, found->x);
    for (size_t i = 0; i < fit->p; i++)
        for (size_t j = 0; j < fit->p; j++)
            out->covariance[fit->parameters[i]][fit->parameters[j]] =
                scale * scale * found->covariance[i][j] * unit[fit->parameters[i]] *
                unit[fit->parameters[j]];
    bool energy = fit->p > 1 && fit->parameters[1] == E_SHIFT;
    if (!energy)
        out->covariance[E_SHIFT][E_SHIFT] = E_KEPT_ERROR_J_MOL * E_KEPT_ERROR_J_MOL;
    for (int i = 0; i < PARAMETERS; i++)
        error[i] = sqrt(out->covariance[i][i]);
    note_rate_and_energy(fit, base, error, out);
    out->a_pot = out->resin.cure.a_pot;
    out->a_pot_fitted = fit->parameters[fit->p - 1] == A_POT;
    double share = out->a_pot / out->resin.cure.a_gel, odds = share / (1.0 - share);
    double spread = exp(out->t_95 * error[A_POT]);
    out->a_pot_low = out->resin.cure.a_gel * (odds / spread) / (1.0 + odds / spread);
    out->a_pot_high = out->resin.cure.a_gel * (odds * spread) / (1.0 + odds * spread);
    double widened = out->t_95 / pci_normal_quantile(0.975);
    out->resin.fit = (pc_resin_fit){
        true, widened * error[LN_RATE], widened * error[E_SHIFT],
        energy ? out->covariance[LN_RATE][E_SHIFT] / (error[LN_RATE] * error[E_SHIFT]) : 0.0,
        fit->T_ref_K};
    out->resin.sheet.constants_given = out->resin.sheet.a_pot_given = true;
    out->resin.sheet.a_demold_given = true;
}

static pc_status judge_scatter(const struct fitting *fit, const pc_tests_fit *out,
                               const pc_tests_how *how, pc_errors *errors) {
    for (size_t i = 0; i < out->count; i++)
        if (fabs(out->result[i].residual) > (pci_test_is_time(&fit->tests->item[i]) ? 5e-4 : 5e-3))
            return PC_OK;
    if (how->as_is)
        return PC_OK;
    return refuse(errors, fit->tests,
                  "every test lies on the fit to 0.05 %: no bench is that good; were the times "
                  "computed or copied from a curve? (--as-is takes them, with 1 % as their error)");
}

static pc_status fit_all(struct fitting *fit, const pc_resin *base, const pc_tests_how *how,
                         pc_tests_fit *out, double *r, double *leverage, pc_errors *errors) {
    pci_fit found = {.x = {0.0}};
    pc_status status = bring_near(fit);
    if (status == PC_OK)
        status = search(fit, &found, leverage, errors);
    if (status == PC_OK)
        status = judge_design(fit, &found, errors);
    if (status == PC_OK)
        status = residuals(found.x, r, fit);
    if (status == PC_OK && observations(fit) > 0.0) {
        weigh_logs(fit, r);
        status = search(fit, &found, leverage, errors);
    }
    if (status == PC_OK && !(observations(fit) - (double)fit->p >= 0.5))
        return refuse(errors, fit->tests,
                      "too few tests: with so few nothing is left to tell the error by; add "
                      "another cup at another temperature (three gel times at the least)");
    if (status == PC_OK)
        status = residuals(found.x, r, fit); /* leaves the values at the best fit */
    if (status != PC_OK)
        return status;
    note_constants(fit, &found, base, out);
    judge_rows(fit, leverage, out);
    if (sqrt(out->sum_squares / out->degrees) * TIME_UNIT > SCATTER_MOST)
        return refuse(errors, fit->tests,
                      "the tests contradict each other: a gel time scatters by more than half, or "
                      "a reading by more than 10 C, about the best fit; check minutes, masses, "
                      "thicknesses and degrees against the notes");
    status = judge_energy(&out->resin, fit->tests, errors);
    return status == PC_OK ? judge_scatter(fit, out, how, errors) : status;
}

static size_t free_parameters(struct fitting *fit, bool rate_only) {
    bool pots = false, others = false;
    for (size_t i = 0; i < fit->tests->count; i++)
        *(fit->tests->item[i].kind == PC_TEST_POT ? &pots : &others) = true;
    fit->parameters[fit->p++] = LN_RATE;
    if (!rate_only)
        fit->parameters[fit->p++] = E_SHIFT;
    if (pots && others) /* pot lives alone tell the rate at the family's conversion */
        fit->parameters[fit->p++] = A_POT;
    return fit->p;
}

static pc_status judge_count(const pc_tests *tests, size_t p, pc_errors *errors) {
    if (tests->count == 1)
        return refuse(errors, tests,
                      "one test fixes nothing but the rate, and says nothing of its error or of "
                      "the cold: test two more cups, 8 C or more apart; until then write it into "
                      "the resin file as gel_time");
    if (tests->count > p)
        return PC_OK;
    return pc_errors_add(errors, PC_E_VALUE, (pc_place){.file = tests->file},
                         "%zu tests for %zu constants leave nothing to tell the error by: add at "
                         "least %zu, at other temperatures%s",
                         tests->count, p, p + 1 - tests->count,
                         p > 1 ? ", or fit the rate alone (--rate-only)" : "");
}

pc_status pc_tests_fit_run(const pc_tests *tests, const pc_resin *resin, const pc_tests_how *how,
                           pc_tests_fit *out, pc_errors *errors) {
    static const pc_tests_how plain = {false, false};
    if (!out)
        return PC_E_ARGUMENT;
    memset(out, 0, sizeof *out);
    if (!tests || !resin || tests->count == 0 || tests->count > PC_TESTS_MOST)
        return PC_E_ARGUMENT;
    how = how ? how : &plain;
    pc_status status = pci_tests_check(tests, how, errors);
    struct fitting fit = {.tests = tests, .start = *resin};
    size_t p = free_parameters(&fit, how->rate_only);
    if (status == PC_OK)
        status = judge_count(tests, p, errors);
    if (status != PC_OK)
        return status;
    size_t n = tests->count;
    double *work = calloc(4 * n, sizeof *work);
    out->result = calloc(n, sizeof *out->result);
    if (work && out->result) {
        out->count = n;
        fit.T_ref_K = reference_temperature(tests);
        fit.film_work = fmax(FILM_WORK_LEAST, FILM_WORK * (double)n);
        fit.weight = work;
        fit.value = work + n;
        for (size_t i = 0; i < n; i++)
            fit.weight[i] = 1.0;
        status = fit_all(&fit, resin, how, out, work + 2 * n, work + 3 * n, errors);
    } else {
        status = pc_errors_add(errors, PC_E_MEMORY, PC_NOWHERE, "%s", pc_status_text(PC_E_MEMORY));
    }
    free(work);
    return status;
}

pc_status pc_tests_fit_gel(const pc_tests_fit *fit, double mass_kg, double T_K, double *gel_s,
                           double *low_s, double *high_s) {
    if (!fit || !gel_s || !low_s || !high_s || !fit->resin.fit.fitted)
        return PC_E_ARGUMENT;
    double t[3], a_gel = fit->resin.cure.a_gel;
    const double d[2] = {1e-3, 100.0};
    for (int i = 0; i < 3; i++) {
        pc_resin resin = fit->resin;
        pci_cure_rescale(&resin.cure, i == 1 ? d[0] : 0.0, i == 2 ? d[1] : 0.0, fit->T_ref_K);
        PCI_TRY(pci_cup_conversion_time(&resin, mass_kg, T_K, T_K, a_gel, &t[i]));
    }
    double g[2] = {log(t[1] / t[0]) / d[0], log(t[2] / t[0]) / d[1]}, variance = 0.0;
    for (int i = 0; i < 2; i++)
        for (int j = 0; j < 2; j++)
            variance += g[i] * fit->covariance[i][j] * g[j];
    double half = fit->t_95 * sqrt(fmax(variance, 0.0));
    *gel_s = t[0];
    *low_s = t[0] * exp(-half);
    *high_s = t[0] * exp(half);
    return PC_OK;
}
