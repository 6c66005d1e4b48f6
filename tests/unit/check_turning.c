/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Turning programs: the way of gravity, coverage, closure; viscosity histories; drained layers. */
#include "published.h"

#include <stdio.h>
#include <string.h>

#include "film/film_sums.h"
#include "film/program.h"
#include "turning.h"

static double row_value(const char *what, const double *x) {
    pc_coverage c;
    (void)x;
    if (strncmp(what, "gravity_", 8) != 0)
        return INFINITY; /* check_film.c */
    pc_turning t = machine(12, 3);
    assert_ok(pci_turning_coverage(&t, 0, 0.5, 1e4, 2, &c));
    if (!strcmp(what, "gravity_along"))
        return c.square[2];
    assert_near(c.square[0], c.square[1], 1e-6);
    return c.square[0];
}

START_TEST(published_rows_are_met) {
    ck_assert_int_eq(check_published_table(TEST_SRCDIR "/tests/published/film.txt", row_value), 2);
}
END_TEST

/* Our own figures, by brute force over the sphere: no published ones are known to us. */
START_TEST(widest_place_never_faced_is_that_of_brute_force) {
    static const double row[][3] = {{1, 90, 0.1}, {4, 25.84, 0.05}, {8, 13.00, 0.05}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        pc_turning t = machine(12, 12 / row[i][0]);
        pc_coverage c;
        assert_ok(pci_turning_coverage(&t, 0, 0.5, 1e4, 2, &c));
        assert_near(c.never_faced_rad * 180 / PI, row[i][1], row[i][2]);
    }
}
END_TEST

static void gravity_at(const pc_turning *turning, int mount, double time_s, double down[3]) {
    struct pci_program program;
    pci_program_start(&program, turning, mount);
    pci_program_down(&program, time_s, down, NULL);
}

/* Share of the time gravity lies within an angle of the inner axis: arcsine law. */
START_TEST(dwell_follows_the_arcsine_law) {
    pc_turning t = machine(12, 12 * 0.6180339887);
    enum { N = 20000 };
    int within[4] = {0};
    for (int i = 0; i < N; i++) {
        double d[3];
        gravity_at(&t, 0, (i + 0.5) * 5 / N, d); /* one outer turn */
        assert_near(d[0] * d[0] + d[1] * d[1] + d[2] * d[2], 1, 1e-12);
        for (int k = 0; k < 4; k++)
            within[k] += fabs(d[2]) <= (k + 1) * 0.2;
    }
    for (int k = 0; k < 4; k++)
        assert_near((double)within[k] / N, 2 / PI * asin((k + 1) * 0.2), 2e-4);
}
END_TEST

START_TEST(gravity_starts_down_and_moves_at_the_program_s_speed) {
    pc_turning t = machine(12, -5);
    double a[3], b[3], d[3];
    gravity_at(&t, 0, 0, d);
    assert_near(d[2], -1, 0);
    for (double s = 0.1; s < 20; s += 0.7) {
        gravity_at(&t, 0, s - 1e-5, a);
        gravity_at(&t, 0, s + 1e-5, b);
        double rate = sqrt(pow(b[0] - a[0], 2) + pow(b[1] - a[1], 2) + pow(b[2] - a[2], 2)) / 2e-5;
        assert_close(rate, hypot(12 * RPM_RAD_S, 5 * RPM_RAD_S * sin(12 * RPM_RAD_S * s)), 1e-6);
    }
    /* A remount brings the inner axis to the mold's y, then x, and then round again. */
    for (int mount = 0; mount < 6; mount++) {
        gravity_at(&t, mount, 0, d);
        assert_near(fabs(d[2 - mount % 3]), 1, 1e-12);
    }
}
END_TEST

START_TEST(reversals_retrace_the_path) {
    pc_turning t = machine(10, 4);
    t.reverse_every_s = 7;
    double a[3], b[3];
    for (double s = 0.5; s < 7; s += 1.3) {
        gravity_at(&t, 0, 7 - s, a);
        gravity_at(&t, 0, 7 + s, b);
        for (int k = 0; k < 3; k++)
            assert_near(a[k], b[k], 1e-12);
    }
    assert_near(pci_turning_closure(&t, NULL, NULL), 14, 1e-12);
    pc_coverage c;
    assert_ok(pci_turning_coverage(&t, 0, 0.6, 1e3, 1, &c));
    ck_assert(c.never_faced_rad > PC_LOCK_RAD && c.locks); /* too short to get round */
    t.reverse_every_s = 60;
    assert_near(pci_turning_closure(&t, NULL, NULL), 30, 1e-9); /* the gears close sooner */
}
END_TEST

