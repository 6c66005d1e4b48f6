/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The graphs of the sheet, all on one clock: what is done when, how the mix thickens, how hot each
 * layer runs against its limit, how the wall grows toward its target. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "draw/sheet_pen.h"

#define TITLE_PT 8.4
#define CLOCK_PT 29.0 /* a clock on an axis takes */
#define TICK_PT  7.4

typedef struct plot {
    box in;            /* of the plot itself */
    double t0_s, t1_s; /* along */
    double y0, y1;     /* up */
    bool log_y;
} plot;

static double at_x(const plot *axes, double t_s) {
    return axes->in.x + axes->in.w * (t_s - axes->t0_s) / (axes->t1_s - axes->t0_s);
}

static double at_y(const plot *axes, double y) {
    double share = axes->log_y ? log(y / axes->y0) / log(axes->y1 / axes->y0)
                               : (y - axes->y0) / (axes->y1 - axes->y0);
    return axes->in.y + axes->in.h * (1.0 - fmin(1.0, fmax(0.0, share)));
}

/* From the first mix to a little past the last stop (or the last pour's peak). */
double sheet_last_time(const pc_schedule *plan) {
    double last_s = 600.0;
    for (size_t p = 0; p < plan->part_count; p++) {
        for (size_t j = 0; j < plan->part[p]->layer_count; j++) {
            const pc_layer *layer = plan->part[p]->layer[j];
            double ends[] = {layer->pour_end_s, layer->stop_s, layer->gel_s};
            for (size_t i = 0; i < 3; i++)
                if (isfinite(ends[i]) && ends[i] * 1.06 > last_s)
                    last_s = ends[i] * 1.06;
        }
    }
    return last_s;
}

/* So many clocks at most stand side by side. */
static double clock_pitch(double span_s, double most) {
    static const double pitch[] = {60,   120,   300,   600,   900,   1800,  3600,
                                   7200, 14400, 21600, 43200, 86400, 172800};
    for (size_t i = 0; i < sizeof pitch / sizeof *pitch; i++)
        if (span_s / pitch[i] <= most)
            return pitch[i];
    return span_s / most;
}

static void draw_clock_axis(cairo_t *cr, const sheet_page *sheet, const plot *axes) {
    double start_s = sheet->schedule->start_clock_s;
    double pitch_s = clock_pitch(axes->t1_s - axes->t0_s, axes->in.w / CLOCK_PT);
    double first_s = ceil((start_s + axes->t0_s) / pitch_s) * pitch_s - start_s;
    pen_font(cr, TICK_PT, false);
    for (double t_s = first_s; t_s <= axes->t1_s; t_s += pitch_s) {
        double x = at_x(axes, t_s);
        pc_words clock = pc_say_clock(start_s, t_s, PC_CLOCK_MINUTE | PC_CLOCK_BARE);
        pen_ink(cr, INK_RULE);
        pen_line(cr, x, axes->in.y, x, axes->in.y + axes->in.h, 0.35);
        pen_ink(cr, INK_BLACK);
        /* The first stands beside the corner, where the other axis has its lowest figure. */
        bool corner = x < axes->in.x + 12.0;
        if (x + 12.0 <= axes->in.x + axes->in.w + 8.0)
            pen_text(cr, x, axes->in.y + axes->in.h + 8.6, corner ? LEFT : MIDDLE, clock.s);
    }
    pen_ink(cr, INK_BLACK);
    pen_frame(cr, axes->in, 0.7);
}

static void draw_tick(cairo_t *cr, const plot *axes, double y, const char *text) {
    double at = at_y(axes, y);
    pen_ink(cr, INK_RULE);
    pen_line(cr, axes->in.x, at, axes->in.x + axes->in.w, at, 0.35);
    pen_ink(cr, INK_BLACK);
    pen_font(cr, TICK_PT, false);
    pen_text(cr, axes->in.x - 3.0, at + 2.6, RIGHT, text);
}

static double round_pitch(double span, double most) {
    double pitch = pow(10.0, floor(log10(span / most)));
    static const double steps[] = {1.0, 2.0, 2.5, 5.0, 10.0};
    for (size_t i = 0; i < 5; i++)
        if (span / (pitch * steps[i]) <= most)
            return pitch * steps[i];
    return pitch * 10.0;
}

static void draw_linear_ticks(cairo_t *cr, const plot *axes) {
    double pitch = round_pitch(axes->y1 - axes->y0, 5.0);
    for (double y = ceil(axes->y0 / pitch) * pitch; y <= axes->y1 + 1e-9 * pitch; y += pitch) {
        char text[24];
        snprintf(text, sizeof text, "%g", fabs(y) < 1e-9 * pitch ? 0.0 : y);
        draw_tick(cr, axes, y, text);
    }
}

