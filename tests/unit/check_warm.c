/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The cold shop: the grid of temperatures, what it says, and a mold out of the oven. */
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "pourclock/schedule.h"
#include "pourclock/warm.h"
#include "resin/cup.h"
#include "resin/cure_rate.h"
#include "schedule/warm_words.h"
#include "sheet/resin_file.h"
#include "test_resins.h"
#include "unit.h"

static const double C0 = PC_ZERO_CELSIUS_K;

static void set(pc_piece *piece, const char *section, const char *key, const char *value) {
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pc_piece_set(piece, section, key, value, &errors);
    ck_assert_msg(status == PC_OK, "%s: %s", key, errors.count ? errors.item[0].text : "");
    pc_errors_free(&errors);
}

static void otter(pc_piece *piece, const char *resin, const char *shop) {
    char path[512];
    snprintf(path, sizeof path, "%s/examples/resins/%s.ini", TEST_SRCDIR, resin);
    pc_piece_defaults(piece);
    assert_ok(pci_resin_read(path, &piece->resin, NULL));
    set(piece, "hollow", "area", "210 sq in");
    set(piece, "hollow", "wall", "3/16 in");
    set(piece, "shop", "temperature", shop);
    piece->margins.on = false;
}

static void grid_of(const double resin_C[], size_t resins, const double mold_C[], size_t molds,
                    double room_C, pc_warm_grid *grid) {
    memset(grid, 0, sizeof *grid);
    grid->resin_count = resins;
    grid->mold_count = molds;
    grid->room_count = 1;
    for (size_t i = 0; i < resins; i++)
        grid->resin_K[i] = C0 + resin_C[i];
    for (size_t i = 0; i < molds; i++)
        grid->mold_K[i] = C0 + mold_C[i];
    grid->room_K[0] = C0 + room_C;
}

/* A cell is what a nominal schedule at these temperatures says, but for the coarse grid. */
START_TEST(test_cell_is_the_schedule) {
    static const double resin_C[] = {18, 25}, mold_C[] = {10, 30};
    pc_piece piece;
    pc_warm_grid grid;
    pc_warm warm;
    otter(&piece, "fast-urethane", "10 C");
    set(&piece, "hollow", "layers", "3");
    grid_of(resin_C, 2, mold_C, 2, 10, &grid);
    assert_ok(pc_warm_run(&piece, &grid, &warm, NULL));
    ck_assert_uint_eq(warm.count, 4);
    for (size_t i = 0; i < warm.count; i++) {
        pc_schedule *s;
        piece.shop.resin_K = warm.cell[i].resin_K;
        piece.shop.mold_K = warm.cell[i].mold_K;
        assert_ok(pc_schedule_make(&piece, &s, NULL));
        ck_assert_int_eq(warm.cell[i].feasible, s->feasible);
        assert_close(warm.cell[i].demold_s, s->demold_s, 0.004);
        assert_near(warm.cell[i].slack_s,
                    s->part[0]->layer[1]->pour_by_s - s->part[0]->layer[1]->pour_end_s, 0.01);
        ck_assert_uint_eq(warm.cell[i].layers, 3);
        pc_schedule_free(s);
    }
    pc_warm_free(&warm);
    pc_piece_free(&piece);
}
END_TEST

/* The warmer the resin, the shorter its pot life; the warmer the mold, the sooner it is out. */
START_TEST(test_warmth_shortens) {
    static const double resin_C[] = {10, 14, 18, 22}, mold_C[] = {10, 15, 20, 25};
    pc_piece piece;
    pc_warm_grid grid;
    pc_warm warm;
    otter(&piece, "slow-urethane", "10 C");
    set(&piece, "hollow", "layers", "3");
    grid_of(resin_C, 4, mold_C, 4, 10, &grid);
    assert_ok(pc_warm_run(&piece, &grid, &warm, NULL));
    for (size_t m = 0; m < 4; m++)
        for (size_t r = 0; r < 4; r++) {
            const pc_warm_cell *cell = &warm.cell[4 * m + r];
            ck_assert(isfinite(cell->demold_s) && isfinite(cell->pot_life_s));
            if (r > 0)
                ck_assert(cell->pot_life_s < cell[-1].pot_life_s);
            if (r > 0)
                ck_assert(cell->demold_s < cell[-1].demold_s);
            if (m > 0)
                ck_assert(cell->demold_s < cell[-4].demold_s);
        }
    pc_warm_free(&warm);
    pc_piece_free(&piece);
}
END_TEST

