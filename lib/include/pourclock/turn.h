/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A planned part's layers made ready for turning: what pc_turn_judge, pc_map_layer_add and
 * pc_drain_plan are given. */
#ifndef POURCLOCK_TURN_H
#define POURCLOCK_TURN_H

#include "pourclock/export.h"
#include "pourclock/film.h"
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

/* Purpose:  the layers of a part with the viscosity each has from pour to gel.
 * Given:    piece; schedule made of it (feasible or not); part: index of a hollow part.
 * Returned: *plan, to be freed by pc_turn_plan_free (also after an error); PC_OK; PC_E_ARGUMENT (no
 *           such part, a solid one); PC_E_UNREACHED (a layer that never gels); PC_E_LIMIT (one that
 *           has gelled before it is in); PC_E_MEMORY; PC_E_NUMERIC.
 * Notes:    runs the part's wall once more. */
PC_API pc_status pc_turn_plan_make(const pc_piece *piece, const pc_schedule *schedule, size_t part,
                                   pc_turn_plan *plan);

/* Purpose:  free histories and blank them; NULL is allowed. */
PC_API void pc_turn_plan_free(pc_turn_plan *plan);

PC_END_DECLS

#endif
