/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The wall of the independent reference solver: see reference.h. */
#include "reference.h"

#include "wall/layers.h"
#include <cvode/cvode.h>
#include <math.h>
#include <nvector/nvector_serial.h>
#include <stdlib.h>
#include <string.h>
#include <sundials/sundials_math.h>
#include <sunlinsol/sunlinsol_band.h>
#include <sunmatrix/sunmatrix_band.h>

enum { BAND = 3, NONE = -1 };

typedef struct slab {
    double thickness_m, k, rho, cp;
    int layer; /* of resin, NONE for mold */
} slab;

typedef struct node {
    double x, r;
    int side[2];      /* slab outside and inside of the node, NONE at a face */
    double volume[2]; /* of the two half cells */
    long iT, ia[2];   /* places in the state; ia equal inside a slab; NONE without resin */
    double capacity;
} node;

struct ref_wall {
    pci_wall_spec spec;
    ref_options options;
    double t, outer_r;
    size_t slabs, layers, nodes;
    slab slab[REF_SLABS_MOST];
    pc_resin resin[PC_WALL_LAYERS_MOST];
    pci_layer_events events[PC_WALL_LAYERS_MOST];
    node *node;
    double *conductance; /* between node i and i + 1 */
    double demold_s;
    long size, steps;
    SUNContext context;
    N_Vector y, past;
    SUNMatrix matrix;
    SUNLinearSolver linear;
    void *cvode;
};

static double power(double base, double exponent) {
    return exponent == 0 ? 1 : base <= 0 ? 0 : pow(base, exponent);
}

double ref_rate(const pc_cure *c, double a, double T_K) {
    double x = a < 0 ? 0 : a > 1 ? 1 : a;
    double k1 = c->A1_per_s * exp(-c->E1_J_mol / (PC_GAS_CONSTANT * T_K));
    double k2 = c->A2_per_s > 0 ? c->A2_per_s * exp(-c->E2_J_mol / (PC_GAS_CONSTANT * T_K)) : 0;
    double both = k1 + (k2 > 0 ? k2 * power(x, c->m) : 0);
    return both * power(1 - x, c->n);
}

/* Rate with its derivatives after T and a. */
static double rate_slopes(const pc_cure *c, double a, double T, double *by_T, double *by_a) {
    double x = a < 1e-12 ? 1e-12 : a > 1 - 1e-12 ? 1 - 1e-12 : a;
    double k1 = c->A1_per_s * exp(-c->E1_J_mol / (PC_GAS_CONSTANT * T));
    double k2 = c->A2_per_s > 0 ? c->A2_per_s * exp(-c->E2_J_mol / (PC_GAS_CONSTANT * T)) : 0;
    double xm = k2 > 0 ? power(x, c->m) : 0, rest = power(1 - x, c->n);
    double both = k1 + k2 * xm;
    *by_T = (k1 * c->E1_J_mol + k2 * xm * c->E2_J_mol) / (PC_GAS_CONSTANT * T * T) * rest;
    *by_a = k2 * c->m * xm / x * rest - both * c->n * rest / (1 - x);
    return both * rest;
}

static double volume_between(int p, double r1, double r2) {
    double lo = fmin(r1, r2), hi = fmax(r1, r2);
    return p == 0 ? hi - lo : p == 1 ? (hi * hi - lo * lo) / 2 : (hi * hi * hi - lo * lo * lo) / 3;
}

static double area_at(int p, double r) {
    return p == 0 ? 1 : p == 1 ? r : r * r;
}

static double air_now(const ref_wall *w, double t) {
    return w->spec.air_fn ? w->spec.air_fn(t, w->spec.air_context) : w->spec.air_K;
}

static int right_side(realtype t, N_Vector y, N_Vector ydot, void *data) {
    const ref_wall *w = data;
    const double *v = N_VGetArrayPointer(y);
    double *d = N_VGetArrayPointer(ydot);
    int p = (int)w->spec.form;
    for (size_t i = 0; i < w->nodes; i++) {
        const node *n = &w->node[i];
        double T = v[n->iT], q = 0;
        if (i > 0)
            q += w->conductance[i - 1] * (v[w->node[i - 1].iT] - T);
        else
            q += area_at(p, n->r) * w->spec.out_W_m2K * (air_now(w, t) - T);
        if (i + 1 < w->nodes)
            q += w->conductance[i] * (v[w->node[i + 1].iT] - T);
        else
            q += area_at(p, n->r) * w->spec.in_W_m2K * (air_now(w, t) - T);
        for (int s = 0; s < 2; s++) {
            if (n->ia[s] == NONE)
                continue;
            const pc_resin *resin = &w->resin[w->slab[n->side[s]].layer];
            double rate = s == 1 && n->ia[1] == n->ia[0] ? d[n->ia[0]]
                                                         : ref_rate(&resin->cure, v[n->ia[s]], T);
            d[n->ia[s]] = rate;
            q += n->volume[s] * resin->density_kg_m3 * resin->cure.heat_J_kg * rate;
        }
        d[n->iT] = q / n->capacity;
        if (!isfinite(d[n->iT]))
            return 1;
    }
    return 0;
}

