/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Meshes made in the tests: soups of facets in mm, written out as binary STL in memory. */
#ifndef TESTS_MAKE_MESH_H
#define TESTS_MAKE_MESH_H

#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "pi.h"
#include "pourclock/mesh.h"
#include "shape/mesh_shape.h"

/* A number's bytes, least first, on any machine. */
static inline void put_little(char *to, const void *number, size_t size) {
    const uint16_t one = 1;
    for (size_t i = 0; i < size; i++)
        to[i] = ((const char *)number)[*(const char *)&one ? i : size - 1 - i];
}

typedef struct soup {
    double *x; /* nine numbers a facet */
    size_t facets, room;
} soup;

static inline void soup_facet(soup *s, const double *a, const double *b, const double *c) {
    if (s->facets == s->room) {
        s->room = s->room ? 2 * s->room : 64;
        s->x = realloc(s->x, s->room * 9 * sizeof *s->x);
        ck_assert_ptr_nonnull(s->x);
    }
    double *t = s->x + 9 * s->facets++;
    memcpy(t, a, 24);
    memcpy(t + 3, b, 24);
    memcpy(t + 6, c, 24);
}

static inline void soup_quad(soup *s, const double *a, const double *b, const double *c,
                             const double *d) {
    soup_facet(s, a, b, c);
    soup_facet(s, a, c, d);
}

/* A box with corners low and high; inward: facing inward. */
static inline void soup_box(soup *s, const double low[3], const double high[3], bool inward) {
    static const int face[6][4] = {{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4},
                                   {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}};
    double v[8][3];
    for (int i = 0; i < 8; i++)
        for (int a = 0; a < 3; a++)
            v[i][a] = i >> a & 1 ? high[a] : low[a];
    for (int f = 0; f < 6; f++) {
        const int *q = face[f];
        if (inward)
            soup_quad(s, v[q[3]], v[q[2]], v[q[1]], v[q[0]]);
        else
            soup_quad(s, v[q[0]], v[q[1]], v[q[2]], v[q[3]]);
    }
}

/* A surface of nu x nv patches closed both ways (torus), or by poles (sphere). */
typedef void (*surface_fn)(double u, double v, double out[3]);

static inline void soup_surface(soup *s, surface_fn f, int nu, int nv) {
    for (int i = 0; i < nu; i++)
        for (int j = 0; j < nv; j++) {
            double a[3], b[3], c[3], d[3];
            f((double)i / nu, (double)j / nv, a);
            f((double)(i + 1) / nu, (double)j / nv, b);
            f((double)(i + 1) / nu, (double)((j + 1) % nv) / nv, c);
            f((double)i / nu, (double)((j + 1) % nv) / nv, d);
            if (memcmp(b, c, sizeof b) != 0)
                soup_facet(s, a, b, c);
            if (memcmp(a, d, sizeof a) != 0)
                soup_facet(s, a, c, d);
        }
}

/* Radius 50. */
static inline void ball50(double u, double v, double out[3]) {
    double r = u <= 0 || u >= 1 ? 0 : 50 * sin(PI * u);
    out[0] = r * cos(2 * PI * v);
    out[1] = r * sin(2 * PI * v);
    out[2] = u <= 0 ? 50 : u >= 1 ? -50 : 50 * cos(PI * u);
}

/* Where the field is 0 on a lattice of cubes, each cut into six tetrahedra; inside is above 0. */
typedef double (*field_fn)(const double p[3]);

static inline void field_cut(const double *p, const double *q, double fp, double fq, double *out) {
    double t = fp / (fp - fq);
    for (int a = 0; a < 3; a++)
        out[a] = p[a] + t * (q[a] - p[a]);
}

