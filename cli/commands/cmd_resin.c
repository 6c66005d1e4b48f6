/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pourclock resin RESIN: pot life, gel, heat and demold against temperature and batch. */
#include "config.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "commands/command.h"
#include "commands/file_kind.h"
#include "commands/options.h"
#include "commands/resin_shelf.h"
#include "commands/resin_tests.h"
#include "commands/values.h"
#include "pourclock.h"
#include "print/message.h"
#include "print/print_cautions.h"

enum { LIST_MOST = 64, ROWS_MOST = 4096 };
#define MASS_LEAST_KG 0.999e-6 /* a little under, for rounding */
#define MASS_MOST_KG  1000.0
#define FILM_LEAST_M  1e-6 /* the film's solver's */

/* What the table goes over. */
struct grid {
    size_t T_count, mass_count, film_count;
    double T_K[LIST_MOST], mass_kg[LIST_MOST], film_m[LIST_MOST];
};

struct table {
    pc_resin resin;
    size_t count;
    pc_resin_row *row;
};

/* Fills a list from an option's values, or from the default. False after saying what is wrong. */
static bool read_list(const struct cli *cli, const char *name, pc_dimension dimension,
                      const struct cli_range *range, size_t default_count, const double *defaults,
                      size_t *count, double *list) {
    *count = cli_value_count(cli, name);
    if (*count > LIST_MOST) {
        say_error(CLI_USAGE, "--%s is given more than %d times", name, LIST_MOST);
        return false;
    }
    for (size_t i = 0; i < *count; i++)
        if (!cli_quantity_at(cli, name, i, dimension, range, &list[i]))
            return false;
    if (*count > 0)
        return true;
    *count = default_count;
    for (size_t i = 0; i < default_count; i++)
        list[i] = defaults[i];
    return true;
}

static bool read_grid(const struct cli *cli, struct grid *grid) {
    static const double T_K[] = {283.15, 288.15, 293.15, 298.15, 303.15, 308.15};
    static const double mass_kg[] = {0.05, 0.1, 0.2, 0.5, 1.0}, film_m[] = {0.003};
    static const struct cli_range
        at = {233.0, 423.3, "-40 C to 150 C (-40 F to 302 F)"}, /* a little over, for rounding */
        mass = {MASS_LEAST_KG, MASS_MOST_KG, "1 mg to 1000 kg (2200 lb)"},
        film = {FILM_LEAST_M, PC_WALL_MOST_M, "0.001 mm to 500 mm (19.7 in)"};
    return read_list(cli, "at", PC_TEMPERATURE, &at, 6, T_K, &grid->T_count, grid->T_K) &&
           read_list(cli, "mass", PC_MASS, &mass, 5, mass_kg, &grid->mass_count, grid->mass_kg) &&
           read_list(cli, "film", PC_LENGTH, &film, 1, film_m, &grid->film_count, grid->film_m);
}

static enum cli_exit fill_table(const struct grid *grid, struct table *table) {
    size_t most = grid->T_count * grid->mass_count * grid->film_count;
    if (most > ROWS_MOST)
        return say_error(CLI_USAGE, "%zu rows are too many: at most %d", most, ROWS_MOST);
    table->row = calloc(most, sizeof *table->row);
    if (!table->row)
        return say_error(CLI_INTERNAL, "out of memory");
    for (size_t i = 0; i < most; i++) {
        pc_resin_row *row = &table->row[table->count++];
        double film_m = grid->film_m[i % grid->film_count];
        double mass_kg = grid->mass_kg[i / grid->film_count % grid->mass_count];
        double T_K = grid->T_K[i / grid->film_count / grid->mass_count];
        pc_status status = pc_resin_times(&table->resin, T_K, mass_kg, film_m, row);
        if (status != PC_OK)
            return say_error(say_exit_of(status), "%s at %s, %s: %s", table->resin.name,
                             pc_say(PC_SAY_DEGREES_FINE, PC_METRIC, T_K).s, pc_say_mass(mass_kg).s,
                             pc_status_text(status));
    }
    return CLI_DONE;
}

