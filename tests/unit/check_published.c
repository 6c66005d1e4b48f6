/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cure, viscosity and conduction against published values: tests/published/kinetics.txt,
 * viscosity.txt, conduction.txt. */
#include "unit.h"

#include <gsl/gsl_integration.h>
#include <stdio.h>
#include <string.h>

#include "pourclock/resin.h"
#include "published.h"
#include "resin/cup.h"
#include "resin/cure_rate.h"
#include "wall/layers.h"

static const double ZERO_C = 273.15, LENGTH_M = 0.01;

/* A material that does not react, as a resin. */
static pc_resin inert(double k, double rho, double cp) {
    pc_resin r;
    assert_ok(pc_resin_defaults(PC_URETHANE, &r));
    r.density_kg_m3 = rho;
    r.cure.cp_J_kgK = cp;
    r.cure.k_W_mK = k;
    r.cure.A1_per_s = r.cure.heat_J_kg = 0.0;
    return r;
}

/* Bare body of half thickness or radius LENGTH_M in a fluid. */
static pci_wall *bare_body(int form, const pc_resin *resin, double h, double T0_K, double air_K) {
    pci_wall_spec spec = {.form = (pc_form)form,
                          .cavity_radius_m = LENGTH_M,
                          .mold_K = T0_K,
                          .out_W_m2K = h,
                          .in_W_m2K = form == 0 ? h : 0.0,
                          .air_K = air_K,
                          .refine = 2.0,
                          .tolerance = 1e-5};
    pci_wall *wall;
    pc_cup_state state = {T0_K, 0.0};
    assert_ok(pci_wall_new(&spec, 0.0, &wall));
    assert_ok(pci_wall_pour(wall, resin, form == 0 ? 2.0 * LENGTH_M : LENGTH_M, &state, NAN));
    return wall;
}

/* Temperature at a depth, between nodes by the straight line. */
static double at_depth(const pci_wall *wall, double x_m) {
    size_t n = pci_wall_profile(wall, 0, NULL, NULL, NULL);
    double *x = malloc(n * sizeof *x), *T = malloc(n * sizeof *T), found = NAN;
    ck_assert(x && T);
    ck_assert_uint_eq(pci_wall_profile(wall, n, x, T, NULL), n);
    for (size_t i = 0; i + 1 < n; i++)
        if (x[i] <= x_m && x_m <= x[i + 1] * (1 + 1e-12) && x[i] < x[i + 1])
            found = T[i] + (T[i + 1] - T[i]) * (x_m - x[i]) / (x[i + 1] - x[i]);
    free(x);
    free(T);
    return found;
}

/* Decay and amplitude of the slowest mode, from the center at two times. */
static double one_term(const double *in, int amplitude) {
    const double k = 0.2, rho = 1100, cp = 1800, early = 0.6, late = 1.2;
    pc_resin resin = inert(k, rho, cp);
    pci_wall *wall = bare_body((int)in[0], &resin, in[1] * k / LENGTH_M, 360.0, 290.0);
    double unit_s = LENGTH_M * LENGTH_M * rho * cp / k;
    assert_ok(pci_wall_advance(wall, early * unit_s));
    double theta_early = (at_depth(wall, LENGTH_M) - 290.0) / 70.0;
    assert_ok(pci_wall_advance(wall, late * unit_s));
    double theta_late = (at_depth(wall, LENGTH_M) - 290.0) / 70.0;
    pci_wall_free(wall);
    double zeta2 = log(theta_early / theta_late) / (late - early);
    return amplitude ? theta_early * exp(zeta2 * early) : sqrt(zeta2);
}

static double step_depth(const double *in) {
    pc_resin soil = inert(in[0], in[1], in[2]);
    pci_wall_spec spec = {
        .form = PC_SLAB, .mold_K = in[3] + ZERO_C, .out_W_m2K = 1e6, .air_K = in[4] + ZERO_C};
    pci_wall *wall;
    pc_cup_state state = {in[3] + ZERO_C, 0.0};
    assert_ok(pci_wall_new(&spec, 0.0, &wall));
    for (int i = 0; i < 4; i++) /* four meters are as good as endless */
        assert_ok(pci_wall_pour(wall, &soil, 1.0, &state, NAN));
    assert_ok(pci_wall_advance(wall, in[5] * 86400.0));
    double low = 0.0, high = 3.0;
    for (int i = 0; i < 50; i++) {
        double middle = (low + high) / 2;
        *(at_depth(wall, middle) < in[6] + ZERO_C ? &low : &high) = middle;
    }
    pci_wall_free(wall);
    return low;
}

