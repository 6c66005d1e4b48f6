/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The schedule of a part run again, sampled for graphs. */
#include <math.h>
#include <stdlib.h>

#include "plan/layout.h"
#include "plan/run.h"
#include "resin/cure_rate.h"
#include "wall/layers.h"

/* In the cup: from the mix to the end of the pour. */
static pc_status sample_cup(const pci_case *c, const pc_layer *layer, size_t n,
                            const double *time_s, pc_history_point *point) {
    double *since_s = malloc((n > 0 ? n : 1) * sizeof *since_s);
    pc_cup_state *state = malloc((n > 0 ? n : 1) * sizeof *state);
    size_t first = 0, count = 0;
    const pc_resin *mix = pci_case_mix(c, layer->number);
    pc_status status = since_s != NULL && state != NULL ? PC_OK : PC_E_MEMORY;
    while (first < n && !(time_s[first] >= layer->mix_s))
        first++;
    while (status == PC_OK && first + count < n && time_s[first + count] < layer->pour_end_s) {
        since_s[count] = time_s[first + count] - layer->mix_s;
        count++;
    }
    if (status == PC_OK && count > 0)
        status = pci_cup_trace(mix, pci_cup_kg(layer), pci_case_resin(c, layer->mix_s),
                               pci_case_air(c, layer->mix_s), count, since_s, state);
    for (size_t i = 0; status == PC_OK && i < count; i++) {
        pc_history_point *at = &point[first + i];
        at->T_K = at->hottest_K = state[i].T_K;
        at->a = state[i].a;
        at->mu_Pa_s = pci_viscosity(&mix->flow, state[i].a, state[i].T_K);
    }
    free(since_s);
    free(state);
    return status;
}

static pc_status sample_wall(pci_run *run, const pc_part_plan *plan, size_t n, const double *time_s,
                             pc_history_point *point) {
    size_t poured = 0;
    for (size_t i = 0; i < n; i++) {
        pc_status status = PC_OK;
        while (status == PC_OK && poured < plan->layer_count &&
               plan->layer[poured]->pour_end_s <= time_s[i]) {
            const pc_layer *layer = plan->layer[poured];
            if (poured > 0) /* the slug below is out by then */
                status = pci_run_advance(run, plan->layer[poured - 1], layer->pour_end_s);
            if (status == PC_OK)
                status = pci_run_pour(run, layer, layer->pour_end_s, NULL, NULL);
            poured++;
        }
        if (status == PC_OK && poured > 0)
            status = pci_run_advance(run, plan->layer[poured - 1], time_s[i]);
        for (size_t j = 0; status == PC_OK && j < poured; j++) {
            pci_layer_state state;
            status = pci_wall_layer_state(run->wall, j, &state);
            point[j * n + i] =
                (pc_history_point){time_s[i], state.T_K, state.hottest_K, state.a, state.mu_Pa_s};
        }
        if (status != PC_OK)
            return status;
    }
    return PC_OK;
}

static bool times_rise(size_t n, const double *time_s) {
    for (size_t i = 0; i < n; i++)
        if (!(time_s[i] >= 0.0) || !isfinite(time_s[i]) || (i > 0 && time_s[i] < time_s[i - 1]))
            return false;
    return true;
}

pc_status pc_schedule_history(const pc_piece *piece, const pc_schedule *schedule, size_t part,
                              size_t n, const double *time_s, pc_history_point *point) {
    if (piece == NULL || schedule == NULL || part >= schedule->part_count ||
        part >= piece->part_count || time_s == NULL || point == NULL || !times_rise(n, time_s))
        return PC_E_ARGUMENT;
    const pc_part_plan *plan = schedule->part[part];
    for (size_t k = 0; k < n * plan->layer_count; k++)
        point[k] = (pc_history_point){time_s[k % n], NAN, NAN, NAN, NAN};
    pci_case nominal;
    pci_run run = {.wall = NULL};
    pci_case_scheduled(piece, schedule, part, &nominal);
    pc_status status = PC_OK;
    for (size_t j = 0; status == PC_OK && j < plan->layer_count; j++) {
        if (!isfinite(plan->layer[j]->mix_s) || !isfinite(plan->layer[j]->pour_end_s))
            return PC_E_ARGUMENT; /* a plan that broke off: its layers have no times */
        status = sample_cup(&nominal, plan->layer[j], n, time_s, point + j * n);
    }
    if (status == PC_OK && plan->layer_count > 0)
        status = pci_run_begin(&run, &nominal, plan->layer_count, plan->layer[0]->mix_s);
    if (status == PC_OK && plan->layer_count > 0)
        status = sample_wall(&run, plan, n, time_s, point);
    pci_run_end(&run);
    return status;
}
