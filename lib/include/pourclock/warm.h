/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The cold shop: what warming (or cooling) resin, mold or room does to the schedule. */
#ifndef POURCLOCK_WARM_H
#define POURCLOCK_WARM_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock/errors.h"
#include "pourclock/export.h"
#include "pourclock/piece.h"
#include "pourclock/status.h"

PC_BEGIN_DECLS

#define PC_WARM_SIDE_MOST    16
#define PC_WARM_CELLS_MOST   (PC_WARM_SIDE_MOST * PC_WARM_SIDE_MOST * PC_WARM_SIDE_MOST)
#define PC_WARM_LEAST_K      (PC_ZERO_CELSIUS_K - 20.0) /* of what may be tried at all */
#define PC_WARM_MOST_K       (PC_ZERO_CELSIUS_K + 80.0)
#define PC_WARM_RESIN_MOST_K (PC_ZERO_CELSIUS_K + 45.0) /* a water bath, lids shut (practice) */
#define PC_WARM_MOLD_MOST_K  (PC_ZERO_CELSIUS_K + 60.0) /* a mold to be filled (practice) */

/* Temperatures to try; every combination is planned. A side that names none is tried as is usual:
 * resin from 10 C below what it is now to 20 C above, mold from now to 30 C above, by 5 C (10 F),
 * within what is safe; the room as it is and 5 and 10 C (10, 20 F) warmer. In a shop above 25 C
 * mold and room are tried 10 C colder to 20 C, or 0 C, warmer. A resin or a mold at the shop's
 * temperature follows a warmer room only where its list says so: each stands for itself. */
typedef struct pc_warm_grid {
    size_t resin_count, mold_count, room_count;
    double resin_K[PC_WARM_SIDE_MOST], mold_K[PC_WARM_SIDE_MOST], room_K[PC_WARM_SIDE_MOST];
} pc_warm_grid;

/* One combination, planned whole. NaN where it does not happen or cannot be planned. */
typedef struct pc_warm_cell {
    double resin_K, mold_K, room_K;
    bool feasible;
    char why[32];      /* code of the limit that is missed by most, "" where feasible */
    size_t layers;     /* of all parts */
    double pot_life_s; /* shortest of all batches */
    double slack_s;    /* least time left of 0.8 of a pot life after the pour: negative, too late */
    double demold_s;   /* last part */
    double peak_K;     /* hottest layer */
    double turn_s;     /* longest a layer is turned by hand at a stretch; NaN of a machine */
    bool tires;        /* that is longer than the shop's hand_most_s */
    double effort;     /* how much has to be warmed or cooled: see pc_warm_run */
} pc_warm_cell;

/* Start with pc_warm_run, end with pc_warm_free. Indices are SIZE_MAX where there is none. */
typedef struct pc_warm {
    pc_warm_grid grid; /* as tried */
    size_t count;
    pc_warm_cell *cell; /* room by room, in it mold by mold, in it resin by resin */
    pc_warm_cell now;   /* the piece as it is */
    /* Of what is feasible; resin cooled below 16 C, which is thick, and hands that turn longer than
     * they bear only where nothing else is. */
    size_t cheapest;    /* least effort */
    size_t fastest;     /* first to be demolded */
    char sentence[400]; /* what to do, in the piece's units */
    size_t caution_count;       /* what can hurt when a resin, a mold or a room is warmed; */
    const char *const *caution; /* constant, most important first */
} pc_warm;

/* Purpose:  plan the piece at every combination of a grid.
 * Given:    piece, checked by pc_piece_check; grid; NULL: as is usual.
 * Returned: *warm, to be freed (also after an error); PC_OK, also where nothing is feasible;
 *           PC_E_ARGUMENT (a side that is too long, a temperature the piece could not
 *           have), PC_E_VALUE (warmer than 30 C with styrene in it), PC_E_MEMORY, PC_E_NUMERIC.
 * Notes:    nominal plans, without margins or film maps, on the coarse grid of the search, on all
 *           processors. A day's table is shifted as a whole to a room's temperature at the start.
 *           Effort: 1 a degree (C) for the resin, 2 for the mold, 4 for the room, up or down: a
 *           bucket of warm water, an oven, a day's heating (judgment). A resin or mold whose
 *           temperature the piece does not state stands in the room, and follows it for nothing. */
PC_API pc_status pc_warm_run(const pc_piece *piece, const pc_warm_grid *grid, pc_warm *warm,
                             pc_errors *errors);

/* Purpose:  free a grid and blank it; NULL is allowed. */
PC_API void pc_warm_free(pc_warm *warm);

PC_END_DECLS

#endif
