/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Planning a piece of any numbers, and everything that is worked out from the plan. */
#include "day/day_plan.h"
#include "film/film_sums.h"
#include "fuzz.h"
#include "fuzz_bytes.h"
#include "fuzz_json.h"
#include "piece/supplies_order.h"
#include "pourclock.h"
#include "safety/air_sums.h"
#include "schedule/turn_plan.h"
#include "schedule/warm_words.h"

static pc_piece piece;
static pc_schedule *schedule;

static void change_shop(fuzz_bytes *b) {
    pc_shop *s = &piece.shop;
    double *const field[] = {&s->air_K,          &s->resin_K,         &s->mold_K,
                             &s->mix_time_s,     &s->pour_time_s,     &s->mold_rest_s,
                             &s->largest_mix_kg, &s->cup_loss,        &s->start_clock_s,
                             &s->room_m3,        &s->ventilation_m3_s};
    s->largest_mix_kg = take_byte(b) & 1 ? 0.5 : INFINITY;
    s->resin_given = take_byte(b) & 1;
    s->mold_given = take_byte(b) & 1;
    s->hands = (int)take_size(b, 4) - 1;
    s->room_m3 = 40;
    s->ventilation_m3_s = 0.1;
    double air = s->air_K;
    take_changes(b, sizeof field / sizeof *field, field);
    if (take_byte(b) & 1)
        s->air_K = s->resin_K = s->mold_K = air + take_byte(b) % 20 - 10;
    s->day_count = take_byte(b) % 8 ? 0 : 2;
    s->day[0] = (pc_day_point){take_number(b, 0, 30000), take_number(b, 285, 305)};
    s->day[1] = (pc_day_point){take_number(b, 30001, 80000), take_number(b, 285, 305)};
}

static void change_part(pc_part *part, fuzz_bytes *b) {
    double *const field[] = {
        &part->wall_m,          &part->pour_hole_m,         &part->first_layer_m,
        &part->volume_m3,       &part->least_layer_m,       &part->shape.area_m2,
        &part->shape.volume_m3, &part->shape.turn_radius_m, &part->shape.mean_curvature_m};
    take_changes(b, sizeof field / sizeof *field, field);
    part->layers_asked = take_byte(b) % 4 ? 1 : (int)take_size(b, 14) - 1;
}

static void change_rest(fuzz_bytes *b) {
    pc_resin *r = &piece.resin;
    pc_turning *t = &piece.turning;
    pc_mold *m = &piece.mold;
    double *const field[] = {
        &r->density_kg_m3,   &r->share_a,        &r->peak_limit_K,  &r->demold_below_K,
        &r->cure.A1_per_s,   &r->cure.E1_J_mol,  &r->cure.A2_per_s, &r->cure.m,
        &r->cure.n,          &r->cure.heat_J_kg, &r->cure.cp_J_kgK, &r->cure.k_W_mK,
        &r->cure.a_pot,      &r->cure.a_bond,    &r->cure.a_demold, &r->flow.mu_ref_Pa_s,
        &r->flow.c,          &r->flow.d,         &t->outer_rad_s,   &t->inner_rad_s,
        &t->reverse_every_s, &t->drop_length_m,  &m->rubber_m,      &m->shell_m,
        &m->limit_K};
    take_changes(b, sizeof field / sizeof *field, field);
    t->method = (pc_method)(take_byte(b) % 3);
    m->has_shell = take_byte(b) % 4 != 0;
    piece.margins.on = take_byte(b) % 32 == 0;
    piece.margins.samples = 8;
}

