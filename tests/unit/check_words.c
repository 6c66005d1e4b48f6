/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the plan says: limits, warnings, remedies, the sentence of the cold shop. */
#include "unit.h"

#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "fake_plan.h"
#include "pourclock/safety.h"
#include "pourclock/warm.h"
#include "resin/cup.h"
#include "schedule/build.h"
#include "schedule/warm_words.h"

static const double C0 = PC_ZERO_CELSIUS_K;

static pc_warm_cell cell_at(double resin_C, double mold_C, double room_C, const char *why) {
    pc_warm_cell cell = {.resin_K = C0 + resin_C, .mold_K = C0 + mold_C, .room_K = C0 + room_C};
    snprintf(cell.why, sizeof cell.why, "%s", why);
    cell.feasible = !*why;
    cell.demold_s = 3600.0;
    cell.peak_K = C0 + 95.0;
    cell.slack_s = -20.0;
    cell.effort = 2.0 * fabs(mold_C - 10.0) + fabs(resin_C - 10.0);
    return cell;
}

/* As it is, at 10 C: misses by `why`. Of what was tried nothing holds. */
static void nothing_holds(const pc_piece *piece, const char *why, const char *expected) {
    pc_warm_cell cell[1] = {cell_at(20.0, 10.0, 10.0, why)};
    pc_warm warm = {.count = 1,
                    .cell = cell,
                    .now = cell_at(10.0, 10.0, 10.0, why),
                    .cheapest = SIZE_MAX,
                    .fastest = SIZE_MAX};
    pci_warm_sentence(piece, &warm);
    char whole[400];
    snprintf(
        whole, sizeof whole,
        "No temperature tried makes it work: as it is it would %s; change the resin, the layers "
        "or the hands (pourclock schedule says how)",
        expected);
    ck_assert_str_eq(warm.sentence, whole);
}

START_TEST(every_limit_has_words_in_the_cold_shop) {
    static pc_piece piece;
    pc_piece_defaults(&piece);
    nothing_holds(&piece, "peak", "heat the wall to 95 C");
    nothing_holds(&piece, "pot-life", "leave the last of a batch 20 s too late");
    nothing_holds(&piece, "cure", "not cure in two weeks");
    nothing_holds(&piece, "turns", "let a layer gel too soon after it sets");
    nothing_holds(&piece, "thin", "need layers too thin to cover");
    nothing_holds(&piece, "first-layer", "need a first layer so thick that it hides bubbles");
    nothing_holds(&piece, "drain", "need layers that draining does not leave");
    nothing_holds(&piece, "mix-limit", "need more than the largest mix");
    nothing_holds(&piece, "none", "still miss a limit");
}
END_TEST

START_TEST(a_change_is_told_with_what_one_would_try_first) {
    static pc_piece piece;
    pc_piece_defaults(&piece);
    pc_warm_cell cell[3] = {cell_at(20.0, 10.0, 10.0, "turns"), cell_at(20.0, 30.0, 10.0, ""),
                            cell_at(20.0, 20.0, 20.0, "")};
    pc_warm warm = {.count = 3, .cell = cell, .now = cell_at(10.0, 10.0, 10.0, "pot-life")};
    warm.cheapest = 1;
    warm.fastest = 1;
    pci_warm_sentence(&piece, &warm);
    ck_assert_str_eq(warm.sentence,
                     "Warm the resin to 20 C and the mold to 30 C: then it works, out of the mold "
                     "after 1 h; warming the resin alone to 20 C would let a layer gel too soon "
                     "after it sets");
    warm.cheapest = 2;
    pci_warm_sentence(&piece, &warm);
    ck_assert_ptr_nonnull(
        strstr(warm.sentence, "Warm the shop, with resin and mold in it, to 20 C: then it works"));
    /* Holds as it is, with thick resin; a faster one is told, and cooled resin is called thick. */
    warm.now = cell_at(10.0, 10.0, 10.0, "");
    warm.now.demold_s = 7200.0;
    warm.cheapest = warm.fastest = 1;
    pci_warm_sentence(&piece, &warm);
    ck_assert_ptr_nonnull(strstr(warm.sentence, "It works as it is"));
    ck_assert_ptr_nonnull(strstr(warm.sentence, "(but resin at 10 C is thick"));
    ck_assert_ptr_nonnull(strstr(warm.sentence, "fastest: warm the resin to 20 C"));
    warm.fastest = SIZE_MAX;
    pci_warm_sentence(&piece, &warm);
    ck_assert_ptr_null(strstr(warm.sentence, "fastest"));
}
END_TEST

