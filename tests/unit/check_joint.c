/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pins, sockets and pressed walls, against published figures and against their own balances. */
#include "published.h"

#include <stdio.h>
#include <string.h>

#include "piece/metals.h"
#include "pourclock/joint.h"
#include "supplies/strength.h"

static pc_joint joint_of(double wire_m, double leg_m) {
    return (pc_joint){.name = "hind legs",
                      .count = 2,
                      .wire_m = wire_m,
                      .free_m = 0.02,
                      .socket_m = NAN,
                      .leg_m = leg_m,
                      .metal = pci_metal_find("steel"),
                      .handling_N = 50};
}

/* Coefficients of Roark's table out of the public function: A from the deflection, B from what the
 * stress has beyond it. */
static double shell_coefficient(bool bending, double mu) {
    double v = 0.3, t = 0.004, R = 0.08, E = 2e9, P = 30, sag, stress;
    double patch = mu * sqrt(R * t) / pow(12 * (1 - v * v), 0.25);
    assert_ok(pci_shell_press(P, R, t, patch, E, v, &sag, &stress));
    double side = sqrt(1 - v * v), A = sag * E * t * t / (P * R * side);
    return bending ? (stress * t * t / P - A / 2 * side) / (1 + v) : A;
}

static double value_of(const char *what, const double *x) {
    if (!strcmp(what, "bending"))
        return pci_wire_bending(x[0], x[1], x[2]);
    if (!strcmp(what, "axial"))
        return pci_wire_axial(x[0], x[1]);
    if (!strcmp(what, "deflection"))
        return pci_wire_deflection(x[0], x[1], x[2], x[3]);
    if (!strcmp(what, "buckling"))
        return pci_wire_buckling(x[0], x[1], x[2], x[3]);
    if (!strncmp(what, "shell_", 6))
        return shell_coefficient(what[6] == 'B', x[0]);
    if (!strcmp(what, "plate_sag")) {
        double sag;
        assert_ok(pci_plate_press(x[0], x[1], x[2], 0.005, x[3], x[4], &sag, NULL));
        return sag;
    }
    if (!strcmp(what, "plate_stress")) {
        double stress;
        assert_ok(pci_plate_press(x[0], x[1], x[2], x[3], 3e9, x[4], NULL, &stress));
        return stress;
    }
    if (!strcmp(what, "socket_depth")) { /* a firm resin, a light load: the rule of thumb rules */
        pc_joint joint = joint_of(x[0], 0.03);
        pc_joint_result result;
        joint.handling_N = 20;
        assert_ok(pci_joint_judge(&joint, 1, 40e6, true, &result, NULL));
        return result.socket_m;
    }
    return NAN;
}

START_TEST(published_values_are_met) {
    ck_assert_int_eq(check_published_table(TEST_SRCDIR "/tests/published/pins.txt", value_of), 23);
}
END_TEST

/* Euler and Johnson meet where both give half the yield, with no jump. */
START_TEST(buckling_is_continuous_and_falls_with_length) {
    double d = 0.004, E = 200e9, Sy = 250e6, area = PI * d * d / 4;
    double meet = sqrt(2 * PI * PI * E / Sy) * d / 8;
    assert_close(pci_wire_buckling(meet, d, E, Sy), area * Sy / 2, 1e-9);
    assert_close(pci_wire_buckling(meet * (1 - 1e-9), d, E, Sy), area * Sy / 2, 1e-6);
    double before = INFINITY;
    for (double L = 1e-3; L < 1; L *= 1.1) {
        double now = pci_wire_buckling(L, d, E, Sy);
        ck_assert(now < before && now <= area * Sy);
        before = now;
    }
}
END_TEST

/* The socket's line of pressure carries the force and the moment at its mouth. */
static double pressure_at(double y, double F, double L, double s, double d) {
    double mouth = pci_socket_pressure(F, L, s, d);
    double foot = -F * (6 * L + 2 * s) / (d * s * s);
    return mouth + (foot - mouth) * y / s;
}

START_TEST(socket_pressure_balances_the_load) {
    double F = 20, L = 0.03, s = 0.012, d = 0.004, force = 0, moment = 0;
    int n = 100000;
    for (int i = 0; i < n; i++) {
        double y = (i + 0.5) * s / n, p = pressure_at(y, F, L, s, d) * d * s / n;
        force += p;
        moment += p * y;
    }
    assert_close(force, F, 1e-6);
    assert_close(-moment, F * L, 1e-6);
}
END_TEST

START_TEST(stock_wires_are_the_next_at_or_above) {
    assert_close(pci_wire_stock(0.0021, false), 0.0025, 1e-12);
    assert_close(pci_wire_stock(0.00635, true), 0.00635, 1e-12);
    ck_assert(isinf(pci_wire_stock(0.05, false)));
}
END_TEST

