/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Quantities: the tables of tests/data/quantities.txt and tests/published/units.txt, correct
 * rounding, and the way back. What a locale could do: check_locale. */
#include "unit.h"

#include <stdio.h>
#include <string.h>

#include "base/dimensions.h"
#include "base/try.h"
#include "lines.h"
#include "pourclock/quantity.h"

static int dimension_named(const char *name) {
    for (int i = 0; i < PC_DIMENSION_COUNT; i++)
        if (!strcmp(pci_dimension_name((pc_dimension)i), name))
            return i;
    return -1;
}

static void check_accepted(int dimension, const char *text, const char *expected,
                           double tolerance) {
    double want = strtod(expected, NULL), si = NAN;
    char why[300] = "";
    pc_status status = pc_quantity_parse(text, (pc_dimension)dimension, &si, why, sizeof why);
    ck_assert_msg(status == PC_OK, "\"%s\": %s (%s)", text, pci_status_name(status), why);
    ck_assert_msg(fabs(si - want) <= tolerance * fabs(want) + 1e-300, "\"%s\" is %.17g not %.17g",
                  text, si, want);
}

static void check_refused(int dimension, const char *text, const char *expected,
                          const char *fragment) {
    double si = 42.0;
    char why[300] = "";
    pc_status status = pc_quantity_parse(text, (pc_dimension)dimension, &si, why, sizeof why);
    ck_assert_msg(!strcmp(pci_status_name(status), expected), "\"%s\" gave %s (%s)", text,
                  pci_status_name(status), why);
    ck_assert_msg(strstr(why, fragment) != NULL, "\"%s\": \"%s\" lacks \"%s\"", text, why,
                  fragment);
    ck_assert_msg(si == 42.0, "\"%s\" was refused but *si was written", text);
    assert_status(pc_quantity_parse(text, (pc_dimension)dimension, &si, NULL, 0), status);
}

START_TEST(table_of_typed_quantities) {
    FILE *file = open_table("data/quantities.txt");
    char line[400], *field[4];
    int rows = 0;
    while (fgets(line, sizeof line, file)) {
        if (!cut_row(line, field, 4))
            continue;
        int dimension = dimension_named(field[0]);
        ck_assert_msg(dimension >= 0 && field[2][0] != '\0', "bad row: %s", field[0]);
        if (field[2][0] == '!') {
            ck_assert_msg(field[3][0] != '\0', "no message expected of \"%s\"", field[1]);
            check_refused(dimension, field[1], field[2] + 1, field[3]);
        } else {
            check_accepted(dimension, field[1], field[2], 1e-12);
        }
        rows++;
    }
    fclose(file);
    ck_assert_int_gt(rows, 150);
}
END_TEST

START_TEST(published_factors_are_met) {
    FILE *file = open_table("published/units.txt");
    char line[400], *field[6];
    int rows = 0;
    while (fgets(line, sizeof line, file)) {
        if (!cut_row(line, field, 6))
            continue;
        ck_assert_msg(field[5][0] != '\0', "no citation: %s", field[1]);
        check_accepted(dimension_named(field[0]), field[1], field[2], strtod(field[3], NULL));
        rows++;
    }
    fclose(file);
    ck_assert_int_gt(rows, 15);
}
END_TEST

/* Every unit named in messages and man pages is one that can be written. */
START_TEST(listed_units_are_read) {
    for (int d = 0; d < PC_DIMENSION_COUNT; d++) {
        pc_dimension dimension = (pc_dimension)d;
        char units[200];
        int length = pci_dimension_units(dimension, units, sizeof units);
        ck_assert_int_eq(length, (int)strlen(units));
        if (dimension == PC_NUMBER || dimension == PC_CLOCK)
            continue;
        ck_assert_int_gt(length, 0);
        for (char *unit = strtok(units, ","); unit; unit = strtok(NULL, ",")) {
            double si = NAN, parsed = NAN;
            char text[80];
            assert_ok(pci_quantity_to_si(37.5, unit, dimension, &si));
            snprintf(text, sizeof text, "37.5 %s", unit);
            assert_ok(pc_quantity_parse(text, dimension, &parsed, NULL, 0));
            ck_assert(parsed == si);
        }
    }
}
END_TEST

START_TEST(units_text_is_cut_like_snprintf) {
    char units[8];
    int whole = pci_dimension_units(PC_LENGTH, NULL, 0);
    ck_assert_int_eq(pci_dimension_units(PC_LENGTH, units, sizeof units), whole);
    ck_assert_str_eq(units, "mm, cm,");
    ck_assert_int_eq(pci_dimension_units(PC_DIMENSION_COUNT, units, sizeof units), 0);
    ck_assert_str_eq(units, "");
    ck_assert_str_eq(pci_dimension_name((pc_dimension)-1), "");
    ck_assert_str_eq(pc_dimension_example(PC_DIMENSION_COUNT), "");
}
END_TEST

