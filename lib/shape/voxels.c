/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "shape/voxels.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "shape/crossing.h"
#include "shape/vector.h"
#include "solve/threads.h"

enum { PAD = 2, SLAB = 8, SIDE_MOST = PCI_VOXELS_SIDE_MOST };

/* Where the first cell's center stands before the box: odd shares of a cell, so that corners and
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
        if (n > SIDE_MOST)
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
        if (pci_spans_whole(a[0], b[0], c[0]) && pci_spans_whole(a[1], b[1], c[1]))
            met[count++] = (uint32_t)i;
    }
    f->count[stretch] = count;
    return PC_OK;
}

/* A change of the winding number, written where the line's cells above it begin. Sums wrap at
 * 256. */
static bool mark_crossing(const pci_crossing *c, void *context) {
    pci_voxels *g = context;
    size_t above = pci_clamp_cell(floor(c->w) + 1.0, g->n[2] - 1);
    uint8_t *cell = &g->inside[pci_voxels_at(g, c->u, c->v, above)];
    *cell = (uint8_t)(*cell + (uint8_t)c->change);
    return true;
}

static pc_status fill_slab(size_t slab, void *context) {
    const filling *f = context;
    pci_voxels *g = f->grid;
    size_t y0 = slab * g->n[1] / SLAB, y1 = (slab + 1) * g->n[1] / SLAB;
    for (size_t k = 0; k < SLAB; k++)
        for (size_t i = 0, first = k * f->mesh->facet_count / SLAB; i < f->count[k]; i++)
            pci_facet_crossings(f->at, f->mesh->facet + 3 * (size_t)f->met[first + i], 2, g->n, y0,
                                y1, mark_crossing, g);
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

void pci_voxels_free(pci_voxels *grid) {
    free(grid->inside);
    memset(grid, 0, sizeof *grid);
}
