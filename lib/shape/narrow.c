/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Narrow tips (opening by a ball) and necks (saddles of the depth). */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "shape/edt.h"
#include "shape/vector.h"
#include "shape/voxels.h"

#define CELLS_NARROW ((size_t)4000000)
#define CELLS_BOUND  ((size_t)64000000)
#define NONE         UINT32_MAX
/* A tip reaches this many ball radii beyond the ball; a box's inner corner 0.73. */
#define TIP_REACH 1.0
/* Chambers are this much wider than the neck between them. */
#define CHAMBER_RATIO 1.5
enum { LIST_MOST = 1000, BUCKETS_A_CELL = 16 };

static const int face[6][3] = {{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}};

static void place_of(const pci_voxels *g, size_t i, double cell[3]) {
    cell[0] = (double)(i % g->n[0]);
    cell[1] = (double)(i / g->n[0] % g->n[1]);
    cell[2] = (double)(i / (g->n[0] * g->n[1]));
}

/* The grid is padded, so that a cell inside has all its neighbours. */
static size_t neighbour(const pci_voxels *g, size_t i, const int d[3]) {
    ptrdiff_t nx = (ptrdiff_t)g->n[0], ny = (ptrdiff_t)g->n[1];
    return (size_t)((ptrdiff_t)i + d[0] + nx * (d[1] + ny * d[2]));
}

/* How far each cell inside lies beyond the nearest ball, in cells, in beyond[]. */
static pc_status open_by_ball(const pci_voxels *g, double r, float *beyond) {
    for (size_t i = 0; i < g->cells; i++)
        beyond[i] = (double)g->depth[i] >= r ? -g->depth[i] * g->depth[i] : INFINITY;
    pc_status status = pci_edt_power(g->n, beyond);
    for (size_t i = 0; i < g->cells; i++) {
        double p = (double)beyond[i];
        beyond[i] = !g->inside[i] ? 0.0f
                    : isfinite(p) ? (float)(sqrt(fmax(p + r * r, 0.0)) - r)
                                  : (float)PCI_VOXELS_SIDE_MOST;
    }
    return status;
}

/* One connected tip, from a cell of it; its cells are wiped from beyond[]. */
static pc_tip gather_tip(const pci_voxels *g, float *beyond, uint32_t *queue, size_t from,
                         double reach_least, bool *counts) {
    pc_tip tip = {{0.0, 0.0, 0.0}, 0.0, 0.0, 0.0};
    size_t head = 0, tail = 0, end = from;
    float length = 0.0f, width = 0.0f;
    queue[tail++] = (uint32_t)from;
    beyond[from] = -beyond[from];
    while (head < tail) {
        size_t i = queue[head++];
        if (-beyond[i] > length) {
            length = -beyond[i];
            end = i;
        }
        width = g->depth[i] > width ? g->depth[i] : width;
        beyond[i] = 0.0f;
        for (int f = 0; f < 6; f++) {
            size_t j = neighbour(g, i, face[f]);
            if (beyond[j] > 0.4f) {
                beyond[j] = -beyond[j];
                queue[tail++] = (uint32_t)j;
            }
        }
    }
    double cell[3];
    place_of(g, end, cell);
    pci_voxels_point(g, cell, tip.at_m);
    tip.length_m = (double)length * g->h;
    tip.width_m = 2.0 * (double)width * g->h;
    tip.volume_m3 = (double)tail * g->h * g->h * g->h;
    *counts = tip.length_m >= reach_least;
    return tip;
}

static int by_length(const void *a, const void *b) {
    const pc_tip *s = a, *t = b;
    if (s->length_m != t->length_m)
        return s->length_m > t->length_m ? -1 : 1;
    for (int i = 0; i < 3; i++)
        if (s->at_m[i] != t->at_m[i])
            return s->at_m[i] < t->at_m[i] ? -1 : 1;
    return 0;
}

/* Where no ball enters at all the tip is the whole cavity: its size stands for the length. */
static void cap_lengths(const pc_mesh *mesh, pc_narrows *w) {
    double size[3];
    pci_minus(mesh->report.high_m, mesh->report.low_m, size);
    for (size_t i = 0; i < w->tip_count; i++)
        w->tip[i].length_m = fmin(w->tip[i].length_m, pci_length(size));
}

static pc_status find_tips(const pc_mesh *mesh, const pci_voxels *g, double radius_m,
                           pc_narrows *w) {
    float *beyond = malloc(g->cells * sizeof *beyond);
    uint32_t *queue = malloc(g->cells * sizeof *queue);
    w->tip = calloc(LIST_MOST, sizeof *w->tip);
    pc_status status = beyond && queue && w->tip ? PC_OK : PC_E_MEMORY;
    if (status == PC_OK)
        status = open_by_ball(g, radius_m / g->h, beyond);
    for (size_t i = 0; i < g->cells && status == PC_OK; i++) {
        if (!(beyond[i] > 0.4f))
            continue;
        bool counts;
        pc_tip tip =
            gather_tip(g, beyond, queue, i, fmax(TIP_REACH * radius_m, 2.0 * g->h), &counts);
        if (counts && w->tip_count < LIST_MOST)
            w->tip[w->tip_count++] = tip;
    }
    free(beyond);
    free(queue);
    if (status != PC_OK)
        return status;
    cap_lengths(mesh, w);
    qsort(w->tip, w->tip_count, sizeof *w->tip, by_length);
    return PC_OK;
}

typedef struct flood {
    const pci_voxels *g;
    uint32_t *up;   /* union-find over cells; NONE: not yet */
    float *deepest; /* of the part, at its root */
    pc_narrows *w;
    double wall_m;
} flood;

