/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The command line, read against the option table of a command. */
#ifndef PC_CLI_COMMANDS_OPTIONS_H
#define PC_CLI_COMMANDS_OPTIONS_H

#include "commands/command.h"

/* The options every command has, ended by CLI_OPTIONS_END; those a command does not take (--json,
 * --csv, --units: see cli_takes) are skipped by cli_option_at. */
extern const struct cli_option cli_common_options[];

/* The index-th option of a command, its own first, then the common ones; NULL past the end. */
const struct cli_option *cli_option_at(const struct cli_command *command, size_t index);

/* How --help groups options: a command's own, those of every command, keys of the piece. */
enum cli_option_group { CLI_GROUP_OWN, CLI_GROUP_COMMON, CLI_GROUP_PIECE };
enum cli_option_group cli_option_group(const struct cli_option *option);

/* What parsing asks for. */
enum cli_asked {
    CLI_ASKED_RUN,
    CLI_ASKED_HELP,
    CLI_ASKED_VERSION,
    CLI_ASKED_WRONG,
    CLI_ASKED_NO_MEMORY,
};

/* Reads argc words behind the command's name into *cli (command set, the rest zero). Says what is
 * wrong on stderr when the answer is one of the last two. Free with cli_options_free in any case.
 */
enum cli_asked cli_options_parse(struct cli *cli, int argc, char **argv);
void cli_options_free(struct cli *cli);

/* Whether an option was given; its value (the last one), or NULL; its index-th value, or NULL. */
bool cli_has(const struct cli *cli, const char *name);
const char *cli_value(const struct cli *cli, const char *name);
const char *cli_value_at(const struct cli *cli, const char *name, size_t index);
size_t cli_value_count(const struct cli *cli, const char *name);

/* The units to print in: --units, else what the piece says. */
pc_units cli_units(const struct cli *cli, pc_units piece_units);

/* Purpose:  write a second form of the answer, such as a sheet: to a file, whole or not at all; for
 *           "-" instead of the answer.
 * Returned: CLI_DONE; CLI_FILE, CLI_INTERNAL, having said why. */
enum cli_exit cli_deliver(struct cli *cli, const char *path, const void *data, size_t size);

/* Purpose:  refuse two of these options (names, NULL-ended) that both want standard output.
 * Returned: CLI_DONE; CLI_USAGE, having said so. */
enum cli_exit cli_one_answer(const struct cli *cli, const char *const *names);

#endif