START_TEST(closure_finds_whole_ratios_only) {
    const struct {
        double outer, inner, closure_s, p, q;
    } row[] = {{12, 3, 20, 4, 1}, {12, 12, 5, 1, 1}, {12, 0, 5, 1, 0},    {10, 7, 60, 10, 7},
               {5, 15, 12, 1, 3}, {-9, 6, 20, 3, 2}, {63, 64, 60, 63, 64}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        pc_turning t = machine(row[i].outer, row[i].inner);
        double p, q;
        assert_close(pci_turning_closure(&t, &p, &q), row[i].closure_s, 1e-9);
        assert_near(p, row[i].p, 0);
        assert_near(q, row[i].q, 0);
    }
    pc_turning t = machine(12, 12 * 0.6180339887498949);
    ck_assert(isinf(pci_turning_closure(&t, NULL, NULL)));
    t.method = PC_DRAIN;
    assert_near(pci_turning_closure(&t, NULL, NULL), 0, 0);
    t = machine(NAN, 1);
    ck_assert(isnan(pci_turning_closure(&t, NULL, NULL)));
}
END_TEST

START_TEST(coverage_of_equal_speeds_leaves_half_the_mold) {
    pc_turning t = machine(12, 12);
    pc_coverage c;
    assert_ok(pci_turning_coverage(&t, 0, 0.5, 1e3, 2, &c));
    ck_assert(c.locks && c.missed > 0.2 && isinf(c.gap_s));
    /* the place never faced is across the inner axis, level */
    assert_near(fabs(c.never_faced_at[0]), 1, 0.005);
    t.inner_rad_s = 12 * RPM_RAD_S * 0.6180339887;
    assert_ok(pci_turning_coverage(&t, 0, 0.5, 300, 1, &c));
    ck_assert(!c.locks && c.missed == 0 && c.gap_s < 60 && c.dwell_least > 0);
    ck_assert(c.mean_gap_s < c.gap_s && c.dwell_most < 1);
    pc_coverage wide;
    assert_ok(pci_turning_coverage(&t, 0, 1.2, 300, 1, &wide));
    ck_assert(wide.gap_s < c.gap_s); /* a bigger pool passes more often */
    assert_ok(pci_turning_coverage(&t, 0, PI, 300, 1, &wide));
    assert_near(wide.gap_s, 0, 0); /* a full mold */
    assert_near(wide.dwell_least, 1, 1e-9);
}
END_TEST

/* One axis: a place on the great circle is passed once a turn, the poles never. */
START_TEST(one_axis_passes_once_a_turn) {
    pc_turning t = machine(6, 0);
    pc_coverage c;
    assert_ok(pci_turning_coverage(&t, 0, 0.3, 1e3, 2, &c));
    assert_near(c.never_faced_rad * 180 / PI, 90, 0.05);
    assert_near(fabs(c.never_faced_at[0]), 1, 1e-3);
    assert_near(c.mean_gap_s, 10, 0.01);
    /* band of half-width 0.3 rad covers sin(0.3) of a sphere */
    assert_near(c.missed, 1 - sin(0.3), 0.002);
}
END_TEST

START_TEST(hand_cycle_brings_every_face_down) {
    pc_turning t = {.method = PC_HAND};
    int seen[6] = {0};
    double d[3], period = pci_turning_closure(&t, NULL, NULL);
    assert_near(period, 24, 1e-9);
    for (double s = 0; s < period; s += 0.05) {
        gravity_at(&t, 0, s, d);
        assert_near(d[0] * d[0] + d[1] * d[1] + d[2] * d[2], 1, 1e-12);
        for (int k = 0; k < 3; k++) {
            seen[2 * k] |= d[k] > 0.999;
            seen[2 * k + 1] |= d[k] < -0.999;
        }
    }
    for (int k = 0; k < 6; k++)
        ck_assert_int_eq(seen[k], 1);
    pc_turning flip = {.method = PC_HAND, .tilt_count = 2};
    flip.tilt[0] = (pc_tilt){{0, 0, 2}, 1};
    flip.tilt[1] = (pc_tilt){{0, 0, -3}, 1}; /* straight over */
    gravity_at(&flip, 0, 1 + 1.5, d);
    assert_near(d[2], 0, 1e-9);
    assert_near(pci_turning_closure(&flip, NULL, NULL), 8, 1e-9);
}
END_TEST

