/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Heat and cure through the thickness of mold and resin, in one dimension, layer after layer. */
#ifndef POURCLOCK_WALL_H
#define POURCLOCK_WALL_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock/export.h"
#include "pourclock/resin.h"
#include "pourclock/shape.h"
#include "pourclock/status.h"

PC_BEGIN_DECLS

#define PC_OUTSIDE_W_M2K    9.0
#define PC_MOLD_MOST        4
#define PC_WALL_LAYERS_MOST 32

typedef struct pc_material {
    double k_W_mK, rho_kg_m3, cp_J_kgK;
} pc_material;

/* X(name, word in files, k, rho, cp). Silicone k: Baudot et al., Cryogenics 38 (1998) 227; others
 * EN ISO 10456; cp partly from memory. */
#define PC_MOLD_TABLE(X)                                                                           \
    X(PC_SILICONE, "silicone", 0.27, 1200.0, 1300.0)                                               \
    X(PC_URETHANE_RUBBER, "urethane", 0.25, 1100.0, 1800.0)                                        \
    X(PC_PLASTER, "plaster", 0.40, 1000.0, 1000.0)                                                 \
    X(PC_RESIN_SHELL, "resin", 0.25, 1200.0, 1400.0)

typedef enum pc_mold_kind {
#define PC_MOLD_ENUM_(name, word, k, rho, cp) name,
    PC_MOLD_TABLE(PC_MOLD_ENUM_)
#undef PC_MOLD_ENUM_
        PC_MOLD_KIND_COUNT
} pc_mold_kind;

/* Purpose:  conductivity, density and heat capacity of a mold material.
 * Returned: *material; PC_OK, PC_E_ARGUMENT. */
PC_API pc_status pc_mold_material(pc_mold_kind kind, pc_material *material);

/* Air temperature at time_s from the first mix, K. */
typedef double (*pc_air_fn)(double time_s, const void *context);

/* What the wall is made of. Mold layers from outside in; none is allowed (bare resin in air). */
typedef struct pc_wall_spec {
    pc_form form;
    double cavity_radius_m; /* cylinder, sphere: where resin meets mold; ignored for a slab */
    size_t mold_count;
    double mold_thickness_m[PC_MOLD_MOST];
    pc_material mold[PC_MOLD_MOST];
    double mold_K;    /* uniform at the start */
    double out_W_m2K; /* outer face */
    double in_W_m2K;  /* inner face; 0 for a closed cavity or a centre of symmetry */
    double air_K;     /* used where air_fn is NULL */
    pc_air_fn air_fn; /* may be NULL */
    const void *air_context;
    double tolerance;    /* relative error asked for per run; 0: the default, 4e-5 */
    double stop_above_K; /* advancing ends with PC_E_LIMIT when resin gets hotter; 0: never */
    double refine;       /* grid refinement factor; 0 or 1: the default */
} pc_wall_spec;

/* What has happened to a layer so far; NaN where not yet. Times from the wall's zero. */
typedef struct pc_layer_events {
    double set_s;           /* mean viscosity reached the layer's mu_set */
    double set_ln_mu_per_s; /* d(ln viscosity)/dt then */
    double first_gel_s;     /* any point a >= a_gel */
    double gel_s;           /* every point a >= a_gel */
    double bond_close_s;    /* innermost point a >= a_bond */
    double peak_K, peak_s;  /* hottest point of the layer so far */
} pc_layer_events;

typedef struct pc_wall pc_wall;

/* Purpose:  a wall with its mold and no resin yet, at time start_s.
 * Given:    spec: mold layers 10 um to 2 m thick; cavity radius 0.1 mm to 100 m (cylinder, sphere);
 *           temperatures from PC_CURE_TEMPERATURE_MIN_K to _MAX_K; coefficients of the faces, 0 to
 *           1e9; tolerance 0 to 0.1; refine 0 to 64; start_s finite.
 * Returned: *wall, to be freed by pc_wall_free; PC_OK, PC_E_ARGUMENT, PC_E_MEMORY. */
