/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "shape/closest.h"

#include <stdlib.h>
#include <string.h>

#include "shape/vector.h"

enum { HOPS_MOST = 64 };

pc_status pci_around_make(const pc_mesh *mesh, pci_around *around) {
    size_t corners = 3 * mesh->facet_count;
    around->start = calloc(mesh->vertex_count + 2, sizeof *around->start);
    around->facet = malloc((corners + 1) * sizeof *around->facet);
    if (!around->start || !around->facet)
        return PC_E_MEMORY;
    for (size_t i = 0; i < corners; i++)
        around->start[mesh->facet[i] + 2]++;
    for (size_t v = 2; v < mesh->vertex_count + 2; v++)
        around->start[v] += around->start[v - 1];
    for (size_t i = 0; i < corners; i++)
        around->facet[around->start[mesh->facet[i] + 1]++] = (uint32_t)(i / 3);
    return PC_OK;
}

void pci_around_free(pci_around *around) {
    free(around->start);
    free(around->facet);
    memset(around, 0, sizeof *around);
}

static double distance2(const double a[3], const double b[3]) {
    double d[3];
    pci_minus(a, b, d);
    return pci_dot(d, d);
}

/* Which of two corners a point of the edge between them, at share t of it, lies nearer to. */
static int nearer_corner(int a, int b, double t) {
    return t > 0.5 ? b : a;
}

static void along(const double a[3], const double ab[3], double t, double out[3]) {
    for (int i = 0; i < 3; i++)
        out[i] = a[i] + t * ab[i];
}

/* A quotient in [0, 1]; 0 for a facet without area. */
static double share_of(double part, double rest) {
    double sum = part + rest;
    return sum > 0.0 ? part / sum : 0.0;
}

double pci_facet_distance2(const double *at, const uint32_t corner[3], const double x[3],
                           double foot[3], int *nearest) {
    const double *a = at + 3 * (size_t)corner[0], *b = at + 3 * (size_t)corner[1];
    const double *c = at + 3 * (size_t)corner[2];
    double ab[3], ac[3], bc[3], ax[3], bx[3], cx[3];
    pci_minus(b, a, ab);
    pci_minus(c, a, ac);
    pci_minus(x, a, ax);
    double d1 = pci_dot(ab, ax), d2 = pci_dot(ac, ax);
    pci_minus(x, b, bx);
    double d3 = pci_dot(ab, bx), d4 = pci_dot(ac, bx);
    pci_minus(x, c, cx);
    double d5 = pci_dot(ab, cx), d6 = pci_dot(ac, cx);
    double va = d3 * d6 - d5 * d4, vb = d5 * d2 - d1 * d6, vc = d1 * d4 - d3 * d2;
    if (d1 <= 0.0 && d2 <= 0.0) {
        *nearest = 0;
        memcpy(foot, a, 3 * sizeof *foot);
    } else if (d3 >= 0.0 && d4 <= d3) {
        *nearest = 1;
        memcpy(foot, b, 3 * sizeof *foot);
    } else if (d6 >= 0.0 && d5 <= d6) {
        *nearest = 2;
        memcpy(foot, c, 3 * sizeof *foot);
    } else if (vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0) {
        double t = share_of(d1, -d3);
        *nearest = nearer_corner(0, 1, t);
        along(a, ab, t, foot);
    } else if (vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0) {
        double t = share_of(d2, -d6);
        *nearest = nearer_corner(0, 2, t);
        along(a, ac, t, foot);
    } else if (va <= 0.0 && d4 - d3 >= 0.0 && d5 - d6 >= 0.0) {
        double t = share_of(d4 - d3, d5 - d6);
        *nearest = nearer_corner(1, 2, t);
        pci_minus(c, b, bc);
        along(b, bc, t, foot);
    } else {
        double sum = va + vb + vc, v = sum > 0.0 ? vb / sum : 0.0, w = sum > 0.0 ? vc / sum : 0.0;
        *nearest = -1;
        for (int i = 0; i < 3; i++)
            foot[i] = a[i] + v * ab[i] + w * ac[i];
    }
    return distance2(x, foot);
}

/* From corner to corner of the mesh as long as one of the next is nearer to x. */
static uint32_t nearest_corner(const pc_mesh *mesh, const pci_around *around, const double *at,
                               const double x[3], uint32_t v) {
    double best = distance2(at + 3 * (size_t)v, x);
    for (int hop = 0; hop < HOPS_MOST; hop++) {
        uint32_t from = v;
        for (size_t i = around->start[from]; i < around->start[from + 1]; i++) {
            const uint32_t *c = mesh->facet + 3 * (size_t)around->facet[i];
            /* The corner after this one: over all facets around it, every neighbor. */
            uint32_t next = c[0] == from ? c[1] : c[1] == from ? c[2] : c[0];
            double d2 = distance2(at + 3 * (size_t)next, x);
            if (d2 < best) {
                best = d2;
                v = next;
            }
        }
        if (v == from)
            break;
    }
    return v;
}

double pci_walk_nearer(const pc_mesh *mesh, const pci_around *around, const double *at,
                       const double x[3], double most2, uint32_t *facet, double foot[3]) {
    int nearest;
    double best = pci_facet_distance2(at, mesh->facet + 3 * (size_t)*facet, x, foot, &nearest);
    if (nearest < 0 || !around->start || !(best < most2))
        return best;
    uint32_t from = *facet;
    uint32_t v =
        nearest_corner(mesh, around, at, x, mesh->facet[3 * (size_t)from + (size_t)nearest]);
    for (size_t i = around->start[v]; i < around->start[v + 1]; i++) {
        double try[3];
        uint32_t f = around->facet[i];
        if ((size_t)f >= mesh->facet_count - mesh->rim_facets)
            continue; /* no wall */
        double d2 = pci_facet_distance2(at, mesh->facet + 3 * (size_t)f, x, try, &nearest);
        if (!(d2 < best))
            continue;
        best = d2;
        *facet = f;
        memcpy(foot, try, sizeof try);
    }
    return best;
}
