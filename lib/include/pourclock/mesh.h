/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Triangle meshes: STL (binary, text), OBJ, PLY (text, binary of either byte order), 3MF. Lengths
 * in m. */
#ifndef POURCLOCK_MESH_H
#define POURCLOCK_MESH_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "pourclock/errors.h"
#include "pourclock/export.h"
#include "pourclock/plain_text.h"
#include "pourclock/shape.h"
#include "pourclock/status.h"

PC_BEGIN_DECLS

/* What is known of a mesh after reading. */
typedef struct pc_mesh_report {
    double area_m2;
    double volume_m3;        /* NaN where the surface bounds none: see why_no_volume */
    double mean_curvature_m; /* from the angles of the edges; NaN where volume_m3 is */
    double euler;            /* vertices - edges + facets */
    double low_m[3], high_m[3];
    size_t facets, vertices, components;
    size_t degenerate;    /* facets without area: those with two corners in one place are dropped */
    size_t open_edges;    /* edges with a facet on one side only */
    size_t crowded_edges; /* edges of more than two facets */
    size_t flipped;       /* facets turned round to agree with their neighbors */
    size_t inside_out;    /* components turned inside out to face outward */
    size_t trailing_bytes; /* left unread after the mesh */
    size_t doubled;        /* facets given more than once, counted once */
    size_t hollows;        /* components that bound a hollow inside another */
    double overlap_m3;     /* that lies in several components at once, and counts once */
    double welded_m;       /* corners this close were joined; 0: only equal ones */
    size_t holes_closed;   /* small holes that were closed with flat patches, */
    double holes_m2;       /* which so much of the area is */
    double rim_m2;         /* opening taken as the rim, not in the area; 0: none */
    double rim_across_m;   /* longest side of the box around it */
    bool closed;
    char why_no_volume[160]; /* "" where there is a volume */
    char note[200];          /* "" or a doubt, such as another unit that looks more likely */
} pc_mesh_report;

/* A mesh read, welded and turned to face outward. Read only for callers. */
typedef struct pc_mesh {
    size_t vertex_count;
    double *vertex; /* x, y, z of each, m */
    size_t facet_count;
    uint32_t *facet;    /* three vertices of each, counter-clockwise seen from outside */
    size_t rim_facets;  /* the last ones: they close the rim and are no wall */
    double unit_m;      /* length unit of the file */
    const char *format; /* "STL, binary" and so on */
    pc_mesh_report report;
} pc_mesh;

/* Purpose:  read a mesh file, whatever its format, and judge it.
 * Given:    path, or "-" for standard input; unit of its numbers ("mm", "in", ...); NULL: the
 * file's own, which of these formats 3MF alone has. Returned: *mesh, to be freed by pc_mesh_free
 * (also after an error: then it is empty); PC_OK; PC_E_FILE; PC_E_SYNTAX (not such a file, cut off,
 * NaN, index out of range: with the line in text formats); PC_E_SIZE (above 4 GB or 2^31 facets);
 * PC_E_UNIT (none, where the file has none: the error names the size and the likely one; or another
 * than the file's); PC_E_VALUE (no facet with area, or larger than 1 km); PC_E_MEMORY. Notes:    an
 * open mesh is no error: its area holds, its volume is NaN. Memory: below 10 times the file's size
 * and some MB, each piece asked for only when the file is that long. */
PC_API pc_status pc_mesh_read(const char *path, const char *unit, pc_mesh *mesh, pc_errors *errors);

/* Purpose:  takes the largest opening of an open mesh as the hole it is poured through, or as its
 * rim: closes it with a patch that bounds the cavity and is no wall. Given:    mesh, as
 * pc_mesh_read leaves it. Returned: the mesh, closed; its area is the wall's alone. PC_OK;
 * PC_E_ARGUMENT; PC_E_VALUE (it is closed, or more than one opening is left; the mesh stays as it
 * was); PC_E_MEMORY (the mesh is blank). */
PC_API pc_status pc_mesh_close_rim(pc_mesh *mesh, pc_errors *errors);

/* Purpose:  free a mesh and blank it; safe on a blank one and on NULL. */
PC_API void pc_mesh_free(pc_mesh *mesh);

