/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cautions: word for word for each family, against tests/data/cautions-FAMILY.txt; and what makes
 * each of them appear, change or stay away. */
#include "unit.h"

#include <stdio.h>
#include <string.h>

#include "fake_plan.h"
#include "pourclock/safety.h"
#include "pourclock/warm.h"
#include "safety/air_sums.h"
#include "schedule/warm_words.h"

/* Constants of the test's own: what is printed does not move with the families' priors. */
static void plan_of(pc_family family, pc_piece *piece, pc_schedule **schedule) {
    fake_plan(family, 3, 0.25, piece, schedule);
    piece->resin.cure = (pc_cure){.A1_per_s = 7.398e6,
                                  .E1_J_mol = 54870,
                                  .m = 1,
                                  .n = 2,
                                  .heat_J_kg = 256e3,
                                  .cp_J_kgK = 1800,
                                  .k_W_mK = 0.2,
                                  .a_gel = 0.7,
                                  .a_pot = 0.42,
                                  .a_bond = 0.9,
                                  .a_demold = 0.95};
    pc_layer **layer = (*schedule)->part[0]->layer;
    layer[2]->peak_K = 353.15;
    layer[0]->fill_T_K = layer[1]->fill_T_K = layer[2]->fill_T_K = 298.15;
    piece->resin.catalyst = (pc_catalyst){.at = 0.01, .low = 0.0075, .high = 0.03, .power = 1};
    piece->mold.rubber_m = 0.01;
    piece->mold.rubber_kind = PC_SILICONE;
    piece->shop.room_m3 = piece->shop.ventilation_m3_s = NAN;
}

static const char *text_of(const pc_cautions *list, const char *code) {
    for (size_t i = 0; i < list->count; i++)
        if (!strcmp(list->item[i].code, code))
            return list->item[i].text;
    return "";
}

static bool says(const pc_cautions *list, const char *code, const char *words) {
    return strstr(text_of(list, code), words) != NULL;
}

/* "code: text", a line each, as in the file; on a difference the list is left in the build folder.
 */
static void check_word_for_word(const pc_cautions *list, const char *name) {
    char path[1024], line[1200], expected[1200];
    snprintf(path, sizeof path, TEST_SRCDIR "/tests/data/cautions-%s.txt", name);
    FILE *golden = fopen(path, "r");
    snprintf(path, sizeof path, TEST_BUILDDIR "/cautions-%s.actual", name);
    FILE *actual = fopen(path, "w");
    ck_assert_ptr_nonnull(actual);
    bool same = golden != NULL;
    for (size_t i = 0; i < list->count; i++) {
        snprintf(line, sizeof line, "%s%s: %s\n", list->item[i].always ? "always " : "",
                 list->item[i].code, list->item[i].text);
        fputs(line, actual);
        same = same && fgets(expected, sizeof expected, golden) && !strcmp(line, expected);
    }
    same = same && !fgets(expected, sizeof expected, golden);
    if (golden)
        fclose(golden);
    fclose(actual);
    ck_assert_msg(same, "the cautions differ from tests/data/cautions-%s.txt: see %s", name, path);
    remove(path);
}

START_TEST(each_family_word_for_word) {
    pc_piece piece;
    pc_schedule *schedule;
    pc_cautions list;
    for (int family = 0; family < PC_FAMILY_COUNT; family++) {
        plan_of((pc_family)family, &piece, &schedule);
        if (family == PC_POLYESTER) {
            piece.shop.room_m3 = 60;
            piece.shop.ventilation_m3_s = 100.0 / 3600;
        }
        assert_ok(
            pc_cautions_make(&piece, schedule, family == PC_URETHANE ? PC_US : PC_METRIC, &list));
        check_word_for_word(&list, pc_family_word((pc_family)family));
        for (size_t i = 0; i < list.count; i++) { /* nothing cut short, nothing out of order */
            ck_assert_uint_lt(strlen(list.item[i].text), sizeof list.item[i].text - 4);
            ck_assert(i == 0 || list.item[i].always >= list.item[i - 1].always);
        }
        ck_assert_str_eq(list.item[list.count - 1].code, "deferral");
        pc_cautions_free(&list);
        pc_cautions_free(&list);
        ck_assert_uint_eq(list.count, 0);
    }
}
END_TEST

