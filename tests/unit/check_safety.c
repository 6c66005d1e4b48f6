/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Air, limits and cautions, against published figures and hand-filled plans. */
#include "published.h"

#include <stdio.h>
#include <string.h>

#include "fake_plan.h"
#include "pourclock/quantity.h"
#include "pourclock/safety.h"
#include "pourclock/warm.h"
#include "resin/cup.h"
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

/* A figure of a row by its names in the file; NaN where there is none of that name. */
static double limit_in(const pc_exposure *row, const char *which, const char *unit) {
    const struct {
        const char *which, *unit;
        double limit;
    } known[] = {{"niosh", "ppm", row->niosh_fraction},
                 {"niosh", "mg/m3", row->niosh_kg_m3},
                 {"niosh-short", "ppm", row->niosh_short_fraction},
                 {"niosh-ceiling", "ppm", row->niosh_ceiling_fraction},
                 {"niosh-ceiling", "mg/m3", row->niosh_ceiling_kg_m3},
                 {"osha", "ppm", row->osha_fraction},
                 {"osha-ceiling", "ppm", row->osha_ceiling_fraction},
                 {"osha-peak", "ppm", row->osha_peak_fraction},
                 {"idlh", "ppm", row->idlh_fraction},
                 {"idlh", "mg/m3", row->idlh_kg_m3}};
    double found = NAN;
    int stated = 0;
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
        stated += isfinite(known[i].limit);
        if (which && !strcmp(which, known[i].which) && !strcmp(unit, known[i].unit))
            found = 1e6 * known[i].limit;
    }
    return which ? found : stated;
}

START_TEST(published_limits_are_in_the_table) {
    FILE *file = fopen(TEST_SRCDIR "/tests/published/limits.txt", "r");
    ck_assert_ptr_nonnull(file);
    char line[256], name[64], which[32], unit[16], mark[16], source[160];
    double expected;
    int rows = 0, stated = 0;
    while (fgets(line, sizeof line, file)) {
        if (line[0] == '#')
            continue;
        ck_assert_int_eq(sscanf(line, "%63[^|] | %31[^| ] | %lf | %15[^| ] | %15[^| ] | %159[^\n]",
                                name, which, &expected, unit, mark, source),
                         6);
        name[strlen(name) - 1] = '\0'; /* the blank in front of the bar */
        const pc_exposure *row = pci_exposure_find(name);
        ck_assert_msg(row != NULL, "%s is not in the table", name);
        assert_close(limit_in(row, which, unit), expected, 1e-9);
        if (!strcmp(mark, "source")) /* the table names the same page and date */
            ck_assert_msg(strstr(source, row->source) && strstr(source, row->date), "%s", line);
        rows++;
    }
    fclose(file);
    for (size_t i = 0; pci_exposure_at(i); i++)
        stated += (int)limit_in(pci_exposure_at(i), NULL, NULL);
    ck_assert_int_eq(rows, stated); /* nothing unread in the table */
}
END_TEST

START_TEST(limits_of_the_resin_at_hand_alone) {
    pc_resin resin;
    const pc_exposure *row[8];
    char text[400];
    assert_ok(pc_resin_defaults(PC_POLYESTER, &resin));
    ck_assert_uint_eq(pci_exposure_of(&resin, row, 8), 3);
    ck_assert_str_eq(row[0]->substance, "styrene");
    ck_assert_str_eq(row[1]->substance, "methyl ethyl ketone peroxide");
    ck_assert_str_eq(row[2]->substance, "acetone");
    ck_assert_uint_eq(pci_exposure_of(&resin, row, 2), 2);
    assert_ok(pc_resin_defaults(PC_URETHANE, &resin)); /* which diisocyanate is not said */
    ck_assert_uint_eq(pci_exposure_of(&resin, row, 8), 3);
    ck_assert_str_eq(row[0]->substance, "MDI");
    strcpy(resin.gives_off.name, "HDI");
    ck_assert_uint_eq(pci_exposure_of(&resin, row, 8), 1);
    ck_assert_str_eq(row[0]->substance, "HDI");
    assert_ok(pc_resin_defaults(PC_EPOXY, &resin));
    ck_assert_uint_eq(pci_exposure_of(&resin, row, 8), 1);
    pci_exposure_text(row[0], text, sizeof text);
    ck_assert_str_eq(text, "diethylenetriamine: NIOSH 1 ppm (4 mg/m3); enters through the skin "
                           "[NIOSH Manual of Analytical Methods, method 2540, August 1994]");
    ck_assert_uint_eq(pci_exposure_text(row[0], NULL, 0), strlen(text));
    pci_exposure_text(pci_exposure_find("TDI"), text, sizeof text);
    ck_assert_str_eq(text, "TDI: NIOSH potential occupational carcinogen; OSHA ceiling 0.02 ppm; "
                           "immediately dangerous 2.5 ppm [NIOSH IDLH page, May 1994]");
    ck_assert_uint_eq(pci_exposure_of(NULL, row, 8), 0);
    ck_assert_uint_eq(pci_exposure_text(NULL, text, sizeof text), 0);
}
END_TEST