static int jacobian(realtype t, N_Vector y, N_Vector fy, SUNMatrix J, void *data, N_Vector a,
                    N_Vector b, N_Vector c) {
    (void)t, (void)fy, (void)a, (void)b, (void)c;
    const ref_wall *w = data;
    const double *v = N_VGetArrayPointer(y);
    int p = (int)w->spec.form;
    for (size_t i = 0; i < w->nodes; i++) {
        const node *n = &w->node[i];
        double own = 0, T = v[n->iT];
        if (i > 0) {
            own -= w->conductance[i - 1];
            SM_ELEMENT_B(J, n->iT, w->node[i - 1].iT) = w->conductance[i - 1] / n->capacity;
        } else {
            own -= area_at(p, n->r) * w->spec.out_W_m2K;
        }
        if (i + 1 < w->nodes) {
            own -= w->conductance[i];
            SM_ELEMENT_B(J, n->iT, w->node[i + 1].iT) = w->conductance[i] / n->capacity;
        } else {
            own -= area_at(p, n->r) * w->spec.in_W_m2K;
        }
        for (int s = 0; s < 2; s++) {
            if (n->ia[s] == NONE)
                continue;
            const pc_resin *resin = &w->resin[w->slab[n->side[s]].layer];
            double by_T, by_a;
            rate_slopes(&resin->cure, v[n->ia[s]], T, &by_T, &by_a);
            double heat = n->volume[s] * resin->density_kg_m3 * resin->cure.heat_J_kg;
            own += heat * by_T;
            SM_ELEMENT_B(J, n->iT, n->ia[s]) += heat * by_a / n->capacity;
            SM_ELEMENT_B(J, n->ia[s], n->iT) = by_T;
            SM_ELEMENT_B(J, n->ia[s], n->ia[s]) = by_a;
        }
        SM_ELEMENT_B(J, n->iT, n->iT) = own / n->capacity;
    }
    return 0;
}

static void drop_cvode(ref_wall *w) {
    if (w->cvode) {
        long n = 0;
        CVodeGetNumSteps(w->cvode, &n);
        w->steps += n;
        CVodeFree(&w->cvode);
        SUNLinSolFree(w->linear);
        SUNMatDestroy(w->matrix);
        w->cvode = NULL;
    }
}

ref_wall *ref_wall_new(const pci_wall_spec *spec, double start_s, const ref_options *options) {
    ref_wall *w = calloc(1, sizeof *w);
    if (!w || SUNContext_Create(NULL, &w->context)) {
        free(w);
        return NULL;
    }
    w->spec = *spec;
    w->options = *options;
    w->t = start_s;
    w->demold_s = NAN;
    w->outer_r = spec->form == PC_SLAB ? 0 : spec->cavity_radius_m;
    for (size_t i = 0; i < spec->mold_count; i++) {
        w->slab[w->slabs++] = (slab){spec->mold_thickness_m[i], spec->mold[i].k_W_mK,
                                     spec->mold[i].rho_kg_m3, spec->mold[i].cp_J_kgK, NONE};
        if (spec->form != PC_SLAB)
            w->outer_r += spec->mold_thickness_m[i];
    }
    return w;
}

void ref_wall_free(ref_wall *w) {
    if (!w)
        return;
    drop_cvode(w);
    if (w->y)
        N_VDestroy(w->y);
    if (w->past)
        N_VDestroy(w->past);
    SUNContext_Free(&w->context);
    free(w->node);
    free(w->conductance);
    free(w);
}

static double grade(double s, double b) {
    return b > 0 ? 0.5 * (1 + tanh(b * (2 * s - 1)) / tanh(b)) : s;
}

