/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the library reads and says under a locale with a decimal comma is what it reads and says
 * under "C". Run by tests/unit/locale.sh, which makes such a locale; without one it exits 77. */
#include "unit.h"

#include <locale.h>
#include <stdio.h>
#include <string.h>

#include "base/try.h"
#include "pourclock/piece.h"
#include "pourclock/quantity.h"
#include "pourclock/resin.h"
#include "pourclock/safety.h"
#include "pourclock/schedule.h"
#include "resin/cure_rate.h"

static const char *comma_locale;

static void under(const char *name) {
    ck_assert_msg(setlocale(LC_NUMERIC, name) != NULL, "no locale %s", name);
    char text[8];
    snprintf(text, sizeof text, "%.1f", 2.5);
    ck_assert_str_eq(text, strcmp(name, "C") ? "2,5" : "2.5");
}

START_TEST(quantities_are_read_alike) {
    static const char *const text[] = {"2.5 mm", "0.125in", "3/16 in", "1.5e-1 cm"};
    double plain[4], comma[4];
    for (size_t i = 0; i < 4; i++)
        assert_ok(pc_quantity_parse(text[i], PC_LENGTH, &plain[i], NULL, 0));
    under(comma_locale);
    for (size_t i = 0; i < 4; i++) {
        assert_ok(pc_quantity_parse(text[i], PC_LENGTH, &comma[i], NULL, 0));
        ck_assert(plain[i] == comma[i]);
    }
    ck_assert(pc_number_parse("2.5", NULL) == 2.5);
    double si = 42.0;
    assert_status(pc_quantity_parse("2,5 mm", PC_LENGTH, &si, NULL, 0), PC_E_VALUE);
    ck_assert(si == 42.0); /* left alone */
}
END_TEST

START_TEST(resins_are_read_and_written_alike) {
    static pc_resin plain, comma, again;
    pc_errors errors = PC_ERRORS_INIT;
    const char *path = TEST_SRCDIR "/examples/resins/polyester.ini";
    assert_ok(pci_resin_read(path, &plain, &errors));
    under(comma_locale);
    assert_ok(pci_resin_read(path, &comma, &errors));
    ck_assert(pci_cure_rate(&plain.cure, 0.3, 300) == pci_cure_rate(&comma.cure, 0.3, 300));
    ck_assert(pci_cure_rate(&plain.cure, 0.3, 300) > 0);
    ck_assert(plain.density_kg_m3 == comma.density_kg_m3);
    assert_ok(pc_resin_write("locale-resin.tmp.ini", &comma, &errors));
    under("C");
    assert_ok(pci_resin_read("locale-resin.tmp.ini", &again, &errors));
    remove("locale-resin.tmp.ini");
    ck_assert(again.density_kg_m3 == plain.density_kg_m3);
    pc_errors_free(&errors);
}
END_TEST

/* Plans a piece of the examples; a schedule that breaks a limit is one too, with its warnings. */
static void plan(const char *name, pc_schedule **schedule) {
    char path[512];
    snprintf(path, sizeof path, "%s/examples/%s", TEST_SRCDIR, name);
    pc_errors errors = PC_ERRORS_INIT;
    pc_piece *piece = malloc(sizeof *piece);
    ck_assert(piece != NULL);
    assert_ok(pc_piece_read(path, piece, &errors));
    piece->margins.on = false;
    pc_status status = pc_schedule_make(piece, schedule, &errors);
    ck_assert_msg(status == PC_OK, "%s", pci_status_name(status));
    pc_piece_free(piece);
    free(piece);
    pc_errors_free(&errors);
}

START_TEST(schedules_say_the_same) {
    static const char *const name[] = {"otter-warm.ini", "otter-impossible.ini"};
    static pc_schedule *plain, *comma;
    plan(name[_i], &plain);
    under(comma_locale);
    plan(name[_i], &comma);
    ck_assert_uint_eq(plain->step_count, comma->step_count);
    ck_assert_uint_gt(plain->step_count, 0);
    for (size_t i = 0; i < plain->step_count; i++) {
        ck_assert(plain->step[i]->at_s == comma->step[i]->at_s);
        ck_assert_str_eq(plain->step[i]->text, comma->step[i]->text);
    }
    ck_assert_uint_eq(plain->warning_count, comma->warning_count);
    for (size_t i = 0; i < plain->warning_count; i++) {
        ck_assert_str_eq(plain->warning[i]->text, comma->warning[i]->text);
        ck_assert_str_eq(plain->warning[i]->remedy, comma->warning[i]->remedy);
    }
    pc_schedule_free(plain);
    pc_schedule_free(comma);
}
END_TEST

START_TEST(errors_say_the_same) {
    char said[2][1024];
    for (int i = 0; i < 2; i++) {
        under(i ? comma_locale : "C");
        pc_errors errors = PC_ERRORS_INIT;
        pc_errors_add(
            &errors, PC_E_VALUE,
            (pc_place){
                .file = "otter.ini", .line = 3, .section = "hollow", .key = "wall", .value = "9"},
            "%.2f mm", 2.25);
        ck_assert_uint_eq(errors.count, 1);
        pc_error_format(&errors.item[0], said[i], sizeof said[i]);
        pc_errors_free(&errors);
    }
    ck_assert_str_eq(said[0], said[1]);
    ck_assert_str_eq(said[0], "otter.ini:3: [hollow] wall: 2.25 mm");
}
END_TEST

static void back_to_plain(void) {
    setlocale(LC_ALL, "C");
}

int main(void) {
    comma_locale = getenv("POURCLOCK_COMMA_LOCALE");
    if (!comma_locale || !setlocale(LC_NUMERIC, comma_locale)) {
        printf("no locale with a decimal comma: run by tests/unit/locale.sh\n");
        return 77;
    }
    setlocale(LC_NUMERIC, "C");
    Suite *suite = suite_create("locale");
    TCase *tcase = tcase_create("locale");
    tcase_set_timeout(tcase, 60);
    tcase_add_checked_fixture(tcase, back_to_plain, back_to_plain);
    tcase_add_test(tcase, quantities_are_read_alike);
    tcase_add_test(tcase, resins_are_read_and_written_alike);
    tcase_add_loop_test(tcase, schedules_say_the_same, 0, 2);
    tcase_add_test(tcase, errors_say_the_same);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
