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
#define PC_HANDLING_N     50.0  /* sideways load of a piece being handled (judgment) */
#define PC_THUMB_N        50.0  /* press of a thumb (judgment) */
#define PC_THUMB_RADIUS_M 0.008 /* of the patch it presses on (judgment) */
#define PC_RESIN_POISSON  0.38  /* of glassy resins (judgment) */
#define PC_SOCKET_DEPTHS  3.0   /* socket depth in wire diameters, 3 to 4 (practice) */
#define PC_LEG_DIAMETERS  2.0   /* leg diameter in wire diameters, at least (practice) */

/* A metal: name in files, elastic modulus, yield strength, density. */
typedef struct pc_metal {
    const char *name;
    double E_Pa, yield_Pa, density_kg_m3;
} pc_metal;

/* ---- wire and socket; NaN for a NaN or an argument outside its range ---- */

/* ---- shell and plate under a patch load ---- */

/* ---- a joint as a whole ---- */

typedef struct pc_joint {
    char name[96];
    char part[96];   /* part it is set for, as the file names it; "" where not stated */
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

PC_END_DECLS

#endif