START_TEST(joint_advises_a_stock_wire_that_holds) {
    pc_joint joint = joint_of(NAN, 0.03);
    pc_joint_result result;
    assert_ok(pci_joint_judge(&joint, 1.2, 20e6, false, &result, NULL));
    ck_assert(result.wire_advised && result.socket_advised && result.holds);
    ck_assert(result.factor >= 2 && result.buckling_factor >= 2 && result.socket_factor >= 2);
    double smaller = result.wire_m * 0.83;
    ck_assert(
        250e6 / (pci_wire_bending(25, 0.02, smaller) + pci_wire_axial(0.6 * 9.80665, smaller)) < 2);
    /* Mass balance: resin displaced is wire in both sockets. */
    assert_close(result.displaced_m3,
                 (result.wire_length_m - 2 * joint.free_m) * PI / 4 * result.wire_m * result.wire_m,
                 1e-12);
    assert_close(result.wire_kg / 7850,
                 result.wire_length_m * PI / 4 * result.wire_m * result.wire_m, 1e-12);
}
END_TEST

START_TEST(a_wire_too_thin_is_told) {
    pc_joint joint = joint_of(0.001, 0.03);
    pc_joint_result result;
    assert_ok(pci_joint_judge(&joint, 1.2, 20e6, false, &result, NULL));
    ck_assert(!result.holds && result.factor < 1);
    ck_assert(result.least_wire_m > 0.001);
}
END_TEST

START_TEST(a_wire_thicker_than_its_leg_is_refused) {
    pc_joint joint = joint_of(0.012, 0.010);
    pc_joint_result result;
    pc_errors errors = PC_ERRORS_INIT;
    assert_status(pci_joint_judge(&joint, 1.2, 20e6, false, &result, &errors), PC_E_VALUE);
    ck_assert_uint_eq(errors.count, 1);
    ck_assert_str_eq(errors.item[0].key, "wire");
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "leg"));
    joint = joint_of(NAN, 0.5);
    joint.handling_N = 1e6;
    assert_status(pci_joint_judge(&joint, 1.2, 20e6, false, &result, &errors), PC_E_VALUE);
    ck_assert_uint_eq(errors.count, 2);
    pc_errors_free(&errors);
}
END_TEST

START_TEST(wall_for_a_thumb_is_on_the_edge) {
    for (int flat = 0; flat <= 1; flat++) {
        double wall, sag, stress;
        assert_ok(pci_wall_for_press(flat, 50, 0.06, 0.008, 0.8e9, 0.38, 20e6, 2, &wall));
        ck_assert(wall > 5e-4 && wall < 0.02);
        for (int thinner = 0; thinner <= 1; thinner++) {
            double w = wall * (thinner ? 0.999 : 1.001);
            assert_ok((flat ? pci_plate_press : pci_shell_press)(50, 0.06, w, 0.008, 0.8e9, 0.38,
                                                                 &sag, &stress));
            bool holds = stress * 2 <= 20e6 && sag <= 0.25 * w;
            ck_assert(holds == !thinner);
        }
    }
    double wall;
    assert_status(pci_wall_for_press(true, 1e6, 0.06, 0.008, 0.8e9, 0.38, 20e6, 2, &wall),
                  PC_E_UNREACHED);
}
END_TEST

/* A patch far wider than the shell's own length: pressure P/(pi r^2) on a sphere, p R/(2 t). Found
 * the membrane stress taken twice. */
START_TEST(wide_patch_is_pressure_on_a_sphere) {
    double sag, stress, P = 10, R = 0.5, t = 0.0005, r = 0.12;
    assert_ok(pci_shell_press(P, R, t, r, 2e9, 0.3, &sag, &stress));
    assert_close(stress, P / (PI * r * r) * R / (2 * t), 1e-9);
}
END_TEST