/* "8-14 min": a band needs no seconds. */
static pc_words likely(double low_s, double high_s) {
    pc_words text;
    if (high_s < 120.0 * 60.0)
        snprintf(text.s, sizeof text.s, "%.0f-%.0f min", low_s / 60.0, high_s / 60.0);
    else
        snprintf(text.s, sizeof text.s, "%.1f-%.1f h", low_s / 3600.0, high_s / 3600.0);
    return text;
}

static void print_row(struct cli_output *out, pc_units units, const pc_resin_row *row) {
    bool hot = row->cup.peak_K >= PC_SCORCH_K;
    out_printf(out, "%8s %9s %10s %10s ", pc_say(PC_SAY_DEGREES_FINE, units, row->T_K).s,
               pc_say_mass(row->mass_kg).s,
               pc_say(PC_SAY_DURATION_EVEN, PC_METRIC, row->cup.pot_life_s).s,
               pc_say(PC_SAY_DURATION_EVEN, PC_METRIC, row->cup.gel_s).s);
    out_style(out, hot ? CLI_WARN : CLI_PLAIN);
    out_printf(out, "%7s%s", pc_say_degrees(units, row->cup.peak_K).s, hot ? "!" : " ");
    out_style(out, CLI_PLAIN);
    out_printf(out, "  %9s %10s %10s\n", pc_say_length(units, row->film_m).s,
               pc_say(PC_SAY_DURATION_EVEN, PC_METRIC, row->film.gel_s).s,
               pc_say(PC_SAY_DURATION_EVEN, PC_METRIC, row->film.demold_s).s);
    if (isnan(row->film.gel_low_s) || isnan(row->film.demold_low_s))
        return;
    pc_words gel = likely(row->film.gel_low_s, row->film.gel_high_s);
    pc_words demold = likely(row->film.demold_low_s, row->film.demold_high_s);
    out_printf(out, "%61s %10s %10s\n", "likely", gel.s, demold.s);
}

static const char *stated_text(const pc_datum *datum, double value, pc_units units,
                               pc_words *text) {
    *text = datum->kind == PC_DATUM_PEAK ? pc_say_degrees(units, value) : pc_say_duration(value);
    return text->s;
}

/* Each figure of the data sheet beside what the resin fitted to all of them gives. */
static void print_sheet_figures(struct cli_output *out, pc_units units, const pc_resin *resin) {
    const pc_data_sheet *sheet = &resin->sheet;
    char disagreement[400];
    if (sheet->count == 0)
        return;
    out_bold(out, "%-16s %22s %10s %10s %8s\n", "data sheet", "of", "stated", "model", "off by");
    for (size_t i = 0; i < sheet->count; i++) {
        const pc_datum *d = &sheet->datum[i];
        pc_words stated, model, at = pc_say_degrees(units, d->T_K);
        char what[112];
        bool cup = d->kind != PC_DATUM_FILM_GEL && d->kind != PC_DATUM_DEMOLD;
        snprintf(what, sizeof what, "%s at %s",
                 cup                     ? pc_say_mass(d->mass_kg).s
                 : isnan(d->thickness_m) ? "a casting"
                                         : pc_say_length(units, d->thickness_m).s,
                 at.s);
        out_printf(out, "%-16s %22s %10s %10s %+7.1f%s\n", pc_datum_word(d), what,
                   stated_text(d, d->value, units, &stated),
                   stated_text(d, d->model, units, &model), d->residual,
                   fabs(d->residual) > 2.0   ? " !"
                   : fabs(d->residual) > 1.0 ? " *"
                                             : "");
    }
    out_text(out, "off by: in standard deviations of the figure; * above 1, ! above 2\n");
    if (pc_resin_disagreement(resin, disagreement, sizeof disagreement) > 2.0) {
        out_style(out, CLI_WARN);
        out_wrapped(out, disagreement, 0, 92);
        out_style(out, CLI_PLAIN);
    }
    out_text(out, "\n");
}

