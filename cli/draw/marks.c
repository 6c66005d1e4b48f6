/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "draw/marks.h"

#include <math.h>

static void draw_head(cairo_t *cr, double x, double y, double angle, double width) {
    double size = 3.0 + 2.5 * width;
    cairo_move_to(cr, x, y);
    cairo_line_to(cr, x - size * cos(angle - 0.42), y - size * sin(angle - 0.42));
    cairo_line_to(cr, x - size * cos(angle + 0.42), y - size * sin(angle + 0.42));
    cairo_close_path(cr);
    cairo_fill(cr);
}

void draw_arrow(cairo_t *cr, double x0, double y0, double x1, double y1, double width) {
    double angle = atan2(y1 - y0, x1 - x0), back = 2.0 + width;
    pen_line(cr, x0, y0, x1 - back * cos(angle), y1 - back * sin(angle), width);
    draw_head(cr, x1, y1, angle, width);
}

void draw_turn(cairo_t *cr, double x, double y, double rx, double ry, double from, double to,
               double width) {
    enum { STEPS = 40 };
    cairo_set_line_width(cr, width);
    for (int i = 0; i <= STEPS; i++) {
        double angle = from + (to - from) * i / STEPS;
        if (i == 0)
            cairo_move_to(cr, x + rx * cos(angle), y + ry * sin(angle));
        else
            cairo_line_to(cr, x + rx * cos(angle), y + ry * sin(angle));
    }
    cairo_stroke(cr);
    double way = to > from ? 1.0 : -1.0;
    draw_head(cr, x + rx * cos(to), y + ry * sin(to),
              atan2(way * ry * cos(to), -way * rx * sin(to)), width);
}

void draw_badge(cairo_t *cr, double x, double y, double radius, ink color, bool filled,
                const char *text) {
    cairo_new_path(cr);
    cairo_arc(cr, x, y, radius, 0.0, 2.0 * PC_PI);
    pen_ink(cr, filled ? color : INK_WHITE);
    cairo_fill_preserve(cr);
    pen_ink(cr, filled ? INK_BLACK : color);
    cairo_set_line_width(cr, 0.9);
    cairo_stroke(cr);
    pen_font(cr, 1.25 * radius, true);
    pen_ink(cr, filled ? INK_WHITE : INK_BLACK);
    pen_text(cr, x, y + 0.45 * radius, MIDDLE, text);
}

static void finish_mark(cairo_t *cr, ink color, bool hidden) {
    cairo_close_path(cr);
    pen_ink(cr, hidden ? INK_WHITE : color);
    cairo_fill_preserve(cr);
    pen_ink(cr, hidden ? color : INK_BLACK);
    cairo_set_line_width(cr, hidden ? 1.4 : 0.8);
    cairo_stroke(cr);
}

void draw_triangle(cairo_t *cr, double x, double y, double r, ink color, bool hidden) {
    cairo_move_to(cr, x, y - r);
    cairo_line_to(cr, x + r, y + 0.8 * r);
    cairo_line_to(cr, x - r, y + 0.8 * r);
    finish_mark(cr, color, hidden);
}

void draw_diamond(cairo_t *cr, double x, double y, double r, ink color, bool hidden) {
    cairo_move_to(cr, x, y - r);
    cairo_line_to(cr, x + r, y);
    cairo_line_to(cr, x, y + r);
    cairo_line_to(cr, x - r, y);
    finish_mark(cr, color, hidden);
}

void draw_drill(cairo_t *cr, double x, double y, double r) {
    cairo_new_path(cr);
    cairo_arc(cr, x, y, r, 0.0, 2.0 * PC_PI);
    pen_ink(cr, INK_WHITE);
    cairo_fill_preserve(cr);
    pen_ink(cr, INK_BLACK);
    cairo_set_line_width(cr, 1.0);
    cairo_stroke(cr);
    pen_line(cr, x - 1.6 * r, y, x + 1.6 * r, y, 0.8);
    pen_line(cr, x, y - 1.6 * r, x, y + 1.6 * r, 0.8);
}

void draw_cased_line(cairo_t *cr, double x0, double y0, double x1, double y1, double width,
                     ink color, bool dashed) {
    static const double dash[] = {4.0, 2.5};
    pen_ink(cr, INK_WHITE);
    pen_line(cr, x0, y0, x1, y1, width + 1.8);
    cairo_save(cr);
    if (dashed)
        cairo_set_dash(cr, dash, 2, 0.0);
    pen_ink(cr, color);
    pen_line(cr, x0, y0, x1, y1, width);
    cairo_restore(cr);
}