/* Cooled below 16 C, where the schedule warns. */
static bool is_chilled(const pc_warm *warm, size_t i) {
    return warm->cell[i].resin_K < PC_ZERO_CELSIUS_K + 16.0 &&
           warm->cell[i].resin_K < warm->now.resin_K - 0.1;
}

/* A hot shop and slow hands: nothing holds but cooling, and the sentence says so. */
START_TEST(test_names_the_least_change) {
    pc_piece piece;
    pc_warm_grid grid;
    pc_warm warm;
    otter(&piece, "fast-urethane", "32 C");
    set(&piece, "shop", "mix_time", "90 s");
    pci_warm_grid_default(&piece, &grid);
    ck_assert_uint_le(grid.resin_count * grid.mold_count * grid.room_count, 147);
    assert_ok(pc_warm_run(&piece, &grid, &warm, NULL));
    ck_assert(!warm.now.feasible);
    ck_assert_uint_ne(warm.cheapest, SIZE_MAX);
    const pc_warm_cell *cheap = &warm.cell[warm.cheapest];
    ck_assert(cheap->feasible && cheap->resin_K < piece.shop.resin_K);
    for (size_t i = 0; i < warm.count; i++)
        if (warm.cell[i].feasible) {
            if (is_chilled(&warm, i))
                continue;
            ck_assert(warm.cell[i].effort >= cheap->effort - 1e-9);
            ck_assert(warm.cell[i].demold_s >= warm.cell[warm.fastest].demold_s);
            ck_assert_str_eq(warm.cell[i].why, "");
        } else
            ck_assert_str_ne(warm.cell[i].why, "");
    ck_assert_msg(strncmp(warm.sentence, "Cool the resin to ", 18) == 0, "%s", warm.sentence);
    pc_warm_free(&warm);
    pc_piece_free(&piece);
}
END_TEST

/* Bug 1 of warming: cooling the resin to 12 C and heating the mold was named the fastest, though
 * the schedule warns of resin below 16 C, which mixes badly and holds bubbles. */
START_TEST(test_bug_1_cooling_until_thick_stands_back) {
    pc_piece piece;
    pc_warm_grid grid;
    pc_warm warm;
    otter(&piece, "slow-urethane", "22 C");
    fixed_urethane(&piece.resin);
    pci_cure_rescale(&piece.resin.cure, log(0.4), 0.0, PC_SHEET_K);
    pci_warm_grid_default(&piece, &grid);
    grid.room_count = 1;
    assert_ok(pc_warm_run(&piece, &grid, &warm, NULL));
    ck_assert_uint_ne(warm.fastest, SIZE_MAX);
    double faster_s = INFINITY;
    for (size_t i = 0; i < warm.count; i++)
        if (warm.cell[i].feasible && is_chilled(&warm, i))
            faster_s = fmin(faster_s, warm.cell[i].demold_s);
    ck_assert_double_lt(faster_s, warm.cell[warm.fastest].demold_s); /* a case of it */
    ck_assert(!is_chilled(&warm, warm.fastest) && !is_chilled(&warm, warm.cheapest));
    ck_assert_ptr_null(strstr(warm.sentence, "is thick"));
    pc_warm_free(&warm);
    /* Where nothing else is tried it is named, with the schedule's warning. */
    grid.resin_count = grid.mold_count = 1;
    grid.resin_K[0] = PC_ZERO_CELSIUS_K + 13.0;
    assert_ok(pc_warm_run(&piece, &grid, &warm, NULL));
    ck_assert_uint_eq(warm.fastest, 0);
    ck_assert_msg(strstr(warm.sentence, "; resin at 13 C is thick: it mixes badly") != NULL, "%s",
                  warm.sentence);
    pc_warm_free(&warm);
    pc_piece_free(&piece);
    /* As it is in a cold shop. */
    otter(&piece, "fast-urethane", "10 C");
    grid.resin_K[0] = PC_ZERO_CELSIUS_K + 22.0;
    grid.room_K[0] = PC_ZERO_CELSIUS_K + 10.0;
    assert_ok(pc_warm_run(&piece, &grid, &warm, NULL));
    ck_assert_msg(!warm.now.feasible || strstr(warm.sentence, "(but resin at 10 C is thick"), "%s",
                  warm.sentence);
    ck_assert(warm.now.feasible);
    pc_warm_free(&warm);
    pc_piece_free(&piece);
}
END_TEST