static void draw_title(cairo_t *cr, const plot *axes, const char *text) {
    pen_ink(cr, INK_BLACK);
    pen_fit(cr, axes->in.x - 2.0, axes->in.y - 3.6, axes->in.w, LEFT, TITLE_PT, 6.0, true, text);
}

/* Boxed label of a limit, on the line at height y. */
static void draw_limit_line(cairo_t *cr, const plot *axes, double y, const char *text) {
    double at = at_y(axes, y);
    static const double dash[] = {6.0, 3.0};
    pen_ink(cr, INK_VERMILLION);
    cairo_set_dash(cr, dash, 2, 0.0);
    pen_line(cr, axes->in.x, at, axes->in.x + axes->in.w, at, 1.4);
    cairo_set_dash(cr, NULL, 0, 0.0);
    pen_font(cr, TICK_PT, true);
    double width = pen_width(cr, text) + 6.0;
    box label = {axes->in.x + 5.0, at - 5.0, width, 10.0};
    pen_ink(cr, INK_WHITE);
    cairo_rectangle(cr, label.x, label.y, label.w, label.h);
    cairo_fill(cr);
    pen_ink(cr, INK_VERMILLION);
    pen_frame(cr, label, 1.0);
    pen_ink(cr, INK_BLACK);
    pen_text(cr, label.x + 3.0, at + 2.7, LEFT, text);
}

typedef enum curve_kind { CURVE_VISCOSITY, CURVE_HOTTEST } curve_kind;

static double curve_value(const sheet_page *sheet, const pc_history_point *point, curve_kind what) {
    return what == CURVE_VISCOSITY ? point->mu_Pa_s : sheet_in_degrees(sheet, point->hottest_K);
}

static void draw_curve(cairo_t *cr, const sheet_page *sheet, const plot *axes, size_t part,
                       size_t layer, size_t color, curve_kind what) {
    const sheet_history *history = &sheet->history[part];
    bool down = false;
    pen_clip(cr, axes->in);
    for (size_t i = 0; i < history->n; i++) {
        double t_s = history->time_s[i];
        double y = curve_value(sheet, &history->point[layer * history->n + i], what);
        if (!(y > -1e6) || t_s > axes->t1_s || (what == CURVE_VISCOSITY && !(y > 0.0))) {
            down = false;
            continue;
        }
        bool off = y > axes->y1; /* infinite viscosity: the curve leaves the frame and ends */
        if (down)
            cairo_line_to(cr, at_x(axes, t_s), at_y(axes, y));
        else if (!off)
            cairo_move_to(cr, at_x(axes, t_s), at_y(axes, y));
        down = !off;
    }
    pen_ink(cr, pen_layer_ink(color));
    pen_layer_dash(cr, color);
    cairo_set_line_width(cr, 1.7);
    cairo_stroke(cr);
    cairo_restore(cr);
}

static void draw_curves(cairo_t *cr, const sheet_page *sheet, const plot *axes, curve_kind what) {
    size_t color = 0;
    for (size_t p = 0; p < sheet->schedule->part_count; p++)
        for (size_t j = 0; j < sheet->schedule->part[p]->layer_count; j++)
            draw_curve(cr, sheet, axes, p, j, color++, what);
}

static void curve_range(const sheet_page *sheet, curve_kind what, double *least, double *most) {
    for (size_t p = 0; p < sheet->schedule->part_count; p++) {
        const sheet_history *history = &sheet->history[p];
        for (size_t i = 0; i < history->n * sheet->schedule->part[p]->layer_count; i++) {
            double y = curve_value(sheet, &history->point[i], what);
            if (isfinite(y)) {
                *least = fmin(*least, y);
                *most = fmax(*most, y);
            }
        }
    }
}

static double better(double wanted_s, double otherwise_s) {
    return isfinite(wanted_s) ? wanted_s : otherwise_s;
}

static void draw_bar(cairo_t *cr, const plot *axes, const pc_layer *layer, double y, double h,
                     size_t index, bool last) {
    double mix = at_x(axes, layer->mix_s), pour = at_x(axes, layer->pour_s);
    double poured = at_x(axes, layer->pour_end_s);
    double stop = at_x(axes, better(layer->stop_s, layer->pour_end_s));
    double closes_s = pc_bond_deadline(layer);
    ink color = pen_layer_ink(index);
    pen_ink(cr, color);
    if (isfinite(closes_s) && !last)
        pen_line(cr, stop, y, at_x(axes, closes_s), y, 2.2);
    pen_hatch(cr, (box){poured, y - h / 2, stop - poured, h}, color, 1 + (int)(index % 4));
    pen_hatch(cr, (box){pour, y - h / 2, poured - pour, h}, color, 0);
    pen_ink(cr, color);
    pen_frame(cr, (box){mix, y - h / 2, stop - mix, h}, 0.9);
}

