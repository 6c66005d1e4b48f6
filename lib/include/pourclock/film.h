/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The film on a turning wall: what a wall carries, when it is set, how even it comes out, how a
 * drained layer runs off, and which bubbles stay. Equations: pourclock-model(7), "Film". */
#ifndef POURCLOCK_FILM_H
#define POURCLOCK_FILM_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock/errors.h"
#include "pourclock/export.h"
#include "pourclock/status.h"

PC_BEGIN_DECLS

/* Largest mean rimming film and critical load in units of H = sqrt(mu w Rc/(rho g)). The integral
 * of the film at the critical flux 2/3 is 4.442723531 (Moffatt, J. Mecanique 16 (1977) 651; Leslie,
 * Wilson & Duffy print 4.44272); the mean is that over 2 pi. */
#define PC_RIMMING_LOAD        4.442723531
#define PC_RIMMING_MEAN        0.7070814107
#define PC_RIMMING_MU          2.0001435 /* 1/PC_RIMMING_MEAN^2 */
#define PC_FROUDE_MOST         0.05  /* w^2 Rc/g: above it centrifugal force is felt (judgment) */
#define PC_TURNS_LEAST         6.0   /* turns of the slower axis between set and gel */
#define PC_BRETHERTON          0.842 /* rho g r^2/sigma below which a bubble stays in a bore */
#define PC_SURFACE_TENSION_N_M 0.035 /* N/m, default (judgment) */
#define PC_HAND_MOVE_RAD_S     1.0471975511965976 /* hands tilting a mold: 10 rpm (judgment) */
#define PC_HAND_HOLD_S         0.5 /* hold of each tilt in the default hand cycle (judgment) */
/* What is over is a pool some centimeters deep: thicker than honey it does not leave a mold. */
#define PC_POUR_OUT_MOST_PA_S 10.0 /* (judgment) */
#define PC_POUR_OUT_LEAST_S                                                                        \
    10.0 /* to turn the mold over and let it run, before it gels (judgment) */

#define PC_TILTS_MOST  32
#define PC_RATIOS_MOST 32

typedef enum pc_method { PC_MACHINE, PC_HAND, PC_DRAIN } pc_method;

/* One tilt of a hand cycle: the mold's own axis that points up, held for hold_s. */
typedef struct pc_tilt {
    double up[3];
    double hold_s;
} pc_tilt;

typedef struct pc_turning {
    pc_method method;
    double outer_rad_s, inner_rad_s;     /* signed; 0 inner: one axis; inner relative to the arm */
    bool inner_absolute;                 /* stated against the floor: made relative on reading */
    double slowest_rad_s, fastest_rad_s; /* the machine's range; NaN where not stated */
    size_t ratio_count;
    double ratio[PC_RATIOS_MOST]; /* inner:outer gears there are; none: continuous */
    double reverse_every_s;       /* NaN: never */
    bool remount;                 /* quarter turn in the cradle between layers */
    size_t tilt_count;
    pc_tilt tilt[PC_TILTS_MOST]; /* hand */
    double drop_length_m;        /* drain: NaN: from the shape */
    double surface_tension_N_m;  /* default 0.035 */
} pc_turning;

/* ---- closed forms; each returns NaN for a NaN or an argument outside its range ---- */

/* Purpose:  bore (diameter) of a recess below which a bubble stays in it, m.
 * Given:    density > 0; surface_tension_N_m > 0. Source: Bretherton, J. Fluid Mech. 10 (1961) 166.
 */
PC_API double pc_bubble_bore(double density_kg_m3, double surface_tension_N_m);

/* ---- speeds of a way of turning ---- */

/* ---- a layer's viscosity over time ---- */

/* Viscosity of a layer from the end of its pour to its gel. Between points ln mu runs straight;
 * from the last finite point to gel_s the fluidity 1/mu runs straight to zero. */
typedef struct pc_mu_history {
    size_t count;          /* 1 or more */
    const double *time_s;  /* strictly rising, the first below gel_s */
    const double *mu_Pa_s; /* > 0; may be infinite (gelled), the first may not */
    double gel_s;          /* every point of the layer has gelled */
} pc_mu_history;

/* ---- turning programs ---- */

