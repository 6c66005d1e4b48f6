/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Air, limits and cautions, against published figures and hand-filled plans. */
#include "published.h"

#include <stdio.h>
#include <string.h>

#include "fake_plan.h"
#include "pourclock/quantity.h"
#include "pourclock/safety.h"
#include "pourclock/warm.h"
#include "safety/air_sums.h"

#define CFM 2118.880003

static double value_of(const char *what, const double *x) {
    if (!strcmp(what, "dilution"))
        return 60e3 * pci_dilution_air(pci_vapor_volume(x[0] / 3600, x[1] * 1e-3, x[2]),
                                       x[3] * 1e-6, x[4]);
    if (!strcmp(what, "dilution_cfm"))
        return CFM * pci_dilution_air(pci_vapor_volume(x[0] / 3600, x[1] * 1e-3, x[2]), x[3] * 1e-6,
                                      x[4]);
    if (!strcmp(what, "purge_us"))
        return pci_purge_time(x[0] * 1e-6, x[1] * 1e-6, x[2] * 0.028316846592, x[3] / CFM, x[4]) /
               60;
    if (!strcmp(what, "styrene_lost"))
        return 100 * pci_styrene_lost(x[0] / 100) / (x[0] / 100);
    if (!strcmp(what, "molar_volume"))
        return 1000 * pci_vapor_volume(x[0], x[1], x[2]);
    return NAN;
}

START_TEST(published_air_figures_are_met) {
    ck_assert_int_eq(check_published_table(TEST_SRCDIR "/tests/published/dilution.txt", value_of),
                     5);
}
END_TEST

static double limit_in(const pc_exposure *row, const char *which, const char *unit) {
    bool by_mass = !strcmp(unit, "mg/m3");
    if (!strcmp(which, "niosh"))
        return 1e6 * (by_mass ? row->niosh_kg_m3 : row->niosh_fraction);
    if (!strcmp(which, "niosh-ceiling"))
        return 1e6 * (by_mass ? row->niosh_ceiling_kg_m3 : row->niosh_ceiling_fraction);
    if (!strcmp(which, "osha"))
        return 1e6 * row->osha_fraction;
    if (!strcmp(which, "osha-ceiling"))
        return 1e6 * row->osha_ceiling_fraction;
    return NAN;
}

START_TEST(published_limits_are_in_the_table) {
    FILE *file = fopen(TEST_SRCDIR "/tests/published/limits.txt", "r");
    ck_assert_ptr_nonnull(file);
    char line[256], name[64], which[32], unit[16];
    double expected;
    int rows = 0;
    while (fgets(line, sizeof line, file)) {
        if (line[0] == '#')
            continue;
        ck_assert_int_eq(
            sscanf(line, "%63[^|] | %31[^| ] | %lf | %15[^| ]", name, which, &expected, unit), 4);
        name[strlen(name) - 1] = '\0'; /* the blank in front of the bar */
        const pc_exposure *row = pci_exposure_find(name);
        ck_assert_msg(row != NULL, "%s is not in the table", name);
        assert_close(limit_in(row, which, unit), expected, 1e-9);
        rows++;
    }
    fclose(file);
    ck_assert_int_eq(rows, 14);
    ck_assert_ptr_nonnull(strstr(pc_exposure_edition(), "2007"));
}
END_TEST

/* The guide states some limits both ways: the two must agree within its rounding. */
START_TEST(limits_by_volume_and_mass_agree) {
    const pc_exposure *row;
    size_t rows = 0;
    for (; (row = pc_exposure_at(rows)); rows++) {
        double f = pci_limit_fraction(row->niosh_kg_m3, row->molar_mass_kg_mol, 298.15);
        if (row->niosh_fraction > 0)
            assert_close(f, row->niosh_fraction, 0.06);
        double m = pci_limit_mass(row->niosh_ceiling_fraction, row->molar_mass_kg_mol, 298.15);
        if (row->niosh_ceiling_fraction > 0)
            assert_close(m, row->niosh_ceiling_kg_m3, 0.06);
    }
    ck_assert_uint_ge(rows, 7);
    ck_assert_ptr_null(pci_exposure_find("unobtainium"));
    ck_assert_ptr_null(pci_exposure_find(NULL));
}
END_TEST

