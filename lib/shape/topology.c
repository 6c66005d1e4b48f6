/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Topology and measures of a mesh: edges matched by a counting sort on their lower corner, facets
 * joined over them by union-find that also keeps which way round each faces. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/try.h"
#include "shape/mesh_build.h"
#include "shape/union.h"
#include "shape/vector.h"

enum { NEST_MOST = 64 }; /* components above which none is looked for inside another */

/* A facet's side, filed under the lower of its two corners. */
typedef struct side {
    uint32_t high;      /* the other corner */
    uint32_t facet_dir; /* facet << 1, | 1 where it runs from high to low */
} side;

typedef struct judge {
    pc_mesh *mesh;
    size_t *start; /* of each corner's sides; vertex_count + 1 */
    side *sides;   /* 3 facet_count */
    uint32_t *up;  /* union-find: parent << 1 | turned against it */
    size_t edges;
    bool balanced, one_sided;
} judge;

static uint32_t corner(const pc_mesh *m, size_t f, size_t c) {
    return m->facet[3 * f + c];
}

static int compare_sides(const void *a, const void *b) {
    const side *s = a, *t = b;
    if (s->high != t->high)
        return s->high < t->high ? -1 : 1;
    return s->facet_dir < t->facet_dir ? -1 : s->facet_dir > t->facet_dir;
}

static void sort_sides(side *s, size_t n) {
    if (n > 24) {
        qsort(s, n, sizeof *s, compare_sides);
        return;
    }
    for (size_t i = 1; i < n; i++) {
        side t = s[i];
        size_t j = i;
        for (; j > 0 && compare_sides(&s[j - 1], &t) > 0; j--)
            s[j] = s[j - 1];
        s[j] = t;
    }
}

static pc_status file_sides(judge *j) {
    const pc_mesh *m = j->mesh;
    j->start = calloc(m->vertex_count + 2, sizeof *j->start);
    j->sides = malloc((3 * m->facet_count + 1) * sizeof *j->sides);
    j->up = malloc((m->facet_count + 1) * sizeof *j->up);
    if (!j->start || !j->sides || !j->up)
        return PC_E_MEMORY;
    for (int pass = 0; pass < 2; pass++) {
        for (size_t f = 0; f < m->facet_count; f++) {
            for (size_t c = 0; c < 3; c++) {
                uint32_t a = corner(m, f, c), b = corner(m, f, (c + 1) % 3);
                uint32_t low = a < b ? a : b, high = a < b ? b : a;
                if (pass == 0)
                    j->start[low + 2]++;
                else
                    j->sides[j->start[low + 1]++] = (side){high, (uint32_t)f << 1 | (a > b)};
            }
        }
        for (size_t v = 1; pass == 0 && v <= m->vertex_count + 1; v++)
            j->start[v] += j->start[v - 1];
    }
    for (size_t v = 0; v < m->vertex_count; v++)
        sort_sides(j->sides + j->start[v], j->start[v + 1] - j->start[v]);
    for (size_t f = 0; f < m->facet_count; f++)
        j->up[f] = (uint32_t)f << 1;
    return PC_OK;
}

/* Root << 1 | whether f is turned against it; halves the path on the way. */
static uint32_t find(uint32_t *up, uint32_t f) {
    uint32_t turned = 0;
    while (up[f] >> 1 != f) {
        uint32_t parent = up[f] >> 1;
        up[f] = up[parent] ^ (up[f] & 1);
        turned ^= up[f] & 1;
        f = up[f] >> 1;
    }
    return f << 1 | turned;
}

static void join(judge *j, const side *s, const side *t) {
    uint32_t against = ((s->facet_dir ^ t->facet_dir) & 1) ^ 1; /* same direction: they disagree */
    uint32_t a = find(j->up, s->facet_dir >> 1), b = find(j->up, t->facet_dir >> 1);
    uint32_t parity = (a ^ b ^ against) & 1;
    if (a >> 1 == b >> 1) {
        if (parity)
            j->one_sided = true;
        return;
    }
    uint32_t low = a < b ? a : b, high = a < b ? b : a;
    j->up[high >> 1] = (low & ~1u) | parity;
}

