/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Nodes, volumes and conductances of the wall. */
#include <math.h>
#include <stdlib.h>

#include "base/try.h"
#include "pourclock/quantity.h"
#include "wall/inside.h"
#include "wall/layers.h"

/* Grid sizes that hold the accuracy promised (tests/unit/check_accuracy.c) with the fewest nodes.
 */
static const double MOLD_FIRST_M = 0.08e-3; /* element next to the resin */
static const double MOLD_GROWTH = 1.12;     /* and how they widen away from it */
static const double LAYER_ELEMENTS = 14.0;  /* in the thinnest film */
static const double LAYER_ELEMENT_M = 0.30e-3;
static const double FRONT_SHARE = 0.17;
static const double ELEMENT_LEAST_M = 0.03e-3;
static const double END_SHRINK = 0.70; /* end elements against the middle ones, thick layers */

static bool grow(double **array, size_t room) {
    double *bigger = realloc(*array, room * sizeof **array);
    if (!bigger)
        return false;
    *array = bigger;
    return true;
}

static bool reserve_nodes(pci_nodes *n, size_t count) {
    if (count <= n->room)
        return true;
    size_t room = count + count / 2 + 16;
    double **arrays[] = {&n->x_m,   &n->C,     &n->G,        &n->T,     &n->T_old, &n->F,
                         &n->F_old, &n->trial, &n->diagonal, &n->inner, &n->outer};
    for (size_t i = 0; i < sizeof arrays / sizeof *arrays; i++)
        if (!grow(arrays[i], room))
            return false;
    for (int s = 0; s < PCI_STAGES_MOST; s++)
        if (!grow(&n->stage[s], room))
            return false;
    n->room = room;
    return true;
}

static bool reserve_points(pci_points *p, size_t count) {
    if (count <= p->room)
        return true;
    size_t room = count + count / 2 + 16;
    double **arrays[] = {&p->volume, &p->Q,       &p->a,       &p->a_old, &p->F,   &p->F_old,
                         &p->trial,  &p->slope_a, &p->slope_T, &p->share, &p->heat};
    for (size_t i = 0; i < sizeof arrays / sizeof *arrays; i++)
        if (!grow(arrays[i], room))
            return false;
    for (int s = 0; s < PCI_STAGES_MOST; s++)
        if (!grow(&p->stage[s], room))
            return false;
    size_t *node = realloc(p->node, room * sizeof *node);
    if (!node)
        return false;
    p->node = node;
    p->room = room;
    return true;
}

pc_status pci_wall_reserve(pci_wall *wall, size_t nodes, size_t points) {
    return reserve_nodes(&wall->n, nodes) && reserve_points(&wall->p, points) ? PC_OK : PC_E_MEMORY;
}

void pci_wall_release(pci_wall *wall) {
    pci_nodes *n = &wall->n;
    double *node_arrays[] = {n->x_m,   n->C,     n->G,        n->T,     n->T_old, n->F,
                             n->F_old, n->trial, n->diagonal, n->inner, n->outer};
    for (size_t i = 0; i < sizeof node_arrays / sizeof *node_arrays; i++)
        free(node_arrays[i]);
    pci_points *p = &wall->p;
    double *point_arrays[] = {p->volume, p->Q,       p->a,       p->a_old, p->F,   p->F_old,
                              p->trial,  p->slope_a, p->slope_T, p->share, p->heat};
    for (size_t i = 0; i < sizeof point_arrays / sizeof *point_arrays; i++)
        free(point_arrays[i]);
    for (int s = 0; s < PCI_STAGES_MOST; s++) {
        free(n->stage[s]);
        free(p->stage[s]);
    }
    free(p->node);
    free(wall->layer);
}

/* r at a depth; 1 throughout a slab, so that every formula below serves all three forms. */
static double radius(const pci_wall *wall, double x_m) {
    return wall->spec.form == PC_SLAB ? 1.0 : fmax(0.0, wall->outer_radius_m - x_m);
}

static double area(const pci_wall *wall, double x_m) {
    double r = radius(wall, x_m);
    return wall->spec.form == PC_SPHERE ? r * r : r;
}

