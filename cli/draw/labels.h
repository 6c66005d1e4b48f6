/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A label for every cup: what is weighed into it, when it is mixed, by when it must be in. */
#ifndef PC_CLI_DRAW_LABELS_H
#define PC_CLI_DRAW_LABELS_H

#include "commands/command.h"
#include "pourclock.h"

/* Purpose:  draw the labels of a schedule, twelve a page, three by four, with lines to cut along:
 *           Letter for a piece in US units, else A4.
 * Given:    path, ending in .pdf, or "-" for the command's answer; schedule; units.
 * Returned: CLI_DONE; CLI_USAGE (another ending), CLI_FILE, CLI_INTERNAL, having said why.
 * Notes:    equal schedules give equal bytes with the same fonts. */
enum cli_exit print_labels(struct cli *cli, const char *path, const pc_schedule *schedule,
                           pc_units units);

#endif