static double contact(const double *in) {
    pc_resin resin = inert(0.2, 1100, 1800);
    pci_wall_spec spec = {.form = PC_SLAB,
                          .mold_count = 1,
                          .mold_thickness_m = {0.05},
                          .mold = {{in[0], in[1], in[2]}},
                          .mold_K = 20 + ZERO_C,
                          .out_W_m2K = PC_OUTSIDE_W_M2K,
                          .air_K = 20 + ZERO_C};
    pci_wall *wall;
    pc_cup_state state = {60 + ZERO_C, 0.0};
    assert_ok(pci_wall_new(&spec, 0.0, &wall));
    assert_ok(pci_wall_pour(wall, &resin, 0.03, &state, NAN));
    assert_ok(pci_wall_advance(wall, 3.0));
    double T_K = at_depth(wall, 0.05);
    pci_wall_free(wall);
    return T_K - ZERO_C;
}

/* Heats a body of zeroth order at a share of the critical delta. Returns whether it runs away: no
 * body that settles gets as far as theta 2.2. *dwell: theta of the center where it rises slowest.
 */
static int runs_away(int form, double share, double *dwell) {
    static const double critical[] = {0.878, 2.000, 3.322};
    const double T0 = 300.0, k = 0.2, rho = 1100, cp = 1800, E = 75 * PC_GAS_CONSTANT * T0;
    pc_resin r = inert(k, rho, cp);
    double unit_K = PC_GAS_CONSTANT * T0 * T0 / E, unit_s = LENGTH_M * LENGTH_M * rho * cp / k;
    r.cure.heat_J_kg = 1e7;
    r.cure.n = 0.0;
    r.cure.E1_J_mol = E;
    r.cure.A1_per_s = critical[form] * share * unit_K * k / (LENGTH_M * LENGTH_M) /
                      (rho * r.cure.heat_J_kg) * exp(E / (PC_GAS_CONSTANT * T0));
    pci_wall *wall = bare_body(form, &r, 1e7, T0, T0);
    double theta = 0, slowest = INFINITY;
    *dwell = NAN;
    for (int i = 1; i <= 2000 && theta < 2.2; i++) {
        assert_ok(pci_wall_advance(wall, 0.01 * i * unit_s));
        double now = (at_depth(wall, LENGTH_M) - T0) / unit_K;
        if (now - theta < slowest) {
            slowest = now - theta;
            *dwell = (now + theta) / 2;
        }
        theta = now;
    }
    pci_wall_free(wall);
    return theta >= 2.2;
}

/* Temperature a cup too big to lose heat rises by: heat and cp of any resin. */
static double adiabatic_rise(const double *in) {
    pc_resin r;
    pc_cup_events e;
    assert_ok(pc_resin_defaults(PC_URETHANE, &r));
    r.cure.heat_J_kg = in[0];
    r.cure.cp_J_kgK = in[1];
    assert_ok(pci_cup_run(&r, 1e5, 350.0, 350.0, &e));
    return e.peak_K - 350.0;
}

/* A resin of the examples' shelf: its pot life at 20 C over that at 30 C. */
static double doubling(const char *name, double mass_kg) {
    char path[1024];
    pc_resin r;
    pc_cup_events cold, warm;
    pc_errors errors = PC_ERRORS_INIT;
    snprintf(path, sizeof path, "%s/examples/resins/%s.ini", TEST_SRCDIR, name);
    pc_status status = pci_resin_read(path, &r, &errors);
    ck_assert_msg(status == PC_OK, "%s: %s", path, errors.count ? errors.item[0].text : "?");
    pc_errors_free(&errors);
    assert_ok(pci_cup_run(&r, mass_kg, 20 + ZERO_C, 20 + ZERO_C, &cold));
    assert_ok(pci_cup_run(&r, mass_kg, 30 + ZERO_C, 30 + ZERO_C, &warm));
    return cold.pot_life_s / warm.pot_life_s;
}

static double integral(double (*function)(double, void *), void *context, double from, double to) {
    gsl_integration_workspace *space = gsl_integration_workspace_alloc(200);
    gsl_function f = {function, context};
    double value, error;
    ck_assert_int_eq(gsl_integration_qags(&f, from, to, 1e-9, 1e-9, 200, space, &value, &error), 0);
    gsl_integration_workspace_free(space);
    return value;
}

/* Time from one conversion to another at one temperature, by GSL's quadrature over the product's
 * rate. */
struct isothermal {
    const pc_cure *cure;
    double T_K;
};

static double slowness(double a, void *context) {
    const struct isothermal *at = context;
    return 1.0 / pci_cure_rate(at->cure, a, at->T_K);
}

