/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Small text helpers the upper floors share. ASCII only, whatever the locale. */
#ifndef PCI_BASE_TEXT_H
#define PCI_BASE_TEXT_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>

#include "pourclock/export.h"

/* Copies text (NULL: "") into a buffer of size > 0; what does not fit is cut with "...". */
void pci_copy_text(char *buffer, size_t size, const char *text);

/* Ends a text that was cut, and fills its buffer of size > 4, with "..."; no letter of UTF-8 is
 * left in part, or without its marks. */
void pci_end_with_dots(char *buffer, size_t size);

/* Of a name or value that pci_text_shows refuses. */
#define PCI_NOT_SHOWN                                                                              \
    "it contains a character that no output can show, such as a control character or a mark of "   \
    "writing direction: type it anew"

/* Bytes of the longest start of a text that is no longer than that, is UTF-8 and parts no letter
 * from its marks. */
size_t pci_text_cut(const char *text, size_t bytes);

/* As pci_copy_text, of a text made fit to be shown (pc_text_clean; at most 2 kB of it). */
void pci_text_clean_copy(char *buffer, size_t size, const char *text);

/* Lower case and comparison of ASCII letters, independent of the locale. */
char pci_lower(char c);
bool pci_is_space(char c);
bool pci_is_digit(char c);
bool pci_same_word(const char *a, const char *b);

/* Number of single-letter edits (insert, drop, replace, swap neighbors) from a to b, case folded;
 * words longer than 63 count as far apart. */
size_t pci_edit_distance(const char *a, const char *b);

/* The word of a NULL-ended list nearest to `word`, or NULL when none is within a third of its
 * length (at least 2 edits). */
const char *pci_nearest_word(const char *word, const char *const *list);

/* Shortest decimal text that reads back as the same number, with "." whatever the locale. */
void pci_number_text(double value, char *buffer, size_t size);

/* snprintf and vsnprintf as they are in the C locale: "2.5" whatever locale the program has set.
 * Only this thread's locale is changed, and only for the call. */
PC_PRINTF(3, 4) int pci_format(char *buffer, size_t size, const char *format, ...);
PC_PRINTF(3, 0) int pci_vformat(char *buffer, size_t size, const char *format, va_list args);

/* Purpose:  whether a text can be shown as it is: pc_text_clean would change nothing.
 * Returned: false for NULL. */
bool pci_text_shows(const char *text);

#endif
