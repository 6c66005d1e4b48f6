/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The equal-area map of directions from the middle of the mold. */
#include "config.h"

#include "draw/map_parts.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define LAT_STEPS 48
#define LON_STEPS 96
#define TURN      (2.0 * PC_PI)
/* Films at the corners of the map's fields, south to north, west to east. */
typedef double nodes[LAT_STEPS + 1][LON_STEPS + 1];

const char *const map_signs[MAP_BANDS] = {"0", "\xE2\x88\x92\xE2\x88\x92", "\xE2\x88\x92", "", "+",
                                          "++"};

void map_band_look(size_t band, double range, model_band *look) {
    static const model_hatch hatch[MAP_BANDS] = {MODEL_CROSSED, MODEL_FALLING_DENSE,
                                                 MODEL_FALLING, MODEL_PLAIN,
                                                 MODEL_RISING,  MODEL_RISING_DENSE};
    static const double off[MAP_BANDS] = {-2.0, -0.9, -0.45, 0.0, 0.45, 0.9};
    map_color(band == MAP_BAND_BARE ? 0.0 : 1.0 + range * off[band], range, look->rgb);
    look->hatch = hatch[band];
}

/* Hammer's equal-area projection, 2 sqrt 2 units high and twice as wide. */
static void project(const map_place *m, double lat, double lon, double *x, double *y) {
    double d = sqrt(1.0 + cos(lat) * cos(lon / 2.0));
    *x = m->x + m->unit * 2.0 * sqrt(2.0) * cos(lat) * sin(lon / 2.0) / d;
    *y = m->y - m->unit * sqrt(2.0) * sin(lat) / d;
}

static double latitude(double i) {
    return TURN / 2.0 * i / LAT_STEPS - TURN / 4.0;
}

static double longitude(double j) {
    return TURN * j / LON_STEPS - TURN / 2.0;
}

struct direction {
    double x, y, z, film;
};

static struct direction *directions(const struct map_view *view) {
    size_t n = pc_map_count(view->map);
    struct direction *d = malloc((n + 1) * sizeof *d);
    for (size_t i = 0; d && i < n; i++) {
        pc_map_cell cell;
        pc_map_cell_at(view->map, i, &cell);
        double r = hypot(hypot(cell.at[0], cell.at[1]), cell.at[2]), s = r > 0.0 ? 1.0 / r : 0.0;
        d[i] = (struct direction){cell.at[0] * s, cell.at[1] * s, cell.at[2] * s,
                                  view->last_only ? cell.film_m : cell.sum_m};
    }
    return d;
}

/* The mean of the four cells nearest to a direction, in shares of the mean film. */
static double ratio_at(const struct map_view *view, const struct direction *d, double lat,
                       double lon) {
    enum { NEAR = 4 };
    double x = cos(lat) * cos(lon), y = cos(lat) * sin(lon), z = sin(lat);
    double most[NEAR] = {-2.0, -2.0, -2.0, -2.0}, film[NEAR] = {0.0, 0.0, 0.0, 0.0}, sum = 0.0;
    for (size_t i = 0, n = pc_map_count(view->map); i < n; i++) {
        double c = d[i].x * x + d[i].y * y + d[i].z * z, f = d[i].film;
        for (int k = 0; k < NEAR && c > most[NEAR - 1]; k++) {
            double older = most[k], older_film = film[k];
            if (!(c > older))
                continue;
            most[k] = c;
            film[k] = f;
            c = older;
            f = older_film;
        }
    }
    for (int k = 0; k < NEAR; k++)
        sum += film[k] / NEAR;
    return sum / view->spread.mean_m;
}

/* A stretch of one row of fields, from j to j + run; a little larger than it is, so that no seam
 * shows. */
static void add_stretch(cairo_t *cr, const map_place *m, int i, int j, int run) {
    double top = fmin(i + 1.08, LAT_STEPS), end = fmin(j + run + 0.08, LON_STEPS), x, y;
    for (int k = 0; k <= run; k++) {
        project(m, latitude(i), longitude(k == run ? end : j + k), &x, &y);
        if (k == 0)
            cairo_move_to(cr, x, y);
        else
            cairo_line_to(cr, x, y);
    }
    for (int k = run; k >= 0; k--) {
        project(m, latitude(top), longitude(k == run ? end : j + k), &x, &y);
        cairo_line_to(cr, x, y);
    }
    cairo_close_path(cr);
}

