/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A schedule as text for the bench and as CSV. */
#ifndef PC_CLI_PRINT_PRINT_H
#define PC_CLI_PRINT_PRINT_H

#include "pourclock.h"
#include "print/output.h"

/* A schedule with all that is printed of it. */
struct printed {
    const pc_piece *piece;
    const pc_schedule *schedule;
    const pc_cautions *cautions;
    pc_units units;
};

void print_text(struct cli_output *out, const struct printed *p);
void print_csv(struct cli_output *out, const struct printed *p); /* its steps */

#endif
