/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pourclock warm PIECE: what warming resin, mold or room buys. */
#include "config.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "commands/command.h"
#include "commands/options.h"
#include "commands/piece_options.h"
#include "commands/values.h"
#include "draw/warm_picture.h"
#include "print/message.h"
#include "print/print_cautions.h"

enum { COLUMN = 10 };

/* One side of the grid from a repeatable option; left alone where it is not given. */
static enum cli_exit side(const struct cli *cli, const char *option, double T_K[], size_t *count) {
    size_t given = cli_value_count(cli, option);
    if (given == 0)
        return CLI_DONE;
    if (given > PC_WARM_SIDE_MOST)
        return say_error(CLI_USAGE, "--%s: at most %d temperatures", option, PC_WARM_SIDE_MOST);
    static const struct cli_range range = {PC_WARM_LEAST_K, PC_WARM_MOST_K,
                                           "-20 C to 80 C (-4 F to 176 F)"};
    for (size_t i = 0; i < given; i++)
        if (!cli_quantity_at(cli, option, i, PC_TEMPERATURE, &range, &T_K[i]))
            return CLI_USAGE;
    *count = given;
    return CLI_DONE;
}

/* A side that is not asked for is left to the library. */
static enum cli_exit grid_asked(const struct cli *cli, pc_warm_grid *grid) {
    *grid = (pc_warm_grid){0};
    enum cli_exit code = side(cli, "try-resin", grid->resin_K, &grid->resin_count);
    if (code == CLI_DONE)
        code = side(cli, "try-mold", grid->mold_K, &grid->mold_count);
    if (code == CLI_DONE)
        code = side(cli, "try-room", grid->room_K, &grid->room_count);
    return code;
}

static void print_csv(struct cli *cli, const pc_warm *warm) {
    struct cli_output *out = &cli->out;
    out_text(out, "resin_K,mold_K,room_K,feasible,why,layers,pot_life_s,slack_s,demold_s,peak_K,"
                  "effort\r\n");
    for (size_t i = 0; i < warm->count; i++) {
        const pc_warm_cell *c = &warm->cell[i];
        const double before[] = {c->resin_K, c->mold_K, c->room_K};
        const double after[] = {c->pot_life_s, c->slack_s, c->demold_s, c->peak_K, c->effort};
        for (int k = 0; k < 3; k++) {
            out_csv_number(out, before[k]);
            out_text(out, ",");
        }
        out_printf(out, "%d,", c->feasible);
        out_csv_text(out, c->why);
        out_printf(out, ",%zu", c->layers);
        out_csv_numbers(out, after, sizeof after / sizeof after[0]);
    }
}

typedef pc_words (*cell_text)(const pc_warm_cell *cell);

static pc_words demold_text(const pc_warm_cell *cell) {
    return pc_say_duration(cell->demold_s);
}

static pc_words slack_text(const pc_warm_cell *cell) {
    return pc_say_duration(cell->slack_s);
}

static void print_cell(struct cli_output *out, const pc_warm *warm, size_t i, cell_text text) {
    const pc_warm_cell *cell = &warm->cell[i];
    bool marked = i == warm->cheapest || i == warm->fastest;
    out_style(out, !cell->feasible ? CLI_WARN : marked ? CLI_GOOD : CLI_PLAIN);
    const char *why = strcmp(cell->why, "first-layer") == 0 ? "1st-layer" : cell->why;
    out_printf(out, "%*s%s", COLUMN - 1, cell->feasible ? text(cell).s : why,
               i == warm->cheapest  ? "<"
               : i == warm->fastest ? "*"
                                    : " ");
    out_style(out, CLI_PLAIN);
}

/* One room: molds down, resins across. */
static void print_grid(struct cli_output *out, const pc_warm_grid *grid, const pc_warm *warm,
                       pc_units units, size_t room, const char *title, cell_text text) {
    out_bold(out, "%s, shop %s\n", title, pc_say_degrees(units, grid->room_K[room]).s);
    out_printf(out, "%-10s", "resin");
    for (size_t s = 0; s < grid->resin_count; s++)
        out_printf(out, "%*s ", COLUMN - 1, pc_say_degrees(units, grid->resin_K[s]).s);
    out_text(out, "\n");
    for (size_t m = 0; m < grid->mold_count; m++) {
        out_printf(out, "%-5s%5s", m == 0 ? "mold" : "", pc_say_degrees(units, grid->mold_K[m]).s);
        size_t at = (room * grid->mold_count + m) * grid->resin_count;
        for (size_t s = 0; s < grid->resin_count; s++)
            print_cell(out, warm, at + s, text);
        out_text(out, "\n");
    }
    out_text(out, "\n");
}

/* The room that is there now, or nearest to it. */
static size_t present_room(const pc_warm_grid *grid, const pc_warm *warm) {
    size_t best = 0;
    for (size_t r = 1; r < grid->room_count; r++)
        if (fabs(grid->room_K[r] - warm->now.room_K) < fabs(grid->room_K[best] - warm->now.room_K))
            best = r;
    return best;
}

