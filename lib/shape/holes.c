/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "shape/holes.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "shape/vector.h"

/* A facet's side, by its ends. */
typedef struct end_pair {
    uint32_t low, high, from, to;
} end_pair;

static int by_ends(const void *a, const void *b) {
    const end_pair *s = a, *t = b;
    if (s->low != t->low)
        return s->low < t->low ? -1 : 1;
    return s->high < t->high ? -1 : s->high > t->high;
}

/* Sides that have no other between the same corners, turned round: as a facet in the hole has them.
 * Returns how many; they are moved to the front. */
static size_t pick_open(end_pair *side, size_t count) {
    size_t open = 0;
    for (size_t i = 0, end; i < count; i = end) {
        for (end = i + 1; end < count && by_ends(&side[i], &side[end]) == 0; end++)
            ;
        if (end - i == 1)
            side[open++] = (end_pair){side[i].low, side[i].high, side[i].to, side[i].from};
    }
    return open;
}

static int by_from(const void *a, const void *b) {
    const end_pair *s = a, *t = b;
    if (s->from != t->from)
        return s->from < t->from ? -1 : 1;
    return s->to < t->to ? -1 : s->to > t->to;
}

/* An unused side that leaves a corner; SIZE_MAX: there is none. */
static size_t side_from(const end_pair *side, const bool *used, size_t count, uint32_t from) {
    size_t low = 0, high = count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (side[middle].from < from)
            low = middle + 1;
        else
            high = middle;
    }
    while (low < count && side[low].from == from && used[low])
        low++;
    return low < count && side[low].from == from ? low : SIZE_MAX;
}

static void measure_hole(const pc_mesh *mesh, const uint32_t *corner, pci_hole *hole) {
    double vector[3] = {0.0, 0.0, 0.0}, low[3], high[3];
    const double *o = mesh->vertex + 3 * (size_t)corner[0];
    memcpy(low, o, sizeof low);
    memcpy(high, o, sizeof high);
    for (size_t i = 1; i < hole->corners; i++) {
        const double *p = mesh->vertex + 3 * (size_t)corner[i];
        double u[3], v[3], n[3];
        for (int a = 0; a < 3; a++) {
            low[a] = fmin(low[a], p[a]);
            high[a] = fmax(high[a], p[a]);
        }
        if (i + 1 == hole->corners)
            break;
        pci_minus(p, o, u);
        pci_minus(mesh->vertex + 3 * (size_t)corner[i + 1], o, v);
        pci_cross(u, v, n);
        for (int a = 0; a < 3; a++)
            vector[a] += 0.5 * n[a];
    }
    hole->area_m2 = pci_length(vector);
    hole->across_m = fmax(high[0] - low[0], fmax(high[1] - low[1], high[2] - low[2]));
}

/* Walks from side to side until it is back; what does not come back is no ring. A corner met twice
 * on the way cuts the ring off there. */
static bool walk_ring(const end_pair *side, bool *used, size_t count, size_t first, uint32_t *ring,
                      size_t *corners) {
    size_t n = 0;
    for (size_t i = first; i != SIZE_MAX && n < count;
         i = side_from(side, used, count, side[i].to)) {
        used[i] = true;
        ring[n++] = side[i].from;
        if (side[i].to == side[first].from) {
            *corners = n;
            return n >= 3;
        }
    }
    return false;
}

static int by_area(const void *a, const void *b) {
    const pci_hole *s = a, *t = b;
    if (s->area_m2 != t->area_m2)
        return s->area_m2 > t->area_m2 ? -1 : 1;
    return s->first < t->first ? -1 : s->first > t->first;
}

static pc_status walk_all(const pc_mesh *mesh, end_pair *side, size_t count, pci_holes *holes) {
    bool *used = calloc(count + 1, sizeof *used);
    holes->corner = malloc((count + 1) * sizeof *holes->corner);
    holes->hole = malloc((count / 3 + 1) * sizeof *holes->hole);
    if (!used || !holes->corner || !holes->hole) {
        free(used);
        return PC_E_MEMORY;
    }
    qsort(side, count, sizeof *side, by_from);
    size_t filled = 0;
    for (size_t i = 0; i < count; i++) {
        pci_hole hole = {.first = filled};
        if (used[i] || !walk_ring(side, used, count, i, holes->corner + filled, &hole.corners))
            continue;
        measure_hole(mesh, holes->corner + filled, &hole);
        holes->hole[holes->count++] = hole;
        filled += hole.corners;
    }
    qsort(holes->hole, holes->count, sizeof *holes->hole, by_area);
    free(used);
    return PC_OK;
}

static uint64_t mix(uint32_t corner) {
    uint64_t h = ((uint64_t)corner + 1) * 0x9E3779B97F4A7C15u;
    return (h ^ (h >> 32)) * 0xD6E8FEB86659FD93u;
}

/* Sides between corners at which something is open: where all is closed every neighbor of a corner
 * is met twice, and their marks cancel out. *side to be freed; SIZE_MAX: memory fails. */
static size_t pick_likely(const pc_mesh *mesh, end_pair **side) {
    uint64_t *mark = calloc(mesh->vertex_count + 1, sizeof *mark);
    size_t n = 3 * mesh->facet_count, likely = 0;
    *side = NULL;
    for (int pass = 0; mark && pass < 3; pass++) {
        size_t at = 0;
        if (pass == 2 && !(*side = malloc((likely + 1) * sizeof **side)))
            break;
        for (size_t i = 0; i < n; i++) {
            uint32_t a = mesh->facet[i], b = mesh->facet[i / 3 * 3 + (i % 3 + 1) % 3];
            if (pass == 0) {
                mark[a] ^= mix(b);
                mark[b] ^= mix(a);
            } else if (mark[a] && mark[b]) {
                if (pass == 2)
                    (*side)[at] = (end_pair){a < b ? a : b, a < b ? b : a, a, b};
                at++;
            }
        }
        likely = at;
    }
    free(mark);
    return *side ? likely : SIZE_MAX;
}

pc_status pci_holes_find(const pc_mesh *mesh, pci_holes *holes) {
    memset(holes, 0, sizeof *holes);
    end_pair *side;
    size_t count = pick_likely(mesh, &side);
    if (count == SIZE_MAX)
        return PC_E_MEMORY;
    qsort(side, count, sizeof *side, by_ends);
    pc_status status = walk_all(mesh, side, pick_open(side, count), holes);
    free(side);
    return status;
}

void pci_holes_free(pci_holes *holes) {
    free(holes->hole);
    free(holes->corner);
    memset(holes, 0, sizeof *holes);
}

pc_status pci_hole_fill(pci_builder *b, const pci_holes *holes, const pci_hole *hole) {
    return pci_builder_polygon(b, holes->corner + hole->first, hole->corners, 0);
}