static void expect_refusal(const pc_turning *turning, const char *word) {
    pc_errors errors = PC_ERRORS_INIT;
    assert_status(pci_turning_check(turning, &errors), PC_E_VALUE);
    ck_assert_uint_eq(errors.count, 1);
    ck_assert_msg(strstr(errors.item[0].text, word) != NULL, "\"%s\" lacks \"%s\"",
                  errors.item[0].text, word);
    pc_errors_free(&errors);
}

START_TEST(bad_turnings_are_refused_with_the_fix) {
    pc_turning t = machine(0, 0);
    expect_refusal(&t, "both speeds are zero");
    t = machine(0, 5);
    expect_refusal(&t, "turn the outer axis");
    t = machine(NAN, 5);
    expect_refusal(&t, "not a number");
    t = machine(12, INFINITY);
    expect_refusal(&t, "not a number");
    t = machine(12, 3);
    t.reverse_every_s = -5;
    expect_refusal(&t, "above zero");
    t = (pc_turning){.method = PC_HAND, .tilt_count = 2};
    expect_refusal(&t, "points nowhere");
    t.tilt[0] = t.tilt[1] = (pc_tilt){{0, 0, 1}, 2};
    expect_refusal(&t, "never turns");
    t.tilt[1] = (pc_tilt){{1, 0, 0}, NAN};
    expect_refusal(&t, "held for a time");
    t.tilt[1] = (pc_tilt){{NAN, 0, 0}, 1};
    expect_refusal(&t, "points nowhere");
    t.tilt_count = PC_TILTS_MOST + 1;
    expect_refusal(&t, "at most");
    pc_coverage c;
    t = machine(12, 3);
    assert_status(pci_turning_check(NULL, NULL), PC_E_ARGUMENT);
    assert_status(pci_turning_coverage(&t, 0, NAN, 10, 1, &c), PC_E_ARGUMENT);
    assert_status(pci_turning_coverage(&t, 0, 0, 10, 1, &c), PC_E_ARGUMENT);
    assert_status(pci_turning_coverage(&t, 0, 1, NAN, 1, &c), PC_E_ARGUMENT);
    assert_status(pci_turning_coverage(&t, 0, 1, 10, -1, &c), PC_E_ARGUMENT);
}
END_TEST

START_TEST(pool_angle_inverts_the_cap) {
    for (double a = 0.05; a < PI; a += 0.1) {
        double h = 1 - cos(a), volume = PI * h * h * (3 - h) / 3;
        assert_near(pci_pool_angle(volume, 1), a, 1e-6);
    }
    assert_near(pci_pool_angle(4 * PI / 3, 1), PI, 1e-6);
    assert_near(pci_pool_angle(0, 1), 0, 1e-6);
    ck_assert(isnan(pci_pool_angle(4.2, 1)) && isnan(pci_pool_angle(NAN, 1)));
    ck_assert(isnan(pci_pool_angle(-1, 1)) && isnan(pci_pool_angle(1, 0)));
}
END_TEST

