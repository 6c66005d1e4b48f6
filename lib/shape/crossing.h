/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Where the lines of a grid along one axis cross the facets of a mesh. */
#ifndef PCI_SHAPE_CROSSING_H
#define PCI_SHAPE_CROSSING_H

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* One crossing. change: of the winding number where the line goes on toward larger w. */
typedef struct pci_crossing {
    size_t u, v; /* the line: whole cells along the two axes after its own, cyclically */
    double w;    /* along its own axis, in cells */
    int change;  /* -1 or 1 */
} pci_crossing;

/* Side of the edge i-j that a point lies on, calculated alike for both facets of the edge: from
 * the lower corner to the higher. So a line of the grid never slips between two facets. */
static inline bool pci_left_of(const double *a, const double *b, bool rising, double x, double y) {
    const double *p = rising ? a : b, *q = rising ? b : a;
    bool left = (q[0] - p[0]) * (y - p[1]) - (q[1] - p[1]) * (x - p[0]) >= 0.0;
    return left == rising;
}

static inline size_t pci_clamp_cell(double x, size_t n) {
    return x <= 0.0 ? 0 : x >= (double)n ? n : (size_t)x;
}

/* Height of the facet's plane over (x, y), kept within the facet. */
static inline double pci_height_at(const double *a, const double *b, const double *c, double x,
                                   double y) {
    double d = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    double s = ((x - a[0]) * (c[1] - a[1]) - (y - a[1]) * (c[0] - a[0])) / (d != 0.0 ? d : 1.0);
    double t = ((b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0])) / (d != 0.0 ? d : 1.0);
    double z = a[2] + s * (b[2] - a[2]) + t * (c[2] - a[2]);
    double low = fmin(a[2], fmin(b[2], c[2])), high = fmax(a[2], fmax(b[2], c[2]));
    return z >= low ? fmin(z, high) : low;
}

/* Of three numbers: whether a whole one lies between the least and the largest. */
static inline bool pci_spans_whole(double a, double b, double c) {
    double low = a < b ? a : b, high = a < b ? b : a;
    low = c < low ? c : low;
    high = c > high ? c : high;
    return floor(high) >= low;
}

/* Narrows the cells [*ua, *ub) to those that a row at height y can meet within a triangle; a
 * thousandth of a cell is left for rounding, and pci_left_of decides. */
static inline void pci_narrow_row(const double p[3][3], double y, size_t *ua, size_t *ub) {
    double low = INFINITY, high = -INFINITY;
    for (int k = 0; k < 3; k++) {
        const double *a = p[k], *b = p[(k + 1) % 3];
        if ((a[1] < y && b[1] < y) || (a[1] > y && b[1] > y))
            continue;
        double rise = b[1] - a[1], x0 = a[0], x1 = b[0];
        if (fabs(rise) > 1e-6)
            x0 = x1 = a[0] + (y - a[1]) / rise * (b[0] - a[0]);
        low = fmin(low, fmin(x0, x1));
        high = fmax(high, fmax(x0, x1));
    }
    size_t a = pci_clamp_cell(ceil(low - 1e-3), *ub);
    size_t b = high < 0.0 ? 0 : pci_clamp_cell(floor(high + 1e-3) + 1.0, *ub);
    *ua = a > *ua ? a : *ua;
    *ub = b < *ub ? b : *ub;
}

typedef bool (*pci_crossing_fn)(const pci_crossing *crossing, void *context);

/* Purpose:  calls met for every line along an axis, with its v in [v0, v1), that crosses a facet.
 * Given:    at: corners in cells, three numbers each; corner: the facet's; n: cells a side.
 * Returned: false as soon as met returns false. */
static inline bool pci_facet_crossings(const double *at, const uint32_t corner[3], int axis,
                                       const size_t n[3], size_t v0, size_t v1, pci_crossing_fn met,
                                       void *context) {
    size_t iu = (size_t)(axis + 1) % 3, iv = (size_t)(axis + 2) % 3, iw = (size_t)axis;
    double p[3][3];
    for (int k = 0; k < 3; k++) {
        const double *x = at + 3 * (size_t)corner[k];
        p[k][0] = x[iu];
        p[k][1] = x[iv];
        p[k][2] = x[iw];
    }
    if (!pci_spans_whole(p[0][0], p[1][0], p[2][0]) || !pci_spans_whole(p[0][1], p[1][1], p[2][1]))
        return true;
    double vlow = fmin(p[0][1], fmin(p[1][1], p[2][1]));
    double vhigh = fmax(p[0][1], fmax(p[1][1], p[2][1]));
    size_t va = pci_clamp_cell(ceil(vlow), n[iv]);
    size_t vb = pci_clamp_cell(floor(vhigh) + 1.0, n[iv]);
    size_t ua = pci_clamp_cell(ceil(fmin(p[0][0], fmin(p[1][0], p[2][0]))), n[iu]);
    size_t ub = pci_clamp_cell(floor(fmax(p[0][0], fmax(p[1][0], p[2][0]))) + 1.0, n[iu]);
    for (size_t v = va > v0 ? va : v0; v < vb && v < v1; v++) {
        double y = (double)v;
        size_t first = ua, end = ub;
        if (end > first + 8)
            pci_narrow_row((const double(*)[3])p, y, &first, &end);
        for (size_t u = first; u < end; u++) {
            double x = (double)u;
            bool left = pci_left_of(p[0], p[1], corner[0] < corner[1], x, y);
            if (left != pci_left_of(p[1], p[2], corner[1] < corner[2], x, y) ||
                left != pci_left_of(p[2], p[0], corner[2] < corner[0], x, y))
                continue;
            /* Seen against the line: left is outward, and the line leaves the inside. */
            pci_crossing c = {u, v, pci_height_at(p[0], p[1], p[2], x, y), left ? -1 : 1};
            if (!met(&c, context))
                return false;
        }
    }
    return true;
}

#endif