/* Purpose:  area and volume of a mesh file in one pass, without building the mesh.
 * Returned: as pc_mesh_read; *area_m2; *volume_m3, NaN unless every edge is met once in either
 *           direction (judged by a 64-bit sum over the edges; needs corners that are equal to the
 *           last bit and facets that all face one way). Both are NaN after an error.
 * Notes:    a binary STL is read in place; other formats are read by pc_mesh_read, and so is one in
 *           which a facet is given twice, to count it once: seen in all facets up to 260 000, in
 *           about so many of more. */
PC_API pc_status pc_mesh_survey(const char *path, const char *unit, double *area_m2,
                                double *volume_m3, pc_errors *errors);

typedef void (*pc_shell_found)(size_t wall, void *context);

/* Purpose:  resin of a wall inside a closed mesh: all of the cavity within the wall's depth of
 *           the surface, ears and fins that fill solid included.
 * Given:    mesh, closed; count walls, 1 to 4096, each > 0 and finite; cells: about how many cells
 *           lie within the thickest wall, 3000 to 100 million; 0: 120 000, or 250 000 where
 *           filled_m3 is asked for.
 * Returned: volume_m3[], rising with the wall and never above the cavity's volume; filled_m3[]
 *           (may be NULL): of it, what no ball of the wall's radius inside the cavity reaches, and
 *           which so fills solid or nearly; settled_within: a third of what cells of twice the side
 *           change, relative (may be NULL). found (may be NULL) is called, with its context, for
 *           each wall in turn as soon as its volumes are known. PC_OK, PC_E_ARGUMENT, PC_E_MEMORY.
 * Notes:    cells within the wall's depth of the surface alone are looked at, each with its
 * distance to the mesh, so that time and memory grow with the area over the square of a cell's
 *           side. Volumes of ball, torus, ellipsoid and box come out within 0.3 % with the cells of
 *           0, the otter of the examples within 0.05 % of 40 times as many; filled_m3, counted in
 *           cells, within some tenths of a percent of the shell. */
PC_API pc_status pc_mesh_shell(const pc_mesh *mesh, size_t count, const double *wall_m,
                               size_t cells, double *volume_m3, double *filled_m3,
                               double *settled_within, pc_shell_found found, void *context);

/* What is reported of a part, its mesh or its solids: area, volume, and the resin of each wall. */
#define PC_AREA_WALLS_MOST 64
typedef struct pc_area {
    char name[96];
    double area_m2, volume_m3, mean_curvature_m; /* NaN where unknown */
    bool closed;
    bool is_mesh; /* report holds */
    pc_mesh_report report;
    double density_kg_m3; /* of the resin; NaN: none */
    size_t walls;
    double wall_m[PC_AREA_WALLS_MOST], shell_m3[PC_AREA_WALLS_MOST], filled_m3[PC_AREA_WALLS_MOST];
} pc_area;

/* A high point of the cavity where air is shut in while resin rises. */
typedef struct pc_trap {
    double at_m[3];
    double depth_m;    /* from it down to the saddle over which the air could leave */
    double volume_m3;  /* of the cavity above that saddle */
    int group;         /* traps of one group lie close enough for their vents to meet; from 0 */
    double vent_run_m; /* straight up from it to the level of the highest point */
    bool vent_clear;   /* that run meets no other part of the cavity */
} pc_trap;

typedef struct pc_traps {
    double up[3];
    double vent_m[3];  /* where the air leaves: the highest point, or the one given */
    double cell_m;     /* side of the voxels: traps less than two of them deep are not seen */
    double trapped_m3; /* all the air shut in, none counted twice */
    size_t groups;     /* vents it takes: one a group */
    double vents_m;    /* a vent for each group, as long as its longest run: all of them together */
    size_t count;
    pc_trap *trap; /* largest first */
} pc_traps;

/* Purpose:  where air is caught when the cavity of a closed mesh is filled.
 * Given:    up: direction, not 0; vent_m: the hole the air leaves by (NULL: the highest point);
 *           join_m >= 0: traps nearer than that to each other are of one group; most_cells: bound
 *           of the voxel grid, 0: 2 million.
 * Returned: *traps, to be freed by pc_traps_free; PC_OK, PC_E_ARGUMENT, PC_E_VALUE (the vent lies
 *           outside the cavity), PC_E_MEMORY.
 * Notes:    sweeps the cavity from the top down and joins what connects (a merge tree by
 *           union-find); of two pockets that meet the lower, or the one without the vent, is the
 *           trap. A pocket's volume holds the smaller ones within it. Of features ten cells and
 * more across and deep, depths and volumes are within 3 %: measured on the mesh's own facets above
 *           the saddle where one part alone bounds the air, else counted in cells. */
