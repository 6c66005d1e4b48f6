/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Text from files made fit for libraries that choke on what is not UTF-8. */
#ifndef PC_CLI_PRINT_CLEAN_TEXT_H
#define PC_CLI_PRINT_CLEAN_TEXT_H

#include <stddef.h>

/* Copies text, cut where it does not fit: bytes that are not UTF-8 and control characters become
 * "?", tabs and line ends blanks. Never cuts within a character. size > 0. */
void clean_text(const char *text, char *buffer, size_t size);

#endif