static const pc_warning *warning_of(const pc_schedule *schedule, const char *code) {
    for (size_t i = 0; i < schedule->warning_count; i++)
        if (strcmp(schedule->warning[i]->code, code) == 0)
            return schedule->warning[i];
    return NULL;
}

static const char *text_of(const pc_schedule *schedule, const char *code) {
    const pc_warning *w = warning_of(schedule, code);
    return w ? w->text : "no such warning";
}

/* Warnings of a plan filled by hand, to be freed. */
static void warn_of(const pc_piece *piece, pc_schedule *schedule) {
    while (schedule->warning_count > 0)
        free(schedule->warning[--schedule->warning_count]);
    assert_ok(pci_part_warnings(piece, 0, schedule));
}

/* Bug 1 of the words: of a large mold turned by hand, or drained, it was said to turn so fast that
 * resin is flung outward, and to turn its outer axis slower: it has none. 2.5 m across at 10 rpm is
 * w^2 R/g = 0.14. */
START_TEST(bug_1_hands_fling_no_resin) {
    static pc_piece piece;
    static pc_schedule *schedule;
    fake_plan(PC_URETHANE, 1, 0.2, &piece, &schedule);
    assert_ok(pc_shape_flat(20.0, &piece.part[0].shape));
    warn_of(&piece, schedule);
    const pc_warning *speed = warning_of(schedule, "speed");
    ck_assert_ptr_nonnull(speed);
    ck_assert_ptr_nonnull(strstr(speed->remedy, "turn the outer axis at "));
    for (int method = PC_HAND; method <= PC_DRAIN; method++) {
        piece.turning.method = (pc_method)method;
        warn_of(&piece, schedule);
        ck_assert_ptr_null(warning_of(schedule, "speed"));
    }
}
END_TEST

/* Three layers of a plan in order: nothing to warn of. Returns them. */
static pc_layer **quiet_plan(pc_piece *piece, pc_schedule **schedule) {
    fake_plan(PC_URETHANE, 3, 0.2, piece, schedule);
    pc_layer **layer = (*schedule)->part[0]->layer;
    piece->shop.start_clock_s = 9 * 3600;
    piece->part[0].least_layer_m = 0.8e-3;
    for (int i = 0; i < 3; i++) {
        layer[i]->pour_by_early_s = layer[i]->closes_early_s = layer[i]->closes_alone_s = NAN;
        layer[i]->set_s = layer[i]->pour_end_s + 300.0;
        layer[i]->thin_m = NAN;
    }
    warn_of(piece, *schedule);
    ck_assert_uint_eq((*schedule)->warning_count, 0);
    return layer;
}