START_TEST(build_up_meets_its_limits) {
    double steady = pci_build_up(1e-6, 50, 0.05, 5, 1e9);
    assert_close(steady, 1e-6 / (0.05 / 5), 1e-9);
    assert_close(pci_build_up(1e-6, 50, 0, 5, 600), 1e-6 * 600 / 50, 1e-12);
    /* Air set for a limit holds it for ever. */
    double air = pci_dilution_air(2e-6, 50e-6, 5);
    assert_close(pci_build_up(2e-6, 30, air, 5, 1e9), 50e-6, 1e-9);
    /* Half of it: ln 2 air changes. */
    double t = pci_purge_time(40e-6, 20e-6, 50, 0.05, 1);
    assert_close(t, 1000 * log(2), 1e-12);
}
END_TEST

START_TEST(nan_and_range_are_refused) {
    double nan = NAN;
    ck_assert(isnan(pci_vapor_volume(nan, 0.1, 293)));
    ck_assert(isnan(pci_vapor_volume(1, nan, 293)));
    ck_assert(isnan(pci_vapor_volume(1, 0.1, nan)));
    ck_assert(isnan(pci_vapor_volume(-1, 0.1, 293)));
    ck_assert(isnan(pci_limit_fraction(nan, 0.1, 293)));
    ck_assert(isnan(pci_limit_mass(nan, 0.1, 293)));
    ck_assert(isnan(pci_limit_mass(2, 0.1, 293)));
    ck_assert(isnan(pci_dilution_air(nan, 1e-6, 5)));
    ck_assert(isnan(pci_dilution_air(1e-6, nan, 5)));
    ck_assert(isnan(pci_dilution_air(1e-6, 1e-6, nan)));
    ck_assert(isnan(pci_dilution_air(1e-6, 1e-6, 0.5)));
    ck_assert(isnan(pci_dilution_air(1e-6, 0, 5)));
    ck_assert(isnan(pci_build_up(nan, 50, 1, 5, 60)));
    ck_assert(isnan(pci_build_up(1e-6, nan, 1, 5, 60)));
    ck_assert(isnan(pci_build_up(1e-6, 50, nan, 5, 60)));
    ck_assert(isnan(pci_build_up(1e-6, 50, 1, nan, 60)));
    ck_assert(isnan(pci_build_up(1e-6, 50, 1, 5, nan)));
    ck_assert(isnan(pci_purge_time(nan, 1e-6, 50, 1, 5)));
    ck_assert(isnan(pci_purge_time(1e-6, nan, 50, 1, 5)));
    ck_assert(isnan(pci_purge_time(1e-6, 2e-6, 50, 1, 5)));
    ck_assert(isnan(pci_purge_time(2e-6, 1e-6, 50, 0, 5)));
    ck_assert(isnan(pci_styrene_lost(nan)));
    ck_assert(isnan(pci_styrene_lost(0.6)));
}
END_TEST

START_TEST(ventilation_of_polyester) {
    pc_piece piece;
    pc_schedule schedule;
    pc_ventilation vent;
    fake_plan(PC_POLYESTER, 3, 0.2, &piece, &schedule);
    assert_ok(pc_ventilation_of(&piece, &schedule, &vent));
    ck_assert_int_eq(vent.answer, PC_AIR_DILUTION);
    double lost = pci_styrene_lost(0.40);
    assert_close(vent.vapor_kg, 0.6 * lost, 1e-12);
    assert_close(vent.rate_kg_s, 0.2 * lost / 900, 1e-12);
    assert_close(vent.limit_fraction, 50e-6, 1e-9);
    ck_assert(isnan(vent.still_fraction));
    ck_assert(isnan(vent.reached_fraction));
    piece.shop.room_m3 = 60;
    piece.shop.ventilation_m3_s = vent.air_m3_s;
    assert_ok(pc_ventilation_of(&piece, &schedule, &vent));
    ck_assert(vent.reached_fraction > 0 && vent.reached_fraction < 50e-6);
    ck_assert(vent.still_fraction > vent.reached_fraction);
    /* A file may tighten the limit of the guide and not loosen it. */
    piece.resin.gives_off.limit_fraction = 20e-6;
    assert_ok(pc_ventilation_of(&piece, &schedule, &vent));
    assert_close(vent.limit_fraction, 20e-6, 1e-9);
    piece.resin.gives_off.limit_fraction = 500e-6;
    assert_ok(pc_ventilation_of(&piece, &schedule, &vent));
    assert_close(vent.limit_fraction, 50e-6, 1e-9);
}
END_TEST