/* One row a layer: mix (white), pour (solid), turn (hatched), then open for the next (line). */
static void draw_timeline(cairo_t *cr, const sheet_page *sheet, plot axes) {
    const pc_schedule *plan = sheet->schedule;
    size_t layers = 0, index = 0;
    for (size_t p = 0; p < plan->part_count; p++)
        layers += plan->part[p]->layer_count;
    draw_title(cr, &axes,
               sheet_turns(plan) ? "Mix (open), turn (hatched), next may go in (line)"
                                 : "Mix (open), gel (hatched), next may go in (line)");
    draw_clock_axis(cr, sheet, &axes);
    double pitch = axes.in.h / (double)(layers > 0 ? layers : 1);
    for (size_t p = 0; p < plan->part_count; p++) {
        const pc_part_plan *part = plan->part[p];
        for (size_t j = 0; j < part->layer_count; j++, index++) {
            double h = fmin(13.0, pitch * 0.7), y = axes.in.y + pitch * ((double)index + 0.5);
            char name[64];
            const char *kind = part->kind == PC_SOLID ? part->name : "layer";
            snprintf(name, sizeof name, part->layer_count == 1 ? "%.40s" : "%.40s %d", kind,
                     part->layer[j]->number);
            pen_ink(cr, INK_BLACK);
            pen_fit(cr, axes.in.x - 3.0, y + 2.6, 34.0, RIGHT, fmin(TICK_PT, pitch), 3.0, false,
                    name);
            pen_clip(cr, axes.in);
            draw_bar(cr, &axes, part->layer[j], y, h, index, j + 1 == part->layer_count);
            cairo_restore(cr);
        }
    }
}

/* Where turning matters (set to gel) as a hatched strip, the end of pot life as a boxed mark. */
static void draw_windows(cairo_t *cr, const sheet_page *sheet, const plot *axes) {
    size_t color = 0;
    for (size_t p = 0; p < sheet->schedule->part_count; p++) {
        for (size_t j = 0; j < sheet->schedule->part[p]->layer_count; j++, color++) {
            const pc_layer *layer = sheet->schedule->part[p]->layer[j];
            double gel_s = better(layer->gel_late_s, layer->gel_s);
            double set_s = better(layer->set_early_s, layer->set_s);
            if (isfinite(set_s) && isfinite(gel_s))
                pen_hatch(cr,
                          (box){at_x(axes, set_s), axes->in.y + axes->in.h - 7.0,
                                at_x(axes, gel_s) - at_x(axes, set_s), 7.0},
                          pen_layer_ink(color), 1 + (int)(color % 4));
            double pot_s = layer->mix_s + layer->pot_life_s;
            if (!(pot_s <= axes->t1_s))
                continue;
            pen_ink(cr, INK_VERMILLION);
            pen_line(cr, at_x(axes, pot_s), axes->in.y, at_x(axes, pot_s), axes->in.y + 7.0, 1.6);
            pen_frame(cr, (box){at_x(axes, pot_s) - 2.2, axes->in.y + 7.0, 4.4, 4.4}, 1.2);
        }
    }
}

static void draw_viscosity(cairo_t *cr, const sheet_page *sheet, plot axes) {
    double least = INFINITY, most = 0.0;
    curve_range(sheet, CURVE_VISCOSITY, &least, &most);
    if (!(least > 0.0) || !(most > least)) {
        least = 0.1;
        most = 100.0;
    }
    axes.y0 = pow(10.0, floor(log10(least)));
    axes.y1 = fmax(axes.y0 * 1e3, fmin(pow(10.0, ceil(log10(most))), axes.y0 * 1e4));
    axes.log_y = true;
    draw_title(cr, &axes,
               sheet_turns(sheet->schedule) ? "Viscosity, Pa s (box: pot life over; hatch: turn)"
                                            : "Viscosity, Pa s (box: pot life over)");
    for (double y = axes.y0; y <= axes.y1 * 1.001; y *= 10.0) {
        char text[24];
        snprintf(text, sizeof text, "%g", y);
        draw_tick(cr, &axes, y, text);
    }
    draw_clock_axis(cr, sheet, &axes);
    pen_clip(cr, axes.in);
    draw_windows(cr, sheet, &axes);
    cairo_restore(cr);
    draw_curves(cr, sheet, &axes, CURVE_VISCOSITY);
}

