/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Option values that are quantities with a unit. */
#ifndef PC_CLI_COMMANDS_VALUES_H
#define PC_CLI_COMMANDS_VALUES_H

#include "commands/command.h"

/* What a quantity may be: least to most, in SI, and the same in words for who is out of it. */
struct cli_range {
    double least, most;
    const char *words;
};

/* More than nothing. */
extern const struct cli_range cli_positive;

/* Reads the index-th value of an option as a quantity within a range into *si. Says what is wrong
 * on stderr and returns false; false as well, silently, when there is no such value. */
bool cli_quantity_at(const struct cli *cli, const char *name, size_t index, pc_dimension dimension,
                     const struct cli_range *range, double *si);

#endif
