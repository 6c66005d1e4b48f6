/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cautions as text and as JSON: those of the piece first, then the short lines of every piece. */
#ifndef PC_CLI_PRINT_PRINT_CAUTIONS_H
#define PC_CLI_PRINT_PRINT_CAUTIONS_H

#include "pourclock.h"
#include "print/json.h"
#include "print/output.h"

/* Under headings of their own, lines of at most `width` bytes. */
void print_cautions(struct cli_output *out, const pc_cautions *cautions, int width);

/* The short lines of every piece as one paragraph, for a sheet. */
void cautions_as_one(const pc_cautions *cautions, char *text, size_t size);

/* Their texts as an array. */
json_t *json_cautions(const pc_cautions *cautions, bool *failed);

/* Those of a resin (NULL: of every piece alone), printed; or into an object as "cautions". */
void print_resin_cautions(struct cli_output *out, const pc_resin *resin, pc_units units, int width);
void put_resin_cautions(json_t *object, const pc_resin *resin, pc_units units, bool *failed);

#endif