/* Nodes of all slabs, volumes, conductances and places in the state vector. */
static int lay_nodes(ref_wall *w) {
    size_t cells = w->options.cells, count = w->slabs * cells + 1;
    const double *given = w->options.nodes_m;
    if (given) {
        double depth = 0;
        for (size_t s = 0; s < w->slabs; s++)
            depth += w->slab[s].thickness_m;
        for (count = 0; count < w->options.node_count && given[count] < depth * (1 + 1e-9);)
            count++;
    }
    free(w->node);
    free(w->conductance);
    w->node = calloc(count, sizeof *w->node);
    w->conductance = calloc(count, sizeof *w->conductance);
    if (!w->node || !w->conductance)
        return -1;
    w->nodes = count;
    int p = (int)w->spec.form;
    size_t at = 0;
    double top = 0;
    w->node[0].x = 0;
    w->node[0].side[0] = NONE;
    for (size_t s = 0; s < w->slabs; s++) {
        double d = w->slab[s].thickness_m;
        for (size_t i = 1; given ? w->node[at].x < top + d * (1 - 1e-9) : i <= cells; i++) {
            w->node[at].side[1] = w->node[at + 1].side[0] = (int)s;
            at++;
            w->node[at].x = given ? given[at]
                            : i == cells
                                ? top + d
                                : top + d * grade((double)i / (double)cells, w->options.grading);
            if (at + 1 >= count)
                break;
        }
        top += d;
    }
    w->node[count - 1].side[1] = NONE;
    for (size_t i = 0; i < count; i++)
        w->node[i].r = p == 0 ? 0 : fmax(0, w->outer_r - w->node[i].x);
    return at + 1 == count ? 0 : -1;
}

static void fill_nodes(ref_wall *w) {
    int p = (int)w->spec.form;
    w->size = 0;
    for (size_t i = 0; i < w->nodes; i++) {
        node *n = &w->node[i];
        n->capacity = 0;
        n->iT = w->size++;
        for (int s = 0; s < 2; s++) {
            n->ia[s] = NONE;
            n->volume[s] = 0;
            if (n->side[s] == NONE)
                continue;
            const slab *part = &w->slab[n->side[s]];
            double x = (n->x + w->node[s ? i + 1 : i - 1].x) / 2;
            double r = p == 0 ? -n->x : n->r, half = p == 0 ? -x : w->outer_r - x;
            n->volume[s] = volume_between(p, r, half);
            n->capacity += n->volume[s] * part->rho * part->cp;
            if (part->layer != NONE)
                n->ia[s] = s == 1 && n->side[0] == n->side[1] ? n->ia[0] : w->size++;
        }
        if (i + 1 < w->nodes) {
            double dx = w->node[i + 1].x - n->x;
            double middle = p == 0 ? 0 : w->outer_r - n->x - dx / 2;
            w->conductance[i] = w->slab[n->side[1]].k * area_at(p, middle) / dx;
        }
    }
}

/* Temperature and conversion of the old state at depth x (on a slab side) for a regrid. */
static double old_value(const node *nodes, size_t count, const double *v, double x, int in_slab,
                        int conversion) {
    for (size_t i = 0; i + 1 < count; i++) {
        if (nodes[i].side[1] != in_slab || x > nodes[i + 1].x * (1 + 1e-14) + 1e-15)
            continue;
        double f = (x - nodes[i].x) / (nodes[i + 1].x - nodes[i].x);
        f = f < 0 ? 0 : f > 1 ? 1 : f;
        long lo = conversion ? nodes[i].ia[1] : nodes[i].iT;
        long hi = conversion ? nodes[i + 1].ia[0] : nodes[i + 1].iT;
        return (1 - f) * v[lo] + f * v[hi];
    }
    return NAN;
}

static double contact(const ref_wall *w, const node *n, double T_out, double T_in) {
    const slab *a = &w->slab[n->side[0]], *b = &w->slab[n->side[1]];
    double ea = sqrt(a->k * a->rho * a->cp), eb = sqrt(b->k * b->rho * b->cp);
    if (w->options.mixed_contact) {
        ea = n->volume[0] * a->rho * a->cp;
        eb = n->volume[1] * b->rho * b->cp;
    }
    return (ea * T_out + eb * T_in) / (ea + eb);
}

static void watch(ref_wall *w, double t, const double *v);

