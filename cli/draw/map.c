/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "draw/map.h"

#include <cairo-svg.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "draw/picture.h"
#include "draw/sheet_pen.h"
#include "pourclock.h"
#include "print/message.h"

#define PAGE_W  560.0
#define PAGE_H  400.0
#define GLOBE_X 280.0
#define GLOBE_Y 190.0
#define GLOBE_R                                                                                    \
    92.0 /* points to one unit of the projection; it is 2 sqrt 2 high and twice as wide */
#define LAT_STEPS 36
#define LON_STEPS 72
#define SHADES    25 /* either side of the mean */
#define TURN      (2.0 * PC_PI)

/* Hammer's equal-area projection. */
static void project(double lat, double lon, double *x, double *y) {
    double d = sqrt(1 + cos(lat) * cos(lon / 2));
    *x = GLOBE_X + GLOBE_R * 2 * sqrt(2) * cos(lat) * sin(lon / 2) / d;
    *y = GLOBE_Y - GLOBE_R * sqrt(2) * sin(lat) / d;
}

struct direction {
    double x, y, z, film;
};

static struct direction *directions(const struct map_view *view) {
    size_t n = pc_map_count(view->map);
    struct direction *d = malloc(n * sizeof *d);
    for (size_t i = 0; d && i < n; i++) {
        pc_map_cell cell;
        pc_map_cell_at(view->map, i, &cell);
        double r =
            sqrt(cell.at[0] * cell.at[0] + cell.at[1] * cell.at[1] + cell.at[2] * cell.at[2]);
        double s = r > 0 ? 1 / r : 0;
        d[i] = (struct direction){cell.at[0] * s, cell.at[1] * s, cell.at[2] * s,
                                  view->last_only ? cell.film_m : cell.sum_m};
    }
    return d;
}

static double film_at(const struct direction *d, size_t n, double lat, double lon) {
    double x = cos(lat) * cos(lon), y = cos(lat) * sin(lon), z = sin(lat), most = -2, film = 0;
    for (size_t i = 0; i < n; i++) {
        double c = d[i].x * x + d[i].y * y + d[i].z * z;
        if (c > most) {
            most = c;
            film = d[i].film;
        }
    }
    return film;
}

/* A stretch of one latitude, from step j to j + run; a little wider than it is, so that no seam
 * shows between neighbors. */
static void draw_stretch(cairo_t *cr, int i, int j, int run) {
    double lat0 = TURN / 2 * i / LAT_STEPS - TURN / 4;
    double lat1 = fmin(lat0 + 1.1 * TURN / 2 / LAT_STEPS, TURN / 4), x, y;
    double end = fmin(j + run + 0.1, LON_STEPS);
    for (int k = 0; k <= run; k++) {
        project(lat0, TURN * fmin(j + k, end) / LON_STEPS - TURN / 2, &x, &y);
        if (k == 0)
            cairo_move_to(cr, x, y);
        else
            cairo_line_to(cr, x, y);
    }
    for (int k = run; k >= 0; k--) {
        project(lat1, TURN * (k == run ? end : j + k) / LON_STEPS - TURN / 2, &x, &y);
        cairo_line_to(cr, x, y);
    }
    cairo_close_path(cr);
    cairo_fill(cr);
}

/* Color of a shade: -SHADES thinnest, 0 the mean, SHADES thickest, below: bare. */
static void shade_ink(cairo_t *cr, int shade, double range) {
    double rgb[3];
    map_color(shade < -SHADES ? 0 : 1 + range * shade / SHADES, range, rgb);
    cairo_set_source_rgb(cr, rgb[0], rgb[1], rgb[2]);
}

static void draw_cells(cairo_t *cr, const struct map_view *view, const struct direction *d) {
    size_t n = pc_map_count(view->map);
    double range = map_range(&view->spread);
    for (int i = 0; i < LAT_STEPS; i++) {
        int shade[LON_STEPS];
        for (int j = 0; j < LON_STEPS; j++) {
            double lat = TURN / 2 * (i + 0.5) / LAT_STEPS - TURN / 4;
            double lon = TURN * (j + 0.5) / LON_STEPS - TURN / 2;
            double ratio = film_at(d, n, lat, lon) / view->spread.mean_m;
            shade[j] = ratio >= MAP_BARE
                           ? (int)fmax(-SHADES, fmin(SHADES, round((ratio - 1) / range * SHADES)))
                           : -SHADES - 1;
        }
        for (int j = 0, run; j < LON_STEPS; j += run) {
            for (run = 1; j + run < LON_STEPS && shade[j + run] == shade[j]; run++)
                ;
            shade_ink(cr, shade[j], range);
            draw_stretch(cr, i, j, run);
        }
    }
}

