/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pen, letters and colors of the sheet. Lengths in points (1/72 in), y downward. */
#ifndef PC_CLI_DRAW_SHEET_PEN_H
#define PC_CLI_DRAW_SHEET_PEN_H

#include <cairo.h>
#include <stdbool.h>
#include <stddef.h>

#include "draw/sheet.h"

/* 210 mm of A4 by 279.4 mm of Letter; 10 mm margins that any printer can leave white. */
#define SHEET_WIDTH_PT  (210.0 * 72.0 / 25.4)
#define SHEET_HEIGHT_PT 792.0
#define SHEET_MARGIN_PT (10.0 * 72.0 / 25.4)
#define SHEET_READ_PT   14.0 /* legible at arm's length */

typedef struct box {
    double x, y, w, h;
} box;

typedef enum align { LEFT, MIDDLE, RIGHT } align;

/* Okabe & Ito, Color Universal Design (2008). */
typedef enum ink {
    INK_BLACK,
    INK_ORANGE,
    INK_SKY,
    INK_GREEN,
    INK_YELLOW,
    INK_BLUE,
    INK_VERMILLION,
    INK_PURPLE,
    INK_RULE, /* rules and grids only: carries no meaning */
    INK_WHITE
} ink;

void pen_ink(cairo_t *cr, ink color);
/* Color and dash of the nth layer: the first six differ in both. */
ink pen_layer_ink(size_t index);
void pen_layer_dash(cairo_t *cr, size_t index);
void pen_font(cairo_t *cr, double size_pt, bool bold);
double pen_width(cairo_t *cr, const char *text);
void pen_text(cairo_t *cr, double x, double y, align side, const char *text);
/* One line within `width`: smaller down to least_pt, then cut with "...". Returns its width. */
double pen_fit(cairo_t *cr, double x, double y, double width, align side, double size_pt,
               double least_pt, bool bold, const char *text);
/* Paragraph broken at spaces; returns the lines it takes. draw false: only counts. */
int pen_paragraph(cairo_t *cr, double x, double y, double width, double leading, int most_lines,
                  bool draw, const char *text);
void pen_line(cairo_t *cr, double x0, double y0, double x1, double y1, double width);
/* Draws nothing outside until cairo_restore. */
void pen_clip(cairo_t *cr, box where);
void pen_frame(cairo_t *cr, box where, double width);
/* Filled light, with hatch lines of a pitch at an angle (0: none, 1: /, 2: \, 3: |, 4: -). */
void pen_hatch(cairo_t *cr, box where, ink color, int hatch);

/* Quantities as the piece's units want them. */
void sheet_temperature(const sheet_page *sheet, double T_K, char *buffer, size_t size);
void sheet_length(const sheet_page *sheet, double length_m, char *buffer, size_t size);
/* A clock past midnight says so: "+1d 01:34". */
void sheet_clock(const sheet_page *sheet, double time_s, bool seconds, char *buffer, size_t size);
double sheet_in_degrees(const sheet_page *sheet, double T_K);
double sheet_in_length(const sheet_page *sheet, double length_m);

/* Parts of the page. Each draws within its box. */

enum { SHEET_PAGES_MOST = 64 };

/* The steps of a page, and the rows they take. */
typedef struct steps_page {
    size_t from, count, rows;
    double row_h;
} steps_page;

/* Whether any layer is turned. */
bool sheet_turns(const pc_schedule *plan);

/* Purpose:  share the steps out to pages; the last one has room for the graphs under them.
 * Given:    height on the first page, on the others; page: room for SHEET_PAGES_MOST.
 * Returned: how many, at least 1. */
size_t steps_pages(cairo_t *cr, const sheet_page *sheet, double first_h, double later_h,
                   steps_page *page);
/* Returns the height used. */
double steps_draw(cairo_t *cr, const sheet_page *sheet, const steps_page *page, box where);
/* A square of the text that a phone reads, if it fits and the tool was built with libqrencode.
 * Returns whether it was drawn. */
bool code_square_draw(cairo_t *cr, box where, const char *text);
/* The end of the graphs' clock, s from the first mix. */
double sheet_last_time(const pc_schedule *plan);
void graphs_draw(cairo_t *cr, const sheet_page *sheet, box where);

#endif