static uint32_t root_of(uint32_t *up, uint32_t i) {
    while (up[i] != i) {
        up[i] = up[up[i]];
        i = up[i];
    }
    return i;
}

static void tell_neck(flood *f, size_t i, double shallow, double deep) {
    double d = (double)f->g->depth[i], width = 2.0 * d * f->g->h;
    if (!(width < 4.0 * f->wall_m) || !(shallow >= CHAMBER_RATIO * d) || !(shallow - d >= 1.0) ||
        f->w->neck_count == LIST_MOST)
        return;
    pc_neck *neck = &f->w->neck[f->w->neck_count++];
    double cell[3];
    place_of(f->g, i, cell);
    pci_voxels_point(f->g, cell, neck->at_m);
    neck->width_m = width;
    neck->chamber_m[0] = 2.0 * deep * f->g->h;
    neck->chamber_m[1] = 2.0 * shallow * f->g->h;
}

static void flood_cell(flood *f, size_t i) {
    f->up[i] = (uint32_t)i;
    f->deepest[i] = f->g->depth[i];
    for (int n = 0; n < 27; n++) {
        const int d[3] = {n % 3 - 1, n / 3 % 3 - 1, n / 9 - 1};
        size_t j = neighbour(f->g, i, d);
        if (j == i || f->up[j] == NONE)
            continue;
        uint32_t a = root_of(f->up, (uint32_t)i), b = root_of(f->up, (uint32_t)j);
        if (a == b)
            continue;
        bool b_deeper = f->deepest[b] > f->deepest[a];
        uint32_t old = b_deeper ? b : a, young = b_deeper ? a : b;
        tell_neck(f, i, (double)f->deepest[young], (double)f->deepest[old]);
        f->up[young] = old;
    }
}

static int by_width(const void *a, const void *b) {
    const pc_neck *s = a, *t = b;
    if (s->width_m != t->width_m)
        return s->width_m < t->width_m ? -1 : 1;
    for (int i = 0; i < 3; i++)
        if (s->at_m[i] != t->at_m[i])
            return s->at_m[i] < t->at_m[i] ? -1 : 1;
    return 0;
}

/* Cells inside, deepest first, by a counting sort on their depth in sixteenths of a cell. */
static size_t sort_by_depth(const pci_voxels *g, uint32_t *order, size_t *start, size_t buckets) {
    size_t count = 0;
    for (int pass = 0; pass < 2; pass++) {
        for (size_t i = 0; i < g->cells; i++) {
            if (!g->inside[i])
                continue;
            size_t b = (size_t)((double)g->depth[i] * BUCKETS_A_CELL);
            b = buckets - 1 - (b < buckets ? b : buckets - 1);
            if (pass == 0) {
                start[b + 1]++;
                count++;
            } else {
                order[start[b]++] = (uint32_t)i;
            }
        }
        for (size_t b = 1; pass == 0 && b <= buckets; b++)
            start[b] += start[b - 1];
    }
    return count;
}

static pc_status find_necks(const pci_voxels *g, double wall_m, pc_narrows *w) {
    size_t buckets = (size_t)PCI_VOXELS_SIDE_MOST * BUCKETS_A_CELL;
    flood f = {g, malloc(g->cells * sizeof(uint32_t)), malloc(g->cells * sizeof(float)), w, wall_m};
    uint32_t *order = malloc(g->cells * sizeof *order);
    size_t *start = calloc(buckets + 2, sizeof *start);
    w->neck = calloc(LIST_MOST, sizeof *w->neck);
    pc_status status = f.up && f.deepest && order && start && w->neck ? PC_OK : PC_E_MEMORY;
    if (status == PC_OK) {
        size_t count = sort_by_depth(g, order, start, buckets);
        for (size_t i = 0; i < g->cells; i++)
            f.up[i] = NONE;
        for (size_t k = 0; k < count; k++)
            flood_cell(&f, order[k]);
        qsort(w->neck, w->neck_count, sizeof *w->neck, by_width);
    }
    free(f.up);
    free(f.deepest);
    free(order);
    free(start);
    return status;
}

pc_status pc_mesh_narrows(const pc_mesh *mesh, double bore_m, double wall_m, size_t most_cells,
                          pc_narrows *narrows) {
    if (!narrows)
        return PC_E_ARGUMENT;
    memset(narrows, 0, sizeof *narrows);
    if (!mesh || !mesh->report.closed || !(bore_m >= 0.0 && isfinite(bore_m)) ||
        !(wall_m >= 0.0 && isfinite(wall_m)))
        return PC_E_ARGUMENT;
    if (most_cells == 0)
        most_cells = CELLS_NARROW;
    most_cells = most_cells > CELLS_BOUND ? CELLS_BOUND : most_cells < 1000 ? 1000 : most_cells;
    double h = INFINITY;
    if (bore_m > 0.0)
        h = bore_m / 10.0;
    if (wall_m > 0.0)
        h = fmin(h, wall_m / 8.0);
    if (!isfinite(h))
        return PC_OK;
    pci_voxels g;
    pc_status status = pci_voxels_fill(mesh, NULL, h, most_cells, &g);
    if (status == PC_OK)
        status = pci_voxels_depth(mesh, &g);
    narrows->cell_m = g.h;
    if (status == PC_OK && bore_m > 0.0)
        status = find_tips(mesh, &g, 0.5 * bore_m, narrows);
    if (status == PC_OK && wall_m > 0.0)
        status = find_necks(&g, wall_m, narrows);
    pci_voxels_free(&g);
    if (status != PC_OK)
        pc_narrows_free(narrows);
    return status;
}

void pc_narrows_free(pc_narrows *narrows) {
    if (!narrows)
        return;
    free(narrows->tip);
    free(narrows->neck);
    memset(narrows, 0, sizeof *narrows);
}
