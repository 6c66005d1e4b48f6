/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "pourclock/plain_text.h"

#include <stdlib.h>
#include <string.h>
#include <utf8proc.h>

#include "base/text.h"

enum { CLUSTER_MOST = 16 }; /* code points: a heap of marks is not one letter */

/* One code point at text, of at most `left` bytes. Returned: its bytes; 0 for a byte that is not
 * UTF-8, and for a sequence whose end is not there (*torn). */
static size_t read_point(const char *text, size_t left, utf8proc_int32_t *point, bool *torn) {
    const utf8proc_uint8_t *at = (const utf8proc_uint8_t *)text;
    utf8proc_ssize_t length = utf8proc_iterate(at, (utf8proc_ssize_t)left, point);
    *torn = false;
    if (length > 0)
        return (size_t)length;
    size_t whole = at[0] >= 0xF0 && at[0] < 0xF5   ? 4
                   : at[0] >= 0xE0 && at[0] < 0xF0 ? 3
                   : at[0] >= 0xC2 && at[0] < 0xE0 ? 2
                                                   : 0;
    size_t there = 1;
    while (there < whole && there < left && (at[there] & 0xC0) == 0x80)
        there++;
    *torn = there < whole && there == left;
    return 0;
}

/* The blank of a white space that would break a line, "?" of what is not to be seen, 0 of others.
 */
static char stand_in(utf8proc_int32_t point) {
    utf8proc_category_t category = utf8proc_category(point);
    if (point == '\t' || point == '\n' || point == '\r' || category == UTF8PROC_CATEGORY_ZL ||
        category == UTF8PROC_CATEGORY_ZP)
        return ' ';
    bool no_character = (point >= 0xFDD0 && point <= 0xFDEF) || (point & 0xFFFE) == 0xFFFE;
    if (category == UTF8PROC_CATEGORY_CC || no_character)
        return '?';
    if (category != UTF8PROC_CATEGORY_CF)
        return 0;
    /* What joins or parts letters and hides nothing; signs that enclose Arabic numbers. */
    bool harmless = point == 0x00AD || point == 0x200C || point == 0x200D ||
                    (point >= 0x0600 && point <= 0x0605) || point == 0x06DD || point == 0x08E2;
    return harmless ? 0 : '?';
}

/* The length of the grapheme cluster at text and its columns: a wide letter and its marks are two.
 */
static size_t read_cluster(const char *text, size_t left, size_t *columns) {
    utf8proc_int32_t before = 0, point;
    utf8proc_int32_t state = 0;
    size_t used = 0, sum = 0;
    bool torn;
    for (int n = 0; used < left && n < CLUSTER_MOST; n++) {
        size_t length = read_point(text + used, left - used, &point, &torn);
        if (length == 0 || (used > 0 && utf8proc_grapheme_break_stateful(before, point, &state)))
            break;
        int wide = utf8proc_charwidth(point);
        sum += wide > 0 ? (size_t)wide : 0;
        used += length;
        before = point;
    }
    *columns = used == 0 ? 1 : sum < 2 ? sum : 2;
    return used > 0 ? used : 1;
}

/* Copies one cluster; what of it is not to be shown is replaced. Returns bytes written, at most
 * `room`, or room + 1 where it does not fit. */
static size_t copy_cluster(const char *text, size_t length, char *buffer, size_t room) {
    size_t used = 0;
    for (size_t i = 0; i < length;) {
        utf8proc_int32_t point;
        bool torn;
        size_t n = read_point(text + i, length - i, &point, &torn);
        char instead = n == 0 ? '?' : stand_in(point);
        size_t bytes = instead != 0 ? 1 : n;
        if (used + bytes > room)
            return room + 1;
        if (instead != 0)
            buffer[used] = instead;
        else
            memcpy(buffer + used, text + i, n);
        used += bytes;
        i += n > 0 ? n : 1;
    }
    return used;
}

size_t pc_text_clean(const char *text, char *buffer, size_t size) {
    size_t used = 0, left = text != NULL ? strlen(text) : 0, columns;
    if (buffer == NULL || size == 0)
        return 0;
    while (left > 0) {
        utf8proc_int32_t point;
        bool torn;
        if (read_point(text, left, &point, &torn) == 0 && torn)
            break;
        size_t length = read_cluster(text, left, &columns);
        size_t bytes = copy_cluster(text, length, buffer + used, size - 1 - used);
        if (bytes > size - 1 - used)
            break;
        used += bytes;
        text += length;
        left -= length;
    }
    buffer[used] = '\0';
    return used;
}

bool pci_text_shows(const char *text) {
    size_t left = text != NULL ? strlen(text) : 0;
    while (left > 0) {
        utf8proc_int32_t point;
        bool torn;
        size_t length = read_point(text, left, &point, &torn);
        if (length == 0 || stand_in(point) != 0)
            return false;
        text += length;
        left -= length;
    }
    return text != NULL;
}

size_t pc_text_fits(const char *text, size_t columns, size_t *width) {
    size_t whole = text != NULL ? strlen(text) : 0, used = 0, taken = 0, more;
    while (used < whole) {
        size_t length = read_cluster(text + used, whole - used, &more);
        if (more > columns - taken)
            break;
        taken += more;
        used += length;
    }
    if (width != NULL)
        *width = taken;
    return used;
}

size_t pci_text_cut(const char *text, size_t bytes) {
    size_t whole = strlen(text), used = 0, width;
    utf8proc_int32_t point;
    bool torn;
    while (used < whole && read_point(text + used, whole - used, &point, &torn) > 0) {
        size_t length = read_cluster(text + used, whole - used, &width);
        if (used + length > bytes)
            break;
        used += length;
    }
    return used;
}

void pci_text_clean_copy(char *buffer, size_t size, const char *text) {
    char clean[2048];
    pc_text_clean(text, clean, sizeof clean);
    pci_copy_text(buffer, size, clean);
}

void pc_text_free(char *text) {
    free(text);
}
