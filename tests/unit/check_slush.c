/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Slush casting by hand: what is poured back, whether it can be used again, how long a pass drips.
 */
#include "unit.h"

#include <stdlib.h>
#include <string.h>

#include "piece/piece_file.h"
#include "pourclock/schedule.h"
#include "resin/cup.h"

#define SLUSH(wall)                                                                                \
    "[piece]\nresin = slow-urethane\n[hollow body]\narea = 800 cm2\nlayers = 2\nleast_layer = "    \
    "0.3 "                                                                                         \
    "mm\nwall = " wall                                                                             \
    "\n[turning]\nmethod = drain\ndrop_length = 250 mm\n[shop]\ntemperature = 21 "                 \
    "C\n[margins]\non = no\n"

static void read(const char *text, pc_piece *piece) {
    pc_errors errors = PC_ERRORS_INIT;
    setenv("POURCLOCK_SHELF", TEST_SRCDIR "/examples/resins", 1);
    pc_status status = pci_piece_parse("x.ini", text, strlen(text), piece, &errors);
    ck_assert_msg(status == PC_OK, "%s", errors.count ? errors.item[0].text : "");
    pc_errors_free(&errors);
}

static bool says(const pc_schedule *s, int layer, const char *words) {
    for (size_t i = 0; i < s->step_count; i++)
        if (s->step[i].layer == layer && strstr(s->step[i].text, words))
            return true;
    return false;
}

/* A cup run to a time, and on from its state there, is one run. */
START_TEST(a_cup_goes_on_from_where_it_was) {
    static const char *const names[] = {"slow-urethane", "casting-epoxy", "polyester"};
    setenv("POURCLOCK_SHELF", TEST_SRCDIR "/examples/resins", 1);
    for (size_t i = 0; i < 3; i++) {
        pc_resin r;
        pc_cup_events whole, rest;
        pc_cup_state state;
        assert_ok(pc_resin_find(names[i], NULL, &r, NULL));
        assert_ok(pci_cup_run(&r, 0.3, 294.15, 294.15, &whole));
        double at_s = 0.6 * whole.pot_life_s;
        assert_ok(pci_cup_at(&r, 0.3, 294.15, 294.15, at_s, &state));
        assert_ok(pci_cup_run_from(&r, 0.3, &state, 294.15, &rest));
        assert_close(rest.pot_life_s + at_s, whole.pot_life_s, 1e-4);
        assert_close(rest.gel_s + at_s, whole.gel_s, 1e-4);
        assert_close(rest.peak_s + at_s, whole.peak_s, 1e-3);
        assert_near(rest.peak_K, whole.peak_K, 0.01);
        state.a = 0.5 * (r.cure.a_pot + r.cure.a_gel); /* past the one, not the other */
        assert_ok(pci_cup_run_from(&r, 0.3, &state, 294.15, &rest));
        ck_assert(rest.pot_life_s == 0.0 && rest.gel_s > 0.0);
        state.a = NAN;
        assert_status(pci_cup_run_from(&r, 0.3, &state, 294.15, &rest), PC_E_ARGUMENT);
        state = (pc_cup_state){.T_K = NAN, .a = 0.1};
        assert_status(pci_cup_run_from(&r, 0.3, &state, 294.15, &rest), PC_E_ARGUMENT);
        state = (pc_cup_state){.T_K = 294.15, .a = 1.1};
        assert_status(pci_cup_run_from(&r, 0.3, &state, 294.15, &rest), PC_E_ARGUMENT);
    }
}
END_TEST

START_TEST(a_thin_resin_is_spent_when_it_is_poured_back) {
    pc_piece piece;
    pc_schedule s;
    read(SLUSH("2 mm"), &piece);
    assert_ok(pc_schedule_make(&piece, &s, NULL));
    ck_assert_uint_gt(s.part[0].layer_count, 1);
    for (size_t j = 0; j < s.part[0].layer_count; j++) {
        const pc_layer *layer = &s.part[0].layer[j];
        /* past its pot life when it is as thick as the film asks for */
        ck_assert(layer->drain_s > layer->mix_s + layer->pot_life_s);
        ck_assert(layer->back_good_s == 0.0);
        ck_assert(says(&s, layer->number, "into an empty cup, spent"));
        ck_assert(layer->drip_s > 0.0 && layer->drain_s + layer->drip_s < layer->gel_s);
        /* no hotter than its batch left standing, and warmer than it was poured */
        ck_assert(layer->back_peak_K > layer->fill_T_K && layer->back_peak_s > 0.0);
        ck_assert(layer->back_peak_K < layer->cup_peak_K + 1.0);
    }
    ck_assert(says(&s, 1, "Pass 1 of "));
    ck_assert(says(&s, 2, "Pass 2 of "));
    pc_schedule_free(&s);
    pc_piece_free(&piece);
}
END_TEST

/* As thick as syrup from the start it is poured out early, and another mold can be swirled with it.
 */
START_TEST(a_thick_resin_can_be_used_again) {
    pc_piece piece;
    pc_schedule s;
    read(SLUSH("1 mm"), &piece);
    piece.resin.flow.mu_ref_Pa_s *= 20.0;
    assert_ok(pc_schedule_make(&piece, &s, NULL));
    const pc_layer *layer = &s.part[0].layer[0];
    ck_assert(layer->drain_s < layer->mix_s + layer->pot_life_s);
    ck_assert(layer->back_good_s > 50.0);
    /* swirled over a cold wall it cures slower than in its cup, never as if it were fresh */
    ck_assert(layer->back_good_s > 0.8 * (layer->pot_life_s - layer->drain_s));
    ck_assert(layer->back_good_s < 0.8 * layer->pot_life_s);
    ck_assert(says(&s, 1, "into an empty cup, good for another mold for"));
    pc_schedule_free(&s);
    pc_piece_free(&piece);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("slush");
    TCase *tcase = tcase_create("slush");
    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, a_cup_goes_on_from_where_it_was);
    tcase_add_test(tcase, a_thin_resin_is_spent_when_it_is_poured_back);
    tcase_add_test(tcase, a_thick_resin_can_be_used_again);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
