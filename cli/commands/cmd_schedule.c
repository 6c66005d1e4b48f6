/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pourclock schedule PIECE: the timed pour-and-turn schedule-> */
#include "config.h"

#include <stdlib.h>
#include <string.h>

#include "commands/command.h"
#include "commands/options.h"
#include "commands/piece_options.h"
#include "draw/labels.h"
#include "draw/page.h"
#include "draw/sheet.h"
#include "print/message.h"
#include "print/print.h"
#include "print/print_calendar.h"
#include "print/print_cautions.h"

static enum cli_exit write_sheet(struct cli *cli, const struct printed *p) {
    const char **text = calloc(p->cautions->count + 1, sizeof *text);
    char every_piece[2400] = "";
    size_t count = 0;
    if (!text)
        return say_error(CLI_INTERNAL, "out of memory");
    for (size_t i = 0; i < p->cautions->count; i++)
        if (!p->cautions->item[i].always && strcmp(p->cautions->item[i].code, "limits") != 0)
            text[count++] = p->cautions->item[i].text;
    cautions_as_one(p->cautions, every_piece, sizeof every_piece);
    text[count++] = every_piece;
    /* what options changed is not in the file */
    const char *file =
        cli->operand_count > 0 && strcmp(cli->operand[0], "-") != 0 ? cli->operand[0] : NULL;
    for (size_t i = 0; i < cli->given_count; i++)
        file = cli->given[i].option->section ? NULL : file;
    enum cli_exit code =
        print_sheet(cli, cli_value(cli, "sheet"), p->piece, p->schedule, text, count, file);
    free(text);
    return code;
}

static enum cli_exit write_page(struct cli *cli, const struct printed *p) {
    page_source source = {.piece = p->piece, .plan = p->schedule, .cautions = p->cautions};
    source.path = cli->operand_count > 0 ? cli->operand[0] : NULL;
    return page_write(cli, cli_value(cli, "page"), &source);
}

static enum cli_exit print_all(struct cli *cli, const pc_piece *piece,
                               const pc_schedule *schedule) {
    pc_cautions cautions = {0};
    pc_status status = pc_cautions_make(piece, schedule, piece->units, &cautions);
    struct printed printed = {piece, schedule, &cautions, piece->units};
    enum cli_exit code = CLI_DONE;
    if (status != PC_OK)
        code = say_error(say_exit_of(status), "cautions: %s", pc_status_text(status));
    char *text = NULL;
    if (code == CLI_DONE && cli->json)
        out_json(&cli->out, pc_schedule_json(piece, schedule, &text), &text);
    else if (code == CLI_DONE && cli->csv)
        print_csv(&cli->out, &printed);
    else if (code == CLI_DONE)
        print_text(&cli->out, &printed);
    if (code == CLI_DONE && cli_has(cli, "sheet"))
        code = write_sheet(cli, &printed);
    if (code == CLI_DONE)
        code = print_calendar(cli, schedule);
    if (code == CLI_DONE && cli_has(cli, "labels"))
        code = print_labels(cli, cli_value(cli, "labels"), schedule, printed.units);
    if (code == CLI_DONE && cli_has(cli, "page"))
        code = write_page(cli, &printed);
    pc_cautions_free(&cautions);
    return code;
}

static enum cli_exit plan(struct cli *cli, const pc_piece *piece) {
    pc_schedule *schedule = NULL;
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pc_schedule_make(piece, &schedule, &errors);
    enum cli_exit code = say_errors(status, &errors);
    if (code == CLI_DONE)
        code = print_all(cli, piece, schedule);
    if (code == CLI_DONE && !schedule->feasible)
        code = CLI_LIMIT;
    pc_schedule_free(schedule);
    return code;
}

static enum cli_exit run(struct cli *cli) {
    pc_piece *piece = calloc(1, sizeof *piece);
    if (!piece)
        return say_error(CLI_INTERNAL, "out of memory");
    static const char *const answers[] = {"sheet", "labels", "page", "calendar", NULL};
    int date[3];
    enum cli_exit code = cli_one_answer(cli, answers);
    if (code == CLI_DONE)
        code = calendar_options(cli, date);
    if (code == CLI_DONE)
        code = cli_load_piece(cli, piece);
    if (cli_has(cli, "nominal"))
        piece->margins.on = false;
    if (code == CLI_DONE)
        code = plan(cli, piece);
    pc_piece_free(piece);
    free(piece);
    return code;
}

/* clang-format off */
static const struct cli_option options[] = {
    {"nominal", 'n', NULL, "plan without margins", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"sheet", 0, "FILE", "draw the sheet for the wall too: .pdf, .svg or .png", CLI_KIND_FILE, NULL, false, NULL, NULL},
    {"labels", 0, "FILE", "draw a label for every cup too, 12 a page (.pdf)", CLI_KIND_FILE, NULL, false, NULL, NULL},
    {"page", 0, "FILE", "write a page that runs the clock on a phone too (.html)", CLI_KIND_FILE, NULL, false, NULL, NULL},
    {"calendar", 0, "FILE", "write the steps as a calendar that rings (.ics)", CLI_KIND_FILE, NULL, false, NULL, NULL},
    {"date", 0, "DAY", "day of the calendar, such as 2026-03-14 (default: today)", CLI_KIND_NONE, NULL, false, NULL, NULL},
    CLI_PIECE_OPTIONS,
    CLI_OPTIONS_END,
};
/* clang-format on */

const struct cli_command cmd_schedule = {
    .name = "schedule",
    .operands = "[PIECE]",
    .summary = "The timed pour-and-turn schedule of a piece",
    .example = "pourclock schedule otter.ini\n"
               "pourclock schedule --area 210sqin --wall 3/16in --resin fast-urethane --shop 64F",
    .about = "PIECE is a piece file, see pourclock-files(5); - reads standard input. With\n"
             "--area, --wall and --resin no file is needed.",
    .options = options,
    .takes = CLI_TAKES_JSON | CLI_TAKES_CSV | CLI_TAKES_UNITS,
    .operands_most = 1,
    .operand_kind = CLI_KIND_FILE,
    .run = run,
};