START_TEST(formula_is_refused_where_it_does_not_apply) {
    pc_piece piece;
    pc_schedule schedule;
    pc_ventilation vent;
    fake_plan(PC_URETHANE, 2, 0.2, &piece, &schedule);
    assert_ok(pc_ventilation_of(&piece, &schedule, &vent));
    ck_assert_int_eq(vent.answer, PC_AIR_LOCAL_EXHAUST);
    ck_assert(isnan(vent.air_m3_s));
    ck_assert_ptr_nonnull(strstr(vent.why, "sensitiser"));
    fake_plan(PC_EPOXY, 2, 0.2, &piece, &schedule);
    assert_ok(pc_ventilation_of(&piece, &schedule, &vent));
    ck_assert_int_eq(vent.answer, PC_AIR_UNKNOWN);
    piece.resin.gives_off = (pc_volatile){"diethylenetriamine", 0.1, 0.01, NAN, NAN, 0.1032};
    assert_ok(pc_ventilation_of(&piece, &schedule, &vent));
    ck_assert_int_eq(vent.answer, PC_AIR_DILUTION);
    assert_close(vent.limit_fraction, 1e-6, 1e-9);
    schedule.part[0].layer[0].gel_s = schedule.part[0].layer[1].gel_s = NAN;
    assert_ok(pc_ventilation_of(&piece, &schedule, &vent));
    ck_assert_int_eq(vent.answer, PC_AIR_UNKNOWN);
    assert_status(pc_ventilation_of(NULL, &schedule, &vent), PC_E_ARGUMENT);
}
END_TEST

START_TEST(standing_is_the_cup_of_this_very_batch) {
    pc_piece piece;
    pc_schedule schedule;
    pc_standing standing;
    fake_plan(PC_URETHANE, 3, 0.2, &piece, &schedule);
    schedule.part[0].layer[1].batch_kg = 0.9;
    schedule.part[0].layer[1].cups = 3;
    assert_ok(pc_standing_of(&piece, &schedule, &standing));
    assert_close(standing.batch_kg, 0.3, 1e-12); /* one cup of three */
    assert_close(standing.leftover_kg, 0.03 * 1.3, 1e-12);
    pc_cup_events events;
    assert_ok(pc_cup_run(&piece.resin, 0.3, 293.15, 293.15, &events));
    assert_near(standing.batch_peak_K, events.peak_K, 1e-9);
    ck_assert(standing.adiabatic_K > standing.batch_peak_K);
    ck_assert(standing.batch_peak_K > standing.leftover_peak_K);
    schedule.part[0].layer_count = 0;
    assert_ok(pc_standing_of(&piece, &schedule, &standing));
    ck_assert(isnan(standing.batch_peak_K));
}
END_TEST

static const char *text_of(const pc_cautions *list, const char *code) {
    for (size_t i = 0; i < list->count; i++)
        if (!strcmp(list->item[i].code, code))
            return list->item[i].text;
    return "";
}