START_TEST(arguments_are_judged) {
    double si = 7.0;
    assert_status(pc_quantity_parse(NULL, PC_LENGTH, &si, NULL, 0), PC_E_ARGUMENT);
    assert_status(pc_quantity_parse("1 mm", PC_LENGTH, NULL, NULL, 0), PC_E_ARGUMENT);
    assert_status(pc_quantity_parse("1 mm", PC_DIMENSION_COUNT, &si, NULL, 0), PC_E_ARGUMENT);
    assert_status(pci_quantity_to_si(1, NULL, PC_LENGTH, &si), PC_E_ARGUMENT);
    assert_status(pci_quantity_to_si(1, "g", PC_LENGTH, &si), PC_E_UNIT);
    assert_status(pci_quantity_to_si(NAN, "mm", PC_LENGTH, &si), PC_E_VALUE);
    assert_status(pci_quantity_to_si(INFINITY, "mm", PC_LENGTH, &si), PC_E_VALUE);
    assert_status(pci_quantity_to_si(-300, "C", PC_TEMPERATURE, &si), PC_E_VALUE);
    ck_assert(si == 7.0);
    assert_ok(pci_quantity_to_si(2.5, NULL, PC_NUMBER, &si));
    ck_assert(si == 2.5);
}
END_TEST

/* Decimal strings whose nearest double is known: halfway cases of IEEE 754 reading, and the powers
 * of ten beyond which naive digit sums lose the last bit. Hexadecimal constants are exact. */
START_TEST(numbers_are_rounded_correctly) {
    static const struct {
        const char *text;
        double value;
    } row[] = {
        {"9007199254740993", 0x1p53},                     /* 2^53 + 1: tie to even */
        {"9007199254740993.00001", 0x1.0000000000001p53}, /* just above the tie */
        {"1e23", 0x1.52d02c7e14af6p+76},
        {"8.5e22", 85e21},
        {"0.1", 0x1.999999999999ap-4},
        {"2.2250738585072011e-308", 0x0.fffffffffffffp-1022},
        {"4.9e-324", 0x1p-1074},
        {"1.7976931348623157e308", 0x1.fffffffffffffp+1023},
        {"7.398e6", 7398000.0},
    };
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        const char *end;
        double value = pc_number_parse(row[i].text, &end);
        ck_assert_msg(value == row[i].value, "%s read as %a, expected %a", row[i].text, value,
                      row[i].value);
        ck_assert(*end == '\0');
    }
}
END_TEST

START_TEST(numbers_end_where_they_should) {
    static const struct {
        const char *text;
        double value;
        int used; /* 0: no number */
    } row[] = {
        {"", NAN, 0},
        {"nan", NAN, 0},
        {"inf", NAN, 0},
        {"-", NAN, 0},
        {".", NAN, 0},
        {"e5", NAN, 0},
        {" 1", NAN, 0},
        {"0x1p3", 0, 1},
        {"-0x10", 0, 2},
        {"1e", 1, 1},
        {"1e+", 1, 1},
        {"1.5.2", 1.5, 3},
        {"1,5", 1, 1},
        {"+2.5mm", 2.5, 4},
        {"-.5", -0.5, 3},
        {"1e400", INFINITY, 5},
        {"-1e400", -INFINITY, 6},
    };
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        const char *end;
        double value = pc_number_parse(row[i].text, &end);
        ck_assert_msg(end - row[i].text == row[i].used, "%s used %d", row[i].text,
                      (int)(end - row[i].text));
        ck_assert_msg(row[i].used == 0 ? isnan(value) : value == row[i].value, "%s read as %g",
                      row[i].text, value);
    }
    ck_assert(isnan(pc_number_parse(NULL, NULL)));
}
END_TEST

/* 7 mm is the double nearest to 0.007, not 7 times the double nearest to 0.001. */
START_TEST(small_units_divide) {
    double si = NAN;
    for (int i = 1; i < 1000; i++) {
        char text[32], direct[32];
        snprintf(text, sizeof text, "%d mm", i);
        snprintf(direct, sizeof direct, "%de-3", i);
        assert_ok(pc_quantity_parse(text, PC_LENGTH, &si, NULL, 0));
        ck_assert(si == strtod(direct, NULL));
    }
}
END_TEST

int main(void) {
    Suite *suite = suite_create("quantity");
    TCase *tcase = tcase_create("quantity");
    tcase_add_test(tcase, table_of_typed_quantities);
    tcase_add_test(tcase, published_factors_are_met);
    tcase_add_test(tcase, listed_units_are_read);
    tcase_add_test(tcase, units_text_is_cut_like_snprintf);
    tcase_add_test(tcase, arguments_are_judged);
    tcase_add_test(tcase, numbers_are_rounded_correctly);
    tcase_add_test(tcase, numbers_end_where_they_should);
    tcase_add_test(tcase, small_units_divide);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
