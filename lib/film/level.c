/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Surface tension levels a film: a wave of degree l on a sphere falls as
 *     exp(-(sigma h^3/(3 R^4)) l(l+1) (l(l+1) - 2) F),   F = integral of dt/mu,
 * the flat k^4 of Orchard, Appl. Sci. Res. A 11 (1962) 451 (from memory), with the sphere's own
 * curvature. Solved as one implicit step, which levels less than the exponential, with (2/3) L^2
 * for L (L - 2): right for l = 2, less above. Bare places slow it: the mobility is that of half the
 * film, an eighth. All three err toward the uneven. */
#include <complex.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/try.h"
#include "film/cells.h"
#include "film/program.h"

#define STRENGTH_MOST 0.04 /* beyond it the shift l = 1, which nothing levels, would be touched */
#define ROUNDS_MOST   4000
#define RESIDUE       1e-6

/* out = K in, K the symmetric Laplacian times the cell's area. */
static void laplace(const pc_map *map, const double *in, double *out) {
    memset(out, 0, map->count * sizeof *out);
    for (size_t k = 0; k < map->pair_count; k++) {
        const struct pci_pair *p = &map->pair[k];
        double flow = p->weight * (in[p->i] - in[p->j]);
        out[p->i] += flow;
        out[p->j] -= flow;
    }
}

static double area(const pc_map *map, size_t i) {
    return 4 * PC_PI * map->share[i];
}

/* Complex numbers, one a cell. */
struct field {
    double *re, *im;
};

/* out = (D + i s K) in. */
static void apply(const pc_map *map, double s, struct field in, struct field out) {
    laplace(map, in.im, out.re);
    laplace(map, in.re, out.im);
    for (size_t i = 0; i < map->count; i++) {
        out.re[i] = area(map, i) * in.re[i] - s * out.re[i];
        out.im[i] = area(map, i) * in.im[i] + s * out.im[i];
    }
}

/* Sum of a b without conjugation. */
static double complex product(size_t n, struct field a, struct field b) {
    double re = 0, im = 0;
    for (size_t i = 0; i < n; i++) {
        re += a.re[i] * b.re[i] - a.im[i] * b.im[i];
        im += a.re[i] * b.im[i] + a.im[i] * b.re[i];
    }
    return re + im * I;
}

/* z = D^-1 r; *square: sum of |r|^2 over the areas; returns the sum of r z. Pieces without area,
 * which have no neighbors, stay out of it. */
static double complex precondition(const pc_map *map, struct field r, struct field z,
                                   double *square) {
    *square = 0;
    for (size_t i = 0; i < map->count; i++) {
        double share = area(map, i), over = share > 0 ? 1 / share : 0;
        z.re[i] = r.re[i] * over;
        z.im[i] = r.im[i] * over;
        *square += r.re[i] * z.re[i] + r.im[i] * z.im[i];
    }
    return product(map->count, r, z);
}

/* One step of conjugate gradients; returns the next r z. */
static double complex advance(pc_map *map, double s, double complex rz, struct field r,
                              struct field p, struct field q, double *square) {
    size_t n = map->count;
    apply(map, s, p, q);
    double complex step = rz / product(n, p, q);
    double re = creal(step), im = cimag(step);
    for (size_t i = 0; i < n; i++) {
        map->film_m[i] += re * p.re[i] - im * p.im[i];
        r.re[i] -= re * q.re[i] - im * q.im[i];
        r.im[i] -= re * q.im[i] + im * q.re[i];
    }
    double complex next = precondition(map, r, q, square), turn = next / rz;
    re = creal(turn), im = cimag(turn);
    for (size_t i = 0; i < n; i++) {
        double p_re = p.re[i];
        p.re[i] = q.re[i] + re * p_re - im * p.im[i];
        p.im[i] = q.im[i] + re * p.im[i] + im * p_re;
    }
    return next;
}

/* (1 + s^2 L^2)^-1, which has order 4, is the real part of (1 + i s L)^-1, which has order 2: far
 * fewer rounds on a fine map. Conjugate gradients for complex symmetric matrices; their residuals
 * are real vectors times a number, so that no product of r with itself is zero. The error is no
 * larger than the residual, for no eigenvalue of the matrix is smaller than 1. Starts from the film
 * as it is; rounding cannot lose volume (see pci_level). */
static void solve(pc_map *map, double s, double *work) {
    size_t n = map->count;
    struct field r = {work, work + n}, p = {work + 2 * n, work + 3 * n};
    struct field q = {work + 4 * n, work + 5 * n};
    double goal = 0, square;
    laplace(map, map->film_m, r.im);
    for (size_t i = 0; i < n; i++) {
        r.re[i] = 0;
        r.im[i] *= -s;
        goal += area(map, i) * map->film_m[i] * map->film_m[i];
    }
    goal *= RESIDUE * RESIDUE;
    double complex rz = precondition(map, r, p, &square);
    for (int round = 0; round < ROUNDS_MOST && square > goal; round++)
        rz = advance(map, s, rz, r, p, q, &square);
}

pc_status pci_level(pc_map *map, double strength) {
    double a = fmin(strength / 8, STRENGTH_MOST), before = 0, after = 0;
    if (!(a > 1e-7))
        return PC_OK;
    PCI_TRY(pci_map_pairs(map));
    double *work = malloc(6 * map->count * sizeof *work);
    if (!work)
        return PC_E_MEMORY;
    for (size_t i = 0; i < map->count; i++)
        before += map->film_m[i] * map->share[i];
    solve(map, sqrt(a * 2 / 3), work);
    free(work);
    for (size_t i = 0; i < map->count; i++) { /* the fourth order undershoots beside a lump */
        map->film_m[i] = fmax(map->film_m[i], 0);
        after += map->film_m[i] * map->share[i];
    }
    for (size_t i = 0; i < map->count; i++)
        map->film_m[i] *= before / after;
    return PC_OK;
}