static size_t field_band(const nodes node, int i, int j, double range) {
    double sum = node[i][j] + node[i + 1][j] + node[i][j + 1] + node[i + 1][j + 1];
    return map_band(sum / 4.0, range);
}

static void draw_band(cairo_t *cr, const map_place *m, const nodes node, size_t band,
                      double range) {
    model_band look;
    bool any = false;
    cairo_new_path(cr);
    for (int i = 0; i < LAT_STEPS; i++)
        for (int j = 0, run; j < LON_STEPS; j += run) {
            bool is = field_band(node, i, j, range) == band;
            for (run = 1; j + run < LON_STEPS; run++)
                if ((field_band(node, i, j + run, range) == band) != is)
                    break;
            if (is)
                add_stretch(cr, m, i, j, run);
            any = any || is;
        }
    if (!any)
        return;
    map_band_look(band, range, &look);
    cairo_set_source_rgb(cr, look.rgb[0], look.rgb[1], look.rgb[2]);
    cairo_fill_preserve(cr);
    cairo_save(cr);
    cairo_clip(cr);
    map_hatch(cr, (box){m->x - 3.0 * m->unit, m->y - 1.5 * m->unit, 6.0 * m->unit, 3.0 * m->unit},
              look.hatch);
    cairo_restore(cr);
}

void map_hatch(cairo_t *cr, box w, model_hatch hatch) {
    bool dense =
        hatch == MODEL_FALLING_DENSE || hatch == MODEL_RISING_DENSE || hatch == MODEL_CROSSED;
    bool falling = hatch == MODEL_FALLING || hatch == MODEL_FALLING_DENSE || hatch == MODEL_CROSSED;
    bool rising = hatch == MODEL_RISING || hatch == MODEL_RISING_DENSE || hatch == MODEL_CROSSED;
    double step = dense ? 4.0 : 8.0;
    cairo_new_path(cr);
    for (double d = -w.h; d < w.w; d += step) {
        if (falling) {
            cairo_move_to(cr, w.x + d, w.y);
            cairo_line_to(cr, w.x + d + w.h, w.y + w.h);
        }
        if (rising) {
            cairo_move_to(cr, w.x + d, w.y + w.h);
            cairo_line_to(cr, w.x + d + w.h, w.y);
        }
    }
    cairo_set_source_rgb(cr, 0.15, 0.15, 0.15);
    cairo_set_line_width(cr, 0.5);
    cairo_stroke(cr);
}

/* Where a level crosses one side of a field, from node a to b. */
static bool crosses(double a, double b, double level, double *share) {
    if ((a < level) == (b < level))
        return false;
    *share = (level - a) / (b - a);
    return true;
}

/* The two triangles of each field, and the line of the level through each. */
static void draw_contour(cairo_t *cr, const map_place *m, const nodes node, double level) {
    cairo_new_path(cr);
    for (int i = 0; i < LAT_STEPS; i++)
        for (int j = 0; j < LON_STEPS; j++)
            for (int half = 0; half < 2; half++) {
                const int ci[3] = {i, i + 1, half ? i + 1 : i},
                          cj[3] = {j, j + 1, half ? j : j + 1};
                double x, y, t;
                int met = 0;
                for (int k = 0; k < 3; k++) {
                    int n = (k + 1) % 3;
                    if (!crosses(node[ci[k]][cj[k]], node[ci[n]][cj[n]], level, &t))
                        continue;
                    project(m, latitude(ci[k] + t * (ci[n] - ci[k])),
                            longitude(cj[k] + t * (cj[n] - cj[k])), &x, &y);
                    if (met++ == 0)
                        cairo_move_to(cr, x, y);
                    else
                        cairo_line_to(cr, x, y);
                }
            }
    cairo_stroke(cr);
}

