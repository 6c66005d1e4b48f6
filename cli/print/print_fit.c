/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "print/print_fit.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <cairo.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "draw/picture.h"
#include "draw/sheet_pen.h"
#include "pourclock.h"
#include "print/message.h"
#include "print/output.h"

enum { CURVE_POINTS = 61, WIDTH = 620, HEIGHT = 420, LEFT_PT = 62, FOOT_PT = 46, HEAD_PT = 40 };
static const double PIXELS_PER_PT = 2.0;

/* One graph: its box and the ranges of its axes; y by its logarithm where log_y. */
typedef struct graph {
    cairo_t *cr;
    box where;
    double x0, x1, y0, y1;
    bool log_y, starved; /* starved: memory ran out, a curve is missing */
} graph;

static double graph_x(const graph *g, double x) {
    return g->where.x + g->where.w * (x - g->x0) / (g->x1 - g->x0);
}

static double graph_y(const graph *g, double y) {
    double share = g->log_y ? log(y / g->y0) / log(g->y1 / g->y0) : (y - g->y0) / (g->y1 - g->y0);
    return g->where.y + g->where.h * (1.0 - share);
}

/* A round step that divides a range into four to nine parts. */
static double round_step(double range) {
    double step = pow(10.0, floor(log10(range / 4.0)));
    return range / step >= 20.0 ? 5.0 * step : range / step >= 8.0 ? 2.0 * step : step;
}

static void grid_x(const graph *g, const char *label) {
    double step = round_step(g->x1 - g->x0);
    char text[32];
    pen_font(g->cr, 10.0, false);
    for (double x = ceil(g->x0 / step) * step; x <= g->x1 + 1e-9 * step; x += step) {
        double at = graph_x(g, x);
        pen_ink(g->cr, INK_RULE);
        pen_line(g->cr, at, g->where.y, at, g->where.y + g->where.h, 0.5);
        pen_ink(g->cr, INK_BLACK);
        snprintf(text, sizeof text, "%g", x);
        pen_text(g->cr, at, g->where.y + g->where.h + 13.0, MIDDLE, text);
    }
    pen_text(g->cr, g->where.x + g->where.w / 2.0, g->where.y + g->where.h + 30.0, MIDDLE, label);
}

static void grid_y_at(const graph *g, double y, const char *text) {
    double at = graph_y(g, y);
    pen_ink(g->cr, INK_RULE);
    pen_line(g->cr, g->where.x, at, g->where.x + g->where.w, at, 0.5);
    pen_ink(g->cr, INK_BLACK);
    pen_text(g->cr, g->where.x - 6.0, at + 3.5, RIGHT, text);
}

static void grid_times(const graph *g) {
    static const double tick_s[] = {10,   20,   30,   60,    120,   180,   300,   600,   1200,
                                    1800, 3600, 7200, 14400, 28800, 43200, 86400, 172800};
    pen_font(g->cr, 10.0, false);
    for (size_t i = 0; i < sizeof tick_s / sizeof tick_s[0]; i++)
        if (tick_s[i] >= g->y0 && tick_s[i] <= g->y1)
            grid_y_at(g, tick_s[i], pc_say_duration(tick_s[i]).s);
}

static void grid_degrees(const graph *g) {
    double step = round_step(g->y1 - g->y0);
    char text[32];
    pen_font(g->cr, 10.0, false);
    for (double y = ceil(g->y0 / step) * step; y <= g->y1 + 1e-9 * step; y += step) {
        snprintf(text, sizeof text, "%g", y);
        grid_y_at(g, y, text);
    }
}

