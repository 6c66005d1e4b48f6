/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A planned part's layers as turning sees them, and the figures the schedule takes from it. */
#include "unit.h"

#include <string.h>

#include "film/film_sums.h"
#include "film/judge.h"
#include "pourclock.h"
#include "schedule/turn_plan.h"
#include "test_resins.h"
#include "turning.h"

static pc_piece piece;

static void make_piece(pc_family family) {
    memset(&piece, 0, sizeof piece);
    plain_resin(family, &piece.resin);
    piece.resin.flow.mu_ref_Pa_s = 0.05;
    piece.part_count = 1;
    pc_part *part = &piece.part[0];
    *part = (pc_part){.kind = PC_HOLLOW,
                      .name = "hollow body",
                      .wall_m = 4e-3,
                      .pour_hole_m = NAN,
                      .first_layer_m = NAN,
                      .volume_m3 = NAN,
                      .least_layer_m = 0.8e-3};
    assert_ok(pc_shape_flat(0.12, &part->shape));
    piece.resin.peak_limit_K = 353.15;
    piece.mold = (pc_mold){.rubber_m = 0.01, .rubber_kind = PC_SILICONE, .limit_K = INFINITY};
    piece.turning = machine(12, 3);
    piece.turning.drop_length_m = NAN;
    piece.shop = (pc_shop){.air_K = 295,
                           .resin_K = 295,
                           .mold_K = 295,
                           .mix_time_s = 60,
                           .pour_time_s = 30,
                           .largest_mix_kg = INFINITY,
                           .cup_loss = 0.03,
                           .hands = 1};
}

START_TEST(histories_agree_with_the_schedule) {
    for (int family = 0; family < PC_FAMILY_COUNT; family++) {
        pc_schedule *schedule;
        pc_turn_plan plan;
        make_piece((pc_family)family);
        piece.turning.remount = family == 1;
        pc_status status = pc_schedule_make(&piece, &schedule, NULL);
        ck_assert(status == PC_OK);
        assert_ok(pci_turn_plan_make(&piece, schedule, 0, &plan));
        ck_assert_uint_eq(plan.count, schedule->part[0]->layer_count);
        for (size_t j = 0; j < plan.count; j++) {
            const pc_layer *layer = schedule->part[0]->layer[j];
            const pc_turn_layer *t = &plan.layer[j];
            assert_ok(pci_mu_history_check(&t->history));
            assert_near(t->history.time_s[0], layer->pour_end_s, 1e-9);
            assert_near(t->history.gel_s, layer->gel_s, 1e-9);
            double set = pci_mu_reach(&t->history, layer->mu_set_Pa_s);
            assert_near(set, layer->set_s, 0.001 * (layer->gel_s - layer->pour_end_s));
            ck_assert_int_eq(t->mount, family == 1 ? (int)j : 0);
            assert_near(t->volume_m3, layer->volume_m3, 0);
            /* what the schedule took from it */
            assert_close(layer->mean_m, layer->thickness_m, 1e-6);
            ck_assert(layer->thin_m <= layer->mean_m && layer->mean_m <= layer->thick_m);
            ck_assert(layer->unevenness > 0);
            if (layer->turns_set_to_gel >= PC_TURNS_LEAST && layer->unevenness < 0.3)
                ck_assert(layer->thin_m > 0.7 * layer->mean_m);
        }
        pci_turn_plan_free(&plan);
        pci_turn_plan_free(&plan);
        pc_schedule_free(schedule);
    }
}
END_TEST

/* Bug 2: the unevenness of the schedule came of a secant across the 32 points of viscosity it
 * records, 7 % low where the viscosity climbs fast; the turning plan has three times as many. Both
 * follow P/(2 tau) with tau at the moment of set now. */
START_TEST(bug_2_unevenness_is_the_same_in_schedule_and_turning) {
    for (int family = 0; family < PC_FAMILY_COUNT; family++) {
        pc_schedule *schedule;
        pc_turn_plan plan;
        make_piece((pc_family)family);
        pc_status status = pc_schedule_make(&piece, &schedule, NULL);
        ck_assert(status == PC_OK);
        assert_ok(pci_turn_plan_make(&piece, schedule, 0, &plan));
        ck_assert_uint_gt(plan.count, 0);
        for (size_t j = 0; j < plan.count; j++) {
            pc_turn_result r;
            assert_ok(pci_turn_judge(NULL, &piece.turning, &plan.layer[j], NULL, 0, &r, NULL));
            assert_close(schedule->part[0]->layer[j]->unevenness, r.unevenness, 0.025);
        }
        pci_turn_plan_free(&plan);
        pc_schedule_free(schedule);
    }
}
END_TEST

