/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pourclock cuptest CSV */
#include "config.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "commands/command.h"
#include "commands/options.h"
#include "pourclock.h"
#include "print/message.h"
#include "print/print_cautions.h"
#include "print/print_fit.h"

/* clang-format off */
static const struct cli_option options[] = {
    {"resin", 'r', "RESIN", "resin to start from (its data sheet); or --family", CLI_KIND_RESIN, NULL, false, NULL, NULL},
    {"family", 0, "F", "start from a family's own constants", CLI_KIND_WORDS, "urethane epoxy polyester", false, NULL, NULL},
    {"name", 0, "NAME", "name of the fitted resin", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"write", 'w', "FILE", "write the fitted resin to FILE", CLI_KIND_FILE, NULL, false, NULL, NULL},
    {"plot", 0, "FILE", "draw fit and tests: .svg, .png or .pdf", CLI_KIND_FILE, NULL, false, NULL, NULL},
    {"as-is", 0, NULL, "accept doubtful data", CLI_KIND_NONE, NULL, false, NULL, NULL},
    CLI_OPTIONS_END,
};
/* clang-format on */

/* Gel times printed, as in JSON: over the shop's range, of the cup data sheets speak of. */
static const double table_C[] = {10.0, 15.0, 20.0, 23.0, 25.0, 30.0}, table_mass_kg = 0.1;
enum { TABLE_ROWS = sizeof table_C / sizeof table_C[0] };

static enum cli_exit start_resin(const struct cli *cli, pc_resin *resin) {
    const char *name = cli_value(cli, "resin"), *family = cli_value(cli, "family");
    if ((name != NULL) == (family != NULL))
        return say_error(CLI_USAGE, "cuptest needs the resin to start from: --resin fast-urethane, "
                                    "or --family urethane; one of the two");
    if (family) {
        int known = pc_family_from_word(family);
        if (known < 0 || pc_resin_defaults((pc_family)known, resin) != PC_OK)
            return say_error(CLI_USAGE, "--family %s: expected urethane, epoxy or polyester",
                             family);
        snprintf(resin->name, sizeof resin->name, "%s", family);
        return CLI_DONE;
    }
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pc_resin_find(name, NULL, resin, &errors);
    return status == PC_OK ? CLI_DONE : say_errors(status, &errors);
}

static void name_resin(const struct cli *cli, pc_resin *resin) {
    const char *name = cli_value(cli, "name");
    char fitted[sizeof resin->name + 8];
    snprintf(fitted, sizeof fitted, name ? "%s" : "%s, fitted", name ? name : resin->name);
    snprintf(resin->name, sizeof resin->name, "%.*s", (int)sizeof resin->name - 1, fitted);
}

static void print_csv(struct cli *cli, const pc_tests *tests, const pc_tests_fit *fit) {
    struct cli_output *out = &cli->out;
    out_text(out, "line,kind,T_K,time_s,reading_K,model,residual,leverage,spread,outlier\r\n");
    for (size_t i = 0; i < fit->count; i++) {
        const pc_test *test = &tests->item[i];
        const pc_test_result *r = &fit->result[i];
        double reading_K = test->kind == PC_TEST_LOG ? test->reading_K : NAN;
        const double cells[] = {test->T_K,   test->time_s, reading_K, r->model,
                                r->residual, r->leverage,  r->spread, r->outlier};
        out_printf(out, "%ld,%s", test->line, pc_test_word(test->kind));
        out_csv_numbers(out, cells, sizeof cells / sizeof cells[0]);
    }
}

static void print_constants(struct cli_output *out, const pc_tests_fit *fit, pc_units units) {
    out_printf(out, "  rate at %s      %.3g times the resin's started from, 95 %%: %.3g to %.3g\n",
               pc_say_degrees(units, fit->T_ref_K).s, fit->rate_scale, fit->rate_low,
               fit->rate_high);
    out_printf(out, "  activation energy  %.1f kJ/mol, 95 %%: %.1f to %.1f\n", 1e-3 * fit->E_J_mol,
               1e-3 * fit->E_low_J_mol, 1e-3 * fit->E_high_J_mol);
    out_printf(out, "  pot life ends at   %.3f of full cure, 95 %%: %.3f to %.3f\n", fit->a_pot,
               fit->a_pot_low, fit->a_pot_high);
    out_text(out, "  scatter of a test  ");
    if (!isnan(fit->scatter))
        out_printf(out, "%.1f %%", 100.0 * fit->scatter);
    if (!isnan(fit->reading_scatter_K))
        out_printf(out, "%s%s of a reading", isnan(fit->scatter) ? "" : ", ",
                   pc_say(PC_SAY_SCATTER, units, fit->reading_scatter_K).s);
    if (fit->widened > 1.0)
        out_printf(out, "; %.2g times what tests usually have: intervals are widened by it",
                   fit->widened);
    out_text(out, "\n");
    out_printf(
        out, "  a film's gel       known to x/%.2f (1 sd), with data sheet and tests together\n\n",
        exp(fit->resin.fit.film_sd));
}

