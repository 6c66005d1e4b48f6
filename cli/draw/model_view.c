/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "draw/model_view.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "draw/marks.h"

#define PIXELS_A_POINT 2.5
#define NO_FACET       UINT32_MAX
/* A step in depth by more than this share of the height of the view is an edge. */
#define EDGE_STEP 0.035

static double dot(const double a[3], const double b[3]) {
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

static void cross(const double a[3], const double b[3], double out[3]) {
    for (int i = 0; i < 3; i++)
        out[i] = a[(i + 1) % 3] * b[(i + 2) % 3] - a[(i + 2) % 3] * b[(i + 1) % 3];
}

static void unit(double a[3]) {
    double length = sqrt(dot(a, a));
    for (int i = 0; i < 3 && length > 0.0; i++)
        a[i] /= length;
}

void model_sides(const double up[3], model_side side[MODEL_SIDES]) {
    double z[3] = {up[0], up[1], up[2]}, x[3] = {1.0, 0.0, 0.0}, y[3];
    unit(z);
    if (fabs(z[0]) > 0.9) {
        x[0] = 0.0;
        x[1] = 1.0;
    }
    for (int pass = 0; pass < 2; pass++) {
        double along = dot(x, z);
        for (int i = 0; i < 3; i++)
            x[i] -= along * z[i];
        unit(x);
    }
    cross(z, x, y);
    for (int i = 0; i < 3; i++) {
        side[MODEL_FRONT].right[i] = x[i];
        side[MODEL_FRONT].toward[i] = -y[i];
        side[MODEL_RIGHT].right[i] = y[i];
        side[MODEL_RIGHT].toward[i] = x[i];
        side[MODEL_BACK].right[i] = -x[i];
        side[MODEL_BACK].toward[i] = y[i];
        side[MODEL_ABOVE].right[i] = x[i];
        side[MODEL_ABOVE].toward[i] = z[i];
        side[MODEL_ABOVE].up[i] = y[i];
        for (int s = MODEL_FRONT; s <= MODEL_BACK; s++)
            side[s].up[i] = z[i];
    }
}

/* Least and greatest of the corners along an axis. */
static void reach_along(const pc_mesh *mesh, const double axis[3], double *low, double *high) {
    *low = INFINITY;
    *high = -INFINITY;
    for (size_t v = 0; v < mesh->vertex_count; v++) {
        double d = dot(mesh->vertex + 3 * v, axis);
        *low = d < *low ? d : *low;
        *high = d > *high ? d : *high;
    }
}

double model_scale(const pc_mesh *mesh, const model_side *side, box where, double margin_pt) {
    double low, high, wide, tall;
    reach_along(mesh, side->right, &low, &high);
    wide = high - low;
    reach_along(mesh, side->up, &low, &high);
    tall = high - low;
    return fmin((where.w - 2.0 * margin_pt) / fmax(wide, 1e-9),
                (where.h - 2.0 * margin_pt) / fmax(tall, 1e-9));
}

static void set_middle(const pc_mesh *mesh, model_view *view) {
    const double *axis[] = {view->side.right, view->side.up, view->side.toward};
    memset(view->middle, 0, sizeof view->middle);
    for (int a = 0; a < 3; a++) {
        double low, high;
        reach_along(mesh, axis[a], &low, &high);
        for (int i = 0; i < 3; i++)
            view->middle[i] += axis[a][i] * (low + high) / 2.0;
    }
}

/* In pixels from the upper left corner, and m toward the viewer. */
static void to_pixels(const model_view *v, const double at_m[3], double out[3]) {
    double d[3] = {at_m[0] - v->middle[0], at_m[1] - v->middle[1], at_m[2] - v->middle[2]};
    double scale = v->pt_per_m * PIXELS_A_POINT;
    out[0] = (double)v->w / 2.0 + scale * dot(d, v->side.right);
    out[1] = (double)v->h / 2.0 - scale * dot(d, v->side.up);
    out[2] = dot(d, v->side.toward);
}

static size_t clamp_pixel(double x, size_t n) {
    return x <= 0.0 ? 0 : x >= (double)n ? n : (size_t)x;
}

/* The pixels whose middle a facet covers, where nothing nearer does. */
static void draw_facet(model_view *v, const double p[3][3], uint32_t facet) {
    double twice =
        (p[1][0] - p[0][0]) * (p[2][1] - p[0][1]) - (p[1][1] - p[0][1]) * (p[2][0] - p[0][0]);
    if (!(fabs(twice) > 1e-9))
        return;
    size_t x0 = clamp_pixel(floor(fmin(p[0][0], fmin(p[1][0], p[2][0]))), v->w);
    size_t x1 = clamp_pixel(ceil(fmax(p[0][0], fmax(p[1][0], p[2][0]))), v->w);
    size_t y0 = clamp_pixel(floor(fmin(p[0][1], fmin(p[1][1], p[2][1]))), v->h);
    size_t y1 = clamp_pixel(ceil(fmax(p[0][1], fmax(p[1][1], p[2][1]))), v->h);
    for (size_t y = y0; y < y1; y++)
        for (size_t x = x0; x < x1; x++) {
            double dx = (double)x + 0.5 - p[0][0], dy = (double)y + 0.5 - p[0][1];
            double s = (dx * (p[2][1] - p[0][1]) - dy * (p[2][0] - p[0][0])) / twice;
            double t = (dy * (p[1][0] - p[0][0]) - dx * (p[1][1] - p[0][1])) / twice;
            if (s < -1e-9 || t < -1e-9 || s + t > 1.0 + 1e-9)
                continue;
            float depth = (float)(p[0][2] + s * (p[1][2] - p[0][2]) + t * (p[2][2] - p[0][2]));
            if (depth > v->depth[x + v->w * y]) {
                v->depth[x + v->w * y] = depth;
                v->facet[x + v->w * y] = facet;
            }
        }
}

bool model_view_make(const pc_mesh *mesh, const model_side *side, box where, double pt_per_m,
                     model_view *view) {
    *view = (model_view){.side = *side, .where = where, .pt_per_m = pt_per_m};
    view->w = (size_t)fmax(1.0, where.w * PIXELS_A_POINT);
    view->h = (size_t)fmax(1.0, where.h * PIXELS_A_POINT);
    view->depth = malloc(view->w * view->h * sizeof *view->depth);
    view->facet = malloc(view->w * view->h * sizeof *view->facet);
    if (!view->depth || !view->facet)
        return false;
    for (size_t i = 0; i < view->w * view->h; i++) {
        view->depth[i] = -INFINITY;
        view->facet[i] = NO_FACET;
    }
    set_middle(mesh, view);
    for (size_t f = 0; f < mesh->facet_count; f++) {
        double p[3][3];
        for (size_t c = 0; c < 3; c++)
            to_pixels(view, mesh->vertex + 3 * (size_t)mesh->facet[3 * f + c], p[c]);
        draw_facet(view, (const double(*)[3])p, (uint32_t)f);
    }
    return true;
}

void model_view_free(model_view *view) {
    free(view->depth);
    free(view->facet);
    view->depth = NULL;
    view->facet = NULL;
}

void model_view_place(const model_view *v, const double at_m[3], double *x, double *y) {
    double p[3];
    to_pixels(v, at_m, p);
    *x = v->where.x + p[0] / PIXELS_A_POINT;
    *y = v->where.y + p[1] / PIXELS_A_POINT;
}

bool model_view_sees(const model_view *v, const double at_m[3]) {
    double p[3];
    to_pixels(v, at_m, p);
    if (!(p[0] >= 0.0 && p[0] < (double)v->w && p[1] >= 0.0 && p[1] < (double)v->h))
        return true;
    double slack = EDGE_STEP * v->where.h / v->pt_per_m;
    return !((double)v->depth[(size_t)p[0] + v->w * (size_t)p[1]] > p[2] + slack);
}

/* How bright a facet is, with a light over the viewer's left shoulder. */
static double brightness(const model_view *v, const pc_mesh *mesh, size_t f) {
    const double *a = mesh->vertex + 3 * (size_t)mesh->facet[3 * f];
    const double *b = mesh->vertex + 3 * (size_t)mesh->facet[3 * f + 1];
    const double *c = mesh->vertex + 3 * (size_t)mesh->facet[3 * f + 2];
    double ab[3], ac[3], n[3], light[3];
    for (int i = 0; i < 3; i++) {
        ab[i] = b[i] - a[i];
        ac[i] = c[i] - a[i];
        light[i] = 0.75 * v->side.toward[i] + 0.5 * v->side.up[i] - 0.4 * v->side.right[i];
    }
    cross(ab, ac, n);
    unit(n);
    unit(light);
    return 0.50 + 0.50 * fmax(0.0, dot(n, light));
}

static bool hatched(model_hatch hatch, size_t x, size_t y) {
    size_t falling = (x + 900000 - y) % 9, rising = (x + y) % 9;
    size_t falling_wide = (x + 900000 - y) % 18, rising_wide = (x + y) % 18;
    switch (hatch) {
    case MODEL_FALLING:
        return falling_wide < 2;
    case MODEL_FALLING_DENSE:
        return falling < 2;
    case MODEL_RISING:
        return rising_wide < 2;
    case MODEL_RISING_DENSE:
        return rising < 2;
    case MODEL_CROSSED:
        return falling < 2 || rising < 2;
    case MODEL_PLAIN:
    default:
        return false;
    }
}

static unsigned band_at(const model_view *v, const unsigned char *facet_band, size_t i) {
    return v->facet[i] == NO_FACET ? 256u : facet_band ? facet_band[v->facet[i]] : 0u;
}

/* On the outline, on a step in depth, or where two bands meet. */
static bool on_edge(const model_view *v, const unsigned char *facet_band, size_t x, size_t y) {
    size_t i = x + v->w * y;
    if (x + 1 >= v->w || y + 1 >= v->h || x == 0 || y == 0)
        return false;
    const size_t next[] = {i + 1, i + v->w, i - 1, i - v->w};
    double step = EDGE_STEP * v->where.h / v->pt_per_m;
    for (int k = 0; k < 4; k++) {
        if (v->facet[next[k]] == NO_FACET || v->depth[i] - v->depth[next[k]] > (float)step ||
            (k < 2 && band_at(v, facet_band, next[k]) != band_at(v, facet_band, i)))
            return true;
    }
    return false;
}

static uint32_t pixel(const double rgb[3], double light) {
    uint32_t out = 0xFF000000u;
    for (int c = 0; c < 3; c++)
        out |= (uint32_t)fmax(0.0, fmin(255.0, 255.0 * rgb[c] * light + 0.5)) << (16 - 8 * c);
    return out;
}

static void fill_pixels(const model_view *v, const pc_mesh *mesh, const model_band *band,
                        const unsigned char *facet_band, unsigned char *data, size_t stride) {
    for (size_t y = 0; y < v->h; y++)
        for (size_t x = 0; x < v->w; x++) {
            size_t i = x + v->w * y;
            uint32_t out = 0;
            if (v->facet[i] != NO_FACET) {
                const model_band *b = &band[band_at(v, facet_band, i)];
                double light = brightness(v, mesh, v->facet[i]);
                light *= hatched(b->hatch, x, y) ? 0.45 : 1.0;
                out = pixel(b->rgb, on_edge(v, facet_band, x, y) ? 0.1 : light);
            }
            memcpy(data + y * stride + 4 * x, &out, 4);
        }
}

bool model_view_paint(cairo_t *cr, const model_view *v, const pc_mesh *mesh, const model_band *band,
                      const unsigned char *facet_band) {
    cairo_surface_t *image = cairo_image_surface_create(CAIRO_FORMAT_ARGB32, (int)v->w, (int)v->h);
    unsigned char *data = cairo_image_surface_get_data(image);
    if (data) {
        fill_pixels(v, mesh, band, facet_band, data, (size_t)cairo_image_surface_get_stride(image));
        cairo_surface_mark_dirty(image);
        cairo_save(cr);
        cairo_translate(cr, v->where.x, v->where.y);
        cairo_scale(cr, 1.0 / PIXELS_A_POINT, 1.0 / PIXELS_A_POINT);
        cairo_set_source_surface(cr, image, 0.0, 0.0);
        cairo_paint(cr);
        cairo_restore(cr);
    }
    cairo_surface_destroy(image);
    return data != NULL;
}

void model_view_axes(cairo_t *cr, const model_view *v, double x, double y) {
    static const char *const letter[] = {"x", "y", "z"};
    const double length = 17.0;
    pen_font(cr, 8.0, true);
    pen_ink(cr, INK_BLACK);
    for (int a = 0; a < 3; a++) {
        double dx = length * v->side.right[a], dy = -length * v->side.up[a];
        double long_pt = hypot(dx, dy);
        if (long_pt < 0.3 * length) { /* toward the viewer: a dot; away: a cross */
            cairo_set_line_width(cr, 0.8);
            cairo_new_path(cr);
            cairo_arc(cr, x, y, 3.0, 0.0, 2.0 * PC_PI);
            cairo_stroke(cr);
            if (v->side.toward[a] > 0.0) {
                cairo_arc(cr, x, y, 1.0, 0.0, 2.0 * PC_PI);
                cairo_fill(cr);
            } else {
                pen_line(cr, x - 2.0, y - 2.0, x + 2.0, y + 2.0, 0.8);
                pen_line(cr, x - 2.0, y + 2.0, x + 2.0, y - 2.0, 0.8);
            }
            pen_text(cr, x - 9.0, y + 9.0, MIDDLE, letter[a]);
            continue;
        }
        draw_arrow(cr, x, y, x + dx, y + dy, 1.0);
        pen_text(cr, x + dx * (1.0 + 7.0 / long_pt), y + dy * (1.0 + 7.0 / long_pt) + 3.0, MIDDLE,
                 letter[a]);
    }
}