/* Bug 2: without the wall map a piece "holds as it is" whose schedule breaks: a layer of it would
 * come out too thin. */
START_TEST(test_bug_2_thin_walls_are_seen) {
    static const double resin_C[] = {18, 28}, mold_C[] = {23, 28};
    pc_piece piece;
    pc_warm_grid grid;
    pc_warm warm;
    otter(&piece, "fast-urethane", "28 C");
    set(&piece, "hollow", "area", "1042 cm2");
    set(&piece, "hollow", "wall", "5 mm");
    set(&piece, "shop", "pour_time", "40 s");
    grid_of(resin_C, 2, mold_C, 2, 28, &grid);
    assert_ok(pc_warm_run(&piece, &grid, &warm, NULL));
    size_t thin = 0, holds = 0;
    for (size_t i = 0; i < warm.count; i++) {
        pc_schedule *s;
        piece.shop.resin_K = warm.cell[i].resin_K;
        piece.shop.mold_K = warm.cell[i].mold_K;
        assert_ok(pc_schedule_make(&piece, &s, NULL));
        ck_assert_int_eq(warm.cell[i].feasible, s->feasible);
        if (strcmp(warm.cell[i].why, "thin") == 0)
            thin++;
        if (warm.cell[i].feasible)
            holds++;
        pc_schedule_free(s);
    }
    ck_assert(thin > 0 && holds > 0);
    ck_assert(!warm.now.feasible);
    pc_warm_free(&warm);
    pc_piece_free(&piece);
}
END_TEST

START_TEST(test_a_day_is_shifted_whole) {
    static const double resin_C[] = {18}, mold_C[] = {18};
    pc_piece piece;
    pc_warm_grid grid;
    pc_warm steady, day;
    otter(&piece, "fast-urethane", "18 C");
    grid_of(resin_C, 1, mold_C, 1, 23, &grid);
    assert_ok(pc_warm_run(&piece, &grid, &steady, NULL));
    /* A day that is the same at every hour is no other day. */
    piece.shop.day_count = 2;
    piece.shop.day[0] = (pc_day_point){6 * 3600.0, C0 + 18};
    piece.shop.day[1] = (pc_day_point){18 * 3600.0, C0 + 18};
    assert_ok(pc_warm_run(&piece, &grid, &day, NULL));
    assert_close(day.cell[0].demold_s, steady.cell[0].demold_s, 1e-4);
    pc_warm_free(&steady);
    pc_warm_free(&day);
    pc_piece_free(&piece);
}
END_TEST

/* A plan, whether it keeps every limit or not. */
static void plan_it(const pc_piece *piece, pc_schedule **s) {
    pc_status status = pc_schedule_make(piece, s, NULL);
    ck_assert_msg(status == PC_OK, "%s", pci_status_name(status));
}

/* Out of the oven at 45 C the mold helps; the longer it stands before the first pour, the less, and
 * after hours it is as if it had never been there. */
