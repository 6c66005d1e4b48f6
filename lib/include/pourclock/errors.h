/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The error object: what is wrong, where, and what was expected. Readers collect every wrong line
 * of a file before they give up, so errors come in lists. */
#ifndef POURCLOCK_ERRORS_H
#define POURCLOCK_ERRORS_H

#include <stddef.h>

#include "pourclock/export.h"
#include "pourclock/status.h"

PC_BEGIN_DECLS

/* One error. Strings are empty and line is 0 where unknown. text says what is wrong and what was
 * expected, and names the fix; it does not repeat file, line, section or key. */
typedef struct pc_error {
    pc_status status;
    long line;
    char file[256];
    char section[96];
    char key[64];
    char value[96]; /* the value refused, cut if long */
    char text[512];
} pc_error;

/* A list of errors. Start it with PC_ERRORS_INIT, end it with pc_errors_free. Not more than
 * PC_ERRORS_MOST are kept; the rest are counted in dropped. */
typedef struct pc_errors {
    pc_error *item;
    size_t count;
    size_t capacity;
    size_t dropped;
} pc_errors;

#define PC_ERRORS_MOST 200
/* clang-format off */
#define PC_ERRORS_INIT { NULL, 0, 0, 0 }
/* clang-format on */

/* Where an error is: what is not known stays NULL and 0. */
typedef struct pc_place {
    const char *file;
    long line;
    const char *section, *key;
    const char *value; /* as it was given */
} pc_place;

/* The place of an error that is in no file. */
#define PC_NOWHERE ((pc_place){NULL, 0, NULL, NULL, NULL})

/* Purpose:  add an error to a list.
 * Given:    errors (may be NULL: then only the status is returned); status, not PC_OK; its place;
 *           format: printf-style text of what is wrong and what was expected.
 * Returned: status, so that a caller can `return pc_errors_add(...)`.
 * Notes:    over-long strings are cut with "..."; when memory is out the error is counted as
 *           dropped and the status is still returned. Never prints. */
PC_API pc_status pc_errors_add(pc_errors *errors, pc_status status, pc_place place,
                               const char *format, ...) PC_PRINTF(4, 5);

/* Purpose:  write one error as `FILE:LINE: [section] key: text` (parts unknown are left out).
 * Given:    error; buffer of size bytes.
 * Returned: the length the whole text has, as snprintf does. */
PC_API int pc_error_format(const pc_error *error, char *buffer, size_t size);

/* Purpose:  free a list and make it empty. NULL is allowed. */
PC_API void pc_errors_free(pc_errors *errors);

/* Purpose:  the word nearest to a misspelt one, for messages.
 * Given:    word; list, ended by NULL.
 * Returned: the word of the list, or NULL when none is within a third of its length (at least two
 *           letters) by inserting, dropping, replacing or swapping letters. Case is not looked at.
 */
PC_API const char *pc_nearest_word(const char *word, const char *const *list);

PC_END_DECLS

#endif
