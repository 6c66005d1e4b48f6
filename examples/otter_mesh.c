/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Makes otter.stl, the example mesh: a seated otter for a small harbor museum, all invented.
 * Soft blobs (body, head, ears, paws, tail) on a plinth, cut out of a lattice of tetrahedra.
 *
 *     cc -o otter_mesh otter_mesh.c -lm && ./otter_mesh > otter.stl
 *
 * Lengths in mm. Only + - * / and square roots, places rounded to 0.01 mm: the same bytes
 * everywhere that floating point follows IEEE 754. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct blob {
    double at[3], radius[3];
} blob;

static const blob blobs[] = {
    {{0, 4, 78}, {46, 40, 62}},      /* body */
    {{0, -6, 118}, {34, 30, 34}},    /* chest */
    {{0, -10, 160}, {31, 33, 27}},   /* head */
    {{0, -40, 153}, {16, 15, 12}},   /* muzzle */
    {{-23, -2, 184}, {9, 7, 12}},    /* ears */
    {{23, -2, 184}, {9, 7, 12}},     /* */
    {{-33, -26, 104}, {13, 18, 13}}, /* forelegs */
    {{33, -26, 104}, {13, 18, 13}},  /* */
    {{-20, -46, 98}, {11, 15, 9}},   /* forepaws */
    {{20, -46, 98}, {11, 15, 9}},    /* */
    {{-36, -6, 40}, {20, 28, 24}},   /* thighs */
    {{36, -6, 40}, {20, 28, 24}},    /* */
    {{-34, -46, 26}, {13, 26, 10}},  /* hind paws */
    {{34, -46, 26}, {13, 26, 10}},   /* */
    {{10, 44, 30}, {20, 20, 16}},    /* tail, root to tip */
    {{34, 54, 27}, {20, 15, 13}},    /* */
    {{58, 44, 25}, {16, 13, 11}},    /* */
    {{70, 24, 24}, {10, 15, 9}},     /* */
};
enum { BLOBS = sizeof blobs / sizeof blobs[0] };

#define SIZE 1.2 /* of the whole figure */
#define STEP 9.0 /* of the lattice, before SIZE */
#define SOFT 9.0 /* how far blobs run into each other */

static double smaller(double a, double b) {
    return a < b ? a : b;
}

/* How deep a place lies inside an ellipsoid, roughly in mm; negative outside. */
static double inside_blob(const blob *b, const double p[3]) {
    double k0 = 0, k1 = 0;
    for (int a = 0; a < 3; a++) {
        double x = (p[a] - b->at[a]) / b->radius[a];
        k0 += x * x;
        k1 += x * x / (b->radius[a] * b->radius[a]);
    }
    if (!(k1 > 1e-12))
        return smaller(b->radius[0], smaller(b->radius[1], b->radius[2]));
    return sqrt(k0) * (1 - sqrt(k0)) / sqrt(k1);
}

static double soft_union(double a, double b) {
    double h = (SOFT - fabs(a - b)) / SOFT;
    h = h > 0 ? h : 0;
    return (a > b ? a : b) + h * h * SOFT / 4;
}

/* The plinth: a board of 150 x 140 x 22 mm with its edges taken off. */
static double inside_plinth(const double p[3]) {
    const double half[3] = {75, 70, 11}, round = 5;
    double out = 0, in = -1e9;
    for (int a = 0; a < 3; a++) {
        double d = fabs(p[a] - (a == 2 ? 11 : 0)) - (half[a] - round);
        out += d > 0 ? d * d : 0;
        in = d > in ? d : in;
    }
    return round - (sqrt(out) + smaller(in, 0));
}

static double inside(const double p[3]) {
    double v = inside_blob(&blobs[0], p);
    for (int i = 1; i < BLOBS; i++)
        v = soft_union(v, inside_blob(&blobs[i], p));
    return soft_union(v, inside_plinth(p));
}

typedef struct facets {
    float (*corner)[9];
    size_t count, room;
} facets;

static void add_facet(facets *f, double c[3][3]) {
    float t[9];
    for (int i = 0; i < 9; i++)
        t[i] = (float)(floor(c[i / 3][i % 3] * SIZE * 100 + 0.5) / 100);
    for (int i = 0; i < 3; i++)
        if (!memcmp(t + 3 * i, t + 3 * ((i + 1) % 3), 3 * sizeof *t))
            return; /* two corners rounded to one place */
    if (f->count == f->room) {
        f->room = f->room ? 2 * f->room : 1024;
        f->corner = realloc(f->corner, f->room * sizeof *f->corner);
        if (!f->corner) {
            fprintf(stderr, "otter_mesh: out of memory\n");
            exit(1);
        }
    }
    memcpy(f->corner[f->count++], t, sizeof t);
}