/* The guide states some limits both ways: the two must agree within its rounding. */
START_TEST(limits_by_volume_and_mass_agree) {
    const pc_exposure *row;
    size_t rows = 0;
    for (; (row = pci_exposure_at(rows)); rows++) {
        double f = pci_limit_fraction(row->niosh_kg_m3, row->molar_mass_kg_mol, 298.15);
        if (row->niosh_fraction > 0)
            assert_close(f, row->niosh_fraction, 0.06);
        f = pci_limit_fraction(row->niosh_ceiling_kg_m3, row->molar_mass_kg_mol, 298.15);
        if (row->niosh_ceiling_fraction > 0)
            assert_close(f, row->niosh_ceiling_fraction, 0.06);
    }
    ck_assert_uint_ge(rows, 7);
    ck_assert_ptr_null(pci_exposure_find("unobtainium"));
    ck_assert_ptr_null(pci_exposure_find(NULL));
}
END_TEST

/* One steady source for a while. */
static double build_up(double vapor_m3_s, double room_m3, double air_m3_s, double mixing,
                       double time_s) {
    pc_air_batch batch = {0, 1, 0, time_s, vapor_m3_s * time_s};
    double highest;
    assert_ok(pci_room_highest(&batch, 1, 1, room_m3, air_m3_s, mixing, &highest, NULL));
    return highest;
}

START_TEST(build_up_meets_its_limits) {
    double steady = build_up(1e-6, 50, 0.05, 5, 1e9);
    assert_close(steady, 1e-6 / (0.05 / 5), 1e-9);
    assert_close(build_up(1e-6, 50, 0, 5, 600), 1e-6 * 600 / 50, 1e-12);
    /* Air set for a limit holds it for ever. */
    double air = pci_dilution_air(2e-6, 50e-6, 5);
    assert_close(build_up(2e-6, 30, air, 5, 1e9), 50e-6, 1e-9);
    /* Half of it: ln 2 air changes. */
    double t = pci_purge_time(40e-6, 20e-6, 50, 0.05, 1);
    assert_close(t, 1000 * log(2), 1e-12);
    assert_close(pci_purge_time(40e-6, 20e-6, 50, 0.05, 4), 4 * t, 1e-12);
}
END_TEST

START_TEST(nan_and_range_are_refused) {
    double nan = NAN;
    ck_assert(isnan(pci_vapor_volume(nan, 0.1, 293)));
    ck_assert(isnan(pci_vapor_volume(1, nan, 293)));
    ck_assert(isnan(pci_vapor_volume(1, 0.1, nan)));
    ck_assert(isnan(pci_vapor_volume(-1, 0.1, 293)));
    ck_assert(isnan(pci_limit_fraction(nan, 0.1, 293)));
    ck_assert(isnan(pci_dilution_air(nan, 1e-6, 5)));
    ck_assert(isnan(pci_dilution_air(1e-6, nan, 5)));
    ck_assert(isnan(pci_dilution_air(1e-6, 1e-6, nan)));
    ck_assert(isnan(pci_dilution_air(1e-6, 1e-6, 0.5)));
    ck_assert(isnan(pci_dilution_air(1e-6, 0, 5)));
    ck_assert(isnan(pci_purge_time(nan, 1e-6, 50, 1, 5)));
    ck_assert(isnan(pci_purge_time(1e-6, nan, 50, 1, 5)));
    ck_assert(isnan(pci_purge_time(1e-6, 2e-6, 50, 1, 5)));
    ck_assert(isnan(pci_purge_time(2e-6, 1e-6, 50, 0, 5)));
    ck_assert(isnan(pci_styrene_lost(nan)));
    ck_assert(isnan(pci_styrene_lost(1.1)));
    ck_assert(pci_styrene_lost(1) < 1);
    ck_assert(pci_has_styrene(NULL) == false);
}
END_TEST