START_TEST(nan_and_range_are_refused) {
    double n = NAN, sag, stress, wall;
    ck_assert(isnan(pci_wire_bending(n, 1, 1)) && isnan(pci_wire_bending(1, n, 1)));
    ck_assert(isnan(pci_wire_bending(1, 1, n)) && isnan(pci_wire_bending(1, 1, 0)));
    ck_assert(isnan(pci_wire_axial(n, 1)) && isnan(pci_wire_axial(1, n)));
    ck_assert(isnan(pci_wire_deflection(n, 1, 1, 1)) && isnan(pci_wire_deflection(1, 1, 1, n)));
    ck_assert(isnan(pci_wire_buckling(n, 1, 1, 1)) && isnan(pci_wire_buckling(1, n, 1, 1)));
    ck_assert(isnan(pci_wire_buckling(1, 1, n, 1)) && isnan(pci_wire_buckling(1, 1, 1, n)));
    ck_assert(isnan(pci_wire_stock(n, true)) && isnan(pci_wire_stock(-1, true)));
    ck_assert(isnan(pci_socket_pressure(n, 1, 1, 1)) && isnan(pci_socket_pressure(1, 1, 0, 1)));
    ck_assert(isnan(pci_resin_strength(PC_FAMILY_COUNT)) && isnan(pci_resin_modulus((pc_family)9)));
    ck_assert_ptr_null(pci_metal_find("unobtainium"));
    ck_assert_ptr_nonnull(pci_metal_find("aluminum-alloy"));
    ck_assert_ptr_eq(pci_metal_find("aluminium-alloy"), pci_metal_find("aluminum-alloy"));
    ck_assert_ptr_null(pci_metal_at(1000));
    assert_status(pci_shell_press(n, 1, 1, 1, 1, 0.3, &sag, &stress), PC_E_ARGUMENT);
    assert_status(pci_shell_press(1, n, 1, 1, 1, 0.3, &sag, &stress), PC_E_ARGUMENT);
    assert_status(pci_shell_press(1, 1, n, 1, 1, 0.3, &sag, &stress), PC_E_ARGUMENT);
    assert_status(pci_shell_press(1, 1, 1, n, 1, 0.3, &sag, &stress), PC_E_ARGUMENT);
    assert_status(pci_shell_press(1, 1, 1, 1, n, 0.3, &sag, &stress), PC_E_ARGUMENT);
    assert_status(pci_shell_press(1, 1, 1, 1, 1, n, &sag, &stress), PC_E_ARGUMENT);
    assert_status(pci_shell_press(1, 1, 1, 1, 1, 0.5, &sag, &stress), PC_E_ARGUMENT);
    assert_status(pci_plate_press(1, 1, 1, 2, 1, 0.3, &sag, &stress), PC_E_ARGUMENT);
    assert_status(pci_wall_for_press(false, 50, 0.06, 0.008, 1e9, 0.3, n, 2, &wall), PC_E_ARGUMENT);
    pc_joint joint = joint_of(0.002, n);
    pc_joint_result result;
    assert_status(pci_joint_judge(&joint, 1, 20e6, false, &result, NULL), PC_E_ARGUMENT);
    joint = joint_of(0.002, 0.01);
    assert_status(pci_joint_judge(&joint, n, 20e6, false, &result, NULL), PC_E_ARGUMENT);
    assert_status(pci_joint_judge(&joint, 1, n, false, &result, NULL), PC_E_ARGUMENT);
}
END_TEST

/* Bug 1 of the joint: without a handling load the socket's factor was divided by no pressure, a
 * wire of 5e-324 m had its socket deepened by half of it, which is 0, forever; products of small
 * numbers came to 0 and were divided by; a press of numbers far apart gave NaN and said done. */
START_TEST(bug_1_numbers_far_apart_end) {
    pc_joint joint = joint_of(0.002, 0.01);
    pc_joint_result result;
    joint.handling_N = 0;
    assert_ok(pci_joint_judge(&joint, 1, 20e6, false, &result, NULL));
    ck_assert(isinf(result.socket_factor) && result.pressure_Pa == 0);
    joint = joint_of(5e-324, 0.01);
    joint.socket_m = NAN;
    assert_status(pci_joint_judge(&joint, 1, 20e6, false, &result, NULL), PC_E_ARGUMENT);
    ck_assert(isinf(pci_wire_bending(50, 0.02, 1e-200)));
    ck_assert(isinf(pci_socket_pressure(50, 0.02, 1e-200, 1e-200)));
    double sag = -1, stress = -1;
    assert_status(pci_shell_press(50, 1e-300, 1e-300, 1, 1e9, 0.3, &sag, &stress), PC_E_ARGUMENT);
    assert_status(pci_plate_press(50, 0.1, 1e-200, 0.01, 1e9, 0.3, &sag, &stress), PC_E_ARGUMENT);
    assert_near(sag, -1, 0);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("joint");
    TCase *tc = tcase_create("joint");
    tcase_add_test(tc, published_values_are_met);
    tcase_add_test(tc, buckling_is_continuous_and_falls_with_length);
    tcase_add_test(tc, socket_pressure_balances_the_load);
    tcase_add_test(tc, stock_wires_are_the_next_at_or_above);
    tcase_add_test(tc, joint_advises_a_stock_wire_that_holds);
    tcase_add_test(tc, a_wire_too_thin_is_told);
    tcase_add_test(tc, a_wire_thicker_than_its_leg_is_refused);
    tcase_add_test(tc, wall_for_a_thumb_is_on_the_edge);
    tcase_add_test(tc, wide_patch_is_pressure_on_a_sphere);
    tcase_add_test(tc, nan_and_range_are_refused);
    tcase_add_test(tc, bug_1_numbers_far_apart_end);
    suite_add_tcase(suite, tc);
    return run_suite(suite);
}