START_TEST(history_is_exact_for_an_exponential) {
    struct thickening h;
    pc_turn_layer l = thickening_layer(&h, 1e-3, 0.2, 50, 300);
    const pc_mu_history *m = &l.history;
    double last = h.time_s[HISTORY_POINTS - 1];
    for (double t = 61; t < last; t += 7.3) {
        double mu = 0.2 * exp((t - 60) / 50);
        assert_close(pci_mu_checked_at(m, t), mu, 1e-12);
        assert_close(pci_mu_reach(m, mu), t, 1e-12);
        assert_close(pci_mu_fluidity(m, 60, t), 50 / 0.2 * (1 - exp(-(t - 60) / 50)), 1e-9);
    }
    ck_assert(isinf(pci_mu_checked_at(m, 300)) && isinf(pci_mu_checked_at(m, 1e9)));
    assert_near(pci_mu_checked_at(m, 0), 0.2, 0);
    assert_near(pci_mu_reach(m, 1e9), 300, 1e-6);
    assert_near(pci_mu_reach(m, 0.1), 60, 0);
    assert_near(pci_mu_reach(m, INFINITY), 300, 0);
    double sum = pci_mu_fluidity(m, 60, 150) + pci_mu_fluidity(m, 150, 1e6);
    assert_close(pci_mu_fluidity(m, -5, 300), sum, 1e-12);
    /* gelled points within the table end it */
    h.mu_Pa_s[HISTORY_POINTS - 1] = h.mu_Pa_s[HISTORY_POINTS - 2] = INFINITY;
    ck_assert(isfinite(pci_mu_checked_at(m, h.time_s[HISTORY_POINTS - 1] + 0.1)));
    ck_assert(pci_mu_checked_at(m, 299) > pci_mu_checked_at(m, h.time_s[HISTORY_POINTS - 3]));
}
END_TEST

START_TEST(bad_histories_are_refused) {
    double t[3] = {0, 10, 20}, mu[3] = {1, 2, 3};
    pc_mu_history m = {3, t, mu, 30};
    assert_ok(pci_mu_history_check(&m));
    const struct {
        double t1, mu0, mu1, gel;
    } bad[] = {{NAN, 1, 2, 30}, {0, 1, 2, 30},   {25, 1, 2, 30},        {10, NAN, 2, 30},
               {10, 0, 2, 30},  {10, 1, -2, 30}, {10, INFINITY, 2, 30}, {10, 1, 2, NAN},
               {10, 1, 2, 0},   {10, 1, 2, -5}};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        t[1] = bad[i].t1;
        mu[0] = bad[i].mu0;
        mu[1] = bad[i].mu1;
        m.gel_s = bad[i].gel;
        assert_status(pci_mu_history_check(&m), PC_E_ARGUMENT);
        ck_assert(isnan(pci_mu_reach(&m, 1.5)) && isnan(pci_mu_fluidity(&m, 0, 5)));
    }
    assert_status(pci_mu_history_check(NULL), PC_E_ARGUMENT);
    pc_mu_history none = {0, t, mu, 30};
    assert_status(pci_mu_history_check(&none), PC_E_ARGUMENT);
    ck_assert(isnan(pci_mu_checked_at(&none, 1)));
}
END_TEST

/* With mu = mu0 exp(t/tau) the film of a drain from t on is Jeffreys' with F = tau (1/mu(t)). */
START_TEST(drain_minute_leaves_the_wanted_film) {
    struct thickening h;
    pc_turn_layer l = thickening_layer(&h, 0.4e-3, 0.3, 120, 1200);
    pc_drain_result r;
    double drop = 0.15, poured = 3 * l.volume_m3;
    assert_ok(pci_drain_when(&l, drop, poured, &r, NULL));
    assert_close(r.film_m, 0.4e-3, 1e-6);
    assert_close(r.edge_m, 0.6e-3, 1e-6);
    double need = 4.0 / 9.0 * drop / (1050 * 9.80665 * 0.4e-3 * 0.4e-3);
    assert_close(r.out_s, 60 + 120 * log(120 / (0.3 * need)), 1e-3);
    assert_close(r.surplus_m3, poured - l.volume_m3, 1e-5);
    assert_close(pci_drain_film_at(&l, drop, r.out_s), 0.4e-3, 1e-6);
    ck_assert(pci_drain_film_at(&l, drop, r.out_s + 30) > 0.4e-3);
    ck_assert(isinf(pci_drain_film_at(&l, drop, 1200)));
}
END_TEST