/* The worked example of two equal batches an hour apart: each leaves C1 = (G/Q')(1 - exp(-k t)),
 * and the second adds to what the first has left, so the highest is C1 (1 + exp(-k 1 h)). */
START_TEST(two_equal_batches_add_by_the_closed_form) {
    const double V = 60, Q = 100.0 / 3600, K = 5, m3_per_kg = 0.2309, kg = 0.02, t = 1200;
    pc_air_batch batch[] = {{0, 1, 0, t, kg}, {0, 2, 3600, 3600 + t, kg}};
    double k = Q / K / V, C1 = kg / t * m3_per_kg / (Q / K) * (1 - exp(-k * t)), highest, at_s;
    assert_ok(pci_room_highest(batch, 2, m3_per_kg, V, Q, K, &highest, &at_s));
    assert_close(highest, C1 * (1 + exp(-k * 3600)), 1e-12);
    assert_near(at_s, 3600 + t, 1e-9);
    assert_close(highest, 125.04e-6, 1e-4); /* in figures */
    /* One alone; and the order of the list does not matter. */
    assert_ok(pci_room_highest(batch, 1, m3_per_kg, V, Q, K, &highest, &at_s));
    assert_close(highest, C1, 1e-12);
    assert_close(highest, build_up(kg / t * m3_per_kg, V, Q, K, t), 1e-12);
    pc_air_batch swapped[] = {batch[1], batch[0]};
    assert_ok(pci_room_highest(swapped, 2, m3_per_kg, V, Q, K, &highest, NULL));
    assert_close(highest, C1 * (1 + exp(-k * 3600)), 1e-12);
    /* No air moves: all of it stays. */
    assert_ok(pci_room_highest(batch, 2, m3_per_kg, V, 0, K, &highest, &at_s));
    assert_close(highest, 2 * kg * m3_per_kg / V, 1e-12);
}
END_TEST

/* Unequal batches that overlap, against the equation stepped finely by its own midpoint rule. */
START_TEST(unequal_batches_follow_the_mass_balance) {
    const double V = 35, Q = 0.05, K = 4, m3_per_kg = 0.23;
    const pc_air_batch batch[] = {{0, 1, 0, 900, 0.012},
                                  {0, 2, 600, 700, 0.009},
                                  {1, 1, 650, 2600, 0.050},
                                  {1, 2, 4000, 4100, 0.001}};
    double C = 0, most = 0, when = 0, highest, at_s, rate, rate_at, step = 0.05;
    for (double s = 0; s < 5000; s += step) {
        double G = 0;
        for (int i = 0; i < 4; i++)
            if (batch[i].from_s <= s && s < batch[i].to_s - 1e-9)
                G += batch[i].vapor_kg / (batch[i].to_s - batch[i].from_s) * m3_per_kg;
        double middle = C + step / 2 * (G - Q / K * C) / V;
        C += step * (G - Q / K * middle) / V;
        if (C > most) {
            most = C;
            when = s + step;
        }
    }
    assert_ok(pci_room_highest(batch, 4, m3_per_kg, V, Q, K, &highest, &at_s));
    assert_close(highest, most, 5e-5);
    assert_near(at_s, when, 0.2);
    assert_ok(pci_air_rate(batch, 4, &rate, &rate_at));
    assert_close(rate, 0.012 / 900 + 0.009 / 100 + 0.050 / 1950, 1e-12);
    assert_near(rate_at, 650, 1e-9);
}
END_TEST

