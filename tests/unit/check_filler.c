/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Fillers: the mix's figures against published laws and worked examples
 * (tests/published/fillers.txt), and what a filler does to a resin. */
#include "unit.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "film/film_sums.h"
#include "pourclock/piece.h"
#include "pourclock/resin.h"
#include "published.h"
#include "resin/cup.h"
#include "resin/filler.h"
#include "resin/unknowns.h"
#include "sheet/filler_file.h"
#include "test_resins.h"

static double value_of(const char *what, const double *x) {
    if (strcmp(what, "mix_density") == 0) /* two of them first */
        return pci_mix_density(x[0] + x[2], x[4],
                               pci_mix_density(x[2] / (x[0] + x[2]), x[1], x[3]));
    if (strcmp(what, "volume_share") == 0)
        return pci_mix_volume_share(x[0], x[1], x[2]);
    if (strcmp(what, "einstein") == 0)
        return (pci_thickening(x[0], x[1]) - 1.0) / x[0];
    if (strcmp(what, "thickening") == 0)
        return pci_thickening(x[0], x[1]);
    if (strcmp(what, "conductivity") == 0)
        return pci_mix_conductivity(x[0], x[1], x[2], x[3]);
    if (strcmp(what, "bore_time") == 0)
        return pci_bore_time(x[0], x[1], x[2], x[3]);
    ck_assert_str_eq(what, "lip_time");
    return pci_lip_time(x[0], x[1], x[2], x[3], x[4]);
}

START_TEST(published_values_are_met) {
    ck_assert_int_eq(check_published_table(TEST_SRCDIR "/tests/published/fillers.txt", value_of),
                     12);
}
END_TEST

static pc_filler chalk(void) {
    return (pc_filler){
        .name = "chalk", .density_kg_m3 = 2700.0, .cp_J_kgK = 830.0, .k_W_mK = 2.8, .phi_max = 0.6};
}

START_TEST(a_mix_adds_up) {
    pc_resin plain, mix;
    pc_filler filler = chalk();
    fixed_urethane(&plain);
    mix = plain;
    assert_ok(pci_resin_fill(&mix, &filler, 100.0, NULL));
    assert_close(mix.share_a + mix.share_b + mix.fill.share, 1.0, 1e-15);
    assert_close(mix.fill.share, 0.5, 1e-15);
    assert_close(mix.share_a / mix.share_b, plain.share_a / plain.share_b, 1e-14);
    assert_close(mix.density_kg_m3, 2.0 / (1.0 / 1050.0 + 1.0 / 2700.0), 1e-9);
    assert_close(mix.cure.heat_J_kg, 0.5 * plain.cure.heat_J_kg, 1e-9);
    assert_close(mix.cure.cp_J_kgK, 0.5 * (1800.0 + 830.0), 1e-9);
    /* what a cubic meter of the mix gives off is what its resin does */
    double resin_kg_m3 = mix.density_kg_m3 * (1.0 - mix.fill.share);
    assert_close(mix.density_kg_m3 * mix.cure.heat_J_kg, resin_kg_m3 * plain.cure.heat_J_kg, 1e-3);
    ck_assert(mix.flow.mu_ref_Pa_s > 2.0 * plain.flow.mu_ref_Pa_s);
    ck_assert(mix.cure.k_W_mK > plain.cure.k_W_mK);
}
END_TEST

/* Filled, filled otherwise and emptied it is the resin it was, to the bit. */
START_TEST(a_filler_comes_out_again) {
    pc_resin plain, mix;
    pc_filler filler = chalk();
    assert_ok(pc_resin_find(TEST_SRCDIR "/examples/resins/fast-urethane.ini", NULL, &plain, NULL));
    mix = plain;
    assert_ok(pci_resin_fill(&mix, &filler, 100.0, NULL));
    assert_close(mix.fit.factor[PCI_HEAT][PCI_HEAT], 0.5 * plain.fit.factor[PCI_HEAT][PCI_HEAT],
                 1e-9);
    assert_ok(pci_resin_fill(&mix, &filler, 20.0, NULL));
    assert_close(mix.fill.plain_density_kg_m3, plain.density_kg_m3, 0.0 + 1e-300);
    pci_resin_unfill(&mix);
    ck_assert(mix.density_kg_m3 == plain.density_kg_m3);
    ck_assert(memcmp(&mix.cure, &plain.cure, sizeof mix.cure) == 0);
    ck_assert(memcmp(&mix.flow, &plain.flow, sizeof mix.flow) == 0);
    ck_assert(mix.share_a == plain.share_a && mix.share_b == plain.share_b);
    ck_assert(mix.fill.parts == 0.0);
}
END_TEST