typedef void (*edge_fn)(judge *j, uint32_t low, side *group, size_t n);

static void for_each_edge(judge *j, edge_fn fn) {
    for (size_t v = 0; v < j->mesh->vertex_count; v++) {
        size_t i = j->start[v], end = j->start[v + 1];
        while (i < end) {
            size_t k = i + 1;
            while (k < end && j->sides[k].high == j->sides[i].high)
                k++;
            fn(j, (uint32_t)v, j->sides + i, k - i);
            i = k;
        }
    }
}

static void edge_joins(judge *j, uint32_t low, side *group, size_t n) {
    (void)low;
    j->edges++;
    if (n == 1)
        j->mesh->report.open_edges++;
    else if (n == 2)
        join(j, &group[0], &group[1]);
    else
        j->mesh->report.crowded_edges++;
}

static void flip(pc_mesh *m, size_t f) {
    uint32_t t = m->facet[3 * f + 1];
    m->facet[3 * f + 1] = m->facet[3 * f + 2];
    m->facet[3 * f + 2] = t;
}

static void flip_sides(judge *j, const uint8_t *turn) {
    for (size_t i = 0; i < 3 * j->mesh->facet_count; i++)
        j->sides[i].facet_dir ^= turn[j->sides[i].facet_dir >> 1];
    for (size_t f = 0; f < j->mesh->facet_count; f++)
        if (turn[f])
            flip(j->mesh, f);
}

static void edge_balance(judge *j, uint32_t low, side *group, size_t n) {
    (void)low;
    long sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += group[i].facet_dir & 1 ? -1 : 1;
    if (sum != 0)
        j->balanced = false;
}

/* Angle over an edge, positive where it is convex, times half its length. */
static double bend(const pc_mesh *m, uint32_t low, uint32_t high, size_t f, size_t g) {
    double n[3], o[3], cross[3], to[3], edge[3];
    pci_facet_vector(m, f, n);
    pci_facet_vector(m, g, o);
    pci_cross(n, o, cross);
    uint32_t far = corner(m, g, 0) + corner(m, g, 1) + corner(m, g, 2) - low - high;
    pci_minus(m->vertex + 3 * (size_t)far, m->vertex + 3 * (size_t)low, to);
    pci_minus(m->vertex + 3 * (size_t)high, m->vertex + 3 * (size_t)low, edge);
    double angle = atan2(pci_length(cross), pci_dot(n, o));
    return 0.5 * (pci_dot(n, to) > 0.0 ? -angle : angle) * pci_length(edge);
}

static void edge_bend(judge *j, uint32_t low, side *group, size_t n) {
    /* Sides of one direction against those of the other, in the order of their facets. */
    size_t a = 0, b = 0;
    while (a < n && b < n) {
        while (a < n && group[a].facet_dir & 1)
            a++;
        while (b < n && !(group[b].facet_dir & 1))
            b++;
        if (a < n && b < n)
            j->mesh->report.mean_curvature_m +=
                bend(j->mesh, low, group[a].high, group[a].facet_dir >> 1, group[b].facet_dir >> 1);
        a++;
        b++;
    }
}

/* The part of the components: dense numbers, which facets to turn, volumes. */
typedef struct parts {
    uint32_t *of; /* component of each facet */
    size_t count;
    double *volume;
    size_t *facets, *turned;
    uint8_t *turn; /* facets to turn round */
} parts;

