/* SPDX-License-Identifier: GPL-3.0-or-later */
/* OBJ: vertices and polygons; everything else is passed over. */
#include <stdlib.h>
#include <string.h>

#include "base/grow.h"
#include "base/try.h"
#include "shape/mesh_build.h"

/* Vertices by their number in the file, and the corners of the polygon being read. */
typedef struct obj {
    pci_builder *b;
    uint32_t *number; /* of the builder's, for each vertex of the file */
    size_t count, room;
    uint32_t *corner;
    size_t corners, corner_room;
} obj;

static pc_status wrong(const obj *o, long line, const char *text) {
    return pc_errors_add(o->b->errors, PC_E_SYNTAX, (pc_place){.file = o->b->name, .line = line},
                         "%s", text);
}

static bool push(uint32_t **list, size_t *count, size_t *room, uint32_t value) {
    uint32_t *more = pci_grown(*list, *count, room, sizeof *more);
    if (!more)
        return false;
    *list = more;
    (*list)[(*count)++] = value;
    return true;
}

static pc_status no_memory(const obj *o) {
    return pc_errors_add(o->b->errors, PC_E_MEMORY, (pc_place){.file = o->b->name},
                         "out of memory");
}

static pc_status read_vertex(obj *o, pci_scan *s) {
    double xyz[3];
    const char *word;
    size_t n;
    for (int a = 0; a < 3; a++)
        if (!pci_scan_word(s, &word, &n) || !pci_word_number(word, n, &xyz[a]))
            return wrong(o, s->line, "expected \"v X Y Z\" with three numbers");
    uint32_t number;
    PCI_TRY(pci_builder_vertex(o->b, xyz, &number));
    return push(&o->number, &o->count, &o->room, number) ? PC_OK : no_memory(o);
}

/* A corner "7", "7/1", "7//3" or "-1": counted from 1, or back from the last vertex read. */
static pc_status read_corner(obj *o, long line, const char *word, size_t n) {
    const char *slash = memchr(word, '/', n);
    int64_t i;
    if (!pci_word_integer(word, slash ? (size_t)(slash - word) : n, &i) || i == 0)
        return wrong(o, line, "expected corners such as 7, 7/1/3 or -1");
    int64_t at = i > 0 ? i - 1 : (int64_t)o->count + i;
    if (at < 0 || at >= (int64_t)o->count)
        return pc_errors_add(
            o->b->errors, PC_E_SYNTAX, (pc_place){.file = o->b->name, .line = line},
            "corner %lld is out of range: %zu vertices so far", (long long)i, o->count);
    return push(&o->corner, &o->corners, &o->corner_room, o->number[at]) ? PC_OK : no_memory(o);
}

static pc_status read_face(obj *o, pci_scan *s) {
    const char *word;
    size_t n;
    o->corners = 0;
    while (pci_scan_word(s, &word, &n) && word[0] != '#') {
        PCI_TRY(read_corner(o, s->line, word, n));
    }
    if (o->corners < 3)
        return wrong(o, s->line, "a face with fewer than three corners");
    return pci_builder_polygon(o->b, o->corner, o->corners, s->line);
}

pc_status pci_read_obj(pci_builder *b, const char *data, size_t size) {
    b->format = "OBJ";
    obj o = {b, NULL, 0, 0, NULL, 0, 0};
    pci_scan s = {data, data + size, NULL, 0};
    pc_status status = PC_OK;
    while (status == PC_OK && pci_scan_line(&s)) {
        const char *word;
        size_t n;
        pci_scan_word(&s, &word, &n);
        if (pci_word_is(word, n, "v"))
            status = read_vertex(&o, &s);
        else if (pci_word_is(word, n, "f"))
            status = read_face(&o, &s);
        else if (memchr(word, '\0', n))
            status = wrong(&o, s.line, "a NUL byte: this is no OBJ text");
    }
    free(o.number);
    free(o.corner);
    return status;
}
