/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "draw/gantt.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "draw/picture.h"
#include "draw/sheet_pen.h"
#include "print/message.h"
#include "print/output.h"

#define WIDTH_PT  792.0
#define MARGIN_PT 30.0
#define LABEL_PT  130.0
#define TOP_PT    78.0

typedef struct chart {
    cairo_t *cr;
    const pc_day *day;
    const pc_day_plan *plan;
    double row_pt, height_pt;
} chart;

static double x_of(const chart *c, double clock_s) {
    double last = fmax(c->day->end_s, isfinite(c->plan->finish_s) ? c->plan->finish_s : 0);
    return MARGIN_PT + LABEL_PT +
           (clock_s - c->day->start_s) / (last - c->day->start_s) *
               (WIDTH_PT - 2 * MARGIN_PT - LABEL_PT);
}

static box bar(const chart *c, double from_s, double until_s, double y, double height) {
    double x = x_of(c, from_s);
    return (box){x, y, fmax(0.8, x_of(c, until_s) - x), height};
}

static void hours(const chart *c) {
    for (double t = ceil(c->day->start_s / 3600) * 3600; t <= c->day->end_s; t += 3600) {
        char clock[16];
        pc_clock_text(t, false, clock, sizeof clock);
        pen_ink(c->cr, INK_GREY);
        pen_line(c->cr, x_of(c, t), TOP_PT - 4, x_of(c, t), c->height_pt - 46, 0.4);
        pen_ink(c->cr, INK_BLACK);
        pen_font(c->cr, 8, false);
        pen_text(c->cr, x_of(c, t), TOP_PT - 8, MIDDLE, clock);
    }
    for (size_t b = 0; b < c->day->break_count; b++)
        pen_hatch(c->cr,
                  bar(c, c->day->rest[b].from_s, c->day->rest[b].until_s, TOP_PT - 4,
                      c->height_pt - 46 - TOP_PT + 4),
                  INK_GREY, 1);
}

/* A casting: thin from start to out of the mold, the machine above it, hands-on jobs full. */
static void row(const chart *c, size_t i) {
    const pc_day_casting *casting = &c->plan->casting[i];
    double y = TOP_PT + (double)i * c->row_pt, h = c->row_pt * 0.6;
    char name[192], clean[192];
    snprintf(name, sizeof name, "%.100s %d, mold %d", c->day->piece[casting->piece].name,
             casting->copy, casting->mold);
    pc_text_clean(name, clean, sizeof clean);
    pen_ink(c->cr, INK_BLACK);
    pen_fit(c->cr, MARGIN_PT, y + h * 0.75, LABEL_PT - 8, LEFT, fmin(9, c->row_pt * 0.6), 5, false,
            clean);
    pen_frame(c->cr, bar(c, casting->start_s, casting->done_s, y + h * 0.35, h * 0.3), 0.6);
    if (casting->station)
        pen_hatch(c->cr,
                  bar(c, casting->station_from_s, casting->station_until_s, y + h * 0.15, h * 0.7),
                  INK_SKY, 0);
    for (size_t e = 0; e < c->plan->entry_count; e++) {
        const pc_day_entry *entry = &c->plan->entry[e];
        if (entry->casting != i)
            continue;
        bool out = entry->what == PC_DAY_DEMOLD;
        box where = bar(c, entry->from_s, entry->until_s, y, h);
        pen_hatch(c->cr, where, out ? INK_GREEN : INK_ORANGE, out ? 2 : 0);
        pen_frame(c->cr, where, 0.5);
    }
}

static void foot(const chart *c) {
    double y = c->height_pt - 28;
    pen_hatch(c->cr, (box){MARGIN_PT, y, 12, 8}, INK_ORANGE, 0);
    pen_hatch(c->cr, (box){MARGIN_PT + 110, y, 12, 8}, INK_SKY, 0);
    pen_hatch(c->cr, (box){MARGIN_PT + 220, y, 12, 8}, INK_GREEN, 2);
    pen_ink(c->cr, INK_BLACK);
    pen_font(c->cr, 8, false);
    pen_text(c->cr, MARGIN_PT + 16, y + 7.5, LEFT, "hands on");
    pen_text(c->cr, MARGIN_PT + 126, y + 7.5, LEFT, "on the machine");
    pen_text(c->cr, MARGIN_PT + 236, y + 7.5, LEFT, "demold");
    pen_fit(c->cr, MARGIN_PT, y + 19, WIDTH_PT - 2 * MARGIN_PT, LEFT, 7, 5, false, pc_deferral());
}

static void draw(const chart *c) {
    char text[256], clean[256], finish[16] = "-";
    pc_text_clean(c->day->name[0] ? c->day->name : "A day's castings", clean, sizeof clean);
    pen_ink(c->cr, INK_BLACK);
    pen_fit(c->cr, MARGIN_PT, 36, WIDTH_PT - 2 * MARGIN_PT, LEFT, 18, 9, true, clean);
    if (isfinite(c->plan->finish_s))
        pc_clock_text(c->plan->finish_s, false, finish, sizeof finish);
    snprintf(text, sizeof text, "%zu of %zu castings, done at %s; hands %d, machines %d",
             c->plan->count, c->plan->asked, finish, c->day->hands, c->day->stations);
    pen_fit(c->cr, MARGIN_PT, 52, WIDTH_PT - 2 * MARGIN_PT, LEFT, 10, 7, false, text);
    hours(c);
    for (size_t i = 0; i < c->plan->count; i++)
        row(c, i);
    foot(c);
}

enum cli_exit print_gantt(const char *path, const pc_day *day, const pc_day_plan *plan) {
    bool svg = out_is_named(path, ".svg");
    if (!svg && !out_is_named(path, ".pdf"))
        return say_error(CLI_USAGE, "--sheet %s: the ending says what is drawn: .pdf or .svg",
                         path);
    struct cli_output bytes = {0};
    chart c = {.day = day, .plan = plan, .row_pt = plan->count > 20 ? 14 : 24};
    c.height_pt = fmax(300, TOP_PT + (double)plan->count * c.row_pt + 60);
    cairo_surface_t *surface =
        (svg ? cairo_svg_surface_create_for_stream
             : cairo_pdf_surface_create_for_stream)(picture_write, &bytes, WIDTH_PT, c.height_pt);
    if (!svg)
        cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, PICTURE_DATE);
    c.cr = cairo_create(surface);
    draw(&c);
    cairo_status_t status = cairo_status(c.cr);
    cairo_destroy(c.cr);
    cairo_surface_finish(surface);
    if (status == CAIRO_STATUS_SUCCESS)
        status = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    enum cli_exit code = CLI_DONE;
    if (status != CAIRO_STATUS_SUCCESS || bytes.failed)
        code = say_error(CLI_INTERNAL, "the sheet: %s", cairo_status_to_string(status));
    else if (!out_to_file(path, bytes.data, bytes.size))
        code = CLI_FILE;
    out_free(&bytes);
    return code;
}