START_TEST(each_resin_alone_word_for_word) {
    pc_piece piece;
    pc_schedule *schedule;
    pc_cautions list;
    char name[48];
    for (int family = 0; family < PC_FAMILY_COUNT; family++) {
        plan_of((pc_family)family, &piece, &schedule);
        assert_ok(pc_cautions_of_resin(&piece.resin, PC_METRIC, &list));
        snprintf(name, sizeof name, "resin-%s", pc_family_word((pc_family)family));
        check_word_for_word(&list, name);
        pc_cautions_free(&list);
    }
    assert_ok(pc_cautions_of_resin(NULL, PC_METRIC, &list)); /* no resin at hand: the block alone */
    for (size_t i = 0; i < list.count; i++)
        ck_assert(list.item[i].always);
    ck_assert_uint_ge(list.count, 12);
    pc_cautions_free(&list);
    piece.resin.cure.heat_J_kg = 1e7; /* no cup of it can be run: the bound is said */
    assert_ok(pc_cautions_of_resin(&piece.resin, PC_METRIC, &list));
    ck_assert(says(&list, "exotherm", "catch fire"));
    pc_cautions_free(&list);
    piece.resin.family = PC_FAMILY_COUNT;
    assert_status(pc_cautions_of_resin(&piece.resin, PC_METRIC, &list), PC_E_ARGUMENT);
    assert_status(pc_cautions_of_resin(NULL, PC_METRIC, NULL), PC_E_ARGUMENT);
}
END_TEST

/* What it says of the wall at a temperature. */
static void wall_at(pc_family family, double peak_C, pc_cautions *list) {
    pc_piece piece;
    pc_schedule *schedule;
    plan_of(family, &piece, &schedule);
    schedule->part[0]->layer[2]->peak_K = peak_C + 273.15;
    assert_ok(pc_cautions_make(&piece, schedule, PC_METRIC, list));
}

/* The same of a wall that gets there in the worst 5 % of cases only. */
static void late_wall_at(double peak_C, pc_cautions *list) {
    pc_piece piece;
    pc_schedule *schedule;
    plan_of(PC_URETHANE, &piece, &schedule);
    schedule->part[0]->layer[2]->peak_K = 70.0 + 273.15;
    schedule->part[0]->layer[2]->peak_late_K = peak_C + 273.15;
    assert_ok(pc_cautions_make(&piece, schedule, PC_METRIC, list));
}

START_TEST(two_tiers_of_the_wall) {
    pc_cautions list;
    wall_at(PC_URETHANE, 59.9, &list);
    ck_assert_str_eq(text_of(&list, "hot-mold"), "");
    pc_cautions_free(&list);
    wall_at(PC_URETHANE, 60.1, &list);
    ck_assert(says(&list, "hot-mold", "patience") && !says(&list, "hot-mold", "do not pour"));
    pc_cautions_free(&list);
    wall_at(PC_URETHANE, 99.9, &list);
    ck_assert(says(&list, "hot-mold", "Heat-proof") || says(&list, "hot-mold", "heat-proof"));
    ck_assert(!says(&list, "hot-mold", "do not pour"));
    pc_cautions_free(&list);
    late_wall_at(99.9, &list); /* planned cool, and hot in the worst 5 % of cases */
    ck_assert(!says(&list, "hot-mold", "worst 5 %"));
    pc_cautions_free(&list);
    late_wall_at(100.1, &list);
    ck_assert(says(&list, "hot-mold", "worst 5 %") && !says(&list, "hot-mold", "do not pour"));
    ck_assert(says(&list, "hot-mold", "stand clear") && says(&list, "hot-mold", "ventilate"));
    pc_cautions_free(&list);
    wall_at(PC_URETHANE, 100.1, &list);
    ck_assert(says(&list, "hot-mold", "do not pour this plan"));
    ck_assert(says(&list, "hot-mold", "never plugged") && says(&list, "hot-mold", "stand clear"));
    ck_assert(says(&list, "hot-mold", "ventilate") && says(&list, "hot-mold", "burst"));
    ck_assert(says(&list, "hot-mold", "fire"));
    ck_assert_str_eq(list.item[0].code, "hot-mold"); /* most important first */
    pc_cautions_free(&list);
    wall_at(PC_POLYESTER, 134.9, &list);
    ck_assert(!says(&list, "hot-mold", "145 C"));
    pc_cautions_free(&list);
    wall_at(PC_POLYESTER, 135.1, &list);
    ck_assert(says(&list, "hot-mold", "Styrene boils at 145 C (293 F)"));
    pc_cautions_free(&list);
    wall_at(PC_EPOXY, 160, &list);
    ck_assert(!says(&list, "hot-mold", "Styrene"));
    pc_cautions_free(&list);
}
END_TEST

