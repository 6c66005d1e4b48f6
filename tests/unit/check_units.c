/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Figures as a caster reads them. */
#include "unit.h"

#include <string.h>

#include "pourclock.h"

static const double IN = 0.0254;

START_TEST(a_wall_in_inches_is_a_fraction_where_one_is_near) {
    static const struct {
        double in;
        const char *text;
    } row[] = {{3.0 / 16, "3/16 in"},   {0.5, "1/2 in"},       {1.5, "1-1/2 in"},
               {2.0, "2 in"},           {1.0 / 64, "1/64 in"}, {0.189, "3/16 in"},
               {0.08, "0.080 in"},      {0.11, "7/64 in"},     {0.0059, "0.006 in"},
               {13.0 / 32, "13/32 in"}, {0.75, "3/4 in"},      {1e-9, "0.000 in"}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++)
        ck_assert_str_eq(pc_say_length(PC_US, row[i].in * IN).s, row[i].text);
    ck_assert_str_eq(pc_say_length(PC_METRIC, 0.0048).s, "4.8 mm");
    ck_assert_str_eq(pc_say_length(PC_METRIC, 0.003).s, "3 mm");
    ck_assert_str_eq(pc_say_length(PC_METRIC, 0.0254).s, "25 mm");
}
END_TEST

START_TEST(a_scale_shows_what_a_scale_can) {
    ck_assert_str_eq(pc_say_mass(0.0454).s, "45.4 g");
    ck_assert_str_eq(pc_say_mass(0.09994).s, "99.9 g");
    ck_assert_str_eq(pc_say_mass(0.09996).s, "100 g");
    ck_assert_str_eq(pc_say_mass(1.2346).s, "1235 g");
    ck_assert_str_eq(pc_say_mass(9.9996).s, "10.00 kg");
    ck_assert_str_eq(pc_say(PC_SAY_MASS_BOTH, PC_US, 0.45359237).s, "454 g (16.0 oz)");
    ck_assert_str_eq(pc_say(PC_SAY_MASS_BOTH, PC_US, 2.26796185).s, "2268 g (5.0 lb)");
    ck_assert_str_eq(pc_say(PC_SAY_MASS_BOTH, PC_METRIC, 0.5).s, "500 g");
}
END_TEST

START_TEST(temperatures_round_and_never_say_minus_zero) {
    ck_assert_str_eq(pc_say_degrees(PC_US, 273.15 + 18).s, "64 F");
    ck_assert_str_eq(pc_say_degrees(PC_METRIC, 273.15 - 0.2).s, "0 C");
    ck_assert_str_eq(pc_say(PC_SAY_DEGREES_FINE, PC_METRIC, 273.15 + 17.78).s, "17.8 C");
    ck_assert_str_eq(pc_say(PC_SAY_DEGREES_FINE, PC_US, 273.15).s, "32 F");
    ck_assert_str_eq(pc_say(PC_SAY_DEGREES_FINE, PC_METRIC, 273.15 - 0.04).s, "0 C");
    ck_assert_str_eq(pc_say(PC_SAY_DEGREES_STEP, PC_US, 5).s, "9 F");
    ck_assert_str_eq(pc_say(PC_SAY_DEGREES_STEP, PC_METRIC, 1.5).s, "1.5 C");
    ck_assert_str_eq(pc_say(PC_SAY_SCATTER, PC_METRIC, 0.137).s, "0.14 C");
    ck_assert_str_eq(pc_say(PC_SAY_SCATTER, PC_US, 0.1).s, "0.18 F");
}
END_TEST

/* 1 lbf = 4.4482216152605 N, 1 psi = 6894.757 Pa, 1 oz = 28.349523125 g (NIST SP 811, table B.8).
 */
START_TEST(forces_stresses_and_ounces) {
    ck_assert_str_eq(pc_say(PC_SAY_FORCE, PC_METRIC, 50).s, "50 N");
    ck_assert_str_eq(pc_say(PC_SAY_FORCE, PC_US, 44.482216).s, "10.0 lbf");
    ck_assert_str_eq(pc_say(PC_SAY_STRESS, PC_METRIC, 12.34e6).s, "12.3 MPa");
    ck_assert_str_eq(pc_say(PC_SAY_STRESS, PC_US, 6894757.293).s, "1000 psi");
    ck_assert_str_eq(pc_say_ounces(0.0919).s, "3.24 oz");
    ck_assert_str_eq(pc_say_ounces(1).s, "35.3 oz");
    ck_assert_str_eq(pc_say_ounces(NAN).s, "-");
    ck_assert_str_eq(pc_say(PC_SAY_STRESS, PC_US, INFINITY).s, "-");
}
END_TEST

/* Bug 1 of the units: what was done 0.3 s early was "-0 s" off in the bench's report. */
START_TEST(bug_1_no_minus_before_nothing) {
    ck_assert_str_eq(pc_say_duration(-0.3).s, "0 s");
    ck_assert_str_eq(pc_say_duration(-0.5).s, "-1 s");
    ck_assert_str_eq(pc_say(PC_SAY_DURATION_EVEN, PC_METRIC, -0.3).s, "0m00s");
    ck_assert_str_eq(pc_say(PC_SAY_DURATION_EVEN, PC_METRIC, -0.6).s, "-0m01s");
    ck_assert_str_eq(pc_say(PC_SAY_DEGREES_STEP, PC_METRIC, -0.04).s, "0 C");
    ck_assert_str_eq(pc_say(PC_SAY_DEGREES_STEP, PC_METRIC, -0.6).s, "-0.6 C");
}
END_TEST

