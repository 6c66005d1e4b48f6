/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A day's castings: by properties on many days, and what is read and refused. */
#include "unit.h"

#include <string.h>

#include "day/day_plan.h"
#include "days.h"
#include "fake_plan.h"

/* Bug 1 of the day: with two pairs of hands an earlier search ended with 48 min for a day that
 * takes 31: it did not try a placing again after a piece's other copy had moved. */
START_TEST(two_pairs_of_hands_share_a_start) {
    static pci_day day;
    pc_day_plan *plan;
    small_day(&day, 96);
    day.hands = 2;
    day.demold_s = 300;
    day.rest[day.break_count++] = (pc_day_break){day.start_s + 34 * 60, day.start_s + 42 * 60};
    add_piece(&day, 2, 2, comb(3, 5, 3, 20, false));
    add_piece(&day, 1, 1, comb(2, 6, 9, 14, false));
    day.piece[0].stay = day.piece[1].stay = PCI_DAY_STAYS;
    assert_ok(pci_day_make(&day, &plan, NULL));
    ck_assert(plan->fits);
    assert_near(plan->finish_s - day.start_s, 31 * 60, 1e-6);
    pc_day_plan_free(plan);
}
END_TEST

START_TEST(random_days_hold) {
    pick_state = (uint32_t)_i * 7919u + 1u;
    const char *many = getenv("POURCLOCK_DAYS"); /* fewer where each takes long */
    int days = (many ? atoi(many) : draws(10000)) / 10;
    ck_assert_int_gt(days, 0);
    for (int i = 0; i < days; i++) {
        static pci_day day;
        random_day(&day, pick(1, 4), 3, pick(30, 240));
        day.orders_most = 40;
        plan_holds(&day);
    }
}
END_TEST

/* The second pour of one goes into the wait of the other. */
START_TEST(castings_interleave) {
    static pci_day day;
    pc_day_plan *plan;
    small_day(&day, 60);
    day.stations = 2;
    add_piece(&day, 2, 2, comb(2, 3, 3, 5, true));
    assert_ok(pci_day_make(&day, &plan, NULL));
    ck_assert(plan->fits);
    assert_near(plan->casting[1]->start_s - plan->casting[0]->start_s, 180, 1e-6);
    pc_day_plan_free(plan);
}
END_TEST

START_TEST(an_impossible_day_says_what_must_give) {
    static pci_day day;
    pc_day_plan *plan;
    small_day(&day, 40);
    add_piece(&day, 4, 1, comb(1, 4, 1, 6, false)); /* 12 min a round, one mold */
    assert_ok(pci_day_make(&day, &plan, NULL));
    ck_assert(!plan->fits);
    check_plan(&day, plan);
    ck_assert_uint_eq(plan->count, 3);
    ck_assert(plan->proven);
    bool later = false, mold = false, hands = false, dropped = false;
    for (size_t i = 0; i < plan->give_count; i++) {
        later = later || strstr(plan->give[i], "work until 09:48");
        mold = mold || strstr(plan->give[i], "one more mold of piece 1");
        hands = hands || strstr(plan->give[i], "hands");
        dropped = dropped || strstr(plan->give[i], "3 of 4 today (the maximum)");
    }
    ck_assert(later && mold && dropped && !hands);
    pc_day_plan_free(plan);
    /* The changes named do make it fit. */
    day.piece[0].molds = 2;
    assert_ok(pci_day_make(&day, &plan, NULL));
    ck_assert(plan->fits);
    pc_day_plan_free(plan);
    day.piece[0].molds = 1;
    day.end_s = day.start_s + 48 * 60;
    assert_ok(pci_day_make(&day, &plan, NULL));
    ck_assert(plan->fits);
    pc_day_plan_free(plan);
}
END_TEST

START_TEST(a_piece_whose_schedule_does_not_hold_is_left_out) {
    static pci_day day;
    pc_day_plan *plan;
    small_day(&day, 60);
    add_piece(&day, 1, 1, comb(1, 4, 1, 6, false));
    add_piece(&day, 1, 1, comb(1, 4, 1, 6, false));
    day.piece[1].job[0].feasible = false;
    assert_ok(pci_day_make(&day, &plan, NULL));
    ck_assert(!plan->fits);
    ck_assert_uint_eq(plan->count, 1);
    ck_assert_ptr_nonnull(strstr(plan->give[0], "it cannot be cast at any hour"));
    pc_day_plan_free(plan);
    day.piece[0].job[0].feasible = false;
    assert_ok(pci_day_make(&day, &plan, NULL));
    ck_assert(!plan->fits);
    ck_assert_uint_eq(plan->count, 0);
    ck_assert(isnan(plan->finish_s));
    pc_day_plan_free(plan);
}
END_TEST

/* Cold in the first hour: the comb of the hour a casting starts in counts. */
START_TEST(each_hour_has_its_own_comb) {
    static pci_day day;
    pc_day_plan *plan;
    small_day(&day, 120);
    add_piece(&day, 1, 1, comb(1, 4, 1, 100, false));
    day.piece[0].job[1] = comb(1, 4, 1, 10, false);
    day.piece[0].job_count = 2;
    assert_ok(pci_day_make(&day, &plan, NULL));
    ck_assert(plan->fits);
    ck_assert_uint_eq(plan->casting[0]->job, 1);
    assert_near(plan->finish_s - day.start_s, (60 + 14 + 2) * 60, 1e-6);
    pc_day_plan_free(plan);
}
END_TEST

