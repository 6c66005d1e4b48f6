/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Drawings on their way from the drawing library into a file. */
#ifndef PC_CLI_DRAW_PICTURE_H
#define PC_CLI_DRAW_PICTURE_H

#include <cairo.h>

#include "commands/command.h"

/* In every PDF instead of today's: equal input gives equal bytes. */
#define PICTURE_DATE "2000-01-01T00:00:00Z"

/* 279.4 mm of Letter by 210 mm of A4, so that it prints unscaled on both; lying. */
#define PICTURE_WIDTH_PT  792.0
#define PICTURE_HEIGHT_PT (210.0 * 72.0 / 25.4)
#define PICTURE_MARGIN_PT (10.0 * 72.0 / 25.4)

/* A cairo_write_func_t that appends to the struct cli_output it is given. */
cairo_status_t picture_write(void *output, const unsigned char *data, unsigned int length);

/* Draws a page; false where memory fails. */
typedef bool (*picture_draw)(cairo_t *cr, const void *context);

/* Whether the name ends as a picture may: .svg, .pdf or .png. */
bool picture_is_named(const char *path);

/* Purpose:  draws a page and writes it, whole or not at all.
 * Given:    option: that asks for it, for messages; path, ending in .svg, .pdf or .png; size of the
 *           page in points.
 * Returned: CLI_DONE; CLI_USAGE (another ending), CLI_FILE, CLI_INTERNAL, after saying why. */
enum cli_exit picture_file(const char *option, const char *path, double width_pt, double height_pt,
                           picture_draw draw, const void *context);

#endif
