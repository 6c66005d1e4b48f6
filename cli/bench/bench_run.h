/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bench's loops: at a terminal, or line by line; and the report of a log. */
#ifndef PC_CLI_BENCH_BENCH_RUN_H
#define PC_CLI_BENCH_BENCH_RUN_H

#include "bench/bench_session.h"
#include "commands/command.h"

/* Purpose:  run the clock until it is quit or everything is out of the mold.
 * Given:    session, begun; alarm_command: for sh, or NULL.
 * Returned: CLI_DONE; CLI_FILE (stdout or the log cannot be written). */
enum cli_exit bench_run(struct bench_session *session, const char *alarm_command);

/* The two ways: a terminal on stdin and stdout, or lines. */
enum cli_exit bench_run_terminal(struct bench_session *session, const char *alarm_command);
enum cli_exit bench_run_lines(struct bench_session *session, const char *alarm_command);

/* How a session has ended: CLI_DONE, or CLI_FILE with what could not be saved said. */
enum cli_exit bench_end_code(const struct bench_session *session);

/* Starts sh with the command, detached, POURCLOCK_ALARM set to the newest alarm. */
void bench_alarm_command(const struct bench_session *session, const char *command);

/* Purpose:  print what a log holds: planned against actual; --gel-times writes its gels. */
enum cli_exit bench_report(struct cli *cli, const char *path);

/* Purpose:  write the casting under way as a page, planned again from its log; without a log, the
 *           plan. Nothing is added to the log.
 * Given:    plan, of the piece file; log_path, which need not be there; path of the page.
 * Returned: as page_write; CLI_FILE too for a log that cannot be read or is another piece's. */
enum cli_exit bench_page(struct cli *cli, const pc_piece *piece, const pc_schedule *plan,
                         const char *log_path, const char *path);

#endif