/* A cup's tiers, by the heat of the resin. */
static void cup_of_heat(pc_family family, double heat_J_kg, pc_cautions *list) {
    pc_piece piece;
    pc_schedule *schedule;
    plan_of(family, &piece, &schedule);
    piece.resin.cure.heat_J_kg = heat_J_kg;
    assert_ok(pc_cautions_make(&piece, schedule, PC_METRIC, list));
}

START_TEST(tiers_of_a_cup) {
    pc_cautions list;
    cup_of_heat(PC_EPOXY, 20e3, &list);
    ck_assert(says(&list, "exotherm", "warm; do not pick it up with bare hands"));
    pc_cautions_free(&list);
    cup_of_heat(PC_EPOXY, 130e3, &list);
    ck_assert(says(&list, "exotherm", "burns skin and softens a cup"));
    pc_cautions_free(&list);
    cup_of_heat(PC_EPOXY, 300e3, &list);
    ck_assert(says(&list, "exotherm", "burst its container and catch fire"));
    ck_assert(!says(&list, "exotherm", "styrene"));
    pc_cautions_free(&list);
    cup_of_heat(PC_POLYESTER, 300e3, &list);
    ck_assert(says(&list, "exotherm", "the styrene in it boils"));
    pc_cautions_free(&list);
}
END_TEST

START_TEST(surplus_of_a_drained_mold) {
    pc_piece piece;
    pc_schedule *schedule;
    pc_cautions list;
    pc_standing standing;
    char words[64];
    plan_of(PC_POLYESTER, &piece, &schedule);
    assert_ok(pc_cautions_make(&piece, schedule, PC_METRIC, &list));
    ck_assert_str_eq(text_of(&list, "surplus"), "");
    pc_cautions_free(&list);
    piece.turning.method = PC_DRAIN;
    schedule->part[0]->layer[0]->surplus_kg = 0.44;
    assert_ok(pc_standing_of(&piece, schedule, &standing));
    assert_ok(pc_cautions_make(&piece, schedule, PC_METRIC, &list));
    snprintf(words, sizeof words, "calculated to reach %.0f C", standing.surplus_peak_K - 273.15);
    ck_assert(says(&list, "surplus", words) && says(&list, "surplus", "up to 440 g"));
    ck_assert(says(&list, "surplus", "never pour it back"));
    ck_assert(says(&list, "ventilation", "A drained mold stands open"));
    ck_assert(says(&list, "lifting", "750 g") && !*text_of(&list, "machine"));
    pc_cautions_free(&list);
}
END_TEST

START_TEST(room_stated_above_and_below_the_limit) {
    pc_piece piece;
    pc_schedule *schedule;
    pc_cautions list;
    plan_of(PC_POLYESTER, &piece, &schedule);
    piece.shop.room_m3 = 20;
    piece.shop.ventilation_m3_s = 0.001;
    assert_ok(pc_cautions_make(&piece, schedule, PC_US, &list));
    ck_assert(says(&list, "ventilation", "ABOVE THE LIMIT"));
    ck_assert(says(&list, "ventilation", "In the room of 706 ft3 with 2 cfm"));
    ck_assert(says(&list, "ventilation", "limit 50 ppm"));
    pc_cautions_free(&list);
    piece.shop.room_m3 = 1000;
    piece.shop.ventilation_m3_s = 10;
    assert_ok(pc_cautions_make(&piece, schedule, PC_METRIC, &list));
    ck_assert(says(&list, "ventilation", "In the room of 1000 m3 with 36000 m3/h"));
    ck_assert(!says(&list, "ventilation", "ABOVE"));
    pc_cautions_free(&list);
}
END_TEST

START_TEST(rubber_mixer_hands_and_solids) {
    pc_piece piece;
    pc_schedule *schedule;
    pc_cautions list;
    plan_of(PC_EPOXY, &piece, &schedule);
    piece.mold.rubber_kind = PC_URETHANE_RUBBER;
    piece.turning.method = PC_HAND;
    schedule->part[0]->layer[0]->batch_kg = 10.1;
    schedule->part[0]->layer[0]->cups = 2;
    assert_ok(pc_cautions_make(&piece, schedule, PC_METRIC, &list));
    ck_assert(says(&list, "rubber", "diisocyanate") && says(&list, "rubber", "stays out"));
    ck_assert(says(&list, "rubber", "general ventilation is not enough"));
    ck_assert(says(&list, "mixer", "5050 g") && says(&list, "plug", "vent"));
    ck_assert_str_eq(text_of(&list, "machine"), "");
    pc_cautions_free(&list);
    schedule->part[0]->layer[0]->batch_kg = 9.9;
    schedule->part[0]->kind = PC_SOLID;
    piece.mold.rubber_m = 0;
    assert_ok(pc_cautions_make(&piece, schedule, PC_METRIC, &list));
    ck_assert_str_eq(text_of(&list, "mixer"), "");
    ck_assert_str_eq(text_of(&list, "rubber"), "");
    ck_assert_str_eq(text_of(&list, "plug"), "");
    pc_cautions_free(&list);
    schedule->resin_K = NAN; /* what cannot be run in a cup gives no cautions, and says so */
    assert_status(pc_cautions_make(&piece, schedule, PC_METRIC, &list), PC_E_ARGUMENT);
    ck_assert_uint_eq(list.count, 0);
    assert_status(pc_cautions_make(NULL, schedule, PC_US, &list), PC_E_ARGUMENT);
    assert_status(pc_cautions_make(&piece, schedule, PC_US, NULL), PC_E_ARGUMENT);
}
END_TEST