START_TEST(drained_layers_that_cannot_be_are_told_why) {
    struct thickening h;
    pc_errors errors = PC_ERRORS_INIT;
    pc_drain_result r;
    pc_turn_layer l = thickening_layer(&h, 0.3e-3, 2, 30, 120); /* gels before it runs down */
    assert_status(pci_drain_when(&l, 0.2, 2 * l.volume_m3, &r, &errors), PC_E_UNREACHED);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "gels before it has run down"));
    ck_assert(r.film_m > 0.3e-3 && r.out_s == 60);
    pc_errors_free(&errors);
    l = thickening_layer(&h, 5e-3, 1, 100, 900); /* only when it no longer pours */
    assert_status(pci_drain_when(&l, 0.2, 2 * l.volume_m3, &r, &errors), PC_E_UNREACHED);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "too thick to run out"));
    pc_errors_free(&errors);
    l = thickening_layer(&h, 1e-3, 0.001, 2, 69); /* runs like water, then sets in a moment */
    assert_status(pci_drain_when(&l, 0.2, 2 * l.volume_m3, &r, &errors), PC_E_UNREACHED);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "before it gels"));
    pc_errors_free(&errors);
    assert_status(pci_drain_when(&l, 0.2, 0.5 * l.volume_m3, &r, &errors), PC_E_VALUE);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "pour more"));
    pc_errors_free(&errors);
    assert_status(pci_drain_when(&l, NAN, 1, &r, NULL), PC_E_ARGUMENT);
    assert_status(pci_drain_when(&l, 1, NAN, &r, NULL), PC_E_ARGUMENT);
    l.film_m = NAN;
    assert_status(pci_drain_when(&l, 1, 1, &r, NULL), PC_E_ARGUMENT);
    ck_assert(isnan(pci_drain_film_at(&l, 0.1, NAN)) && isnan(pci_drain_film_at(NULL, 0.1, 1)));
}
END_TEST

/* Bug 1 of the history: the viscosity of one that does not pass its check was told all the same. */
START_TEST(bug_1_viscosity_of_no_history) {
    const double t[] = {0, 10, 5}, mu[] = {1, 2, 4};
    pc_mu_history m = {3, t, mu, 30};
    ck_assert(isnan(pci_mu_checked_at(&m, 1)));
    m.count = 2;
    ck_assert(pci_mu_checked_at(&m, 1) > 1);
}
END_TEST

/* Bug 2 of the turning: a machine whose path closes only after millions of steps was followed
 * through two million of them for every layer, which took a plan of odd numbers 12 s; and what it
 * had not looked at counted all the same. */
START_TEST(bug_2_a_path_that_hardly_closes_is_looked_at_for_a_while) {
    pc_turning t = machine(12, 12 * sqrt(2) / 3);
    pc_coverage c, shorter;
    assert_ok(pci_turning_coverage(&t, 0, 0.5, 1e8, 1, &c));
    ck_assert(c.horizon_s > 1e4 && c.horizon_s < 1e6);
    ck_assert(isfinite(c.gap_s) && c.missed < 1e-9);
    assert_ok(pci_turning_coverage(&t, 0, 0.5, 0.5 * c.horizon_s, 1, &shorter));
    assert_close(shorter.horizon_s, 0.5 * c.horizon_s, 1e-12);
    assert_close(shorter.mean_gap_s, c.mean_gap_s, 0.01);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("turning");
    TCase *tcase = tcase_create("turning");
    tcase_add_test(tcase, published_rows_are_met);
    tcase_add_test(tcase, widest_place_never_faced_is_that_of_brute_force);
    tcase_add_test(tcase, dwell_follows_the_arcsine_law);
    tcase_add_test(tcase, gravity_starts_down_and_moves_at_the_program_s_speed);
    tcase_add_test(tcase, reversals_retrace_the_path);
    tcase_add_test(tcase, closure_finds_whole_ratios_only);
    tcase_add_test(tcase, coverage_of_equal_speeds_leaves_half_the_mold);
    tcase_add_test(tcase, one_axis_passes_once_a_turn);
    tcase_add_test(tcase, hand_cycle_brings_every_face_down);
    tcase_add_test(tcase, bad_turnings_are_refused_with_the_fix);
    tcase_add_test(tcase, pool_angle_inverts_the_cap);
    tcase_add_test(tcase, history_is_exact_for_an_exponential);
    tcase_add_test(tcase, bad_histories_are_refused);
    tcase_add_test(tcase, drain_minute_leaves_the_wanted_film);
    tcase_add_test(tcase, drained_layers_that_cannot_be_are_told_why);
    tcase_add_test(tcase, bug_1_viscosity_of_no_history);
    tcase_add_test(tcase, bug_2_a_path_that_hardly_closes_is_looked_at_for_a_while);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