START_TEST(a_filled_cup_stays_cooler_and_lasts_no_less) {
    pc_resin plain, mix;
    pc_filler filler = chalk();
    pc_cup_events before, after;
    fixed_urethane(&plain);
    mix = plain;
    assert_ok(pci_resin_fill(&mix, &filler, 100.0, NULL));
    assert_ok(pci_cup_run(&plain, 0.3, 296.15, 296.15, &before));
    assert_ok(pci_cup_run(&mix, 0.3, 296.15, 296.15, &after));
    ck_assert(after.peak_K < before.peak_K - 15.0);
    ck_assert(after.pot_life_s > before.pot_life_s);
}
END_TEST

START_TEST(too_much_is_refused_with_what_is_not) {
    pc_resin mix, before;
    pc_filler filler = chalk();
    double most = NAN;
    fixed_urethane(&mix);
    before = mix;
    assert_status(pci_resin_fill(&mix, &filler, 500.0, &most), PC_E_LIMIT);
    ck_assert(memcmp(&mix, &before, sizeof mix) == 0);
    assert_close(most, 100.0 * 0.57 / 0.43 * 2700.0 / 1050.0, 1e-6);
    assert_ok(pci_resin_fill(&mix, &filler, most, NULL));
    assert_close(mix.fill.volume_share, 0.57, 1e-12);
    assert_status(pci_resin_fill(&mix, &filler, NAN, NULL), PC_E_ARGUMENT);
    assert_status(pci_resin_fill(&mix, &filler, -1.0, NULL), PC_E_ARGUMENT);
    assert_status(pci_resin_fill(&mix, NULL, 1.0, NULL), PC_E_ARGUMENT);
    assert_status(pci_resin_fill(NULL, &filler, 1.0, NULL), PC_E_ARGUMENT);
    double *const wrong[] = {&filler.density_kg_m3, &filler.cp_J_kgK, &filler.k_W_mK,
                             &filler.phi_max};
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        filler = chalk();
        *wrong[i] = NAN;
        assert_status(pci_resin_fill(&mix, &filler, 10.0, NULL), PC_E_ARGUMENT);
    }
}
END_TEST

START_TEST(nan_gives_nan) {
    for (int i = 0; i < 5; i++) {
        double x[] = {0.5, 0.6, 0.7, 0.3, 0.8};
        x[i] = NAN;
        if (i < 3)
            ck_assert(isnan(pci_mix_density(x[0], x[1], x[2])) &&
                      isnan(pci_mix_volume_share(x[0], x[1], x[2])));
        if (i < 2)
            ck_assert(isnan(pci_thickening(x[0], x[1])));
        if (i < 4)
            ck_assert(isnan(pci_mix_conductivity(x[1], x[2], x[3], x[0])));
        ck_assert(isnan(pci_lip_time(x[0], x[1], x[2], x[3], x[4])));
        if (i < 4)
            ck_assert(isnan(pci_bore_time(x[0], x[1], x[2], x[3])));
    }
    ck_assert(isinf(pci_thickening(0.6, 0.6)));
    ck_assert(isnan(pci_thickening(0.1, 1.0)));
}
END_TEST

static const char *const shelf[] = {"aluminum-hydroxide", "bronze-powder", "calcium-carbonate",
                                    "fumed-silica",       "iron-powder",   "microballoons"};

