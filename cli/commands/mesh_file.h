/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A mesh that a command is asked about. */
#ifndef PC_CLI_COMMANDS_MESH_FILE_H
#define PC_CLI_COMMANDS_MESH_FILE_H

#include "commands/command.h"

/* Purpose:  reads the mesh; where neither the file nor --mesh-unit names its unit, asks for it on a
 *           terminal, offering the likely one.
 * Returned: *mesh, to be freed by pc_mesh_free; CLI_DONE, or the exit after saying why. */
enum cli_exit cli_read_mesh(const struct cli *cli, const char *path, pc_mesh *mesh);

#endif
