/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Solids from text. */
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "pourclock/quantity.h"
#include "pourclock/shape.h"
#include "shape/solid.h"

enum { TEXT_MOST = 1000, WORD_SIZE = 32, LENGTH_SIZE = 64, PARTS_MOST = 64 };

typedef struct word_entry {
    const char *word, *form;
    pci_solid_kind kind;
    int lengths;
} word_entry;

static const word_entry words[] = {
#define WORD_ENTRY(name, word, lengths, form) {word, form, name, lengths},
    PCI_SOLID_TABLE(WORD_ENTRY)
#undef WORD_ENTRY
};
enum { WORD_COUNT = sizeof words / sizeof words[0] };

typedef struct reason {
    char *text;
    size_t size;
} reason;

PC_PRINTF(3, 4) static pc_status refuse(reason why, pc_status status, const char *format, ...) {
    if (why.text && why.size > 0) {
        va_list args;
        va_start(args, format);
        pci_vformat(why.text, why.size, format, args);
        va_end(args);
    }
    return status;
}

static void trim(const char **start, const char **end) {
    while (*start < *end && pci_is_space(**start))
        (*start)++;
    while (*end > *start && pci_is_space((*end)[-1]))
        (*end)--;
}

/* Length of the "times" sign at p: x, X, * or the multiplication sign in UTF-8; else 0. */
static size_t times_sign(const char *p, const char *end) {
    if (*p == 'x' || *p == 'X' || *p == '*')
        return 1;
    if (end - p >= 2 && (unsigned char)p[0] == 0xC3 && (unsigned char)p[1] == 0x97)
        return 2;
    return 0;
}

/* Splits "40 x 50 x 60 mm" at its times signs into at most `most` trimmed texts. Returns their
 * number, most + 1 when there are more, 0 when one is empty or too long. */
static int split_lengths(const char *start, const char *end, char (*piece)[LENGTH_SIZE], int most) {
    int count = 0;
    for (;;) {
        const char *stop = start;
        while (stop < end && times_sign(stop, end) == 0)
            stop++;
        const char *a = start, *b = stop;
        trim(&a, &b);
        if (count == most)
            return most + 1;
        if (a == b || b - a >= LENGTH_SIZE / 2)
            return 0;
        memcpy(piece[count], a, (size_t)(b - a));
        piece[count++][b - a] = '\0';
        if (stop == end)
            return count;
        start = stop + times_sign(stop, end);
    }
}

static bool ends_in_number(const char *text) {
    size_t n = strlen(text);
    return n > 0 && (pci_is_digit(text[n - 1]) || text[n - 1] == '.');
}

/* Writes the unit of the last length after the ones that have none. */
static void share_unit(char (*piece)[LENGTH_SIZE], int count) {
    const char *last = piece[count - 1];
    size_t n = strlen(last), from = n;
    while (from > 0 && !ends_in_number((char[]){last[from - 1], '\0'}))
        from--;
    for (int i = 0; i < count - 1; i++) {
        size_t m = strlen(piece[i]);
        if (ends_in_number(piece[i]) && m + 1 + (n - from) < LENGTH_SIZE)
            memcpy(piece[i] + m, last + from, n - from + 1);
    }
}

static const word_entry *find_word(const char *name) {
    for (size_t i = 0; i < WORD_COUNT; i++)
        if (pci_same_word(name, words[i].word))
            return &words[i];
    return NULL;
}

static pc_status unknown_word(const char *name, reason why) {
    const char *list[WORD_COUNT + 1] = {NULL};
    for (size_t i = 0; i < WORD_COUNT; i++)
        list[i] = words[i].word;
    const char *near = pci_nearest_word(name, list);
    if (near)
        return refuse(why, PC_E_VALUE, "\"%s\" is no solid: did you mean %s?", name, near);
    return refuse(why, PC_E_VALUE,
                  "\"%s\" is no solid, expected sphere, ellipsoid, cylinder, cone, frustum, box or "
                  "torus",
                  name);
}

