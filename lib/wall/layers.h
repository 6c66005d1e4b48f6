/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Heat and cure through the thickness of mold and resin, in one dimension, layer after layer. */
#ifndef PCI_WALL_LAYERS_H
#define PCI_WALL_LAYERS_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock/mold.h"
#include "pourclock/resin.h"
#include "pourclock/shape.h"
#include "pourclock/status.h"

#define PC_OUTSIDE_W_M2K    9.0
#define PC_MOLD_MOST        4
#define PC_WALL_LAYERS_MOST 32

/* Purpose:  conductivity, density and heat capacity of a mold material.
 * Returned: *material; PC_OK, PC_E_ARGUMENT. */
pc_status pci_mold_material(pc_mold_kind kind, pc_material *material);

/* Air temperature at time_s from the first mix, K. */
typedef double (*pci_air_fn)(double time_s, const void *context);

/* What the wall is made of. Mold layers from outside in; none is allowed (bare resin in air). */
typedef struct pci_wall_spec {
    pc_form form;
    double cavity_radius_m; /* cylinder, sphere: where resin meets mold; ignored for a slab */
    size_t mold_count;
    double mold_thickness_m[PC_MOLD_MOST];
    pc_material mold[PC_MOLD_MOST];
    double mold_K;     /* uniform at the start */
    double out_W_m2K;  /* outer face */
    double in_W_m2K;   /* inner face; 0 for a closed cavity or a center of symmetry */
    double air_K;      /* used where air_fn is NULL */
    pci_air_fn air_fn; /* may be NULL */
    const void *air_context;
    double tolerance;    /* relative error asked for per run; 0: the default, 4e-5 */
    double stop_above_K; /* advancing ends with PC_E_LIMIT when resin gets hotter; 0: never */
    double refine;       /* grid refinement factor; 0 or 1: the default */
} pci_wall_spec;

/* Purpose:  the layers of a mold from outside in: its shell, its rubber; 0 thick: there is none.
 * Returned: spec's mold; PC_OK, PC_E_ARGUMENT for a material that is none. */
pc_status pci_mold_stack(pc_mold_kind shell, double shell_m, pc_mold_kind rubber, double rubber_m,
                         pci_wall_spec *spec);

/* What has happened to a layer so far; NaN where not yet. Times from the wall's zero. */
typedef struct pci_layer_events {
    double set_s;           /* mean viscosity reached the layer's mu_set */
    double set_ln_mu_per_s; /* d(ln viscosity)/dt then */
    double first_gel_s;     /* any point a >= a_gel */
    double gel_s;           /* every point a >= a_gel */
    double bond_close_s;    /* innermost point a >= a_bond */
    double peak_K, peak_s;  /* hottest point of the layer so far */
} pci_layer_events;

typedef struct pci_wall pci_wall;

/* Purpose:  a wall with its mold and no resin yet, at time start_s.
 * Given:    spec: mold layers 10 um to 2 m thick; cavity radius 0.1 mm to 100 m (cylinder, sphere);
 *           temperatures from PC_CURE_TEMPERATURE_MIN_K to _MAX_K; coefficients of the faces, 0 to
 *           1e9; tolerance 0 to 0.1; refine 0 to 64; start_s finite.
 * Returned: *wall, to be freed by pci_wall_free; PC_OK, PC_E_ARGUMENT, PC_E_MEMORY. */
pc_status pci_wall_new(const pci_wall_spec *spec, double start_s, pci_wall **wall);

/* Purpose:  an independent copy in the same state.
 * Returned: *copy, to be freed by pci_wall_free; PC_OK, PC_E_ARGUMENT, PC_E_MEMORY. */
pc_status pci_wall_copy(const pci_wall *wall, pci_wall **copy);

/* Purpose:  free a wall; NULL is allowed. */
void pci_wall_free(pci_wall *wall);

