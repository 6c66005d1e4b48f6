/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sheet: it hangs on the wall and shows the whole casting, on one page if it fits. */
#ifndef PC_CLI_DRAW_SHEET_H
#define PC_CLI_DRAW_SHEET_H

#include <stddef.h>

#include "commands/command.h"
#include "pourclock.h"

typedef enum sheet_format { SHEET_PDF, SHEET_SVG, SHEET_PNG } sheet_format;

/* Histories of one part: point[layer * n + i] at time_s[i]; n = 0: none, the curves stay empty. */
typedef struct sheet_history {
    size_t n;
    double *time_s;
    pc_history_point *point;
} sheet_history;

typedef struct sheet_page {
    const pc_piece *piece;
    const pc_schedule *schedule;
    sheet_history history[PC_PARTS_MOST];
    const char *const *caution; /* at the foot, most important first */
    size_t caution_count;
    const char *file; /* text of the piece file, for the code square; NULL: none */
} sheet_page;

/* Purpose:  draw the sheet into memory.
 * Given:    sheet; format.
 * Returned: *bytes, to be freed with free(), and *size; PC_OK, PC_E_MEMORY, PC_E_NUMERIC (the
 *           drawing library refused; its reason is in errors).
 * Notes:    equal sheets give equal bytes with the same fonts. A page is 210 x 279.4 mm, so that
 *           it prints unscaled on A4 and Letter; in SVG and PNG they stand one above the other. */
pc_status sheet_render(const sheet_page *sheet, sheet_format format, unsigned char **bytes,
                       size_t *size, pc_errors *errors);

/* Purpose:  draw the sheet of a schedule and write it, whole or not at all.
 * Given:    path, ending in .pdf, .svg or .png, or "-": a PDF as the command's answer; piece,
 * schedule; cautions; file: the piece file where nothing of it was overridden, else NULL. Returned:
 * CLI_DONE; CLI_USAGE (another ending), CLI_FILE, CLI_INTERNAL, after saying why. */
enum cli_exit print_sheet(struct cli *cli, const char *path, const pc_piece *piece,
                          const pc_schedule *schedule, const char *const *caution,
                          size_t caution_count, const char *file);

#endif
