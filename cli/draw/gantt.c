/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "draw/gantt.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "draw/picture.h"
#include "draw/sheet_pen.h"
#include "pourclock.h"
#include "print/message.h"
#include "print/output.h"

/* Across: 279.4 mm of Letter by 210 mm of A4, so that one page fits both. */
#define WIDTH_PT  SHEET_HEIGHT_PT
#define HEIGHT_PT SHEET_WIDTH_PT
#define MARGIN_PT SHEET_MARGIN_PT
#define LABEL_PT  96.0
#define TOP_PT    86.0
#define FOOT_PT   64.0

enum { ROWS_MOST = 40, ROWS_ALL_MOST = 400 };

typedef enum row_kind { PERSON, MACHINE, MOLD } row_kind;

typedef struct row {
    row_kind kind;
    int number;   /* from 1 */
    size_t piece; /* whose molds */
} row;

typedef struct chart {
    cairo_t *cr;
    const pc_day *day;
    const pc_day_plan *plan;
    const pc_day_workday *workday;
    const row *row;
    size_t row_count;
    double row_pt;
} chart;

static double x_of(const chart *c, double clock_s) {
    double from_s = c->workday->from_s, until_s = c->workday->until_s;
    double share = fmin(fmax((clock_s - from_s) / (until_s - from_s), 0), 1);
    return MARGIN_PT + LABEL_PT + share * (WIDTH_PT - 2 * MARGIN_PT - LABEL_PT);
}

static box bar(const chart *c, double from_s, double until_s, double y, double height) {
    double x = x_of(c, from_s);
    return (box){x, y, fmax(0.8, x_of(c, until_s) - x), height};
}

static void draw_hours(const chart *c) {
    double bottom = TOP_PT + (double)c->row_count * c->row_pt;
    for (double t = ceil(c->workday->from_s / 3600) * 3600; t <= c->workday->until_s; t += 3600) {
        pc_words clock = pc_say_clock(0, t, PC_CLOCK_MINUTE | PC_CLOCK_BARE);
        pen_ink(c->cr, INK_RULE);
        pen_line(c->cr, x_of(c, t), TOP_PT - 4, x_of(c, t), bottom, 0.4);
        pen_ink(c->cr, INK_BLACK);
        pen_font(c->cr, 8, false);
        pen_text(c->cr, x_of(c, t), TOP_PT - 7, MIDDLE, clock.s);
    }
    double midnight_s = c->workday->offset * PC_DAY_S;
    for (size_t b = 0; b < c->day->break_count; b++) {
        double from_s = midnight_s + c->day->rest[b]->from_s,
               until_s = midnight_s + c->day->rest[b]->until_s;
        if (until_s > c->workday->from_s && from_s < c->workday->until_s)
            pen_hatch(c->cr, bar(c, from_s, until_s, TOP_PT - 4, bottom - TOP_PT + 4), INK_RULE, 1);
    }
}

/* A short bar's clock stands on end below it, in the part of the row that bars leave free. */
#define TIMES_PT 24.0

/* The clock along the bar where it is long, below it where it is short and there is room. */
static void draw_times(const chart *c, box where, double from_s, double until_s, const char *name,
                       double *last_x) {
    char text[176];
    pc_words from = pc_say_clock(0, from_s, PC_CLOCK_MINUTE | PC_CLOCK_BARE);
    pc_words until = pc_say_clock(0, until_s, PC_CLOCK_MINUTE | PC_CLOCK_BARE);
    pen_ink(c->cr, INK_BLACK);
    if (where.w >= 50) {
        snprintf(text, sizeof text, "%s-%s %.100s", from.s, until.s, name);
        double size = fmin(7, where.h * 0.7);
        pen_fit(c->cr, where.x + 1.5, where.y + where.h * 0.5 + size * 0.35, where.w - 3, LEFT,
                size, 3.5, false, text);
        return;
    }
    double x = fmax(where.x + where.w / 2, *last_x + 6.5);
    if (c->row_pt * 0.82 - where.h < TIMES_PT - 1 || x > where.x + where.w + 6)
        return;
    pen_font(c->cr, 6.5, false);
    cairo_save(c->cr);
    cairo_translate(c->cr, x + 2.3, where.y + where.h + TIMES_PT / 2);
    cairo_rotate(c->cr, -acos(-1) / 2);
    pen_text(c->cr, 0, 0, MIDDLE, from.s);
    cairo_restore(c->cr);
    *last_x = x;
}

static bool overlaps_day(const chart *c, double from_s, double until_s) {
    return until_s > c->workday->from_s && from_s < c->workday->until_s;
}

static void name_casting(const chart *c, const pc_day_casting *casting, char *name, size_t size) {
    snprintf(name, size, "%.80s %d", c->day->piece[casting->piece]->name, casting->copy);
}

