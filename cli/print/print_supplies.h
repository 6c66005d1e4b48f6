/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Supplies as text and as CSV. */
#ifndef PC_CLI_PRINT_PRINT_SUPPLIES_H
#define PC_CLI_PRINT_PRINT_SUPPLIES_H

#include "pourclock.h"
#include "print/output.h"

struct printed_supplies {
    const pc_piece *piece;
    const pc_schedule *schedule;
    const pc_order *order;
    const pc_prices *prices; /* or NULL */
    pc_supplies supplies;
    pc_standing standing;
    pc_cautions cautions;
    pc_units units;
};

void supplies_text(struct cli_output *out, const struct printed_supplies *p);
void supplies_csv(struct cli_output *out, const struct printed_supplies *p); /* what to buy */

#endif
