/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The builder: corners joined by hash as they come, polygons cut into triangles. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/grow.h"
#include "base/try.h"
#include "shape/mesh_build.h"

enum { REENTRANT_MOST = 1000 };

void pci_builder_free(pci_builder *b) {
    free(b->vertex);
    free(b->facet);
    free(b->slot);
    b->vertex = NULL;
    b->facet = NULL;
    b->slot = NULL;
}

static pc_status no_memory(const pci_builder *b) {
    return pc_errors_add(b->errors, PC_E_MEMORY, (pc_place){.file = b->name}, "out of memory");
}

static size_t hash3(const double xyz[3]) {
    uint64_t w[3];
    memcpy(w, xyz, sizeof w);
    uint64_t h = w[0] * 0x9E3779B97F4A7C15u;
    h = (h ^ (h >> 29) ^ w[1]) * 0xBF58476D1CE4E5B9u;
    h = (h ^ (h >> 32) ^ w[2]) * 0x94D049BB133111EBu;
    return (size_t)(h ^ (h >> 31));
}

static bool grow_slots(pci_builder *b) {
    size_t slots = b->slots ? 2 * b->slots : 1024;
    uint32_t *slot = calloc(slots, sizeof *slot);
    if (!slot)
        return false;
    for (size_t v = 0; v < b->vertices; v++) {
        size_t i = hash3(b->vertex + 3 * v) & (slots - 1);
        while (slot[i])
            i = (i + 1) & (slots - 1);
        slot[i] = (uint32_t)v + 1;
    }
    free(b->slot);
    b->slot = slot;
    b->slots = slots;
    return true;
}

pc_status pci_builder_vertex(pci_builder *b, const double xyz[3], uint32_t *number) {
    /* Adding 0 makes -0 equal to 0 bit by bit. */
    const double key[3] = {xyz[0] + 0.0, xyz[1] + 0.0, xyz[2] + 0.0};
    if (b->vertices * 10 >= b->slots * 6 && !grow_slots(b))
        return no_memory(b);
    size_t i = hash3(key) & (b->slots - 1);
    for (; b->slot[i]; i = (i + 1) & (b->slots - 1)) {
        uint32_t v = b->slot[i] - 1;
        if (!memcmp(b->vertex + 3 * (size_t)v, key, sizeof key)) {
            *number = v;
            return PC_OK;
        }
    }
    double *more = pci_grown(b->vertex, b->vertices, &b->vertex_room, 3 * sizeof *more);
    if (!more)
        return no_memory(b);
    b->vertex = more;
    if (b->vertices >= PCI_MESH_FACETS_MOST)
        return pc_errors_add(b->errors, PC_E_SIZE, (pc_place){.file = b->name},
                             "more than 2147483648 corners");
    *number = (uint32_t)b->vertices;
    memcpy(b->vertex + 3 * b->vertices, key, sizeof key);
    b->slot[i] = (uint32_t)++b->vertices;
    return PC_OK;
}

pc_status pci_builder_facet(pci_builder *b, uint32_t i, uint32_t j, uint32_t k) {
    if (i == j || j == k || k == i) {
        b->degenerate++;
        return PC_OK;
    }
    if (b->facets >= PCI_MESH_FACETS_MOST)
        return pc_errors_add(b->errors, PC_E_SIZE, (pc_place){.file = b->name},
                             "more than 2147483648 facets");
    uint32_t *more = pci_grown(b->facet, b->facets, &b->facet_room, 3 * sizeof *more);
    if (!more)
        return no_memory(b);
    b->facet = more;
    uint32_t *f = b->facet + 3 * b->facets++;
    f[0] = i;
    f[1] = j;
    f[2] = k;
    return PC_OK;
}

/* The polygon laid flat on the axis plane it faces most. */
typedef struct flat_polygon {
    const pci_builder *b;
    const uint32_t *corner;
    int u, v;    /* axes kept */
    double sign; /* so that it runs counter-clockwise */
} flat_polygon;

static double turn(const flat_polygon *f, size_t i, size_t j, size_t k) {
    const double *p = f->b->vertex + 3 * (size_t)f->corner[i];
    const double *q = f->b->vertex + 3 * (size_t)f->corner[j];
    const double *r = f->b->vertex + 3 * (size_t)f->corner[k];
    return f->sign *
           ((q[f->u] - p[f->u]) * (r[f->v] - p[f->v]) - (q[f->v] - p[f->v]) * (r[f->u] - p[f->u]));
}

