/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The implicit step: RODAS, a stiffly accurate Rosenbrock method of order 4 with an embedded order
 * 3 (Hairer & Wanner, Solving Ordinary Differential Equations II, coefficients from memory and
 * checked by the order of convergence in tests/unit/check_properties.c).
 *
 * Each stage solves (1/(gamma h) - J) k = rhs with the exact Jacobian J. A point's cure depends on
 * its own cure and its node's temperature alone, so it is eliminated by hand and what is left is
 * one tridiagonal system in the temperatures, factored once a step. */
#include <math.h>
#include <string.h>

#include "wall/inside.h"
#include "wall/layers.h"

enum { STAGES = 6, REJECTIONS_MOST = 60 };
static const double GAMMA = 0.25;
static const double T_SCALE_K = 100.0;
static const double AIR_BEND_MOST_K = 0.02, AIR_STEP_LEAST_S = 1.0;
static const double CURE_STEP_SHARE = 0.25, CURE_STEP_LEAST_S = 1.0;

static const double ALPHA[STAGES] = {0.0, 0.386, 0.21, 0.63, 1.0, 1.0};
static const double GAMMA_SUM[STAGES] = {0.25, -0.1043, 0.1035, -0.0362, 0.0, 0.0};
static const double STEP_A[STAGES][STAGES] = {
    {0},
    {0.1544000000000000e+01},
    {0.9466785280815826e+00, 0.2557011698983284e+00},
    {0.3314825187068521e+01, 0.2896124015972201e+01, 0.9986419139977817e+00},
    {0.1221224509226641e+01, 0.6019134481288629e+01, 0.1253708332932087e+02,
     -0.6878860361058950e+00},
    {0}, /* the last stage starts from the one before plus that, and so does the end of the step */
};
static const double STEP_C[STAGES][STAGES] = {
    {0},
    {-0.5668800000000000e+01},
    {-0.2430093356833875e+01, -0.2063599157091915e+00},
    {-0.1073529058151375e+00, -0.9594562251023355e+01, -0.2047028614809616e+02},
    {0.7496443313967647e+01, -0.1024680431464352e+02, -0.3399990352819905e+02,
     0.1170890893206160e+02},
    {0.8083246795921522e+01, -0.7981132988064893e+01, -0.3152159432874371e+02,
     0.1631930543123136e+02, -0.6058818238834054e+01},
};

double pci_wall_air(const pci_wall *wall, double time_s) {
    const pci_wall_spec *spec = &wall->spec;
    return spec->air_fn ? spec->air_fn(time_s, spec->air_context) : spec->air_K;
}

/* Heat flow along the nodes, W, from temperatures T into flow. Returns what leaves by the faces. */
static double conduct(const pci_wall *wall, const double *T, double air_K, double *flow) {
    const pci_nodes *n = &wall->n;
    size_t last = n->count - 1;
    double out_W = wall->out_W_K * (T[0] - air_K), in_W = wall->in_W_K * (T[last] - air_K);
    double before_W = -out_W; /* flow into node i from node i - 1 */
    for (size_t i = 0; i < last; i++) {
        double inward_W = n->G[i] * (T[i] - T[i + 1]);
        flow[i] = before_W - inward_W;
        before_W = inward_W;
    }
    flow[last] = before_W - in_W;
    return out_W + in_W;
}

/* Rates at a state: F of nodes in K/s, of points in 1/s; returns the loss through the faces, W. */
static double rates_at(const pci_wall *wall, const double *T, const double *a, double air_K,
                       double *node_F, double *point_F) {
    const pci_nodes *n = &wall->n;
    const pci_points *p = &wall->p;
    double lost_W = conduct(wall, T, air_K, node_F);
    for (size_t l = 0; l < wall->layer_count; l++) {
        const pci_wall_layer *layer = &wall->layer[l];
        size_t first = layer->first, node = p->node[first];
        pci_rates_at(&layer->rate, layer->count, a + first, T + node, point_F + first);
        for (size_t i = 0; i < layer->count; i++)
            node_F[node + i] += p->Q[first + i] * point_F[first + i];
    }
#pragma omp simd
    for (size_t i = 0; i < n->count; i++)
        node_F[i] /= n->C[i];
    return lost_W;
}

void pci_wall_rates(pci_wall *wall) {
    wall->lost_F =
        rates_at(wall, wall->n.T, wall->p.a, pci_wall_air(wall, wall->t_s), wall->n.F, wall->p.F);
    wall->rates_fresh = true;
}

/* Slopes of the rate law at the start of the step; they do not change when a step is tried again
 * with another width. */