static void print_table(struct cli_output *out, const pc_tests_fit *fit, pc_units units) {
    out_bold(out, "Gel of a %s cup, and its 95 %% interval\n", pc_say_mass(table_mass_kg).s);
    for (int i = 0; i < TABLE_ROWS; i++) {
        double T_K = table_C[i] + PC_ZERO_CELSIUS_K, gel_s, low_s, high_s;
        pc_status status = pc_tests_fit_gel(fit, table_mass_kg, T_K, &gel_s, &low_s, &high_s);
        out->failed = out->failed || status == PC_E_MEMORY;
        if (status != PC_OK)
            continue;
        out_printf(out, "  %5s  %8s   %8s to %s\n", pc_say_degrees(units, T_K).s,
                   pc_say_duration(gel_s).s, pc_say_duration(low_s).s, pc_say_duration(high_s).s);
    }
    out_text(out, "\n");
}

static void print_test(struct cli_output *out, const pc_test *test, const pc_test_result *r,
                       pc_units units) {
    bool reading = test->kind == PC_TEST_LOG;
    out_printf(out, "  %5ld  %-4s  %6s  %9s  %9s", test->line, pc_test_word(test->kind),
               pc_say_degrees(units, test->T_K).s,
               reading ? pc_say(PC_SAY_DEGREES_FINE, units, test->reading_K).s
                       : pc_say_duration(test->time_s).s,
               reading ? pc_say(PC_SAY_DEGREES_FINE, units, r->model).s
                       : pc_say_duration(r->model).s);
    if (reading)
        out_printf(out, "  %9s", pc_say(PC_SAY_DEGREES_STEP, units, r->residual).s);
    else
        out_printf(out, "  %+7.1f %%", 100.0 * expm1(r->residual));
    if (r->outlier) {
        out_style(out, CLI_WARN);
        out_text(out, "  outlier");
        out_style(out, CLI_PLAIN);
    }
    out_text(out, "\n");
}

/* Every gel time; of logged curves only what stands out, they are long. */
static void print_tests(struct cli_output *out, const pc_tests *tests, const pc_tests_fit *fit,
                        pc_units units) {
    size_t readings = 0;
    out_bold(out, "  %5s  %-4s  %6s  %9s  %9s  %9s\n", "line", "test", "resin", "measured", "fit",
             "fit is off");
    for (size_t i = 0; i < fit->count; i++) {
        bool reading = tests->item[i].kind == PC_TEST_LOG;
        readings += reading;
        if (!reading || fit->result[i].outlier)
            print_test(out, &tests->item[i], &fit->result[i], units);
    }
    if (readings > 0)
        out_printf(out, "  and %zu logged readings (all of them: --csv)\n", readings);
    out_text(out, "\n");
}

/* More than any lot or shop differs from its data sheet: a slip of the unit, or another resin
 * (judgment). */
static const double SHEET_RATIO_MOST = 3.0;

static void print_doubts(struct cli_output *out, const pc_tests *tests, const pc_tests_fit *fit) {
    char text[256];
    out_style(out, CLI_WARN);
    for (size_t i = 0; i < fit->count; i++) {
        const pc_test *test = &tests->item[i];
        double ratio = fit->result[i].sheet_ratio;
        if (!(ratio > SHEET_RATIO_MOST || ratio < 1.0 / SHEET_RATIO_MOST))
            continue;
        snprintf(
            text, sizeof text,
            "Line %ld: %s is %.3g times the %s of the resin's data sheet. Is its unit right (s, "
            "min, h), and is it this resin? The fit follows it all the same.",
            test->line, pc_say_duration(test->time_s).s, ratio,
            pc_say_duration(test->time_s / ratio).s);
        out_wrapped(out, text, 0, 78);
    }
    out_style(out, CLI_PLAIN);
}