/* An otter's paw, and now and then its plinth. */
static bool any_piece(fuzz_bytes *b) {
    pc_piece_defaults(&piece);
    const char *const set[][3] = {{"hollow", "area", "90 cm2"}, {"hollow", "wall", "2 mm"}};
    for (size_t i = 0; i < sizeof set / sizeof *set; i++)
        FUZZ_PROMISE(pc_piece_set(&piece, set[i][0], set[i][1], set[i][2], NULL) == PC_OK);
    FUZZ_PROMISE(pc_resin_defaults((pc_family)(take_byte(b) % PC_FAMILY_COUNT), &piece.resin) ==
                 PC_OK);
    memcpy(piece.resin.name, "any", 4);
    change_shop(b);
    change_part(&piece.part[0], b);
    change_rest(b);
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pc_piece_check(&piece, &errors);
    FUZZ_PROMISE((status == PC_OK) == (errors.count == 0));
    pc_errors_free(&errors);
    pc_piece_fingerprint(&piece);
    FUZZ_PROMISE(!(pc_piece_peak_limit(&piece, 0) > pc_piece_resin(&piece, 0, 0)->peak_limit_K));
    return status == PC_OK;
}

/* NaN where one is not known; else in order, also of a plan that misses its limits. */
static bool in_order(double early, double nominal, double late) {
    return !(early > nominal) && !(nominal > late) && !(early > late);
}

static void sound(void) {
    FUZZ_PROMISE(isfinite(schedule->resin_kg) && schedule->resin_kg > 0);
    for (size_t p = 0; p < schedule->part_count; p++) {
        const pc_part_plan *part = schedule->part[p];
        FUZZ_PROMISE(part->layer_count >= 1 && part->layer_count <= PC_LAYERS_MOST);
        for (size_t i = 0; i < part->layer_count; i++) {
            const pc_layer *l = part->layer[i];
            FUZZ_PROMISE(l->batch_kg > 0 && isfinite(l->batch_kg) && l->thickness_m > 0);
            FUZZ_PROMISE(l->pour_s >= l->mix_s && l->pour_end_s >= l->pour_s);
            FUZZ_PROMISE(!schedule->feasible || l->gel_s > l->pour_end_s);
            FUZZ_PROMISE(in_order(l->pour_by_early_s, l->pour_by_s, NAN));
            FUZZ_PROMISE(in_order(l->set_early_s, l->set_s, NAN));
            FUZZ_PROMISE(in_order(l->gel_early_s, l->gel_s, l->gel_late_s));
            FUZZ_PROMISE(in_order(l->closes_early_s, l->closes_s, NAN));
            FUZZ_PROMISE(in_order(NAN, l->peak_K, l->peak_late_K));
            FUZZ_PROMISE(in_order(pc_pour_deadline(part, i), l->pour_by_s, NAN));
        }
        FUZZ_PROMISE(in_order(NAN, part->demold_s, part->demold_late_s));
    }
    for (size_t i = 0; i < schedule->step_count; i++)
        FUZZ_PROMISE(isfinite(schedule->step[i]->at_s));
    char *text = NULL;
    judge_json(pc_schedule_json(&piece, schedule, &text), &text);
}

static void stand(fuzz_bytes *b) {
    pc_ventilation air;
    pc_standing hot;
    pc_cautions cautions = {0};
    FUZZ_PROMISE(pci_ventilation_of(&piece, schedule, &air) == PC_OK);
    const pc_resin *mix;
    FUZZ_PROMISE(pc_ventilation_of_vapor(&piece, schedule, 0, &mix, &air) == PC_OK);
    FUZZ_PROMISE(status_is_known(pc_standing_of(&piece, schedule, &hot)));
    pc_status status =
        pc_cautions_make(&piece, schedule, take_byte(b) & 1 ? PC_US : PC_METRIC, &cautions);
    FUZZ_PROMISE(status_is_known(status) && (status != PC_OK || cautions.count >= 4));
    pc_cautions_free(&cautions);
    status = pc_cautions_of_resin(&piece.resin, PC_METRIC, &cautions);
    FUZZ_PROMISE(status_is_known(status) && (status != PC_OK || cautions.count >= 4));
    pc_cautions_free(&cautions);
    const pc_exposure *row[8];
    char text[64];
    size_t rows = pci_exposure_of(&piece.resin, row, 8);
    FUZZ_PROMISE(rows <= 8 && (rows > 0 || !pci_has_styrene(&piece.resin)));
    for (size_t i = 0; i < rows; i++)
        FUZZ_PROMISE(pci_exposure_text(row[i], text, sizeof text) > 0);
    const char *const *texts;
    FUZZ_PROMISE(pci_warm_cautions(&piece, &texts) < 20);
}