/* Bug 1 of the cautions: the schedule said to warm with caps loosened, while its own remedy for
 * cold resin and `warm` say shut: water in the bath spoils a urethane. */
START_TEST(bug_1_containers_are_warmed_shut) {
    pc_piece piece;
    pc_schedule *schedule;
    pc_cautions list;
    const char *const *warm;
    plan_of(PC_URETHANE, &piece, &schedule);
    assert_ok(pc_cautions_make(&piece, schedule, PC_METRIC, &list));
    ck_assert(says(&list, "heat", "shut") && !says(&list, "heat", "loosened"));
    pc_cautions_free(&list);
    size_t count = pci_warm_cautions(&piece, &warm), shut = 0;
    for (size_t i = 0; i < count; i++) {
        shut += strstr(warm[i], "in their shut cans") != NULL;
        ck_assert_ptr_null(strstr(warm[i], "loosened"));
    }
    ck_assert_uint_eq(shut, 1);
}
END_TEST

/* Bug 2 of the cautions: a polyester's mold could be warmed to 60 C, above the flash point of
 * styrene. */
START_TEST(bug_2_nothing_with_styrene_is_warmed_above_30_C) {
    pc_piece piece;
    pc_schedule *schedule;
    pc_warm_grid grid;
    pc_warm warm;
    pc_errors errors = PC_ERRORS_INIT;
    const char *const *text;
    plan_of(PC_POLYESTER, &piece, &schedule);
    piece.shop.resin_given = piece.shop.mold_given = true;
    piece.mold.limit_K = INFINITY;
    pci_warm_grid_default(&piece, &grid);
    ck_assert_uint_ge(grid.mold_count, 2);
    for (size_t i = 0; i < grid.resin_count; i++)
        ck_assert(grid.resin_K[i] <= 303.15 + 1e-9);
    for (size_t i = 0; i < grid.mold_count; i++)
        ck_assert(grid.mold_K[i] <= 303.15 + 1e-9);
    for (size_t i = 0; i < grid.room_count; i++)
        ck_assert(grid.room_K[i] <= 303.15 + 1e-9);
    size_t count = pci_warm_cautions(&piece, &text), capped = 0;
    for (size_t i = 0; i < count; i++) {
        capped += strstr(text[i], "not above 30 C (86 F)") != NULL;
        ck_assert_ptr_null(strstr(text[i], "45 C"));
        ck_assert_ptr_null(strstr(text[i], "60 C"));
    }
    ck_assert_uint_eq(capped, 2); /* resin and mold */
    double *side[] = {grid.resin_K, grid.mold_K, grid.room_K};
    for (int i = 0; i < 3; i++) {
        double kept_K = side[i][0];
        side[i][0] = 303.25;
        assert_status(pc_warm_run(&piece, &grid, &warm, &errors), PC_E_VALUE);
        ck_assert_ptr_nonnull(strstr(errors.item[errors.count - 1].text, "31 C"));
        pc_warm_free(&warm);
        side[i][0] = kept_K;
    }
    pc_errors_free(&errors);
    plan_of(PC_URETHANE, &piece, &schedule);
    piece.mold.limit_K = INFINITY;
    pci_warm_grid_default(&piece, &grid);
    ck_assert(grid.mold_K[grid.mold_count - 1] > 310);
    strcpy(piece.resin.gives_off.name, "styrene"); /* whatever its family */
    pci_warm_grid_default(&piece, &grid);
    ck_assert(grid.mold_K[grid.mold_count - 1] <= 303.15 + 1e-9);
}
END_TEST

/* Bug 3 of the cautions: "calculated to reach 183 C (upper bound, no heat lost at all: 175 C)": the
 * bound was that of the plan, the heat that of the worst 5 % of cases. */
