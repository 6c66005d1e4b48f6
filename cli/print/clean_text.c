/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "print/clean_text.h"

#include <stdbool.h>
#include <string.h>

/* Length of the UTF-8 sequence at text, 0 where it is not one. */
static size_t sequence_length(const unsigned char *text) {
    if (text[0] < 0x80)
        return 1;
    size_t length = text[0] >= 0xF0 ? 4 : text[0] >= 0xE0 ? 3 : 2;
    if (text[0] < 0xC2 || text[0] > 0xF4)
        return 0;
    for (size_t i = 1; i < length; i++)
        if ((text[i] & 0xC0) != 0x80)
            return 0;
    bool overlong = (text[0] == 0xE0 && text[1] < 0xA0) || (text[0] == 0xF0 && text[1] < 0x90);
    bool no_scalar = (text[0] == 0xED && text[1] > 0x9F) || (text[0] == 0xF4 && text[1] > 0x8F);
    return overlong || no_scalar ? 0 : length;
}

void clean_text(const char *text, char *buffer, size_t size) {
    size_t used = 0;
    for (const unsigned char *at = (const unsigned char *)text; *at != '\0' && used + 5 < size;) {
        size_t length = sequence_length(at);
        if (length == 0 || *at < 0x20 || *at == 0x7F) {
            buffer[used++] = *at == '\t' || *at == '\n' ? ' ' : '?';
            at++;
            continue;
        }
        memcpy(buffer + used, at, length);
        used += length;
        at += length;
    }
    buffer[used] = '\0';
}