/* Deadlines, each with what calls for the warning. */
START_TEST(deadlines_that_are_near_are_named) {
    static pc_piece piece;
    static pc_schedule *schedule;
    pc_layer **layer = quiet_plan(&piece, &schedule);
    /* Layers 1 and 3 with little to spare, 3 with less. */
    layer[0]->pour_by_s = layer[0]->pour_end_s + 40.0;
    layer[2]->pour_by_s = layer[2]->pour_end_s + 15.0;
    warn_of(&piece, schedule);
    ck_assert_str_eq(
        text_of(schedule, "pot-tight"),
        "hollow body: layers 1, 3 have little to spare before their deadlines, layer 3 "
        "only 15 s");
    layer[0]->pour_by_s = layer[0]->pour_end_s + 400.0;
    warn_of(&piece, schedule);
    ck_assert_str_eq(text_of(schedule, "pot-tight"),
                     "hollow body: layer 3 has only 15 s to spare before its deadline");
    layer[2]->pour_by_s = layer[2]->pour_end_s + 400.0;
    /* On an early day layer 2 has to be in before it is planned to be. */
    layer[1]->pour_by_early_s = layer[1]->pour_end_s - 30.0;
    warn_of(&piece, schedule);
    ck_assert_str_eq(text_of(schedule, "pot-tight"),
                     "hollow body: with a warmer day or a quicker batch layer 2 must be in by "
                     "09:21:00, before it is planned to be");
    layer[1]->pour_by_early_s = NAN;
    layer[0]->closes_s = layer[1]->pour_end_s - 60.0;
    warn_of(&piece, schedule);
    ck_assert_str_eq(text_of(schedule, "bond-window"),
                     "hollow body: layer 2 is poured by 09:21:30, after the bond window of "
                     "layer 1 closed at 09:20:30");
}
END_TEST

/* Films that are not known, not even, or do not run. */
START_TEST(films_that_are_no_good_are_named) {
    static pc_piece piece;
    static pc_schedule *schedule;
    pc_layer **layer = quiet_plan(&piece, &schedule);
    layer[1]->locks = true;
    warn_of(&piece, schedule);
    ck_assert_ptr_null(warning_of(schedule, "locks")); /* the first layer speaks for all */
    layer[0]->locks = true;
    warn_of(&piece, schedule);
    ck_assert_ptr_nonnull(strstr(warning_of(schedule, "locks")->remedy, "closes late"));
    layer[0]->locks = layer[1]->locks = false;
    snprintf(layer[1]->film_note, sizeof layer[1]->film_note, "its reason");
    warn_of(&piece, schedule);
    ck_assert_str_eq(text_of(schedule, "film"),
                     "hollow body, layer 2: the film cannot be calculated: its reason");
    piece.turning.method = PC_DRAIN;
    warn_of(&piece, schedule);
    ck_assert_str_eq(text_of(schedule, "film"),
                     "hollow body, layer 2 cannot be drained so: its reason");
    layer[1]->film_note[0] = '\0';
    piece.turning.method = PC_HAND;
    layer[2]->thin_m = 0.5e-3;
    layer[2]->set_s = layer[2]->pour_end_s + 100.0;
    warn_of(&piece, schedule);
    ck_assert_ptr_nonnull(strstr(text_of(schedule, "uneven"), "as thin as 0.50 mm"));
    layer[2]->thin_m = NAN;
    for (int i = 0; i < 2; i++)
        layer[i]->set_s = layer[i]->pour_end_s;
    warn_of(&piece, schedule);
    ck_assert_ptr_nonnull(
        strstr(text_of(schedule, "sets-at-once"), "the resin of layers 1, 2 from the moment"));
}
END_TEST