/* A urethane with a pot life of 3 min (100 g at 23 C), drained. */
static void make_drained(double wall_m) {
    make_piece(PC_URETHANE);
    piece.turning.method = PC_DRAIN;
    piece.part[0].wall_m = wall_m;
    pc_cure *cure = &piece.resin.cure;
    cure->A1_per_s = 15685.0;
    cure->E1_J_mol = 40e3;
    cure->n = 1.5;
    cure->heat_J_kg = 170e3;
    cure->a_pot = 0.4422;
    cure->a_gel = piece.resin.flow.a_gel = 0.66;
    cure->a_bond = cure->a_demold = 0.9;
    piece.resin.flow.mu_ref_Pa_s = 0.12;
    piece.resin.density_kg_m3 = 1050.0;
    piece.shop.pour_time_s = 20.0;
}

START_TEST(drained_layers_get_their_minute) {
    pc_schedule *schedule;
    make_drained(1e-3);
    assert_ok(pc_schedule_make(&piece, &schedule, NULL));
    const pc_layer *layer = schedule->part[0]->layer[0];
    ck_assert_msg(layer->drain_s > layer->pour_end_s && layer->drain_s < layer->gel_s,
                  "pour out at %g, poured at %g, gel at %g", layer->drain_s, layer->pour_end_s,
                  layer->gel_s);
    assert_close(layer->mean_m, layer->thickness_m, 1e-9);
    /* Poured with four times what stays, three times that come back. */
    assert_close(layer->poured_m3, 4.0 * layer->volume_m3, 1e-9);
    assert_close(layer->batch_kg, 1050.0 * 4.0 * layer->volume_m3 / 0.97, 1e-9);
    assert_close(layer->surplus_kg, 1050.0 * 3.0 * layer->volume_m3, 1e-9);
    ck_assert(layer->drain_mu_Pa_s > piece.resin.flow.mu_ref_Pa_s);
    ck_assert(layer->drain_mu_Pa_s <= PC_POUR_OUT_MOST_PA_S);
    ck_assert(layer->drain_s >= layer->pour_end_s + PC_POUR_OUT_LEAST_S);
    ck_assert(isnan(layer->thin_m));
    pc_schedule_free(schedule);
    piece.part[0].wall_m = 6e-3; /* too thick to be had by draining */
    piece.part[0].layers_asked = 1;
    assert_ok(pc_schedule_make(&piece, &schedule, NULL));
    ck_assert(!schedule->feasible);
    ck_assert(isnan(schedule->part[0]->layer[0]->drain_s));
    ck_assert(schedule->part[0]->layer[0]->drains_most_m < 6e-3);
    pc_schedule_free(schedule);
}
END_TEST

/* Bug 1 of drained molds: where the planned film cannot be had the mold was to be plugged and
 * turned for hours, the reason was cut in the middle, and what hangs open was to be unplugged. */
START_TEST(bug_1_what_cannot_be_drained_is_not_turned) {
    pc_schedule *schedule;
    make_piece(PC_URETHANE);
    piece.turning.method = PC_DRAIN;
    piece.part[0].wall_m = 6e-3;
    piece.part[0].layers_asked = 1;
    assert_ok(pc_schedule_make(&piece, &schedule, NULL));
    ck_assert(!schedule->feasible);
    bool swirls = false, warns = false;
    for (size_t i = 0; i < schedule->step_count; i++) {
        ck_assert_ptr_null(strstr(schedule->step[i]->text, "lug"));
        ck_assert_ptr_null(strstr(schedule->step[i]->text, "Stop turning"));
        swirls = swirls || strstr(schedule->step[i]->text, "when to pour it out is not known");
    }
    for (size_t i = 0; i < schedule->warning_count; i++) {
        ck_assert_ptr_null(strstr(schedule->warning[i]->text, "..."));
        warns = warns || strcmp(schedule->warning[i]->code, "drain") == 0;
    }
    ck_assert(swirls && warns);
    pc_schedule_free(schedule);
}
END_TEST

/* Bug 3: a drained wall that draining cannot leave was no broken limit, only a note not to pour by
 * the plan; more layers, which could be drained, were not looked for. */
