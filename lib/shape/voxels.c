/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "shape/voxels.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "shape/edt.h"
#include "shape/vector.h"
#include "solve/threads.h"

enum { PAD = 2, SLAB = 8 };

/* Where the first cell's centre stands before the box: odd shares of a cell, so that corners and
 * edges of a model do not fall on lines of the grid. */
static const double shift[3] = {0.3719, 0.4127, 0.2918};

static void set_axes(pci_voxels *g, const double *up) {
    memset(g->axis, 0, sizeof g->axis);
    for (int a = 0; a < 3; a++)
        g->axis[a][a] = 1.0;
    if (!up)
        return;
    double length = pci_length(up);
    for (int a = 0; a < 3; a++)
        g->axis[2][a] = up[a] / length;
    int least = 0;
    for (int a = 1; a < 3; a++)
        if (fabs(up[a]) < fabs(up[least]))
            least = a;
    double e[3] = {0.0, 0.0, 0.0};
    e[least] = 1.0;
    pci_cross(e, g->axis[2], g->axis[0]);
    length = pci_length(g->axis[0]);
    for (int a = 0; a < 3; a++)
        g->axis[0][a] /= length;
    pci_cross(g->axis[2], g->axis[0], g->axis[1]);
}

void pci_voxels_point(const pci_voxels *g, const double cell[3], double at_m[3]) {
    for (int a = 0; a < 3; a++)
        at_m[a] = 0.0;
    for (int r = 0; r < 3; r++)
        for (int a = 0; a < 3; a++)
            at_m[a] += g->axis[r][a] * (g->low[r] + g->h * cell[r]);
}

void pci_voxels_cell(const pci_voxels *g, const double at_m[3], double cell[3]) {
    for (int r = 0; r < 3; r++)
        cell[r] = (pci_dot(g->axis[r], at_m) - g->low[r]) / g->h;
}

static bool too_many(const double size[3], double h, size_t most_cells) {
    double cells = 1.0;
    for (int a = 0; a < 3; a++) {
        double n = floor(size[a] / h) + 2 * PAD + 2;
        if (n > PCI_VOXELS_SIDE_MOST)
            return true;
        cells *= n;
    }
    return cells > (double)most_cells;
}

/* Corners along the grid's axes, not yet counted in cells. */
static double *turn_corners(const pc_mesh *mesh, const pci_voxels *g) {
    double *at = malloc((mesh->vertex_count + 1) * 3 * sizeof *at);
    for (size_t v = 0; at && v < mesh->vertex_count; v++)
        for (size_t a = 0; a < 3; a++)
            at[3 * v + a] = pci_dot(g->axis[a], mesh->vertex + 3 * v);
    return at;
}

static void set_size(pci_voxels *g, const double *at, size_t corners, double h, size_t most_cells) {
    double low[3] = {INFINITY, INFINITY, INFINITY}, high[3], size[3];
    for (int a = 0; a < 3; a++)
        high[a] = -INFINITY;
    for (size_t v = 0; v < corners; v++)
        for (size_t a = 0; a < 3; a++) {
            double x = at[3 * v + a];
            low[a] = x < low[a] ? x : low[a];
            high[a] = x > high[a] ? x : high[a];
        }
    for (int a = 0; a < 3; a++)
        size[a] = high[a] - low[a];
    while (too_many(size, h, most_cells))
        h *= 1.02;
    g->h = h;
    g->cells = 1;
    for (int a = 0; a < 3; a++) {
        g->n[a] = (size_t)floor(size[a] / h) + 2 * PAD + 2;
        g->low[a] = low[a] - (PAD + shift[a]) * h;
        g->cells *= g->n[a];
    }
}

static void count_in_cells(const pci_voxels *g, double *at, size_t corners) {
    for (size_t v = 0; v < corners; v++)
        for (size_t a = 0; a < 3; a++)
            at[3 * v + a] = (at[3 * v + a] - g->low[a]) / g->h;
}

typedef struct filling {
    const pc_mesh *mesh;
    const double *at;
    pci_voxels *grid;
    uint32_t *met;      /* facets that lines along z may meet, a stretch for each slab of facets */
    size_t count[SLAB]; /* of each stretch */
} filling;

/* Of three numbers above 0: whether a whole one lies between the least and the largest. */
static bool holds_whole(double a, double b, double c) {
    double low = a < b ? a : b, high = a < b ? b : a;
    low = c < low ? c : low;
    high = c > high ? c : high;
    return (double)(size_t)high >= low;
}

