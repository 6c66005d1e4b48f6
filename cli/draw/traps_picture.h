/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where air is shut in, on four shaded views of the model. */
#ifndef PC_CLI_DRAW_TRAPS_PICTURE_H
#define PC_CLI_DRAW_TRAPS_PICTURE_H

#include "commands/command.h"

struct traps_shown {
    const char *name; /* of the mesh */
    const pc_mesh *mesh;
    const pc_traps *traps;
    const pc_narrows *narrows;
    double bore_m; /* of a vent */
    double vents_m3;
    pc_units units;
};

/* Writes the picture: .svg, .pdf or .png. CLI_DONE, or the exit after saying why. */
enum cli_exit traps_picture(const char *path, const struct traps_shown *shown);

#endif
