/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "shape/union.h"

#include <stdlib.h>

#include "shape/lines.h"
#include "shape/vector.h"

/* Lines across the longest side: of a first look, which ends it where nothing is hidden (of a share
 * of HIDDEN_LEAST it would meet dozens of places), and of the measure. */
enum { ACROSS_FIRST = 100, ACROSS = 400 };
#define HIDDEN_LEAST 1e-3
/* Where the first line stands before the box, in cells: off the corners and edges of a model. */
static const double shift[3] = {0.3719, 0.4127, 0.2918};

typedef struct sums {
    double area, hidden;  /* of the crossings, each by how squarely its line meets the facet */
    double once, counted; /* lengths inside; the same times the winding number */
} sums;

static void add_line(const pc_mesh *mesh, const pci_lines *l, size_t line, sums *s) {
    int before = 0;
    for (size_t i = l->start[line]; i < l->start[line + 1]; i++) {
        const pci_line_mark *m = &l->mark[i];
        double n[3];
        pci_facet_vector(mesh, m->facet, n);
        double length = pci_length(n);
        double weight = length > 0.0 ? fabs(n[l->axis]) / length : 0.0;
        s->area += weight;
        if ((before != 0) == (m->after != 0))
            s->hidden += weight;
        if (i > l->start[line]) {
            double inside = m->w - l->mark[i - 1].w;
            s->once += before != 0 ? inside : 0.0;
            s->counted += before * inside;
        }
        before = m->after;
    }
}

static double *corners_in_cells(const pc_mesh *mesh, int across, size_t n[3]) {
    const pc_mesh_report *r = &mesh->report;
    double most = 0.0, *at = malloc((mesh->vertex_count + 1) * 3 * sizeof *at);
    for (int a = 0; a < 3; a++)
        most = fmax(most, r->high_m[a] - r->low_m[a]);
    double h = pci_lines_cell(mesh, most / across, PCI_CROSSINGS_MOST);
    for (int a = 0; a < 3; a++)
        n[a] = (size_t)((r->high_m[a] - r->low_m[a]) / h) + 3;
    for (size_t i = 0; at && i < 3 * mesh->vertex_count; i++)
        at[i] = (mesh->vertex[i] - r->low_m[i % 3]) / h + shift[i % 3];
    return at;
}

static pc_status sum_lines(const pc_mesh *mesh, int across, sums *s) {
    size_t n[3];
    double *at = corners_in_cells(mesh, across, n);
    pc_status status = at ? PC_OK : PC_E_MEMORY;
    *s = (sums){0.0, 0.0, 0.0, 0.0};
    for (int axis = 0; axis < 3 && status == PC_OK; axis++) {
        pci_lines l;
        status = pci_lines_file(mesh, at, n, axis, &l);
        for (size_t line = 0; status == PC_OK && line < l.nu * l.nv; line++)
            add_line(mesh, &l, line, s);
        pci_lines_free(&l);
    }
    free(at);
    return status;
}

pc_status pci_mesh_union(const pc_mesh *mesh, double *area_share, double *volume_share) {
    sums s;
    *area_share = *volume_share = 1.0;
    pc_status status = sum_lines(mesh, ACROSS_FIRST, &s);
    if (status == PC_OK && s.hidden > 0.0)
        status = sum_lines(mesh, ACROSS, &s);
    if (status != PC_OK || !(s.hidden > HIDDEN_LEAST * s.area) || !(s.counted > 0.0) ||
        !(s.once > 0.0))
        return status;
    *area_share = 1.0 - s.hidden / s.area;
    *volume_share = fmin(s.once / s.counted, 1.0);
    return PC_OK;
}
