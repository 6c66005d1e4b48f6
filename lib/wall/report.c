/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a wall looks like at present: profile, a layer's means, energy. */
#include <math.h>

#include "resin/cure_rate.h"
#include "wall/inside.h"
#include "wall/layers.h"

static void put(double *array, size_t most, size_t i, double value) {
    if (array && i < most)
        array[i] = value;
}

size_t pci_wall_profile(const pci_wall *wall, size_t most, double *x_m, double *T_K, double *a) {
    if (!wall)
        return 0;
    const pci_nodes *n = &wall->n;
    const pci_points *p = &wall->p;
    size_t count = 0, point = 0;
    for (size_t i = 0; i < n->count; i++) {
        bool resin = point < p->count && p->node[point] == i;
        do {
            put(x_m, most, count, n->x_m[i]);
            put(T_K, most, count, n->T[i]);
            put(a, most, count, resin ? p->a[point] : NAN);
            count++;
            point += resin;
            resin = point < p->count && p->node[point] == i;
        } while (resin);
    }
    return count;
}

pc_status pci_wall_layer_state(const pci_wall *wall, size_t layer, pci_layer_state *state) {
    if (!wall || !state || layer >= wall->layer_count)
        return PC_E_ARGUMENT;
    const pci_wall_layer *l = &wall->layer[layer];
    pci_layer_state s = {0.0, 0.0, INFINITY, -INFINITY, -INFINITY, 0.0};
    for (size_t i = l->first; i < l->first + l->count; i++) {
        double T_K = wall->n.T[wall->p.node[i]], a = wall->p.a[i], v = wall->p.volume[i];
        s.T_K += v * T_K / l->volume;
        s.a += v * a / l->volume;
        s.a_least = fmin(s.a_least, a);
        s.a_most = fmax(s.a_most, a);
        s.hottest_K = fmax(s.hottest_K, T_K);
        s.mu_Pa_s += v * pci_viscosity(&l->resin.flow, a, T_K) / l->volume;
    }
    *state = s;
    return PC_OK;
}

pc_status pci_wall_energy_now(const pci_wall *wall, pci_wall_energy *energy) {
    if (!wall || !energy)
        return PC_E_ARGUMENT;
    pci_wall_energy e = {0.0, wall->poured_J, -wall->released_0_J, wall->lost_J};
    for (size_t i = 0; i < wall->n.count; i++)
        e.content_J += wall->n.C[i] * (wall->n.T[i] - wall->spec.mold_K);
    for (size_t i = 0; i < wall->p.count; i++)
        e.released_J += wall->p.Q[i] * wall->p.a[i];
    *energy = e;
    return PC_OK;
}