/* Most facets of a fine mesh lie between the lines: they are set aside once, not in every slab. */
static pc_status pick_facets(size_t stretch, void *context) {
    filling *f = context;
    size_t n = f->mesh->facet_count, first = stretch * n / SLAB, end = (stretch + 1) * n / SLAB;
    uint32_t *met = f->met + first;
    size_t count = 0;
    for (size_t i = first; i < end; i++) {
        const uint32_t *v = f->mesh->facet + 3 * i;
        const double *a = f->at + 3 * (size_t)v[0], *b = f->at + 3 * (size_t)v[1];
        const double *c = f->at + 3 * (size_t)v[2];
        if (holds_whole(a[0], b[0], c[0]) && holds_whole(a[1], b[1], c[1]))
            met[count++] = (uint32_t)i;
    }
    f->count[stretch] = count;
    return PC_OK;
}

/* Side of the edge i-j that a point lies on, worked out alike for both facets of the edge: from
 * the lower corner to the higher. So a line of the grid never slips between two facets. */
static bool left_of(const double *a, const double *b, bool rising, double x, double y) {
    const double *p = rising ? a : b, *q = rising ? b : a;
    bool left = (q[0] - p[0]) * (y - p[1]) - (q[1] - p[1]) * (x - p[0]) >= 0.0;
    return left == rising;
}

static size_t clamp_cell(double x, size_t n) {
    return x <= 0.0 ? 0 : x >= (double)n ? n : (size_t)x;
}

/* Height of the facet's plane over (x, y), kept within the facet. */
static double height_at(const double *a, const double *b, const double *c, double x, double y) {
    double d = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    double s = ((x - a[0]) * (c[1] - a[1]) - (y - a[1]) * (c[0] - a[0])) / (d != 0.0 ? d : 1.0);
    double t = ((b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0])) / (d != 0.0 ? d : 1.0);
    double z = a[2] + s * (b[2] - a[2]) + t * (c[2] - a[2]);
    double low = fmin(a[2], fmin(b[2], c[2])), high = fmax(a[2], fmax(b[2], c[2]));
    return z >= low ? fmin(z, high) : low;
}

/* Crossings of one facet with the grid's lines along z, in the rows of a slab: a change of the
 * winding number, written where the line's cells above it begin. Sums wrap at 256. */
static void cross_facet(const filling *f, size_t facet, size_t y0, size_t y1) {
    const uint32_t *v = f->mesh->facet + 3 * facet;
    const double *p[3];
    for (int c = 0; c < 3; c++)
        p[c] = f->at + 3 * (size_t)v[c];
    double ylow = fmin(p[0][1], fmin(p[1][1], p[2][1]));
    double yhigh = fmax(p[0][1], fmax(p[1][1], p[2][1]));
    if (yhigh < (double)y0 || ylow > (double)y1)
        return;
    const pci_voxels *g = f->grid;
    size_t ya = clamp_cell(ceil(ylow), g->n[1]), yb = clamp_cell(floor(yhigh) + 1.0, g->n[1]);
    size_t xa = clamp_cell(ceil(fmin(p[0][0], fmin(p[1][0], p[2][0]))), g->n[0]);
    size_t xb = clamp_cell(floor(fmax(p[0][0], fmax(p[1][0], p[2][0]))) + 1.0, g->n[0]);
    for (size_t y = ya > y0 ? ya : y0; y < yb && y < y1; y++)
        for (size_t x = xa; x < xb; x++) {
            bool l0 = left_of(p[0], p[1], v[0] < v[1], (double)x, (double)y);
            if (l0 != left_of(p[1], p[2], v[1] < v[2], (double)x, (double)y) ||
                l0 != left_of(p[2], p[0], v[2] < v[0], (double)x, (double)y))
                continue;
            double z = height_at(p[0], p[1], p[2], (double)x, (double)y);
            size_t above = clamp_cell(floor(z) + 1.0, g->n[2] - 1);
            uint8_t *cell = &g->inside[pci_voxels_at(g, x, y, above)];
            *cell = (uint8_t)(*cell + (l0 ? 255 : 1)); /* seen from above: left is outward */
        }
}