static pc_status parse_lengths(const word_entry *entry, const char *start, const char *end,
                               double *length, reason why) {
    char piece[3][LENGTH_SIZE];
    int count = split_lengths(start, end, piece, 3);
    if (count != entry->lengths)
        return refuse(why, PC_E_VALUE, "a %s takes %d length%s: \"%s\"", entry->word,
                      entry->lengths, entry->lengths == 1 ? "" : "s", entry->form);
    share_unit(piece, count);
    for (int i = 0; i < count; i++) {
        char inner[200] = "";
        pc_status status = pc_quantity_parse(piece[i], PC_LENGTH, &length[i], inner, sizeof inner);
        if (status != PC_OK)
            return refuse(why, status, "%s: %s", entry->word, inner);
        if (!(length[i] >= PCI_SOLID_LEAST_M && length[i] <= PCI_SOLID_MOST_M))
            return refuse(why, PC_E_VALUE, "%s: \"%s\" is not between 0.001 mm and 1000 m",
                          entry->word, piece[i]);
    }
    if (entry->kind == PCI_S_TORUS && length[1] > length[0])
        return refuse(why, PC_E_VALUE,
                      "a torus is \"torus D x d\", D across the middle of its tube and d the "
                      "tube's own diameter: d is above D");
    return PC_OK;
}

static pc_status parse_part(const char *start, const char *end, pci_solid *solid,
                            const word_entry **entry, double *length, reason why) {
    trim(&start, &end);
    const char *stop = start;
    while (stop < end && ((*stop >= 'a' && *stop <= 'z') || (*stop >= 'A' && *stop <= 'Z')))
        stop++;
    char name[WORD_SIZE] = "";
    if (stop == start || stop - start >= WORD_SIZE)
        return refuse(why, PC_E_VALUE, "expected a solid such as \"cylinder 40 mm x 120 mm\"");
    memcpy(name, start, (size_t)(stop - start));
    *entry = find_word(name);
    if (!*entry)
        return unknown_word(name, why);
    PCI_TRY(parse_lengths(*entry, stop, end, length, why));
    pc_status status = pci_solid_measure((*entry)->kind, length, solid);
    if (status != PC_OK)
        return refuse(why, status, "%s: its measures cannot be computed", (*entry)->word);
    return PC_OK;
}

/* The next " + " at or after p: a plus with white space beside it, so that 1e+2 is a number. */
static const char *find_plus(const char *start, const char *p, const char *end) {
    for (; p < end; p++)
        if (*p == '+' && ((p > start && pci_is_space(p[-1])) || pci_is_space(p[1])))
            return p;
    return end;
}

pc_status pc_shape_parse(const char *text, pc_shape *shape, char *why_text, size_t why_size) {
    reason why = {why_text, why_size};
    if (!text || !shape)
        return refuse(why, PC_E_ARGUMENT, "no text");
    size_t n = strlen(text);
    if (n > TEXT_MOST)
        return refuse(why, PC_E_VALUE, "a shape is at most %d bytes long", (int)TEXT_MOST);
    pci_solid sum = {0.0, 0.0, 0.0, 0.0}, solid = sum;
    const word_entry *entry = NULL;
    double length[3] = {0.0, 0.0, 0.0};
    int parts = 0;
    const char *end = text + n, *start = text;
    for (;;) {
        const char *stop = find_plus(text, start, end);
        if (parts == PARTS_MOST)
            return refuse(why, PC_E_VALUE, "more than %d solids", (int)PARTS_MOST);
        PCI_TRY(parse_part(start, stop, &solid, &entry, length, why));
        parts++;
        sum.area_m2 += solid.area_m2;
        sum.volume_m3 += solid.volume_m3;
        sum.mean_curvature_m += solid.mean_curvature_m;
        sum.euler += solid.euler;
        if (stop == end)
            break;
        start = stop + 1;
    }
    pci_shape_of_solid(&sum, shape);
    if (parts == 1 && entry->kind == PCI_S_SPHERE)
        shape->form = PC_SPHERE;
    if (parts == 1 && entry->kind == PCI_S_CYLINDER)
        shape->form = PC_CYLINDER;
    if (shape->form != PC_SLAB)
        shape->form_radius_m = 0.5 * length[0];
    return PC_OK;
}