/* Purpose:  pour a layer, whole and at once, at the wall's present time.
 * Given:    resin: copied; thickness_m, 1 um to 1 m, within the radius; state: T and a it enters
 *           with; not more than PC_WALL_LAYERS_MOST layers;
 *           mu_set_Pa_s: viscosity at which the layer is set (NaN: not asked for).
 * Returned: PC_OK, PC_E_ARGUMENT, PC_E_MEMORY. Layers are numbered from 0. */
pc_status pci_wall_pour(pci_wall *wall, const pc_resin *resin, double thickness_m,
                        const pc_cup_state *state, double mu_set_Pa_s);

/* Purpose:  advance the wall to a time.
 * Returned: PC_OK; PC_E_ARGUMENT (time before the present, NaN); PC_E_LIMIT (hotter than
 *           stop_above_K); PC_E_NUMERIC: a step did not converge, or the wall has taken more work
 *           than a few seconds, such as a resin that burns through far too fast to follow. */
pc_status pci_wall_advance(pci_wall *wall, double time_s);

/* Purpose:  advance until every point of a layer has gelled / its bond closes / the whole wall can
 *           be demolded (all resin a >= a_demold and T below demold_below_K).
 * Given:    latest_s: the time to give up at.
 * Returned: *time_s; PC_OK, PC_E_UNREACHED (not by latest_s; the wall stands there), else as
 *           pci_wall_advance. The wall stands at the event or less than a step after it. */
pc_status pci_wall_until_gel(pci_wall *wall, size_t layer, double latest_s, double *time_s);
pc_status pci_wall_until_bond(pci_wall *wall, size_t layer, double latest_s, double *time_s);
pc_status pci_wall_until_demold(pci_wall *wall, double latest_s, double *time_s);

/* Present time; number of layers; events of a layer so far (PC_E_ARGUMENT: no such layer). */
double pci_wall_time(const pci_wall *wall);
size_t pci_wall_layers(const pci_wall *wall);
pc_status pci_wall_events(const pci_wall *wall, size_t layer, pci_layer_events *events);

/* Purpose:  the profile at present, for plots and tests, from outside in (for a solid: to the
 *           center). Points: x_m, depth from the outer face; T_K; a (NaN in the mold). At a face
 *           between two resin layers a point stands twice, once for each layer.
 * Given:    most: room in the arrays (each may be NULL). Returned: the number of points. */
size_t pci_wall_profile(const pci_wall *wall, size_t most, double *x_m, double *T_K, double *a);

/* Purpose:  a layer at present: means by volume of temperature, cure and viscosity (infinite once
 *           a point has gelled), least and largest cure, hottest point.
 * Returned: *state; PC_OK, PC_E_ARGUMENT (no such layer). */
typedef struct pci_layer_state {
    double T_K, a, a_least, a_most, hottest_K, mu_Pa_s;
} pci_layer_state;
pc_status pci_wall_layer_state(const pci_wall *wall, size_t layer, pci_layer_state *state);

/* Purpose:  a layer's mean viscosity at rising times, Pa s, without a step that ends at each.
 * Given:    time_s: not before the last step's start; end_s: no step goes beyond it.
 * Returned: *mu_Pa_s, by the cubic through the step that holds time_s: to its error; infinite once
 * a point has gelled; otherwise as pci_wall_advance. */
pc_status pci_wall_viscosity_at(pci_wall *wall, size_t layer, double time_s, double end_s,
                                double *mu_Pa_s);

/* Purpose:  energy book-keeping, J per m2 of slab, per m of cylinder over 2 pi, per sphere over
 *           4 pi: heat content now less at the start, brought in by pours, released by cure, lost
 *           through faces. content = poured + released - lost to rounding and step error. */
typedef struct pci_wall_energy {
    double content_J, poured_J, released_J, lost_J;
} pci_wall_energy;
pc_status pci_wall_energy_now(const pci_wall *wall, pci_wall_energy *energy);

#endif
