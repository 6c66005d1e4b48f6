/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Files written whole or not at all. */
#ifndef POURCLOCK_FILE_H
#define POURCLOCK_FILE_H

#include "pourclock/errors.h"

PC_BEGIN_DECLS

/* Purpose:  write a file whole or not at all: to a temporary file beside it, synced, then renamed.
 * Given:    path; data of size bytes.
 * Returned: PC_OK, PC_E_FILE, PC_E_MEMORY, each but the first with an error; PC_E_ARGUMENT.
 * Notes:    permissions of a file replaced are kept; a new one gets 0666 less the umask. A symbolic
 *           link stays and what it points to is replaced. A device or a pipe is written straight.
 *           After a failure the old file is as it was. */
PC_API pc_status pc_file_write(const char *path, const void *data, size_t size, pc_errors *errors);

PC_END_DECLS

#endif
