/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Narrow tips (opening by a ball) and necks (saddles of the depth). */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "shape/opening.h"
#include "shape/vector.h"

#define CELLS_USUAL 600000.0
#define CELLS_LEAST 1000.0
#define CELLS_MOST  64000000.0
#define NONE        UINT32_MAX
/* Cells of the ball's radius and of the wall, where there is room for so many. */
#define CELLS_A_RADIUS 5.0
#define CELLS_A_WALL   5.0
/* Beyond a ball by less than this, in cells, may come from the lattice of centers. */
#define BEYOND_LEAST 0.4f
/* A tip reaches this many ball radii beyond the ball; a box's inner corner 0.73. */
#define TIP_REACH 1.0
/* Chambers are this much wider than the neck between them. */
#define CHAMBER_RATIO 1.5
enum { LIST_MOST = 1000, BUCKETS_A_CELL = 16, BUCKETS = 16000 };

/* One connected tip, from a cell of it; its cells are wiped from beyond[]. */
static pc_tip gather_tip(pci_band *b, float *beyond, uint32_t *queue, uint32_t from,
                         double reach_least, bool *counts) {
    pc_tip tip = {{0.0, 0.0, 0.0}, 0.0, 0.0, 0.0};
    size_t head = 0, tail = 0;
    uint32_t end = from;
    float length = 0.0f;
    double width = 0.0;
    queue[tail++] = from;
    beyond[from] = -beyond[from];
    while (head < tail) {
        uint32_t i = queue[head++];
        if (-beyond[i] > length) {
            length = -beyond[i];
            end = i;
        }
        width = fmax(width, pci_band_depth(b, i));
        beyond[i] = 0.0f;
        for (int side = 0; side < 6; side++) {
            uint32_t j = pci_band_beside(b, i, side);
            if (j != PCI_NO_CELL && beyond[j] > BEYOND_LEAST) {
                beyond[j] = -beyond[j];
                queue[tail++] = j;
            }
        }
    }
    pci_band_point(b, end, tip.at_m);
    tip.length_m = (double)length * b->h;
    tip.width_m = 2.0 * width * b->h;
    tip.volume_m3 = (double)tail * b->h * b->h * b->h;
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

static pc_status find_tips(const pc_mesh *mesh, pci_band *b, double radius_m, pc_narrows *w) {
    size_t cells = b->blocks * PCI_BLOCK_CELLS;
    float *beyond = malloc((cells + 1) * sizeof *beyond);
    uint32_t *queue = malloc((cells + 1) * sizeof *queue);
    w->tip = calloc(LIST_MOST, sizeof *w->tip);
    pc_status status = beyond && queue && w->tip ? PC_OK : PC_E_MEMORY;
    if (status == PC_OK)
        status = pci_band_open(b, radius_m / b->h, beyond);
    double reach = fmax(TIP_REACH * radius_m, 2.0 * b->h);
    for (size_t i = 0; i < cells && status == PC_OK; i++) {
        if (!(beyond[i] > BEYOND_LEAST))
            continue;
        bool counts;
        pc_tip tip = gather_tip(b, beyond, queue, (uint32_t)i, reach, &counts);
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
    pci_band *b;
    uint32_t *up;    /* union-find over cells; NONE: not yet */
    double *deepest; /* of the part, at its root */
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

/* Exact depth of a point in cells, from the facets of the cells around it; negative outside. */
static double depth_at(pci_band *b, const double at[3]) {
    uint32_t cell = pci_band_cell_at(b, at);
    double foot[3];
    if (cell == PCI_NO_CELL || !pci_band_inside(b, cell))
        return -1.0;
    double least = pci_band_distance(b, cell, at, foot);
    for (int side = 0; side < 6; side++) {
        uint32_t to = pci_band_beside(b, cell, side);
        if (to != PCI_NO_CELL)
            least = fmin(least, pci_band_distance(b, to, at, foot));
    }
    return least;
}

/* From the saddle a few cells up into a chamber: the deepest neighbor again and again. */
static void climb(flood *f, uint32_t cell, uint32_t chamber, double at[3]) {
    enum { STEPS = 4 };
    for (int n = 0; n < STEPS; n++) {
        uint32_t best = cell;
        for (int i = 0; i < 27; i++) {
            const int step[3] = {i % 3 - 1, i / 3 % 3 - 1, i / 9 - 1};
            uint32_t j = pci_band_near(f->b, cell, step);
            if (j != PCI_NO_CELL && f->up[j] != NONE && root_of(f->up, j) == chamber &&
                (best == cell || pci_band_depth(f->b, j) > pci_band_depth(f->b, best)))
                best = j;
        }
        if (best == cell)
            break;
        cell = best;
    }
    size_t place[3];
    pci_band_place(f->b, cell, place);
    for (int a = 0; a < 3; a++)
        at[a] = (double)place[a];
}

/* The deepest point of the plane through `at` square to t, within two cells. */
static double deepest_across(pci_band *b, double at[3], const double e[2][3]) {
    double best = depth_at(b, at), moved = 0.0;
    for (double step = 0.5; step > 0.05; step /= 2.0)
        for (int side = 0; side < 4 && moved < 2.0; side++) {
            double try[3];
            for (int a = 0; a < 3; a++)
                try[a] = at[a] + (side < 2 ? step : -step) * e[side % 2][a];
            double d = depth_at(b, try);
            if (!(d > best))
                continue;
            best = d;
            moved += step;
            memcpy(at, try, sizeof try);
            side = -1;
        }
    return best;
}

/* The saddle itself, which lies between the centers of the cells: of the planes across the way from
 * one chamber to the other, the one whose deepest point is the least deep. */
static double refine_saddle(flood *f, uint32_t cell, const uint32_t chamber[2], double at[3]) {
    double to[2][3], e[2][3], t[3], axis[3] = {0.0, 0.0, 0.0}, least = INFINITY;
    size_t place[3];
    pci_band_place(f->b, cell, place);
    for (int k = 0; k < 2; k++)
        climb(f, cell, chamber[k], to[k]);
    pci_minus(to[1], to[0], t);
    double length = pci_length(t);
    if (!(length > 0.0))
        return pci_band_depth(f->b, cell);
    int small = 0;
    for (int a = 0; a < 3; a++) {
        t[a] /= length;
        small = fabs(t[a]) < fabs(t[small]) ? a : small;
    }
    axis[small] = 1.0;
    pci_cross(t, axis, e[0]);
    length = pci_length(e[0]);
    for (int a = 0; a < 3; a++)
        e[0][a] /= length;
    pci_cross(t, e[0], e[1]);
    for (int s = -6; s <= 6; s++) {
        double x[3];
        for (int a = 0; a < 3; a++)
            x[a] = (double)place[a] + 0.25 * s * t[a];
        double d = deepest_across(f->b, x, (const double(*)[3])e);
        if (d > 0.0 && d < least) {
            least = d;
            memcpy(at, x, sizeof x);
        }
    }
    return fmax(least < (double)INFINITY ? least : 0.0, pci_band_depth(f->b, cell));
}

static void add_neck(flood *f, uint32_t i, uint32_t young, uint32_t old) {
    double d = pci_band_depth(f->b, i), h = f->b->h;
    double shallow = f->deepest[young], deep = f->deepest[old], at[3];
    if (!(2.0 * d * h < 4.0 * f->wall_m) || !(shallow >= CHAMBER_RATIO * d) ||
        !(shallow - d >= 1.0) || f->w->neck_count == LIST_MOST)
        return;
    const uint32_t chamber[2] = {young, old};
    size_t place[3];
    pci_band_place(f->b, i, place);
    for (int a = 0; a < 3; a++)
        at[a] = (double)place[a];
    d = refine_saddle(f, i, chamber, at);
    if (!(2.0 * d * h < 4.0 * f->wall_m) || !(shallow >= CHAMBER_RATIO * d))
        return;
    pc_neck *neck = &f->w->neck[f->w->neck_count++];
    for (int a = 0; a < 3; a++)
        neck->at_m[a] = f->b->low[a] + h * at[a];
    neck->width_m = 2.0 * d * h;
    neck->chamber_m[0] = 2.0 * deep * h;
    neck->chamber_m[1] = 2.0 * shallow * h;
}

static void flood_cell(flood *f, uint32_t i) {
    f->up[i] = i;
    f->deepest[i] = pci_band_depth(f->b, i);
    for (int n = 0; n < 27; n++) {
        const int step[3] = {n % 3 - 1, n / 3 % 3 - 1, n / 9 - 1};
        uint32_t j = pci_band_near(f->b, i, step);
        if (j == i || j == PCI_NO_CELL || f->up[j] == NONE)
            continue;
        uint32_t a = root_of(f->up, i), b = root_of(f->up, j);
        if (a == b)
            continue;
        bool b_deeper = f->deepest[b] > f->deepest[a];
        uint32_t old = b_deeper ? b : a, young = b_deeper ? a : b;
        add_neck(f, i, young, old);
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
static size_t sort_by_depth(const pci_band *b, uint32_t *order, size_t *start) {
    size_t count = 0;
    for (int pass = 0; pass < 2; pass++) {
        for (size_t i = 0; i < b->blocks * PCI_BLOCK_CELLS; i++) {
            double d = pci_band_depth(b, (uint32_t)i);
            if (!pci_band_inside(b, (uint32_t)i) || !(d < (double)INFINITY))
                continue;
            size_t k = (size_t)fmin(d * BUCKETS_A_CELL, BUCKETS - 1);
            k = BUCKETS - 1 - k;
            if (pass == 0) {
                start[k + 1]++;
                count++;
            } else {
                order[start[k]++] = (uint32_t)i;
            }
        }
        for (size_t k = 1; pass == 0 && k <= BUCKETS; k++)
            start[k] += start[k - 1];
    }
    return count;
}

static pc_status find_necks(pci_band *b, double wall_m, pc_narrows *w) {
    size_t cells = b->blocks * PCI_BLOCK_CELLS;
    flood f = {b, malloc((cells + 1) * sizeof *f.up), malloc((cells + 1) * sizeof *f.deepest), w,
               wall_m};
    uint32_t *order = malloc((cells + 1) * sizeof *order);
    size_t *start = calloc(BUCKETS + 2, sizeof *start);
    w->neck = calloc(LIST_MOST, sizeof *w->neck);
    pc_status status = f.up && f.deepest && order && start && w->neck ? PC_OK : PC_E_MEMORY;
    if (status == PC_OK) {
        size_t count = sort_by_depth(b, order, start);
        for (size_t i = 0; i < cells; i++)
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
    double cells =
        most_cells == 0 ? CELLS_USUAL : fmin(fmax((double)most_cells, CELLS_LEAST), CELLS_MOST);
    pci_band b;
    pc_status status = PC_OK;
    if (bore_m > 0.0) {
        double radius_m = 0.5 * bore_m, h = radius_m / CELLS_A_RADIUS;
        h = fmax(h, pci_band_cell(mesh, radius_m + 2.0 * h, cells));
        status = pci_band_make(mesh, h, radius_m + 2.0 * h, cells, &b);
        narrows->cell_m = b.h;
        if (status == PC_OK)
            status = find_tips(mesh, &b, radius_m, narrows);
        pci_band_free(&b);
    }
    if (wall_m > 0.0 && status == PC_OK) {
        double h = fmax(wall_m / CELLS_A_WALL, pci_band_cell(mesh, INFINITY, cells));
        status = pci_band_make(mesh, h, INFINITY, cells, &b);
        narrows->cell_m = fmax(narrows->cell_m, b.h);
        if (status == PC_OK)
            status = find_necks(&b, wall_m, narrows);
        pci_band_free(&b);
    }
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