static void print_filler(struct cli_output *out, const pc_fill *fill, const pc_resin *resin) {
    if (!(fill->parts > 0.0))
        return;
    out_printf(
        out,
        "filler: %.4g parts of %s by weight to 100 of A and B, %.3g %% of the mix's volume\n"
        "without it %.3g g/cm3, %.3g Pa.s, %.3g W/m.K, %.3g kJ/kg; with it %.3g g/cm3, %.3g "
        "Pa.s, %.3g W/m.K,\n%.3g kJ/kg (volumes add; Lewis & Nielsen; Krieger & Dougherty)\n\n",
        fill->parts, fill->of.name[0] ? fill->of.name : "filler", 100.0 * fill->volume_share,
        fill->plain_density_kg_m3 / 1e3, fill->plain_mu_Pa_s, fill->plain_k_W_mK,
        fill->plain_heat_J_kg / 1e3, resin->density_kg_m3 / 1e3, resin->flow.mu_ref_Pa_s,
        resin->cure.k_W_mK, resin->cure.heat_J_kg / 1e3);
}

static void print_table(struct cli_output *out, pc_units units, const struct table *table) {
    const pc_resin *resin = &table->resin;
    out_style(out, CLI_BOLD);
    out_wrapped(out, resin->name, 0, 92);
    out_style(out, CLI_PLAIN);
    out_printf(out, "%s; 100 parts A to %.4g parts B by weight; mixed %.3g g/cm3\n\n",
               pc_family_word(resin->family), 100.0 * resin->share_b / resin->share_a,
               resin->density_kg_m3 / 1000.0);
    if (resin->catalyst.at > 0.0)
        out_printf(out, "catalyst %.3g %% by mass (%.3g to %.3g %%)\n\n",
                   100.0 * resin->catalyst.level, 100.0 * resin->catalyst.low,
                   100.0 * resin->catalyst.high);
    print_filler(out, &resin->fill, resin);
    print_sheet_figures(out, units, resin);
    print_own_tests(out, units, resin);
    out_style(out, CLI_BOLD);
    out_printf(out, "%8s %9s %10s %10s %8s  %9s %10s %10s\n", "", "", "in the cup", "", "",
               "on a mold", "", "");
    out_printf(out, "%8s %9s %10s %10s %8s  %9s %10s %10s\n", "all at", "batch", "pot life", "gels",
               "peak ", "film", "gels", "demold");
    out_style(out, CLI_PLAIN);
    for (size_t i = 0; i < table->count; i++) {
        if (i > 0 && table->row[i].T_K != table->row[i - 1].T_K)
            out_text(out, "\n");
        print_row(out, units, &table->row[i]);
    }
    out_text(out, "\nTimes run from the start of mixing. Be done pouring by 0.8 of the pot life.\n"
                  "Film: on 8 mm of silicone in 10 mm of plaster, poured at half the pot life. "
                  "Demold: cured\nthrough");
    out_printf(out, " and cooled below %s.\n", pc_say_degrees(units, resin->demold_below_K).s);
    if (resin->fit.known)
        out_printf(
            out,
            "Likely: two of three resins with these figures. A film's gel is known to x/%.2f;\n"
            "%s\n",
            exp(resin->fit.film_sd),
            resin->fit.film_sd > 0.15
                ? "one film test of your own (film_gel, or pourclock cuptest) brings it to "
                  "about x/1.10."
                : "your own tests are in it.");
    out_printf(out, "! A batch left standing passes %s: it can smoke, foam and soften its cup.\n",
               pc_say_degrees(units, PC_SCORCH_K).s);
    print_resin_cautions(out, resin, units, 92);
}

