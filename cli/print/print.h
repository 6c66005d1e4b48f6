/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A schedule as text for the bench, and as JSON, format 1, and as CSV. */
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

/* Whether a turned layer hangs on the wall from its pour: turning alone spreads nothing of it, and
 * the wall map, which is of turning alone, says nothing of how thick it lies. */
bool print_hangs(const pc_layer *layer);

void print_text(struct cli_output *out, const struct printed *p);
void print_json(struct cli_output *out, const struct printed *p);
void print_csv(struct cli_output *out, const struct printed *p); /* its steps */

#endif