static void draw_signs(cairo_t *cr, const map_place *m, const nodes node, double range) {
    pen_font(cr, 10.0, true);
    for (int i = 4; i < LAT_STEPS; i += 8) {
        int apart = (int)fmax(8.0, 8.0 / fmax(0.2, cos(latitude(i))));
        for (int j = apart / 2; j < LON_STEPS; j += apart) {
            double x, y;
            const char *sign = map_signs[map_band(node[i][j], range)];
            project(m, latitude(i), longitude(j), &x, &y);
            if (sign[0] == '\0')
                continue;
            pen_ink(cr, INK_WHITE);
            cairo_new_path(cr);
            cairo_arc(cr, x, y - 3.5, 6.0, 0.0, TURN);
            cairo_fill(cr);
            pen_ink(cr, INK_BLACK);
            pen_text(cr, x, y, MIDDLE, sign);
        }
    }
}

static void draw_line(cairo_t *cr, const map_place *m, double lat0, double lon0, double lat1,
                      double lon1) {
    for (int k = 0; k <= 48; k++) {
        double x, y, t = k / 48.0;
        project(m, lat0 + t * (lat1 - lat0), lon0 + t * (lon1 - lon0), &x, &y);
        if (k == 0)
            cairo_move_to(cr, x, y);
        else
            cairo_line_to(cr, x, y);
    }
    cairo_stroke(cr);
}

static void draw_letters(cairo_t *cr, const map_place *m) {
    static const struct {
        double lat, lon, dy;
        const char *text;
    } mark[] = {{TURN / 4, 0, -4, "+z"},
                {-TURN / 4, 0, 11, "\xE2\x88\x92z"},
                {0, 0, 3, "+x"},
                {0, TURN / 4, 3, "+y"},
                {0, -TURN / 4, 3, "\xE2\x88\x92y"},
                {0, -TURN / 2, 3, "\xE2\x88\x92x"},
                {0, TURN / 2, 3, "\xE2\x88\x92x"}};
    pen_font(cr, 9.0, true);
    for (size_t i = 0; i < sizeof mark / sizeof mark[0]; i++) {
        double x, y;
        project(m, mark[i].lat, mark[i].lon, &x, &y);
        if (i >= 2) {
            pen_ink(cr, INK_WHITE);
            cairo_rectangle(cr, x - 9.0, y - 7.0, 18.0, 13.0);
            cairo_fill_preserve(cr);
            pen_ink(cr, INK_BLACK);
            cairo_set_line_width(cr, 0.6);
            cairo_stroke(cr);
        }
        pen_ink(cr, INK_BLACK);
        pen_text(cr, x, y + mark[i].dy, MIDDLE, mark[i].text);
    }
}

static void draw_grid(cairo_t *cr, const map_place *m) {
    pen_ink(cr, INK_RULE);
    cairo_set_line_width(cr, 0.4);
    for (int k = -2; k <= 2; k++)
        draw_line(cr, m, k * TURN / 12, -TURN / 2, k * TURN / 12, TURN / 2);
    for (int k = -3; k <= 3; k++)
        draw_line(cr, m, -TURN / 4, k * TURN / 8, TURN / 4, k * TURN / 8);
    pen_ink(cr, INK_BLACK);
    cairo_set_line_width(cr, 0.8);
    draw_line(cr, m, -TURN / 4, -TURN / 2, TURN / 4, -TURN / 2);
    draw_line(cr, m, -TURN / 4, TURN / 2, TURN / 4, TURN / 2);
}

bool map_draw(cairo_t *cr, const struct map_view *view, const map_place *m) {
    struct direction *d = directions(view);
    double(*node)[LON_STEPS + 1] = malloc(sizeof(nodes));
    bool ok = d && node;
    double range = map_range(&view->spread);
    for (int i = 0; i <= LAT_STEPS && ok; i++)
        for (int j = 0; j <= LON_STEPS; j++)
            node[i][j] = ratio_at(view, d, latitude(i), longitude(j));
    for (size_t band = 0; band < MAP_BANDS && ok; band++)
        draw_band(cr, m, (const double(*)[LON_STEPS + 1]) node, band, range);
    if (ok)
        draw_grid(cr, m);
    pen_ink(cr, INK_BLACK);
    cairo_set_line_width(cr, 1.1);
    for (size_t band = 1; band + 1 < MAP_BANDS && ok; band++)
        draw_contour(cr, m, (const double(*)[LON_STEPS + 1]) node, map_band_end(band, range));
    if (ok) {
        draw_signs(cr, m, (const double(*)[LON_STEPS + 1]) node, range);
        draw_letters(cr, m);
    }
    free(node);
    free(d);
    return ok;
}