static pc_status fill_slab(size_t slab, void *context) {
    const filling *f = context;
    pci_voxels *g = f->grid;
    size_t y0 = slab * g->n[1] / SLAB, y1 = (slab + 1) * g->n[1] / SLAB;
    for (size_t k = 0; k < SLAB; k++)
        for (size_t i = 0, first = k * f->mesh->facet_count / SLAB; i < f->count[k]; i++)
            cross_facet(f, f->met[first + i], y0, y1);
    for (size_t z = 1; z < g->n[2]; z++)
        for (size_t y = y0; y < y1; y++) {
            uint8_t *row = g->inside + pci_voxels_at(g, 0, y, z);
            const uint8_t *under = row - g->n[0] * g->n[1];
            for (size_t x = 0; x < g->n[0]; x++)
                row[x] = (uint8_t)(row[x] + under[x]);
        }
    for (size_t z = 0; z < g->n[2]; z++)
        for (size_t y = y0; y < y1; y++) {
            uint8_t *row = g->inside + pci_voxels_at(g, 0, y, z);
            for (size_t x = 0; x < g->n[0]; x++)
                row[x] = row[x] != 0;
        }
    return PC_OK;
}

pc_status pci_voxels_fill(const pc_mesh *mesh, const double *up, double h, size_t most_cells,
                          pci_voxels *grid) {
    memset(grid, 0, sizeof *grid);
    set_axes(grid, up);
    filling f = {.mesh = mesh, .grid = grid};
    double *at = turn_corners(mesh, grid);
    f.met = malloc((mesh->facet_count + 1) * sizeof *f.met);
    if (at && f.met) {
        set_size(grid, at, mesh->vertex_count, h, most_cells);
        count_in_cells(grid, at, mesh->vertex_count);
        f.at = at;
        grid->inside = calloc(grid->cells, 1);
    }
    pc_status status = grid->inside ? PC_OK : PC_E_MEMORY;
    if (status == PC_OK)
        status = pci_in_threads(pick_facets, &f, SLAB);
    if (status == PC_OK)
        status = pci_in_threads(fill_slab, &f, SLAB);
    free(f.met);
    free(at);
    return status;
}

/* Depth. The surface is sampled where it crosses the grid's lines along one axis: points whose
 * places across that axis are whole cells, so that the transform along the other two is exact.
 * Each axis has its turn, for surfaces that run along one are seldom met by its lines, and the
 * least distance counts. The nearest sample lies up to some half a cell beside the true foot: depth
 * is over by about h^2/(12 depth), which the shell's extrapolation removes. */
typedef struct sampling {
    const pc_mesh *mesh;
    const double *at;
    const pci_voxels *grid;
    int axis;    /* the lines' */
    float *site; /* offset of a crossing from its cell's centre; NAN: none */
    float *square;
} sampling;

/* As cross_facet, for lines along any axis, within a slab of the axis behind it. */
static void sample_facet(const sampling *s, size_t facet, size_t v0, size_t v1) {
    const uint32_t *c = s->mesh->facet + 3 * facet;
    const pci_voxels *g = s->grid;
    size_t iu = (size_t)(s->axis + 1) % 3, iv = (size_t)(s->axis + 2) % 3, iw = (size_t)s->axis;
    size_t stride = iw == 0 ? 1 : iw == 1 ? g->n[0] : g->n[0] * g->n[1];
    double p[3][3];
    for (int k = 0; k < 3; k++) {
        const double *x = s->at + 3 * (size_t)c[k];
        p[k][0] = x[iu];
        p[k][1] = x[iv];
        p[k][2] = x[iw];
    }
    double vlow = fmin(p[0][1], fmin(p[1][1], p[2][1]));
    double vhigh = fmax(p[0][1], fmax(p[1][1], p[2][1]));
    if (vhigh < (double)v0 || vlow > (double)v1)
        return;
    size_t va = clamp_cell(ceil(vlow), g->n[iv]), vb = clamp_cell(floor(vhigh) + 1.0, g->n[iv]);
    size_t ua = clamp_cell(ceil(fmin(p[0][0], fmin(p[1][0], p[2][0]))), g->n[iu]);
    size_t ub = clamp_cell(floor(fmax(p[0][0], fmax(p[1][0], p[2][0]))) + 1.0, g->n[iu]);
    for (size_t v = va > v0 ? va : v0; v < vb && v < v1; v++)
        for (size_t u = ua; u < ub; u++) {
            bool l0 = left_of(p[0], p[1], c[0] < c[1], (double)u, (double)v);
            if (l0 != left_of(p[1], p[2], c[1] < c[2], (double)u, (double)v) ||
                l0 != left_of(p[2], p[0], c[2] < c[0], (double)u, (double)v))
                continue;
            double w = height_at(p[0], p[1], p[2], (double)u, (double)v);
            size_t cell[3];
            cell[iu] = u;
            cell[iv] = v;
            cell[iw] = clamp_cell(floor(w), g->n[iw] - 2);
            size_t below = pci_voxels_at(g, cell[0], cell[1], cell[2]);
            if (g->inside[below] && g->inside[below + stride])
                continue; /* hidden inside another part: no surface of the cavity */
            cell[iw] = clamp_cell(floor(w + 0.5), g->n[iw] - 1);
            float *site = &s->site[pci_voxels_at(g, cell[0], cell[1], cell[2])];
            float offset = (float)(w - (double)cell[iw]);
            if (!(fabsf(*site) <= fabsf(offset)))
                *site = offset;
        }
}