static double time_between(const pc_cure *cure, double from, double to, double T_K) {
    struct isothermal at = {cure, T_K};
    return integral(slowness, &at, from, to);
}

static double nth_order_time(const double *in) {
    pc_cure cure = {.A1_per_s = in[0], .E1_J_mol = in[1], .m = 1.0, .n = in[2]};
    return time_between(&cure, 0.0, in[4], in[3] + ZERO_C);
}

static double viscosity(const double *in) {
    pc_flow f = {.T_ref_K = 298.15, .E_mu_J_mol = in[1], .c = in[2], .d = in[3], .a_gel = in[4]};
    f.mu_ref_Pa_s = in[0] * exp(in[1] / (PC_GAS_CONSTANT * 298.15));
    return pci_viscosity(&f, in[6], in[5] + ZERO_C);
}

static double epoxy_gel_conversion(void) {
    pc_resin r;
    assert_ok(pc_resin_defaults(PC_EPOXY, &r));
    return r.cure.a_gel;
}

static double value_of(const char *what, const double *in) {
    double dwell;
    if (strcmp(what, "epoxy_gel_conversion") == 0)
        return epoxy_gel_conversion();
    if (strcmp(what, "nth_order_time") == 0)
        return nth_order_time(in);
    if (strcmp(what, "adiabatic_rise") == 0)
        return adiabatic_rise(in);
    if (strcmp(what, "castro_macosko") == 0)
        return viscosity(in);
    if (strcmp(what, "zeta") == 0)
        return one_term(in, 0);
    if (strcmp(what, "amplitude") == 0)
        return one_term(in, 1);
    if (strcmp(what, "step_depth") == 0)
        return step_depth(in);
    if (strcmp(what, "contact") == 0)
        return contact(in);
    if (strcmp(what, "runaway") == 0)
        return runs_away((int)in[0], in[1], &dwell);
    if (strcmp(what, "runaway_theta") == 0)
        return runs_away((int)in[0], in[1], &dwell), dwell;
    if (strncmp(what, "doubling ", 9) == 0)
        return doubling(what + 9, in[0]);
    ck_abort_msg("no check called %s", what);
    return NAN;
}

START_TEST(kinetics_are_met) {
    ck_assert_int_eq(check_published_table(TEST_SRCDIR "/tests/published/kinetics.txt", value_of),
                     12);
}
END_TEST

START_TEST(viscosities_are_met) {
    ck_assert_int_eq(check_published_table(TEST_SRCDIR "/tests/published/viscosity.txt", value_of),
                     10);
}
END_TEST

START_TEST(conduction_is_met) {
    ck_assert_int_eq(check_published_table(TEST_SRCDIR "/tests/published/conduction.txt", value_of),
                     25);
}
END_TEST

/* The rate law written out anew, and GSL's own quadrature. */
static double slowness_anew(double a, void *context) {
    const double *p = context; /* T, A1, E1, A2, E2, m, n */
    double k1 = p[1] * exp(-p[2] / (8.314462618 * p[0]));
    double k2 = p[3] * exp(-p[4] / (8.314462618 * p[0]));
    return 1.0 / ((k1 + k2 * pow(a, p[5])) * pow(1.0 - a, p[6]));
}

START_TEST(kamal_times_match_gsl_quadrature) {
    static const double set[][7] = {{298.15, 35982, 54960, 3574.1, 44289, 0.39845, 1.5361},
                                    {278.15, 35982, 54960, 3574.1, 44289, 0.39845, 1.5361},
                                    {313.15, 1e6, 60000, 60e6, 60000, 1, 1.5},
                                    {296.15, 7.398e6, 54870, 0, 0, 0, 2},
                                    {350, 1e5, 65000, 2e6, 57000, 0.85, 1.15}};
    for (size_t i = 0; i < sizeof set / sizeof *set; i++) {
        double p[7];
        memcpy(p, set[i], sizeof p);
        pc_cure cure = {.A1_per_s = p[1],
                        .E1_J_mol = p[2],
                        .A2_per_s = p[3],
                        .E2_J_mol = p[4],
                        .m = p[5],
                        .n = p[6]};
        assert_close(time_between(&cure, 0.02, 0.93, p[0]), integral(slowness_anew, p, 0.02, 0.93),
                     1e-6);
    }
}
END_TEST

int main(void) {
    Suite *suite = suite_create("published");
    TCase *tcase = tcase_create("published");
    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, kinetics_are_met);
    tcase_add_test(tcase, viscosities_are_met);
    tcase_add_test(tcase, conduction_is_met);
    tcase_add_test(tcase, kamal_times_match_gsl_quadrature);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
