/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Text that comes from outside, made fit to be shown: names, notes, file names, options, logs. One
 * function for every terminal, report, error, table, drawing, page and calendar. */
#ifndef POURCLOCK_PLAIN_TEXT_H
#define POURCLOCK_PLAIN_TEXT_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock/export.h"

PC_BEGIN_DECLS

/* Purpose:  copy a text so that every output can show it.
 * Given:    text, UTF-8 or any bytes (NULL: ""); buffer of size > 0.
 * Returned: the length of what is in the buffer, always ended by NUL. A tab, a line end and a line
 *           or paragraph separator become a blank. "?" stands for a byte that is not UTF-8 and for
 *           what a terminal would obey or an eye not see: other control characters (C0, DEL, C1),
 *           marks of writing direction, hidden format characters and tags, non-characters. What
 *           does not fit, and a last character of which only the first bytes are there, is left
 *           out; no letter is parted from its marks.
 * Notes:    any size; text and buffer must not overlap.
 * Source:   categories and grapheme clusters: The Unicode Standard and its annex 29, as utf8proc
 *           has them. Which of them to refuse is our judgment. */
PC_API size_t pc_text_clean(const char *text, char *buffer, size_t size);

/* Purpose:  how much of a clean text fits.
 * Given:    text (NULL: ""); columns: 1 a letter, 0 a mark on it, 2 a wide one (Chinese, Japanese,
 *           Korean, most pictures); width: may be NULL.
 * Returned: the bytes of the longest start no wider than that; no letter is parted from its marks;
 * a byte that is not UTF-8 counts 1. *width: the columns it takes. */
PC_API size_t pc_text_fits(const char *text, size_t columns, size_t *width);
static inline size_t pc_text_fit(const char *text, size_t columns) {
    return pc_text_fits(text, columns, NULL);
}
/* The columns of all of a text. */
static inline size_t pc_text_width(const char *text) {
    size_t width;
    pc_text_fits(text, (size_t)-1, &width);
    return width;
}

/* Purpose:  free a text that the library handed out; NULL is allowed. */
PC_API void pc_text_free(char *text);

PC_END_DECLS

#endif
