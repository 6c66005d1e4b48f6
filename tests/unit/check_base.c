/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Status table, error object, text helpers. */
#include "unit.h"

#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "pourclock/errors.h"
#include "pourclock/piece.h"
#include "pourclock/schedule.h"
#include "pourclock/words.h"
#include "solve/root.h"

START_TEST(every_status_has_name_and_text) {
#define WALK(name, number, text)                                                                   \
    ck_assert_int_eq(name, number);                                                                \
    ck_assert_str_eq(pci_status_name(name), #name);                                                \
    ck_assert_str_eq(pc_status_text(name), text);
    PC_STATUS_TABLE(WALK)
#undef WALK
    ck_assert_str_eq(pc_status_text((pc_status)9999), "unknown status");
    ck_assert_str_eq(pci_status_name((pc_status)9999), "PC_?");
}
END_TEST

START_TEST(errors_collect_format_and_cap) {
    pc_errors errors = PC_ERRORS_INIT;
    assert_status(pc_errors_add(&errors, PC_E_UNIT,
                                (pc_place){.file = "otter.ini",
                                           .line = 7,
                                           .section = "shop",
                                           .key = "temperature",
                                           .value = "64"},
                                "\"64\" has no unit, expected %s", "64 F"),
                  PC_E_UNIT);
    char text[256];
    pc_error_format(&errors.item[0], text, sizeof text);
    ck_assert_str_eq(text, "otter.ini:7: [shop] temperature: \"64\" has no unit, expected 64 F");
    for (int i = 0; i < 2 * PC_ERRORS_MOST; i++)
        pc_errors_add(&errors, PC_E_KEY, PC_NOWHERE, "again");
    ck_assert_uint_eq(errors.count, PC_ERRORS_MOST);
    ck_assert_uint_eq(errors.dropped, PC_ERRORS_MOST + 1);
    pc_errors_free(&errors);
    ck_assert_ptr_null(errors.item);
    assert_status(pc_errors_add(NULL, PC_E_KEY, PC_NOWHERE, "x"), PC_E_KEY);
}
END_TEST

START_TEST(over_long_text_is_cut_with_dots) {
    char buffer[8];
    pci_copy_text(buffer, sizeof buffer, "resin shelf");
    ck_assert_str_eq(buffer, "resi...");
    pci_copy_text(buffer, sizeof buffer, NULL);
    ck_assert_str_eq(buffer, "");
}
END_TEST

/* Bug 1 of the texts: a long name was cut within a letter of two bytes or more, and stood in JSON
 * and on sheets as text that is not UTF-8. */
START_TEST(bug_1_no_letter_is_cut_in_two) {
    char buffer[8];
    pci_copy_text(buffer, sizeof buffer, "abc\xC3\xA9\xC3\xA9\xC3\xA9");
    ck_assert_str_eq(buffer, "abc...");
    pci_copy_text(buffer, sizeof buffer, "ab\xC3\xA9\xC3\xA9\xC3\xA9");
    ck_assert_str_eq(buffer, "ab\xC3\xA9...");
    pci_copy_text(buffer, sizeof buffer,
                  "\x80\x80\x80\x80\x80\x80\x80\x80\x80"); /* no text at all */
    ck_assert_str_eq(buffer, "...");
    pc_errors errors = PC_ERRORS_INIT;
    char long_text[600];
    for (size_t i = 0; i + 2 < sizeof long_text; i += 2)
        memcpy(long_text + i, "\xC3\xA9", 3);
    pc_errors_add(&errors, PC_E_VALUE, PC_NOWHERE, "%s", long_text);
    size_t n = strlen(errors.item[0].text);
    ck_assert_str_eq(errors.item[0].text + n - 5, "\xC3\xA9...");
    pc_errors_free(&errors);
}
END_TEST

START_TEST(nearest_word_is_found_or_refused) {
    const char *const keys[] = {"temperature", "pour_time", "mix_time", NULL};
    ck_assert_str_eq(pci_nearest_word("temprature", keys), "temperature");
    ck_assert_str_eq(pci_nearest_word("mixtime", keys), "mix_time");
    ck_assert_ptr_null(pci_nearest_word("zzzzzz", keys));
    ck_assert_uint_eq(pci_edit_distance("pour", "puor"), 1);
    ck_assert_str_eq(pc_nearest_word("MIX_TIMES", keys), "mix_time");
    ck_assert_ptr_null(pc_nearest_word(NULL, keys));
    ck_assert_ptr_null(pc_nearest_word("mix_time", NULL));
}
END_TEST

static double line_of(double x, void *context) {
    return x - *(double *)context;
}

/* Roots at the ends, none, and NaN. */
START_TEST(roots_are_found_or_refused) {
    double at = 2.0, x = NAN;
    assert_ok(pci_root(line_of, &at, 2.0, 3.0, 1e-9, 0.0, &x));
    ck_assert(x == 2.0);
    assert_ok(pci_root(line_of, &at, 1.0, 2.0, 1e-9, 0.0, &x));
    ck_assert(x == 2.0);
    assert_status(pci_root(line_of, &at, 3.0, 4.0, 1e-9, 0.0, &x), PC_E_ARGUMENT);
    assert_status(pci_root(line_of, &at, NAN, 4.0, 1e-9, 0.0, &x), PC_E_ARGUMENT);
}
END_TEST

/* Each word at the edge where its unit changes, in both systems; by hand: 3 mm is 0.118 in. */
START_TEST(words_change_their_unit) {
    ck_assert_str_eq(pc_say_degrees(PC_US, PC_ZERO_CELSIUS_K + 20.0).s, "68 F");
    ck_assert_str_eq(pc_say_degrees(PC_METRIC, PC_ZERO_CELSIUS_K + 20.0).s, "20 C");
    ck_assert_str_eq(pc_say_thickness(PC_US, 0.003).s, "0.118 in");
    ck_assert_str_eq(pc_say_thickness(PC_METRIC, 0.003).s, "3.00 mm");
    ck_assert_str_eq(pc_say_mass(0.0125).s, "12.5 g");
    ck_assert_str_eq(pc_say_mass(0.5).s, "500 g");
    ck_assert_str_eq(pc_say_duration(30.0).s, "30 s");
    ck_assert_str_eq(pc_say_duration(90000.0).s, "25 h");
    ck_assert_str_eq(pc_step_word((pc_step_kind)9999), "");
    ck_assert_str_eq(pc_say_clock(0, -60.0, PC_CLOCK_MINUTE | PC_CLOCK_BARE).s, "23:59");
    ck_assert_str_eq(pc_say_clock(32400, 59, PC_CLOCK_MINUTE | PC_CLOCK_BY).s, "09:00");
    ck_assert_str_eq(pc_say_clock(32400, 1, PC_CLOCK_MINUTE | PC_CLOCK_FROM).s, "09:01");
    ck_assert_str_eq(pc_say((pc_say_what)9999, PC_METRIC, 1.0).s, "-");
}
END_TEST

/* A shop that warms from 10 C at 8:00 to 20 C at 18:00 and cools overnight. */
START_TEST(air_follows_the_day) {
    pc_piece *piece = malloc(sizeof *piece);
    ck_assert(piece != NULL);
    pc_piece_defaults(piece);
    pc_shop *shop = &piece->shop;
    shop->day_count = 2;
    shop->day[0].clock_s = 8 * 3600.0;
    shop->day[0].T_K = 283.15;
    shop->day[1].clock_s = 18 * 3600.0;
    shop->day[1].T_K = 293.15;
    assert_near(pc_shop_air(shop, 13 * 3600.0), 288.15, 1e-9);
    assert_near(pc_shop_air(shop, 25 * 3600.0), 288.15, 1e-9);
    assert_near(pc_shop_air(shop, 20 * 3600.0), 293.15 - 10.0 * 2 / 14, 1e-9);
    assert_near(pc_shop_air(shop, -23 * 3600.0), pc_shop_air(shop, 3600.0), 1e-9);
    ck_assert(isnan(pc_shop_air(shop, NAN)) && isnan(pc_shop_air(NULL, 0.0)));
    free(piece);
}
END_TEST

/* What a caster reads: degrees, grams, deadlines never late and "not before" never early. */
START_TEST(quantities_in_words) {
    ck_assert_str_eq(pc_say_degrees(PC_METRIC, 296.15).s, "23 C");
    ck_assert_str_eq(pc_say_degrees(PC_US, 296.15).s, "73 F");
    ck_assert_str_eq(pc_say_degrees(PC_US, 273.15).s, "32 F");
    ck_assert_str_eq(pc_say_mass(0.0999).s, "99.9 g");
    ck_assert_str_eq(pc_say_mass(0.22).s, "220 g");
    ck_assert_str_eq(pc_say_air_flow(PC_METRIC, 0.05).s, "180 m3/h");
    ck_assert_str_eq(pc_say_air_flow(PC_US, 0.05).s, "106 cfm");
    ck_assert_str_eq(pc_say(PC_SAY_ROOM, PC_METRIC, 60).s, "60 m3");
    ck_assert_str_eq(pc_say(PC_SAY_ROOM, PC_US, 60).s, "2119 ft3");
    ck_assert_str_eq(pc_say_by(32400, 59.9).s, "09:00:59");
    ck_assert_str_eq(pc_say_from(32400, 59.1).s, "09:01:00");
    ck_assert_str_eq(pc_say_by(32400, 60).s, "09:01:00");
    ck_assert_str_eq(pc_say_from(32400, 60).s, "09:01:00");
    ck_assert_str_eq(pc_say_from(86390, 20).s, "+1d 00:00:10");
    ck_assert_str_eq(pc_say_by(32400, NAN).s, "-");
}
END_TEST

int main(void) {
    Suite *suite = suite_create("base");
    TCase *tcase = tcase_create("base");
    tcase_add_test(tcase, quantities_in_words);
    tcase_add_test(tcase, every_status_has_name_and_text);
    tcase_add_test(tcase, errors_collect_format_and_cap);
    tcase_add_test(tcase, over_long_text_is_cut_with_dots);
    tcase_add_test(tcase, bug_1_no_letter_is_cut_in_two);
    tcase_add_test(tcase, nearest_word_is_found_or_refused);
    tcase_add_test(tcase, roots_are_found_or_refused);
    tcase_add_test(tcase, words_change_their_unit);
    tcase_add_test(tcase, air_follows_the_day);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
