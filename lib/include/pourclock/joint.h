/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Strength: wire pins potted into solid legs, and the wall a thumb load asks for. Closed forms for
 * estimates at the bench; a piece that carries people or hangs over them is for a licensed
 * engineer.
 */
#ifndef POURCLOCK_JOINT_H
#define POURCLOCK_JOINT_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock/errors.h"
#include "pourclock/export.h"
#include "pourclock/resin.h"
#include "pourclock/status.h"

PC_BEGIN_DECLS

#define PC_JOINT_FACTOR   2.0   /* safety factor advised */
#define PC_HANDLING_N     50.0  /* sideways load of a piece being handled (judgement) */
#define PC_THUMB_N        50.0  /* press of a thumb (judgement) */
#define PC_THUMB_RADIUS_M 0.008 /* of the patch it presses on (judgement) */
#define PC_RESIN_POISSON  0.38  /* of glassy resins (judgement) */
#define PC_SOCKET_DEPTHS  3.0   /* socket depth in wire diameters, 3 to 4 (practice) */
#define PC_LEG_DIAMETERS  2.0   /* leg diameter in wire diameters, at least (practice) */

/* A metal: name in files, elastic modulus, yield strength, density. */
typedef struct pc_metal {
    const char *name;
    double E_Pa, yield_Pa, density_kg_m3;
} pc_metal;

/* Purpose:  a metal by name, or by index; NULL where there is none. Handbook values for the softest
 *           usual temper, from memory. */
PC_API const pc_metal *pc_metal_find(const char *name);
PC_API const pc_metal *pc_metal_at(size_t index);

/* Strength and modulus of a cured family, Pa: low typical values (practice); the maker's data sheet
 * comes first. NaN outside the table. */
PC_API double pc_resin_strength(pc_family family);
PC_API double pc_resin_modulus(pc_family family);

/* ---- wire and socket; NaN for a NaN or an argument outside its range ---- */

/* Purpose:  bending stress of a round cantilever, Pa: 32 F L/(pi d^3). Given: force_N >= 0; others
 *           > 0. Source: standard texts. */
PC_API double pc_wire_bending(double force_N, double length_m, double d_m);

/* Purpose:  axial stress of a round bar, Pa: 4 F/(pi d^2). */
PC_API double pc_wire_axial(double force_N, double d_m);

/* Purpose:  tip deflection of a round cantilever, m: F L^3/(3 E I), I = pi d^4/64. */
PC_API double pc_wire_deflection(double force_N, double length_m, double d_m, double E_Pa);

/* Purpose:  axial load that buckles a round column fixed at one end and free at the other, N:
 *           Euler's where it is slender, J. B. Johnson's parabola where it is stocky.
 * Source:   Shigley, Mechanical Engineering Design, ch. 4 (formulas from memory). */
PC_API double pc_wire_buckling(double length_m, double d_m, double E_Pa, double yield_Pa);

/* Purpose:  diameter at which bending alone reaches yield/factor, m. */
PC_API double pc_wire_least(double force_N, double length_m, double yield_Pa, double factor);

/* Purpose:  the next stock size at or above a diameter, m (metric or US); infinity above the list.
 */
PC_API double pc_wire_stock(double d_m, bool us);

/* Purpose:  pressure at the mouth of a socket, Pa: F (6 L + 4 s)/(d s^2), for a pin of free length
 *           L held over a depth s, bent by F at its end.
 * Source:   Roloff/Matek, Maschinenelemente: socket pin in bending (formula from memory). */
PC_API double pc_socket_pressure(double force_N, double length_m, double depth_m, double d_m);

/* ---- shell and plate under a patch load ---- */

/* Purpose:  deflection (m) and greatest stress (Pa) of a shallow spherical shell pressed over a
 *           patch of radius patch_m, far from its edge.
 * Given:    force_N >= 0; radius_m of the shell, wall_m, patch_m, E_Pa > 0; 0 <= poisson < 0.5.
 * Returned: *deflection_m, *stress_Pa (membrane and bending, each may be NULL); PC_OK,
 *           PC_E_ARGUMENT.
 * Notes:    linear: holds while the deflection is under about half the wall.
 * Source:   Reissner, J. Math. Phys. 25 (1946) 80 and 279, in Kelvin functions; Roark's Formulas,
 *           shallow spherical shell under a central load (table from memory). */
PC_API pc_status pc_shell_press(double force_N, double radius_m, double wall_m, double patch_m,
                                double E_Pa, double poisson, double *deflection_m,
                                double *stress_Pa);

/* Purpose:  the same for a flat round area of radius_m held all round its edge.
 * Source:   Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells: clamped circular plate,
 *           load at its centre; small patch by Westergaard's equivalent radius (from memory). */
PC_API pc_status pc_plate_press(double force_N, double radius_m, double wall_m, double patch_m,
                                double E_Pa, double poisson, double *deflection_m,
                                double *stress_Pa);

/* Purpose:  least wall that keeps stress under strength/factor and deflection under a quarter of
 *           the wall.
 * Given:    flat: pc_plate_press, else pc_shell_press. Returned: *wall_m; PC_OK; PC_E_ARGUMENT;
 *           PC_E_UNREACHED: not with 50 mm. */
PC_API pc_status pc_wall_for_press(bool flat, double force_N, double radius_m, double patch_m,
                                   double E_Pa, double poisson, double strength_Pa, double factor,
                                   double *wall_m);

/* ---- a joint as a whole ---- */

typedef struct pc_joint {
    char name[96];
    int count;       /* pins that share the load */
    double wire_m;   /* diameter; NaN: advise one */
    double free_m;   /* length between the sockets */
    double socket_m; /* depth of the socket; NaN: 3 diameters and up to what holds */
    double leg_m;    /* diameter of the leg around it */
    const pc_metal *metal;
    double handling_N; /* sideways, on the body */
} pc_joint;

typedef struct pc_joint_result {
    double wire_m, socket_m;
    bool wire_advised, socket_advised;
    double stress_Pa, factor; /* bending and weight together, against yield */
    double buckling_N, buckling_factor;
    double sag_m;                      /* sideways under the handling load */
    double pressure_Pa, socket_factor; /* against the resin's strength */
    double displaced_m3;               /* resin all pins take the place of, both ends */
    double wire_length_m;              /* of all pins */
    double wire_kg;
    double least_wire_m; /* stock size that gives the factor advised */
    bool holds;          /* every factor at least PC_JOINT_FACTOR */
} pc_joint_result;

/* Purpose:  judge a joint under the body's weight and the handling load.
 * Given:    joint, its lengths 1e-6 to 1000 and handling_N 0 to 1e9; body_kg 1e-6 to 1e6;
 *           resin_strength_Pa >= 1; us: stock sizes.
 * Returned: *result; PC_OK; PC_E_VALUE with an error: wire thicker than the leg or leaving no
 *           resin round it, no stock wire that holds; PC_E_ARGUMENT.
 * Notes:    every pin is taken as a cantilever that carries its share alone: an upper bound. */
PC_API pc_status pc_joint_judge(const pc_joint *joint, double body_kg, double resin_strength_Pa,
                                bool us, pc_joint_result *result, pc_errors *errors);

PC_END_DECLS

#endif