/* Volume between two depths: the exact integral of r^p. */
static double volume(const pci_wall *wall, double x0_m, double x1_m) {
    double p1 = (double)wall->spec.form + 1.0;
    if (wall->spec.form == PC_SLAB)
        return x1_m - x0_m;
    return (pow(radius(wall, x0_m), p1) - pow(radius(wall, x1_m), p1)) / p1;
}

/* Adds one element of a material inward of the last node. Returns the volumes of its two halves,
 * the outer belonging to the node there, the inner to the new node. */
static void add_element(pci_wall *wall, double width_m, const pc_material *material, double T_K,
                        double *outer_half, double *inner_half) {
    pci_nodes *n = &wall->n;
    size_t last = n->count - 1;
    double x0 = n->x_m[last], middle = x0 + 0.5 * width_m, x1 = x0 + width_m;
    double heat = material->rho_kg_m3 * material->cp_J_kgK;
    *outer_half = volume(wall, x0, middle);
    *inner_half = volume(wall, middle, x1);
    n->C[last] += heat * *outer_half;
    n->G[last] = material->k_W_mK * area(wall, middle) / width_m;
    n->x_m[n->count] = x1;
    n->C[n->count] = heat * *inner_half;
    n->G[n->count] = 0.0;
    n->T[n->count] = T_K;
    n->count++;
}

/* The outermost node; without a mold it is the outer face of the first layer. */
static void first_node(pci_wall *wall, double T_K) {
    pci_nodes *n = &wall->n;
    n->x_m[0] = 0.0;
    n->C[0] = n->G[0] = 0.0;
    n->T[0] = T_K;
    n->count = 1;
    wall->out_W_K = wall->spec.out_W_m2K * area(wall, 0.0);
    wall->in_W_K = 0.0;
}

/* Elements of a mold layer, listed from its inner face outward; returns how many. */
static size_t mold_widths(double thickness_m, double *first_m, double refine, double width[],
                          size_t most) {
    double growth = 1.0 + (MOLD_GROWTH - 1.0) / refine, sum = 0.0, w = *first_m;
    size_t count = 0;
    while (sum < thickness_m && count < most) {
        width[count++] = w;
        sum += w;
        w *= growth;
    }
    for (size_t i = 0; i < count; i++)
        width[i] *= thickness_m / sum;
    *first_m = width[count - 1] * growth;
    return count;
}

enum { WIDTHS_MOST = 4000 };

pc_status pci_wall_grow_mold(pci_wall *wall) {
    const pci_wall_spec *spec = &wall->spec;
    double *width = malloc(PC_MOLD_MOST * WIDTHS_MOST * sizeof *width);
    if (!width)
        return PC_E_MEMORY;
    size_t counts[PC_MOLD_MOST] = {0}, total = 0;
    double first_m = MOLD_FIRST_M / spec->refine;
    for (size_t i = spec->mold_count; i-- > 0;) {
        counts[i] = mold_widths(spec->mold_thickness_m[i], &first_m, spec->refine,
                                width + i * WIDTHS_MOST, WIDTHS_MOST);
        total += counts[i];
    }
    pc_status status = pci_wall_reserve(wall, total + 1, 1);
    if (status == PC_OK && spec->mold_count > 0) {
        first_node(wall, spec->mold_K);
        for (size_t i = 0; i < spec->mold_count; i++)
            for (size_t j = counts[i]; j-- > 0;) {
                double outer, inner;
                add_element(wall, width[i * WIDTHS_MOST + j], &spec->mold[i], spec->mold_K, &outer,
                            &inner);
            }
        wall->in_W_K = spec->in_W_m2K * area(wall, wall->n.x_m[wall->n.count - 1]);
    }
    free(width);
    return status;
}

/* Position of element border i of count in a layer, 0 to 1: finer toward both ends. */
static double layer_border(size_t i, size_t count, double shrink) {
    double u = (double)i / (double)count;
    return u - (1.0 - shrink) * sin(2.0 * PC_PI * u) / (2.0 * PC_PI);
}

static void add_point(pci_points *p, size_t node, double a) {
    p->node[p->count] = node;
    p->volume[p->count] = 0.0;
    p->a[p->count] = a;
    p->count++;
}

