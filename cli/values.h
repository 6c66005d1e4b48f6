/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Option values that are quantities with a unit. */
#ifndef CLI_VALUES_H
#define CLI_VALUES_H

#include "command.h"

/* Reads the index-th value of an option as a quantity into *si, which must be above `above` (use
 * -INFINITY for any). Says what is wrong on stderr and returns false; false as well, silently,
 * when there is no such value. */
bool cli_quantity_at(const struct cli *cli, const char *name, size_t index, pc_dimension dimension,
                     double above, double *si);

#endif