static void print_warm_cautions(struct cli_output *out, const pc_piece *piece,
                                const pc_warm *warm) {
    out_bold(out, "WARMING\n");
    for (size_t i = 0; i < warm->caution_count; i++) {
        out_text(out, "  - ");
        out_wrapped(out, warm->caution[i], 4, 78);
    }
    print_resin_cautions(out, &piece->resin, piece->units, 78);
}

static void print_text(struct cli *cli, const pc_piece *piece, const pc_warm_grid *grid,
                       const pc_warm *warm) {
    struct cli_output *out = &cli->out;
    pc_units units = piece->units;
    out_bold(out, "%s in %s\n", piece->name, piece->resin.name);
    char sentence[sizeof warm->sentence + 2];
    snprintf(sentence, sizeof sentence, "%s.", warm->sentence);
    out_wrapped(out, sentence, 0, 78);
    out_text(out, "\n");
    for (size_t r = 0; r < grid->room_count; r++)
        print_grid(out, grid, warm, units, r, "Out of the mold after", demold_text);
    /* The shop's air hardly reaches into a cup: one table serves. */
    print_grid(out, grid, warm, units, present_room(grid, warm),
               "To spare when the last of a batch is in", slack_text);
    out_wrapped(out,
                "< least warming or cooling that works; * fastest; resin cooled below 16 C (61 F) "
                "is thick and comes last where anything else works. A word names a limit that is "
                "not met: peak (too hot), pot-life (too late to pour), turns (gels too soon after "
                "it sets), thin, drain (what it leaves), mix-limit, 1st-layer, cure. Plans without "
                "margins: take the "
                "one you choose to pourclock schedule.",
                0, 78);
    out_text(out, "\n");
    print_warm_cautions(out, piece, warm);
}

static enum cli_exit warm_piece(struct cli *cli, const pc_piece *piece) {
    pc_warm_grid grid;
    enum cli_exit code = grid_asked(cli, &grid);
    if (code != CLI_DONE)
        return code;
    pc_warm warm;
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pc_warm_run(piece, &grid, &warm, &errors);
    if (status == PC_OK && cli_has(cli, "picture"))
        code = warm_picture(cli_value(cli, "picture"), piece, &warm.grid, &warm);
    if (status == PC_OK && code == CLI_DONE) {
        char *text = NULL;
        if (cli->json)
            out_json(&cli->out, pc_warm_json(piece, &warm, &text), &text);
        else if (cli->csv)
            print_csv(cli, &warm);
        else
            print_text(cli, piece, &warm.grid, &warm);
        code = warm.cheapest == SIZE_MAX && !warm.now.feasible ? CLI_LIMIT : CLI_DONE;
    } else if (status != PC_OK) {
        code = say_errors(status, &errors);
    }
    pc_warm_free(&warm);
    pc_errors_free(&errors);
    return code;
}

static enum cli_exit run(struct cli *cli) {
    pc_piece *piece = calloc(1, sizeof *piece);
    if (!piece)
        return say_error(CLI_INTERNAL, "out of memory");
    enum cli_exit code = cli_load_piece(cli, piece);
    if (code == CLI_DONE)
        code = warm_piece(cli, piece);
    pc_piece_free(piece);
    free(piece);
    return code;
}

/* clang-format off */
static const struct cli_option options[] = {
    {"try-resin", 0, "T", "a temperature of the resin to try", CLI_KIND_NONE, NULL, true, NULL, NULL},
    {"try-mold", 0, "T", "a temperature of the mold to try", CLI_KIND_NONE, NULL, true, NULL, NULL},
    {"try-room", 0, "T", "a temperature of the shop to try", CLI_KIND_NONE, NULL, true, NULL, NULL},
    {"picture", 0, "FILE", "draw it: .svg, .pdf or .png", CLI_KIND_FILE, NULL, false, NULL, NULL},
    CLI_PIECE_OPTIONS,
    CLI_OPTIONS_END,
};
/* clang-format on */

const struct cli_command cmd_warm = {
    .name = "warm",
    .operands = "[PIECE]",
    .summary = "The cold shop: what warming resin, mold or room buys",
    .example = "pourclock warm otter.ini\n"
               "pourclock warm otter.ini --try-resin 68F --try-resin 77F --try-mold 95F",
    .about = "Plans the piece at every combination of temperatures and names the smallest change\n"
             "that works, and the fastest. Without --try-... the resin is tried\n"
             "from 20 F colder than it is to 40 F warmer, the mold to 60 F, the shop to 20 F\n"
             "warmer.",
    .options = options,
    .takes = CLI_TAKES_JSON | CLI_TAKES_CSV | CLI_TAKES_UNITS,
    .operands_most = 1,
    .operand_kind = CLI_KIND_FILE,
    .run = run,
};
