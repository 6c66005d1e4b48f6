/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pourclock supplies PIECE: what to buy and mix, strength, air. */
#include "config.h"

#include <math.h>
#include <stdlib.h>

#include "commands/command.h"
#include "commands/options.h"
#include "commands/piece_options.h"
#include "print/message.h"
#include "print/print_supplies.h"

static enum cli_exit read_orders(struct cli *cli, const pc_piece *piece, pc_order *order,
                                 pc_prices *prices) {
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pc_order_read(piece->path, order, &errors);
    if (status == PC_OK && cli_has(cli, "prices"))
        status = pc_prices_read(cli_value(cli, "prices"), prices, &errors);
    if (status != PC_OK)
        return say_errors(status, &errors);
    const char *castings = cli_value(cli, "castings");
    if (castings) {
        const char *end;
        double n = pc_number_parse(castings, &end);
        if (!(n >= 1 && n <= 10000) || n != floor(n) || *end)
            return say_error(CLI_USAGE, "--castings %s: expected a whole number, 1 to 10000",
                             castings);
        order->castings = (int)n;
    }
    return CLI_DONE;
}

static enum cli_exit work_out(struct cli *cli, const pc_piece *piece, const pc_order *order,
                              const pc_prices *prices) {
    pc_errors errors = PC_ERRORS_INIT;
    pc_schedule *schedule = NULL;
    pc_status status = pc_schedule_make(piece, &schedule, &errors);
    struct printed_supplies p = {.piece = piece,
                                 .schedule = schedule,
                                 .order = order,
                                 .prices = prices,
                                 .units = piece->units};
    if (status == PC_OK)
        status = pc_supplies_make(piece, schedule, order, prices, &p.supplies, &errors);
    if (status == PC_OK)
        status = pc_standing_of(piece, schedule, &p.standing);
    if (status == PC_OK)
        status = pc_cautions_make(piece, schedule, piece->units, &p.cautions);
    enum cli_exit code = say_errors(status, &errors);
    if (code == CLI_DONE) {
        char *text = NULL;
        if (cli->json)
            out_json(&cli->out, pc_supplies_json(piece, schedule, order, &p.supplies, &text),
                     &text);
        else if (cli->csv)
            supplies_csv(&cli->out, &p);
        else
            supplies_text(&cli->out, &p);
        if (!schedule->feasible)
            code = CLI_LIMIT;
    }
    pc_cautions_free(&p.cautions);
    pc_schedule_free(schedule);
    return code;
}

static enum cli_exit run(struct cli *cli) {
    pc_piece *piece = calloc(1, sizeof *piece);
    pc_order *order = calloc(1, sizeof *order);
    pc_prices *prices = calloc(1, sizeof *prices);
    enum cli_exit code = piece && order && prices ? cli_load_piece(cli, piece)
                                                  : say_error(CLI_INTERNAL, "out of memory");
    if (code == CLI_DONE)
        code = read_orders(cli, piece, order, prices);
    if (code == CLI_DONE)
        code = work_out(cli, piece, order, cli_has(cli, "prices") ? prices : NULL);
    if (piece)
        pc_piece_free(piece);
    free(piece);
    free(order);
    free(prices);
    return code;
}

/* clang-format off */
static const struct cli_option options[] = {
    {"castings", 'c', "N", "number of castings (1, or [supplies] castings)", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"prices", 'p', "FILE", "price list: item,name,part_a,part_b,price", CLI_KIND_FILE, NULL, false, NULL, NULL},
    {"room", 0, "V", "volume of the room's air, such as 60m3; with --ventilation", CLI_KIND_NONE, NULL, false, "shop", "room"},
    {"ventilation", 0, "Q", "fresh air, such as 200cfm (0cfm: none); with --room", CLI_KIND_NONE, NULL, false, "shop", "ventilation"},
    CLI_PIECE_OPTIONS,
    CLI_OPTIONS_END,
};
/* clang-format on */

const struct cli_command cmd_supplies = {
    .name = "supplies",
    .operands = "[PIECE]",
    .summary = "What to buy and mix: resin, rubber, shell, pins; strength and air",
    .example = "pourclock supplies otter.ini --castings 6 --prices prices.csv --room 60m3 "
               "--ventilation 200cfm",
    .about =
        "Calculates what a piece needs from its schedule and from the sections [supplies],\n"
        "[strength] and [pin NAME] of its file, see pourclock-supplies(1). Figures of air and\n"
        "strength are estimates and upper bounds.",
    .options = options,
    .takes = CLI_TAKES_JSON | CLI_TAKES_CSV | CLI_TAKES_UNITS,
    .operands_most = 1,
    .operand_kind = CLI_KIND_FILE,
    .run = run,
};