START_TEST(room_refuses_nan_and_nonsense) {
    pc_air_batch good = {0, 1, 0, 100, 0.01}, bad[] = {good, good, good, good, good};
    double highest = 7, at_s = 7;
    bad[0].from_s = NAN;
    bad[1].to_s = NAN;
    bad[2].vapor_kg = NAN;
    bad[3].to_s = 0; /* no time to give it off */
    bad[4].vapor_kg = -1;
    for (int i = 0; i < 5; i++) {
        assert_status(pci_room_highest(&bad[i], 1, 0.2, 50, 1, 5, &highest, &at_s), PC_E_ARGUMENT);
        assert_status(pci_air_rate(&bad[i], 1, &highest, &at_s), PC_E_ARGUMENT);
    }
    assert_status(pci_room_highest(&good, 1, NAN, 50, 1, 5, &highest, &at_s), PC_E_ARGUMENT);
    assert_status(pci_room_highest(&good, 1, 0.2, NAN, 1, 5, &highest, &at_s), PC_E_ARGUMENT);
    assert_status(pci_room_highest(&good, 1, 0.2, 50, NAN, 5, &highest, &at_s), PC_E_ARGUMENT);
    assert_status(pci_room_highest(&good, 1, 0.2, 50, 1, NAN, &highest, &at_s), PC_E_ARGUMENT);
    assert_status(pci_room_highest(&good, 1, 0.2, 50, 1, 0.5, &highest, &at_s), PC_E_ARGUMENT);
    assert_status(pci_room_highest(NULL, 1, 0.2, 50, 1, 5, &highest, &at_s), PC_E_ARGUMENT);
    assert_ok(pci_room_highest(NULL, 0, 0.2, 50, 1, 5, &highest, &at_s));
    ck_assert(highest == 0 && isnan(at_s));
    good.vapor_kg = 1e9; /* no more than all of the air */
    assert_ok(pci_room_highest(&good, 1, 0.2, 50, 0, 5, &highest, NULL));
    assert_near(highest, 1, 0);
}
END_TEST

START_TEST(ventilation_sums_every_batch_of_every_part) {
    pc_piece piece;
    pc_schedule *schedule;
    pc_ventilation vent;
    double lost = pci_styrene_lost(0.40), highest, at_s;
    fake_plan(PC_POLYESTER, 3, 0.2, &piece, &schedule);
    schedule->part_count = 2; /* a plinth poured while the body's second layer gels: 0.3 kg */
    pci_part_copy(schedule->part[0], schedule->part[1]);
    schedule->part[1]->layer_count = 1;
    schedule->part[1]->layer[0]->batch_kg = 0.3;
    schedule->part[1]->layer[0]->mix_s = 1500;
    schedule->part[1]->layer[0]->gel_s = 2500;
    assert_ok(pci_ventilation_of(&piece, schedule, &vent));
    ck_assert_int_eq(vent.answer, PC_AIR_DILUTION);
    ck_assert_uint_eq(vent.batch_count, 4);
    assert_close(vent.vapor_kg, 0.9 * lost, 1e-12);
    assert_close(vent.vapor_most_kg, 0.9 * 0.40, 1e-12); /* all there is */
    assert_close(vent.batch[3].vapor_kg, 0.3 * lost, 1e-12);
    ck_assert_uint_eq(vent.batch[3].part, 1);
    assert_near(vent.batch[1].from_s, 1200, 0);
    assert_near(vent.batch[1].to_s, 2100, 0);
    assert_close(vent.rate_kg_s, lost * (0.2 / 900 + 0.3 / 1000), 1e-12);
    assert_near(vent.rate_from_s, 1500, 0);
    assert_close(vent.limit_fraction, 50e-6, 1e-9);
    assert_close(vent.molar_mass_kg_mol, 0.10415, 1e-3);
    ck_assert(isnan(vent.still_fraction) && isnan(vent.highest_fraction) && !vent.open);
    assert_close(vent.air_m3_s,
                 5 * pci_vapor_volume(vent.rate_kg_s, vent.molar_mass_kg_mol, 293.15) / 50e-6,
                 1e-9);
    piece.shop.room_m3 = 60;
    assert_ok(pci_ventilation_of(&piece, schedule, &vent)); /* no air moves */
    ck_assert(vent.still_fraction > vent.highest_fraction && vent.highest_fraction > 0);
    piece.shop.ventilation_m3_s = NAN; /* not stated */
    assert_ok(pci_ventilation_of(&piece, schedule, &vent));
    ck_assert(vent.still_fraction > 0 && isnan(vent.highest_fraction));
    piece.shop.ventilation_m3_s = vent.air_m3_s;
    piece.turning.method = PC_DRAIN;
    assert_ok(pci_ventilation_of(&piece, schedule, &vent));
    double m3_per_kg = pci_vapor_volume(1, vent.molar_mass_kg_mol, 293.15);
    assert_close(vent.still_fraction, 0.9 * 0.40 * m3_per_kg / 60, 1e-12);
    assert_ok(pci_room_highest(vent.batch, 4, m3_per_kg, 60, vent.air_m3_s, 5, &highest, &at_s));
    assert_close(vent.highest_fraction, highest, 1e-12);
    assert_near(vent.highest_at_s, at_s, 0);
    ck_assert(vent.highest_fraction < 50e-6); /* what it asks for is enough */
    ck_assert(vent.open);
    assert_close(vent.purge_s, pci_purge_time(highest, 5e-6, 60, vent.air_m3_s, 5), 1e-12);
}
END_TEST

