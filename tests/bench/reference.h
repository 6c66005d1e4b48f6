/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An independent solver of the model's cup and wall, written from the equations alone, on SUNDIALS
 * CVODE (BDF, banded). It makes the reference tables of tests/data and is what `make bench`
 * measures against. It shares with the library the structures of the public headers and nothing
 * else.
 *
 * Space: finite volumes round nodes that stand on the faces of the slabs, so that contact is exact
 * and "every point" includes the faces; at a face between two resins T is shared and a doubled. */
#ifndef TESTS_BENCH_REFERENCE_H
#define TESTS_BENCH_REFERENCE_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock/resin.h"
#include "wall/layers.h"

#define REF_SLABS_MOST (PC_MOLD_MOST + PC_WALL_LAYERS_MOST)

typedef struct ref_options {
    size_t cells;          /* of each slab */
    double grading;        /* 0: uniform; b > 0: nodes at tanh(b (2 s - 1)), dense at both faces */
    double rtol;           /* of CVODE; absolute: 100 rtol K, rtol of a */
    bool jacobian;         /* analytic banded Jacobian; else CVODE's difference quotients */
    bool gel_only;         /* watch for gel times and nothing else (bench) */
    bool mixed_contact;    /* start a contact node by heat content instead of effusivity */
    const double *nodes_m; /* depth of every node from the outer face, all slabs; NULL: by cells */
    size_t node_count;
} ref_options;

typedef struct ref_wall ref_wall;

/* All functions return 0 or a negative number when they fail. */
ref_wall *ref_wall_new(const pci_wall_spec *spec, double start_s, const ref_options *options);
void ref_wall_free(ref_wall *wall);
int ref_wall_pour(ref_wall *wall, const pc_resin *resin, double thickness_m, pc_cup_state state);
int ref_wall_advance(ref_wall *wall, double time_s);
/* Until every point of a layer has gelled; until all can be demolded: *time_s NaN if not by then.
 */
int ref_wall_until_gel(ref_wall *wall, size_t layer, double latest_s, double *time_s);
int ref_wall_until_bond(ref_wall *wall, size_t layer, double latest_s, double *time_s);
int ref_wall_until_demold(ref_wall *wall, double latest_s, double *time_s);
double ref_wall_time(const ref_wall *wall);
pci_layer_events ref_wall_events(const ref_wall *wall, size_t layer);
double ref_wall_least_a(const ref_wall *wall, size_t layer);
long ref_wall_steps(const ref_wall *wall);
size_t ref_wall_nodes(const ref_wall *wall);

double ref_rate(const pc_cure *cure, double a, double T_K);
/* The cup: events, and the state at a time. */
int ref_cup_run(const pc_resin *resin, double mass_kg, double T0_K, double air_K, double rtol,
                pc_cup_events *events);
int ref_cup_at(const pc_resin *resin, double mass_kg, double T0_K, double air_K, double time_s,
               double rtol, pc_cup_state *state);
/* Anchoring to resin->sheet (model sections 3 and 5) by a Gauss-Newton search of its own:
 * resin->cure and the standard deviation of ln of the gel time of a 1.5 mm film at 23 C. */
int ref_anchor(pc_resin *resin, double *film_s, double *film_sd);

#endif