/* Shape and color by kind; outliers in a ring. */
static void mark(const graph *g, double x, double y, pc_test_kind kind, bool outlier) {
    cairo_t *cr = g->cr;
    double px = graph_x(g, x), py = graph_y(g, y), r = 3.6;
    pen_ink(cr, kind == PC_TEST_FILM ? INK_ORANGE : kind == PC_TEST_POT ? INK_GREEN : INK_BLUE);
    cairo_new_path(cr);
    if (kind == PC_TEST_FILM)
        cairo_rectangle(cr, px - r, py - r, 2.0 * r, 2.0 * r);
    else if (kind == PC_TEST_POT) {
        cairo_move_to(cr, px, py - r - 1.0);
        cairo_line_to(cr, px + r + 1.0, py + r);
        cairo_line_to(cr, px - r - 1.0, py + r);
        cairo_close_path(cr);
    } else
        cairo_arc(cr, px, py, r, 0.0, 2.0 * PC_PI);
    cairo_fill(cr);
    if (!outlier)
        return;
    pen_ink(cr, INK_VERMILLION);
    cairo_set_line_width(cr, 1.6);
    cairo_arc(cr, px, py, 8.0, 0.0, 2.0 * PC_PI);
    cairo_stroke(cr);
}

/* A curve of the fitted resin: a cup's gel, its pot life, or a film's gel. */
typedef struct curve {
    pc_test like; /* median mass, thickness */
    size_t tests;
    double y[CURVE_POINTS], low[CURVE_POINTS], high[CURVE_POINTS];
} curve;

