/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pourclock bench PIECE: the live clock. */
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bench/bench_run.h"
#include "commands/file_kind.h"
#include "commands/options.h"
#include "commands/piece_options.h"
#include "print/message.h"

/* Where the log is kept: as asked for, else beside the piece file under its name. */
static bool log_path(const struct cli *cli, bool real, char *path, size_t size) {
    const char *asked = cli_value(cli, "log");
    const char *piece = cli->operand[0];
    size_t length = strlen(piece);
    if (length > 4 && strcmp(piece + length - 4, ".ini") == 0)
        length -= 4;
    int wanted = asked != NULL ? snprintf(path, size, "%s", asked)
                               : snprintf(path, size, "%.*s%s.log", (int)length, piece,
                                          real ? "" : ".rehearsal");
    if (wanted >= 0 && (size_t)wanted < size)
        return true;
    say_error(CLI_USAGE, "the name of the log is too long: give a shorter one with --log");
    return false;
}

static bool rehearsal_speed(const struct cli *cli, double *speed) {
    const char *text = cli_value(cli, "rehearse"), *end;
    *speed = 1.0;
    if (text == NULL)
        return true;
    *speed = pc_number_parse(text, &end);
    if (*end == '\0' && *speed > 1.0 && *speed <= 1000.0)
        return true;
    say_error(CLI_USAGE,
              "--rehearse: \"%s\" is not a speed; expected a number above 1, at most "
              "1000, such as 20",
              text);
    return false;
}

static enum cli_exit run_clock(struct cli *cli, const pc_piece *piece, pc_schedule *plan,
                               double speed) {
    struct bench_clock clock;
    struct bench_session *session = calloc(1, sizeof *session);
    char path[512];
    pc_errors errors = PC_ERRORS_INIT;
    if (session == NULL)
        return say_error(CLI_INTERNAL, "out of memory");
    /* A quota on the size of files is a full disk, not a reason to die. */
    signal(SIGXFSZ, SIG_IGN);
    bench_clock_start(&clock, speed);
    enum cli_exit code = CLI_USAGE;
    bool named = log_path(cli, bench_clock_is_real(&clock), path, sizeof path);
    if (named && cli_has(cli, "page")) {
        code = bench_page(cli, piece, plan, path, cli_value(cli, "page"));
    } else if (named) {
        pc_status status = bench_session_begin(session, piece, plan, path, &clock, &errors);
        code = status == PC_OK ? bench_run(session, cli_value(cli, "alarm-cmd"))
                               : say_errors(status, &errors);
    }
    bench_session_end(session);
    free(session);
    return code;
}

static enum cli_exit run(struct cli *cli) {
    const char *report = cli_value(cli, "report");
    double speed;
    if (report != NULL)
        return bench_report(cli, report);
    if (cli->operand_count == 0)
        return say_error(CLI_USAGE, "bench needs a piece file, or --report LOG");
    if (cli_has(cli, "gel-times"))
        return say_error(CLI_USAGE, "--gel-times are those of a --report: give both");
    if (strcmp(cli->operand[0], "-") == 0)
        return say_error(CLI_USAGE, "bench reads its keys from standard input: name a piece file");
    if (!rehearsal_speed(cli, &speed))
        return CLI_USAGE;
    enum cli_exit code = cli_expect_kind(cli->operand[0], CLI_FILE_PIECE);
    if (code != CLI_DONE)
        return code;
    pc_piece *piece = calloc(1, sizeof *piece);
    pc_schedule *plan = NULL;
    pc_errors errors = PC_ERRORS_INIT;
    if (piece == NULL)
        return say_error(CLI_INTERNAL, "out of memory");
    char shop[1024];
    pc_status status = pc_piece_read_in_shop(cli_shop_file(cli, shop, sizeof shop), cli->operand[0],
                                             piece, &errors);
    if (status == PC_OK)
        cli_note_shop(cli, piece);
    if (status == PC_OK)
        status = pc_schedule_make(piece, &plan, &errors);
    if (status == PC_OK && !plan->feasible)
        code = say_error(CLI_LIMIT,
                         "this plan exceeds a limit and is not to be poured: "
                         "see pourclock schedule %s",
                         cli->operand[0]);
    else if (status != PC_OK)
        code = say_errors(status, &errors);
    else
        code = run_clock(cli, piece, plan, speed);
    pc_errors_free(&errors);
    pc_schedule_free(plan);
    pc_piece_free(piece);
    free(piece);
    return code;
}

static const struct cli_option options[] = {
    {"log", 0, "FILE", "keep the log here (default: beside PIECE, ending in .log)", CLI_KIND_FILE,
     NULL, false, NULL, NULL},
    {"alarm-cmd", 0, "COMMAND",
     "run this by sh when an alarm starts, POURCLOCK_ALARM holds its text", CLI_KIND_NONE, NULL,
     false, NULL, NULL},
    {"rehearse", 0, "SPEED", "a dry run, faster by this factor, in a log of its own", CLI_KIND_NONE,
     NULL, false, NULL, NULL},
    {"page", 0, "FILE", "write the casting under way as a page for a phone (.html), and end",
     CLI_KIND_FILE, NULL, false, NULL, NULL},
    {"report", 0, "LOG",
     "show planned against actual of a log, with PIECE all its cautions, and end", CLI_KIND_FILE,
     NULL, false, NULL, NULL},
    {"gel-times", 0, "FILE", "with --report: write the gels as CSV for pourclock cuptest",
     CLI_KIND_FILE, NULL, false, NULL, NULL},
    CLI_SHOP_OPTION,
    CLI_OPTIONS_END};

const struct cli_command cmd_bench = {
    .name = "bench",
    .operands = "[PIECE]",
    .summary = "Run the clock at the bench, with a log that survives a crash",
    .example = "pourclock bench otter.ini\n"
               "pourclock bench otter.ini --rehearse 20\n"
               "pourclock bench --report otter.log",
    .about = "Shows what is to be done now and next, and plans the rest anew from what really\n"
             "happens. Keys: d done, g the layer gelled, c the left-over in the cup gelled,\n"
             "l late by, x batch thrown away, n note, u undo, space seen, q quit. A line is on\n"
             "the disk before the screen says so; started again, it goes on where it was.\n"
             "Not at a terminal it writes one line an event and reads the keys as lines.\n",
    .options = options,
    .operands_most = 1,
    .operand_kind = CLI_KIND_FILE,
    .run = run,
};
