/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Surface tension levels a film: a wave of degree l on a sphere falls as
 *     exp(-(sigma h^3/(3 R^4)) l(l+1) (l(l+1) - 2) F),   F = integral of dt/mu,
 * the flat k^4 of Orchard, Appl. Sci. Res. A 11 (1962) 451 (from memory), with the sphere's own
 * curvature. Solved as one implicit step, which levels less than the exponential, with (2/3) L^2
 * for L (L - 2): right for l = 2, less above. Bare places slow it: the mobility is that of half the
 * film, an eighth. All three err towards the uneven. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "film/cells.h"
#include "film/program.h"

#define STRENGTH_MOST 0.04 /* beyond it the shift l = 1, which nothing levels, would be touched */
#define ROUNDS_MOST   200
#define RESIDUE       1e-5

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

/* out = (D + A (2/3) K D^-1 K) in. */
static void apply(const pc_map *map, double strength, const double *in, double *middle,
                  double *out) {
    laplace(map, in, out);
    for (size_t i = 0; i < map->count; i++)
        middle[i] = map->share[i] > 0 ? out[i] / (4 * PCI_PI * map->share[i]) : 0;
    laplace(map, middle, out);
    for (size_t i = 0; i < map->count; i++)
        out[i] = 4 * PCI_PI * map->share[i] * in[i] + strength * 2 / 3 * out[i];
}

static double product(size_t n, const double *a, const double *b) {
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += a[i] * b[i];
    return sum;
}

/* Conjugate gradients from the film as it is; rounding cannot lose volume (see pci_level). */
static void solve(pc_map *map, double strength, double *work) {
    size_t n = map->count;
    double *film = map->film_m, *r = work, *p = work + n, *q = work + 2 * n, *m = work + 3 * n;
    apply(map, strength, film, m, q);
    for (size_t i = 0; i < n; i++)
        p[i] = r[i] = 4 * PCI_PI * map->share[i] * film[i] - q[i];
    double rr = product(n, r, r), goal = rr * RESIDUE * RESIDUE;
    for (int round = 0; round < ROUNDS_MOST && rr > goal; round++) {
        apply(map, strength, p, m, q);
        double pq = product(n, p, q);
        if (!(pq > 0))
            return;
        double step = rr / pq;
        for (size_t i = 0; i < n; i++) {
            film[i] += step * p[i];
            r[i] -= step * q[i];
        }
        double next = product(n, r, r);
        for (size_t i = 0; i < n; i++)
            p[i] = r[i] + next / rr * p[i];
        rr = next;
    }
}

pc_status pci_level(pc_map *map, double strength) {
    double a = fmin(strength / 8, STRENGTH_MOST), before = 0, after = 0;
    if (!(a > 1e-7))
        return PC_OK;
    pc_status status = pci_map_pairs(map);
    if (status != PC_OK)
        return status;
    double *work = malloc(4 * map->count * sizeof *work);
    if (!work)
        return PC_E_MEMORY;
    for (size_t i = 0; i < map->count; i++)
        before += map->film_m[i] * map->share[i];
    solve(map, a, work);
    free(work);
    for (size_t i = 0; i < map->count; i++) { /* the fourth order undershoots beside a lump */
        map->film_m[i] = fmax(map->film_m[i], 0);
        after += map->film_m[i] * map->share[i];
    }
    for (size_t i = 0; i < map->count; i++)
        map->film_m[i] *= before / after;
    return PC_OK;
}
