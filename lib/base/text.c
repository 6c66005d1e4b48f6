/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/text.h"

#include <stdint.h>
#include <string.h>

enum { WORD_MOST = 63 };

void pci_copy_text(char *buffer, size_t size, const char *text) {
    if (!text)
        text = "";
    size_t n = strlen(text);
    if (n < size) {
        memcpy(buffer, text, n + 1);
        return;
    }
    memcpy(buffer, text, size - 1);
    buffer[size - 1] = '\0';
    if (size > 4)
        pci_end_with_dots(buffer, size);
}

void pci_end_with_dots(char *buffer, size_t size) {
    buffer[size - 1] = '\0';
    memcpy(buffer + pci_text_cut(buffer, size - 4), "...", 4);
}

char pci_lower(char c) {
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

bool pci_is_space(char c) {
    return c == ' ' || c == '\t' || c == '\r' || c == '\n' || c == '\v' || c == '\f';
}

bool pci_is_digit(char c) {
    return c >= '0' && c <= '9';
}

bool pci_same_word(const char *a, const char *b) {
    while (*a && pci_lower(*a) == pci_lower(*b)) {
        a++;
        b++;
    }
    return *a == '\0' && *b == '\0';
}

static size_t least(size_t a, size_t b) {
    return a < b ? a : b;
}

size_t pci_edit_distance(const char *a, const char *b) {
    size_t na = strlen(a), nb = strlen(b);
    if (na > WORD_MOST || nb > WORD_MOST)
        return SIZE_MAX;
    size_t row[3][WORD_MOST + 1];
    for (size_t j = 0; j <= nb; j++)
        row[0][j] = j;
    for (size_t i = 1; i <= na; i++) {
        size_t *now = row[i % 3], *before = row[(i + 2) % 3], *two_before = row[(i + 1) % 3];
        now[0] = i;
        for (size_t j = 1; j <= nb; j++) {
            bool same = pci_lower(a[i - 1]) == pci_lower(b[j - 1]);
            now[j] = least(before[j - 1] + !same, least(before[j], now[j - 1]) + 1);
            bool swapped = i > 1 && j > 1 && pci_lower(a[i - 1]) == pci_lower(b[j - 2]) &&
                           pci_lower(a[i - 2]) == pci_lower(b[j - 1]);
            if (swapped)
                now[j] = least(now[j], two_before[j - 2] + 1);
        }
    }
    return row[na % 3][nb];
}

const char *pci_nearest_word(const char *word, const char *const *list) {
    size_t limit = strlen(word) / 3;
    if (limit < 2)
        limit = 2;
    const char *best = NULL;
    size_t best_distance = limit + 1;
    for (; *list; list++) {
        size_t d = pci_edit_distance(word, *list);
        if (d < best_distance) {
            best_distance = d;
            best = *list;
        }
    }
    return best;
}