static void slopes(pci_wall *wall) {
    pci_points *p = &wall->p;
    for (size_t l = 0; l < wall->layer_count; l++) {
        const pci_wall_layer *layer = &wall->layer[l];
        for (size_t i = layer->first; i < layer->first + layer->count; i++)
            pci_rate_slopes(&layer->rate, p->a[i], wall->n.T[p->node[i]], &p->slope_a[i],
                            &p->slope_T[i]);
    }
}

/* What the points add to the diagonal; false for self-acceleration faster than the step. */
static bool share_points(pci_wall *wall, double g) {
    pci_points *p = &wall->p;
    for (size_t i = 0; i < p->count; i++)
        if (!(p->slope_a[i] < 0.9 * g))
            return false;
#pragma omp simd
    for (size_t i = 0; i < p->count; i++) {
        p->share[i] = 1.0 / (g - p->slope_a[i]);
        p->heat[i] = p->Q[i] * p->slope_a[i] * p->share[i];
    }
    for (size_t i = 0; i < p->count; i++)
        wall->n.diagonal[p->node[i]] -= p->Q[i] * p->slope_T[i] * g * p->share[i];
    return true;
}

/* Eliminates node i by what its neighbor passes on; false where the pivot is none. */
static bool eliminate(pci_nodes *n, size_t i, double G_outer, double passed_outer, double G_inner,
                      double passed_inner) {
    double pivot = n->diagonal[i] - G_outer * passed_outer - G_inner * passed_inner;
    if (!(pivot > 0.0))
        return false;
    n->diagonal[i] = 1.0 / pivot;
    n->outer[i] = G_outer * n->diagonal[i];
    n->inner[i] = G_inner * n->diagonal[i];
    return true;
}

/* Factors the tridiagonal matrix for g = 1/(gamma h), from both faces to the node in the middle:
 * two chains of sums that wait on nothing but themselves. diagonal holds reciprocal pivots, outer
 * and inner those times the conductance to the node before and behind. */
static bool factor(pci_wall *wall, double g) {
    pci_nodes *n = &wall->n;
    size_t last = n->count - 1, middle = n->count / 2;
    for (size_t i = 0; i <= last; i++)
        n->diagonal[i] = g * n->C[i] + (i > 0 ? n->G[i - 1] : wall->out_W_K) +
                         (i < last ? n->G[i] : wall->in_W_K);
    if (!share_points(wall, g))
        return false;
    for (size_t i = 0; i < middle; i++)
        if (!eliminate(n, i, i > 0 ? n->G[i - 1] : 0.0, i > 0 ? n->inner[i - 1] : 0.0, n->G[i],
                       0.0))
            return false;
    for (size_t i = last; i > middle; i--)
        if (!eliminate(n, i, n->G[i - 1], 0.0, i < last ? n->G[i] : 0.0,
                       i < last ? n->outer[i + 1] : 0.0))
            return false;
    return eliminate(n, middle, middle > 0 ? n->G[middle - 1] : 0.0,
                     middle > 0 ? n->inner[middle - 1] : 0.0, middle < last ? n->G[middle] : 0.0,
                     middle < last ? n->outer[middle + 1] : 0.0);
}

/* Solves the factored matrix in place, both halves side by side. */
static void solve_nodes(const pci_nodes *n, double *restrict k) {
    const double *diagonal = n->diagonal, *outer = n->outer, *inner = n->inner;
    size_t last = n->count - 1, middle = n->count / 2, pairs = last - middle; /* or one less */
    double down = 0.0, up = 0.0;
    for (size_t i = 0; i < pairs; i++) {
        k[i] = down = k[i] * diagonal[i] + outer[i] * down;
        k[last - i] = up = k[last - i] * diagonal[last - i] + inner[last - i] * up;
    }
    for (size_t i = pairs; i < middle; i++)
        k[i] = down = k[i] * diagonal[i] + outer[i] * down;
    k[middle] = k[middle] * diagonal[middle] + outer[middle] * down + inner[middle] * up;
    down = up = k[middle];
    for (size_t i = pairs; i < middle; i++)
        k[i] = up = k[i] + inner[i] * up;
    for (size_t i = 1; i <= pairs; i++) {
        size_t top = pairs - i, low = middle + i;
        k[top] = up = k[top] + inner[top] * up;
        k[low] = down = k[low] + outer[low] * down;
    }
}

/* Solves one stage in place: k_T holds b_T, k_a holds b_a; on return the stage's values. */
static void solve_stage(pci_wall *wall, double *restrict k_T, double *restrict k_a) {
    const pci_nodes *n = &wall->n;
    const pci_points *p = &wall->p;
#pragma omp simd
    for (size_t i = 0; i < n->count; i++)
        k_T[i] *= n->C[i];
    for (size_t i = 0; i < p->count; i++)
        k_T[p->node[i]] += p->heat[i] * k_a[i];
    solve_nodes(n, k_T);
    for (size_t i = 0; i < p->count; i++)
        k_a[i] = (k_a[i] + p->slope_T[i] * k_T[p->node[i]]) * p->share[i];
}