/* The larger of the file's share and the published rule; a file's limit may tighten, not loosen. */
START_TEST(no_figure_errs_on_the_wrong_side) {
    pc_piece piece;
    pc_schedule *schedule;
    pc_ventilation vent;
    fake_plan(PC_POLYESTER, 1, 1.0, &piece, &schedule);
    pc_volatile *v = &piece.resin.gives_off;
    v->evaporated_share = 0.01;
    assert_ok(pci_ventilation_of(&piece, schedule, &vent));
    assert_close(vent.vapor_kg, pci_styrene_lost(0.40), 1e-12);
    v->evaporated_share = 0.5;
    assert_ok(pci_ventilation_of(&piece, schedule, &vent));
    assert_close(vent.vapor_kg, 0.40 * 0.5, 1e-12);
    v->evaporated_share = NAN;
    v->share = 0.7; /* above what the rule was made for: no cap lowers it */
    assert_ok(pci_ventilation_of(&piece, schedule, &vent));
    assert_close(vent.vapor_kg, 0.014e-3 * pow(70, 2.275), 1e-12);
    v->limit_fraction = 20e-6;
    assert_ok(pci_ventilation_of(&piece, schedule, &vent));
    assert_close(vent.limit_fraction, 20e-6, 1e-9);
    v->limit_fraction = 500e-6;
    assert_ok(pci_ventilation_of(&piece, schedule, &vent));
    assert_close(vent.limit_fraction, 50e-6, 1e-9);
    v->limit_kg_m3 = 40e-6; /* mg/m3 */
    assert_ok(pci_ventilation_of(&piece, schedule, &vent));
    assert_close(vent.limit_fraction, pci_limit_fraction(40e-6, 0.10415, 293.15), 1e-9);
}
END_TEST

START_TEST(formula_is_refused_where_it_does_not_apply) {
    pc_piece piece;
    pc_schedule *schedule;
    pc_ventilation vent;
    fake_plan(PC_URETHANE, 2, 0.2, &piece, &schedule);
    assert_ok(pci_ventilation_of(&piece, schedule, &vent));
    ck_assert_int_eq(vent.answer, PC_AIR_LOCAL_EXHAUST);
    ck_assert(isnan(vent.air_m3_s) && isnan(vent.vapor_kg) && vent.batch_count == 0);
    ck_assert_ptr_nonnull(strstr(vent.why, "general ventilation is not enough"));
    fake_plan(PC_EPOXY, 2, 0.2, &piece, &schedule);
    assert_ok(pci_ventilation_of(&piece, schedule, &vent));
    ck_assert_int_eq(vent.answer, PC_AIR_UNKNOWN);
    piece.resin.gives_off = (pc_volatile){"diethylenetriamine", 0.1, 0.01, NAN, NAN, NAN};
    assert_ok(pci_ventilation_of(&piece, schedule, &vent));
    ck_assert_int_eq(vent.answer, PC_AIR_DILUTION);
    assert_close(vent.limit_fraction, 1e-6, 1e-9);
    assert_close(vent.molar_mass_kg_mol, 0.1032, 1e-9); /* the table's */
    assert_close(vent.vapor_kg, 0.4 * 0.1 * 0.01, 1e-12);
    schedule->part[0]->layer[1]->gel_s = NAN; /* one that never gels is enough */
    assert_ok(pci_ventilation_of(&piece, schedule, &vent));
    ck_assert_int_eq(vent.answer, PC_AIR_UNKNOWN);
    ck_assert_ptr_nonnull(strstr(vent.why, "does not gel"));
    assert_status(pci_ventilation_of(NULL, schedule, &vent), PC_E_ARGUMENT);
    ck_assert_str_eq(pci_air_answer_word(PC_AIR_DILUTION), "dilution");
    ck_assert_str_eq(pci_air_answer_word(PC_AIR_LOCAL_EXHAUST), "local-exhaust");
    ck_assert_str_eq(pci_air_answer_word(PC_AIR_UNKNOWN), "unknown");
    ck_assert_str_eq(pci_air_answer_word((pc_air_answer)9), "");
}
END_TEST

