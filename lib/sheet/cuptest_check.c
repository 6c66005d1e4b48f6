/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests judged before they are fitted: the impossible is refused, the doubtful asked about. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/range.h"
#include "base/text.h"
#include "sheet/cuptest_rows.h"

static const double WARMEST_SHOP_K = 273.15 + 45.0, COLDEST_SHOP_K = 273.15;
static const double LONGEST_S = 30.0 * PC_DAY_S;
enum { READINGS_LEAST = 5 };

struct rows_check {
    const pc_tests *tests;
    const pc_tests_how *how;
    pc_errors *errors;
    pc_status status;
};

static void refuse(struct rows_check *j, const pc_test *test, const char *column,
                   const char *text) {
    pc_status status = pc_errors_add(
        j->errors, PC_E_VALUE,
        (pc_place){.file = j->tests->file, .line = test->line, .key = column}, "%s", text);
    if (j->status == PC_OK)
        j->status = status;
}

/* Column by column; text says what was expected. */
static void judge_ranges(struct rows_check *j, const pc_test *t) {
    if (!pci_within(t->mass_kg, 1e-3, 100.0))
        refuse(j, t, "mass", "the cup's mass must be from 1 g to 100 kg");
    if (!pci_within(t->T_K, 233.15, 423.15) || !pci_within(t->air_K, 233.15, 423.15))
        refuse(j, t, "temperature", "temperatures must be from -40 to 150 C");
    if (!pci_within(t->time_s, t->kind == PC_TEST_LOG ? 0.0 : 1.0, LONGEST_S))
        refuse(j, t, "time", "the time must be from 1 s to 30 days after mixing");
    if (t->kind == PC_TEST_LOG && !pci_within(t->reading_K, 233.15, 673.15))
        refuse(j, t, "reading", "the reading must be from -40 to 400 C");
    if (t->kind != PC_TEST_FILM)
        return;
    if (!pci_within(t->thickness_m, 1e-4, 0.01))
        refuse(j, t, "thickness", "a film needs its thickness, from 0.1 to 10 mm");
    if (!pci_within(t->mold_K, 233.15, 423.15))
        refuse(j, t, "mold", "the mold's temperature must be from -40 to 150 C");
    if (!pci_within(t->laid_s, 0.0, t->time_s) || !(t->laid_s < t->time_s))
        refuse(j, t, "laid", "the film must be laid before it gels");
    if (!pci_within(t->rubber_m, 0.0, 0.5) || !pci_within(t->shell_m, 0.0, 0.5))
        refuse(j, t, "rubber", "rubber and shell must be under 500 mm thick");
}

static void ask_temperature(struct rows_check *j, const pc_test *test, const char *column,
                            double T_K) {
    char text[256];
    double C = T_K - 273.15, F = 1.8 * C + 32.0;
    if (T_K >= WARMEST_SHOP_K)
        pci_format(text, sizeof text,
                   "%.4g C is %.0f F, far warmer than shops and resins are: was it %.4g F? "
                   "(--as-is accepts it)",
                   C, F, C);
    else
        pci_format(text, sizeof text,
                   "%.2g C is below freezing, and %.3g F: was it %.3g C? (--as-is accepts it)", C,
                   F, F);
    refuse(j, test, column, text);
}

static bool doubtful_temperature(double T_K) {
    return T_K >= WARMEST_SHOP_K || T_K < COLDEST_SHOP_K;
}

/* Once a row, and for a logged cup once. */
static void judge_temperatures(struct rows_check *j, const pc_test *test) {
    if (doubtful_temperature(test->T_K))
        ask_temperature(j, test, "temperature", test->T_K);
    else if (doubtful_temperature(test->air_K))
        ask_temperature(j, test, "air", test->air_K);
    else if (test->kind == PC_TEST_FILM && doubtful_temperature(test->mold_K))
        ask_temperature(j, test, "mold", test->mold_K);
}