START_TEST(test_mold_cools_on_the_way) {
    static const char *const rest[] = {"0 s", "10 min", "30 min", "12 h"};
    double demold_s[4], cold_s;
    pc_piece piece;
    pc_schedule *s;
    otter(&piece, "slow-urethane", "15 C");
    set(&piece, "hollow", "layers", "3");
    plan_it(&piece, &s);
    cold_s = s->demold_s;
    pc_schedule_free(s);
    set(&piece, "shop", "mold_temperature", "45 C");
    for (int i = 0; i < 4; i++) {
        set(&piece, "shop", "mold_rest", rest[i]);
        plan_it(&piece, &s);
        demold_s[i] = s->demold_s;
        if (i > 0)
            ck_assert_msg(demold_s[i] > demold_s[i - 1], "%s", rest[i]);
        pc_schedule_free(s);
    }
    ck_assert(demold_s[0] < 0.8 * cold_s);
    assert_close(demold_s[3], cold_s, 1e-5);
    pc_piece_free(&piece);
}
END_TEST

START_TEST(test_refuses_bad_grids) {
    static const double C[] = {18};
    pc_piece piece;
    pc_warm_grid grid;
    pc_warm warm;
    otter(&piece, "fast-urethane", "18 C");
    grid_of(C, 1, C, 1, NAN, &grid);
    assert_status(pc_warm_run(&piece, &grid, &warm, NULL), PC_E_ARGUMENT);
    pc_warm_free(&warm);
    grid_of(C, 1, C, 1, 18, &grid);
    grid.mold_count = PC_WARM_SIDE_MOST + 1;
    assert_status(pc_warm_run(&piece, &grid, &warm, NULL), PC_E_ARGUMENT);
    pc_warm_free(&warm);
    grid_of(C, 1, C, 1, 18, &grid);
    grid.resin_K[0] = C0 + 200.0;
    assert_status(pc_warm_run(&piece, &grid, &warm, NULL), PC_E_ARGUMENT);
    pc_warm_free(&warm);
    pc_piece_free(&piece);
}
END_TEST

/* A side that names no temperature is tried as is usual. */
START_TEST(test_side_left_open) {
    static const double C[] = {18};
    pc_piece piece;
    pc_warm_grid grid, usual;
    pc_warm warm;
    otter(&piece, "fast-urethane", "18 C");
    grid_of(C, 0, C, 1, 18, &grid);
    pci_warm_grid_default(&piece, &usual);
    assert_ok(pc_warm_run(&piece, &grid, &warm, NULL));
    ck_assert_uint_eq(warm.grid.resin_count, usual.resin_count);
    ck_assert_uint_eq(warm.grid.mold_count, 1);
    ck_assert_uint_eq(warm.count, usual.resin_count);
    assert_close(warm.cell[usual.resin_count - 1].resin_K, usual.resin_K[usual.resin_count - 1],
                 1e-9);
    pc_warm_free(&warm);
    pc_piece_free(&piece);
}
END_TEST

START_TEST(test_cautions_by_family) {
    pc_piece piece;
    const char *const *text;
    otter(&piece, "polyester", "18 C");
    ck_assert_uint_ge(pci_warm_cautions(&piece, &text), 4);
    ck_assert_ptr_nonnull(strstr(text[0], "peroxide"));
    pc_piece_free(&piece);
    otter(&piece, "fast-urethane", "18 C");
    ck_assert_uint_ge(pci_warm_cautions(&piece, &text), 4);
    ck_assert_ptr_nonnull(strstr(text[0], "flame"));
    ck_assert_uint_eq(pci_warm_cautions(NULL, &text), 0);
    pc_piece_free(&piece);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("warm");
    TCase *warm = tcase_create("warm");
    tcase_set_timeout(warm, 300);
    tcase_add_test(warm, test_cell_is_the_schedule);
    tcase_add_test(warm, test_warmth_shortens);
    tcase_add_test(warm, test_names_the_least_change);
    tcase_add_test(warm, test_bug_1_cooling_until_thick_stands_back);
    tcase_add_test(warm, test_bug_2_thin_walls_are_seen);
    tcase_add_test(warm, test_a_day_is_shifted_whole);
    tcase_add_test(warm, test_mold_cools_on_the_way);
    tcase_add_test(warm, test_refuses_bad_grids);
    tcase_add_test(warm, test_side_left_open);
    tcase_add_test(warm, test_cautions_by_family);
    suite_add_tcase(suite, warm);
    return run_suite(suite);
}