PC_API pc_status pc_mesh_traps(const pc_mesh *mesh, const double up[3], const double *vent_m,
                               double join_m, size_t most_cells, pc_traps *traps);
PC_API void pc_traps_free(pc_traps *traps);

/* Purpose:  the way up that traps the least air, or takes the fewest vents and of those the
 *           shortest.
 * Given:    vent_m as above; fewest: vents, instead of the least air; join_m as pc_mesh_traps, for
 *           vents; directions: how many are tried first beside the six along the mesh's axes, at
 *           most 4096, 0: 128. They are spread evenly over the sphere; then the best four are
 *           improved by small steps.
 * Returned: up[], a unit vector; PC_OK, or as pc_mesh_traps. Searched on a coarse grid: traps it
 *           cannot see are not counted. */
PC_API pc_status pc_mesh_way_up(const pc_mesh *mesh, const double *vent_m, bool fewest,
                                double join_m, size_t directions, double up[3]);
static inline pc_status pc_mesh_best_up(const pc_mesh *mesh, const double *vent_m,
                                        size_t directions, double up[3]) {
    return pc_mesh_way_up(mesh, vent_m, false, 0.0, directions, up);
}
static inline pc_status pc_mesh_fewest_vents(const pc_mesh *mesh, const double *vent_m,
                                             double join_m, size_t directions, double up[3]) {
    return pc_mesh_way_up(mesh, vent_m, true, join_m, directions, up);
}

/* A narrow end that a ball of the bore asked for cannot enter: a bubble in it may stay. */
typedef struct pc_tip {
    double at_m[3];  /* its far end */
    double length_m; /* from there to the nearest such ball */
    double width_m;  /* diameter of the widest ball in it */
    double volume_m3;
} pc_tip;

/* A neck between two wider chambers. */
typedef struct pc_neck {
    double at_m[3];
    double width_m;      /* diameter of the widest ball that passes */
    double chamber_m[2]; /* diameter of the widest ball on either side, wider first */
} pc_neck;

typedef struct pc_narrows {
    double cell_m;
    size_t tip_count, neck_count;
    pc_tip *tip;   /* longest first */
    pc_neck *neck; /* narrowest first */
} pc_narrows;

/* Purpose:  narrow tips and necks of the cavity of a closed mesh.
 * Given:    bore_m: diameter of the ball (the bore that holds a bubble, see film.h), 0: no tips;
 *           wall_m: necks narrower than four walls are reported, 0: none; most_cells: about how
 *           many cells of the grid are looked at, at most 64 million; 0: 600 000.
 * Returned: *narrows, to be freed by pc_narrows_free, at most 1000 tips and 1000 necks; PC_OK,
 *           PC_E_ARGUMENT, PC_E_MEMORY.
 * Notes:    tips: what the cavity's opening by the ball leaves, if it
 *           reaches further than the ball's radius beyond it; the sharp inner corners of a box
 *           reach 0.73 of that. Necks: saddles of the depth under the surface (union-find, deepest
 *           first) whose chambers are at least half as wide again. */
PC_API pc_status pc_mesh_narrows(const pc_mesh *mesh, double bore_m, double wall_m,
                                 size_t most_cells, pc_narrows *narrows);
PC_API void pc_narrows_free(pc_narrows *narrows);

/* Purpose:  a PLY text of the mesh with the facets near traps and tips colored (Okabe-Ito:
 *           traps vermillion 213 94 0, tips orange 230 159 0, necks sky blue 86 180 233, the rest
 *           gray), in the file's own unit.
 * Given:    traps, narrows: may be NULL.
 * Returned: *text (NUL-terminated, size without it), to be freed by pc_text_free; PC_OK,
 *           PC_E_ARGUMENT (no facet), PC_E_MEMORY. */
PC_API pc_status pc_mesh_colored(const pc_mesh *mesh, const pc_traps *traps,
                                 const pc_narrows *narrows, char **text, size_t *size);

PC_END_DECLS

#endif
