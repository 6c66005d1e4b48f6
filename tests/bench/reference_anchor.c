/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Anchoring by another way: the model's sections 3 and 5 written from the equations, cups and films
 * by CVODE, the least squares by Gauss-Newton with halved steps and forward differences. */
#include "reference.h"

#include <math.h>
#include <string.h>

enum { UNKNOWNS = 7, MOST = PC_DATA_MOST + UNKNOWNS };
static const double T23_K = 296.15, NEVER_S = 30.0 * 86400.0;

/* ln k1, E1, H, logit a_gel, logit a_pot/a_gel, logit of demold between gel and 1, ln k2/k1. */
typedef struct family_prior {
    double mean[UNKNOWNS], sd[UNKNOWNS], dE, m, n, cp, k;
} family_prior;

static double logit(double p) {
    return log(p / (1 - p));
}

static double expit(double x) {
    return 1 / (1 + exp(-x));
}

static family_prior prior_of(pc_family family) {
    if (family == PC_URETHANE)
        return (family_prior){{-7, 40e3, 170e3, logit(0.66), logit(0.67), logit(0.765), 0},
                              {3, 6e3, 30e3, 0.30, 0.5, 0.70, 0},
                              0,
                              1,
                              1.5,
                              1800,
                              0.20};
    if (family == PC_EPOXY)
        return (family_prior){
            {-10, 55e3, 400e3, logit(0.577), logit(0.75), logit(0.882), log(7.57)},
            {3, 5e3, 40e3, 0.15, 0.8, 0.70, 0.5},
            -10.67e3,
            0.39845,
            1.5361,
            1900,
            0.20};
    return (family_prior){{-10, 60e3, 300e3, logit(0.06), logit(0.70), logit(0.68), log(30)},
                          {3, 10e3, 50e3, 0.40, 0.8, 0.80, 0.8},
                          0,
                          1,
                          1.75,
                          1900,
                          0.19};
}

static void set_resin(const family_prior *p, const double u[], pc_resin *r) {
    double x[UNKNOWNS], RT = PC_GAS_CONSTANT * T23_K;
    for (int i = 0; i < UNKNOWNS; i++)
        x[i] = p->mean[i] + p->sd[i] * u[i];
    pc_cure *c = &r->cure;
    c->E1_J_mol = x[1];
    c->A1_per_s = exp(x[0] + x[1] / RT);
    c->E2_J_mol = p->sd[6] > 0 ? x[1] + p->dE : 0;
    c->A2_per_s = p->sd[6] > 0 ? exp(x[0] + x[6] + c->E2_J_mol / RT) : 0;
    c->m = p->m;
    c->n = p->n;
    c->cp_J_kgK = p->cp;
    c->k_W_mK = p->k;
    c->heat_J_kg = x[2];
    c->a_gel = expit(x[3]);
    c->a_pot = c->a_gel * expit(x[4]);
    c->a_demold = c->a_gel + (1 - c->a_gel) * expit(x[5]);
    c->a_bond = 0.99;
}

/* When every point of a film on the reference mold has reached a. */
static double film_time(const pc_resin *resin, double film_m, double T_K, double a) {
    pci_wall_spec spec = {.form = PC_SLAB,
                          .mold_count = 2,
                          .mold_thickness_m = {0.010, 0.008},
                          .mold = {{0.40, 1000, 1000}, {0.27, 1200, 1300}},
                          .mold_K = T_K,
                          .out_W_m2K = 9,
                          .air_K = T_K};
    pc_resin marked = *resin;
    pc_cup_events cup;
    pc_cup_state fill;
    double time_s = NAN;
    if (ref_cup_run(resin, 0.1, T_K, T_K, 1e-9, &cup) || !isfinite(cup.pot_life_s) ||
        ref_cup_at(resin, 0.1, T_K, T_K, cup.pot_life_s / 2, 1e-9, &fill))
        return NAN;
    marked.cure.a_gel = a;
    ref_options options = {.cells = 60, .grading = 3, .rtol = 1e-7, .jacobian = true};
    ref_wall *wall = ref_wall_new(&spec, cup.pot_life_s / 2, &options);
    if (ref_wall_pour(wall, &marked, film_m, fill) || ref_wall_until_gel(wall, 0, NEVER_S, &time_s))
        time_s = NAN;
    ref_wall_free(wall);
    return time_s;
}

static double residual(const pc_resin *r, const pc_datum *d) {
    pc_cup_events cup = {0};
    double t = NAN;
    if (d->kind == PC_DATUM_FILM_GEL)
        t = film_time(r, d->thickness_m, d->T_K, r->cure.a_gel);
    else if (d->kind == PC_DATUM_DEMOLD)
        t = film_time(r, isnan(d->thickness_m) ? 0.006 : d->thickness_m, d->T_K, r->cure.a_demold);
    else if (ref_cup_run(r, d->mass_kg, d->T_K, d->T_K, 1e-9, &cup))
        return NAN;
    if (d->kind == PC_DATUM_PEAK)
        return (cup.peak_K - d->value) / d->spread;
    if (d->kind == PC_DATUM_POT_LIFE)
        t = cup.pot_life_s;
    else if (d->kind == PC_DATUM_GEL)
        t = cup.gel_s;
    else if (d->kind == PC_DATUM_PEAK_TIME)
        t = cup.peak_s;
    return log(t / d->value) / d->spread;
}