START_TEST(cautions_speak_of_this_batch) {
    pc_piece piece;
    pc_schedule schedule;
    pc_cautions list;
    pc_standing standing;
    char figure[32];
    fake_plan(PC_POLYESTER, 3, 0.25, &piece, &schedule);
    assert_ok(pc_cautions_make(&piece, &schedule, PC_METRIC, &list));
    assert_ok(pc_standing_of(&piece, &schedule, &standing));
    snprintf(figure, sizeof figure, "%.0f C", standing.batch_peak_K - 273.15);
    ck_assert_ptr_nonnull(strstr(text_of(&list, "exotherm"), figure));
    ck_assert_ptr_nonnull(strstr(text_of(&list, "exotherm"), "250 g"));
    ck_assert_ptr_nonnull(strstr(text_of(&list, "fire"), "heat gun"));
    ck_assert_ptr_nonnull(strstr(text_of(&list, "machine"), "11.5 rpm"));
    ck_assert_ptr_nonnull(strstr(text_of(&list, "air"), "upper bound"));
    ck_assert_str_eq(list.item[list.count - 1].code, "deferral");
    pc_cautions_free(&list);
    pc_cautions_free(&list);
    ck_assert_uint_eq(list.count, 0);

    fake_plan(PC_URETHANE, 3, 0.25, &piece, &schedule);
    piece.turning.method = PC_HAND;
    schedule.part[0].layer[2].peak_K = 353.15;
    assert_ok(pc_cautions_make(&piece, &schedule, PC_US, &list));
    ck_assert_ptr_nonnull(strstr(text_of(&list, "respirator"), "Supplied air"));
    ck_assert_str_eq(text_of(&list, "fire"), "");
    ck_assert_str_eq(text_of(&list, "machine"), "");
    ck_assert_ptr_nonnull(strstr(text_of(&list, "lifting"), "750 g"));
    ck_assert_ptr_nonnull(strstr(text_of(&list, "hot-mold"), "176 F"));
    for (size_t i = 0; i < list.count; i++) /* none is cut short */
        ck_assert_uint_lt(strlen(list.item[i].text), sizeof list.item[i].text - 1);
    pc_cautions_free(&list);
    assert_status(pc_cautions_make(NULL, &schedule, PC_US, &list), PC_E_ARGUMENT);
    assert_status(pc_cautions_make(&piece, &schedule, PC_US, NULL), PC_E_ARGUMENT);
}
END_TEST

/* What the cautions say of an epoxy, a still room, US units, a batch that is merely warm. */
START_TEST(cautions_follow_resin_room_and_units) {
    pc_piece piece;
    pc_schedule schedule;
    pc_cautions list;
    fake_plan(PC_EPOXY, 2, 0.2, &piece, &schedule);
    piece.resin.gives_off = (pc_volatile){"diethylenetriamine", 0.1, 0.01, NAN, NAN, 0.1032};
    piece.shop.room_m3 = 200.0;
    assert_ok(pc_cautions_make(&piece, &schedule, PC_US, &list));
    ck_assert_ptr_nonnull(strstr(text_of(&list, "respirator"), "amine hardeners"));
    ck_assert_ptr_nonnull(strstr(text_of(&list, "skin"), "Epoxy sensitises"));
    ck_assert_ptr_nonnull(strstr(text_of(&list, "air"), " cfm of fresh air"));
    ck_assert_ptr_nonnull(strstr(text_of(&list, "air"), "In the room stated with no air moving"));
    ck_assert_ptr_nonnull(strstr(text_of(&list, "exotherm"), " F after about "));
    pc_cautions_free(&list);
    /* Hardly any heat: it takes hours to its peak, and is no more than warm. */
    piece.resin.cure.heat_J_kg = 20e3;
    piece.resin.cure.A1_per_s *= 0.02;
    piece.resin.cure.A2_per_s *= 0.02;
    assert_ok(pc_cautions_make(&piece, &schedule, PC_METRIC, &list));
    ck_assert_ptr_nonnull(strstr(text_of(&list, "exotherm"), "do not hold it in the hand"));
    ck_assert_ptr_nonnull(strstr(text_of(&list, "exotherm"), " h (no heat lost at all"));
    pc_cautions_free(&list);
    /* Hot enough to burn, not to smoke: 60 to 100 C. */
    fake_plan(PC_URETHANE, 1, 0.5, &piece, &schedule);
    piece.resin.cure.heat_J_kg = 150e3;
    assert_ok(pc_cautions_make(&piece, &schedule, PC_METRIC, &list));
    ck_assert_ptr_nonnull(strstr(text_of(&list, "exotherm"), "burn skin and soften a cup"));
    pc_cautions_free(&list);
    /* What cannot be run in a cup gives no cautions, and says so. */
    schedule.resin_K = NAN;
    assert_status(pc_cautions_make(&piece, &schedule, PC_METRIC, &list), PC_E_ARGUMENT);
    ck_assert_uint_eq(list.count, 0);
    pc_cautions_free(&list);
}
END_TEST