/* The node on the old inner face takes the mixed temperature of what meets there. */
static void join_temperature(pci_wall *wall, const pc_material *material, double width_m,
                             double T_K) {
    pci_nodes *n = &wall->n;
    size_t last = n->count - 1;
    double x0 = n->x_m[last];
    double brought =
        material->rho_kg_m3 * material->cp_J_kgK * volume(wall, x0, x0 + 0.5 * width_m);
    n->T[last] = (n->C[last] * n->T[last] + brought * T_K) / (n->C[last] + brought);
}

/* Fastest the layer can react if all its heat stays in it, 1/s; stop_K, where above 0: no run gets
 * hotter. */
static double fastest_rate(const pci_wall_layer *layer, const pc_cup_state *state, double stop_K) {
    enum { SAMPLES = 32 };
    double most_K = stop_K > 0.0 ? stop_K : PC_CURE_TEMPERATURE_MAX_K;
    double rise_K = layer->resin.cure.heat_J_kg / layer->resin.cure.cp_J_kgK, fastest = 0.0;
    for (int i = 0; i < SAMPLES; i++) {
        double a = state->a + (1.0 - state->a) * (double)i / SAMPLES;
        double T_K = fmin(state->T_K + (a - state->a) * rise_K, most_K);
        fastest = fmax(fastest, pci_rate_at(&layer->rate, a, T_K));
    }
    return fastest;
}

/* A thick hot layer burns through in a front about sqrt(diffusivity / rate) thick. Elements wider
 * than a part of it would each flare up by themselves, far above the true peak. */
static size_t element_count(const pci_wall_spec *spec, const pci_wall_layer *layer,
                            double thickness_m, const pc_cup_state *state) {
    const pc_cure *cure = &layer->resin.cure;
    double diffusivity = cure->k_W_mK / (layer->resin.density_kg_m3 * cure->cp_J_kgK);
    double front_m = sqrt(diffusivity / (fastest_rate(layer, state, spec->stop_above_K) + 1e-12));
    double element_m = fmin(LAYER_ELEMENT_M, fmax(FRONT_SHARE * front_m, ELEMENT_LEAST_M));
    double count = ceil(spec->refine * (LAYER_ELEMENTS + thickness_m / element_m));
    return (size_t)fmin(count, WIDTHS_MOST);
}

pc_status pci_wall_grow_layer(pci_wall *wall, pci_wall_layer *layer, double thickness_m,
                              const pc_cup_state *state) {
    size_t count = element_count(&wall->spec, layer, thickness_m, state);
    PCI_TRY(pci_wall_reserve(wall, wall->n.count + count + 1, wall->p.count + count + 1));
    const pc_cure *cure = &layer->resin.cure;
    pc_material material = {cure->k_W_mK, layer->resin.density_kg_m3, cure->cp_J_kgK};
    if (wall->n.count == 0)
        first_node(wall, state->T_K);
    double start = wall->n.x_m[wall->n.count - 1], end = start + thickness_m;
    join_temperature(wall, &material, thickness_m * layer_border(1, count, END_SHRINK), state->T_K);
    layer->first = wall->p.count;
    layer->count = count + 1;
    add_point(&wall->p, wall->n.count - 1, state->a);
    for (size_t i = 1; i <= count; i++) {
        double to = i == count ? end : start + thickness_m * layer_border(i, count, END_SHRINK);
        double outer, inner;
        add_element(wall, to - wall->n.x_m[wall->n.count - 1], &material, state->T_K, &outer,
                    &inner);
        wall->p.volume[wall->p.count - 1] += outer;
        add_point(&wall->p, wall->n.count - 1, state->a);
        wall->p.volume[wall->p.count - 1] += inner;
    }
    layer->volume = 0.0;
    for (size_t i = layer->first; i < wall->p.count; i++) {
        layer->volume += wall->p.volume[i];
        wall->p.Q[i] = material.rho_kg_m3 * cure->heat_J_kg * wall->p.volume[i];
    }
    wall->in_W_K = wall->spec.in_W_m2K * area(wall, end);
    wall->depth_m = end;
    wall->poured_J +=
        material.rho_kg_m3 * material.cp_J_kgK * layer->volume * (state->T_K - wall->spec.mold_K);
    return PC_OK;
}
