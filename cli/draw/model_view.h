/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A mesh as it is seen from one side: shaded, with bands of color and hatching, in a box of the
 * page. */
#ifndef PC_CLI_DRAW_MODEL_VIEW_H
#define PC_CLI_DRAW_MODEL_VIEW_H

#include "draw/sheet_pen.h"

/* Hatching of a band, distinguishable in gray. */
typedef enum model_hatch {
    MODEL_PLAIN,
    MODEL_FALLING,       /* wide lines falling to the right */
    MODEL_FALLING_DENSE, /* close ones */
    MODEL_RISING,
    MODEL_RISING_DENSE,
    MODEL_CROSSED
} model_hatch;

typedef struct model_band {
    double rgb[3];
    model_hatch hatch;
} model_band;

/* The way of looking: three unit vectors in the mesh's axes, toward pointing at the viewer. */
typedef struct model_side {
    double right[3], up[3], toward[3];
} model_side;

typedef struct model_view {
    model_side side;
    box where; /* of the page */
    double pt_per_m;
    double middle[3]; /* in the middle of the box */
    size_t w, h;      /* pixels */
    float *depth;     /* of each pixel, m toward the viewer from the middle; -INFINITY: nothing */
    uint32_t *facet;  /* seen in each pixel */
} model_view;

/* Four sides of a model that stands with `up` up: front, right, back, from above. Front is the side
 * from which the mesh's x points to the right, or nearly so. */
enum { MODEL_FRONT, MODEL_RIGHT, MODEL_BACK, MODEL_ABOVE, MODEL_SIDES };
void model_sides(const double up[3], model_side side[MODEL_SIDES]);

/* Points of the page to a meter at which the mesh fits a box from that side, room left all round.
 */
double model_scale(const pc_mesh *mesh, const model_side *side, box where, double margin_pt);

/* Looks at the mesh. Returned: false where memory fails. Free with model_view_free. */
bool model_view_make(const pc_mesh *mesh, const model_side *side, box where, double pt_per_m,
                     model_view *view);
void model_view_free(model_view *view);

/* Paints it: band[facet_band[f]] is the color of facet f; facet_band NULL: the first for all.
 * False where memory fails. */
bool model_view_paint(cairo_t *cr, const model_view *view, const pc_mesh *mesh,
                      const model_band *band, const unsigned char *facet_band);

/* Where a point of the mesh stands on the page; whether nothing of the mesh stands before it. */
void model_view_place(const model_view *view, const double at_m[3], double *x, double *y);
bool model_view_sees(const model_view *view, const double at_m[3]);

/* The mesh's axes in the corner of a view, with their letters. */
void model_view_axes(cairo_t *cr, const model_view *view, double x, double y);

#endif