START_TEST(room_above_the_limit_is_shouted) {
    pc_piece piece;
    pc_schedule schedule;
    pc_cautions list;
    fake_plan(PC_POLYESTER, 3, 2.0, &piece, &schedule);
    piece.shop.room_m3 = 20;
    piece.shop.ventilation_m3_s = 0.001;
    assert_ok(pc_cautions_make(&piece, &schedule, PC_METRIC, &list));
    ck_assert_ptr_nonnull(strstr(text_of(&list, "air"), "ABOVE THE LIMIT"));
    pc_cautions_free(&list);
}
END_TEST

/* Bug 1 of the cautions: the schedule said to warm with caps loosened, while its own remedy for
 * cold resin and `warm` say shut: water in the bath spoils a urethane. */
START_TEST(bug_1_containers_are_warmed_shut) {
    pc_piece piece;
    pc_schedule schedule;
    pc_cautions list;
    const char *const *warm;
    fake_plan(PC_URETHANE, 3, 0.25, &piece, &schedule);
    assert_ok(pc_cautions_make(&piece, &schedule, PC_METRIC, &list));
    ck_assert_ptr_nonnull(strstr(text_of(&list, "heat"), "shut"));
    ck_assert_ptr_null(strstr(text_of(&list, "heat"), "loosened"));
    pc_cautions_free(&list);
    size_t count = pc_warm_cautions(&piece, &warm), shut = 0;
    for (size_t i = 0; i < count; i++) {
        shut += strstr(warm[i], "in their shut cans") != NULL;
        ck_assert_ptr_null(strstr(warm[i], "loosened"));
    }
    ck_assert_uint_eq(shut, 1);
}
END_TEST

/* Bug 1 of the air: a limit by mass was divided by the volume of one kg, which is 0 near absolute
 * zero. */
START_TEST(bug_1_limit_of_a_cold_vapor) {
    ck_assert(isinf(pci_limit_mass(50e-6, 0.104, 1e-320)));
    assert_close(pci_limit_mass(50e-6, 0.10415, 298.15), 213e-6, 0.0025);
    ck_assert(isnan(pci_limit_mass(50e-6, 0, 298)));
}
END_TEST

/* Bug 2 of the air: of a substance that the guide gives a ceiling alone, a file could state a limit
 * 500 times as high (methyl ethyl ketone peroxide: NIOSH ceiling 0.2 ppm, in the table). */
START_TEST(bug_2_a_ceiling_is_a_limit_too) {
    pc_piece piece;
    pc_schedule schedule;
    pc_ventilation vent;
    fake_plan(PC_EPOXY, 2, 0.2, &piece, &schedule);
    piece.resin.gives_off =
        (pc_volatile){"methyl ethyl ketone peroxide", 0.02, 0.1, 100e-6, NAN, NAN};
    assert_ok(pc_ventilation_of(&piece, &schedule, &vent));
    ck_assert_int_eq(vent.answer, PC_AIR_DILUTION);
    assert_close(vent.limit_fraction, 0.2e-6, 1e-9);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("safety");
    TCase *tc = tcase_create("safety");
    tcase_add_test(tc, published_air_figures_are_met);
    tcase_add_test(tc, published_limits_are_in_the_table);
    tcase_add_test(tc, limits_by_volume_and_mass_agree);
    tcase_add_test(tc, build_up_meets_its_limits);
    tcase_add_test(tc, nan_and_range_are_refused);
    tcase_add_test(tc, ventilation_of_polyester);
    tcase_add_test(tc, formula_is_refused_where_it_does_not_apply);
    tcase_add_test(tc, standing_is_the_cup_of_this_very_batch);
    tcase_add_test(tc, cautions_speak_of_this_batch);
    tcase_add_test(tc, cautions_follow_resin_room_and_units);
    tcase_add_test(tc, room_above_the_limit_is_shouted);
    tcase_add_test(tc, bug_1_containers_are_warmed_shut);
    tcase_add_test(tc, bug_1_limit_of_a_cold_vapor);
    tcase_add_test(tc, bug_2_a_ceiling_is_a_limit_too);
    suite_add_tcase(suite, tc);
    return run_suite(suite);
}
