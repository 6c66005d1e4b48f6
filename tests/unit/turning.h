/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the tests and the bench of turning share: a machine, a resin that thickens, a round mesh. */
#ifndef TESTS_TURNING_H
#define TESTS_TURNING_H

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "pi.h"
#include "pourclock/film.h"

#define HISTORY_POINTS 400
struct thickening {
    double time_s[HISTORY_POINTS], mu_Pa_s[HISTORY_POINTS];
};

static inline pc_turning machine(double outer_rpm, double inner_rpm) {
    return (pc_turning){.method = PC_MACHINE,
                        .outer_rad_s = outer_rpm * RPM_RAD_S,
                        .inner_rad_s = inner_rpm * RPM_RAD_S,
                        .slowest_rad_s = NAN,
                        .fastest_rad_s = NAN,
                        .reverse_every_s = NAN,
                        .surface_tension_N_m = 0.035};
}

/* A layer on a sphere of 65 mm, mu0 exp((t - 60)/tau) from 60 s until gel. */
static inline pc_turn_layer thickening_layer(struct thickening *t, double film_m, double mu0,
                                             double tau_s, double gel_s) {
    for (int i = 0; i < HISTORY_POINTS; i++) {
        t->time_s[i] = 60 + (gel_s - 60) * i / HISTORY_POINTS;
        t->mu_Pa_s[i] = mu0 * exp((t->time_s[i] - 60) / tau_s);
    }
    double radius = 0.065, area = 4 * PI * radius * radius;
    return (pc_turn_layer){1050,   film_m, area * film_m,
                           radius, 0,      {HISTORY_POINTS, t->time_s, t->mu_Pa_s, gel_s}};
}

/* An icosahedron halved `times` times, blown up to a sphere: corners, three a facet, to be freed.
 */
static inline double (*round_mesh(double radius_m, int times, size_t *facets))[3] {
    const double g = 1.6180339887498949;
    const double v[12][3] = {{-1, g, 0}, {1, g, 0}, {-1, -g, 0}, {1, -g, 0},
                             {0, -1, g}, {0, 1, g}, {0, -1, -g}, {0, 1, -g},
                             {g, 0, -1}, {g, 0, 1}, {-g, 0, -1}, {-g, 0, 1}};
    const int f[20][3] = {{0, 11, 5}, {0, 5, 1},  {0, 1, 7},   {0, 7, 10}, {0, 10, 11},
                          {1, 5, 9},  {5, 11, 4}, {11, 10, 2}, {10, 7, 6}, {7, 1, 8},
                          {3, 9, 4},  {3, 4, 2},  {3, 2, 6},   {3, 6, 8},  {3, 8, 9},
                          {4, 9, 5},  {2, 4, 11}, {6, 2, 10},  {8, 6, 7},  {9, 8, 1}};
    size_t n = 20;
    double(*c)[3] = malloc(3 * n * sizeof *c);
    for (size_t i = 0; c && i < n; i++)
        for (size_t j = 0; j < 3; j++)
            memcpy(c[3 * i + j], v[f[i][j]], sizeof *c);
    for (int pass = 0; c && pass < times; pass++) {
        double(*d)[3] = malloc(12 * n * sizeof *d);
        for (size_t i = 0; d && i < n; i++) {
            double m[3][3];
            for (size_t j = 0; j < 3; j++)
                for (size_t k = 0; k < 3; k++)
                    m[j][k] = (c[3 * i + j][k] + c[3 * i + (j + 1) % 3][k]) / 2;
            const double *part[12] = {c[3 * i],     m[0], m[2], c[3 * i + 1], m[1], m[0],
                                      c[3 * i + 2], m[2], m[1], m[0],         m[1], m[2]};
            for (size_t j = 0; j < 12; j++)
                memcpy(d[12 * i + j], part[j], sizeof *d);
        }
        free(c);
        c = d;
        n *= 4;
        for (size_t i = 0; c && i < 3 * n; i++) {
            double r = sqrt(c[i][0] * c[i][0] + c[i][1] * c[i][1] + c[i][2] * c[i][2]);
            for (size_t k = 0; k < 3; k++)
                c[i][k] *= 1 / r;
        }
    }
    for (size_t i = 0; c && i < 3 * n; i++)
        for (size_t k = 0; k < 3; k++)
            c[i][k] *= radius_m;
    *facets = n;
    return c;
}

#endif
