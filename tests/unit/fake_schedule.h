/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A schedule written by hand, for tests of what is drawn and logged: no solver runs. The seated
 * otter (invented): a hollow body in three layers, a solid plinth. */
#ifndef TESTS_FAKE_SCHEDULE_H
#define TESTS_FAKE_SCHEDULE_H

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "pi.h"
#include "pourclock.h"
#include "schedule/build.h"

static inline void fake_resin(pc_resin *resin) {
    memset(resin, 0, sizeof *resin);
    snprintf(resin->name, sizeof resin->name, "Fast urethane");
    resin->family = PC_URETHANE;
    resin->density_kg_m3 = 1050.0;
    resin->share_a = 100.0 / 190.0;
    resin->share_b = 90.0 / 190.0;
    resin->density_a_kg_m3 = resin->density_b_kg_m3 = NAN;
    resin->peak_limit_K = 353.15;
    resin->demold_below_K = 318.15;
    resin->cure = (pc_cure){.A1_per_s = 1.5e6,
                            .E1_J_mol = 54870.0,
                            .n = 2.0,
                            .m = 1.0,
                            .heat_J_kg = 256e3,
                            .cp_J_kgK = 1800.0,
                            .k_W_mK = 0.2,
                            .a_gel = 0.707,
                            .a_pot = 0.42,
                            .a_bond = 0.9,
                            .a_demold = 0.85};
    resin->flow = (pc_flow){0.12, 296.15, 41300.0, 1.5, 1.0, 0.707};
}

static inline void fake_piece(pc_piece *piece) {
    memset(piece, 0, sizeof *piece);
    snprintf(piece->name, sizeof piece->name, "Otter, seated");
    snprintf(piece->path, sizeof piece->path, "otter.ini");
    fake_resin(&piece->resin);
    piece->part_count = 2;
    pc_part *body = &piece->part[0], *plinth = &piece->part[1];
    body->kind = PC_HOLLOW;
    snprintf(body->name, sizeof body->name, "hollow body");
    body->shape = (pc_shape){.area_m2 = 0.1355,
                             .volume_m3 = NAN,
                             .turn_radius_m = 0.104,
                             .form_radius_m = NAN,
                             .closed = true};
    body->wall_m = 4.7625e-3;
    body->pour_hole_m = body->first_layer_m = plinth->first_layer_m = NAN;
    body->least_layer_m = plinth->least_layer_m = 0.8e-3;
    plinth->kind = PC_SOLID;
    snprintf(plinth->name, sizeof plinth->name, "solid plinth");
    plinth->volume_m3 = 420e-6;
    plinth->form = PC_SLAB;
    plinth->shape = (pc_shape){.area_m2 = 0.047, .volume_m3 = 420e-6, .form_radius_m = NAN};
    piece->mold = (pc_mold){0.0095, 0.008, PC_SILICONE, PC_PLASTER, true, 393.15};
    piece->turning.method = PC_MACHINE;
    piece->turning.outer_rad_s = 12.0 * RPM_RAD_S;
    piece->turning.inner_rad_s = 3.0 * RPM_RAD_S;
    piece->turning.slowest_rad_s = piece->turning.fastest_rad_s = NAN;
    piece->turning.reverse_every_s = piece->turning.drop_length_m = NAN;
    piece->turning.surface_tension_N_m = 0.035;
    piece->shop = (pc_shop){.air_K = 291.15,
                            .resin_K = 295.15,
                            .mold_K = 291.15,
                            .mix_time_s = 60.0,
                            .pour_time_s = 30.0,
                            .largest_mix_kg = 0.5,
                            .cup_loss = 0.03,
                            .start_clock_s = 9.0 * 3600.0,
                            .hands = 1};
    piece->margins = (pc_margins){true, 1.0, 0.1, 0.05, 0.2, 0.01, 64};
}