START_TEST(comb_of_a_schedule) {
    pc_piece piece;
    pc_schedule *schedule;
    static pci_day day;
    pci_day_job job;
    pci_day_defaults(&day);
    fake_plan(PC_URETHANE, 2, 0.2, &piece, &schedule);
    assert_ok(pci_day_job_of(&piece, schedule, &day, &job));
    /* mix, pour and plug at 0 for 150 s, stop at 960 for 60 s, and again 1200 s later */
    ck_assert_uint_eq(job.task_count, 4);
    assert_near(job.task[1].from_s, 960, 1e-9);
    assert_near(job.task[2].until_s, 1350, 1e-9);
    ck_assert_uint_eq(job.act_count, 4);
    assert_near(job.station_from_s, 60, 1e-9);
    assert_near(job.station_until_s, 1200 + 960 + 60, 1e-9);
    assert_near(job.ready_s, schedule->demold_s, 1e-9);
    day.setup_s = 300; /* set up goes before, in one with the first mix */
    assert_ok(pci_day_job_of(&piece, schedule, &day, &job));
    ck_assert_uint_eq(job.task_count, 4);
    assert_near(job.task[0].until_s, 450, 1e-9);
    ck_assert_uint_eq(job.act_count, 4); /* setting up is no act */
    ck_assert_int_eq(job.act[0].at_s, 300);
    assert_near(job.ready_s, schedule->demold_s + 300, 1e-9);
    piece.turning.method = PC_HAND; /* hands on from mix to stop */
    assert_ok(pci_day_job_of(&piece, schedule, &day, &job));
    ck_assert_uint_eq(job.task_count, 2);
    ck_assert(isnan(job.station_from_s));
    schedule->part[0]->layer[1]->stop_s = NAN;
    schedule->part[0]->layer[1]->pour_end_s = NAN;
    assert_ok(pci_day_job_of(&piece, schedule, &day, &job));
    ck_assert(!job.feasible);
    assert_status(pci_day_job_of(NULL, schedule, &day, &job), PC_E_ARGUMENT);
}
END_TEST

/* Bug 1 of the day's jobs: a stop, or another part's pour, that became one job with a pour was
 * forgotten; and swirling was taken for time with free hands. */
START_TEST(bug_1_a_job_knows_what_it_is_made_of) {
    pc_piece piece;
    pc_schedule *schedule;
    static pci_day day;
    pci_day_job job;
    pci_day_defaults(&day);
    fake_plan(PC_URETHANE, 2, 0.2, &piece, &schedule);
    schedule->part[0]->layer[0]->stop_s = 1259.5; /* the second layer is mixed at 1200 */
    schedule->part_count = piece.part_count = 2;
    pci_part_copy(schedule->part[0], schedule->part[1]);
    schedule->part[1]->kind = piece.part[1].kind = PC_SOLID;
    strcpy(schedule->part[1]->name, "plinth of a long name that has no room");
    schedule->part[1]->layer_count = 1;
    schedule->part[1]->layer[0]->mix_s = 1350; /* right after plugging */
    schedule->part[1]->layer[0]->pour_end_s = 1440;
    assert_ok(pci_day_job_of(&piece, schedule, &day, &job));
    ck_assert_uint_eq(job.task_count, 3);
    assert_near(job.task[1].until_s, 1440, 1e-9);
    const pci_day_act expected[] = {{0, 0, PC_DAY_POUR, 0, 1, 0, 0, 0, 0},
                                    {1200, 1, PC_DAY_POUR, 0, 2, 0, 0, 0, 0},
                                    {1260, 1, PC_DAY_STOP, 0, 1, 0, 0, 0, 0},
                                    {1350, 1, PC_DAY_POUR, 1, 1, 0, 0, 0, 0},
                                    {2160, 2, PC_DAY_STOP, 0, 2, 0, 0, 0, 0}};
    ck_assert_uint_eq(job.act_count, sizeof expected / sizeof *expected);
    for (size_t i = 0; i < job.act_count; i++) {
        ck_assert_int_eq(job.act[i].at_s, expected[i].at_s);
        ck_assert_uint_eq(job.act[i].task, expected[i].task);
        ck_assert_uint_eq(job.act[i].what, expected[i].what);
        ck_assert_uint_eq(job.act[i].part, expected[i].part);
        ck_assert_uint_eq(job.act[i].layer, expected[i].layer);
        double batch_kg = job.act[i].part_a_kg + job.act[i].part_b_kg; /* a stop weighs nothing */
        assert_near(batch_kg, expected[i].what == PC_DAY_POUR ? 0.2 : 0, 1e-12);
    }
    ck_assert(!job.solid[0] && job.solid[1]);
    ck_assert_uint_lt(strlen(job.part_name[1]), PCI_DAY_WORD_SIZE);
    piece.turning.method = PC_DRAIN; /* swirled until it is poured out */
    schedule->part_count = 1;
    schedule->part[0]->layer_count = 1;
    schedule->part[0]->layer[0]->drain_s = 600;
    assert_ok(pci_day_job_of(&piece, schedule, &day, &job));
    ck_assert_uint_eq(job.task_count, 1);
    ck_assert_uint_eq(job.act_count, 2);
    assert_near(job.task[0].until_s, 660, 1e-9);
    schedule->part[0]->layer[0]->drain_s = NAN; /* not known */
    assert_ok(pci_day_job_of(&piece, schedule, &day, &job));
    assert_near(job.task[0].until_s, 90, 1e-9);
}
END_TEST

