/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What --help, `pourclock help` and --version print. */
#ifndef PC_CLI_COMMANDS_HELP_H
#define PC_CLI_COMMANDS_HELP_H

#include "commands/command.h"

/* The command of that name, or NULL. */
const struct cli_command *help_find(const char *name);

/* Says that there is no such command, with the nearest one. Returns CLI_USAGE. */
enum cli_exit help_unknown(const char *name);

void help_tool(struct cli_output *out);
void help_command(struct cli_output *out, const struct cli_command *command);
void help_version(struct cli_output *out);

#endif