static inline void fake_layer(pc_layer *layer, int number, double mix_s, double batch_kg,
                              double gel_after_s) {
    *layer = (pc_layer){.number = number,
                        .cups = 1,
                        .rounds = 1,
                        .depth_m = 1.5875e-3 * (number - 1),
                        .thickness_m = 1.5875e-3,
                        .volume_m3 = batch_kg / 1050.0,
                        .batch_kg = batch_kg,
                        .part_a_kg = batch_kg * 100.0 / 190.0,
                        .part_b_kg = batch_kg * 90.0 / 190.0,
                        .mix_s = mix_s,
                        .pour_s = mix_s + 60.0,
                        .pour_end_s = mix_s + 90.0,
                        .pour_by_s = mix_s + 0.8 * 225.0,
                        .pot_life_s = 225.0,
                        .cup_gel_s = 310.0,
                        .cup_peak_K = 393.0,
                        .cup_peak_s = 420.0,
                        .fill_T_K = 299.0,
                        .fill_conversion = 0.12,
                        .mu_set_Pa_s = 9.0,
                        .set_s = mix_s + 0.62 * gel_after_s,
                        .first_gel_s = mix_s + 0.94 * gel_after_s,
                        .gel_s = mix_s + gel_after_s,
                        .stop_s = mix_s + 1.08 * gel_after_s,
                        .opens_s = mix_s + 1.08 * gel_after_s,
                        .closes_s = mix_s + 2.9 * gel_after_s,
                        .closes_alone_s = mix_s + 3.0 * gel_after_s,
                        .peak_K = 305.0,
                        .peak_s = mix_s + 0.8 * gel_after_s,
                        .turns_set_to_gel = 31.0,
                        .unevenness = 0.02,
                        .froude = 0.017,
                        .thin_m = NAN,
                        .mean_m = NAN,
                        .thick_m = NAN,
                        .lump_m3 = NAN,
                        .drain_s = NAN,
                        .pour_by_early_s = mix_s + 0.72 * 225.0,
                        .set_early_s = mix_s + 0.55 * gel_after_s,
                        .gel_early_s = mix_s + 0.92 * gel_after_s,
                        .gel_late_s = mix_s + 1.08 * gel_after_s,
                        .closes_early_s = mix_s + 2.6 * gel_after_s,
                        .peak_late_K = 309.0};
}

static inline void fake_step(pc_schedule *schedule, double at_s, pc_step_kind kind, size_t part,
                             int layer) {
    if (pci_add_step(schedule, at_s, kind, part, layer, " ") != PC_OK)
        abort();
    schedule->step[schedule->step_count - 1]->text[0] = '\0';
}