/* A corner of the lattice, with the depth of its place. */
typedef struct node {
    double p[3], v;
    int number; /* so that an edge is cut alike from all sides */
} node;

static void cut_edge(const node *a, const node *b, double out[3]) {
    const node *p = a->number < b->number ? a : b, *q = p == a ? b : a;
    double t = p->v / (p->v - q->v);
    t = t < 0.04 ? 0.04 : t > 0.96 ? 0.96 : t; /* no needles */
    for (int a3 = 0; a3 < 3; a3++)
        out[a3] = p->p[a3] + t * (q->p[a3] - p->p[a3]);
}

/* Adds a facet so that it faces away from a place inside. */
static void add_facing(facets *f, double c[3][3], const double in[3]) {
    double u[3], v[3], w[3];
    for (int a = 0; a < 3; a++) {
        u[a] = c[1][a] - c[0][a];
        v[a] = c[2][a] - c[0][a];
        w[a] = in[a] - c[0][a];
    }
    double side = w[0] * (u[1] * v[2] - u[2] * v[1]) + w[1] * (u[2] * v[0] - u[0] * v[2]) +
                  w[2] * (u[0] * v[1] - u[1] * v[0]);
    if (side > 0) {
        double t[3];
        memcpy(t, c[1], sizeof t);
        memcpy(c[1], c[2], sizeof t);
        memcpy(c[2], t, sizeof t);
    }
    add_facet(f, c);
}

static void cut_tetrahedron(facets *f, const node *n[4]) {
    const node *in[4], *out[4];
    int ni = 0, no = 0;
    for (int i = 0; i < 4; i++)
        if (n[i]->v > 0)
            in[ni++] = n[i];
        else
            out[no++] = n[i];
    double c[3][3], d[4][3];
    if (ni == 1 || no == 1) {
        for (int i = 0; i < 3; i++)
            cut_edge(ni == 1 ? in[0] : out[0], ni == 1 ? out[i] : in[i], c[i]);
        add_facing(f, c, in[0]->p);
    } else if (ni == 2) {
        for (int i = 0; i < 4; i++)
            cut_edge(in[i / 2], out[i == 1 || i == 2], d[i]);
        for (int half = 0; half < 2; half++) {
            memcpy(c[0], d[0], sizeof c[0]);
            memcpy(c[1], d[1 + half], sizeof c[1]);
            memcpy(c[2], d[2 + half], sizeof c[2]);
            add_facing(f, c, in[0]->p);
        }
    }
}

static void cut_cube(facets *f, const int at[3]) {
    static const int tetra[6][4] = {{0, 1, 3, 7}, {0, 1, 5, 7}, {0, 2, 3, 7},
                                    {0, 2, 6, 7}, {0, 4, 5, 7}, {0, 4, 6, 7}};
    const double origin[3] = {-90.3, -90.3, -10.3};
    node n[8];
    for (int i = 0; i < 8; i++) {
        int place[3];
        for (int a = 0; a < 3; a++) {
            place[a] = at[a] + (i >> a & 1);
            n[i].p[a] = origin[a] + STEP * place[a];
        }
        n[i].number = place[0] + 64 * (place[1] + 64 * place[2]);
        n[i].v = inside(n[i].p);
    }
    for (int t = 0; t < 6; t++) {
        const node *q[4] = {&n[tetra[t][0]], &n[tetra[t][1]], &n[tetra[t][2]], &n[tetra[t][3]]};
        cut_tetrahedron(f, q);
    }
}

static void put32(uint32_t v) {
    for (int i = 0; i < 4; i++)
        putchar((int)(v >> (8 * i) & 255));
}

int main(void) {
    facets f = {NULL, 0, 0};
    int at[3];
    for (at[2] = 0; at[2] < 24; at[2]++)
        for (at[1] = 0; at[1] < 20; at[1]++)
            for (at[0] = 0; at[0] < 20; at[0]++)
                cut_cube(&f, at);
    printf("%-80s", "Otter, seated: an invented figure, lengths in mm");
    put32((uint32_t)f.count);
    for (size_t i = 0; i < f.count; i++) {
        for (int a = 0; a < 3; a++)
            put32(0); /* the normal follows from the corners */
        for (int k = 0; k < 9; k++) {
            uint32_t bits;
            memcpy(&bits, &f.corner[i][k], sizeof bits);
            put32(bits);
        }
        putchar(0);
        putchar(0);
    }
    free(f.corner);
    return fflush(stdout) == 0 && !ferror(stdout) ? 0 : 1;
}