/* A solid of many stages, hot on an unlucky day. */
START_TEST(a_solid_is_warned_of_its_stages_and_its_heat) {
    static pc_piece piece;
    static pc_schedule *schedule;
    fake_plan(PC_URETHANE, 8, 0.2, &piece, &schedule);
    pc_part_plan *plan = schedule->part[0];
    plan->kind = piece.part[0].kind = PC_SOLID;
    piece.mold.limit_K = INFINITY;
    piece.resin.peak_limit_K = 353.15;
    piece.shop.largest_mix_kg = INFINITY;
    for (int i = 0; i < 8; i++) {
        plan->layer[i]->pour_by_early_s = plan->layer[i]->closes_early_s = NAN;
        plan->layer[i]->closes_s = plan->layer[i]->closes_alone_s = INFINITY;
    }
    plan->layer[2]->peak_late_K = piece.resin.peak_limit_K + 5.0;
    plan->layer[2]->peak_over_share = 0.12;
    warn_of(&piece, schedule);
    ck_assert_ptr_nonnull(strstr(text_of(schedule, "many-stages"), "it needs 8 stages over "));
    const pc_warning *hot = warning_of(schedule, "peak-margin");
    ck_assert_ptr_nonnull(strstr(hot->text, "exceeds it in 12 % of what the margins try"));
    ck_assert_ptr_nonnull(strstr(hot->text, "it reaches 85 C or more"));
    ck_assert_ptr_nonnull(strstr(hot->remedy, "pour in 9 (largest_mix = "));
    /* Where the largest mix asks for as many, another resin would change nothing. */
    piece.shop.largest_mix_kg = 0.21;
    warn_of(&piece, schedule);
    ck_assert_ptr_null(warning_of(schedule, "many-stages"));
}
END_TEST

/* Each limit that can break has a sentence with what is and what may be. */
START_TEST(every_limit_has_a_sentence) {
    static pc_piece piece;
    static pc_schedule *schedule;
    static const struct {
        pci_limit limit;
        const char *text;
    } row[] = {
        {{PCI_LIMIT_PEAK, 2, 363.15, 353.15, 1.2},
         "hollow body: layer 2 peaks at 90 C, the limit is 80 C"},
        {{PCI_LIMIT_POT_LIFE, 1, 120.0, 60.0, 2.0},
         "hollow body: layer 1 takes 2 min to mix and pour, 0.8 of its pot life is 1 min"},
        {{PCI_LIMIT_MIX, 3, 0.8, 0.5, 1.6},
         "hollow body: layer 3 needs 800 g in one cup, the largest mix is 500 g"},
        {{PCI_LIMIT_THIN, 2, 0.5e-3, 0.8e-3, 1.6},
         "hollow body: layer 2 is 0.50 mm thick, the minimum that covers is 0.80 mm"},
        {{PCI_LIMIT_FIRST, 1, 3e-3, 1.5e-3, 2.0},
         "hollow body: the first layer is 3.00 mm thick, more than 1.50 mm hides bubbles against "
         "the "
         "mold"},
        {{PCI_LIMIT_TURNS, 1, 3.25, 6.0, 1.8},
         "hollow body: layer 1 makes 3.2 turns of the slower axis between set and gel, 6 are "
         "needed "
         "for an even wall"},
        {{PCI_LIMIT_DRAIN, 2, 0.5e-3, 0.9e-3, 1.8},
         "hollow body: layer 2 is to be 0.50 mm thick, drained it keeps 0.90 mm at least"},
        {{PCI_LIMIT_CURE, 1, 1209600.0, 1209600.0, 2.0}, "hollow body does not cure within 336 h"},
    };
    enum { ROWS = sizeof row / sizeof row[0] };
    fake_plan(PC_URETHANE, 1, 0.2, &piece, &schedule);
    snprintf(piece.part[0].name, sizeof piece.part[0].name, "hollow body");
    piece.shop.largest_mix_kg = INFINITY;
    piece.shop.hands = 1;
    /* Out of the model's range: no remedy is looked for at length. */
    piece.part[0].wall_m = piece.part[0].least_layer_m = 1e-9;
    pci_case c;
    pci_case_nominal(&piece, &piece.part[0], &c);
    pci_limits limits = {.count = ROWS};
    for (size_t i = 0; i < ROWS; i++)
        limits.item[i] = row[i].limit;
    assert_ok(pci_limit_warnings(&c, 0.0, &limits, schedule));
    ck_assert_uint_eq(schedule->warning_count, ROWS);
    for (size_t i = 0; i < ROWS; i++) {
        const pc_warning *w = warning_of(schedule, pci_limit_code(row[i].limit.kind));
        ck_assert_ptr_nonnull(w);
        ck_assert(w->breaks);
        ck_assert_str_eq(w->text, row[i].text);
    }
    ck_assert_str_eq(pci_limit_code((pci_limit_kind)99), "");
}
END_TEST