PC_API pc_status pc_wall_new(const pc_wall_spec *spec, double start_s, pc_wall **wall);

/* Purpose:  an independent copy in the same state.
 * Returned: *copy, to be freed by pc_wall_free; PC_OK, PC_E_ARGUMENT, PC_E_MEMORY. */
PC_API pc_status pc_wall_copy(const pc_wall *wall, pc_wall **copy);

/* Purpose:  free a wall; NULL is allowed. */
PC_API void pc_wall_free(pc_wall *wall);

/* Purpose:  pour a layer, whole and at once, at the wall's present time.
 * Given:    resin: copied; thickness_m, 1 um to 1 m, within the radius; state: T and a it enters
 *           with; not more than PC_WALL_LAYERS_MOST layers;
 *           mu_set_Pa_s: viscosity at which the layer is set (NaN: not asked for).
 * Returned: PC_OK, PC_E_ARGUMENT, PC_E_MEMORY. Layers are numbered from 0. */
PC_API pc_status pc_wall_pour(pc_wall *wall, const pc_resin *resin, double thickness_m,
                              const pc_cup_state *state, double mu_set_Pa_s);

/* Purpose:  advance the wall to a time.
 * Returned: PC_OK; PC_E_ARGUMENT (time before the present, NaN); PC_E_LIMIT (hotter than
 *           stop_above_K); PC_E_NUMERIC: a step did not converge, or the wall has taken more work
 *           than a few seconds, such as a resin that burns through far too fast to follow. */
PC_API pc_status pc_wall_advance(pc_wall *wall, double time_s);

/* Purpose:  advance until every point of a layer has gelled / its bond closes / the whole wall can
 *           be demolded (all resin a >= a_demold and T below demold_below_K).
 * Given:    latest_s: the time to give up at.
 * Returned: *time_s; PC_OK, PC_E_UNREACHED (not by latest_s; the wall stands there), else as
 *           pc_wall_advance. The wall stands at the event or less than a step behind it. */
PC_API pc_status pc_wall_until_gel(pc_wall *wall, size_t layer, double latest_s, double *time_s);
PC_API pc_status pc_wall_until_bond(pc_wall *wall, size_t layer, double latest_s, double *time_s);
PC_API pc_status pc_wall_until_demold(pc_wall *wall, double latest_s, double *time_s);

/* Present time; number of layers; events of a layer so far (PC_E_ARGUMENT: no such layer). */
PC_API double pc_wall_time(const pc_wall *wall);
PC_API size_t pc_wall_layers(const pc_wall *wall);
PC_API pc_status pc_wall_events(const pc_wall *wall, size_t layer, pc_layer_events *events);

/* Purpose:  the profile at present, for plots and tests, from outside in (for a solid: to the
 *           centre). Points: x_m, depth from the outer face; T_K; a (NaN in the mold). At a face
 *           between two resin layers a point stands twice, once for each layer.
 * Given:    most: room in the arrays (each may be NULL). Returned: the number of points. */
PC_API size_t pc_wall_profile(const pc_wall *wall, size_t most, double *x_m, double *T_K,
                              double *a);

/* Purpose:  a layer at present: means by volume of temperature, cure and viscosity (infinite once
 *           a point has gelled), least and largest cure, hottest point.
 * Returned: *state; PC_OK, PC_E_ARGUMENT (no such layer). */
typedef struct pc_layer_state {
    double T_K, a, a_least, a_most, hottest_K, mu_Pa_s;
} pc_layer_state;
PC_API pc_status pc_wall_layer_state(const pc_wall *wall, size_t layer, pc_layer_state *state);

/* Purpose:  energy book-keeping, J per m2 of slab, per m of cylinder over 2 pi, per sphere over
 *           4 pi: heat content now less at the start, brought in by pours, released by cure, lost
 *           through faces. content = poured + released - lost to rounding and step error. */
typedef struct pc_wall_energy {
    double content_J, poured_J, released_J, lost_J;
} pc_wall_energy;
PC_API pc_status pc_wall_energy_now(const pc_wall *wall, pc_wall_energy *energy);

PC_END_DECLS

#endif
