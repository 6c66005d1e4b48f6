/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How the mold of a planned piece is turned: what the films of its layers come to, when turning
 * matters, what would do better, and the wall as a map. */
#ifndef POURCLOCK_TURN_H
#define POURCLOCK_TURN_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock/errors.h"
#include "pourclock/export.h"
#include "pourclock/film.h"
#include "pourclock/mesh.h"
#include "pourclock/piece.h"
#include "pourclock/schedule.h"
#include "pourclock/status.h"

PC_BEGIN_DECLS

/* A drained layer is swirled with so many times what stays. A film that leaves the pool h0 thick
 * ends h0/sqrt(1 + (h0/h)^2) thick where a thick one ends h thick (Jeffreys' equation): three times
 * as thick costs 5 %. The fourth part is the pool that sweeps the wall (judgment). */
#define PC_DRAIN_POUR 4.0

/* Layers of a part; layer[i].history points into this plan. */
typedef struct pc_turn_plan {
    size_t count;
    pc_turn_layer layer[PC_LAYERS_MOST];
    double drop_m; /* drained: length of the drop, as stated or half round the equal sphere */
    double *time_s[PC_LAYERS_MOST], *mu_Pa_s[PC_LAYERS_MOST];
} pc_turn_plan;

/* ---- all of a piece's turning judged ---- */

#define PC_TURN_STOPS     3    /* standstills tried: 10, 30 and 60 s */
#define PC_TURN_BETTER_BY 1.01 /* a program that does better by less is not named (judgment) */

/* A layer as it is turned, or drained; a brushed one is neither, and says so. */
typedef struct pc_turned_layer {
    int method;       /* a pc_coat_method */
    pc_status status; /* not PC_OK: only why holds */
    char why[512];
    pc_turn_result result;
    pc_turn_interruption stop[PC_TURN_STOPS];
    pc_drain_result drain;
} pc_turned_layer;

typedef struct pc_turned_part {
    size_t part; /* of the piece */
    pc_turn_plan plan;
    pc_turned_layer layer[PC_LAYERS_MOST];
    pc_coverage coverage; /* of the first layer's pool */
    pc_map *map;          /* all layers on the sphere of the part's area; NULL where not made */
    pc_spread sum;
    bool has_best;
    pc_turning best; /* a better program, */
    pc_turn_result best_result[PC_LAYERS_MOST];
    char why_no_best[512]; /* or why there is none; "" where none is better */
} pc_turned_part;

/* Start with zeros or pc_turn_report_make, end with pc_turn_report_free. */
typedef struct pc_turn_report {
    double speed_rad_s; /* that carries the film; of hands the mean over their cycle */
    size_t tilt_count;  /* hands: their cycle, stated or the default one */
    pc_tilt tilt[PC_TILTS_MOST];
    double period_s;
    size_t count;
    pc_turned_part *part; /* hollow parts */
} pc_turn_report;

/* Purpose:  judge how every hollow part of a planned piece is turned, and look for better.
 * Given:    piece; schedule made of it, feasible or not.
 * Returned: *report, to be freed (also after an error); PC_OK, where layers cannot be turned too:
 *           each says why; with errors: PC_E_VALUE (a turning that does not move, no hollow part),
 *           PC_E_UNREACHED (a layer that never gels), PC_E_LIMIT (one that has gelled before it is
 *           in); PC_E_ARGUMENT, PC_E_MEMORY, PC_E_NUMERIC.
 * Notes:    runs the wall of each part once more. */
PC_API pc_status pc_turn_report_make(const pc_piece *piece, const pc_schedule *schedule,
                                     pc_turn_report *report, pc_errors *errors);

/* Purpose:  free a report and blank it; NULL is allowed. */
PC_API void pc_turn_report_free(pc_turn_report *report);

/* Purpose:  lay the layers of a judged part on a wall.
 * Given:    turning; part of a report; layer: up to which, from 0 (SIZE_MAX: all of them); mesh:
 *           closed, or NULL for the sphere of radius_m; layers that cannot be turned are left out.
 * Returned: *map, to be freed by pc_map_free; *spread of that layer, or of all together; PC_OK;
 *           PC_E_VALUE (a mesh that is open or inside out: no pool can be placed in it);
 *           PC_E_ARGUMENT, PC_E_SIZE, PC_E_MEMORY: *map is NULL. */
PC_API pc_status pc_turn_map(const pc_turning *turning, const pc_turned_part *part, size_t layer,
                             const pc_mesh *mesh, double radius_m, pc_map **map, pc_spread *spread);

PC_END_DECLS

#endif