int ref_wall_pour(ref_wall *w, const pc_resin *resin, double thickness_m, pc_cup_state state) {
    node *old = w->node;
    size_t old_count = w->nodes;
    N_Vector old_y = w->y;
    w->node = NULL;
    drop_cvode(w);
    if (w->past)
        N_VDestroy(w->past);
    int fresh = (int)w->slabs, layer = (int)w->layers;
    w->slab[w->slabs++] =
        (slab){thickness_m, resin->cure.k_W_mK, resin->density_kg_m3, resin->cure.cp_J_kgK, layer};
    w->resin[w->layers++] = *resin;
    w->demold_s = NAN; /* a pour undoes it */
    w->events[layer] = (pci_layer_events){.set_s = NAN,
                                          .first_gel_s = NAN,
                                          .gel_s = NAN,
                                          .bond_close_s = NAN,
                                          .peak_K = -INFINITY,
                                          .peak_s = NAN};
    if (lay_nodes(w))
        return -1;
    fill_nodes(w);
    w->y = N_VNew_Serial(w->size, w->context);
    w->past = N_VClone(w->y);
    const double *from = old ? N_VGetArrayPointer(old_y) : NULL;
    double *v = N_VGetArrayPointer(w->y);
    for (size_t i = 0; i < w->nodes; i++) {
        node *n = &w->node[i];
        double T[2] = {state.T_K, state.T_K};
        for (int s = 0; s < 2; s++) {
            if (n->side[s] == NONE)
                continue;
            bool is_new = n->side[s] == fresh;
            if (!is_new)
                T[s] = old ? old_value(old, old_count, from, n->x, n->side[s], 0) : w->spec.mold_K;
            if (n->ia[s] != NONE)
                v[n->ia[s]] =
                    is_new ? state.a : old_value(old, old_count, from, n->x, n->side[s], 1);
        }
        v[n->iT] = n->side[0] == NONE                               ? T[1]
                   : n->side[1] == NONE || n->side[0] == n->side[1] ? T[0]
                   : n->side[1] == fresh                            ? contact(w, n, T[0], T[1])
                                                                    : T[0];
    }
    if (old_y)
        N_VDestroy(old_y);
    free(old);
    watch(w, w->t, v);
    return 0;
}

static int start_cvode(ref_wall *w) {
    w->cvode = CVodeCreate(CV_BDF, w->context);
    w->matrix = SUNBandMatrix(w->size, BAND, BAND, w->context);
    w->linear = SUNLinSol_Band(w->y, w->matrix, w->context);
    if (!w->cvode || !w->matrix || !w->linear || CVodeInit(w->cvode, right_side, w->t, w->y))
        return -1;
    N_Vector tolerance = N_VClone(w->y);
    double *tol = N_VGetArrayPointer(tolerance);
    for (long i = 0; i < w->size; i++)
        tol[i] = w->options.rtol;
    for (size_t i = 0; i < w->nodes; i++)
        tol[w->node[i].iT] = 100 * w->options.rtol;
    int bad = CVodeSVtolerances(w->cvode, w->options.rtol, tolerance);
    N_VDestroy(tolerance);
    bad = bad || CVodeSetUserData(w->cvode, w) ||
          CVodeSetLinearSolver(w->cvode, w->linear, w->matrix) ||
          CVodeSetMaxNumSteps(w->cvode, 2000000);
    if (!bad && w->options.jacobian)
        bad = CVodeSetJacFn(w->cvode, jacobian);
    return bad ? -1 : 0;
}

typedef struct extent {
    double least_a, most_a, inner_a, hottest;
} extent;

static extent layer_extent(const ref_wall *w, const double *v, int layer) {
    extent e = {INFINITY, -INFINITY, NAN, -INFINITY};
    for (size_t i = 0; i < w->nodes; i++)
        for (int s = 0; s < 2; s++) {
            const node *n = &w->node[i];
            if (n->ia[s] == NONE || w->slab[n->side[s]].layer != layer)
                continue;
            e.least_a = fmin(e.least_a, v[n->ia[s]]);
            e.most_a = fmax(e.most_a, v[n->ia[s]]);
            e.inner_a = v[n->ia[s]];
            e.hottest = fmax(e.hottest, v[n->iT]);
        }
    return e;
}

enum { FIRST_GEL, GEL, BOND, DEMOLD, KINDS };

/* Above zero once the event has happened. */
static double gap(const ref_wall *w, const double *v, int kind, int layer) {
    if (kind == DEMOLD) {
        double least = INFINITY;
        for (int j = 0; j < (int)w->layers; j++) {
            extent e = layer_extent(w, v, j);
            least = fmin(least, e.least_a - w->resin[j].cure.a_demold);
            least = fmin(least, (w->resin[j].demold_below_K - e.hottest) / 100);
        }
        return least;
    }
    extent e = layer_extent(w, v, layer);
    const pc_cure *c = &w->resin[layer].cure;
    return kind == FIRST_GEL ? e.most_a - c->a_gel
           : kind == GEL     ? e.least_a - c->a_gel
                             : e.inner_a - c->a_bond;
}

