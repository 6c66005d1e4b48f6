/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Plot of a fit: times against temperature, the gel of cups with its band; logged curves. */
#ifndef PC_CLI_PRINT_PRINT_FIT_H
#define PC_CLI_PRINT_PRINT_FIT_H

#include "commands/command.h"
#include "pourclock.h"

/* Purpose:  draw tests and fit and write the picture, whole or not at all.
 * Given:    path, ending in .svg, .png or .pdf; units for the temperatures.
 * Returned: CLI_DONE; CLI_USAGE (another ending), CLI_FILE, CLI_INTERNAL, after saying why.
 * Notes:    equal input gives equal bytes with the same fonts. */
enum cli_exit print_fit(const char *path, const pc_tests *tests, const pc_tests_fit *fit,
                        pc_units units);

#endif
