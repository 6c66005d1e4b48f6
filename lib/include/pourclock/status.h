/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The one table of status codes. Every function that can fail returns a pc_status. */
#ifndef POURCLOCK_STATUS_H
#define POURCLOCK_STATUS_H

#include "pourclock/export.h"

PC_BEGIN_DECLS

/* X(name, number, text). Numbers are part of the ABI: append, never renumber. */
#define PC_STATUS_TABLE(X)                                                                         \
    X(PC_OK, 0, "done")                                                                            \
    X(PC_E_MEMORY, 1, "out of memory")                                                             \
    X(PC_E_ARGUMENT, 2, "an argument is outside its valid range")                                  \
    X(PC_E_FILE, 3, "a file cannot be read or written")                                            \
    X(PC_E_SYNTAX, 4, "a file is not in the format expected")                                      \
    X(PC_E_KEY, 5, "a key or section is unknown, missing or given twice")                          \
    X(PC_E_VALUE, 6, "a value is wrong")                                                           \
    X(PC_E_UNIT, 7, "a unit is missing or of the wrong kind")                                      \
    X(PC_E_SIZE, 8, "an input is too large")                                                       \
    X(PC_E_LIMIT, 9, "a limit is not met")                                                         \
    X(PC_E_NUMERIC, 10, "a solver did not converge")                                               \
    X(PC_E_UNREACHED, 11, "an event does not happen in the time allowed")

typedef enum pc_status {
#define PC_STATUS_ENUM_(name, number, text) name = number,
    PC_STATUS_TABLE(PC_STATUS_ENUM_)
#undef PC_STATUS_ENUM_
} pc_status;

/* Purpose:  short English text of a status code.
 * Given:    status, any value.
 * Returned: a constant string, never NULL; "unknown status" for a number not in the table. */
PC_API const char *pc_status_text(pc_status status);

PC_END_DECLS

#endif