/* Bug 2 of the day's jobs, found by the fuzzer: a set-up time that is no number, or a schedule that
 * is far off, went into whole seconds without a look. */
START_TEST(bug_2_far_off_jobs_are_none) {
    static const double bad[] = {NAN, INFINITY, -INFINITY, -1, 1e300, PCI_DAY_SETUP_MOST_S + 1};
    static pc_piece piece;
    pc_schedule *schedule = pci_schedule_new(1);
    ck_assert_ptr_nonnull(schedule);
    schedule->feasible = true;
    schedule->part_count = 1;
    schedule->demold_s = 4000;
    pc_part_plan *part = schedule->part[0];
    part->kind = PC_SOLID;
    part->layer_count = 1;
    *part->layer[0] = (pc_layer){.number = 1, .mix_s = 0, .pour_s = 60, .pour_end_s = 90};
    piece.part_count = 1;
    static pci_day day;
    pci_day_job job;
    pci_day_defaults(&day);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        day.setup_s = bad[i];
        assert_status(pci_day_job_of(&piece, schedule, &day, &job), PC_E_ARGUMENT);
    }
    day.setup_s = 0;
    assert_ok(pci_day_job_of(&piece, schedule, &day, &job));
    ck_assert(job.feasible);
    part->layer[0]->pour_end_s = 1e12;
    assert_ok(pci_day_job_of(&piece, schedule, &day, &job));
    ck_assert(!job.feasible);
    pc_schedule_free(schedule);
}
END_TEST

static void refused(pci_day *day, pc_status expected) {
    pc_day_plan *plan;
    pc_errors errors = PC_ERRORS_INIT;
    assert_status(pci_day_make(day, &plan, &errors), expected);
    ck_assert_uint_ge(errors.count, 1);
    pc_errors_free(&errors);
    pc_day_plan_free(plan);
}

START_TEST(a_wrong_day_is_refused) {
    static pci_day day;
    small_day(&day, 60);
    refused(&day, PC_E_VALUE); /* nothing to cast */
    add_piece(&day, 1, 1, comb(1, 4, 1, 6, true));
    static pci_day good;
    good = day;
    day.end_s = day.start_s - 60;
    refused(&day, PC_E_VALUE);
    day = good, day.end_s = NAN;
    refused(&day, PC_E_VALUE);
    day = good, day.demold_s = NAN;
    refused(&day, PC_E_VALUE);
    day = good, day.hands = 0;
    refused(&day, PC_E_VALUE);
    day = good, day.stations = 0;
    refused(&day, PC_E_VALUE);
    day = good, day.piece[0].copies = 0;
    refused(&day, PC_E_VALUE);
    day = good, day.piece[0].copies = PC_DAY_CASTINGS_MOST + 1;
    refused(&day, PC_E_VALUE);
    day = good, day.piece[0].job[0].ready_s = NAN;
    refused(&day, PC_E_VALUE);
    day = good, day.piece[0].job[0].task[0].until_s = NAN;
    refused(&day, PC_E_VALUE);
    day = good, day.break_count = 1, day.rest[0] = (pc_day_break){NAN, NAN};
    refused(&day, PC_E_VALUE);
    day = good, day.rest[0] = (pc_day_break){good.end_s - 60, good.end_s + 60}, day.break_count = 1;
    refused(&day, PC_E_VALUE);
    pc_day_plan *plan;
    assert_status(pci_day_make(NULL, &plan, NULL), PC_E_ARGUMENT);
    assert_status(pci_day_make(&good, NULL, NULL), PC_E_ARGUMENT);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("day");
    TCase *tc = tcase_create("day");
    tcase_set_timeout(tc, 600);
    tcase_add_test(tc, bug_2_far_off_jobs_are_none);
    tcase_add_test(tc, two_pairs_of_hands_share_a_start);
    tcase_add_loop_test(tc, random_days_hold, 0, 10);
    tcase_add_test(tc, castings_interleave);
    tcase_add_test(tc, an_impossible_day_says_what_must_give);
    tcase_add_test(tc, a_piece_whose_schedule_does_not_hold_is_left_out);
    tcase_add_test(tc, each_hour_has_its_own_comb);
    tcase_add_test(tc, comb_of_a_schedule);
    tcase_add_test(tc, bug_1_a_job_knows_what_it_is_made_of);
    tcase_add_test(tc, a_wrong_day_is_refused);
    suite_add_tcase(suite, tc);
    return run_suite(suite);
}
