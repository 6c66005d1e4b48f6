/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Status table, error object, text helpers. */
#include "unit.h"

#include <string.h>

#include "base/text.h"
#include "pourclock/errors.h"

START_TEST(every_status_has_name_and_text) {
#define WALK(name, number, text)                                                                   \
    ck_assert_int_eq(name, number);                                                                \
    ck_assert_str_eq(pc_status_name(name), #name);                                                 \
    ck_assert_str_eq(pc_status_text(name), text);
    PC_STATUS_TABLE(WALK)
#undef WALK
    ck_assert_str_eq(pc_status_text((pc_status)9999), "unknown status");
    ck_assert_str_eq(pc_status_name((pc_status)9999), "PC_?");
}
END_TEST

START_TEST(errors_collect_format_and_cap) {
    pc_errors errors = PC_ERRORS_INIT;
    assert_status(pc_errors_add(&errors, PC_E_UNIT, "otter.ini", 7, "shop", "temperature", "64",
                                "\"64\" has no unit, expected %s", "64 F"),
                  PC_E_UNIT);
    char text[256];
    pc_error_format(&errors.item[0], text, sizeof text);
    ck_assert_str_eq(text, "otter.ini:7: [shop] temperature: \"64\" has no unit, expected 64 F");
    for (int i = 0; i < 2 * PC_ERRORS_MOST; i++)
        pc_errors_add(&errors, PC_E_KEY, NULL, 0, NULL, NULL, NULL, "again");
    ck_assert_uint_eq(errors.count, PC_ERRORS_MOST);
    ck_assert_uint_eq(errors.dropped, PC_ERRORS_MOST + 1);
    pc_errors_free(&errors);
    ck_assert_ptr_null(errors.item);
    assert_status(pc_errors_add(NULL, PC_E_KEY, NULL, 0, NULL, NULL, NULL, "x"), PC_E_KEY);
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

int main(void) {
    Suite *suite = suite_create("base");
    TCase *tcase = tcase_create("base");
    tcase_add_test(tcase, every_status_has_name_and_text);
    tcase_add_test(tcase, errors_collect_format_and_cap);
    tcase_add_test(tcase, over_long_text_is_cut_with_dots);
    tcase_add_test(tcase, nearest_word_is_found_or_refused);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
