/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pictures of a wall map: directions and the model itself in SVG, PDF and PNG, a mesh colored by
 * thickness in PLY. */
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
    /* What the picture shows beside the map; the mesh may be NULL. */
    const pc_mesh *mesh;
    const pc_map *on_mesh; /* the same wall on the mesh */
    pc_spread mesh_spread;
    const pc_turning *turning;
    const pc_turn_report *report; /* for the cycle of hands */
    const pc_mold *mold;
    size_t layers;         /* in the cut through the wall */
    const double *layer_m; /* thickness of each */
};

/* How far from the mean the colors go, as a share of it: a tenth, a quarter, a half, all. */
double map_range(const pc_spread *spread);

/* Color of a film as a ratio of the mean, 0..1 each: orange where thin, white at the mean, blue
 * where thick, dark red where bare. */
void map_color(double ratio, double range, double rgb[3]);

/* Bands of a picture, from bare and thin to thick, distinguished by hatching and sign too. */
enum { MAP_BAND_BARE, MAP_BAND_MEAN = 3, MAP_BANDS = 6 };
size_t map_band(double ratio, double range);
/* Of the mean, where band ends and the next begins. */
double map_band_end(size_t band, double range);

/* Writes the picture: .svg, .pdf or .png. CLI_DONE, or the exit after saying why. */
enum cli_exit map_picture(const char *path, const struct map_view *view);

/* The mesh the map was made from, with a thickness and color for each facet and vertex. */
enum cli_exit map_ply(const struct map_view *view, const pc_mesh *mesh, struct cli_output *out);

#endif