/* Bug 2 of the words: inches beyond what a long holds were split into whole and parts as one. */
START_TEST(bug_2_inches_without_end_have_no_fraction) {
    ck_assert_str_eq(pc_say(PC_SAY_LENGTH, PC_US, 0.0254e9).s, "1000000000.00 in");
    ck_assert_ptr_null(strchr(pc_say(PC_SAY_LENGTH, PC_US, 1e300).s, '/'));
}
END_TEST

START_TEST(times_carry_over_to_minutes_hours_and_days) {
    ck_assert_str_eq(pc_say_duration(59.4).s, "59 s");
    ck_assert_str_eq(pc_say_duration(59.6).s, "1 min");
    ck_assert_str_eq(pc_say_duration(200).s, "3m20s");
    ck_assert_str_eq(pc_say_duration(3599.6).s, "1 h");
    ck_assert_str_eq(pc_say_duration(5100).s, "1h25m");
    ck_assert_str_eq(pc_say_duration(-90).s, "-1m30s");
    ck_assert_str_eq(pc_say(PC_SAY_DURATION_EVEN, PC_METRIC, 45).s, "0m45s");
    ck_assert_str_eq(pc_say(PC_SAY_DURATION_EVEN, PC_METRIC, 3600).s, "1h00m");
    ck_assert_str_eq(pc_say_clock(9 * 3600, 250, PC_CLOCK_NEAREST).s, "09:04:10");
    ck_assert_str_eq(pc_say_clock(9 * 3600, 0.6, PC_CLOCK_NEAREST).s, "09:00:01");
    ck_assert_str_eq(pc_say_clock(23 * 3600, 3600, PC_CLOCK_NEAREST).s, "+1d 00:00:00");
    ck_assert_str_eq(pc_say_clock(23 * 3600, 3599.6, PC_CLOCK_NEAREST).s, "+1d 00:00:00");
    ck_assert_str_eq(pc_say_clock(60, -120, PC_CLOCK_NEAREST).s, "-1d 23:59:00");
}
END_TEST

START_TEST(areas_and_volumes_show_three_figures) {
    ck_assert_str_eq(pc_say(PC_SAY_AREA, PC_US, 210 * IN * IN).s, "210 sq in");
    ck_assert_str_eq(pc_say(PC_SAY_AREA, PC_METRIC, 0.1355).s, "1355 cm2");
    ck_assert_str_eq(pc_say_volume(PC_METRIC, 420e-6).s, "420 ml");
    ck_assert_str_eq(pc_say_volume(PC_US, 29.5735295625e-6).s, "1.0 fl oz");
}
END_TEST

/* Unknown is a dash, never "nan" on a sheet. */
START_TEST(what_is_not_known_is_a_dash) {
    static const double bad[] = {NAN, INFINITY, -INFINITY};
    for (size_t i = 0; i < 3; i++)
        for (int u = PC_METRIC; u <= PC_US; u++) {
            pc_units units = (pc_units)u;
            ck_assert_str_eq(pc_say_length(units, bad[i]).s, "-");
            ck_assert_str_eq(pc_say_thickness(units, bad[i]).s, "-");
            ck_assert_str_eq(pc_say(PC_SAY_AREA, units, bad[i]).s, "-");
            ck_assert_str_eq(pc_say_volume(units, bad[i]).s, "-");
            ck_assert_str_eq(pc_say_mass(bad[i]).s, "-");
            ck_assert_str_eq(pc_say(PC_SAY_MASS_BOTH, units, bad[i]).s, "-");
            ck_assert_str_eq(pc_say_degrees(units, bad[i]).s, "-");
            ck_assert_str_eq(pc_say(PC_SAY_DEGREES_FINE, units, bad[i]).s, "-");
            ck_assert_str_eq(pc_say(PC_SAY_DEGREES_STEP, units, bad[i]).s, "-");
            ck_assert_str_eq(pc_say(PC_SAY_SCATTER, units, bad[i]).s, "-");
            ck_assert_str_eq(pc_say_duration(bad[i]).s, "-");
            ck_assert_str_eq(pc_say(PC_SAY_DURATION_EVEN, PC_METRIC, bad[i]).s, "-");
            ck_assert_str_eq(pc_say_clock(0, bad[i], PC_CLOCK_NEAREST).s, "-");
        }
}
END_TEST

int main(void) {
    Suite *suite = suite_create("units");
    TCase *tcase = tcase_create("units");
    tcase_add_test(tcase, a_wall_in_inches_is_a_fraction_where_one_is_near);
    tcase_add_test(tcase, a_scale_shows_what_a_scale_can);
    tcase_add_test(tcase, temperatures_round_and_never_say_minus_zero);
    tcase_add_test(tcase, forces_stresses_and_ounces);
    tcase_add_test(tcase, bug_1_no_minus_before_nothing);
    tcase_add_test(tcase, bug_2_inches_without_end_have_no_fraction);
    tcase_add_test(tcase, times_carry_over_to_minutes_hours_and_days);
    tcase_add_test(tcase, areas_and_volumes_show_three_figures);
    tcase_add_test(tcase, what_is_not_known_is_a_dash);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
