/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the plan says: limits, warnings, remedies, the sentence of the cold shop. */
#include "unit.h"

#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "fake_plan.h"
#include "plan/build.h"
#include "plan/warm_words.h"
#include "pourclock/safety.h"
#include "pourclock/warm.h"

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
        "No temperature tried makes it hold: as it is it would %s; change the resin, the layers "
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
    nothing_holds(&piece, "first-layer", "need a first layer thicker than 1.5 mm");
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
    ck_assert_str_eq(
        warm.sentence,
        "Warm the resin to 20 C and the mold to 30 C: then it holds, out of the mold "
        "after 60.0 min; warming the resin alone to 20 C would let a layer gel too soon "
        "after it sets");
    warm.cheapest = 2;
    pci_warm_sentence(&piece, &warm);
    ck_assert_ptr_nonnull(
        strstr(warm.sentence, "Warm the shop, with resin and mold in it, to 20 C: then it holds"));
    /* Holds as it is, with thick resin; a faster one is told, and cooled resin is called thick. */
    warm.now = cell_at(10.0, 10.0, 10.0, "");
    warm.now.demold_s = 7200.0;
    warm.cheapest = warm.fastest = 1;
    pci_warm_sentence(&piece, &warm);
    ck_assert_ptr_nonnull(strstr(warm.sentence, "It holds as it is"));
    ck_assert_ptr_nonnull(strstr(warm.sentence, "(but resin at 10 C is thick"));
    ck_assert_ptr_nonnull(strstr(warm.sentence, "fastest: warm the resin to 20 C"));
    warm.fastest = SIZE_MAX;
    pci_warm_sentence(&piece, &warm);
    ck_assert_ptr_null(strstr(warm.sentence, "fastest"));
}
END_TEST

int main(void) {
    Suite *suite = suite_create("words");
    TCase *tcase = tcase_create("words");
    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, every_limit_has_words_in_the_cold_shop);
    tcase_add_test(tcase, a_change_is_told_with_what_one_would_try_first);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
