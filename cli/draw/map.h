/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pictures of a wall map: an equal-area map in SVG, a mesh colored by thickness in PLY. */
#ifndef PC_CLI_DRAW_MAP_H
#define PC_CLI_DRAW_MAP_H

#include "commands/command.h"

#define MAP_BARE 0.02 /* of the mean: a thinner film is no wall */

/* What a map shows. */
struct map_view {
    const pc_map *map;
    pc_spread spread;
    bool last_only; /* the last layer instead of the sum */
    pc_units units;
    const char *title, *subtitle;
};

/* How far from the mean the colors go, as a share of it: a tenth, a quarter, a half, all. */
double map_range(const pc_spread *spread);

/* Color of a film as a ratio of the mean, 0..1 each: orange where thin, white at the mean, blue
 * where thick, dark red where bare. */
void map_color(double ratio, double range, double rgb[3]);

/* Draws the map of directions from the middle of the mold, its z up, into out. CLI_DONE or
 * CLI_INTERNAL after saying why. */
enum cli_exit map_svg(const struct map_view *view, struct cli_output *out);

/* The mesh the map was made from, with a thickness and color for each facet and vertex. */
enum cli_exit map_ply(const struct map_view *view, const pc_mesh *mesh, struct cli_output *out);

#endif
