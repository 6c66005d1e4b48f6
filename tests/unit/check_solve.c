/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The solvers' floor: least squares, integration, quadrature, samples, threads. */
#include "unit.h"

#include <stdint.h>

#include "solve/fit.h"
#include "solve/ode.h"
#include "solve/packing.h"
#include "solve/root.h"
#include "solve/sobol.h"
#include "solve/threads.h"

/* Three parameters of which the first two are the same but for `apart`. */
static pc_status near_twins(const double x[], double r[], void *context) {
    double apart = *(const double *)context;
    for (int i = 0; i < 8; i++) {
        double t = i + 1.0;
        r[i] =
            x[0] * t + x[1] * (t + apart * t * t) + x[2] * cos(2.0 * t) - (3.0 * t + cos(2.0 * t));
    }
    return PC_OK;
}

/* Bug 1 of the fit: of the pivots of J'J the last alone was looked at, so that the first two of
 * three parameters could be the same and still come out, with errors made of rounding. */
START_TEST(bug_1_every_pivot_is_looked_at) {
    static const double step[3] = {1e-3, 1e-3, 1e-3};
    pci_fit fit = {.x = {0.5, 0.5, 0.0}};
    double apart = 3e-7, leverage[8];
    assert_status(pci_fit_run(near_twins, NULL, &apart, 8, 3, step, &fit, leverage), PC_E_NUMERIC);
    fit = (pci_fit){.x = {0.5, 0.5, 0.0}};
    apart = 0.1;
    assert_ok(pci_fit_run(near_twins, NULL, &apart, 8, 3, step, &fit, leverage));
    assert_near(fit.x[0], 3.0, 1e-5); /* a twentieth of a step, 5e-5, is what is promised */
    assert_near(fit.x[1], 0.0, 1e-5);
    assert_near(fit.x[2], 1.0, 1e-5);
    double sum = 0.0; /* the hat matrix has as its trace the number of parameters */
    for (int i = 0; i < 8; i++)
        sum += leverage[i];
    assert_near(sum, 3.0, 1e-6);
}
END_TEST

static pc_status no_number(const double x[], double r[], void *context) {
    (void)context;
    r[0] = x[0];
    r[1] = NAN;
    return PC_OK;
}

static pc_status gives_up(const double x[], double r[], void *context) {
    (void)x;
    (void)r;
    (void)context;
    return PC_E_UNREACHED;
}

/* No parameter moves the second residual, or the first. */
static pc_status flat(const double x[], double r[], void *context) {
    (void)x;
    (void)context;
    r[0] = 1.0;
    r[1] = 2.0;
    return PC_OK;
}

START_TEST(a_fit_is_refused_or_says_why) {
    static const double step[2] = {1e-3, 1e-3}, no_step[2] = {1e-3, NAN};
    pci_fit fit = {.x = {1.0}};
    double apart = 0.1;
    assert_status(pci_fit_run(NULL, NULL, NULL, 2, 1, step, &fit, NULL), PC_E_ARGUMENT);
    assert_status(pci_fit_run(flat, NULL, NULL, 2, 1, step, NULL, NULL), PC_E_ARGUMENT);
    assert_status(pci_fit_run(flat, NULL, NULL, 2, 0, step, &fit, NULL), PC_E_ARGUMENT);
    assert_status(pci_fit_run(flat, NULL, NULL, 8, PCI_FIT_MOST + 1, step, &fit, NULL),
                  PC_E_ARGUMENT);
    assert_status(pci_fit_run(flat, NULL, NULL, 1, 2, step, &fit, NULL), PC_E_ARGUMENT);
    assert_status(pci_fit_run(near_twins, NULL, &apart, 8, 2, no_step, &fit, NULL), PC_E_ARGUMENT);
    fit.x[0] = NAN;
    assert_status(pci_fit_run(flat, NULL, NULL, 2, 1, step, &fit, NULL), PC_E_ARGUMENT);
    fit.x[0] = 1.0;
    assert_status(pci_fit_run(no_number, NULL, NULL, 2, 1, step, &fit, NULL), PC_E_NUMERIC);
    assert_status(pci_fit_run(gives_up, NULL, NULL, 2, 1, step, &fit, NULL), PC_E_UNREACHED);
    assert_status(pci_fit_run(flat, NULL, NULL, 2, 1, step, &fit, NULL), PC_E_NUMERIC);
}
END_TEST

/* y' = -y; context: a time from which on the rate is no number. */
static void decay(double t, const double y[], double dydt[], void *context) {
    dydt[0] = t < *(const double *)context ? -y[0] : NAN;
}

