/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Puts the items of a 3MF model together. */
#include "shape/read_3mf.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { PLACED_MOST = 100000, DEPTH_MOST = 32 };
/* Facets that copies of an object may make beyond those of the file. */
#define COPIES_MOST ((size_t)20000000)

typedef struct placing {
    pci_builder *b;
    pci_3mf_model *model;
    size_t placed; /* objects put somewhere so far */
    size_t supports;
} placing;

static pc_status refuse(const placing *p, pc_status status, const char *what) {
    return pc_errors_add(p->b->errors, status, (pc_place){.file = p->b->name}, "%s", what);
}

static int by_number(const void *a, const void *b) {
    const pci_3mf_object *s = a, *t = b;
    if (s->part != t->part)
        return s->part < t->part ? -1 : 1;
    return s->id < t->id ? -1 : s->id > t->id;
}

/* Objects in the order of their numbers, to be found by bsearch. */
static pc_status sort_objects(const placing *p) {
    pci_3mf_model *m = p->model;
    if (m->objects > 0)
        qsort(m->object, m->objects, sizeof *m->object, by_number);
    for (size_t i = 1; i < m->objects; i++)
        if (by_number(&m->object[i - 1], &m->object[i]) == 0)
            return refuse(p, PC_E_SYNTAX, "has two objects of one id");
    return PC_OK;
}

static pci_3mf_object *find_object(const placing *p, size_t part, uint32_t id) {
    pci_3mf_object key = {.part = part, .id = id};
    return p->model->objects > 0
               ? bsearch(&key, p->model->object, p->model->objects, sizeof key, by_number)
               : NULL;
}

static void move(const double x[3], const double to[12], double out[3]) {
    for (int a = 0; a < 3; a++)
        out[a] = x[0] * to[a] + x[1] * to[3 + a] + x[2] * to[6 + a] + to[9 + a];
}

/* first, then second. */
static void join(const double first[12], const double second[12], double out[12]) {
    double turn[12];
    memcpy(turn, second, sizeof turn);
    turn[9] = turn[10] = turn[11] = 0.0;
    for (int row = 0; row < 4; row++)
        move(first + 3 * row, row < 3 ? turn : second, out + 3 * row);
}

/* A mirror turns facets inside out. */
static bool is_mirror(const double t[12]) {
    return t[0] * (t[4] * t[8] - t[5] * t[7]) - t[1] * (t[3] * t[8] - t[5] * t[6]) +
               t[2] * (t[3] * t[7] - t[4] * t[6]) <
           0.0;
}

static pc_status place_mesh(placing *p, const pci_3mf_object *o, const double to[12]) {
    pci_builder *b = p->b;
    bool mirror = is_mirror(to);
    uint32_t *number = malloc((o->vertices + 1) * sizeof *number);
    pc_status status = number ? PC_OK : refuse(p, PC_E_MEMORY, "out of memory");
    for (size_t v = 0; v < o->vertices && status == PC_OK; v++) {
        double at[3];
        move(p->model->vertex + 3 * (o->vertex + v), to, at);
        if (!(isfinite(at[0]) && isfinite(at[1]) && isfinite(at[2])))
            status = refuse(p, PC_E_VALUE, "a transform moves a corner beyond all numbers");
        else
            status = pci_builder_vertex(b, at, &number[v]);
    }
    for (size_t t = 0; t < o->triangles && status == PC_OK; t++) {
        const uint32_t *v = p->model->triangle + 3 * (o->triangle + t);
        status = pci_builder_facet(b, number[v[0]], number[v[mirror ? 2 : 1]],
                                   number[v[mirror ? 1 : 2]]);
    }
    free(number);
    return status;
}

static pc_status place(placing *p, const pci_3mf_use *use, const double outer[12], int depth) {
    pci_3mf_object *o = find_object(p, use->part, use->id);
    double to[12];
    if (!o)
        return refuse(p, PC_E_SYNTAX, "an item or component names an object that is missing");
    if (depth > DEPTH_MOST)
        return refuse(p, PC_E_SYNTAX,
                      "has components within components more than 32 deep, or of themselves");
    if (++p->placed > PLACED_MOST)
        return refuse(p, PC_E_SIZE, "puts objects in more than 100000 places: export one piece");
    if (o->support) {
        p->supports++;
        return PC_OK;
    }
    if (p->b->facets + o->triangles > p->model->triangles + COPIES_MOST)
        return refuse(p, PC_E_SIZE,
                      "makes more than 20 million facets by copies: export one piece");
    join(use->to, outer, to);
    pc_status status = o->triangles > 0 ? place_mesh(p, o, to) : PC_OK;
    for (size_t i = 0; i < o->components && status == PC_OK; i++)
        status = place(p, &p->model->component[o->component + i], to, depth + 1);
    return status;
}

pc_status pci_read_3mf(pci_builder *b, const char *data, size_t size) {
    static const double plain[12] = {1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0};
    b->format = "3MF";
    pci_package *package;
    pc_status status = pci_package_open(data, size, b->name, b->errors, &package);
    if (status != PC_OK)
        return status;
    pci_3mf_model model;
    placing p = {.b = b, .model = &model};
    status = pci_3mf_model_read(package, b->name, b->errors, &model);
    pci_package_close(package);
    b->unit_m = model.unit_m;
    if (status == PC_OK && model.items == 0)
        status = refuse(&p, PC_E_VALUE,
                        "has no item to build: place the piece on the plate, then export");
    if (status == PC_OK)
        status = sort_objects(&p);
    for (size_t i = 0; i < model.items && status == PC_OK; i++)
        status = place(&p, &model.item[i], plain, 0);
    if (status == PC_OK && b->facets == 0)
        status = refuse(&p, PC_E_VALUE,
                        p.supports > 0 ? "has supports alone, and no mesh of a piece"
                                       : "has no mesh: its items are empty");
    pci_3mf_model_free(&model);
    return status;
}
