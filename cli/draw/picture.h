/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Drawings on their way from the drawing library into a file. */
#ifndef PC_CLI_DRAW_PICTURE_H
#define PC_CLI_DRAW_PICTURE_H

#include <cairo.h>

/* In every PDF instead of today's: equal input gives equal bytes. */
#define PICTURE_DATE "2000-01-01T00:00:00Z"

/* A cairo_write_func_t that appends to the struct cli_output it is given. */
cairo_status_t picture_write(void *output, const unsigned char *data, unsigned int length);

#endif