static pc_status number_parts(judge *j, parts *p) {
    size_t n = j->mesh->facet_count;
    p->of = malloc((n + 1) * sizeof *p->of);
    p->turn = calloc(n + 1, 1);
    if (!p->of || !p->turn)
        return PC_E_MEMORY;
    /* A root is the lowest facet of its component (join), so it is met first. */
    for (uint32_t f = 0; f < n; f++) {
        uint32_t root = find(j->up, f);
        p->of[f] = root >> 1 == f ? (uint32_t)p->count++ : p->of[root >> 1];
        p->turn[f] = root & 1;
    }
    p->volume = calloc(p->count + 1, sizeof *p->volume);
    p->facets = calloc(p->count + 1, sizeof *p->facets);
    p->turned = calloc(p->count + 1, sizeof *p->turned);
    if (!p->volume || !p->facets || !p->turned)
        return PC_E_MEMORY;
    for (size_t f = 0; f < n; f++) {
        p->facets[p->of[f]]++;
        p->turned[p->of[f]] += p->turn[f];
    }
    /* The majority is right. */
    for (size_t f = 0; f < n; f++) {
        if (2 * p->turned[p->of[f]] > p->facets[p->of[f]])
            p->turn[f] ^= 1;
        j->mesh->report.flipped += p->turn[f];
    }
    return PC_OK;
}

static void measure(judge *j, parts *p) {
    pc_mesh *m = j->mesh;
    pc_mesh_report *r = &m->report;
    double center[3];
    for (int a = 0; a < 3; a++)
        center[a] = 0.5 * (r->low_m[a] + r->high_m[a]);
    for (size_t f = 0; f < m->facet_count; f++) {
        double n[3], at[3];
        pci_facet_vector(m, f, n);
        double twice = pci_length(n);
        r->degenerate += !(twice > 0.0);
        r->area_m2 += 0.5 * twice;
        pci_minus(m->vertex + 3 * (size_t)corner(m, f, 0), center, at);
        p->volume[p->of[f]] += pci_dot(n, at) / 6.0;
    }
}

/* Whether a point lies inside the facets of the other components: crossings of a ray that runs
 * along no likely edge. */
static bool inside_others(const pc_mesh *m, const parts *p, uint32_t own, const double *at) {
    const double d[3] = {0.5417321, 0.2713947, 0.7955432};
    unsigned crossings = 0;
    for (size_t f = 0; f < m->facet_count; f++)
        if (p->of[f] != own)
            crossings += pci_ray_crosses(m, f, at, d);
    return crossings & 1;
}

/* A component that faces inward bounds a hollow when it lies inside another; else it is inside
 * out. Judged by its outermost corners along the three axes. */
static bool is_hollow(const pc_mesh *m, const parts *p, uint32_t own) {
    uint32_t extreme[6] = {0};
    bool first = true;
    for (size_t i = 0; i < 3 * m->facet_count; i++) {
        if (p->of[i / 3] != own)
            continue;
        for (int a = 0; a < 3; a++) {
            double x = m->vertex[3 * (size_t)m->facet[i] + (size_t)a];
            if (first || x < m->vertex[3 * (size_t)extreme[a] + (size_t)a])
                extreme[a] = m->facet[i];
            if (first || x > m->vertex[3 * (size_t)extreme[a + 3] + (size_t)a])
                extreme[a + 3] = m->facet[i];
        }
        first = false;
    }
    for (int e = 0; e < 6; e++)
        if (!inside_others(m, p, own, m->vertex + 3 * (size_t)extreme[e]))
            return false;
    return true;
}

static void face_outward(judge *j, parts *p) {
    pc_mesh_report *r = &j->mesh->report;
    double sum = 0.0;
    for (size_t c = 0; c < p->count; c++)
        sum += p->volume[c];
    memset(p->turn, 0, j->mesh->facet_count);
    bool any = false;
    for (uint32_t c = 0; c < p->count; c++) {
        bool turn = sum < 0.0;
        double v = turn ? -p->volume[c] : p->volume[c];
        if (v < 0.0 && p->count <= NEST_MOST && !is_hollow(j->mesh, p, c)) {
            turn = !turn;
            v = -v;
        }
        p->volume[c] = v;
        r->hollows += v < 0.0;
        p->turned[c] = turn;
        r->inside_out += turn;
        any = any || turn;
    }
    for (size_t f = 0; f < j->mesh->facet_count && any; f++)
        p->turn[f] = p->turned[p->of[f]] != 0;
    if (any)
        flip_sides(j, p->turn);
}

