/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Closed forms of film, drainage, bubbles and running down, against published values and against
 * the rimming equation solved afresh with GSL. */
#include "published.h"

#include <gsl/gsl_integration.h>
#include <gsl/gsl_poly.h>
#include <stdio.h>
#include <string.h>

#include "film/cells.h"
#include "film/film_sums.h"
#include "pourclock/film.h"
#include "pourclock/resin.h"

/* Rimming film at angle t from the place where the wall rises level, at flux 2/3: the smaller
 * positive root of h - h^3 cos(t)/3 = 2/3. */
static double rimming_film(double t, void *context) {
    (void)context;
    double c = cos(t);
    if (fabs(c) < 1e-7)
        return 2.0 / 3.0 + 8.0 / 81.0 * c;
    double x[3];
    int n = gsl_poly_solve_cubic(0, -3 / c, 2 / c, &x[0], &x[1], &x[2]);
    for (int i = 0; i < n; i++)
        if (x[i] > 0 && x[i] < 1 + 1e-6)
            return x[i];
    return NAN;
}

static double rimming_load(void) {
    gsl_integration_glfixed_table *table = gsl_integration_glfixed_table_alloc(64);
    gsl_function f = {rimming_film, NULL};
    double load = 2 * gsl_integration_glfixed(&f, 1e-9, PI, table);
    gsl_integration_glfixed_table_free(table);
    return load;
}

static double value_of(const char *what, const double *x) {
    if (!strcmp(what, "rimming_mean"))
        return sqrt(x[0] / pci_film_mu_set(x[3], 1, x[1] * RPM_RAD_S, x[2]));
    if (!strcmp(what, "rimming_load"))
        return PC_RIMMING_LOAD;
    if (!strcmp(what, "froude"))
        return pci_froude(x[0] * RPM_RAD_S, x[1]);
    if (!strcmp(what, "drain_edge"))
        return 1.5 * pci_drain_film(x[1], x[2], x[3] / x[0]);
    if (!strcmp(what, "drain_mean"))
        return pci_drain_film(x[1], x[2], x[3] / x[0]);
    if (!strcmp(what, "bubble_bore"))
        return pc_bubble_bore(x[1], x[0]);
    if (!strncmp(what, "gravity_", 8))
        return INFINITY; /* check_turning.c */
    return NAN;
}

START_TEST(published_values_are_met) {
    ck_assert_int_eq(check_published_table(TEST_SRCDIR "/tests/published/film.txt", value_of), 12);
}
END_TEST

START_TEST(rimming_equation_gives_the_constants) {
    double load = rimming_load();
    assert_near(load, PC_RIMMING_LOAD, 2e-8);
    assert_near(load / (2 * PI), PC_RIMMING_MEAN, 1e-8);
    assert_near(PC_RIMMING_MU * PC_RIMMING_MEAN * PC_RIMMING_MEAN, 1, 1e-7);
}
END_TEST

START_TEST(speeds_of_each_way_of_turning) {
    pc_turning t = {.method = PC_MACHINE, .outer_rad_s = -3, .inner_rad_s = 4};
    assert_near(pci_film_speed(&t), 5, 1e-12);
    assert_near(pci_turning_slower(&t), 3, 1e-12);
    assert_near(pci_turning_turns(&t, 10, 10 + 4 * PI), 6, 1e-12);
    t.inner_rad_s = 0;
    assert_near(pci_turning_slower(&t), 3, 1e-12);
    t.outer_rad_s = 0;
    assert_near(pci_film_speed(&t), 0, 0);
    assert_near(pci_turning_turns(&t, 0, 100), 0, 0);
    assert_near(pci_turning_inner_relative(1.2, 1.5), 0.3, 1e-12);

    t.method = PC_HAND;
    pc_tilt tilt[PC_TILTS_MOST];
    double period;
    ck_assert_uint_eq(pci_turning_tilts(&t, tilt, &period), 12);
    assert_near(period, 12 * (0.5 + 1.5), 1e-9);
    for (size_t i = 0; i < 12; i++) { /* neighbors only: quarter turns */
        const double *a = tilt[i].up, *b = tilt[(i + 1) % 12].up;
        assert_near(a[0] * b[0] + a[1] * b[1] + a[2] * b[2], 0, 0);
    }
    assert_near(pci_film_speed(&t), 12 * PI / 2 / 24, 1e-9);
    assert_near(pci_turning_turns(&t, 0, 240), 10, 1e-9);
    t.tilt_count = 1;
    t.tilt[0] = (pc_tilt){{0, 0, 1}, 3};
    assert_near(pci_film_speed(&t), 0, 0);
    assert_near(pci_turning_slower(&t), 0, 0);
    t.method = PC_DRAIN;
    ck_assert(isnan(pci_turning_turns(&t, 0, 10)));
}
END_TEST

/* Of int_0^q sin^(1/3), with q = u^3 so that it is smooth; 0 where rounding goes beyond pi. */
static double run_integrand(double u) {
    return 3 * u * u * cbrt(fmax(0, sin(u * u * u)));
}