static flat_polygon lay_flat(const pci_builder *b, const uint32_t *corner, size_t n) {
    double normal[3] = {0.0, 0.0, 0.0};
    const double *o = b->vertex + 3 * (size_t)corner[0];
    for (size_t i = 1; i + 1 < n; i++) {
        const double *p = b->vertex + 3 * (size_t)corner[i];
        const double *q = b->vertex + 3 * (size_t)corner[i + 1];
        for (int a = 0; a < 3; a++) {
            int c = (a + 1) % 3, d = (a + 2) % 3;
            normal[a] += (p[c] - o[c]) * (q[d] - o[d]) - (p[d] - o[d]) * (q[c] - o[c]);
        }
    }
    int most = 0;
    for (int a = 1; a < 3; a++)
        if (fabs(normal[a]) > fabs(normal[most]))
            most = a;
    return (flat_polygon){b, corner, (most + 1) % 3, (most + 2) % 3,
                          normal[most] < 0.0 ? -1.0 : 1.0};
}

static bool is_convex(const flat_polygon *f, size_t n) {
    for (size_t i = 0; i < n; i++)
        if (turn(f, i, (i + 1) % n, (i + 2) % n) < 0.0)
            return false;
    return true;
}

/* Whether the corner at `at` of the ring can be cut off: it is convex, with no other inside. */
static bool is_ear(const flat_polygon *f, const size_t *ring, size_t n, size_t at) {
    size_t i = ring[(at + n - 1) % n], j = ring[at], k = ring[(at + 1) % n];
    if (!(turn(f, i, j, k) > 0.0))
        return false;
    for (size_t m = 0; m < n; m++) {
        size_t x = ring[m];
        if (f->corner[x] == f->corner[i] || f->corner[x] == f->corner[j] ||
            f->corner[x] == f->corner[k])
            continue;
        if (turn(f, i, j, x) >= 0.0 && turn(f, j, k, x) >= 0.0 && turn(f, k, i, x) >= 0.0)
            return false;
    }
    return true;
}

static pc_status cut_ears(pci_builder *b, const flat_polygon *f, size_t n) {
    size_t ring[REENTRANT_MOST];
    for (size_t i = 0; i < n; i++)
        ring[i] = i;
    while (n > 3) {
        size_t at = 0;
        while (at < n && !is_ear(f, ring, n, at))
            at++;
        at %= n; /* a polygon that crosses itself has no ear: cut any corner, the sum stays right */
        PCI_TRY(pci_builder_facet(b, f->corner[ring[(at + n - 1) % n]], f->corner[ring[at]],
                                  f->corner[ring[(at + 1) % n]]));
        memmove(ring + at, ring + at + 1, (n - at - 1) * sizeof ring[0]);
        n--;
    }
    return pci_builder_facet(b, f->corner[ring[0]], f->corner[ring[1]], f->corner[ring[2]]);
}

pc_status pci_builder_polygon(pci_builder *b, const uint32_t *corner, size_t n, long line) {
    if (n == 3)
        return pci_builder_facet(b, corner[0], corner[1], corner[2]);
    flat_polygon flat = lay_flat(b, corner, n);
    if (!is_convex(&flat, n)) {
        if (n > REENTRANT_MOST)
            return pc_errors_add(b->errors, PC_E_VALUE, (pc_place){.file = b->name, .line = line},
                                 "a polygon of %zu corners that is not convex: cut the mesh into "
                                 "triangles first",
                                 n);
        return cut_ears(b, &flat, n);
    }
    pc_status status = PC_OK;
    for (size_t i = 1; i + 1 < n && status == PC_OK; i++)
        status = pci_builder_facet(b, corner[0], corner[i], corner[i + 1]);
    return status;
}

/* A facet begun at its lowest corner. */
static void begin_lowest(const uint32_t *f, uint32_t out[3]) {
    int low = f[0] < f[1] ? (f[0] < f[2] ? 0 : 2) : (f[1] < f[2] ? 1 : 2);
    for (int c = 0; c < 3; c++)
        out[c] = f[(low + c) % 3];
}

