/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "draw/traps_picture.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "draw/marks.h"
#include "draw/model_view.h"
#include "draw/picture.h"

enum { ROWS_MOST = 8, TITLE_SIZE = 200, NUMBER_SIZE = 24 };
#define ROW_PT      11.5
#define VIEW_TOP_PT 80.0
#define VIEW_H_PT   306.0
#define LOW_TOP_PT  412.0

static const model_band bands[] = {
    {{0.86, 0.86, 0.86}, MODEL_PLAIN},        /* the model */
    {{0.95, 0.62, 0.45}, MODEL_RISING_DENSE}, /* air shut in below */
};

static const struct {
    const char *title;
    box where;
} views[MODEL_SIDES] = {
    {"From the front", {36.0, VIEW_TOP_PT, 238.0, VIEW_H_PT}},
    {"From the right", {278.0, VIEW_TOP_PT, 238.0, VIEW_H_PT}},
    {"From behind", {520.0, VIEW_TOP_PT, 238.0, VIEW_H_PT}},
    {"From above: where to drill", {36.0, LOW_TOP_PT, 238.0, 158.0}},
};

static double height_of(const struct traps_shown *s, const double at_m[3]) {
    const double *up = s->traps->up;
    return at_m[0] * up[0] + at_m[1] * up[1] + at_m[2] * up[2];
}

/* Facets around each corner: start[v] to start[v + 1]. */
struct around {
    size_t *start;
    uint32_t *facet;
};

static bool find_around(const pc_mesh *mesh, struct around *around) {
    size_t corners = 3 * mesh->facet_count;
    around->start = calloc(mesh->vertex_count + 2, sizeof *around->start);
    around->facet = malloc((corners + 1) * sizeof *around->facet);
    if (!around->start || !around->facet)
        return false;
    for (size_t i = 0; i < corners; i++)
        around->start[mesh->facet[i] + 2]++;
    for (size_t v = 2; v < mesh->vertex_count + 2; v++)
        around->start[v] += around->start[v - 1];
    for (size_t i = 0; i < corners; i++)
        around->facet[around->start[mesh->facet[i] + 1]++] = (uint32_t)(i / 3);
    return true;
}

static uint32_t nearest_corner(const pc_mesh *mesh, const double at_m[3]) {
    double best = INFINITY;
    uint32_t nearest = 0;
    for (size_t v = 0; v < mesh->vertex_count; v++) {
        double d2 = 0.0;
        for (size_t a = 0; a < 3; a++)
            d2 += (mesh->vertex[3 * v + a] - at_m[a]) * (mesh->vertex[3 * v + a] - at_m[a]);
        if (d2 < best) {
            best = d2;
            nearest = (uint32_t)v;
        }
    }
    return nearest;
}

/* Marks the surface that hangs together with a trap's top above its saddle: the air's roof. */
static void mark_pocket(const struct traps_shown *s, const struct around *around,
                        const pc_trap *trap, uint32_t *waiting, bool *seen, unsigned char *band) {
    const pc_mesh *mesh = s->mesh;
    double saddle = height_of(s, trap->at_m) - trap->depth_m + s->traps->cell_m; /* to a cell */
    size_t count = 0;
    memset(seen, 0, mesh->vertex_count * sizeof *seen);
    waiting[count++] = nearest_corner(mesh, trap->at_m);
    seen[waiting[0]] = true;
    while (count > 0) {
        uint32_t v = waiting[--count];
        for (size_t i = around->start[v]; i < around->start[v + 1]; i++) {
            const uint32_t *corner = mesh->facet + 3 * (size_t)around->facet[i];
            double middle = 0.0;
            for (int c = 0; c < 3; c++) {
                double height = height_of(s, mesh->vertex + 3 * (size_t)corner[c]);
                middle += height / 3.0;
                if (height <= saddle || seen[corner[c]])
                    continue;
                seen[corner[c]] = true;
                waiting[count++] = corner[c];
            }
            if (middle > saddle)
                band[around->facet[i]] = 1;
        }
    }
}

/* A band for each facet, to be freed; NULL where memory fails. */
static unsigned char *mark_pockets(const struct traps_shown *s) {
    const pc_mesh *mesh = s->mesh;
    struct around around = {NULL, NULL};
    unsigned char *band = calloc(mesh->facet_count + 1, 1);
    uint32_t *waiting = malloc((mesh->vertex_count + 1) * sizeof *waiting);
    bool *seen = malloc((mesh->vertex_count + 1) * sizeof *seen), ok;
    ok = band && waiting && seen && find_around(mesh, &around);
    for (size_t i = 0; i < s->traps->count && ok; i++)
        mark_pocket(s, &around, &s->traps->trap[i], waiting, seen, band);
    free(around.start);
    free(around.facet);
    free(waiting);
    free(seen);
    if (ok)
        return band;
    free(band);
    return NULL;
}

/* The end of a vent: above the highest point of the model. */
static void vent_end(const struct traps_shown *s, const pc_trap *trap, double over_m,
                     double end_m[3]) {
    for (int a = 0; a < 3; a++)
        end_m[a] = trap->at_m[a] + (trap->vent_run_m + over_m) * s->traps->up[a];
}