START_TEST(standing_is_the_cup_of_this_very_batch) {
    pc_piece piece;
    pc_schedule *schedule;
    pc_standing standing;
    fake_plan(PC_URETHANE, 3, 0.2, &piece, &schedule);
    piece.shop.cup_loss = 0.04;
    schedule->part[0]->layer[1]->batch_kg = 0.9;
    schedule->part[0]->layer[1]->cups = 3;
    schedule->part[0]->layer[0]->surplus_kg = 0.15;
    schedule->part[0]->layer[2]->surplus_kg = 0.1;
    schedule->part[0]->layer[1]->surplus_kg = NAN;
    assert_ok(pc_standing_of(&piece, schedule, &standing));
    assert_close(standing.batch_kg, 0.3, 1e-12); /* one cup of three */
    assert_close(standing.leftover_kg, 0.04 * 1.3, 1e-12);
    assert_close(standing.surplus_kg, 0.15, 1e-12); /* each is in a pail of its own */
    pc_cup_events events;
    assert_ok(pci_cup_run(&piece.resin, 0.3, 293.15, 293.15, &events));
    assert_near(standing.batch_peak_K, events.peak_K, 1e-9);
    assert_near(standing.batch_peak_s, events.peak_s, 1e-9);
    assert_ok(pci_cup_run(&piece.resin, 0.15, 293.15, 293.15, &events));
    assert_near(standing.surplus_peak_K, events.peak_K, 1e-9);
    assert_near(standing.surplus_peak_s, events.peak_s, 1e-9);
    assert_ok(pci_cup_run(&piece.resin, 0.052, 293.15, 293.15, &events));
    assert_near(standing.leftover_peak_K, events.peak_K, 1e-9);
    schedule->part[0]->layer_count = 0;
    assert_ok(pc_standing_of(&piece, schedule, &standing));
    ck_assert(isnan(standing.batch_peak_K) && isnan(standing.wall_peak_K));
}
END_TEST

/* No heat lost at all: nothing gets hotter, whatever is warm before: resin, air, mold, or the layer
 * under this one. */
START_TEST(upper_bounds_bound) {
    pc_piece piece;
    pc_schedule *schedule;
    pc_standing standing;
    fake_plan(PC_URETHANE, 2, 0.2, &piece, &schedule);
    double rise_K = piece.resin.cure.heat_J_kg / piece.resin.cure.cp_J_kgK;
    assert_ok(pc_standing_of(&piece, schedule, &standing));
    assert_near(standing.adiabatic_K, 293.15 + rise_K, 1e-9);
    ck_assert(standing.adiabatic_K > standing.batch_peak_K);
    assert_near(standing.wall_peak_K, 313.15, 1e-9);
    assert_near(standing.wall_most_K, 313.15 + rise_K, 1e-9); /* layer 2 on a layer at 40 C */
    schedule->part[0]->layer[0]->peak_late_K = 330.0;
    schedule->part[0]->layer[1]->fill_T_K = 335.0; /* it heats in its cup */
    assert_ok(pc_standing_of(&piece, schedule, &standing));
    assert_near(standing.wall_peak_K, 330.0, 1e-9);
    assert_near(standing.wall_planned_K, 313.15, 1e-9);
    assert_near(standing.wall_most_K, 335.0 + rise_K, 1e-9);
    schedule->mold_K = 340.0;
    schedule->resin_K = 280.0; /* cold resin in a warm shop: the air heats the cup */
    assert_ok(pc_standing_of(&piece, schedule, &standing));
    assert_near(standing.adiabatic_K, 293.15 + rise_K, 1e-9);
    /* As much hotter as layer 1 gets in the worst 5 % of cases. */
    assert_near(standing.wall_most_K, 340.0 + rise_K + (330.0 - 313.15), 1e-9);
    /* A shop that warms up through the day: the cup stands in the warmest batch's air. */
    piece.shop.day_count = 2;
    piece.shop.day[0] = (pc_day_point){9 * 3600, 293.15};
    piece.shop.day[1] = (pc_day_point){9 * 3600 + 1200, 303.15};
    assert_ok(pc_standing_of(&piece, schedule, &standing));
    assert_near(standing.adiabatic_K, 303.15 + rise_K, 1e-6);
}
END_TEST

