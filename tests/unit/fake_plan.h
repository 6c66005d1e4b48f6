/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A piece and a schedule filled by hand, for tests of what stands above the planner. */
#ifndef TESTS_FAKE_PLAN_H
#define TESTS_FAKE_PLAN_H

#include <string.h>

#include "pourclock/piece.h"
#include "pourclock/schedule.h"
#include "schedule/build.h"
#include "test_resins.h"
#include "unit.h"

/* A hollow body in `layers` equal layers of batch_kg each, in a shop at 20 C. The schedule is good
 * until the next call. */
static inline void fake_plan(pc_family family, int layers, double batch_kg, pc_piece *piece,
                             pc_schedule **made) {
    static pc_schedule *last;
    pc_schedule_free(last);
    pc_schedule *schedule = *made = last = pci_schedule_new(3);
    ck_assert_ptr_nonnull(schedule);
    memset(piece, 0, sizeof *piece);
    anchored(family, PC_DATUM_POT_LIFE, 600, &piece->resin);
    strcpy(piece->name, "Otter, seated");
    piece->shop.cup_loss = 0.03;
    piece->shop.air_K = piece->shop.resin_K = piece->shop.mold_K = 293.15;
    piece->turning.method = PC_MACHINE;
    piece->turning.outer_rad_s = 1.2;
    piece->part_count = schedule->part_count = 1;
    piece->part[0].kind = PC_HOLLOW;
    piece->part[0].wall_m = 0.0045;
    assert_ok(pc_shape_flat(0.135, &piece->part[0].shape));
    schedule->air_K = schedule->resin_K = schedule->mold_K = 293.15;
    schedule->feasible = true;
    piece->shop.hands = 1;
    piece->shop.mix_time_s = NAN;
    piece->shop.largest_mix_kg = INFINITY;
    schedule->start_clock_s = 9 * 3600;
    pc_part_plan *plan = schedule->part[0];
    plan->kind = PC_HOLLOW;
    strcpy(plan->name, "hollow body");
    plan->area_m2 = 0.135;
    plan->wall_m = 0.0045;
    plan->shell_volume_m3 = 0.135 * 0.0045;
    plan->layer_count = (size_t)layers;
    plan->resin_kg = schedule->resin_kg = layers * batch_kg;
    for (int i = 0; i < layers; i++) {
        pc_layer *layer = plan->layer[i];
        layer->number = i + 1;
        layer->cups = 1;
        layer->rounds = 1;
        layer->batch_kg = batch_kg;
        layer->part_a_kg = batch_kg * piece->resin.share_a;
        layer->part_b_kg = batch_kg * piece->resin.share_b;
        layer->mix_s = i * 1200;
        layer->pour_s = layer->mix_s + 60;
        layer->pour_end_s = layer->mix_s + 90;
        layer->pour_by_s = layer->mix_s + 480;
        layer->pot_life_s = 600;
        layer->gel_s = layer->mix_s + 900;
        layer->stop_s = layer->mix_s + 960;
        layer->opens_s = layer->gel_s;
        layer->closes_s = layer->gel_s + 1800;
        layer->peak_K = 313.15;
        layer->peak_late_K = NAN;
    }
    schedule->demold_s = plan->demold_s = layers * 1200.0 + 3600;
    schedule->demold_late_s = plan->demold_late_s = NAN;
}

#endif