static double half_left(double t, const double y[], void *context) {
    (void)t;
    (void)context;
    return y[0] - 0.5;
}

static double never(double t, const double y[], void *context) {
    (void)t;
    (void)y;
    (void)context;
    return 1.0;
}

START_TEST(an_integration_finds_its_event_and_refuses_nan) {
    double sick_s = INFINITY, y[1] = {1.0}, t = NAN;
    pci_ode *ode = pci_ode_begin(decay, &sick_s, 1, 0.0, y, 1e-10, 1e-10, 0.1);
    ck_assert_ptr_nonnull(ode);
    while (pci_ode_state(ode)[0] > 0.5)
        assert_ok(pci_ode_step(ode, 10.0));
    assert_ok(pci_ode_locate(ode, half_left, &t, y));
    assert_near(t, log(2.0), 1e-9);
    assert_near(y[0], 0.5, 1e-9);
    assert_status(pci_ode_locate(ode, never, &t, y), PC_E_ARGUMENT);
    assert_status(pci_ode_step(ode, pci_ode_time(ode)), PC_E_NUMERIC); /* nothing lies ahead */
    assert_status(pci_ode_step(ode, NAN), PC_E_NUMERIC);
    sick_s = 0.0;
    assert_status(pci_ode_step(ode, 10.0), PC_E_NUMERIC);
    pci_ode_end(ode);
    pci_ode_end(NULL);
}
END_TEST

START_TEST(samples_are_normal_and_the_same_every_time) {
    enum { N = 64, D = 2 };
    double z[N * D], again[N * D];
    assert_ok(pci_sobol_normals(N, D, z));
    assert_ok(pci_sobol_normals(N, D, again));
    for (int d = 0; d < D; d++) {
        double mean = 0.0, square_sum = 0.0;
        for (int i = 0; i < N; i++) {
            ck_assert(z[i * D + d] == again[i * D + d]);
            mean += z[i * D + d] / N;
            square_sum += z[i * D + d] * z[i * D + d] / N;
        }
        assert_near(mean, 0.0, 0.02);
        assert_near(square_sum, 1.0, 0.1);
    }
    assert_status(pci_sobol_normals(0, 1, z), PC_E_ARGUMENT);
    assert_status(pci_sobol_normals(1, 0, z), PC_E_ARGUMENT);
    assert_status(pci_sobol_normals(1, 41, z), PC_E_ARGUMENT);
    assert_status(pci_sobol_normals(1, 1, NULL), PC_E_ARGUMENT);
}
END_TEST

START_TEST(a_packing_refuses_what_is_no_number) {
    double cap[1] = {3.0}, weight[1] = {0.5}, room[1] = {1.0}, most = -1.0;
    const pci_packing packing = {1, 1, cap, weight, room};
    assert_ok(pci_packing_most(&packing, &most));
    assert_near(most, 2.0, 1e-9); /* two halves fill the room */
    double *const number[] = {cap, weight, room};
    for (size_t i = 0; i < 3; i++) {
        const double bad[] = {NAN, INFINITY, -1.0};
        double kept = *number[i];
        for (size_t b = 0; b < 3; b++) {
            *number[i] = bad[b];
            assert_status(pci_packing_most(&packing, &most), PC_E_ARGUMENT);
        }
        *number[i] = kept;
    }
    assert_near(most, 2.0, 1e-9);
}
END_TEST

/* Items 3 and 5 fail, each in its own way. */
static pc_status some_fail(size_t i, void *context) {
    ((int *)context)[i]++;
    return i == 3 ? PC_E_LIMIT : i == 5 ? PC_E_VALUE : PC_OK;
}

START_TEST(threads_do_every_item_once) {
    int done[40] = {0};
    assert_status(pci_in_threads(some_fail, done, 40), PC_E_LIMIT);
    for (int i = 0; i < 40; i++)
        ck_assert_int_eq(done[i], 1);
    assert_ok(pci_in_threads(some_fail, done, 0));
    assert_ok(pci_in_threads(some_fail, done, 3));
}
END_TEST

int main(void) {
    Suite *suite = suite_create("solve");
    TCase *tcase = tcase_create("solve");
    tcase_set_timeout(tcase, 30);
    tcase_add_test(tcase, bug_1_every_pivot_is_looked_at);
    tcase_add_test(tcase, a_fit_is_refused_or_says_why);
    tcase_add_test(tcase, an_integration_finds_its_event_and_refuses_nan);
    tcase_add_test(tcase, samples_are_normal_and_the_same_every_time);
    tcase_add_test(tcase, a_packing_refuses_what_is_no_number);
    tcase_add_test(tcase, threads_do_every_item_once);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