START_TEST(the_shelf_is_built_in_and_the_same) {
    char path[256];
    pc_filler there, built_in;
    setenv("POURCLOCK_SHELF", "/no-such-folder", 1);
    setenv("XDG_DATA_HOME", "/no-such-folder", 1);
    snprintf(path, sizeof path, TEST_SRCDIR "/examples/fillers/%s.ini", shelf[_i]);
    assert_ok(pci_filler_find(path, NULL, &there, NULL));
    assert_ok(pci_filler_find(shelf[_i], NULL, &built_in, NULL));
    ck_assert_str_eq(there.name, built_in.name);
    ck_assert(there.density_kg_m3 == built_in.density_kg_m3);
    unsetenv("XDG_DATA_HOME");
}
END_TEST

/* Written with its filler, a resin is read back with it. */
START_TEST(a_filled_resin_is_written_and_read) {
    pc_resin resin, again;
    pc_filler filler = chalk();
    filler.dust = PC_DUST_SILICA;
    const char *path = "filled.tmp.ini";
    assert_ok(pc_resin_defaults(PC_EPOXY, &resin));
    strcpy(resin.name, "filled");
    assert_ok(pci_resin_fill(&resin, &filler, 80.0, NULL));
    assert_ok(pc_resin_write(path, &resin, NULL));
    assert_ok(pc_resin_find("./filled.tmp.ini", NULL, &again, NULL));
    unlink(path);
    assert_close(again.density_kg_m3, resin.density_kg_m3, 1e-9);
    assert_close(again.cure.heat_J_kg, resin.cure.heat_J_kg, 1e-6);
    assert_close(again.flow.mu_ref_Pa_s, resin.flow.mu_ref_Pa_s, 1e-9);
    assert_close(again.share_b, resin.share_b, 1e-12);
    ck_assert_int_eq(again.fill.of.dust, PC_DUST_SILICA);
    ck_assert_str_eq(again.fill.of.name, "chalk");
}
END_TEST

static const struct {
    const char *value, *says; /* NULL: taken */
} values[] = {
    {"calcium-carbonate 100 parts", NULL},
    {"  calcium-carbonate   100  parts", NULL},
    {"calcium-carbonate 100 phr", NULL},
    {"calcium-carbonate", NULL},
    {"100 parts", NULL},
    {"calcium-carbonat 100 parts", "did you mean calcium-carbonate?"},
    {"calcium-carbonate 100", "is not a filler"},
    {"calcium-carbonate -5 parts", "out of range"},
    {"calcium-carbonate nan parts", "is not a filler"},
    {"calcium-carbonate 5000 parts", "out of range"},
    {"parts", "no filler \"parts\""},
};

START_TEST(values_are_read_or_refused) {
    pc_errors errors = PC_ERRORS_INIT;
    pc_filler filler;
    double parts;
    pci_at at = {"x.ini", 7, "piece", "filler", values[_i].value + strspn(values[_i].value, " "),
                 &errors};
    pci_filler_defaults(&filler);
    pc_status status = pci_filler_value(&at, NULL, &filler, &parts);
    if (values[_i].says) {
        ck_assert_int_ne(status, PC_OK);
        ck_assert_uint_eq(errors.count, 1);
        ck_assert_msg(strstr(errors.item[0].text, values[_i].says), "%s", errors.item[0].text);
        ck_assert_int_eq(errors.item[0].line, 7);
        ck_assert_str_eq(errors.item[0].key, "filler");
    } else {
        ck_assert_msg(status == PC_OK, "%s: %s", values[_i].value, errors.item[0].text);
    }
    pc_errors_free(&errors);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("filler");
    TCase *tcase = tcase_create("filler");
    tcase_add_test(tcase, published_values_are_met);
    tcase_add_test(tcase, a_mix_adds_up);
    tcase_add_test(tcase, a_filler_comes_out_again);
    tcase_add_test(tcase, a_filled_cup_stays_cooler_and_lasts_no_less);
    tcase_add_test(tcase, too_much_is_refused_with_what_is_not);
    tcase_add_test(tcase, nan_gives_nan);
    tcase_add_loop_test(tcase, the_shelf_is_built_in_and_the_same, 0,
                        (int)(sizeof shelf / sizeof *shelf));
    tcase_add_test(tcase, a_filled_resin_is_written_and_read);
    tcase_add_loop_test(tcase, values_are_read_or_refused, 0,
                        (int)(sizeof values / sizeof *values));
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
