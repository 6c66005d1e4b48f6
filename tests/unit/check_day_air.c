/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The air of a day: the batches of all castings in the one shop. */
#include "unit.h"

#include <stdio.h>
#include <string.h>

#include "day/day_plan.h"
#include "fake_plan.h"
#include "pourclock/day.h"
#include "safety/air_sums.h"

static pci_day day;

/* A piece of one batch, given off from 60 to 960 s after its start. */
static void add_piece(const char *name, double limit_fraction, double vapor_kg) {
    pci_day_piece *piece = &day.piece[day.piece_count++];
    pci_day_job *job = &piece->job[0];
    memset(piece, 0, sizeof *piece);
    piece->job_count = 1;
    job->vapor = (pci_day_vapor){.answer = PC_AIR_DILUTION,
                                 .limit_fraction = limit_fraction,
                                 .m3_per_kg = 0.23,
                                 .mixing = 5,
                                 .room_m3 = 60,
                                 .ventilation_m3_s = 0.05};
    strcpy(job->vapor.name, name);
    job->batch_count = 1;
    job->batch[0] = (pci_day_batch){60, 960, vapor_kg};
}

/* Two castings of one piece an hour apart: the closed form of two equal batches, by the clock. */
START_TEST(castings_add_in_the_shop) {
    pc_day_casting casting[2] = {{.piece = 0, .start_s = 32400}, {.piece = 0, .start_s = 36000}};
    pc_day_plan plan = {.count = 2, .casting = (pc_day_casting *[]){&casting[0], &casting[1]}};
    pc_day_air air;
    memset(&day, 0, sizeof day);
    add_piece("styrene", 50e-6, 0.02);
    assert_ok(pci_day_air_of(&day, &plan, &air));
    double k = 0.05 / 5 / 60, alone = 0.02 / 900 * 0.23 / 0.01 * (1 - exp(-k * 900));
    assert_close(air.highest_fraction, alone * (1 + exp(-k * 3600)), 1e-9);
    assert_near(air.highest_clock_s, 36960, 1e-6);
    assert_close(air.vapor_kg, 0.04, 1e-12);
    assert_close(air.air_m3_s, 5 * 0.02 / 900 * 0.23 / 50e-6, 1e-9);
    ck_assert_str_eq(air.name, "styrene");
    ck_assert(!air.several);
    casting[1].start_s = 32400; /* side by side */
    assert_ok(pci_day_air_of(&day, &plan, &air));
    assert_close(air.highest_fraction, 2 * alone, 1e-9);
    assert_close(air.air_m3_s, 2 * 5 * 0.02 / 900 * 0.23 / 50e-6, 1e-9);
    day.piece[0].job[0].vapor.ventilation_m3_s = NAN; /* not stated */
    assert_ok(pci_day_air_of(&day, &plan, &air));
    ck_assert(isnan(air.highest_fraction) && air.air_m3_s > 0);
}
END_TEST

/* Two substances count in proportion to their limits; the smaller room and ventilation hold. */
START_TEST(substances_add_in_proportion_to_their_limits) {
    pc_day_casting casting[2] = {{.piece = 0, .start_s = 32400}, {.piece = 1, .start_s = 32400}};
    pc_day_plan plan = {.count = 2, .casting = (pc_day_casting *[]){&casting[0], &casting[1]}};
    pc_day_air air;
    memset(&day, 0, sizeof day);
    add_piece("styrene", 50e-6, 0.02);
    add_piece("diethylenetriamine", 1e-6, 0.001);
    day.piece[1].job[0].vapor.room_m3 = 40;
    day.piece[0].job[0].vapor.ventilation_m3_s = 0.02;
    assert_ok(pci_day_air_of(&day, &plan, &air));
    ck_assert(air.several);
    ck_assert_str_eq(air.name, "diethylenetriamine");
    assert_close(air.limit_fraction, 1e-6, 1e-12);
    assert_near(air.room_m3, 40, 0);
    assert_near(air.ventilation_m3_s, 0.02, 0);
    double rate = (0.02 / 50 + 0.001) / 900 * 0.23;
    assert_close(air.air_m3_s, 5 * rate / 1e-6, 1e-9);
    double acts = 0.02 / 5;
    assert_close(air.highest_fraction, rate / acts * (1 - exp(-acts / 40 * 900)), 1e-9);
    day.piece[1].job[0].vapor.answer = PC_AIR_LOCAL_EXHAUST; /* no figure fits it */
    assert_ok(pci_day_air_of(&day, &plan, &air));
    ck_assert_str_eq(air.name, "styrene");
    assert_close(air.vapor_kg, 0.02, 1e-12);
    day.piece[0].job[0].batch_count = 0;
    assert_ok(pci_day_air_of(&day, &plan, &air));
    ck_assert_str_eq(air.name, "");
    ck_assert(isnan(air.air_m3_s));
    assert_status(pci_day_air_of(NULL, &plan, &air), PC_E_ARGUMENT);
    assert_status(pci_day_air_of(&day, NULL, &air), PC_E_ARGUMENT);
}
END_TEST

/* A job's batches are those of its schedule, after its own start; too many of them err high. */
START_TEST(a_job_s_batches_are_its_schedule_s) {
    static pc_piece piece;
    static pc_schedule *schedule;
    static pci_day_job job;
    fake_plan(PC_POLYESTER, 3, 0.2, &piece, &schedule);
    piece.shop.room_m3 = 70;
    memset(&job, 0, sizeof job);
    assert_ok(pci_day_job_air(&piece, schedule, -300, &job));
    ck_assert_uint_eq(job.batch_count, 3);
    assert_near(job.batch[1].from_s, 1500, 1e-9);
    assert_near(job.batch[1].to_s, 2400, 1e-9);
    assert_close(job.batch[1].vapor_kg, 0.2 * pci_styrene_lost(0.4), 1e-12);
    assert_close(job.vapor.limit_fraction, 50e-6, 1e-9);
    assert_near(job.vapor.room_m3, 70, 0);
    schedule->part_count = 3;
    for (int p = 0; p < 3; p++) {
        if (p > 0)
            pci_part_copy(schedule->part[0], schedule->part[p]);
        schedule->part[p]->layer_count = PC_LAYERS_MOST;
        for (int i = 0; i < PC_LAYERS_MOST; i++) {
            *schedule->part[p]->layer[i] = *schedule->part[0]->layer[0];
            schedule->part[p]->layer[i]->mix_s = 100 * i;
            schedule->part[p]->layer[i]->gel_s = 100 * i + 900;
        }
    }
    memset(&job, 0, sizeof job);
    assert_ok(pci_day_job_air(&piece, schedule, 0, &job));
    double vapor_kg = 0;
    ck_assert_uint_eq(job.batch_count, PCI_DAY_BATCHES_MOST);
    for (size_t i = 0; i < job.batch_count; i++)
        vapor_kg += job.batch[i].vapor_kg;
    assert_close(vapor_kg, 36 * 0.2 * pci_styrene_lost(0.4), 1e-9);
    assert_near(job.batch[PCI_DAY_BATCHES_MOST - 1].to_s -
                    job.batch[PCI_DAY_BATCHES_MOST - 1].from_s,
                900, 1e-9);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("day air");
    TCase *tc = tcase_create("day air");
    tcase_add_test(tc, castings_add_in_the_shop);
    tcase_add_test(tc, substances_add_in_proportion_to_their_limits);
    tcase_add_test(tc, a_job_s_batches_are_its_schedule_s);
    suite_add_tcase(suite, tc);
    return run_suite(suite);
}