static void explain(const judge *j) {
    pc_mesh_report *r = &j->mesh->report;
    if (j->one_sided)
        snprintf(r->why_no_volume, sizeof r->why_no_volume,
                 "the surface has only one side: it bounds no volume");
    else if (r->open_edges > 0)
        snprintf(r->why_no_volume, sizeof r->why_no_volume,
                 "%zu edge%s a facet on one side only: close the holes", r->open_edges,
                 r->open_edges == 1 ? " has" : "s have");
    else
        snprintf(r->why_no_volume, sizeof r->why_no_volume,
                 "facets meet wrongly at some of %zu edges of more than two facets",
                 r->crowded_edges);
}

static pc_status judge_parts(judge *j, parts *p) {
    pc_mesh_report *r = &j->mesh->report;
    PCI_TRY(file_sides(j));
    for_each_edge(j, edge_joins);
    PCI_TRY(number_parts(j, p));
    if (r->flipped > 0)
        flip_sides(j, p->turn);
    j->balanced = true;
    for_each_edge(j, edge_balance);
    measure(j, p);
    r->components = p->count;
    r->euler = (double)r->vertices - (double)j->edges + (double)r->facets;
    r->closed = j->balanced && !j->one_sided;
    if (!r->closed) {
        r->volume_m3 = r->mean_curvature_m = NAN;
        explain(j);
        return PC_OK;
    }
    face_outward(j, p);
    for (size_t c = 0; c < p->count; c++)
        r->volume_m3 += p->volume[c];
    if (!(r->volume_m3 > 0.0)) {
        r->closed = false;
        r->volume_m3 = r->mean_curvature_m = NAN;
        snprintf(r->why_no_volume, sizeof r->why_no_volume,
                 "the surface is closed but bounds no volume: it is flat, or all hollow");
        return PC_OK;
    }
    for_each_edge(j, edge_bend);
    double area_share, volume_share;
    PCI_TRY(pci_mesh_union(j->mesh, &area_share, &volume_share));
    r->overlap_m3 = r->volume_m3 * (1.0 - volume_share);
    r->volume_m3 *= volume_share;
    r->area_m2 *= area_share;
    return PC_OK;
}

static void bounds(pc_mesh *m) {
    pc_mesh_report *r = &m->report;
    for (int a = 0; a < 3; a++) {
        r->low_m[a] = INFINITY;
        r->high_m[a] = -INFINITY;
    }
    for (size_t i = 0; i < 3 * m->facet_count; i++) {
        const double *x = m->vertex + 3 * (size_t)m->facet[i];
        for (int a = 0; a < 3; a++) {
            r->low_m[a] = fmin(r->low_m[a], x[a]);
            r->high_m[a] = fmax(r->high_m[a], x[a]);
        }
    }
}

pc_status pci_mesh_judge(pc_mesh *mesh) {
    judge j = {mesh, NULL, NULL, NULL, 0, false, false};
    parts p = {NULL, 0, NULL, NULL, NULL, NULL};
    memset(&mesh->report, 0, sizeof mesh->report);
    mesh->report.facets = mesh->facet_count;
    mesh->report.vertices = mesh->vertex_count;
    bounds(mesh);
    pc_status status = judge_parts(&j, &p);
    free(j.start);
    free(j.sides);
    free(j.up);
    free(p.of);
    free(p.volume);
    free(p.facets);
    free(p.turned);
    free(p.turn);
    return status;
}
