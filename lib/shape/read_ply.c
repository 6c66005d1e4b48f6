/* SPDX-License-Identifier: GPL-3.0-or-later */
/* PLY: a header that lists elements and their properties, then rows, as text or binary of either
 * byte order. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/grow.h"
#include "base/try.h"
#include "shape/mesh_build.h"

enum { ELEMENTS_MOST = 16, PROPERTIES_MOST = 32, CORNERS_MOST = 100000 };

typedef enum ply_type {
    INT8,
    UINT8,
    INT16,
    UINT16,
    INT32,
    UINT32,
    FLOAT32,
    FLOAT64,
    NO_TYPE
} ply_type;

static const struct {
    const char *word;
    ply_type type;
} type_words[] = {
    {"char", INT8},     {"int8", INT8},       {"uchar", UINT8},    {"uint8", UINT8},
    {"short", INT16},   {"int16", INT16},     {"ushort", UINT16},  {"uint16", UINT16},
    {"int", INT32},     {"int32", INT32},     {"uint", UINT32},    {"uint32", UINT32},
    {"float", FLOAT32}, {"float32", FLOAT32}, {"double", FLOAT64}, {"float64", FLOAT64}};

static const size_t type_size[] = {1, 1, 2, 2, 4, 4, 4, 8, 0};

typedef enum ply_role { PLAIN, X, Y, Z, CORNERS } ply_role;

typedef struct ply_property {
    ply_type type, count_type; /* count_type NO_TYPE: not a list */
    ply_role role;
} ply_property;

typedef enum ply_kind { OTHER, VERTEX, FACE } ply_kind;

typedef struct ply_element {
    ply_kind kind;
    size_t count, properties;
    ply_property property[PROPERTIES_MOST];
} ply_element;

typedef struct ply {
    pci_builder *b;
    pci_scan s; /* text */
    const char *p;
    const char *end;
    bool binary, big; /* big: the highest byte first */
    size_t elements;
    ply_element element[ELEMENTS_MOST];
    uint32_t *number; /* of the builder's vertices */
    size_t numbers, number_room;
    uint32_t *corner;
    size_t corner_room;
} ply;

static pc_status wrong(const ply *y, const char *text) {
    return pc_errors_add(y->b->errors, PC_E_SYNTAX,
                         (pc_place){.file = y->b->name, .line = y->s.line}, "%s", text);
}

static ply_type type_of(const char *word, size_t n) {
    for (size_t i = 0; i < sizeof type_words / sizeof type_words[0]; i++)
        if (pci_word_is(word, n, type_words[i].word))
            return type_words[i].type;
    return NO_TYPE;
}

static pc_status header_property(ply *y) {
    if (y->elements == 0)
        return wrong(y, "a property before any element");
    ply_element *e = &y->element[y->elements - 1];
    if (e->properties == PROPERTIES_MOST)
        return wrong(y, "more than 32 properties");
    ply_property *q = &e->property[e->properties++];
    const char *word;
    size_t n;
    *q = (ply_property){NO_TYPE, NO_TYPE, PLAIN};
    if (!pci_scan_word(&y->s, &word, &n))
        return wrong(y, "a property without a type");
    bool list = pci_word_is(word, n, "list");
    if (list) {
        if (!pci_scan_word(&y->s, &word, &n) || (q->count_type = type_of(word, n)) >= FLOAT32)
            return wrong(y, "a list needs a whole-number type for its length");
        if (!pci_scan_word(&y->s, &word, &n))
            return wrong(y, "a list without a type");
    }
    q->type = type_of(word, n);
    if (q->type == NO_TYPE)
        return wrong(y, "unknown property type, expected char, uchar, short, ushort, int, uint, "
                        "float or double");
    if (!pci_scan_word(&y->s, &word, &n))
        return wrong(y, "a property without a name");
    if (list && e->kind == FACE && q->type < FLOAT32 &&
        (pci_word_is(word, n, "vertex_indices") || pci_word_is(word, n, "vertex_index")))
        q->role = CORNERS;
    if (!list && e->kind == VERTEX && n == 1 && word[0] >= 'x' && word[0] <= 'z')
        q->role = word[0] == 'x' ? X : word[0] == 'y' ? Y : Z;
    return PC_OK;
}