static size_t hash_facet(const uint32_t f[3]) {
    uint64_t h = ((uint64_t)f[0] << 32 | f[1]) * 0x9E3779B97F4A7C15u;
    h = (h ^ (h >> 29) ^ f[2]) * 0xBF58476D1CE4E5B9u;
    return (size_t)(h ^ (h >> 31));
}

pc_status pci_builder_drop_doubles(pci_builder *b) {
    size_t slots = 1024, kept = 0;
    while (slots < 2 * b->facets)
        slots *= 2;
    uint32_t *slot = calloc(slots, sizeof *slot);
    if (!slot)
        return no_memory(b);
    for (size_t f = 0; f < b->facets; f++) {
        uint32_t now[3], other[3] = {0, 0, 0};
        begin_lowest(b->facet + 3 * f, now);
        size_t i = hash_facet(now) & (slots - 1);
        for (; slot[i]; i = (i + 1) & (slots - 1)) {
            begin_lowest(b->facet + 3 * (size_t)(slot[i] - 1), other);
            if (memcmp(now, other, sizeof now) == 0)
                break;
        }
        if (slot[i]) {
            b->doubled++;
            continue;
        }
        memmove(b->facet + 3 * kept, b->facet + 3 * f, sizeof now);
        slot[i] = (uint32_t)++kept;
    }
    b->facets = kept;
    free(slot);
    return PC_OK;
}

/* Nearby corners: the first one seen in each cell of 2 x within stands for those that lie within
 * `within` of it, found through the 27 cells round. */
typedef struct weld_grid {
    pci_builder *b;
    double cell, within;
    uint32_t *slot;
    size_t slots;
} weld_grid;

static size_t weld_slot(const weld_grid *g, const double c[3]) {
    return hash3(c) & (g->slots - 1);
}

static uint32_t weld_find(const weld_grid *g, const double *p, const uint32_t *to) {
    for (int n = 0; n < 27; n++) {
        double c[3];
        for (int a = 0, m = n; a < 3; a++, m /= 3)
            c[a] = floor(p[a] / g->cell) + (m % 3 - 1) + 0.0;
        size_t i = weld_slot(g, c);
        for (int tries = 0; g->slot[i] && tries < 64; tries++, i = (i + 1) & (g->slots - 1)) {
            uint32_t v = g->slot[i] - 1;
            const double *q = g->b->vertex + 3 * (size_t)v;
            double d2 = 0.0;
            for (int a = 0; a < 3; a++)
                d2 += (p[a] - q[a]) * (p[a] - q[a]);
            if (d2 <= g->within * g->within)
                return to[v];
        }
    }
    return UINT32_MAX;
}

static void weld_facets(pci_builder *b, const uint32_t *to) {
    size_t kept = 0;
    for (size_t f = 0; f < b->facets; f++) {
        uint32_t c[3];
        for (int a = 0; a < 3; a++)
            c[a] = to[b->facet[3 * f + (size_t)a]];
        if (c[0] == c[1] || c[1] == c[2] || c[2] == c[0]) {
            b->degenerate++;
            continue;
        }
        memcpy(b->facet + 3 * kept++, c, sizeof c);
    }
    b->facets = kept;
}

pc_status pci_builder_weld(pci_builder *b, double within) {
    weld_grid g = {b, 2.0 * within, within, NULL, 1024};
    while (g.slots < 2 * b->vertices)
        g.slots *= 2;
    g.slot = calloc(g.slots, sizeof *g.slot);
    uint32_t *to = malloc((b->vertices + 1) * sizeof *to);
    if (!g.slot || !to) {
        free(g.slot);
        free(to);
        return no_memory(b);
    }
    for (size_t v = 0; v < b->vertices; v++) {
        const double *p = b->vertex + 3 * v;
        uint32_t near = weld_find(&g, p, to);
        to[v] = near != UINT32_MAX ? near : (uint32_t)v;
        if (near != UINT32_MAX)
            continue;
        double c[3];
        for (int a = 0; a < 3; a++)
            c[a] = floor(p[a] / g.cell) + 0.0;
        size_t i = weld_slot(&g, c);
        while (g.slot[i])
            i = (i + 1) & (g.slots - 1);
        g.slot[i] = (uint32_t)v + 1;
    }
    weld_facets(b, to);
    free(g.slot);
    free(to);
    return PC_OK;
}
