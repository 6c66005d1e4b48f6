/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cautions as text: those of the piece first, then the short lines of every piece. */
#ifndef PC_CLI_PRINT_PRINT_CAUTIONS_H
#define PC_CLI_PRINT_PRINT_CAUTIONS_H

#include "pourclock.h"
#include "print/output.h"

/* Under headings of their own, lines of at most `width` bytes. */
void print_cautions(struct cli_output *out, const pc_cautions *cautions, int width);

/* The short lines of every piece as one paragraph, for a sheet. */
void cautions_as_one(const pc_cautions *cautions, char *text, size_t size);

/* Those of a resin (NULL: of every piece alone), printed. */
void print_resin_cautions(struct cli_output *out, const pc_resin *resin, pc_units units, int width);

#endif