/* result = start + sum of weight[j] stage[j], in one pass: most of a step's arithmetic is here. */
static void combine(size_t count, const double *start, double *const stage[], const double *weight,
                    int stages, double *result) {
    const double *k[STAGES];
    double w[STAGES];
    for (int j = 0; j < stages; j++) {
        k[j] = stage[j];
        w[j] = weight[j];
    }
    switch (stages) {
    case 1:
#pragma omp simd
        for (size_t i = 0; i < count; i++)
            result[i] = start[i] + w[0] * k[0][i];
        break;
    case 2:
#pragma omp simd
        for (size_t i = 0; i < count; i++)
            result[i] = start[i] + w[0] * k[0][i] + w[1] * k[1][i];
        break;
    case 3:
#pragma omp simd
        for (size_t i = 0; i < count; i++)
            result[i] = start[i] + w[0] * k[0][i] + w[1] * k[1][i] + w[2] * k[2][i];
        break;
    case 4:
#pragma omp simd
        for (size_t i = 0; i < count; i++)
            result[i] =
                start[i] + w[0] * k[0][i] + w[1] * k[1][i] + (w[2] * k[2][i] + w[3] * k[3][i]);
        break;
    default:
#pragma omp simd
        for (size_t i = 0; i < count; i++)
            result[i] = start[i] + w[0] * k[0][i] + w[1] * k[1][i] +
                        (w[2] * k[2][i] + w[3] * k[3][i]) + w[4] * k[4][i];
    }
}

/* State in which a stage looks at the rates; stage STAGES is the end of the step. */
static void try_stage(pci_wall *wall, int s) {
    static const double whole[] = {1.0};
    pci_nodes *n = &wall->n;
    pci_points *p = &wall->p;
    if (s < STAGES - 1) {
        combine(n->count, n->T, n->stage, STEP_A[s], s, n->trial);
        combine(p->count, p->a, p->stage, STEP_A[s], s, p->trial);
    } else {
        combine(n->count, n->trial, n->stage + s - 1, whole, 1, n->trial);
        combine(p->count, p->trial, p->stage + s - 1, whole, 1, p->trial);
    }
}

/* All stages of a step of width h; false where the width will not do. */
static bool stages(pci_wall *wall, double h) {
    pci_nodes *n = &wall->n;
    pci_points *p = &wall->p;
    double g = 1.0 / (GAMMA * h);
    if (!factor(wall, g))
        return false;
    double air_now_K = pci_wall_air(wall, wall->t_s);
    double air_slope =
        wall->spec.air_fn ? (pci_wall_air(wall, wall->t_s + h) - air_now_K) / h : 0.0;
    double face_W_K = wall->out_W_K + wall->in_W_K;
    for (int s = 0; s < STAGES; s++) {
        double weight_c[STAGES];
        for (int j = 0; j < s; j++)
            weight_c[j] = STEP_C[s][j] / h;
        double *k_T = n->stage[s], *k_a = p->stage[s], lost;
        if (s == 0) {
            memcpy(k_T, n->F, n->count * sizeof *k_T);
            memcpy(k_a, p->F, p->count * sizeof *k_a);
            lost = wall->lost_F;
        } else {
            try_stage(wall, s);
            lost =
                rates_at(wall, n->trial, p->trial, air_now_K + ALPHA[s] * h * air_slope, k_T, k_a);
            combine(n->count, k_T, n->stage, weight_c, s, k_T);
            combine(p->count, k_a, p->stage, weight_c, s, k_a);
        }
        for (int j = 0; j < s; j++)
            lost += weight_c[j] * wall->lost_stage[j];
        if (air_slope != 0.0) {
            double drift = GAMMA_SUM[s] * h * air_slope;
            k_T[0] += drift * wall->out_W_K / n->C[0];
            k_T[n->count - 1] += drift * wall->in_W_K / n->C[n->count - 1];
            lost -= drift * face_W_K;
        }
        solve_stage(wall, k_T, k_a);
        wall->lost_stage[s] =
            (lost + wall->out_W_K * k_T[0] + wall->in_W_K * k_T[n->count - 1]) / g;
    }
    return true;
}

/* Error of the step against the tolerance, root mean square; the last stage is the estimate. A
 * whole cure counts as much as T_SCALE_K, about what it heats a resin by where no heat is lost. */