static pc_status sample_slab(size_t slab, void *context) {
    const sampling *s = context;
    size_t n = s->grid->n[(s->axis + 2) % 3];
    for (size_t i = 0; i < s->mesh->facet_count; i++)
        sample_facet(s, i, slab * n / SLAB, (slab + 1) * n / SLAB);
    return PC_OK;
}

/* Squared distance along the line to its nearest site, for the lines of one layer. */
static pc_status squares_of_layer(size_t other, void *context) {
    const sampling *s = context;
    const pci_voxels *g = s->grid;
    size_t stride[3] = {1, g->n[0], g->n[0] * g->n[1]};
    size_t w = (size_t)s->axis, across = w == 0 ? 1 : 0, layer = w == 2 ? 1 : 2;
    for (size_t u = 0; u < g->n[across]; u++) {
        size_t base = other * stride[layer] + u * stride[across];
        double last = -INFINITY;
        for (size_t k = 0; k < g->n[w]; k++) {
            size_t i = base + k * stride[w];
            if (!isnan(s->site[i]))
                last = (double)k + (double)s->site[i];
            s->square[i] = (float)(((double)k - last) * ((double)k - last));
        }
        last = INFINITY;
        for (size_t k = g->n[w]; k-- > 0;) {
            size_t i = base + k * stride[w];
            if (!isnan(s->site[i]))
                last = (double)k + (double)s->site[i];
            float square = (float)(((double)k - last) * ((double)k - last));
            s->square[i] = square < s->square[i] ? square : s->square[i];
        }
    }
    return PC_OK;
}

static void keep_least(const pci_voxels *g, float *least, const float *square) {
    for (size_t i = 0; i < g->cells; i++)
        least[i] = square[i] < least[i] ? square[i] : least[i];
}

static pc_status sample_axis(sampling *s, float *least) {
    const pci_voxels *g = s->grid;
    for (size_t i = 0; i < g->cells; i++)
        s->site[i] = NAN;
    pc_status status = pci_in_threads(sample_slab, s, SLAB);
    if (status == PC_OK)
        status = pci_in_threads(squares_of_layer, s, g->n[s->axis == 2 ? 1 : 2]);
    for (int a = 1; a < 3 && status == PC_OK; a++)
        status = pci_edt_power_along(g->n, (s->axis + a) % 3, s->square);
    if (status == PC_OK)
        keep_least(g, least, s->square);
    return status;
}

pc_status pci_voxels_depth(const pc_mesh *mesh, pci_voxels *g) {
    float *least = malloc(g->cells * sizeof *least);
    sampling s = {
        mesh, NULL, g, 0, malloc(g->cells * sizeof(float)), malloc(g->cells * sizeof(float))};
    double *at = turn_corners(mesh, g);
    if (at)
        count_in_cells(g, at, mesh->vertex_count);
    s.at = at;
    pc_status status = least && at && s.site && s.square ? PC_OK : PC_E_MEMORY;
    for (size_t i = 0; i < g->cells && status == PC_OK; i++)
        least[i] = INFINITY;
    for (s.axis = 0; s.axis < 3 && status == PC_OK; s.axis++)
        status = sample_axis(&s, least);
    for (size_t i = 0; i < g->cells && status == PC_OK; i++) {
        float d = isfinite(least[i]) ? sqrtf(least[i]) : (float)PCI_VOXELS_SIDE_MOST;
        least[i] = g->inside[i] ? d : -d;
    }
    free(s.site);
    free(s.square);
    free(at);
    free(g->depth);
    g->depth = NULL;
    if (status == PC_OK)
        g->depth = least;
    else
        free(least);
    return status;
}

void pci_voxels_free(pci_voxels *grid) {
    free(grid->inside);
    free(grid->depth);
    memset(grid, 0, sizeof *grid);
}
