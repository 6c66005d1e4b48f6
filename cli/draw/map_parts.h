/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Parts of the picture of a wall map. */
#ifndef PC_CLI_DRAW_MAP_PARTS_H
#define PC_CLI_DRAW_MAP_PARTS_H

#include "draw/map.h"
#include "draw/model_view.h"

/* The middle of the map of directions on the page, and points to a unit of its projection: it is
 * 2 sqrt 2 units high and twice as wide. */
typedef struct map_place {
    double x, y, unit;
} map_place;

/* Sign of each band: from bare by thin to thick. */
extern const char *const map_signs[MAP_BANDS];
void map_band_look(size_t band, double range, model_band *look);
/* Hatch lines over a box; clip first. */
void map_hatch(cairo_t *cr, box where, model_hatch hatch);

/* The map of directions. False where memory fails. */
bool map_draw(cairo_t *cr, const struct map_view *view, const map_place *place);

/* The mold in its cradle, with its axes and the way they turn; or held by hand, side after side.
 * False where memory fails. */
bool turning_draw(cairo_t *cr, const struct map_view *view, box where);

/* A cut through mold and wall, its layers to scale. */
void cut_draw(cairo_t *cr, const struct map_view *view, box where);

#endif