START_TEST(bug_3_the_bound_is_of_the_same_cases) {
    pc_piece piece;
    pc_schedule *schedule;
    pc_standing standing;
    plan_of(PC_POLYESTER, &piece, &schedule);
    pc_layer *last = schedule->part[0]->layer[2];
    last->peak_K = 441.15;
    assert_ok(pc_standing_of(&piece, schedule, &standing));
    double planned_most_K = standing.wall_most_K;
    last->peak_late_K = last->peak_K + 30.0; /* above the bound of the plan */
    ck_assert_double_gt(last->peak_late_K, planned_most_K);
    assert_ok(pc_standing_of(&piece, schedule, &standing));
    assert_near(standing.wall_most_K, planned_most_K + 30.0, 1e-9);
    ck_assert_double_lt(standing.wall_peak_K, standing.wall_most_K);
}
END_TEST

/* Bug 4 of the cautions: a turning machine for solids and brushed coats, and "plug and clamp" for
 * open forms: only what is turned is cautioned of. Bug 5: a plug for a mold of which every coat is
 * brushed, so that it is never closed. */
START_TEST(bug_4_only_what_turns_is_cautioned_of) {
    static const struct {
        pc_part_kind kind;
        pc_method method;
        bool open;
        int coat;
        const char *machine, *lifting, *plug; /* how each begins; "": not said */
    } row[] = {
        {PC_HOLLOW, PC_MACHINE, false, PC_COAT_TURN, "Turning machine (", "", "Plug"},
        {PC_HOLLOW, PC_MACHINE, false, PC_COAT_BRUSH, "", "", ""},
        {PC_HOLLOW, PC_MACHINE, false, PC_COAT_DRAIN, "", "Turning by hand: plug", "Plug"},
        {PC_HOLLOW, PC_HAND, false, PC_COAT_TURN, "", "Turning by hand: plug", "Plug"},
        {PC_HOLLOW, PC_HAND, true, PC_COAT_TURN, "", "Tilting by hand", ""},
        {PC_HOLLOW, PC_HAND, true, PC_COAT_BRUSH, "", "", ""},
        {PC_HOLLOW, PC_DRAIN, false, PC_COAT_AS_PIECE, "", "Turning by hand: plug", "Plug"},
        {PC_SOLID, PC_MACHINE, false, PC_COAT_AS_PIECE, "", "", ""},
        {PC_SOLID, PC_HAND, false, PC_COAT_AS_PIECE, "", "", ""},
    };
    pc_piece piece;
    pc_schedule *schedule;
    pc_cautions list;
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        plan_of(PC_EPOXY, &piece, &schedule);
        piece.turning.method = row[i].method;
        piece.part[0].kind = schedule->part[0]->kind = row[i].kind;
        piece.part[0].open = row[i].open;
        for (size_t k = 0; k < 3; k++)
            piece.part[0].coat[k] = (pc_coat){.number = (int)k + 1, .method = row[i].coat};
        piece.part[0].coat_count = 3;
        assert_ok(pc_cautions_make(&piece, schedule, PC_METRIC, &list));
        const char *said[] = {"machine", "lifting", "plug"};
        const char *begins[] = {row[i].machine, row[i].lifting, row[i].plug};
        for (int k = 0; k < 3; k++) {
            const char *text = text_of(&list, said[k]);
            ck_assert_msg(!*begins[k] == !*text && !strncmp(text, begins[k], strlen(begins[k])),
                          "row %zu, %s: %s", i, said[k], text);
        }
        pc_cautions_free(&list);
    }
}
END_TEST

int main(void) {
    Suite *suite = suite_create("cautions");
    TCase *tc = tcase_create("cautions");
    tcase_add_test(tc, each_family_word_for_word);
    tcase_add_test(tc, each_resin_alone_word_for_word);
    tcase_add_test(tc, two_tiers_of_the_wall);
    tcase_add_test(tc, tiers_of_a_cup);
    tcase_add_test(tc, surplus_of_a_drained_mold);
    tcase_add_test(tc, room_stated_above_and_below_the_limit);
    tcase_add_test(tc, rubber_mixer_hands_and_solids);
    tcase_add_test(tc, bug_1_containers_are_warmed_shut);
    tcase_add_test(tc, bug_2_nothing_with_styrene_is_warmed_above_30_C);
    tcase_add_test(tc, bug_3_the_bound_is_of_the_same_cases);
    tcase_add_test(tc, bug_4_only_what_turns_is_cautioned_of);
    suite_add_tcase(suite, tc);
    return run_suite(suite);
}
