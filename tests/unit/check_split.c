/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the search for layers leaves out changes nothing: beside every number of layers planned to
 * its end, on the examples and on pieces by chance. */
#include "unit.h"

#include <stdio.h>
#include <string.h>

#include "pick.h"
#include "plan/layout.h"
#include "plan/part.h"
#include "pourclock.h"
#include "test_resins.h"
#include "turning.h"

static pc_piece piece;

static const char *const examples[] = {"cold", "warm", "slow", "hand", "impossible", "mesh"};

enum { EXAMPLES = sizeof examples / sizeof *examples };

static double between(double low, double high) {
    return low + (high - low) * pick(0, 1000) / 1000.0;
}

/* The examples' hollow bodies first, then others; i says which. */
static void make_hollow(int i) {
    char path[512];
    if (i < EXAMPLES) {
        snprintf(path, sizeof path, TEST_SRCDIR "/examples/otter-%s.ini", examples[i]);
        setenv("POURCLOCK_SHELF", TEST_SRCDIR "/examples/resins", 1);
        assert_ok(pc_piece_read(path, &piece, NULL));
        ck_assert_int_eq(piece.part[0].kind, PC_HOLLOW);
        return;
    }
    pc_piece_defaults(&piece);
    plain_resin((pc_family)pick(0, PC_FAMILY_COUNT - 1), &piece.resin);
    piece.turning = machine(pick(4, 20), pick(1, 20));
    if (pick(0, 1))
        piece.mold.limit_K = between(305, 370);
    if (pick(0, 1))
        piece.shop.largest_mix_kg = between(0.1, 1.0);
    piece.shop.pour_time_s = pick(10, 60);
    piece.part_count = 1;
    piece.part[0] = (pc_part){.kind = PC_HOLLOW,
                              .name = "hollow body",
                              .wall_m = between(1e-3, 10e-3),
                              .pour_hole_m = NAN,
                              .first_layer_m = NAN,
                              .volume_m3 = NAN,
                              .least_layer_m = between(0.8e-3, 2e-3)};
    assert_ok(pc_shape_flat(between(0.02, 0.3), &piece.part[0].shape));
}

/* Resin and mold anywhere from a cold shop's to far too warm; the grid of `warm`. */
static void make_case(pci_case *c) {
    pci_case_nominal(&piece, &piece.part[0], c);
    c->resin_K = between(283, 310);
    c->mold_K = between(285, 330);
    c->air_shift_K = between(-5, 10);
    c->refine = 0.5;
    c->tolerance = 2e-4;
}

/* Every number of layers to its end; those that run away are no answer. */
static void plan_every(const pci_case *asked, pc_part_plan *best, pci_limits *best_limits) {
    pci_case c = *asked;
    c.film = true;
    int low = c.part->layers_asked > 0 ? c.part->layers_asked : pci_layers_least(c.part);
    int high = c.part->layers_asked > 0 ? low : pci_layers_most(c.part);
    for (int count = low; count <= high; count++) {
        pc_part_plan *plan = pci_part_in(&(pci_part_room){0});
        pci_limits limits;
        pc_status status = pci_part_plan(&c, count, true, 0.0, false, plan, &limits);
        if (count > low && (status == PC_E_LIMIT || status == PC_E_NUMERIC))
            continue;
        assert_ok(status);
        if (count > low && !pci_misses_by_less(&limits, best_limits))
            continue;
        pci_part_copy(plan, best);
        *best_limits = limits;
    }
}

/* Whether the coarse search, which asks for no film, finds a number of layers to plan in full. */
static bool has_way(const pci_case *asked) {
    pci_case c = *asked;
    pc_part_plan *plan = pci_part_in(&(pci_part_room){0});
    pci_limits limits;
    c.quick = true;
    assert_ok(pci_part_split(&c, 0.0, false, plan, &limits));
    return limits.count == 0;
}

