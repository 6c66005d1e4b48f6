/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Messages on stderr and exit codes. */
#ifndef PC_CLI_PRINT_MESSAGE_H
#define PC_CLI_PRINT_MESSAGE_H

#include "commands/command.h"

/* `pourclock: text` on stderr, control characters shown as '?'. say_error returns its code, so
 * that a caller can `return say_error(CLI_USAGE, ...)`. */
enum cli_exit say_error(enum cli_exit code, const char *format, ...) PC_PRINTF(2, 3);

/* The same for a note that --quiet silences. */
void say_note(const struct cli *cli, const char *format, ...) PC_PRINTF(2, 3);

/* Exit code of a library status. */
enum cli_exit say_exit_of(pc_status status);

/* Says every error of a list, or the text of status where the list is empty; frees the list.
 * Returned: the exit code: CLI_USAGE when every error comes from the command line, else that of
 * status. Says nothing for PC_OK. */
enum cli_exit say_errors(pc_status status, pc_errors *errors);

#endif