static void draw_temperature(cairo_t *cr, const sheet_page *sheet, plot axes) {
    double limit_K = INFINITY;
    for (size_t i = 0; i < sheet->piece->part_count; i++)
        limit_K = fmin(limit_K, pc_piece_peak_limit(sheet->piece, i));
    double least = INFINITY, most = -INFINITY;
    curve_range(sheet, CURVE_HOTTEST, &least, &most);
    double air = sheet_in_degrees(sheet, sheet->schedule->air_K);
    least = fmin(least, air);
    most = fmax(fmax(most, air + 5.0), isfinite(limit_K) ? sheet_in_degrees(sheet, limit_K) : air);
    double pitch = round_pitch(most - least, 5.0);
    axes.y0 = floor(least / pitch) * pitch;
    axes.y1 = most + 0.12 * (most - axes.y0);
    char title[64], limit[48], text[24];
    snprintf(title, sizeof title, "Hottest point of each layer, \u00b0%c",
             sheet->piece->units == PC_US ? 'F' : 'C');
    draw_title(cr, &axes, title);
    draw_linear_ticks(cr, &axes);
    draw_clock_axis(cr, sheet, &axes);
    draw_curves(cr, sheet, &axes, CURVE_HOTTEST);
    if (isfinite(limit_K)) {
        sheet_temperature(sheet, limit_K, text, sizeof text);
        snprintf(limit, sizeof limit, "limit %s", text);
        draw_limit_line(cr, &axes, sheet_in_degrees(sheet, limit_K), limit);
    }
}

/* A staircase: a layer counts from the end of its pour; hatched blocks as in the timeline. */
static void draw_build_up(cairo_t *cr, const sheet_page *sheet, plot axes) {
    const pc_schedule *plan = sheet->schedule;
    double most_m = 0.0;
    for (size_t p = 0; p < plan->part_count; p++)
        if (plan->part[p]->kind == PC_HOLLOW)
            most_m = fmax(most_m, plan->part[p]->wall_m);
    axes.y0 = 0.0;
    axes.y1 = sheet_in_length(sheet, most_m > 0.0 && most_m < 10.0 ? most_m * 1.2 : 0.01);
    bool us = sheet->piece->units == PC_US;
    draw_title(cr, &axes, us ? "Wall laid, in" : "Wall laid, mm");
    draw_linear_ticks(cr, &axes);
    draw_clock_axis(cr, sheet, &axes);
    size_t color = 0;
    pen_clip(cr, axes.in);
    for (size_t p = 0; p < plan->part_count; p++) {
        double laid_m = 0.0;
        for (size_t j = 0; j < plan->part[p]->layer_count; j++, color++) {
            const pc_layer *layer = plan->part[p]->layer[j];
            if (plan->part[p]->kind != PC_HOLLOW)
                continue;
            double x0 = at_x(&axes, layer->pour_end_s), x1 = axes.in.x + axes.in.w;
            double low = at_y(&axes, sheet_in_length(sheet, laid_m));
            laid_m += layer->thickness_m;
            double top = at_y(&axes, sheet_in_length(sheet, laid_m));
            pen_hatch(cr, (box){x0, top, x1 - x0, low - top}, pen_layer_ink(color),
                      1 + (int)(color % 4));
            pen_ink(cr, pen_layer_ink(color));
            pen_line(cr, x0, top, x1, top, 1.4);
            pen_line(cr, x0, top, x0, low, 1.4);
        }
    }
    cairo_restore(cr);
    if (most_m > 0.0 && isfinite(most_m)) {
        char text[32], label[48];
        sheet_length(sheet, most_m, text, sizeof text);
        snprintf(label, sizeof label, "target %s", text);
        draw_limit_line(cr, &axes, sheet_in_length(sheet, most_m), label);
    }
}

void graphs_draw(cairo_t *cr, const sheet_page *sheet, box where) {
    double t1_s = sheet_last_time(sheet->schedule);
    double label_w = 36.0, gap = 10.0, title_h = 13.5, axis_h = 11.0;
    double w = (where.w - 2.0 * label_w - gap) / 2.0;
    bool both_rows = where.h >= 100.0;
    double h = (where.h - (both_rows ? 2.0 : 1.0) * (title_h + axis_h)) / (both_rows ? 2.0 : 1.0);
    plot axes = {.in = {where.x + label_w, where.y + title_h, w, h}, .t0_s = 0.0, .t1_s = t1_s};
    draw_timeline(cr, sheet, axes);
    axes.in.x += w + gap + label_w;
    draw_temperature(cr, sheet, axes);
    if (!both_rows)
        return;
    axes.in.y += h + title_h + axis_h;
    draw_build_up(cr, sheet, axes);
    axes.in.x = where.x + label_w;
    draw_viscosity(cr, sheet, axes);
}
