/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Vectors of three, and facets. */
#ifndef PCI_SHAPE_VECTOR_H
#define PCI_SHAPE_VECTOR_H

#include <math.h>

#include "pourclock/mesh.h"

static inline void pci_minus(const double a[3], const double b[3], double out[3]) {
    for (int i = 0; i < 3; i++)
        out[i] = a[i] - b[i];
}

static inline double pci_dot(const double a[3], const double b[3]) {
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

static inline void pci_cross(const double a[3], const double b[3], double out[3]) {
    out[0] = a[1] * b[2] - a[2] * b[1];
    out[1] = a[2] * b[0] - a[0] * b[2];
    out[2] = a[0] * b[1] - a[1] * b[0];
}

static inline double pci_length(const double a[3]) {
    return sqrt(pci_dot(a, a));
}

static inline const double *pci_corner(const pc_mesh *m, size_t facet, size_t c) {
    return m->vertex + 3 * (size_t)m->facet[3 * facet + c];
}

/* Normal of a facet, as long as twice its area. */
static inline void pci_facet_vector(const pc_mesh *m, size_t f, double out[3]) {
    double u[3], v[3];
    const double *a = pci_corner(m, f, 0);
    pci_minus(pci_corner(m, f, 1), a, u);
    pci_minus(pci_corner(m, f, 2), a, v);
    pci_cross(u, v, out);
}

/* Whether the ray from `at` along d crosses a facet (Moeller & Trumbore's test). */
static inline bool pci_ray_crosses(const pc_mesh *m, size_t f, const double at[3],
                                   const double d[3]) {
    double u[3], v[3], h[3], s[3], q[3];
    const double *a = pci_corner(m, f, 0);
    pci_minus(pci_corner(m, f, 1), a, u);
    pci_minus(pci_corner(m, f, 2), a, v);
    pci_cross(d, v, h);
    double det = pci_dot(u, h);
    if (!(fabs(det) > 0.0))
        return false;
    pci_minus(at, a, s);
    double x = pci_dot(s, h) / det;
    if (!(x >= 0.0 && x <= 1.0))
        return false;
    pci_cross(s, u, q);
    double y = pci_dot(d, q) / det;
    return y >= 0.0 && x + y <= 1.0 && pci_dot(v, q) / det > 0.0;
}

#endif
