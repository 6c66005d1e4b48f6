/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Arrows and marks on pictures, distinguished by shape and ink, so in gray too. */
#ifndef PC_CLI_DRAW_MARKS_H
#define PC_CLI_DRAW_MARKS_H

#include "draw/sheet_pen.h"

/* From one point to another, with a head as wide as the line asks for. In the present ink. */
void draw_arrow(cairo_t *cr, double x0, double y0, double x1, double y1, double width);

/* A part of an ellipse from one angle to another (rad, clockwise on the page), with a head at its
 * end: the way something turns. */
void draw_turn(cairo_t *cr, double x, double y, double rx, double ry, double from, double to,
               double width);

/* A number in a ring; filled: white on the ink, else ink on white. */
void draw_badge(cairo_t *cr, double x, double y, double radius, ink color, bool filled,
                const char *text);

/* Marks of a given half height, edged in black: a triangle on its base, a square on its corner, a
 * cross in a ring (where to drill). Hidden ones are drawn hollow. */
void draw_triangle(cairo_t *cr, double x, double y, double r, ink color, bool hidden);
void draw_diamond(cairo_t *cr, double x, double y, double r, ink color, bool hidden);
void draw_drill(cairo_t *cr, double x, double y, double r);

/* A line with a white edge, to be seen on anything. */
void draw_cased_line(cairo_t *cr, double x0, double y0, double x1, double y1, double width,
                     ink color, bool dashed);

#endif
