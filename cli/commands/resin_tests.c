/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "commands/resin_tests.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { WIDTH = 92, LOTS_MOST = 64 };

/* A lot's times against the resin fitted to all, weighed by how well each is known. */
struct lot {
    char name[PC_TEST_NAME_SIZE];
    size_t count;
    double sum, weight; /* of ln(measured/model) over its variance */
};

/* As the fit weighs them (pourclock-cuptest(1)); readings of a log say no time. */
static double spread_of(const pc_test *test) {
    return test->spread > 0.0 ? test->spread : test->kind == PC_TEST_FILM ? 0.10 : 0.05;
}

static bool read_own(const pc_resin *resin, pc_tests *tests) {
    char path[1280];
    const char *slash = strrchr(resin->path, '/');
    int length = slash != NULL && resin->tests_path[0] != '/' ? (int)(slash - resin->path + 1) : 0;
    snprintf(path, sizeof path, "%.*s%s", length, resin->path, resin->tests_path);
    return pc_tests_read(path, tests, NULL) == PC_OK && tests->count > 0;
}

static size_t gather_lots(const pc_resin *resin, const pc_tests *tests, struct lot lot[LOTS_MOST]) {
    size_t count = 0;
    for (size_t i = 0; i < tests->count; i++) {
        const pc_test *test = &tests->item[i];
        double model;
        size_t k = 0;
        if (test->kind == PC_TEST_LOG || pc_test_value(test, resin, &model) != PC_OK)
            continue;
        while (k < count && strcmp(lot[k].name, test->lot) != 0)
            k++;
        if (k == LOTS_MOST)
            continue;
        if (k == count) {
            memset(&lot[count], 0, sizeof lot[count]);
            snprintf(lot[count++].name, sizeof lot[k].name, "%s", test->lot);
        }
        double weight = 1.0 / (spread_of(test) * spread_of(test));
        lot[k].count++;
        lot[k].sum += weight * log(test->time_s / model);
        lot[k].weight += weight;
    }
    return count;
}

/* Off by more than two of its own errors. */
static bool drifts(const struct lot *lot) {
    return fabs(lot->sum) > 2.0 * sqrt(lot->weight);
}

static void print_lots(struct cli_output *out, const pc_resin *resin, const pc_tests *tests) {
    struct lot lot[LOTS_MOST];
    size_t count = gather_lots(resin, tests, lot);
    bool any = false;
    for (size_t i = 0; i < count; i++) {
        double off = expm1(lot[i].sum / lot[i].weight);
        if (count == 1 && lot[i].name[0] == '\0')
            break;
        char name[80];
        snprintf(name, sizeof name, lot[i].name[0] ? "lot %s" : "no lot%s", lot[i].name);
        out_column(out, name, 24, 24);
        out_printf(out, " %3zu test%s %s %2.0f %% %s%s\n", lot[i].count,
                   lot[i].count > 1 ? "s," : ", ", "timed", 100.0 * fabs(off),
                   off < 0.0 ? "sooner" : "later", drifts(&lot[i]) ? " !" : "");
        any = any || drifts(&lot[i]);
    }
    if (any)
        out_wrapped(out,
                    "! this lot drifts from the resin fitted to all: give it a resin file of its "
                    "own, or strike the rows of a lot that is used up (struck = yes).",
                    0, WIDTH);
}

void print_own_tests(struct cli_output *out, pc_units units, const pc_resin *resin) {
    pc_tests tests = {0};
    pc_resin sheet = *resin;
    pc_resin_row by_all, by_sheet;
    char text[320];
    if (resin->tests_path[0] == '\0')
        return;
    sheet.tests_path[0] = '\0';
    bool good = read_own(resin, &tests) &&
                pc_resin_times(resin, PC_SHEET_K, 0.1, PC_FILM_M, &by_all) == PC_OK;
    if (good) {
        out_bold(out, "your own tests\n");
        snprintf(text, sizeof text,
                 "%zu row%s of %.100s: a film of %s at %s gels in %s, known to x/%.2f", tests.count,
                 tests.count > 1 ? "s" : "", resin->tests_path, pc_say_length(units, PC_FILM_M).s,
                 pc_say_degrees(units, PC_SHEET_K).s, pc_say_duration(by_all.film.gel_s).s,
                 exp(resin->fit.film_sd));
        size_t used = strlen(text);
        if (pc_resin_anchor(&sheet, NULL) == PC_OK && sheet.fit.known &&
            pc_resin_times(&sheet, PC_SHEET_K, 0.1, PC_FILM_M, &by_sheet) == PC_OK)
            snprintf(text + used, sizeof text - used, "; by the data sheet alone in %s, x/%.2f",
                     pc_say_duration(by_sheet.film.gel_s).s, exp(sheet.fit.film_sd));
        out_wrapped(out, text, 0, WIDTH);
        print_lots(out, resin, &tests);
        out_text(out, "\n");
    }
    pc_tests_free(&tests);
}
