/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the user's own tests made of a resin. */
#ifndef PC_CLI_COMMANDS_RESIN_TESTS_H
#define PC_CLI_COMMANDS_RESIN_TESTS_H

#include "pourclock.h"
#include "print/output.h"

/* Purpose:  print how the tests that the resin file names moved and narrowed its times, and which
 * lot of them drifts. Nothing where none are named, or there are no rows yet. */
void print_own_tests(struct cli_output *out, pc_units units, const pc_resin *resin);

#endif