/* The same cup, clearly colder, must not gel clearly sooner. */
static void judge_pair(struct rows_check *j, const pc_test *a, const pc_test *b) {
    bool alike = a->kind == b->kind && fabs(log(a->mass_kg / b->mass_kg)) < 0.1 &&
                 (a->kind != PC_TEST_FILM || fabs(log(a->thickness_m / b->thickness_m)) < 0.1);
    const pc_test *cold = a->T_K < b->T_K ? a : b, *warm = cold == a ? b : a;
    if (!alike || !(warm->T_K - cold->T_K > 3.0) || !(cold->time_s < 0.9 * warm->time_s))
        return;
    char text[256];
    pci_format(text, sizeof text,
               "at %.3g C it took %.3g min, at %.3g C (line %ld) %.3g min: resins gel later in the "
               "cold; are the two mixed up? (--as-is accepts them)",
               cold->T_K - PC_ZERO_CELSIUS_K, cold->time_s / 60.0, warm->T_K - PC_ZERO_CELSIUS_K,
               warm->line, warm->time_s / 60.0);
    refuse(j, cold, "time", text);
}

static void judge_pairs(struct rows_check *j) {
    const pc_tests *tests = j->tests;
    for (size_t a = 0; a < tests->count; a++)
        for (size_t b = a + 1; b < tests->count; b++)
            if (pci_test_is_time(&tests->item[a]) && pci_test_is_time(&tests->item[b]))
                judge_pair(j, &tests->item[a], &tests->item[b]);
}

static void judge_log(struct rows_check *j, const pc_test *test, size_t n) {
    char text[256];
    if (n < READINGS_LEAST) {
        pci_format(text, sizeof text,
                   "%zu readings of cup \"%s\": at least %d, one after another, make a curve", n,
                   test->cup, READINGS_LEAST);
        refuse(j, test, "cup", text);
        return;
    }
    for (size_t i = 1; i < n; i++) {
        if (!(test[i].time_s > test[i - 1].time_s)) {
            refuse(j, &test[i], "time", "readings of a cup must come in the order of their times");
            return;
        }
        if (test[i].mass_kg != test->mass_kg || test[i].T_K != test->T_K ||
            test[i].air_K != test->air_K) {
            refuse(j, &test[i], "cup",
                   "mass, temperature and air must be the same in all rows of one cup");
            return;
        }
        double jump_K = test[i].reading_K - test[i - 1].reading_K;
        if (!j->how->as_is && (jump_K > 150.0 || jump_K < -40.0)) {
            refuse(j, &test[i], "reading",
                   "rises by more than 150 C or falls by more than 40 C from the reading before, "
                   "which a cup does not: is a reading missing or in another unit? (--as-is "
                   "accepts it)");
            return;
        }
    }
    if (!j->how->as_is && test[0].time_s < 120.0 && fabs(test[0].reading_K - test->T_K) > 10.0)
        refuse(j, test, "reading",
               "the first reading is more than 10 C from the resin's temperature: is one of them "
               "in another unit? (--as-is accepts it)");
}

pc_status pci_tests_check(const pc_tests *tests, const pc_tests_how *how, pc_errors *errors) {
    static const pc_tests_how plain = {false};
    if (!tests || (tests->count > 0 && !tests->item) || tests->count > PC_TESTS_MOST)
        return PC_E_ARGUMENT;
    struct rows_check j = {tests, how ? how : &plain, errors, PC_OK};
    if (tests->count == 0)
        return pc_errors_add(errors, PC_E_VALUE, (pc_place){.file = tests->file}, "no tests");
    for (size_t i = 0; i < tests->count; i++)
        judge_ranges(&j, &tests->item[i]);
    if (j.status != PC_OK)
        return j.status;
    for (size_t i = 0; i < tests->count;) {
        size_t n = pci_test_log_length(tests, i);
        if (n > 0)
            judge_log(&j, &tests->item[i], n);
        if (!j.how->as_is)
            judge_temperatures(&j, &tests->item[i]);
        i += n > 0 ? n : 1;
    }
    if (!j.how->as_is && j.status == PC_OK)
        judge_pairs(&j);
    return j.status;
}