static void supplies(fuzz_bytes *b) {
    static pc_order order;
    static pc_prices prices;
    static pc_supplies s;
    pci_order_defaults(&order);
    double *const field[] = {&order.loss,        &order.box_m3,       &order.chunks,
                             &order.rubber_loss, &order.rubber_kg_m3, &order.shell_kg_m3,
                             &order.shell_loss,  &order.flange_m,     &order.release_m,
                             &order.day_s,       &order.thumb_N,      &order.thumb_radius_m,
                             &order.flat_m,      &order.handling_N,   &order.resin_strength_Pa};
    take_changes(b, sizeof field / sizeof *field, field);
    order.castings = (int)take_size(b, 40) - 1;
    order.way = take_byte(b) & 1 ? PC_POURED : PC_BLANKET;
    prices.count = take_byte(b) % 8;
    for (size_t i = 0; i < prices.count; i++)
        prices.kit[i] = (pc_kit){(pc_supply)(i % PC_SUPPLY_COUNT),
                                 "kit",
                                 take_number(b, 0.1, 5),
                                 i % 2 ? 0 : take_number(b, 0.1, 5),
                                 take_number(b, 0, 100),
                                 2,
                                 ""};
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status =
        pc_supplies_make(&piece, schedule, &order, take_byte(b) & 1 ? &prices : NULL, &s, &errors);
    FUZZ_PROMISE(status_is_known(status) && (status != PC_E_VALUE || errors.count > 0));
    for (size_t i = 0; status == PC_OK && i < s.need_count; i++)
        FUZZ_PROMISE(!(s.need[i].amount < 0) && !(s.need[i].cost < 0) && s.need[i].kits >= 0);
    pc_errors_free(&errors);
    char *text = NULL;
    if (status == PC_OK)
        judge_json(pc_supplies_json(&piece, schedule, &order, &s, &text), &text);
}

static void replan(fuzz_bytes *b) {
    static pc_actual actual;
    static pc_schedule *again;
    pc_actual_init(&actual);
    pc_actual_layer *l = &actual.layer[0][0];
    l->mix_s = take_number(b, 0, 10);
    l->pour_end_s = take_byte(b) & 1 ? NAN : take_number(b, 50, 300);
    l->gel_s = take_byte(b) & 1 ? NAN : take_number(b, 300, 3000);
    l->discarded = (int)(take_byte(b) % 3);
    double now = take_number(b, 0, 5000);
    pc_pace pace = {0};
    pc_status status = pc_pace_estimate(&piece, schedule, &actual, now, &pace);
    FUZZ_PROMISE(status_is_known(status));
    FUZZ_PROMISE(status != PC_OK || (isfinite(pace.ln_s) && pace.ln_s_error >= 0));
    status = pc_replan(&piece, schedule, &actual, now, take_byte(b) & 1 ? &pace : NULL, &again);
    FUZZ_PROMISE(status_is_known(status));
    pc_schedule_free(again);
}