static int by_size(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double middle(double *value, size_t n) {
    qsort(value, n, sizeof *value, by_size);
    return value[n / 2];
}

/* The test in the middle of its kind. */
static bool curve_of(const pc_tests *tests, pc_test_kind kind, double *work, curve *c) {
    c->tests = 0;
    for (size_t i = 0; i < tests->count; i++)
        if (tests->item[i].kind == kind) {
            c->like = tests->item[i];
            work[c->tests++] = tests->item[i].mass_kg;
        }
    if (c->tests == 0)
        return false;
    c->like.mass_kg = middle(work, c->tests);
    c->tests = 0;
    for (size_t i = 0; i < tests->count; i++)
        if (tests->item[i].kind == kind)
            work[c->tests++] = tests->item[i].thickness_m;
    c->like.thickness_m = middle(work, c->tests);
    return true;
}

static pc_status at_temperature(const curve *c, const pc_resin *resin, double T_K, double *value) {
    pc_test test = c->like;
    test.T_K = test.air_K = test.mold_K = T_K;
    return pc_test_value(&test, resin, value);
}

/* False: memory ran out. What does not happen at a temperature leaves a gap. */
static bool curve_run(const pc_tests_fit *fit, double x0_K, double x1_K, curve *c) {
    for (int i = 0; i < CURVE_POINTS; i++) {
        double T_K = x0_K + (x1_K - x0_K) * i / (CURVE_POINTS - 1), gel_s, low_s, high_s;
        c->y[i] = c->low[i] = c->high[i] = NAN;
        pc_status status = at_temperature(c, &fit->resin, T_K, &c->y[i]);
        if (status == PC_OK && c->like.kind == PC_TEST_GEL) {
            status = pc_tests_fit_gel(fit, c->like.mass_kg, T_K, &gel_s, &low_s, &high_s);
            c->low[i] = status == PC_OK ? low_s : NAN;
            c->high[i] = status == PC_OK ? high_s : NAN;
        }
        if (status == PC_E_MEMORY)
            return false;
    }
    return true;
}

static void draw_band(const graph *g, const curve *c) {
    cairo_new_path(g->cr);
    for (int i = 0; i < 2 * CURVE_POINTS; i++) {
        int at = i < CURVE_POINTS ? i : 2 * CURVE_POINTS - 1 - i;
        double y = i < CURVE_POINTS ? c->high[at] : c->low[at];
        if (isnan(y))
            return;
        cairo_line_to(g->cr, graph_x(g, g->x0 + (g->x1 - g->x0) * at / (CURVE_POINTS - 1)),
                      graph_y(g, fmax(g->y0, fmin(g->y1, y))));
    }
    cairo_close_path(g->cr);
    cairo_set_source_rgba(g->cr, 0.337, 0.706, 0.914, 0.35);
    cairo_fill(g->cr);
}

static void draw_curve(const graph *g, const curve *c) {
    cairo_new_path(g->cr);
    for (int i = 0; i < CURVE_POINTS; i++)
        if (!isnan(c->y[i]))
            cairo_line_to(g->cr, graph_x(g, g->x0 + (g->x1 - g->x0) * i / (CURVE_POINTS - 1)),
                          graph_y(g, c->y[i]));
    pen_ink(g->cr, c->like.kind == PC_TEST_FILM  ? INK_ORANGE
                   : c->like.kind == PC_TEST_POT ? INK_GREEN
                                                 : INK_BLUE);
    cairo_set_line_width(g->cr, 1.5);
    cairo_stroke(g->cr);
}

/* A test of another mass or thickness is shown where the middle one would have gelled. */
static void draw_tests(const graph *g, const curve *c, const pc_tests *tests,
                       const pc_tests_fit *fit, pc_units units) {
    for (size_t i = 0; i < tests->count; i++) {
        const pc_test *test = &tests->item[i];
        double value;
        if (test->kind != c->like.kind ||
            at_temperature(c, &fit->resin, test->T_K, &value) != PC_OK)
            continue;
        mark(g, pc_in_degrees(units, test->T_K), value * exp(-fit->result[i].residual), test->kind,
             fit->result[i].outlier);
    }
}

static void key_line(graph *g, double y, const curve *c, pc_units units) {
    char text[128];
    const char *what = c->like.kind == PC_TEST_FILM  ? "film gels through"
                       : c->like.kind == PC_TEST_POT ? "cup, pot life"
                                                     : "cup gels";
    snprintf(text, sizeof text, "%s, %s%s", what,
             c->like.kind == PC_TEST_FILM ? pc_say_thickness(units, c->like.thickness_m).s
                                          : pc_say_mass(c->like.mass_kg).s,
             c->like.kind == PC_TEST_GEL ? ", with the 95 % band of the fit" : "");
    graph dot = *g;
    dot.log_y = false;
    dot.x0 = dot.y0 = 0.0;
    dot.x1 = g->where.w;
    dot.y1 = g->where.h;
    mark(&dot, g->where.w - 270.0, g->where.h - y, c->like.kind, false);
    pen_ink(g->cr, INK_BLACK);
    pen_font(g->cr, 10.0, false);
    pen_text(g->cr, g->where.x + g->where.w - 260.0, g->where.y + y + 3.5, LEFT, text);
}

static void widen(double value, double *low, double *high) {
    if (isfinite(value)) {
        *low = fmin(*low, value);
        *high = fmax(*high, value);
    }
}

static void time_range(graph *g, const curve *c, size_t count) {
    g->y0 = INFINITY;
    g->y1 = 0.0;
    for (size_t k = 0; k < count; k++)
        for (int i = 0; i < CURVE_POINTS; i++)
            widen(c[k].y[i], &g->y0, &g->y1);
    g->y0 *= 0.6;
    g->y1 *= 2.2;
}

static void draw_times(graph *g, const pc_tests *tests, const pc_tests_fit *fit, pc_units units,
                       double *work) {
    static const pc_test_kind kinds[] = {PC_TEST_GEL, PC_TEST_POT, PC_TEST_FILM};
    curve curves[3];
    size_t count = 0;
    double low_K = INFINITY, high_K = 0.0;
    for (size_t i = 0; i < tests->count; i++)
        if (tests->item[i].kind != PC_TEST_LOG)
            widen(tests->item[i].T_K, &low_K, &high_K);
    low_K -= 3.0;
    high_K += 3.0;
    for (int k = 0; k < 3; k++)
        if (curve_of(tests, kinds[k], work, &curves[count]))
            g->starved = !curve_run(fit, low_K, high_K, &curves[count++]) || g->starved;
    g->log_y = true;
    g->x0 = pc_in_degrees(units, low_K);
    g->x1 = pc_in_degrees(units, high_K);
    time_range(g, curves, count);
    grid_x(g, units == PC_US ? "temperature of resin and shop, F"
                             : "temperature of resin and shop, C");
    grid_times(g);
    for (size_t k = 0; k < count; k++)
        draw_band(g, &curves[k]);
    for (size_t k = 0; k < count; k++) {
        draw_curve(g, &curves[k]);
        draw_tests(g, &curves[k], tests, fit, units);
        key_line(g, 14.0 + 15.0 * (double)k, &curves[k], units);
    }
}

static void log_ranges(graph *g, const pc_tests *tests, const pc_tests_fit *fit, pc_units units) {
    g->x0 = g->x1 = 0.0;
    g->y0 = INFINITY;
    g->y1 = -INFINITY;
    for (size_t i = 0; i < tests->count; i++)
        if (tests->item[i].kind == PC_TEST_LOG) {
            widen(tests->item[i].time_s / 60.0, &g->x0, &g->x1);
            widen(pc_in_degrees(units, tests->item[i].reading_K), &g->y0, &g->y1);
            widen(pc_in_degrees(units, fit->result[i].model), &g->y0, &g->y1);
        }
    double air = 0.08 * (g->y1 - g->y0) + 0.5;
    g->y0 -= air;
    g->y1 += air;
}

static void draw_logs(graph *g, const pc_tests *tests, const pc_tests_fit *fit, pc_units units) {
    log_ranges(g, tests, fit, units);
    grid_x(g, "minutes from mixing");
    grid_degrees(g);
    bool open = false;
    cairo_new_path(g->cr);
    for (size_t i = 0; i < tests->count; i++) {
        const pc_test *test = &tests->item[i];
        if (test->kind != PC_TEST_LOG)
            continue;
        bool same = open && strcmp(test->cup, tests->item[i - 1].cup) == 0;
        double x = graph_x(g, test->time_s / 60.0);
        double y = graph_y(g, pc_in_degrees(units, fit->result[i].model));
        (same ? cairo_line_to : cairo_move_to)(g->cr, x, y);
        open = true;
    }
    pen_ink(g->cr, INK_BLUE);
    cairo_set_line_width(g->cr, 1.5);
    cairo_stroke(g->cr);
    for (size_t i = 0; i < tests->count; i++)
        if (tests->item[i].kind == PC_TEST_LOG)
            mark(g, tests->item[i].time_s / 60.0, pc_in_degrees(units, tests->item[i].reading_K),
                 PC_TEST_LOG, fit->result[i].outlier);
    pen_ink(g->cr, INK_BLACK);
    pen_font(g->cr, 10.0, false);
    pen_text(g->cr, g->where.x + 8.0, g->where.y + 14.0, LEFT,
             units == PC_US ? "cup, F: dots logged, line the fit"
                            : "cup, C: dots logged, line the fit");
}

static void draw_head(cairo_t *cr, const pc_tests_fit *fit, pc_units units, double width) {
    char text[256], scatter[sizeof(pc_words)];
    if (isnan(fit->scatter))
        snprintf(scatter, sizeof scatter, "%s",
                 pc_say(PC_SAY_SCATTER, units, fit->reading_scatter_K).s);
    else
        snprintf(scatter, sizeof scatter, "%.2g %%", 100.0 * fit->scatter);
    pen_ink(cr, INK_BLACK);
    pen_fit(cr, LEFT_PT, 18.0, width - LEFT_PT - 10.0, LEFT, 13.0, 8.0, true, fit->resin.name);
    snprintf(text, sizeof text,
             "activation energy %.1f kJ/mol (95 %%: %.1f to %.1f), scatter %s, %zu tests",
             1e-3 * fit->E_J_mol, 1e-3 * fit->E_low_J_mol, 1e-3 * fit->E_high_J_mol, scatter,
             fit->count);
    pen_fit(cr, LEFT_PT, 32.0, width - LEFT_PT - 10.0, LEFT, 10.0, 7.0, false, text);
}

static void kinds_there(const pc_tests *tests, bool *times, bool *logs) {
    *times = *logs = false;
    for (size_t i = 0; i < tests->count; i++)
        *(tests->item[i].kind == PC_TEST_LOG ? logs : times) = true;
}

/* False: memory ran out. */
static bool draw(cairo_t *cr, const pc_tests *tests, const pc_tests_fit *fit, pc_units units,
                 double *work) {
    bool starved = false;
    bool times, logs;
    double top = HEAD_PT;
    kinds_there(tests, &times, &logs);
    pen_ink(cr, INK_WHITE);
    cairo_paint(cr);
    draw_head(cr, fit, units, WIDTH);
    for (int k = 0; k < 2; k++) {
        if (!(k == 0 ? times : logs))
            continue;
        graph g = {.cr = cr,
                   .where = {LEFT_PT, top, WIDTH - LEFT_PT - 16.0, HEIGHT - HEAD_PT - FOOT_PT}};
        if (k == 0)
            draw_times(&g, tests, fit, units, work);
        else
            draw_logs(&g, tests, fit, units);
        starved = starved || g.starved;
        pen_ink(cr, INK_BLACK);
        pen_frame(cr, g.where, 0.8);
        top += HEIGHT - HEAD_PT;
    }
    return !starved;
}

static cairo_surface_t *surface_for(const char *path, double height, struct cli_output *out) {
    if (out_is_named(path, ".svg"))
        return cairo_svg_surface_create_for_stream(picture_write, out, WIDTH, height);
    if (out_is_named(path, ".pdf")) {
        cairo_surface_t *pdf =
            cairo_pdf_surface_create_for_stream(picture_write, out, WIDTH, height);
        cairo_pdf_surface_set_metadata(pdf, CAIRO_PDF_METADATA_CREATE_DATE, PICTURE_DATE);
        return pdf;
    }
    cairo_surface_t *png = cairo_image_surface_create(
        CAIRO_FORMAT_RGB24, (int)(WIDTH * PIXELS_PER_PT), (int)(height * PIXELS_PER_PT));
    cairo_surface_set_device_scale(png, PIXELS_PER_PT, PIXELS_PER_PT);
    return png;
}

enum cli_exit print_fit(const char *path, const pc_tests *tests, const pc_tests_fit *fit,
                        pc_units units) {
    bool png = out_is_named(path, ".png");
    if (!png && !out_is_named(path, ".svg") && !out_is_named(path, ".pdf"))
        return say_error(CLI_USAGE, "--plot %s: the name must end in .svg, .png or .pdf", path);
    bool times, logs;
    kinds_there(tests, &times, &logs);
    double height = HEIGHT + (times && logs ? HEIGHT - HEAD_PT : 0.0);
    struct cli_output out = {0};
    double *work = malloc(tests->count * sizeof *work);
    cairo_surface_t *surface = surface_for(path, height, &out);
    cairo_t *cr = cairo_create(surface);
    cairo_status_t status = CAIRO_STATUS_NO_MEMORY;
    if (work && draw(cr, tests, fit, units, work))
        status = cairo_status(cr);
    cairo_destroy(cr);
    if (status == CAIRO_STATUS_SUCCESS && png)
        status = cairo_surface_write_to_png_stream(surface, picture_write, &out);
    cairo_surface_finish(surface);
    if (status == CAIRO_STATUS_SUCCESS)
        status = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    enum cli_exit code = CLI_DONE;
    if (!work || status != CAIRO_STATUS_SUCCESS)
        code = say_error(CLI_INTERNAL, "--plot %s: %s", path,
                         work ? cairo_status_to_string(status) : "out of memory");
    else if (!out_to_file(path, out.data, out.size))
        code = CLI_FILE;
    free(work);
    out_free(&out);
    return code;
}
