/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "shape/lines.h"

#include <stdlib.h>
#include <string.h>

#include "base/grow.h"
#include "shape/crossing.h"
#include "shape/vector.h"

/* A mark that has not yet been filed under its line. */
typedef struct loose_mark {
    size_t line;
    pci_line_mark mark;
} loose_mark;

typedef struct collecting {
    size_t nu;
    uint32_t facet;
    loose_mark *loose;
    size_t count, room;
} collecting;

static bool collect(const pci_crossing *c, void *context) {
    collecting *k = context;
    loose_mark *more = pci_grown(k->loose, k->count, &k->room, sizeof *more);
    if (!more)
        return false;
    k->loose = more;
    k->loose[k->count++] = (loose_mark){c->u + k->nu * c->v, {c->w, k->facet, c->change}};
    return true;
}

static int compare_marks(const void *a, const void *b) {
    const pci_line_mark *s = a, *t = b;
    if (s->w != t->w)
        return s->w < t->w ? -1 : 1;
    if (s->after != t->after) /* still the change */
        return s->after > t->after ? -1 : 1;
    return s->facet < t->facet ? -1 : s->facet > t->facet;
}

/* Puts the marks of a line in order and turns changes of the winding number into sums. */
static void order_line(pci_line_mark *mark, size_t count) {
    if (count > 16)
        qsort(mark, count, sizeof *mark, compare_marks);
    for (size_t i = 1; i < count && count <= 16; i++) {
        pci_line_mark m = mark[i];
        size_t j = i;
        for (; j > 0 && compare_marks(&mark[j - 1], &m) > 0; j--)
            mark[j] = mark[j - 1];
        mark[j] = m;
    }
    for (size_t i = 1; i < count; i++)
        mark[i].after += mark[i - 1].after;
}

/* A counting sort by line. */
static pc_status file_marks(const collecting *k, pci_lines *l) {
    size_t lines = l->nu * l->nv;
    l->start = calloc(lines + 2, sizeof *l->start);
    l->mark = malloc((k->count + 1) * sizeof *l->mark);
    if (!l->start || !l->mark)
        return PC_E_MEMORY;
    for (size_t i = 0; i < k->count; i++)
        l->start[k->loose[i].line + 2]++;
    for (size_t i = 2; i < lines + 2; i++)
        l->start[i] += l->start[i - 1];
    for (size_t i = 0; i < k->count; i++)
        l->mark[l->start[k->loose[i].line + 1]++] = k->loose[i].mark;
    for (size_t i = 0; i < lines; i++)
        if (l->start[i + 1] > l->start[i])
            order_line(l->mark + l->start[i], l->start[i + 1] - l->start[i]);
    return PC_OK;
}

pc_status pci_lines_file(const pc_mesh *mesh, const double *at, const size_t n[3], int axis,
                         pci_lines *lines) {
    memset(lines, 0, sizeof *lines);
    lines->axis = axis;
    lines->nu = n[(axis + 1) % 3];
    lines->nv = n[(axis + 2) % 3];
    collecting k = {lines->nu, 0, NULL, 0, 0};
    pc_status status = PC_OK;
    for (size_t f = 0; f < mesh->facet_count && status == PC_OK; f++) {
        k.facet = (uint32_t)f;
        if (!pci_facet_crossings(at, mesh->facet + 3 * f, axis, n, 0, lines->nv, collect, &k))
            status = PC_E_MEMORY;
    }
    if (status == PC_OK)
        status = file_marks(&k, lines);
    free(k.loose);
    return status;
}

double pci_lines_cell(const pc_mesh *mesh, double h, double crossings) {
    double area = 0.0;
    for (size_t f = 0; f < mesh->facet_count; f++) {
        double n[3];
        pci_facet_vector(mesh, f, n);
        area += 0.5 * pci_length(n);
    }
    /* A facet's shadows along the axes: half as much again in the mean. */
    return fmax(h, sqrt(1.5 * area / crossings));
}

void pci_lines_free(pci_lines *lines) {
    free(lines->start);
    free(lines->mark);
    memset(lines, 0, sizeof *lines);
}