static void draw_vent(cairo_t *cr, const struct traps_shown *s, const model_view *v, size_t i) {
    const pc_trap *trap = &s->traps->trap[i];
    char number[NUMBER_SIZE];
    double end_m[3], x0, y0, x1, y1;
    snprintf(number, sizeof number, "%zu", i + 1);
    vent_end(s, trap, (14.0 + 14.0 * (double)(i % 2)) / v->pt_per_m, end_m);
    model_view_place(v, trap->at_m, &x0, &y0);
    model_view_place(v, end_m, &x1, &y1);
    if (hypot(x1 - x0, y1 - y0) < 1.0) { /* seen from above: here it is drilled */
        draw_drill(cr, x0, y0, 5.0);
        draw_badge(cr, x0 + 12.0, y0 - 9.0, 6.0, INK_VERMILLION, true, number);
        return;
    }
    draw_cased_line(cr, x0, y0, x1, y1, 2.2, INK_BLUE, !trap->vent_clear);
    pen_ink(cr, model_view_sees(v, trap->at_m) ? INK_VERMILLION : INK_WHITE);
    cairo_new_path(cr);
    cairo_arc(cr, x0, y0, 3.2, 0.0, 2.0 * PC_PI);
    cairo_fill_preserve(cr);
    pen_ink(cr, INK_BLACK);
    cairo_set_line_width(cr, 0.8);
    cairo_stroke(cr);
    draw_badge(cr, x1, y1, 6.0, INK_VERMILLION, true, number);
}

static void draw_places(cairo_t *cr, const struct traps_shown *s, const model_view *v) {
    double x, y;
    for (size_t i = 0; i < s->narrows->neck_count; i++) {
        const double *at = s->narrows->neck[i].at_m;
        model_view_place(v, at, &x, &y);
        draw_diamond(cr, x, y, 5.0, INK_SKY, !model_view_sees(v, at));
    }
    for (size_t i = 0; i < s->narrows->tip_count; i++) {
        const double *at = s->narrows->tip[i].at_m;
        model_view_place(v, at, &x, &y);
        draw_triangle(cr, x, y, 5.0, INK_YELLOW, !model_view_sees(v, at));
    }
    for (size_t i = s->traps->count; i-- > 0;)
        if (i < 2 * ROWS_MOST)
            draw_vent(cr, s, v, i);
    model_view_place(v, s->traps->vent_m, &x, &y);
    draw_badge(cr, x, y, 6.5, INK_GREEN, false, "A");
}

static bool draw_view(cairo_t *cr, const struct traps_shown *s, const model_side *side, int k,
                      double pt_per_m, const unsigned char *band) {
    const box where = views[k].where;
    model_view v = {0};
    bool ok = model_view_make(s->mesh, side, where, pt_per_m, &v) &&
              model_view_paint(cr, &v, s->mesh, bands, band);
    if (ok) {
        draw_places(cr, s, &v);
        model_view_axes(cr, &v, where.x + 26.0, where.y + where.h - 32.0);
    }
    model_view_free(&v);
    pen_ink(cr, INK_BLACK);
    pen_font(cr, 9.0, true);
    pen_text(cr, where.x, where.y - 4.0, LEFT, views[k].title);
    pen_frame(cr, where, 0.4);
    if (k == MODEL_ABOVE) {
        pen_font(cr, 8.0, false);
        pen_text(cr, where.x + where.w - 4.0, where.y + where.h - 5.0, RIGHT, "up: toward you");
        return ok;
    }
    draw_arrow(cr, where.x + 14.0, where.y + 58.0, where.x + 14.0, where.y + 12.0, 3.0);
    pen_font(cr, 9.0, true);
    pen_text(cr, where.x + 21.0, where.y + 20.0, LEFT, "UP");
    return ok;
}

static double draw_row(cairo_t *cr, double y, const char *const text[5]) {
    static const double x[] = {300.0, 322.0, 492.0, 562.0, 632.0};
    for (int k = 0; k < 5; k++)
        if (text[k])
            pen_text(cr, x[k], y, LEFT, text[k]);
    return y + ROW_PT;
}

static double draw_table(cairo_t *cr, const struct traps_shown *s, double y) {
    const pc_traps *t = s->traps;
    pen_ink(cr, INK_BLACK);
    pen_font(cr, 8.5, true);
    y = draw_row(cr, y,
                 (const char *const[]){"Air", "x, y, z in the mesh's unit", "deep", "air",
                                       "vent, straight up"});
    pen_font(cr, 8.5, false);
    for (size_t i = 0; i < t->count && i < ROWS_MOST; i++) {
        const pc_trap *trap = &t->trap[i];
        char number[NUMBER_SIZE], place[80], vent[120];
        double u = s->mesh->unit_m;
        snprintf(number, sizeof number, "%zu", i + 1);
        snprintf(place, sizeof place, "%.1f, %.1f, %.1f", trap->at_m[0] / u + 0.0,
                 trap->at_m[1] / u + 0.0, trap->at_m[2] / u + 0.0);
        snprintf(vent, sizeof vent, "%s%s", pc_say_length(s->units, trap->vent_run_m).s,
                 trap->vent_clear ? "" : ", around what lies above");
        y = draw_row(cr, y,
                     (const char *const[]){number, place, pc_say_length(s->units, trap->depth_m).s,
                                           pc_say_volume(s->units, trap->volume_m3).s, vent});
    }
    char more[80];
    snprintf(more, sizeof more, "and %zu smaller ones", t->count - ROWS_MOST);
    return t->count > ROWS_MOST
               ? draw_row(cr, y, (const char *const[]){NULL, more, NULL, NULL, NULL})
               : y;
}