/* A hollow of 1 mm in an invented urethane, alone, without margins. */
static void small_hollow(pc_piece *piece) {
    pc_piece_defaults(piece);
    piece->margins.on = false;
    fixed_urethane(&piece->resin);
    assert_ok(pc_piece_set(piece, "hollow", "area", "200 cm2", NULL));
    assert_ok(pc_piece_set(piece, "hollow", "wall", "1 mm", NULL));
}

/* The first thing that breaks a plan of one layer, and what would free it. */
static pci_limit_kind freed_by(const pc_piece *piece, pc_part_plan *plan, char text[320]) {
    pci_case c;
    pci_limits limits;
    pci_case_nominal(piece, &piece->part[0], &c);
    assert_ok(pci_part_plan(&c, 1, true, 0.0, false, plan, &limits));
    text[0] = '\0';
    if (limits.count > 0)
        assert_ok(pci_remedies(&c, 0.0, &limits, text, 320));
    return limits.count > 0 ? limits.item[0].kind : PCI_LIMIT_NONE;
}

/* Two people mix two smaller cups side by side, each with a longer pot life than the one large cup.
 */
START_TEST(smaller_mixes_are_offered_where_they_help) {
    static pc_piece piece;
    pc_part_plan *plan = pci_part_in(&(pci_part_room){0});
    pc_cup_events whole, half;
    char text[320];
    small_hollow(&piece);
    piece.part[0].layers_asked = 1;
    piece.shop.hands = 2;
    piece.shop.mix_time_s = 10.0;
    piece.shop.pour_time_s = 0.0;
    assert_ok(pc_piece_set(&piece, "hollow", "area", "6 m2", NULL));
    ck_assert_int_eq(freed_by(&piece, plan, text), PCI_LIMIT_NONE);
    double batch_kg = plan->layer[0]->batch_kg, T_K = piece.shop.resin_K;
    assert_ok(pci_cup_run(&piece.resin, batch_kg, T_K, T_K, &whole));
    assert_ok(pci_cup_run(&piece.resin, 0.5 * batch_kg, T_K, T_K, &half));
    ck_assert_double_gt(half.pot_life_s, whole.pot_life_s);
    piece.shop.mix_time_s = 0.8 * 0.5 * (half.pot_life_s + whole.pot_life_s);
    piece.shop.largest_mix_kg = 1.01 * batch_kg;
    ck_assert_int_eq(freed_by(&piece, plan, text), PCI_LIMIT_POT_LIFE);
    ck_assert_msg(strstr(text, "mix no more than ") != NULL, "%s", text);
    pc_piece_free(&piece);
}
END_TEST

/* A machine that creeps makes four of six turns: faster, in the same ratio. */
START_TEST(a_faster_machine_is_offered_for_turns) {
    static pc_piece piece;
    pc_part_plan *plan = pci_part_in(&(pci_part_room){0});
    char text[320];
    small_hollow(&piece);
    ck_assert_int_eq(freed_by(&piece, plan, text), PCI_LIMIT_NONE);
    double slower = 4.0 / plan->layer[0]->turns_set_to_gel;
    piece.turning.outer_rad_s *= slower;
    piece.turning.inner_rad_s *= slower;
    ck_assert_int_eq(freed_by(&piece, plan, text), PCI_LIMIT_TURNS);
    ck_assert_msg(strstr(text, "turn the outer axis at ") != NULL, "%s", text);
    pc_piece_free(&piece);
}
END_TEST

/* Bug 2 of the words: where no "; or " fits behind a remedy, the next one was written at its heels,
 * did not fit, and took the last five letters of the first with it. */
