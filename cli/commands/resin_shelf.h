/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PC_CLI_COMMANDS_RESIN_SHELF_H
#define PC_CLI_COMMANDS_RESIN_SHELF_H

#include "commands/command.h"

/* Lists the resins on the shelf, with their pot lives and where each is from. */
enum cli_exit cli_resin_shelf(struct cli *cli);

#endif
