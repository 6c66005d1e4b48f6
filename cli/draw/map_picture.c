/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The picture of a wall: directions, the model from its sides, how it turns, the cut. */
#include "config.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "draw/map_parts.h"
#include "draw/marks.h"
#include "draw/picture.h"

static const map_place map_at = {222.0, 168.0, 62.0};
static const box turning_at = {424.0, 74.0, 332.0, 190.0};
static const box cut_at = {562.0, 322.0, 194.0, 190.0};

enum { OBLIQUE, VIEWS = 4 };
static const box view_at[VIEWS] = {{36.0, 322.0, 126.0, 190.0},
                                   {166.0, 322.0, 126.0, 190.0},
                                   {296.0, 322.0, 126.0, 190.0},
                                   {426.0, 322.0, 126.0, 190.0}};

static void draw_legend(cairo_t *cr, const struct map_view *view) {
    const double x0 = 46.0, y = 274.0, w = 58.0, range = map_range(&view->spread);
    char text[120];
    for (size_t band = 0; band < MAP_BANDS; band++) {
        model_band look;
        box where = {x0 + w * (double)band + (band > 0 ? 6.0 : 0.0), y, w - 6.0, 13.0};
        map_band_look(band, range, &look);
        pen_clip(cr, where);
        cairo_set_source_rgb(cr, look.rgb[0], look.rgb[1], look.rgb[2]);
        cairo_paint(cr);
        map_hatch(cr, where, look.hatch);
        cairo_restore(cr);
        pen_ink(cr, INK_BLACK);
        pen_frame(cr, where, 0.5);
        pen_font(cr, 9.0, true);
        pen_text(cr, where.x + where.w / 2.0, y - 3.0, MIDDLE, map_signs[band]);
        pen_font(cr, 7.0, false);
        if (band == MAP_BAND_BARE)
            pen_text(cr, where.x + where.w / 2.0, y + 22.0, MIDDLE, "bare");
        if (band > MAP_BAND_BARE && band + 1 < MAP_BANDS) {
            double end = map_band_end(band, range) * view->spread.mean_m;
            pen_text(cr, where.x + where.w + 3.0, y + 22.0, MIDDLE,
                     pc_say_thickness(view->units, end).s);
            snprintf(text, sizeof text, "%+.0f %%", 100.0 * (map_band_end(band, range) - 1.0));
            pen_text(cr, where.x + where.w + 3.0, y + 30.0, MIDDLE, text);
        }
    }
}

/* The band of each facet, to be freed; NULL where memory fails. */
static unsigned char *facet_bands(const struct map_view *view) {
    size_t facets = view->mesh->facet_count;
    double *area = calloc(2 * facets + 2, sizeof *area), *sum = area + facets + 1;
    unsigned char *band = calloc(facets + 1, 1);
    double range = map_range(&view->mesh_spread);
    for (size_t i = 0; area && i < pc_map_count(view->on_mesh); i++) {
        pc_map_cell cell;
        if (pc_map_cell_at(view->on_mesh, i, &cell) != PC_OK || cell.facet >= facets)
            continue;
        area[cell.facet] += cell.area_m2;
        sum[cell.facet] += cell.area_m2 * (view->last_only ? cell.film_m : cell.sum_m);
    }
    for (size_t f = 0; band && area && f < facets; f++)
        band[f] = (unsigned char)map_band(
            area[f] > 0.0 ? sum[f] / area[f] / view->mesh_spread.mean_m : 1.0, range);
    if (!area) {
        free(band);
        band = NULL;
    }
    free(area);
    return band;
}

/* The axes through the middle, as the map names them: out in front, broken behind. */
static void draw_named_axes(cairo_t *cr, const model_view *v) {
    static const char *const name[2][3] = {{"+x", "+y", "+z"},
                                           {"\xE2\x88\x92x", "\xE2\x88\x92y", "\xE2\x88\x92z"}};
    static const double dash[] = {2.0, 2.0};
    double cx = v->where.x + v->where.w / 2.0, cy = v->where.y + v->where.h / 2.0;
    pen_font(cr, 8.5, true);
    for (int end = 0; end < 2; end++)
        for (int a = 0; a < 3; a++) {
            double way = end == 0 ? 1.0 : -1.0, dx = way * v->side.right[a],
                   dy = -way * v->side.up[a];
            double reach = fmin(fabs(dx) > 1e-6 ? (v->where.w / 2.0 - 13.0) / fabs(dx) : INFINITY,
                                fabs(dy) > 1e-6 ? (v->where.h / 2.0 - 12.0) / fabs(dy) : INFINITY);
            bool behind = way * v->side.toward[a] < 0.0;
            cairo_save(cr);
            if (behind)
                cairo_set_dash(cr, dash, 2, 0.0);
            pen_ink(cr, INK_BLACK);
            pen_line(cr, cx, cy, cx + reach * dx, cy + reach * dy, behind ? 0.6 : 1.0);
            cairo_restore(cr);
            pen_ink(cr, INK_WHITE);
            cairo_rectangle(cr, cx + reach * dx - 8.0, cy + reach * dy - 6.0, 16.0, 11.0);
            cairo_fill(cr);
            pen_ink(cr, INK_BLACK);
            pen_text(cr, cx + reach * dx, cy + reach * dy + 3.0, MIDDLE, name[end][a]);
        }
}