static pc_status header_element(ply *y) {
    const char *word;
    size_t n;
    int64_t count;
    if (y->elements == ELEMENTS_MOST)
        return wrong(y, "more than 16 elements");
    ply_element *e = &y->element[y->elements++];
    memset(e, 0, sizeof *e);
    if (!pci_scan_word(&y->s, &word, &n))
        return wrong(y, "an element without a name");
    e->kind = pci_word_is(word, n, "vertex") ? VERTEX : pci_word_is(word, n, "face") ? FACE : OTHER;
    if (!pci_scan_word(&y->s, &word, &n) || !pci_word_integer(word, n, &count) || count < 0)
        return wrong(y, "an element needs a whole number of rows");
    e->count = (size_t)count;
    return PC_OK;
}

static pc_status header_format(ply *y) {
    const char *word;
    size_t n;
    if (!pci_scan_word(&y->s, &word, &n))
        return wrong(y, "\"format\" without a name");
    if (pci_word_is(word, n, "ascii")) {
        y->b->format = "PLY, text";
    } else if (pci_word_is(word, n, "binary_little_endian")) {
        y->b->format = "PLY, binary";
        y->binary = true;
    } else if (pci_word_is(word, n, "binary_big_endian")) {
        y->b->format = "PLY, binary";
        y->binary = y->big = true;
    } else {
        return wrong(y, "unknown PLY format, expected ascii, binary_little_endian or "
                        "binary_big_endian");
    }
    return PC_OK;
}

/* Whether the elements can be used: x, y, z of vertices and the corners of faces after them. */
static pc_status judge_header(ply *y) {
    unsigned roles = 0;
    bool vertices = false;
    for (size_t i = 0; i < y->elements; i++) {
        const ply_element *e = &y->element[i];
        if (e->kind == FACE && !vertices)
            return wrong(y, "the faces come before the vertices");
        vertices = vertices || e->kind == VERTEX;
        if (e->properties == 0 && e->count > 0)
            return wrong(y, "an element without properties");
        for (size_t j = 0; j < e->properties; j++)
            roles |= 1u << e->property[j].role;
    }
    if ((roles & (1u << X | 1u << Y | 1u << Z)) != (1u << X | 1u << Y | 1u << Z))
        return wrong(y, "no element \"vertex\" with x, y and z");
    if (!(roles & 1u << CORNERS))
        return wrong(y, "no element \"face\" with a list vertex_indices");
    return PC_OK;
}

static pc_status read_header(ply *y) {
    const char *word;
    size_t n;
    pc_status status = PC_OK;
    bool format = false;
    pci_scan_line(&y->s); /* "ply" */
    while (status == PC_OK && pci_scan_line(&y->s)) {
        pci_scan_word(&y->s, &word, &n);
        if (pci_word_is(word, n, "end_header")) {
            if (!format)
                return wrong(y, "no \"format\" line in the header");
            y->p = y->s.line_end < y->s.end ? y->s.line_end + 1 : y->s.end;
            return judge_header(y);
        }
        if (pci_word_is(word, n, "format")) {
            status = header_format(y);
            format = true;
        } else if (pci_word_is(word, n, "element")) {
            status = header_element(y);
        } else if (pci_word_is(word, n, "property")) {
            status = header_property(y);
        } else if (!pci_word_is(word, n, "comment") && !pci_word_is(word, n, "obj_info")) {
            return wrong(y, "unknown line in the header");
        }
    }
    return status != PC_OK ? status : wrong(y, "the header has no end: the file is cut off");
}

static double binary_value(const char *p, ply_type type) {
    uint32_t low = type_size[type] == 1 ? (unsigned char)p[0]
                   : type_size[type] == 2
                       ? (uint32_t)(unsigned char)p[0] | (uint32_t)(unsigned char)p[1] << 8
                       : pci_le32(p);
    switch (type) {
    case INT8:
        return (double)(low < 0x80 ? (int)low : (int)low - 0x100);
    case INT16:
        return (double)(low < 0x8000 ? (int)low : (int)low - 0x10000);
    case INT32:
        return low < 0x80000000u ? (double)low : (double)low - 4294967296.0;
    case UINT8:
    case UINT16:
    case UINT32:
        return (double)low;
    case FLOAT32:
        return (double)pci_le_float(p);
    case FLOAT64: {
        uint64_t bits = (uint64_t)low | (uint64_t)pci_le32(p + 4) << 32;
        double v;
        memcpy(&v, &bits, sizeof v);
        return v;
    }
    case NO_TYPE:
        break;
    }
    return NAN;
}

