/* SPDX-License-Identifier: GPL-3.0-or-later */
/* STL: 80 bytes, a count, 50 bytes a facet; or text. */
#include <math.h>
#include <stdio.h>

#include "base/try.h"
#include "shape/mesh_build.h"

enum { HEADER = 84, FACET = 50 };

bool pci_is_stl_binary(const char *data, size_t size) {
    return size >= HEADER && (size - HEADER) / FACET == pci_le32(data + 80) &&
           (size - HEADER) % FACET == 0;
}

static pc_status cut_off(const pci_builder *b, size_t stated, size_t held) {
    return pc_errors_add(b->errors, PC_E_SYNTAX, (pc_place){.file = b->name},
                         "states %zu facets and has %zu: it is cut off, or no STL file", stated,
                         held);
}

pc_status pci_read_stl_binary(pci_builder *b, const char *data, size_t size) {
    b->format = "STL, binary";
    if (size < HEADER)
        return pc_errors_add(b->errors, PC_E_SYNTAX, (pc_place){.file = b->name},
                             "is %zu bytes long: a binary STL has at least 84", size);
    size_t count = pci_le32(data + 80), held = (size - HEADER) / FACET;
    if (count > held)
        return cut_off(b, count, held);
    b->trailing_bytes = size - HEADER - FACET * count;
    if (held > count)
        return pc_errors_add(b->errors, PC_E_SYNTAX, (pc_place){.file = b->name},
                             "says it has %zu facets and has room for %zu: the count is wrong, or "
                             "something else follows; save it again",
                             count, held);
    for (size_t f = 0; f < count; f++) {
        const char *p = data + HEADER + FACET * f + 12;
        uint32_t corner[3];
        for (int c = 0; c < 3; c++) {
            double xyz[3];
            for (int a = 0; a < 3; a++)
                xyz[a] = (double)pci_le_float(p + 12 * c + 4 * a);
            if (!(isfinite(xyz[0]) && isfinite(xyz[1]) && isfinite(xyz[2])))
                return pc_errors_add(b->errors, PC_E_SYNTAX, (pc_place){.file = b->name},
                                     "facet %zu has a coordinate that is no number", f + 1);
            PCI_TRY(pci_builder_vertex(b, xyz, &corner[c]));
        }
        PCI_TRY(pci_builder_facet(b, corner[0], corner[1], corner[2]));
    }
    return PC_OK;
}

static pc_status wrong(const pci_builder *b, long line, const char *text) {
    return pc_errors_add(b->errors, PC_E_SYNTAX, (pc_place){.file = b->name, .line = line}, "%s",
                         text);
}

static pc_status text_vertex(pci_builder *b, pci_scan *s, uint32_t *number) {
    double xyz[3];
    const char *word;
    size_t n;
    for (int a = 0; a < 3; a++)
        if (!pci_scan_word(s, &word, &n) || !pci_word_number(word, n, &xyz[a]))
            return wrong(b, s->line, "expected \"vertex X Y Z\" with three numbers");
    return pci_builder_vertex(b, xyz, number);
}

pc_status pci_read_stl_text(pci_builder *b, const char *data, size_t size) {
    b->format = "STL, text";
    pci_scan s = {data, data + size, NULL, 0};
    uint32_t corner[3];
    int corners = -1; /* outside a facet */
    bool ended = false;
    pc_status status = PC_OK;
    while (status == PC_OK && pci_scan_line(&s)) {
        const char *word;
        size_t n;
        pci_scan_word(&s, &word, &n);
        if (pci_word_is(word, n, "vertex")) {
            if (corners < 0 || corners > 2)
                return wrong(b, s.line,
                             corners < 0 ? "a vertex outside a facet"
                                         : "a facet with more than three corners");
            status = text_vertex(b, &s, &corner[corners++]);
        } else if (pci_word_is(word, n, "facet")) {
            if (corners >= 0)
                return wrong(b, s.line, "a facet inside a facet: \"endfacet\" is missing");
            corners = 0;
        } else if (pci_word_is(word, n, "endfacet")) {
            if (corners != 3)
                return wrong(b, s.line, "a facet without three corners");
            status = pci_builder_facet(b, corner[0], corner[1], corner[2]);
            corners = -1;
        } else if (pci_word_is(word, n, "endsolid")) {
            ended = true;
        } else if (!pci_word_is(word, n, "solid") && !pci_word_is(word, n, "outer") &&
                   !pci_word_is(word, n, "endloop")) {
            return wrong(b, s.line,
                         "expected a line of an STL text: facet, outer loop, vertex, "
                         "endloop, endfacet, endsolid");
        }
    }
    if (status == PC_OK && (corners >= 0 || !ended))
        return wrong(b, s.line, "the file ends before \"endsolid\": it is cut off");
    return status;
}