static void assert_same(double a, double b) {
    ck_assert_msg(a == b || (isnan(a) && isnan(b)), "%.17g and %.17g", a, b);
}

static void assert_same_limits(const pci_limits *a, const pci_limits *b) {
    ck_assert_uint_eq(a->count, b->count);
    for (size_t i = 0; i < a->count; i++) {
        ck_assert_int_eq(a->item[i].kind, b->item[i].kind);
        ck_assert_int_eq(a->item[i].layer, b->item[i].layer);
        assert_same(a->item[i].is, b->item[i].is);
        assert_same(a->item[i].excess, b->item[i].excess);
    }
}

/* In what a limit, or a cell of the warming grid, hangs on. */
static void assert_same_plan(const pc_part_plan *a, const pc_part_plan *b) {
    ck_assert_uint_eq(a->layer_count, b->layer_count);
    assert_same(a->demold_s, b->demold_s);
    for (size_t j = 0; j < a->layer_count; j++) {
        const pc_layer *x = a->layer[j], *y = b->layer[j];
        assert_same(x->mix_s, y->mix_s);
        assert_same(x->pour_end_s, y->pour_end_s);
        assert_same(x->pour_by_s, y->pour_by_s);
        assert_same(x->pot_life_s, y->pot_life_s);
        assert_same(x->set_s, y->set_s);
        assert_same(x->gel_s, y->gel_s);
        assert_same(x->stop_s, y->stop_s);
        assert_same(x->peak_K, y->peak_K);
        assert_same(x->turns_set_to_gel, y->turns_set_to_gel);
    }
}

START_TEST(the_nearest_miss_is_that_of_all_numbers_of_layers) {
    int missed = 0;
    pick_state = 7;
    for (int i = 0; i < EXAMPLES + draws(24); i++) {
        pci_part_room one, all;
        pc_part_plan *found = pci_part_in(&one), *best = pci_part_in(&all);
        pci_limits found_limits, best_limits;
        pci_case c;
        make_hollow(i);
        for (int go = 0; go < 3; go++) {
            make_case(&c);
            if (has_way(&c))
                continue;
            assert_ok(pci_part_split(&c, 0.0, false, found, &found_limits));
            plan_every(&c, best, &best_limits);
            assert_same_limits(&found_limits, &best_limits);
            assert_same_plan(found, best);
            for (size_t j = 0; j < found->layer_count; j++)
                assert_same(found->layer[j]->thin_m, best->layer[j]->thin_m);
            missed++;
        }
        pc_piece_free(&piece);
    }
    ck_assert_int_ge(missed, draws(25));
}
END_TEST

START_TEST(limits_alone_are_those_of_the_whole_plan) {
    int held = 0, broken = 0;
    pick_state = 11;
    for (int i = 0; i < EXAMPLES + draws(24); i++) {
        pci_part_room one, all;
        pc_part_plan *brief = pci_part_in(&one), *whole = pci_part_in(&all);
        pci_limits brief_limits, whole_limits;
        pci_case c;
        make_hollow(i);
        for (int go = 0; go < 3; go++) {
            make_case(&c);
            assert_ok(pci_part_split(&c, 0.0, false, whole, &whole_limits));
            c.limits_only = true;
            assert_ok(pci_part_split(&c, 0.0, false, brief, &brief_limits));
            assert_same_limits(&brief_limits, &whole_limits);
            assert_same_plan(brief, whole);
            *(brief_limits.count > 0 ? &broken : &held) += 1;
        }
        pc_piece_free(&piece);
    }
    ck_assert_int_ge(held, draws(15));
    ck_assert_int_ge(broken, draws(15));
}
END_TEST

int main(void) {
    Suite *suite = suite_create("split");
    TCase *tcase = tcase_create("split");
    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, the_nearest_miss_is_that_of_all_numbers_of_layers);
    tcase_add_test(tcase, limits_alone_are_those_of_the_whole_plan);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
