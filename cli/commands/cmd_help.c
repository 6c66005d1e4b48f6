/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pourclock help [COMMAND] */
#include "commands/command.h"
#include "commands/help.h"

static enum cli_exit run(struct cli *cli) {
    if (cli->operand_count == 0) {
        help_tool(&cli->out);
        return CLI_DONE;
    }
    const struct cli_command *command = help_find(cli->operand[0]);
    if (!command)
        return help_unknown(cli->operand[0]);
    help_command(&cli->out, command);
    return CLI_DONE;
}

static const struct cli_option options[] = {CLI_OPTIONS_END};

const struct cli_command cmd_help = {
    .name = "help",
    .operands = "[COMMAND]",
    .summary = "Show the help of a command",
    .example = "pourclock help schedule",
    .options = options,
    .operands_most = 1,
    .operand_kind = CLI_KIND_COMMAND,
    .hidden = true,
    .run = run,
};