static void draw_person(const chart *c, const row *r, double y, double h) {
    double last_x = 0, tall = h >= TIMES_PT + 12 ? h - TIMES_PT : h;
    for (size_t i = 0; i < c->plan->entry_count; i++) {
        const pc_day_entry *e = c->plan->entry[i];
        if (e->person != r->number || !overlaps_day(c, e->from_s, e->until_s))
            continue;
        char name[96];
        bool out = e->what == PC_DAY_DEMOLD;
        box where = bar(c, e->from_s, e->until_s, y, tall);
        pen_hatch(c->cr, where, out ? INK_GREEN : INK_ORANGE, out ? 2 : 0);
        pen_frame(c->cr, where, 0.5);
        name_casting(c, c->plan->casting[e->casting], name, sizeof name);
        draw_times(c, where, e->from_s, e->until_s, name, &last_x);
    }
}

static size_t pool_of(const pc_day *day, size_t piece) {
    return day->piece[piece]->mold_of ? day->piece[piece]->mold_of - 1 : piece;
}

static void draw_casting(const chart *c, const row *r, const pc_day_casting *casting, double y,
                         double h, double *last_x) {
    char name[96];
    bool machine = r->kind == MACHINE;
    double from_s = machine ? casting->station_from_s : casting->start_s;
    double until_s = machine ? casting->station_until_s : casting->done_s;
    if (!machine && isnan(casting->demold_s))
        until_s = INFINITY; /* it stays in the mold */
    if (!overlaps_day(c, from_s, until_s))
        return;
    box where = bar(c, from_s, until_s, y, h);
    pen_hatch(c->cr, where, machine ? INK_SKY : INK_YELLOW, 0);
    pen_frame(c->cr, where, 0.5);
    name_casting(c, casting, name, sizeof name);
    draw_times(c, where, from_s, until_s, name, last_x);
}

static void draw_row(const chart *c, const row *r, double y) {
    static const char *const what[] = {"person", "machine", "mold"};
    double h = c->row_pt * 0.82, last_x = 0;
    char name[128];
    if (r->kind == MOLD)
        snprintf(name, sizeof name, "%.80s, mold %d", c->day->piece[r->piece]->name, r->number);
    else
        snprintf(name, sizeof name, "%s %d", what[r->kind], r->number);
    pen_ink(c->cr, INK_BLACK);
    pen_fit(c->cr, MARGIN_PT, y + h * 0.7, LABEL_PT - 6, LEFT, fmin(9, h * 0.7), 4, false, name);
    if (r->kind == PERSON)
        draw_person(c, r, y, h);
    for (size_t i = 0; i < c->plan->count && r->kind != PERSON; i++) {
        const pc_day_casting *casting = c->plan->casting[i];
        bool mine = r->kind == MACHINE
                        ? casting->station == r->number
                        : pool_of(c->day, casting->piece) == r->piece && casting->mold == r->number;
        if (mine)
            draw_casting(c, r, casting, y, h, &last_x);
    }
}

static void draw_foot(const chart *c) {
    static const struct {
        ink color;
        int hatch;
        const char *text;
    } key[] = {{INK_ORANGE, 0, "hands on"},
               {INK_GREEN, 2, "demold"},
               {INK_SKY, 0, "on the machine"},
               {INK_YELLOW, 0, "in the mold, until it is clean"}};
    double y = HEIGHT_PT - MARGIN_PT - 34;
    char text[1024] = "To weigh: ";
    size_t used = sizeof "To weigh: " - 1;
    pc_day_resin resin[PC_DAY_PIECES_MOST];
    size_t n = pc_day_weigh(c->day, c->plan, c->workday, resin);
    for (size_t i = 0; i < n && used < sizeof text - 1; i++)
        used +=
            (size_t)snprintf(text + used, sizeof text - used, "%s%.60s, %d batches, A %s, B %s",
                             i ? "; " : "", resin[i].name, resin[i].batches,
                             pc_say_mass(resin[i].part_a_kg).s, pc_say_mass(resin[i].part_b_kg).s);
    for (size_t i = 0; i < c->plan->kit_use_count && used < sizeof text - 3; i++) {
        const pc_day_kit_use *use = c->plan->kit_use[i];
        if (c->plan->workday[use->workday] != c->workday)
            continue;
        snprintf(text + used, sizeof text - used, ". %s", use->text);
        used += strlen(text + used);
    }
    pen_ink(c->cr, INK_BLACK);
    if (n > 0)
        pen_fit(c->cr, MARGIN_PT, y, WIDTH_PT - 2 * MARGIN_PT, LEFT, 10, 5, true, text);
    for (size_t i = 0; i < sizeof key / sizeof *key; i++) {
        double x = MARGIN_PT + 110 * (double)i;
        pen_hatch(c->cr, (box){x, y + 8, 12, 8}, key[i].color, key[i].hatch);
        pen_ink(c->cr, INK_BLACK);
        pen_font(c->cr, 8, false);
        pen_text(c->cr, x + 16, y + 15.5, LEFT, key[i].text);
    }
    pen_fit(c->cr, MARGIN_PT, y + 30, WIDTH_PT - 2 * MARGIN_PT, LEFT, 7, 5, false, PC_DEFERRAL);
}

