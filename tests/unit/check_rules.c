/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rules of the trade and of safe rounding that one number or one sign in the code stands for: each
 * from the outside, with that number written out. tests/house/mutants.sh changes them one by one.
 */
#include "unit.h"

#include <stdlib.h>
#include <string.h>

#include "bench/replan.h"
#include "day/day_grid.h"
#include "day/day_plan.h"
#include "fake_plan.h"
#include "piece/supplies_order.h"
#include "plan/layout.h"
#include "pourclock/day.h"
#include "pourclock/supplies.h"
#include "schedule/build.h"

START_TEST(a_pour_is_in_by_eight_tenths_of_the_pot_life) {
    pc_layer layer = {.mix_s = 1000};
    pc_cup_events cup = {.pot_life_s = 500, .gel_s = 700, .peak_K = 400, .peak_s = 900};
    pci_layer_cup(&layer, &cup);
    assert_near(layer.pour_by_s, 1400, 1e-9);
}
END_TEST

START_TEST(steps_are_in_the_order_of_their_time) {
    pc_step step[] = {{.at_s = 20, .layer = 1},
                      {.at_s = 30, .layer = 2},
                      {.at_s = 10, .layer = 3},
                      {.at_s = 30, .layer = 4},
                      {.at_s = 29, .layer = 5}};
    static const int order[] = {3, 1, 5, 2, 4}; /* those at one time as they were */
    pc_step *by_time[] = {&step[0], &step[1], &step[2], &step[3], &step[4]};
    pc_schedule schedule = {.step = by_time, .step_count = 5};
    pci_sort_steps(&schedule);
    for (int i = 0; i < 5; i++)
        ck_assert_int_eq(by_time[i]->layer, order[i]);
}
END_TEST

/* The margin a piece states is half a 95 % interval: 1.96 standard deviations. */
START_TEST(a_margin_is_half_a_95_percent_interval) {
    static pc_piece piece;
    piece.margins = (pc_margins){.on = true, .times = 0.196};
    assert_near(pci_prior_error(&piece), 0.1, 1e-12);
    piece.resin.fit.known = true;
    piece.resin.fit.film_sd = 0.07;
    assert_near(pci_prior_error(&piece), 0.07, 1e-12);
}
END_TEST

/* A mold is demolded, cleaned, released and closed again in 15 minutes. */
START_TEST(a_mold_is_turned_round_in_a_quarter_of_an_hour) {
    static pc_piece piece;
    static pc_schedule *schedule;
    static pc_order order;
    static pc_supplies supplies;
    pc_errors errors = PC_ERRORS_INIT;
    fake_plan(PC_URETHANE, 2, 0.2, &piece, &schedule);
    piece.mold = (pc_mold){.rubber_m = 0.01, .shell_m = 0.008, .has_shell = true};
    pci_order_defaults(&order);
    schedule->demold_s = 5000;
    schedule->demold_late_s = 6000;
    assert_ok(pc_supplies_make(&piece, schedule, &order, NULL, &supplies, &errors));
    assert_near(supplies.casting_s, 6900, 1e-9);
    order.day_s = 6000 + 2 * 6900; /* the last of the day need not be closed again */
    assert_ok(pc_supplies_make(&piece, schedule, &order, NULL, &supplies, &errors));
    ck_assert_int_eq(supplies.castings_a_day, 3);
    order.day_s -= 1;
    assert_ok(pc_supplies_make(&piece, schedule, &order, NULL, &supplies, &errors));
    ck_assert_int_eq(supplies.castings_a_day, 2);
    pc_errors_free(&errors);
}
END_TEST

/* Hands are busy through the minute in which a job ends, and from the one in which it begins. */
START_TEST(a_day_s_minutes_are_rounded_outward) {
    static pci_day day;
    static pci_grid grid;
    pci_day_defaults(&day);
    day.demold_s = 61;
    day.piece_count = 1;
    pci_day_piece *piece = &day.piece[0];
    piece->copies = piece->molds = 1;
    piece->job_count = 1;
    pci_day_job *job = &piece->job[0];
    job->feasible = true;
    job->task_count = 1;
    job->task[0] = (pci_day_task){.from_s = 119, .until_s = 241, .what = PC_DAY_POUR};
    job->station_from_s = 179;
    job->station_until_s = 301;
    job->ready_s = 361;
    pci_grid_init(&day, &grid);
    const pci_comb *comb = &grid.kind[0].comb[0];
    ck_assert_int_eq(comb->from[0], 1);
    ck_assert_int_eq(comb->length[0], 4);
    ck_assert_int_eq(comb->station_from, 2);
    ck_assert_int_eq(comb->station_length, 4);
    ck_assert_int_eq(comb->ready, 7);
    ck_assert_int_eq(grid.demold, 2);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("rules");
    TCase *tc = tcase_create("rules");
    tcase_add_test(tc, a_pour_is_in_by_eight_tenths_of_the_pot_life);
    tcase_add_test(tc, steps_are_in_the_order_of_their_time);
    tcase_add_test(tc, a_margin_is_half_a_95_percent_interval);
    tcase_add_test(tc, a_mold_is_turned_round_in_a_quarter_of_an_hour);
    tcase_add_test(tc, a_day_s_minutes_are_rounded_outward);
    suite_add_tcase(suite, tc);
    return run_suite(suite);
}