static double *event_of(ref_wall *w, int kind, int layer) {
    pci_layer_events *e = &w->events[layer];
    return kind == DEMOLD      ? &w->demold_s
           : kind == FIRST_GEL ? &e->first_gel_s
           : kind == GEL       ? &e->gel_s
                               : &e->bond_close_s;
}

/* Time of an event between the last step's start and now, from CVODE's own interpolant. */
static double locate(ref_wall *w, double lo, double hi, int kind, int layer) {
    for (int i = 0; i < 45; i++) {
        double mid = (lo + hi) / 2;
        if (CVodeGetDky(w->cvode, mid, 0, w->past))
            return NAN;
        *(gap(w, N_VGetArrayPointer(w->past), kind, layer) >= 0 ? &hi : &lo) = mid;
    }
    return (lo + hi) / 2;
}

/* Book what has happened at t; inside a step from CVODE's interpolant. */
static void watch(ref_wall *w, double t, const double *v) {
    double step = 0;
    if (w->cvode)
        CVodeGetLastStep(w->cvode, &step);
    for (int j = 0; j < (int)w->layers; j++) {
        if (w->options.gel_only) {
            if (isnan(w->events[j].gel_s) && gap(w, v, GEL, j) >= 0)
                w->events[j].gel_s = w->cvode ? locate(w, t - step, t, GEL, j) : t;
            continue;
        }
        for (int kind = FIRST_GEL; kind < KINDS; kind++) {
            double *event = event_of(w, kind, j);
            if (isnan(*event) && (kind != DEMOLD || j == 0) && gap(w, v, kind, j) >= 0)
                *event = w->cvode ? locate(w, t - step, t, kind, j) : t;
        }
        for (int i = w->cvode ? 4 : 1; i >= 1; i--) {
            double at = t - step * (i - 1) / 4;
            const double *u = v;
            if (i > 1 && CVodeGetDky(w->cvode, at, 0, w->past) == 0)
                u = N_VGetArrayPointer(w->past);
            double hottest = layer_extent(w, u, j).hottest;
            if (hottest > w->events[j].peak_K) {
                w->events[j].peak_K = hottest;
                w->events[j].peak_s = at;
            }
        }
    }
}

/* Steps until time_s, or until *event is known. */
static int run(ref_wall *w, double time_s, const double *event) {
    if (!w->cvode && start_cvode(w))
        return -1;
    CVodeSetStopTime(w->cvode, time_s);
    while (w->t < time_s && !(event && !isnan(*event))) {
        realtype t;
        int flag = CVode(w->cvode, time_s, w->y, &t, CV_ONE_STEP);
        if (flag < 0)
            return flag;
        w->t = t;
        watch(w, t, N_VGetArrayPointer(w->y));
    }
    return 0;
}

/* After an event the wall stands exactly there, so that the next pour can start from it. */
static int run_to_event(ref_wall *w, double latest_s, const double *event, double *time_s) {
    int bad = run(w, latest_s, event);
    *time_s = *event;
    if (!bad && !isnan(*event) && *event < w->t) {
        double step = 0;
        CVodeGetLastStep(w->cvode, &step);
        if (*event >= w->t - step && CVodeGetDky(w->cvode, *event, 0, w->y) == 0) {
            w->t = *event;
            drop_cvode(w);
        }
    }
    return bad;
}

int ref_wall_advance(ref_wall *w, double time_s) {
    return time_s > w->t ? run(w, time_s, NULL) : 0;
}
int ref_wall_until_gel(ref_wall *w, size_t layer, double latest_s, double *time_s) {
    return run_to_event(w, latest_s, &w->events[layer].gel_s, time_s);
}
int ref_wall_until_bond(ref_wall *w, size_t layer, double latest_s, double *time_s) {
    return run_to_event(w, latest_s, &w->events[layer].bond_close_s, time_s);
}
int ref_wall_until_demold(ref_wall *w, double latest_s, double *time_s) {
    return run_to_event(w, latest_s, &w->demold_s, time_s);
}
double ref_wall_time(const ref_wall *w) {
    return w->t;
}
pci_layer_events ref_wall_events(const ref_wall *w, size_t layer) {
    return w->events[layer];
}
double ref_wall_least_a(const ref_wall *w, size_t layer) {
    return layer_extent(w, N_VGetArrayPointer(w->y), (int)layer).least_a;
}
long ref_wall_steps(const ref_wall *w) {
    long now = 0;
    if (w->cvode)
        CVodeGetNumSteps(w->cvode, &now);
    return w->steps + now;
}
size_t ref_wall_nodes(const ref_wall *w) {
    return w->nodes;
}