static void draw_page(const chart *c) {
    char text[256], date[64];
    pen_ink(c->cr, INK_BLACK);
    pc_day_date_text(date, sizeof date, c->day, c->workday->from_s);
    snprintf(text, sizeof text, "%.150s%s%s", c->day->name[0] ? c->day->name : "A day's castings",
             date[0] ? ": " : "", date);
    pen_fit(c->cr, MARGIN_PT, 44, WIDTH_PT - 2 * MARGIN_PT, LEFT, 18, 9, true, text);
    pc_day_date_text(date, sizeof date, c->day, c->plan->finish_s);
    snprintf(text, sizeof text, "%zu of %zu castings, done at %s%s%s; late: %zu", c->plan->count,
             c->plan->asked, date, date[0] ? " " : "",
             pc_say_clock(0, c->plan->finish_s, PC_CLOCK_MINUTE | PC_CLOCK_BARE).s,
             c->plan->late_count);
    pen_fit(c->cr, MARGIN_PT, 60, WIDTH_PT - 2 * MARGIN_PT, LEFT, 10, 7, false, text);
    draw_hours(c);
    for (size_t i = 0; i < c->row_count; i++)
        draw_row(c, &c->row[i], TOP_PT + (double)i * c->row_pt);
    draw_foot(c);
}

static size_t list_rows(const pc_day *day, row *rows) {
    size_t n = 0;
    for (int p = 1; p <= day->hands && n < ROWS_ALL_MOST; p++)
        rows[n++] = (row){PERSON, p, 0};
    for (int s = 1; s <= day->stations && n < ROWS_ALL_MOST; s++)
        rows[n++] = (row){MACHINE, s, 0};
    for (size_t i = 0; i < day->piece_count; i++)
        for (int m = 1; m <= day->piece[i]->molds && !day->piece[i]->mold_of; m++)
            if (n < ROWS_ALL_MOST)
                rows[n++] = (row){MOLD, m, i};
    return n;
}

static size_t days_shown(const pc_day_plan *plan) {
    size_t n = plan->workday_count ? 1 : 0;
    while (n < plan->workday_count && plan->workday[n]->from_s < plan->finish_s)
        n++;
    return n;
}

/* A page a day, or more where a day has many rows. An SVG has its pages one below the other. */
static void draw_pages(cairo_t *cr, bool svg, const pc_day *day, const pc_day_plan *plan,
                       const row *rows, size_t row_count) {
    size_t page = 0;
    for (size_t d = 0; d < days_shown(plan); d++)
        for (size_t first = 0; first < row_count; first += ROWS_MOST, page++) {
            size_t left = row_count - first;
            chart c = {cr, day, plan, plan->workday[d], rows + first, left, 0};
            c.row_count = left < ROWS_MOST ? left : ROWS_MOST;
            c.row_pt = fmin(60, (HEIGHT_PT - TOP_PT - FOOT_PT) / (double)c.row_count);
            cairo_save(cr);
            if (svg)
                cairo_translate(cr, 0, (double)page * HEIGHT_PT);
            draw_page(&c);
            cairo_restore(cr);
            if (!svg)
                cairo_show_page(cr);
        }
}

enum cli_exit print_gantt(const char *path, const pc_day *day, const pc_day_plan *plan) {
    bool svg = out_is_named(path, ".svg");
    if (!svg && !out_is_named(path, ".pdf"))
        return say_error(CLI_USAGE, "--sheet %s: the ending says what is drawn: .pdf or .svg",
                         path);
    struct cli_output bytes = {0};
    row rows[ROWS_ALL_MOST];
    size_t row_count = list_rows(day, rows);
    size_t pages = days_shown(plan) * ((row_count + ROWS_MOST - 1) / ROWS_MOST);
    double height_pt = svg ? HEIGHT_PT * fmax(1, (double)pages) : HEIGHT_PT;
    cairo_surface_t *surface =
        (svg ? cairo_svg_surface_create_for_stream
             : cairo_pdf_surface_create_for_stream)(picture_write, &bytes, WIDTH_PT, height_pt);
    if (!svg)
        cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, PICTURE_DATE);
    cairo_t *cr = cairo_create(surface);
    draw_pages(cr, svg, day, plan, rows, row_count);
    cairo_status_t status = cairo_status(cr);
    cairo_destroy(cr);
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