/* The corners of a tetrahedron sorted inside first: one or three facets' worth of surface. */
static inline void field_tetrahedron(soup *s, double p[4][3], const double f[4]) {
    int in[4], out[4], ni = 0, no = 0;
    for (int i = 0; i < 4; i++)
        if (f[i] > 0)
            in[ni++] = i;
        else
            out[no++] = i;
    if (ni == 0 || no == 0)
        return;
    double c[4][3];
    size_t before = s->facets;
    if (ni == 1 || no == 1) {
        int one = ni == 1 ? in[0] : out[0];
        const int *rest = ni == 1 ? out : in;
        for (int k = 0; k < 3; k++)
            if (one < rest[k])
                field_cut(p[one], p[rest[k]], f[one], f[rest[k]], c[k]);
            else
                field_cut(p[rest[k]], p[one], f[rest[k]], f[one], c[k]);
        soup_facet(s, c[0], c[1], c[2]);
    } else {
        for (int k = 0; k < 4; k++) {
            int a = in[k / 2], b = out[(k == 1 || k == 2) ? 1 : 0];
            int i = a < b ? a : b, j = a < b ? b : a;
            field_cut(p[i], p[j], f[i], f[j], c[k]);
        }
        soup_quad(s, c[0], c[1], c[2], c[3]);
    }
    /* Turned so that the inside corner lies behind. */
    for (size_t k = before; k < s->facets; k++) {
        double *t = s->x + 9 * k, u[3], v[3], w[3];
        for (int a = 0; a < 3; a++) {
            u[a] = t[3 + a] - t[a];
            v[a] = t[6 + a] - t[a];
            w[a] = p[in[0]][a] - p[out[0]][a];
        }
        double side = w[0] * (u[1] * v[2] - u[2] * v[1]) + w[1] * (u[2] * v[0] - u[0] * v[2]) +
                      w[2] * (u[0] * v[1] - u[1] * v[0]);
        if (side > 0)
            for (int a = 0; a < 3; a++) {
                double swap = t[3 + a];
                t[3 + a] = t[6 + a];
                t[6 + a] = swap;
            }
    }
}

static inline void soup_field(soup *s, field_fn field, const double low[3], const double high[3],
                              double step) {
    static const int tetra[6][4] = {{0, 1, 3, 7}, {0, 1, 5, 7}, {0, 2, 3, 7},
                                    {0, 2, 6, 7}, {0, 4, 5, 7}, {0, 4, 6, 7}};
    int n[3];
    for (int a = 0; a < 3; a++)
        n[a] = (int)ceil((high[a] - low[a]) / step);
    for (int z = 0; z < n[2]; z++)
        for (int y = 0; y < n[1]; y++)
            for (int x = 0; x < n[0]; x++) {
                double p[8][3], f[8];
                for (int i = 0; i < 8; i++) {
                    p[i][0] = low[0] + step * (x + (i & 1));
                    p[i][1] = low[1] + step * (y + (i >> 1 & 1));
                    p[i][2] = low[2] + step * (z + (i >> 2 & 1));
                    f[i] = field(p[i]);
                    if (f[i] == 0)
                        f[i] = -1e-9;
                }
                for (int t = 0; t < 6; t++) {
                    double q[4][3], g[4];
                    for (int i = 0; i < 4; i++) {
                        memcpy(q[i], p[tetra[t][i]], sizeof q[i]);
                        g[i] = f[tetra[t][i]];
                    }
                    field_tetrahedron(s, q, g);
                }
            }
}

/* Bytes of a binary STL; free them. */
static inline char *soup_stl(const soup *s, size_t *size) {
    *size = 84 + 50 * s->facets;
    char *data = calloc(*size, 1);
    ck_assert_ptr_nonnull(data);
    strcpy(data, "solid but binary");
    uint32_t count = (uint32_t)s->facets;
    put_little(data + 80, &count, 4);
    for (size_t f = 0; f < s->facets; f++)
        for (int i = 0; i < 9; i++) {
            float v = (float)s->x[9 * f + (size_t)i];
            put_little(data + 84 + 50 * f + 12 + 4 * i, &v, 4);
        }
    return data;
}

/* Reads the soup as a mesh in mm and frees the soup. */
static inline pc_mesh soup_mesh(soup *s) {
    size_t size;
    char *data = soup_stl(s, &size);
    pc_mesh mesh;
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pci_mesh_parse(data, size, "made.stl", "mm", &mesh, &errors);
    ck_assert_msg(status == PC_OK, "%s", errors.count ? errors.item[0].text : "?");
    pc_errors_free(&errors);
    free(data);
    free(s->x);
    memset(s, 0, sizeof *s);
    return mesh;
}

#endif