static void print_text(struct cli *cli, const pc_tests *tests, const pc_tests_fit *fit,
                       pc_units units) {
    struct cli_output *out = &cli->out;
    out_bold(out, "%s", fit->resin.name);
    out_printf(out, " (%s), from %zu tests\n", pc_family_word(fit->resin.family), fit->count);
    print_constants(out, fit, units);
    print_table(out, fit, units);
    print_tests(out, tests, fit, units);
    if (cli_has(cli, "resin"))
        print_doubts(out, tests, fit);
    if (fit->outliers > 0) {
        out_style(out, CLI_WARN);
        out_wrapped(out,
                    "An outlier is more than three standard deviations off. Look into the notes: "
                    "stirred badly, weighed wrong, another lot? Strike its row out (struck = yes) "
                    "only for a reason, then fit again.",
                    0, 78);
        out_style(out, CLI_PLAIN);
    }
    out_wrapped(out,
                "The intervals apply to this resin as it was mixed and timed here. Test a new "
                "batch again. Test small cups, outdoors or under exhaust.",
                0, 78);
    print_resin_cautions(out, &fit->resin, units, 78);
}

static enum cli_exit answer(struct cli *cli, const pc_tests *tests, pc_tests_fit *fit) {
    pc_units units = cli_units(cli, PC_METRIC);
    enum cli_exit code = CLI_DONE;
    name_resin(cli, &fit->resin);
    char *text = NULL;
    if (cli->json)
        out_json(&cli->out, pc_tests_json(tests, fit, &text), &text);
    else if (cli->csv)
        print_csv(cli, tests, fit);
    else
        print_text(cli, tests, fit, units);
    if (cli_has(cli, "plot"))
        code = print_fit(cli_value(cli, "plot"), tests, fit, units);
    if (code == CLI_DONE && cli_has(cli, "write")) {
        pc_errors errors = PC_ERRORS_INIT;
        pc_status status = pc_resin_write(cli_value(cli, "write"), &fit->resin, &errors);
        code = status == PC_OK ? CLI_DONE : say_errors(status, &errors);
    }
    return code;
}

static enum cli_exit run(struct cli *cli) {
    pc_resin resin;
    enum cli_exit code = start_resin(cli, &resin);
    if (code != CLI_DONE)
        return code;
    pc_errors errors = PC_ERRORS_INIT;
    pc_tests tests;
    pc_tests_fit fit;
    memset(&fit, 0, sizeof fit);
    pc_tests_how how = {cli_has(cli, "as-is")};
    pc_status status = pc_tests_read(cli->operand[0], &tests, &errors);
    if (status == PC_OK)
        status = pc_tests_fit_run(&tests, &resin, &how, &fit, &errors);
    code = status == PC_OK ? answer(cli, &tests, &fit) : say_errors(status, &errors);
    pc_errors_free(&errors);
    pc_tests_fit_free(&fit);
    pc_tests_free(&tests);
    return code;
}

const struct cli_command cmd_cuptest = {
    .name = "cuptest",
    .operands = "CSV",
    .summary = "Fit a resin to your own cup and film tests",
    .example = "pourclock cuptest tests.csv --resin fast-urethane --write shop-urethane.ini\n"
               "pourclock cuptest tests.csv --resin fast-urethane --plot fit.svg",
    .about =
        "A data sheet is for 23 C and someone else's cup. Lay a smear on the mold's rubber and "
        "note\n"
        "when it has gelled through: that one test helps most. Cups at two or three temperatures\n"
        "8 C or more apart show how much the cold slows the resin. The fit takes the tests, the\n"
        "data sheet of RESIN and what is known of its family together; few tests leave wide "
        "limits.\n"
        "\n"
        "CSV has a header and one row a test. Columns: kind, time (since mixing), temperature (of\n"
        "the resin when mixing starts), and where they apply mass, air, cup, reading, thickness,\n"
        "laid, mold, rubber, rubber_kind, shell, shell_kind, spread, date, lot, struck, note. "
        "kind\n"
        "is gel (a cup gelled), pot (too thick to pour), log (one reading of a cup's temperature)\n"
        "or film (a film gelled). spread: how far the time may be off, such as 10 %; struck = yes\n"
        "leaves a row out; of tests with dates the older count less.\n"
        "Cells carry units (\"100 g\", \"6m30s\", \"64 F\"), or the header does: \"time (min)\".",
    .options = options,
    .takes = CLI_TAKES_JSON | CLI_TAKES_CSV | CLI_TAKES_UNITS,
    .operands_least = 1,
    .operands_most = 1,
    .operand_kind = CLI_KIND_FILE,
    .run = run,
};