static double draw_entry(cairo_t *cr, double y, const char *text) {
    pen_ink(cr, INK_BLACK);
    pen_fit(cr, 326.0, y, 430.0, LEFT, 8.5, 6.5, false, text);
    return y + ROW_PT;
}

static void draw_legend(cairo_t *cr, const struct traps_shown *s, double y) {
    char text[TITLE_SIZE];
    const double x = 306.0;
    y += 4.0;
    if (s->traps->count > 0) {
        pen_hatch(cr, (box){x - 7.0, y - 7.0, 14.0, 8.0}, INK_VERMILLION, 1);
        y = draw_entry(cr, y, "air is shut in under here while the resin rises");
        draw_cased_line(cr, x - 7.0, y - 3.0, x + 7.0, y - 3.0, 2.2, INK_BLUE, false);
        snprintf(text, sizeof text,
                 "vent, at least %s wide (%s of resin in total); broken: led around",
                 pc_say_length(s->units, s->bore_m).s, pc_say_volume(s->units, s->vents_m3).s);
        y = draw_entry(cr, y, text);
        draw_drill(cr, x, y - 3.0, 4.0);
        y = draw_entry(cr, y, "where to drill; keep it off the pour hole");
    }
    draw_badge(cr, x, y - 3.0, 5.0, INK_GREEN, false, "A");
    y = draw_entry(cr, y, "the air leaves here");
    draw_triangle(cr, x, y - 3.0, 4.5, INK_YELLOW, false);
    snprintf(text, sizeof text, "narrow tip, where a bubble stays while it is turned: %zu",
             s->narrows->tip_count);
    y = draw_entry(cr, y, text);
    draw_diamond(cr, x, y - 3.0, 4.5, INK_SKY, false);
    snprintf(text, sizeof text, "neck between wider chambers: %zu", s->narrows->neck_count);
    y = draw_entry(cr, y, text);
    draw_triangle(cr, x, y - 3.0, 4.5, INK_YELLOW, true);
    draw_entry(cr, y, "white inside: behind what is seen");
}

static void draw_heading(cairo_t *cr, const struct traps_shown *s) {
    char text[TITLE_SIZE];
    const double *up = s->traps->up;
    pen_ink(cr, INK_BLACK);
    pen_fit(cr, 36.0, 44.0, 720.0, LEFT, 15.0, 9.0, true, s->name);
    if (s->traps->count > 0)
        snprintf(text, sizeof text, "%s of air is shut in at %zu place%s. Way up %.3f,%.3f,%.3f.",
                 pc_say_volume(s->units, s->traps->trapped_m3).s, s->traps->count,
                 s->traps->count == 1 ? "" : "s", up[0] + 0.0, up[1] + 0.0, up[2] + 0.0);
    else
        snprintf(text, sizeof text, "No air is trapped while it fills. Way up %.3f,%.3f,%.3f.",
                 up[0] + 0.0, up[1] + 0.0, up[2] + 0.0);
    pen_fit(cr, 36.0, 60.0, 720.0, LEFT, 10.0, 7.0, false, text);
}

static bool draw_page(cairo_t *cr, const void *context) {
    const struct traps_shown *s = context;
    model_side side[MODEL_SIDES];
    double upright = INFINITY; /* points to a meter: the three side by side are of one size */
    model_sides(s->traps->up, side);
    for (int k = 0; k < MODEL_ABOVE; k++)
        upright = fmin(upright, model_scale(s->mesh, &side[k], views[k].where, 42.0));
    double above = model_scale(s->mesh, &side[MODEL_ABOVE], views[MODEL_ABOVE].where, 16.0);
    unsigned char *band = mark_pockets(s);
    bool ok = band != NULL;
    for (int k = 0; k < MODEL_SIDES && ok; k++)
        ok = draw_view(cr, s, &side[k], k, k == MODEL_ABOVE ? fmin(above, upright) : upright, band);
    free(band);
    draw_heading(cr, s);
    double y = LOW_TOP_PT + 6.0;
    if (s->traps->count > 0)
        y = draw_table(cr, s, y);
    draw_legend(cr, s, y + 4.0);
    return ok;
}

enum cli_exit traps_picture(const char *path, const struct traps_shown *shown) {
    return picture_file("--picture", path, PICTURE_WIDTH_PT, PICTURE_HEIGHT_PT, draw_page, shown);
}