static void rest(fuzz_bytes *b) {
    double t[3] = {take_number(b, 0, 100), take_number(b, 100, 1000), take_number(b, 1000, 5000)};
    static pc_history_point point[3 * PC_LAYERS_MOST];
    size_t part = take_size(b, 2);
    pc_status status = pc_schedule_history(&piece, schedule, part, take_byte(b) % 4, t, point);
    FUZZ_PROMISE(status_is_known(status) && (part < schedule->part_count || status != PC_OK));
    static pc_turn_plan turn;
    status = pci_turn_plan_make(&piece, schedule, part, &turn);
    FUZZ_PROMISE(status_is_known(status));
    for (size_t i = 0; status == PC_OK && i < turn.count; i++)
        FUZZ_PROMISE(pci_mu_history_check(&turn.layer[i].history) == PC_OK);
    pci_turn_plan_free(&turn);
    static pci_day day;
    pci_day_job job;
    pci_day_defaults(&day);
    day.setup_s = take_number(b, 0, 600);
    day.demold_s = take_number(b, 0, 1200);
    FUZZ_PROMISE(status_is_known(pci_day_job_of(&piece, schedule, &day, &job)));
}

static void warm(fuzz_bytes *b) {
    pc_warm_grid grid;
    pci_warm_grid_default(&piece, &grid);
    FUZZ_PROMISE(grid.resin_count <= 7 && grid.mold_count <= 7 && grid.room_count <= 3);
    grid.resin_count = take_size(b, 2);
    grid.mold_count = take_byte(b) % 4 ? 1 : take_size(b, PC_WARM_SIDE_MOST);
    grid.room_count = 1;
    if (grid.mold_count > 2 && grid.mold_count <= PC_WARM_SIDE_MOST)
        return;
    grid.resin_K[0] = take_number(b, 283, 318);
    grid.mold_K[0] = take_number(b, 283, 333);
    grid.room_K[0] = take_number(b, 283, 308);
    pc_warm w = {0};
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pc_warm_run(&piece, &grid, &w, &errors);
    FUZZ_PROMISE(status_is_known(status));
    FUZZ_PROMISE(status != PC_OK || w.cheapest == SIZE_MAX || w.cheapest < w.count);
    char *text = NULL;
    if (status == PC_OK)
        judge_json(pc_warm_json(&piece, &w, &text), &text);
    pc_warm_free(&w);
    pc_errors_free(&errors);
}

/* The search for a better program takes long. */
static void turning(fuzz_bytes *b) {
    pc_turn_report report = {0};
    pc_errors errors = PC_ERRORS_INIT;
    pc_map *map = NULL;
    pc_spread spread;
    char *text = NULL;
    if (take_byte(b) % 4)
        piece.turning.method = take_byte(b) & 1 ? PC_DRAIN : PC_HAND;
    pc_status status = pc_turn_report_make(&piece, schedule, &report, &errors);
    FUZZ_PROMISE(status_is_known(status) && (status != PC_E_VALUE || errors.count > 0));
    if (status == PC_OK) {
        FUZZ_PROMISE(report.count >= 1 && report.count <= piece.part_count);
        judge_json(pc_turn_json(&piece, schedule, &report, &text), &text);
        status = pc_turn_map(&piece.turning, &report.part[0], SIZE_MAX, NULL,
                             take_number(b, 0.03, 0.3), &map, &spread);
        FUZZ_PROMISE(status_is_known(status) && (status == PC_OK) == (map != NULL));
    }
    pc_map_free(map);
    pc_turn_report_free(&report);
    pc_errors_free(&errors);
}

static void (*const after[])(fuzz_bytes *) = {stand, supplies, replan, rest, warm, turning};

bool fuzz_accepts(const uint8_t *data, size_t size) {
    fuzz_bytes b = {data, size};
    size_t pick = take_byte(&b) % (sizeof after / sizeof *after);
    bool good = any_piece(&b);
    if (good) {
        pc_errors errors = PC_ERRORS_INIT;
        pc_status status = pc_schedule_make(&piece, &schedule, &errors);
        FUZZ_PROMISE(status_is_known(status));
        good = status == PC_OK;
        if (good) {
            sound();
            after[pick](&b);
        }
        pc_schedule_free(schedule);
        pc_errors_free(&errors);
    }
    pc_piece_free(&piece);
    return good;
}

FUZZ_ENTRY