static double residuals(const family_prior *p, const double u[], pc_resin *r, double out[]) {
    double sum = 0;
    size_t n = r->sheet.count;
    set_resin(p, u, r);
    for (size_t i = 0; i < n + UNKNOWNS; i++) {
        out[i] = i < n ? residual(r, &r->sheet.datum[i]) : u[i - n];
        sum += out[i] * out[i];
    }
    return sum;
}

/* Solves N x = b by Gauss's elimination with pivots; N and b are used up. */
static void solve(double N[UNKNOWNS][UNKNOWNS], double b[UNKNOWNS], double x[UNKNOWNS]) {
    for (int i = 0; i < UNKNOWNS; i++) {
        int best = i;
        for (int k = i + 1; k < UNKNOWNS; k++)
            if (fabs(N[k][i]) > fabs(N[best][i]))
                best = k;
        for (int j = 0; j < UNKNOWNS; j++) {
            double swap = N[i][j];
            N[i][j] = N[best][j];
            N[best][j] = swap;
        }
        double swap = b[i];
        b[i] = b[best];
        b[best] = swap;
        for (int k = i + 1; k < UNKNOWNS; k++) {
            double f = N[k][i] / N[i][i];
            for (int j = i; j < UNKNOWNS; j++)
                N[k][j] -= f * N[i][j];
            b[k] -= f * b[i];
        }
    }
    for (int i = UNKNOWNS - 1; i >= 0; i--) {
        x[i] = b[i];
        for (int j = i + 1; j < UNKNOWNS; j++)
            x[i] -= N[i][j] * x[j];
        x[i] /= N[i][i];
    }
}

static void jacobian(const family_prior *p, const double u[], pc_resin *r, const double at[],
                     double J[MOST][UNKNOWNS]) {
    for (int k = 0; k < UNKNOWNS; k++) {
        double moved[UNKNOWNS], out[MOST];
        memcpy(moved, u, sizeof moved);
        moved[k] += 5e-3;
        residuals(p, moved, r, out);
        for (size_t i = 0; i < r->sheet.count + UNKNOWNS; i++)
            J[i][k] = (out[i] - at[i]) / 5e-3;
    }
}

static void normal(double J[MOST][UNKNOWNS], size_t n, double N[UNKNOWNS][UNKNOWNS]) {
    for (int a = 0; a < UNKNOWNS; a++)
        for (int b = 0; b < UNKNOWNS; b++) {
            N[a][b] = 0;
            for (size_t i = 0; i < n; i++)
                N[a][b] += J[i][a] * J[i][b];
        }
}

/* The rate's prior begins where the first datum, a time of the cup, is met. */
static void start(family_prior *p, pc_resin *r) {
    const double zero[UNKNOWNS] = {0};
    for (int i = 0; i < 60; i++) {
        set_resin(p, zero, r);
        double late = residual(r, &r->sheet.datum[0]) * r->sheet.datum[0].spread;
        p->mean[0] += fmax(-2, fmin(2, late));
    }
}

/* ln of the gel time of the usual film, and its slope along each unknown. */
static double usual_film(const family_prior *p, const double u[], pc_resin *r) {
    set_resin(p, u, r);
    return log(film_time(r, 0.0015, T23_K, r->cure.a_gel));
}

int ref_anchor(pc_resin *r, double *film_s, double *film_sd) {
    family_prior p = prior_of(r->family);
    double u[UNKNOWNS] = {0}, at[MOST], J[MOST][UNKNOWNS], N[UNKNOWNS][UNKNOWNS];
    size_t n = r->sheet.count + UNKNOWNS;
    start(&p, r);
    double sum = residuals(&p, u, r, at);
    for (int round = 0; round < 25; round++) {
        double b[UNKNOWNS], step[UNKNOWNS], trial[UNKNOWNS], next = INFINITY, share = 2;
        jacobian(&p, u, r, at, J);
        normal(J, n, N);
        for (int k = 0; k < UNKNOWNS; k++) {
            b[k] = 0;
            for (size_t i = 0; i < n; i++)
                b[k] -= J[i][k] * at[i];
        }
        solve(N, b, step);
        for (int half = 0; half < 12 && !(next < sum); half++) {
            share /= 2;
            for (int k = 0; k < UNKNOWNS; k++)
                trial[k] = u[k] + share * step[k];
            next = residuals(&p, trial, r, at);
        }
        if (!(next < sum - 1e-9))
            break;
        sum = next;
        memcpy(u, trial, sizeof u);
    }
    residuals(&p, u, r, at);
    jacobian(&p, u, r, at, J);
    double slope[UNKNOWNS], x[UNKNOWNS], base = usual_film(&p, u, r), variance = 0;
    for (int k = 0; k < UNKNOWNS; k++) {
        double moved[UNKNOWNS];
        memcpy(moved, u, sizeof moved);
        moved[k] += 1e-2;
        slope[k] = (usual_film(&p, moved, r) - base) / 1e-2;
    }
    normal(J, n, N);
    double b[UNKNOWNS];
    memcpy(b, slope, sizeof b);
    solve(N, b, x);
    for (int k = 0; k < UNKNOWNS; k++)
        variance += slope[k] * x[k];
    set_resin(&p, u, r);
    *film_s = exp(base);
    *film_sd = sqrt(variance);
    return isfinite(base) && isfinite(variance) ? 0 : -1;
}