static bool draw_side(cairo_t *cr, const struct map_view *view, const model_side *side, int k,
                      double pt_per_m, const unsigned char *band) {
    static const char *const title[VIEWS] = {"Where the map points", "From \xE2\x88\x92y",
                                             "From +x", "From +y"};
    model_band look[MAP_BANDS];
    model_view v = {0};
    for (size_t b = 0; b < MAP_BANDS; b++)
        map_band_look(b, map_range(&view->mesh_spread), &look[b]);
    bool ok = model_view_make(view->mesh, side, view_at[k], pt_per_m, &v) &&
              model_view_paint(cr, &v, view->mesh, look, band);
    if (ok && k == OBLIQUE)
        draw_named_axes(cr, &v);
    model_view_free(&v);
    pen_ink(cr, INK_BLACK);
    pen_font(cr, 8.5, true);
    pen_text(cr, view_at[k].x, view_at[k].y - 4.0, LEFT, title[k]);
    pen_frame(cr, view_at[k], 0.4);
    return ok;
}

static void look_askance(model_side *side) {
    *side = (model_side){
        .right = {0.88, 0.475, 0.0}, .up = {-0.142, 0.264, 0.954}, .toward = {0.453, -0.839, 0.3}};
}

static bool draw_model(cairo_t *cr, const struct map_view *view) {
    static const double up[3] = {0.0, 0.0, 1.0};
    model_side all[MODEL_SIDES], side[VIEWS];
    double pt_per_m = INFINITY;
    model_sides(up, all);
    look_askance(&side[OBLIQUE]);
    for (int k = 1; k < VIEWS; k++)
        side[k] = all[k - 1];
    for (int k = 0; k < VIEWS; k++)
        pt_per_m = fmin(pt_per_m,
                        model_scale(view->mesh, &side[k], view_at[k], k == OBLIQUE ? 20.0 : 6.0));
    unsigned char *band = facet_bands(view);
    bool ok = band != NULL;
    for (int k = 0; k < VIEWS && ok; k++)
        ok = draw_side(cr, view, &side[k], k, pt_per_m, band);
    free(band);
    return ok;
}

/* Without a mesh a globe stands for the model. */
static void draw_globe(cairo_t *cr) {
    const box where = view_at[OBLIQUE];
    const double r = 34.0;
    model_view v = {.where = where};
    look_askance(&v.side);
    cairo_new_path(cr);
    cairo_arc(cr, where.x + where.w / 2.0, where.y + where.h / 2.0, r, 0.0, 2.0 * PC_PI);
    cairo_set_source_rgb(cr, 0.9, 0.9, 0.9);
    cairo_fill_preserve(cr);
    pen_ink(cr, INK_BLACK);
    cairo_set_line_width(cr, 0.8);
    cairo_stroke(cr);
    draw_named_axes(cr, &v);
    pen_font(cr, 8.5, true);
    pen_text(cr, where.x, where.y - 4.0, LEFT, "Where the map points");
    pen_frame(cr, where, 0.4);
    pen_font(cr, 8.5, false);
    pen_paragraph(cr, view_at[1].x + 8.0, view_at[1].y + 20.0, 300.0, 12.0, 6, true,
                  "The map is of the sphere with the part's area: each place of it is a direction "
                  "from the middle of the mold. A piece with a mesh is shown as the model, too.");
}

/* The pool of the model lies level from one end of it to the other: what runs along the wall
 * between them is not followed. */
static void say_of_model(cairo_t *cr, const struct map_view *view) {
    const pc_spread *on = &view->mesh_spread;
    double range = map_range(on);
    char text[400];
    snprintf(
        text, sizeof text,
        "On the model: 5 %% is thinner than %s, 5 %% thicker than %s; + and \xE2\x88\x92 begin "
        "at %.0f %%, ++ and \xE2\x88\x92\xE2\x88\x92 at %.0f %%. Its pool is taken to lie "
        "level all the time; resin that runs along the wall from end to end is not followed, so "
        "that a waist is drawn barer than it comes out.",
        pc_say_thickness(view->units, on->thin_m).s, pc_say_thickness(view->units, on->thick_m).s,
        100.0 * (map_band_end(MAP_BAND_MEAN, range) - 1.0),
        100.0 * (map_band_end(MAP_BAND_MEAN + 1, range) - 1.0));
    pen_ink(cr, INK_BLACK);
    pen_font(cr, 8.0, false);
    pen_paragraph(cr, 36.0, 522.0, 516.0, 9.5, 3, true, text);
}

static bool draw_page(cairo_t *cr, const void *context) {
    const struct map_view *view = context;
    char text[300];
    pen_ink(cr, INK_BLACK);
    pen_fit(cr, 36.0, 42.0, 720.0, LEFT, 15.0, 9.0, true, view->title);
    pen_fit(cr, 36.0, 58.0, 720.0, LEFT, 10.0, 7.0, false, view->subtitle);
    bool ok = map_draw(cr, view, &map_at);
    draw_legend(cr, view);
    ok = ok && turning_draw(cr, view, turning_at);
    if (view->mesh)
        ok = ok && draw_model(cr, view);
    if (view->mesh)
        say_of_model(cr, view);
    else
        draw_globe(cr);
    cut_draw(cr, view, cut_at);
    snprintf(text, sizeof text,
             "On the sphere: 5 %% of the wall is thinner than %s, 5 %% thicker than %s; mean %s. + "
             "thicker, "
             "\xE2\x88\x92 thinner than the mean.",
             pc_say_thickness(view->units, view->spread.thin_m).s,
             pc_say_thickness(view->units, view->spread.thick_m).s,
             pc_say_thickness(view->units, view->spread.mean_m).s);
    pen_ink(cr, INK_BLACK);
    pen_fit(cr, 36.0, 552.0, 720.0, LEFT, 10.0, 7.0, false, text);
    return ok;
}

enum cli_exit map_picture(const char *path, const struct map_view *view) {
    return picture_file("--map", path, PICTURE_WIDTH_PT, PICTURE_HEIGHT_PT, draw_page, view);
}