static void print_csv(struct cli_output *out, const struct table *table) {
    out_text(out, "T_K,mass_kg,pot_life_s,cup_gel_s,cup_peak_K,film_m,film_gel_s,demold_s,"
                  "film_gel_low_s,film_gel_high_s\r\n");
    for (size_t i = 0; i < table->count; i++) {
        const pc_resin_row *row = &table->row[i];
        const double field[] = {row->mass_kg,       row->cup.pot_life_s, row->cup.gel_s,
                                row->cup.peak_K,    row->film_m,         row->film.gel_s,
                                row->film.demold_s, row->film.gel_low_s, row->film.gel_high_s};
        out_csv_number(out, row->T_K);
        out_csv_numbers(out, field, sizeof field / sizeof field[0]);
    }
}

static enum cli_exit run(struct cli *cli) {
    struct grid grid;
    if (cli->operand_count == 0)
        return cli_has(cli, "at") || cli_has(cli, "mass") || cli_has(cli, "film")
                   ? say_error(CLI_USAGE, "which resin? `pourclock resin` lists the shelf")
                   : cli_resin_shelf(cli);
    if (!read_grid(cli, &grid))
        return CLI_USAGE;
    if (cli_expect_kind(cli->operand[0], CLI_FILE_RESIN) != CLI_DONE)
        return CLI_FILE;
    struct table table = {0};
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pc_resin_find(cli->operand[0], NULL, &table.resin, &errors);
    if (status != PC_OK)
        return say_errors(status, &errors);
    double level;
    if (cli_has(cli, "catalyst")) {
        static const struct cli_range range = {1e-4, 0.1, "0.01 to 10 %"};
        if (!cli_quantity_at(cli, "catalyst", 0, PC_SHARE, &range, &level))
            return CLI_USAGE;
        status = pc_resin_set_catalyst(&table.resin, level, &errors);
        if (status != PC_OK)
            return say_errors(status, &errors);
    }
    enum cli_exit code = fill_table(&grid, &table);
    if (code == CLI_DONE) {
        char *text = NULL;
        if (cli->json)
            out_json(&cli->out, pc_resin_json(&table.resin, table.count, table.row, &text), &text);
        else if (cli->csv)
            print_csv(&cli->out, &table);
        else
            print_table(&cli->out, cli_units(cli, PC_METRIC), &table);
    }
    free(table.row);
    pc_errors_free(&errors);
    return code;
}

/* clang-format off */
static const struct cli_option options[] = {
    {"at", 't', "T", "resin, shop and mold at T, such as 18C or 64F; repeatable (10 to 35 C)", CLI_KIND_NONE, NULL, true, NULL, NULL},
    {"mass", 'm', "M", "batch mixed, such as 250g; repeatable (50 to 1000 g)", CLI_KIND_NONE, NULL, true, NULL, NULL},
    {"film", 'f', "D", "film on the mold, such as 3mm or 1/8in; repeatable (3 mm)", CLI_KIND_NONE, NULL, true, NULL, NULL},
    {"catalyst", 'c', "P", "level of the catalyst of a polyester, such as 1.5%", CLI_KIND_NONE, NULL, false, NULL, NULL},
    CLI_OPTIONS_END,
};
/* clang-format on */

const struct cli_command cmd_resin = {
    .name = "resin",
    .operands = "[RESIN]",
    .summary = "Pot life, gel and demold against temperature and batch: a table",
    .example = "pourclock resin fast-urethane --at 64F --mass 250g --film 1/8in",
    .about = "RESIN is a name on the resin shelf or the path of a resin file; - reads standard "
             "input;\nwithout it the shelf is listed. A bigger batch heats itself and has the "
             "shorter pot life; a thin film on a "
             "cold mold the\nlonger gel.",
    .options = options,
    .takes = CLI_TAKES_JSON | CLI_TAKES_CSV | CLI_TAKES_UNITS,
    .operands_most = 1,
    .operand_kind = CLI_KIND_RESIN,
    .run = run,
};
