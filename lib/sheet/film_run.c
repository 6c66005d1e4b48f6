/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sheet/film_run.h"

#include <math.h>
#include <string.h>

#include "base/try.h"
#include "resin/cup.h"
#include "wall/bound.h"

static const double LATEST_S = 30.0 * PC_DAY_S;

/* Node-steps a film may take on the fine grid; those of data sheets take a tenth of that. Past
 * it the film burns through in a front too thin to follow, and a coarse grid says when. */
typedef struct grid_fineness {
    double refine, tolerance, work_most;
} grid_fineness;
static const grid_fineness FINE = {0.0, 0.0, 1e5}, ROUGH = {0.25, 2e-3, 1e5},
                           COARSE = {0.05, 1e-3, 5e5};

void pci_reference_mold(double T_K, pci_wall_spec *spec) {
    memset(spec, 0, sizeof *spec);
    pci_mold_stack(PC_PLASTER, 10e-3, PC_SILICONE, 8e-3, spec);
    spec->mold_K = spec->air_K = T_K;
    spec->out_W_m2K = PC_OUTSIDE_W_M2K;
}

/* What a film enters with, and when. */
static pc_status film_entry(const pc_resin *resin, double mass_kg, double T_K, double *enter_s,
                            pc_cup_state *state) {
    return pci_cup_part_way(resin, mass_kg, T_K, T_K, resin->cure.a_pot, 0.5, enter_s, state);
}

static pc_status film_pour(const pc_resin *resin, double film_m, double T_K, double enter_s,
                           const pc_cup_state *state, const grid_fineness *grid, pci_wall **wall) {
    pci_wall_spec spec;
    pci_reference_mold(T_K, &spec);
    spec.refine = grid->refine;
    spec.tolerance = grid->tolerance;
    PCI_TRY(pci_wall_new(&spec, enter_s, wall));
    pci_wall_bound_work(*wall, grid->work_most);
    return pci_wall_pour(*wall, resin, film_m, state, NAN);
}

/* The wall reports when a layer has gelled; a resin whose gel is put at the wanted conversion lets
 * it report that one. */
static void close_wall(pci_wall *wall, pci_effort *effort) {
    if (wall)
        effort->work -= pci_wall_work(wall);
    pci_wall_free(wall);
}

static const grid_fineness *first_grid(const pci_effort *effort) {
    return effort->fineness == PCI_FINE ? &FINE : &ROUGH;
}

static pc_status film_reach(const pc_resin *resin, double film_m, double T_K, double wanted,
                            double enter_s, const pc_cup_state *state, const grid_fineness *grid,
                            pci_effort *effort, double *time_s) {
    pc_resin marked = *resin;
    pci_wall *wall = NULL;
    marked.cure.a_gel = wanted;
    pc_status status = film_pour(&marked, film_m, T_K, enter_s, state, grid, &wall);
    if (status == PC_OK)
        status = pci_wall_until_gel(wall, 0, LATEST_S, time_s);
    close_wall(wall, effort);
    return status;
}

pc_status pci_film_time(const pc_resin *resin, double film_m, double mass_kg, double T_K,
                        double wanted, pci_effort *effort, double *time_s) {
    pc_cup_state state;
    double enter_s = 0.0;
    pc_status status =
        effort->work > 0.0 ? film_entry(resin, mass_kg, T_K, &enter_s, &state) : PC_E_NUMERIC;
    if (status == PC_OK)
        status = film_reach(resin, film_m, T_K, wanted, enter_s, &state, first_grid(effort), effort,
                            time_s);
    if (status == PC_E_NUMERIC && effort->work > 0.0)
        status = film_reach(resin, film_m, T_K, wanted, enter_s, &state, &COARSE, effort, time_s);
    if (status != PC_E_UNREACHED)
        return status;
    *time_s = INFINITY;
    return PC_OK;
}

static pc_status film_leave(const pc_resin *resin, double film_m, double T_K, double enter_s,
                            const pc_cup_state *state, const grid_fineness *grid,
                            pci_effort *effort, double *gel_s, double *demold_s) {
    pci_wall *wall = NULL;
    *gel_s = *demold_s = INFINITY;
    pc_status status = film_pour(resin, film_m, T_K, enter_s, state, grid, &wall);
    if (status == PC_OK)
        status = pci_wall_until_gel(wall, 0, LATEST_S, gel_s);
    if (status == PC_OK)
        status = pci_wall_until_demold(wall, LATEST_S, demold_s);
    close_wall(wall, effort);
    return status == PC_E_UNREACHED ? PC_OK : status;
}

pc_status pci_film_out(const pc_resin *resin, double film_m, double mass_kg, double T_K,
                       pci_effort *effort, double *gel_s, double *demold_s) {
    pc_cup_state state;
    double enter_s = 0.0;
    *gel_s = *demold_s = INFINITY;
    pc_status status = film_entry(resin, mass_kg, T_K, &enter_s, &state);
    if (status == PC_E_UNREACHED)
        return PC_OK;
    if (status == PC_OK)
        status = film_leave(resin, film_m, T_K, enter_s, &state, first_grid(effort), effort, gel_s,
                            demold_s);
    if (status == PC_E_NUMERIC)
        status = film_leave(resin, film_m, T_K, enter_s, &state, &COARSE, effort, gel_s, demold_s);
    return status;
}

pc_status pci_film_at(const pc_resin *resin, double film_m, double mass_kg, double T_K,
                      double time_s, double *a_least, double *hottest_K) {
    pc_cup_state state;
    double enter_s = 0.0;
    pci_wall *wall = NULL;
    pci_layer_state layer;
    pc_status status = film_entry(resin, mass_kg, T_K, &enter_s, &state);
    if (status == PC_OK && !(time_s > enter_s)) {
        *a_least = state.a;
        *hottest_K = state.T_K;
        return PC_OK;
    }
    if (status == PC_OK)
        status = film_pour(resin, film_m, T_K, enter_s, &state, &FINE, &wall);
    if (status == PC_OK)
        status = pci_wall_advance(wall, time_s);
    if (status == PC_OK)
        status = pci_wall_layer_state(wall, 0, &layer);
    if (status == PC_OK) {
        *a_least = layer.a_least;
        *hottest_K = layer.hottest_K;
    }
    pci_wall_free(wall);
    return status;
}