static void draw_line(cairo_t *cr, double lat0, double lon0, double lat1, double lon1) {
    for (int k = 0; k <= 48; k++) {
        double x, y, t = k / 48.0;
        project(lat0 + t * (lat1 - lat0), lon0 + t * (lon1 - lon0), &x, &y);
        if (k == 0)
            cairo_move_to(cr, x, y);
        else
            cairo_line_to(cr, x, y);
    }
    cairo_stroke(cr);
}

static void draw_grid(cairo_t *cr) {
    pen_ink(cr, INK_GREY);
    cairo_set_line_width(cr, 0.4);
    for (int k = -2; k <= 2; k++)
        draw_line(cr, k * TURN / 12, -TURN / 2, k * TURN / 12, TURN / 2);
    for (int k = -3; k <= 3; k++)
        draw_line(cr, -TURN / 4, k * TURN / 8, TURN / 4, k * TURN / 8);
    pen_ink(cr, INK_BLACK);
    cairo_set_line_width(cr, 0.8);
    draw_line(cr, -TURN / 4, -TURN / 2, TURN / 4, -TURN / 2);
    draw_line(cr, -TURN / 4, TURN / 2, TURN / 4, TURN / 2);
    static const struct {
        double lat, lon, dy;
        const char *text;
    } mark[] = {{TURN / 4, 0, -4, "+z"},
                {-TURN / 4, 0, 11, "-z"},
                {0, 0, 3, "+x"},
                {0, TURN / 4, 3, "+y"},
                {0, -TURN / 4, 3, "-y"}};
    pen_font(cr, 9, true);
    for (size_t i = 0; i < sizeof mark / sizeof mark[0]; i++) {
        double x, y;
        project(mark[i].lat, mark[i].lon, &x, &y);
        pen_ink(cr, INK_WHITE);
        cairo_arc(cr, x, y + mark[i].dy - 3, i < 2 ? 0 : 8, 0, TURN);
        cairo_fill(cr);
        pen_ink(cr, INK_BLACK);
        pen_text(cr, x, y + mark[i].dy, MIDDLE, mark[i].text);
    }
}

static void draw_legend(cairo_t *cr, const struct map_view *view) {
    const double x0 = 130, y0 = 352, w = 300, h = 10;
    const double range = map_range(&view->spread);
    for (int i = -SHADES; i <= SHADES; i++) {
        shade_ink(cr, i, range);
        cairo_rectangle(cr, x0 + w * (i + SHADES) / (2 * SHADES + 1), y0,
                        w / (2 * SHADES + 1) + 0.3, h);
        cairo_fill(cr);
    }
    pen_ink(cr, INK_BLACK);
    pen_frame(cr, (box){x0, y0, w, h}, 0.5);
    pen_font(cr, 9, false);
    for (int i = 0; i <= 4; i++)
        pen_text(
            cr, x0 + w * i / 4, y0 + 20, MIDDLE,
            pc_say_thickness(view->units, (1 + range * (i - 2) / 2.0) * view->spread.mean_m).s);
    char text[200];
    snprintf(text, sizeof text,
             "5 %% of the wall is thinner than %s, 5 %% thicker than %s; mean %s",
             pc_say_thickness(view->units, view->spread.thin_m).s,
             pc_say_thickness(view->units, view->spread.thick_m).s,
             pc_say_thickness(view->units, view->spread.mean_m).s);
    pen_fit(cr, PAGE_W / 2, 390, PAGE_W - 20, MIDDLE, 10, 7, false, text);
}

enum cli_exit map_svg(const struct map_view *view, struct cli_output *out) {
    struct direction *d = directions(view);
    if (!d)
        return say_error(CLI_INTERNAL, "out of memory");
    cairo_surface_t *surface =
        cairo_svg_surface_create_for_stream(picture_write, out, PAGE_W, PAGE_H);
    cairo_t *cr = cairo_create(surface);
    pen_ink(cr, INK_WHITE);
    cairo_paint(cr);
    draw_cells(cr, view, d);
    free(d);
    draw_grid(cr);
    pen_ink(cr, INK_BLACK);
    pen_fit(cr, PAGE_W / 2, 22, PAGE_W - 20, MIDDLE, 14, 9, true, view->title);
    pen_fit(cr, PAGE_W / 2, 38, PAGE_W - 20, MIDDLE, 10, 7, false, view->subtitle);
    draw_legend(cr, view);
    cairo_destroy(cr);
    cairo_surface_finish(surface);
    cairo_status_t status = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    if (status != CAIRO_STATUS_SUCCESS)
        return say_error(CLI_INTERNAL, "the map cannot be drawn: %s",
                         cairo_status_to_string(status));
    return CLI_DONE;
}