/* parts hollow parts of `layers` layers each, and one solid plinth; freed by pc_schedule_free. */
static inline pc_schedule *fake_schedule_many(size_t parts, int layers) {
    pc_schedule *schedule = pci_schedule_new(parts + 1);
    if (schedule == NULL)
        abort();
    snprintf(schedule->piece, sizeof schedule->piece, "Otter, seated");
    snprintf(schedule->resin, sizeof schedule->resin, "Fast urethane");
    schedule->feasible = schedule->margins_on = true;
    schedule->start_clock_s = 9.0 * 3600.0;
    schedule->air_K = schedule->mold_K = 291.15;
    schedule->resin_K = 295.15;
    double t_s = 0.0;
    for (size_t p = 0; p < parts; p++) {
        pc_part_plan *plan = schedule->part[schedule->part_count++];
        plan->kind = PC_HOLLOW;
        snprintf(plan->name, sizeof plan->name, parts == 1 ? "hollow body" : "hollow part %zu",
                 p + 1);
        plan->area_m2 = 0.1355;
        plan->wall_m = 1.5875e-3 * layers;
        plan->layer_count = (size_t)layers;
        plan->feasible = true;
        for (int j = 1; j <= layers; j++) {
            pc_layer *layer = plan->layer[j - 1];
            fake_layer(layer, j, t_s, 0.251 - 0.012 * (j % 5), 960.0 - 40.0 * (j % 6));
            plan->resin_kg += layer->batch_kg;
            fake_step(schedule, layer->mix_s, PC_STEP_MIX, p, j);
            fake_step(schedule, layer->pour_s, PC_STEP_POUR, p, j);
            fake_step(schedule, layer->pour_end_s, PC_STEP_TURN, p, j);
            fake_step(schedule, layer->stop_s, PC_STEP_STOP, p, j);
            if (j < layers)
                fake_step(schedule, layer->stop_s, PC_STEP_WAIT, p, j);
            t_s = layer->stop_s - 30.0;
        }
        plan->demold_s = t_s + 1800.0;
        plan->demold_late_s = t_s + 2400.0;
        schedule->resin_kg += plan->resin_kg;
    }
    pc_part_plan *plinth = schedule->part[schedule->part_count];
    size_t p = schedule->part_count++;
    plinth->kind = PC_SOLID;
    snprintf(plinth->name, sizeof plinth->name, "solid plinth");
    plinth->layer_count = 1;
    plinth->feasible = true;
    plinth->resin_kg = 0.454;
    fake_layer(plinth->layer[0], 1, t_s + 60.0, 0.454, 700.0);
    plinth->layer[0]->thickness_m = 0.018;
    plinth->layer[0]->peak_K = 347.0;
    plinth->layer[0]->set_s = NAN;
    fake_step(schedule, t_s + 60.0, PC_STEP_MIX, p, 1);
    fake_step(schedule, t_s + 120.0, PC_STEP_POUR, p, 1);
    plinth->demold_s = t_s + 3000.0;
    plinth->demold_late_s = t_s + 3600.0;
    schedule->resin_kg += plinth->resin_kg;
    schedule->demold_s = plinth->demold_s;
    schedule->demold_late_s = plinth->demold_late_s;
    for (size_t q = 0; q < schedule->part_count; q++)
        fake_step(schedule, schedule->part[q]->demold_late_s, PC_STEP_DEMOLD, q, 0);
    pc_warning *warning = pci_add_warning(schedule, "peak", false);
    if (warning == NULL)
        abort();
    snprintf(warning->text, sizeof warning->text, "%s",
             "The plinth comes within 6 C of the resin's limit of 80 C.");
    snprintf(warning->remedy, sizeof warning->remedy, "%s",
             "Pour it in two stages of 210 ml, the second at the gel of the first.");
    snprintf(schedule->most_sensitive, sizeof schedule->most_sensitive, "data-sheet gel time");
    return schedule;
}

static inline pc_schedule *fake_schedule(void) {
    return fake_schedule_many(1, 3);
}

/* A plausible history, by formula: warms, thickens, gels at gel_s, peaks at peak_s, cools. */
static inline void fake_history(const pc_schedule *schedule, size_t part, size_t n,
                                const double *time_s, pc_history_point *point) {
    const pc_part_plan *plan = schedule->part[part];
    for (size_t j = 0; j < plan->layer_count; j++) {
        const pc_layer *layer = plan->layer[j];
        for (size_t i = 0; i < n; i++) {
            pc_history_point *at = &point[j * n + i];
            double t = time_s[i] - layer->mix_s, gel = layer->gel_s - layer->mix_s;
            *at = (pc_history_point){time_s[i], NAN, NAN, NAN, NAN};
            if (!(t >= 0.0))
                continue;
            double u = t / gel, rise = layer->peak_K - 293.0;
            at->a = u < 1.0 ? 0.707 * pow(u, 0.8) : 0.707 + 0.25 * (1.0 - exp(1.0 - u));
            at->hottest_K = 293.0 + rise * exp(-pow((u - 0.8) / (u < 0.8 ? 0.45 : 1.2), 2.0));
            at->T_K = at->hottest_K - 1.0;
            at->mu_Pa_s =
                at->a < 0.707 ? 0.12 * pow(0.707 / (0.707 - at->a), 1.5 + at->a) : (double)INFINITY;
        }
    }
}

#endif