/* Simpson's rule. */
static double run_integral(double q) {
    double end = cbrt(q), step = end / 64, sum = 0;
    for (int i = 0; i <= 64; i++) {
        double f = run_integrand(i * step);
        sum += (i == 0 || i == 64 ? 1 : i % 2 ? 4 : 2) * f;
    }
    return sum * step / 3;
}

/* The film left where the equation is solved by bisection, not from a table. */
static double sag_exact(double theta, double run) {
    if (theta < 1e-3) /* the top itself */
        return 1 / sqrt(1 + 4 * run / 3);
    if (theta > PI - 1e-3)
        return 1;
    double goal = run_integral(theta), low = 0, high = theta;
    for (int i = 0; i < 40; i++) {
        double q = (low + high) / 2, s = sin(q);
        if (run_integral(q) + run * s * cbrt(s) < goal)
            low = q;
        else
            high = q;
    }
    double ratio = sin((low + high) / 2) / sin(theta);
    return fmin(1, cbrt(ratio * ratio));
}

/* At the top the exact solution is 1/sqrt(1 + 4 k/3); the table follows the exact roots. */
START_TEST(running_down_a_sphere_is_exact) {
    struct pci_sag sag = {.ready = false};
    for (double run = 1e-4; run < 3e3; run *= 3.7) {
        assert_close(sag_exact(0, run), 1 / sqrt(1 + 4 * run / 3), 1e-12);
        assert_close(sag_exact(0.02, run), 1 / sqrt(1 + 4 * run / 3), 1e-4);
        for (double theta = 0; theta < 1.5; theta += 0.13)
            assert_near(pci_sag(&sag, theta, run), sag_exact(theta, run), 0.002);
    }
    assert_near(pci_sag(&sag, 1, 0), 1, 0);
    assert_near(pci_sag(&sag, 1, 1e-9), 1, 0);
    assert_close(pci_sag(&sag, 0, 1e9), 1 / sqrt(1 + 4e9 / 3), 0.001);
    ck_assert(isnan(pci_sag(&sag, 1, NAN)));
}
END_TEST

/* Drop what the exact film keeps into the equation itself, differenced: it must balance. */
START_TEST(running_down_meets_its_equation) {
    double q = 0.8, k = 0.6, dq = 1e-3, dk = 1e-3;
    double ds = (sag_exact(q, k + dk) - sag_exact(q, k - dk)) / (2 * dk);
    double up = pow(sin(q + dq), 2) * pow(sag_exact(q + dq, k), 3);
    double low = pow(sin(q - dq), 2) * pow(sag_exact(q - dq, k), 3);
    double flux = (up - low) / (2 * dq) / (3 * sin(q));
    assert_near(ds + flux, 0, 1e-6);
}
END_TEST

START_TEST(nothing_lets_nan_or_nonsense_through) {
    const double bad[] = {NAN, -1, 0, INFINITY};
    for (size_t i = 0; i < 4; i++) {
        double b = bad[i];
        ck_assert(isnan(pci_film_mu_set(b, 1, 1, 1)) && isnan(pci_film_mu_set(1, b, 1, 1)));
        ck_assert(isnan(pci_film_mu_set(1, 1, b, 1)) && isnan(pci_film_mu_set(1, 1, 1, b)));
        ck_assert(isnan(pci_froude(1, b)));
        ck_assert(isnan(pci_drain_film(b, 1, 1)) && isnan(pci_drain_film(1, b, 1)));
        ck_assert(isnan(pci_drain_film(1, 1, b)));
        ck_assert(isnan(pc_bubble_bore(b, 1)) && isnan(pc_bubble_bore(1, b)));
    }
    ck_assert(isnan(pci_froude(NAN, 1)));
    pc_turning t = {.method = PC_MACHINE, .outer_rad_s = NAN, .inner_rad_s = 1};
    ck_assert(isnan(pci_film_speed(&t)) && isnan(pci_turning_slower(&t)));
    t.outer_rad_s = 1;
    ck_assert(isnan(pci_turning_turns(&t, NAN, 1)) && isnan(pci_turning_turns(&t, 0, NAN)));
    ck_assert(isnan(pci_turning_turns(&t, 2, 1)));
    ck_assert(isnan(pci_film_speed(NULL)) && isnan(pci_turning_slower(NULL)));
}
END_TEST

int main(void) {
    Suite *suite = suite_create("film");
    TCase *tcase = tcase_create("film");
    tcase_add_test(tcase, published_values_are_met);
    tcase_add_test(tcase, rimming_equation_gives_the_constants);
    tcase_add_test(tcase, speeds_of_each_way_of_turning);
    tcase_add_test(tcase, running_down_a_sphere_is_exact);
    tcase_add_test(tcase, running_down_meets_its_equation);
    tcase_add_test(tcase, nothing_lets_nan_or_nonsense_through);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