/* How the pool gets round. */
typedef struct pc_coverage {
    double closure_s, closure_outer, closure_inner; /* see pci_turning_closure */
    double horizon_s;         /* time looked at: one closure, or the horizon asked for, or less
                                 where that takes more than 250 000 steps */
    double pool_rad;          /* half angle of the pool */
    double never_faced_rad;   /* widest place gravity never faces: angle to the nearest path */
    double never_faced_at[3]; /* its middle, in the mold's frame */
    double gap_s;      /* P: longest time between two passes over a place, of 99 % of the sphere;
                          infinity where a place is never passed */
    double mean_gap_s; /* over the places passed */
    double gap_at[3];  /* where the longest gap is */
    double missed;     /* share of the sphere that the pool never covers */
    double dwell_least, dwell_most; /* share of the time under the pool, of all places */
    double square[3];               /* mean square of gravity along the mold's x, y, z */
    bool locks;                     /* the path closes before it has faced the wall all round */
} pc_coverage;

#define PC_LOCK_RAD 0.5235987755982988 /* 30 degrees never faced: the ratio locks (judgment) */

/* ---- the wall map ---- */

/* One layer to be turned. */
typedef struct pc_turn_layer {
    double density_kg_m3;
    double film_m;    /* mean thickness wanted */
    double volume_m3; /* resin that goes on the wall */
    double radius_m;  /* of turning: pc_shape.turn_radius_m */
    int mount;        /* 0, or how often the mold was remounted */
    pc_mu_history history;
} pc_turn_layer;

/* A standstill: turning stops at from_s for for_s and goes on where it was. for_s 0: none. */
typedef struct pc_turn_stop {
    double from_s, for_s;
} pc_turn_stop;

/* Spread of a film over the wall, by area. */
typedef struct pc_spread {
    double thin_m;  /* 5 % of the wall is thinner */
    double mean_m;  /* volume over area */
    double thick_m; /* 5 % of the wall is thicker */
    double least_m, most_m;
    double bare;      /* share of the wall without a film */
    double lump_m3;   /* what stands above twice the mean film: a pool that gelled */
    double volume_m3; /* resin on the wall, lump included */
} pc_spread;

/* A wall in cells: a sphere's, or a mesh's. Start with a pc_map_ maker, end with pc_map_free. */
typedef struct pc_map pc_map;

typedef struct pc_map_cell {
    double at[3];     /* from the middle of turning, m */
    double normal[3]; /* outward */
    double area_m2;
    double film_m; /* last layer */
    double sum_m;  /* all layers */
    size_t facet;  /* of the mesh it belongs to; the cell itself on a sphere */
} pc_map_cell;

#define PC_MAP_CELLS_LEAST 24
#define PC_MAP_CELLS_MOST  2000000

/* Purpose:  free a map; NULL is allowed. */
PC_API void pc_map_free(pc_map *map);

/* Purpose:  the cells of a wall.
 * Given:    from: the first wanted; cell: room for `most` of them (may be NULL with 0).
 * Returned: the number of cells there are, 0 for NULL; cell[] as far as there are any. */
PC_API size_t pc_map_cells(const pc_map *map, size_t from, size_t most, pc_map_cell *cell);
static inline size_t pc_map_count(const pc_map *map) {
    return pc_map_cells(map, 0, 0, NULL);
}
/* One cell (PC_E_ARGUMENT: not one of them). */
static inline pc_status pc_map_cell_at(const pc_map *map, size_t i, pc_map_cell *cell) {
    return cell && i < pc_map_cells(map, i, 1, cell) ? PC_OK : PC_E_ARGUMENT;
}

/* ---- judging ---- */

typedef struct pc_turn_result {
    double mu_set_Pa_s, set_s, gel_s;
    double tau_s;      /* 1/(d ln mu/dt) at set */
    double turns;      /* of the slower axis, set to gel */
    double gap_s;      /* P; infinity where a place is never passed */
    double unevenness; /* P/(2 tau); infinity as P */
    double froude;
    double never_faced_rad, missed, pool_rad;
    bool locks;
    double from_s, to_s; /* turning matters from, and may stop at */
    pc_spread spread;
} pc_turn_result;

/* What the worst standstill of a length does in the window where turning matters. */
typedef struct pc_turn_interruption {
    double for_s;  /* given */
    double from_s; /* the worst beginning */
    double thin_m; /* thin 5 % then */
    double lump_m3;
} pc_turn_interruption;

/* ---- drained layers ---- */

typedef struct pc_drain_result {
    double out_s;       /* pour out at */
    double mu_out_Pa_s; /* viscosity then */
    double film_m;      /* mean film left */
    double edge_m;      /* at the foot of the drop */
    double surplus_m3;  /* poured out again */
    double gel_s;
    double least_m, most_m; /* mean films that draining can leave: poured out at once, and while it
                               still runs out */
} pc_drain_result;

PC_END_DECLS

#endif