/* Bug 2 of the air: of a substance that the guide gives a ceiling alone, a file could state a limit
 * 500 times as high (methyl ethyl ketone peroxide: NIOSH ceiling 0.2 ppm, in the table). */
START_TEST(bug_2_a_ceiling_is_a_limit_too) {
    pc_piece piece;
    pc_schedule *schedule;
    pc_ventilation vent;
    fake_plan(PC_EPOXY, 2, 0.2, &piece, &schedule);
    piece.resin.gives_off =
        (pc_volatile){"methyl ethyl ketone peroxide", 0.02, 0.1, 100e-6, NAN, NAN};
    assert_ok(pci_ventilation_of(&piece, schedule, &vent));
    ck_assert_int_eq(vent.answer, PC_AIR_DILUTION);
    assert_close(vent.limit_fraction, 0.2e-6, 1e-9);
}
END_TEST

/* Bug 3 of the air: only the worst batch counted, as if the room were clean before each. */
START_TEST(bug_3_batches_meet_in_the_room) {
    pc_piece piece;
    pc_schedule *schedule;
    pc_ventilation vent;
    fake_plan(PC_POLYESTER, 3, 0.2, &piece, &schedule);
    piece.shop.room_m3 = 60;
    piece.shop.ventilation_m3_s = 0.01;
    assert_ok(pci_ventilation_of(&piece, schedule, &vent));
    double alone;
    assert_ok(pci_room_highest(vent.batch, 1, pci_vapor_volume(1, vent.molar_mass_kg_mol, 293.15),
                               60, 0.01, 5, &alone, NULL));
    ck_assert(vent.highest_fraction > 2.5 * alone);
    piece.shop.ventilation_m3_s = 0; /* none: all of it stays */
    assert_ok(pci_ventilation_of(&piece, schedule, &vent));
    assert_close(vent.highest_fraction, 3 * alone, 0.05);
    ck_assert(isnan(vent.purge_s));
}
END_TEST

int main(void) {
    Suite *suite = suite_create("safety");
    TCase *tc = tcase_create("safety");
    tcase_add_test(tc, published_air_figures_are_met);
    tcase_add_test(tc, published_limits_are_in_the_table);
    tcase_add_test(tc, limits_by_volume_and_mass_agree);
    tcase_add_test(tc, limits_of_the_resin_at_hand_alone);
    tcase_add_test(tc, build_up_meets_its_limits);
    tcase_add_test(tc, nan_and_range_are_refused);
    tcase_add_test(tc, two_equal_batches_add_by_the_closed_form);
    tcase_add_test(tc, unequal_batches_follow_the_mass_balance);
    tcase_add_test(tc, room_refuses_nan_and_nonsense);
    tcase_add_test(tc, ventilation_sums_every_batch_of_every_part);
    tcase_add_test(tc, no_figure_errs_on_the_wrong_side);
    tcase_add_test(tc, formula_is_refused_where_it_does_not_apply);
    tcase_add_test(tc, standing_is_the_cup_of_this_very_batch);
    tcase_add_test(tc, upper_bounds_bound);
    tcase_add_test(tc, bug_2_a_ceiling_is_a_limit_too);
    tcase_add_test(tc, bug_3_batches_meet_in_the_room);
    suite_add_tcase(suite, tc);
    return run_suite(suite);
}