START_TEST(bug_3_layers_are_as_thick_as_draining_leaves) {
    static const struct {
        double wall_mm;
        size_t passes;
    } row[] = {{1.2, 1}, {2.4, 2}, {4.8, 4}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        pc_schedule *schedule;
        make_drained(1e-3 * row[i].wall_mm);
        assert_ok(pc_schedule_make(&piece, &schedule, NULL));
        ck_assert(schedule->feasible);
        const pc_part_plan *plan = schedule->part[0];
        ck_assert_uint_eq(plan->layer_count, row[i].passes);
        for (size_t j = 0; j < plan->layer_count; j++) {
            const pc_layer *layer = plan->layer[j];
            ck_assert(layer->thickness_m < layer->drains_most_m);
            ck_assert(layer->thickness_m > layer->drains_least_m);
            assert_close(layer->mean_m, layer->thickness_m, 1e-3);
        }
        pc_schedule_free(schedule);
    }
}
END_TEST

/* The film a slug leaves by Jeffreys' formula, with the slug and the film followed here by the
 * wall itself: the run of lib/plan/slug.c pours the wanted film out within its tolerance. A fast
 * resin keeps 1 to 2 mm a pass (practice). */
START_TEST(the_minute_leaves_the_wanted_film) {
    pc_schedule *schedule;
    make_drained(1.2e-3);
    assert_ok(pc_schedule_make(&piece, &schedule, NULL));
    const pc_layer *layer = schedule->part[0]->layer[0];
    ck_assert(layer->drains_least_m < 1e-3 && layer->drains_most_m > 2e-3);
    enum { POINTS = 400 };
    double time_s[POINTS], fluidity = 0.0;
    static pc_history_point point[POINTS];
    for (int i = 0; i < POINTS; i++)
        time_s[i] = layer->drain_s + (layer->gel_s - layer->drain_s) * i / (POINTS - 1);
    assert_ok(pc_schedule_history(&piece, schedule, 0, POINTS, time_s, point));
    for (int i = 1; i < POINTS; i++)
        fluidity += 0.5 * (time_s[i] - time_s[i - 1]) *
                    (1.0 / point[i - 1].mu_Pa_s + 1.0 / point[i].mu_Pa_s);
    double drop_m = PI * piece.part[0].shape.turn_radius_m;
    double thick_m = 2.0 / 3.0 * sqrt(drop_m / (1050.0 * 9.80665 * fluidity));
    double film_m = thick_m / hypot(1.0, thick_m / (4.0 * layer->thickness_m));
    assert_close(film_m, layer->thickness_m, 0.01);
    assert_close(point[0].mu_Pa_s, layer->drain_mu_Pa_s, 0.02);
    pc_schedule_free(schedule);
}
END_TEST

START_TEST(bad_arguments_are_refused) {
    pc_schedule *schedule;
    pc_turn_plan plan;
    make_piece(PC_EPOXY);
    pc_status status = pc_schedule_make(&piece, &schedule, NULL);
    ck_assert(status == PC_OK);
    assert_status(pci_turn_plan_make(&piece, schedule, 1, &plan), PC_E_ARGUMENT);
    assert_status(pci_turn_plan_make(NULL, schedule, 0, &plan), PC_E_ARGUMENT);
    assert_status(pci_turn_plan_make(&piece, NULL, 0, &plan), PC_E_ARGUMENT);
    assert_status(pci_turn_plan_make(&piece, schedule, 0, NULL), PC_E_ARGUMENT);
    schedule->part[0]->layer[0]->gel_s = NAN;
    assert_status(pci_turn_plan_make(&piece, schedule, 0, &plan), PC_E_UNREACHED);
    pci_turn_plan_free(&plan);
    piece.part[0].kind = PC_SOLID;
    assert_status(pci_turn_plan_make(&piece, schedule, 0, &plan), PC_E_ARGUMENT);
    pci_turn_plan_free(&plan);
    pci_turn_plan_free(NULL);
    pc_schedule_free(schedule);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("turn_plan");
    TCase *tcase = tcase_create("turn_plan");
    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, histories_agree_with_the_schedule);
    tcase_add_test(tcase, drained_layers_get_their_minute);
    tcase_add_test(tcase, the_minute_leaves_the_wanted_film);
    tcase_add_test(tcase, bug_1_what_cannot_be_drained_is_not_turned);
    tcase_add_test(tcase, bug_3_layers_are_as_thick_as_draining_leaves);
    tcase_add_test(tcase, bug_2_unevenness_is_the_same_in_schedule_and_turning);
    tcase_add_test(tcase, bad_arguments_are_refused);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