START_TEST(bug_2_no_remedy_loses_its_last_letters) {
    static pc_piece piece;
    small_hollow(&piece);
    piece.shop.mix_time_s = 200.0; /* of a pot life of 3 min */
    pci_case c;
    pci_case_nominal(&piece, &piece.part[0], &c);
    pc_part_plan *plan = pci_part_in(&(pci_part_room){0});
    pci_limits limits;
    assert_ok(pci_part_plan(&c, 1, false, 0.0, false, plan, &limits));
    ck_assert_uint_ge(limits.count, 1);
    char all[320], cut[320];
    assert_ok(pci_remedies(&c, 0.0, &limits, all, sizeof all));
    const char *second = strstr(all, "; or ");
    ck_assert_ptr_nonnull(second);
    size_t first = (size_t)(second - all);
    for (size_t room = 1; room <= 6; room++) {
        assert_ok(pci_remedies(&c, 0.0, &limits, cut, first + room));
        ck_assert_uint_eq(strlen(cut), first);
        ck_assert_int_eq(memcmp(cut, all, first), 0);
    }
    pc_piece_free(&piece);
}
END_TEST

/* Bug 3 of the words: "layer 2 is 0.8 mm thick, the minimum that covers is 0.8 mm" explained
 * nothing.
 */
START_TEST(bug_3_what_is_a_shade_past_its_limit_says_so) {
    static pc_piece piece;
    small_hollow(&piece);
    pci_case c;
    pci_case_nominal(&piece, &piece.part[0], &c);
    static const struct {
        pci_limit_kind kind;
        double is, may_be;
        const char *words;
    } cases[] = {
        {PCI_LIMIT_THIN, 0.796e-3, 0.8e-3, "is just under 0.80 mm thick"},
        {PCI_LIMIT_PEAK, 383.25, 383.15, "peaks at just over 110 C"},
        {PCI_LIMIT_POT_LIFE, 126.3, 126.0, "takes just over 2m06s"},
        {PCI_LIMIT_MIX, 0.50004, 0.5, "needs just over 500 g"},
        {PCI_LIMIT_TURNS, 5.97, 6.0, "makes just under 6.0 turns"},
        {PCI_LIMIT_TURNS, 5.9, 6.0, "makes 5.9 turns"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        pc_schedule *schedule = pci_schedule_new(1);
        ck_assert_ptr_nonnull(schedule);
        pci_limits limits = {.count = 0, .worst = 1.0};
        pci_limit_broken(&limits, cases[i].kind, 1, cases[i].is, cases[i].may_be, 1.01);
        assert_ok(pci_limit_warnings(&c, 0.0, &limits, schedule));
        ck_assert_uint_eq(schedule->warning_count, 1);
        ck_assert_msg(strstr(schedule->warning[0]->text, cases[i].words) != NULL, "%s: %s",
                      cases[i].words, schedule->warning[0]->text);
        pc_schedule_free(schedule);
    }
    pc_piece_free(&piece);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("words");
    TCase *tcase = tcase_create("words");
    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, every_limit_has_words_in_the_cold_shop);
    tcase_add_test(tcase, a_change_is_told_with_what_one_would_try_first);
    tcase_add_test(tcase, bug_1_hands_fling_no_resin);
    tcase_add_test(tcase, bug_3_what_is_a_shade_past_its_limit_says_so);
    tcase_add_test(tcase, bug_2_no_remedy_loses_its_last_letters);
    tcase_add_test(tcase, smaller_mixes_are_offered_where_they_help);
    tcase_add_test(tcase, a_faster_machine_is_offered_for_turns);
    tcase_add_test(tcase, deadlines_that_are_near_are_named);
    tcase_add_test(tcase, films_that_are_no_good_are_named);
    tcase_add_test(tcase, a_solid_is_warned_of_its_stages_and_its_heat);
    tcase_add_test(tcase, every_limit_has_a_sentence);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
