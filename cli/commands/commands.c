/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The list of commands, in the order --help shows them. */
#include "commands/command.h"

extern const struct cli_command cmd_area;
extern const struct cli_command cmd_bench;
extern const struct cli_command cmd_completions;
extern const struct cli_command cmd_cuptest;
extern const struct cli_command cmd_day;
extern const struct cli_command cmd_help;
extern const struct cli_command cmd_new;
extern const struct cli_command cmd_resin;
extern const struct cli_command cmd_schedule;
extern const struct cli_command cmd_supplies;
extern const struct cli_command cmd_traps;
extern const struct cli_command cmd_turn;
extern const struct cli_command cmd_warm;

/* clang-format off */
const struct cli_command *const cli_commands[] = {
    &cmd_schedule,
    &cmd_new,
    &cmd_resin,
    &cmd_area,
    &cmd_traps,
    &cmd_turn,
    &cmd_cuptest,
    &cmd_warm,
    &cmd_supplies,
    &cmd_day,
    &cmd_bench,
    &cmd_completions,
    &cmd_help,
    NULL,
};
/* clang-format on */
