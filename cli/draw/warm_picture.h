/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What warming buys, as a picture: when the piece is out of the mold over resin and mold. */
#ifndef PC_CLI_DRAW_WARM_PICTURE_H
#define PC_CLI_DRAW_WARM_PICTURE_H

#include "commands/command.h"

/* Writes the picture: .svg, .pdf or .png. CLI_DONE, or the exit after saying why: CLI_USAGE where
 * resin or mold is tried at one temperature alone. */
enum cli_exit warm_picture(const char *path, const pc_piece *piece, const pc_warm_grid *grid,
                           const pc_warm *warm);

#endif
