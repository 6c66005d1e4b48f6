/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The shape of a part as far as resin goes: area, volume, and how the shell of a wall fills it. */
#ifndef POURCLOCK_SHAPE_H
#define POURCLOCK_SHAPE_H

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#include "pourclock/errors.h"
#include "pourclock/export.h"
#include "pourclock/status.h"

PC_BEGIN_DECLS

typedef enum pc_form { PC_SLAB = 0, PC_CYLINDER = 1, PC_SPHERE = 2 } pc_form; /* the exponent p */

/* Shell volume against wall for a mesh, both rising from 0. */
typedef struct pc_shell_table {
    size_t count;
    double *wall_m;
    double *volume_m3;
    double *filled_m3; /* of it, in places that fill solid; NULL where unknown */
} pc_shell_table;

/* Start with pc_shape_flat or a reader, end with pc_shape_free. Lengths are of the mold cavity. */
typedef struct pc_shape {
    double area_m2;
    double volume_m3;        /* NaN where unknown */
    double mean_curvature_m; /* integral over the surface; sphere: 4 pi R; 0: only area known */
    double euler;            /* Euler characteristic of the surface; 0 where only area is known */
    double turn_radius_m;    /* radius of the equal-area sphere: where the wall turns */
    pc_form form;            /* cylinder or sphere only when the part is plainly that */
    double form_radius_m;    /* cavity radius of that cylinder or sphere, else NaN */
    bool closed;
    pc_shell_table shell; /* count 0: Steiner formula */
} pc_shape;

/* Purpose:  a solid from text: "sphere D", "ellipsoid A x B x C" (full axes), "cylinder D x H",
 *           "cone D x H", "frustum D1 x D2 x H", "box A x B x C", "torus D x d" (D across the
 *           middle of the tube, d the tube's own), joined by " + " for solids that only touch.
 * Given:    text; every length with its unit, or one unit at the end of a group for all of it
 *           ("box 40 x 50 x 60 mm"). why, why_size: reason of a refusal.
 * Returned: *shape; PC_OK, PC_E_VALUE, PC_E_UNIT, PC_E_ARGUMENT. */
PC_API pc_status pc_shape_parse(const char *text, pc_shape *shape, char *why, size_t why_size);

/* Purpose:  a part of which area and volume were measured in the shop: the area with foil or tape,
 *           the volume by the water that fills the cavity.
 * Given:    area_m2, 1e-9 to 1e6; volume_m3 > 0, finite; NaN: only the area is known (the shell is
 *           S w).
 * Returned: *shape (shell: S w, at most the volume); PC_OK; PC_E_ARGUMENT; PC_E_VALUE: a body of
 *           that volume has more area, by more than the tenth that a shop's measures may err. */
PC_API pc_status pc_shape_measured(double area_m2, double volume_m3, pc_shape *shape);
static inline pc_status pc_shape_flat(double area_m2, pc_shape *shape) {
    return pc_shape_measured(area_m2, (double)NAN, shape);
}

/* Purpose:  the area of a model from the mass of the foil that covers it once.
 * Given:    foil_kg > 0; foil_m: thickness of one sheet, at most 10 mm; metal: its name, such as
 *           "aluminum".
 * Returned: *area_m2 = foil_kg / (foil_m density); PC_OK, PC_E_ARGUMENT. */
PC_API pc_status pc_foil_area(double foil_kg, double foil_m, const char *metal, double *area_m2);

/* Purpose:  resin volume of a wall inside the cavity.
 * Given:    shape; wall_m >= 0, finite, and within the table where there is one.
 * Returned: *volume_m3, never above the cavity's own volume, never falling with wall_m; PC_OK,
 *           PC_E_ARGUMENT.
 * Notes:    Vs(w) = S w - M w^2 + (2 pi/3) chi w^3 (Steiner), or the mesh's table. With the
 *           area alone it is S w. */
PC_API pc_status pc_shell_volume(const pc_shape *shape, double wall_m, double *volume_m3);

/* Purpose:  free a shape's table; safe on a zeroed shape and twice. */
PC_API void pc_shape_free(pc_shape *shape);

PC_END_DECLS

#endif
