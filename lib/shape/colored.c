/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A mesh as PLY text, with what was found colored (Okabe & Ito's palette for all eyes). */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "shape/mesh_shape.h"
#include "shape/vector.h"

typedef struct ply_text {
    char *data;
    size_t size, room;
    bool failed;
} ply_text;

static const unsigned char palette[][3] = {
    {153, 153, 153}, {86, 180, 233}, {230, 159, 0}, {213, 94, 0}};
enum { GRAY, SKY, ORANGE, VERMILLION };

PC_PRINTF(2, 3) static void put(ply_text *t, const char *format, ...) {
    if (t->size + 256 > t->room && !t->failed) {
        size_t room = t->room ? 2 * t->room : 65536;
        char *more = realloc(t->data, room);
        t->failed = !more;
        if (more) {
            t->data = more;
            t->room = room;
        }
    }
    if (t->failed)
        return;
    va_list args;
    va_start(args, format);
    int n = pci_vformat(t->data + t->size, t->room - t->size, format, args);
    va_end(args);
    if (n > 0)
        t->size += (size_t)n < t->room - t->size ? (size_t)n : t->room - t->size - 1;
}

static bool near(const double a[3], const double b[3], double within_m) {
    double d[3];
    pci_minus(a, b, d);
    return pci_dot(d, d) <= within_m * within_m;
}

static int color_of(const pc_mesh *mesh, size_t facet, const pc_traps *traps,
                    const pc_narrows *narrows) {
    double c[3];
    pci_mesh_facet(mesh, facet, c, NULL, NULL);
    for (size_t i = 0; traps && i < traps->count; i++) {
        double below[3];
        pci_minus(c, traps->trap[i].at_m, below);
        if (-pci_dot(below, traps->up) <= traps->trap[i].depth_m &&
            near(c, traps->trap[i].at_m, 3.0 * fmax(traps->trap[i].depth_m, 2.0 * traps->cell_m)))
            return VERMILLION;
    }
    for (size_t i = 0; narrows && i < narrows->tip_count; i++)
        if (near(c, narrows->tip[i].at_m, narrows->tip[i].length_m))
            return ORANGE;
    for (size_t i = 0; narrows && i < narrows->neck_count; i++)
        if (near(c, narrows->neck[i].at_m, 0.75 * narrows->neck[i].width_m))
            return SKY;
    return GRAY;
}

pc_status pc_mesh_colored(const pc_mesh *mesh, const pc_traps *traps, const pc_narrows *narrows,
                          char **out, size_t *size) {
    if (!mesh || !out || !size || mesh->facet_count == 0)
        return PC_E_ARGUMENT;
    ply_text t = {NULL, 0, 0, false};
    put(&t, "ply\nformat ascii 1.0\ncomment vermillion: air trap; orange: narrow tip; sky blue: "
            "neck\n");
    put(&t, "element vertex %zu\nproperty double x\nproperty double y\nproperty double z\n",
        mesh->vertex_count);
    put(&t,
        "element face %zu\nproperty list uchar int vertex_indices\nproperty uchar red\n"
        "property uchar green\nproperty uchar blue\nend_header\n",
        mesh->facet_count);
    for (size_t v = 0; v < mesh->vertex_count && !t.failed; v++) {
        const double *x = mesh->vertex + 3 * v;
        put(&t, "%.9g %.9g %.9g\n", x[0] / mesh->unit_m, x[1] / mesh->unit_m, x[2] / mesh->unit_m);
    }
    for (size_t f = 0; f < mesh->facet_count && !t.failed; f++) {
        const unsigned char *c = palette[color_of(mesh, f, traps, narrows)];
        const uint32_t *v = mesh->facet + 3 * f;
        put(&t, "3 %u %u %u %u %u %u\n", v[0], v[1], v[2], c[0], c[1], c[2]);
    }
    if (t.failed) {
        free(t.data);
        return PC_E_MEMORY;
    }
    *out = t.data;
    *size = t.size;
    return PC_OK;
}
