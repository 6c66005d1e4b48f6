/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A day's castings as a Gantt sheet. */
#ifndef PC_CLI_DRAW_GANTT_H
#define PC_CLI_DRAW_GANTT_H

#include "commands/command.h"
#include "pourclock.h"

/* Purpose:  draw a planned day and write it, whole or not at all.
 * Given:    path, ending in .pdf or .svg. Returned: CLI_DONE; CLI_USAGE (another ending), CLI_FILE,
 *           CLI_INTERNAL, after saying why. Equal plans give equal bytes with the same fonts. */
enum cli_exit print_gantt(const char *path, const pc_day *day, const pc_day_plan *plan);

#endif
