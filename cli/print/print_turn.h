/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What `pourclock turn` found out, and how it is printed. */
#ifndef PC_CLI_PRINT_PRINT_TURN_H
#define PC_CLI_PRINT_PRINT_TURN_H

#include "commands/command.h"

struct turn_answer {
    const pc_piece *piece;
    const pc_schedule *schedule;
    pc_units units;
    const pc_turn_report *report;
};

void turn_print_text(struct cli_output *out, const struct turn_answer *answered);
void turn_print_csv(struct cli_output *out, const struct turn_answer *answered); /* its layers */

#endif