static double step_error(const pci_wall *wall) {
    const pci_nodes *n = &wall->n;
    const pci_points *p = &wall->p;
    const double *e_T = n->stage[STAGES - 1], *e_a = p->stage[STAGES - 1];
    double T_unit = T_SCALE_K * wall->spec.tolerance, a_unit = wall->spec.tolerance, sum = 0.0;
    for (size_t i = 0; i < n->count; i++)
        sum += (e_T[i] / T_unit) * (e_T[i] / T_unit);
    for (size_t i = 0; i < p->count; i++)
        sum += (e_a[i] / a_unit) * (e_a[i] / a_unit);
    return sqrt(sum / (double)(n->count + p->count));
}

static void accept(pci_wall *wall, double h) {
    static const double M[STAGES] = {0.1221224509226641e+01,
                                     0.6019134481288629e+01,
                                     0.1253708332932087e+02,
                                     -0.6878860361058950e+00,
                                     1.0,
                                     1.0};
    pci_nodes *n = &wall->n;
    pci_points *p = &wall->p;
    memcpy(n->T_old, n->T, n->count * sizeof *n->T);
    memcpy(n->F_old, n->F, n->count * sizeof *n->F);
    memcpy(p->a_old, p->a, p->count * sizeof *p->a);
    memcpy(p->F_old, p->F, p->count * sizeof *p->F);
    for (size_t l = 0; l < wall->layer_count; l++)
        wall->layer[l].before = wall->layer[l].now;
    wall->lost_old_J = wall->lost_J;
    wall->t_old_s = wall->t_s;
    try_stage(wall, STAGES);
    memcpy(n->T, n->trial, n->count * sizeof *n->T);
    memcpy(p->a, p->trial, p->count * sizeof *p->a);
    for (int s = 0; s < STAGES; s++)
        wall->lost_J += M[s] * wall->lost_stage[s];
    wall->t_s += h;
    pci_wall_rates(wall);
}

/* Narrows a step until the air's temperature is straight over it, which the stages take it to be.
 * Below AIR_STEP_LEAST_S a bend is a jump, and as well taken in one step. */
static double within_straight_air(const pci_wall *wall, double width) {
    double t = wall->t_s, now_K = 0.0;
    if (!wall->spec.air_fn)
        return width;
    now_K = pci_wall_air(wall, t);
    for (; width > AIR_STEP_LEAST_S; width *= 0.5) {
        double rise_K = pci_wall_air(wall, t + width) - now_K, bend_K = 0.0;
        for (int i = 1; i < 4; i++)
            bend_K = fmax(
                bend_K, fabs(pci_wall_air(wall, t + 0.25 * i * width) - now_K - 0.25 * i * rise_K));
        if (bend_K <= AIR_BEND_MOST_K)
            break;
    }
    return width;
}

/* Cure slows down as it goes: what is a share of the time since the pour is a share of the cure
 * that is left. The tolerance alone, which is one of conversion, lets a coarse run step over the
 * whole slow end at once, where a little conversion is much time. */
static double within_cure(const pci_wall *wall, double width) {
    if (wall->layer_count == 0)
        return width;
    double since_s = wall->t_s - wall->layer[wall->layer_count - 1].pour_s;
    return fmin(width, fmax(CURE_STEP_LEAST_S, CURE_STEP_SHARE * since_s));
}

pc_status pci_wall_step(pci_wall *wall, double end_s) {
    if (!wall->rates_fresh)
        pci_wall_rates(wall);
    slopes(wall);
    double h = within_straight_air(wall, fmin(wall->step_s, end_s - wall->t_s));
    if (h == end_s - wall->t_s)
        h = fmax(h, wall->step_s);
    for (int i = 0; i < REJECTIONS_MOST && wall->work < wall->work_most; i++) {
        wall->work += (double)wall->n.count;
        double left = end_s - wall->t_s;
        bool cut = h >= left;
        double width = cut ? left : h;
        double error = stages(wall, width) ? step_error(wall) : INFINITY;
        double factor_h = error > 0.0 ? 0.9 * pow(error, -0.25) : 5.0;
        if (error <= 1.0) {
            double next = width * fmin(5.0, fmax(0.2, factor_h));
            /* A step cut short to end on time says nothing against the width before it. */
            wall->step_s = cut ? fmax(next, wall->step_s) : next;
            accept(wall, width);
            wall->step_s = within_cure(wall, wall->step_s);
            if (cut)
                wall->t_s = end_s;
            return PC_OK;
        }
        h = width * (isfinite(error) ? fmin(0.5, fmax(0.1, factor_h)) : 0.25);
    }
    return PC_E_NUMERIC;
}
