/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which library: of the headers a program was compiled with, and of the one it runs with. */
#ifndef POURCLOCK_VERSION_H
#define POURCLOCK_VERSION_H

#include "pourclock/export.h"

PC_BEGIN_DECLS

#define PC_VERSION "0.1.0"

/* Purpose:  version of the library that runs. Returned: a constant text, as PC_VERSION. */
PC_API const char *pc_version(void);

PC_END_DECLS

#endif