static pc_status read_value(ply *y, ply_type type, double *value) {
    if (y->binary) {
        if ((size_t)(y->end - y->p) < type_size[type])
            return wrong(y, "the file ends inside an element: it is cut off");
        char turned[8];
        for (size_t i = 0; i < type_size[type]; i++)
            turned[i] = y->p[y->big ? type_size[type] - 1 - i : i];
        *value = binary_value(turned, type);
        y->p += type_size[type];
        return PC_OK;
    }
    const char *word;
    size_t n;
    while (!pci_scan_word(&y->s, &word, &n))
        if (!pci_scan_line(&y->s))
            return wrong(y, "the file ends inside an element: it is cut off");
    return pci_word_number(word, n, value) ? PC_OK : wrong(y, "expected a number");
}

static pc_status read_corners(ply *y, const ply_property *q, size_t n) {
    if (n > y->corner_room) {
        uint32_t *more = realloc(y->corner, n * sizeof *more);
        if (!more)
            return pc_errors_add(y->b->errors, PC_E_MEMORY, (pc_place){.file = y->b->name},
                                 "out of memory");
        y->corner = more;
        y->corner_room = n;
    }
    for (size_t i = 0; i < n; i++) {
        double v;
        PCI_TRY(read_value(y, q->type, &v));
        if (!(v >= 0.0 && v < (double)y->numbers) || v != floor(v))
            return pc_errors_add(
                y->b->errors, PC_E_SYNTAX, (pc_place){.file = y->b->name, .line = y->s.line},
                "corner %.9g is out of range: there are %zu vertices", v, y->numbers);
        y->corner[i] = y->number[(size_t)v];
    }
    if (n < 3)
        return wrong(y, "a face with fewer than three corners");
    return pci_builder_polygon(y->b, y->corner, n, y->s.line);
}

static pc_status read_list(ply *y, const ply_property *q) {
    double v;
    pc_status status = read_value(y, q->count_type, &v);
    if (status != PC_OK)
        return status;
    if (!(v >= 0.0 && v <= CORNERS_MOST) || v != floor(v))
        return wrong(y, "a list longer than 100000, or of a length that is no whole number");
    size_t n = (size_t)v;
    if (q->role == CORNERS)
        return read_corners(y, q, n);
    for (size_t i = 0; i < n && status == PC_OK; i++)
        status = read_value(y, q->type, &v);
    return status;
}

static pc_status keep_vertex(ply *y, const double xyz[3]) {
    if (!(isfinite(xyz[0]) && isfinite(xyz[1]) && isfinite(xyz[2])))
        return wrong(y, "a vertex has a coordinate that is no number");
    uint32_t *more = pci_grown(y->number, y->numbers, &y->number_room, sizeof *more);
    if (!more)
        return pc_errors_add(y->b->errors, PC_E_MEMORY, (pc_place){.file = y->b->name},
                             "out of memory");
    y->number = more;
    return pci_builder_vertex(y->b, xyz, &y->number[y->numbers++]);
}

static pc_status read_row(ply *y, const ply_element *e) {
    double xyz[3] = {NAN, NAN, NAN}, v;
    for (size_t j = 0; j < e->properties; j++) {
        const ply_property *q = &e->property[j];
        PCI_TRY(q->count_type != NO_TYPE ? read_list(y, q) : read_value(y, q->type, &v));
        if (q->role >= X && q->role <= Z)
            xyz[q->role - X] = v;
    }
    return e->kind == VERTEX ? keep_vertex(y, xyz) : PC_OK;
}

pc_status pci_read_ply(pci_builder *b, const char *data, size_t size) {
    ply *y = calloc(1, sizeof *y);
    if (!y)
        return pc_errors_add(b->errors, PC_E_MEMORY, (pc_place){.file = b->name}, "out of memory");
    y->b = b;
    y->s = (pci_scan){data, data + size, NULL, 0};
    y->end = data + size;
    b->format = "PLY";
    pc_status status = read_header(y);
    if (y->binary)
        y->s.line = 0; /* lines mean nothing from here */
    for (size_t i = 0; i < y->elements && status == PC_OK; i++)
        for (size_t row = 0; row < y->element[i].count && status == PC_OK; row++)
            status = read_row(y, &y->element[i]);
    if (status == PC_OK && y->binary)
        b->trailing_bytes = (size_t)(y->end - y->p);
    free(y->number);
    free(y->corner);
    free(y);
    return status;
}
