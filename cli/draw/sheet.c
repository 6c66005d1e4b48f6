/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "draw/picture.h"
#include "draw/sheet_pen.h"
#include "pourclock.h"

#define PNG_DOTS_PER_INCH 150.0
#define PNG_MOST          32700.0 /* dots of a picture of the drawing library */
#define CAUTION_PT        7.6
#define CAUTION_LEADING   9.4
#define CAUTION_MOST      48
#define FOOT_LINES        30    /* of one paragraph at most */
#define FOOT_MOST         150.0 /* beyond it letters shrink */
#define FOOT_EVER         300.0 /* with the smallest letters: nothing may be left out */
#define CODE_PT           104.0 /* the code square */
#define CODE_LEAST        80.0
#define NEXT_HEAD_PT      24.0
#define GRAPHS_MOST       330.0

#if defined(__has_feature)
#if __has_feature(address_sanitizer)
#define LEAKS_ARE_LOOKED_FOR 1
#endif
#elif defined(__SANITIZE_ADDRESS__)
#define LEAKS_ARE_LOOKED_FOR 1
#endif
#ifdef LEAKS_ARE_LOOKED_FOR
/* The font library keeps its configuration until the end. The names are the sanitizer's. */
const char *__lsan_default_suppressions(void);
__attribute__((visibility("default"), used)) const char *__lsan_default_suppressions(void) {
    return "leak:libfontconfig\n";
}
const char *__lsan_default_options(void);
__attribute__((visibility("default"), used)) const char *__lsan_default_options(void) {
    return "print_suppressions=0";
}
#endif

/* Bytes the drawing library hands over. */
typedef struct bytes {
    unsigned char *data;
    size_t size, room;
} bytes;

static cairo_status_t take(void *context, const unsigned char *data, unsigned int length) {
    bytes *into = context;
    if (into->room - into->size < length) {
        size_t room = (into->size + length) * 2;
        unsigned char *bigger = realloc(into->data, room);
        if (bigger == NULL)
            return CAIRO_STATUS_NO_MEMORY;
        into->data = bigger;
        into->room = room;
    }
    memcpy(into->data + into->size, data, length);
    into->size += length;
    return CAIRO_STATUS_SUCCESS;
}

static void head_facts(const sheet_page *sheet, char *first, char *second, size_t size) {
    const pc_schedule *plan = sheet->schedule;
    char air[32], resin[32], mold[32], mass[64], start[16], demold[16], wall[48] = "";
    sheet_temperature(sheet, plan->air_K, air, sizeof air);
    sheet_temperature(sheet, plan->resin_K, resin, sizeof resin);
    sheet_temperature(sheet, plan->mold_K, mold, sizeof mold);
    snprintf(mass, sizeof mass, "%s",
             pc_say(PC_SAY_MASS_BOTH, sheet->piece->units, plan->resin_kg).s);
    sheet_clock(sheet, 0.0, false, start, sizeof start);
    double late_s = plan->demold_late_s, demold_s = isfinite(late_s) ? late_s : plan->demold_s;
    sheet_clock(sheet, ceil(demold_s / 60.0) * 60.0, false, demold, sizeof demold);
    size_t layers = 0;
    for (size_t p = 0; p < plan->part_count; p++)
        layers += plan->part[p]->layer_count;
    if (plan->part_count > 0 && plan->part[0]->kind == PC_HOLLOW) {
        char thick[32];
        sheet_length(sheet, plan->part[0]->wall_m, thick, sizeof thick);
        snprintf(wall, sizeof wall, "wall %s, ", thick);
    }
    snprintf(first, size, "%s   shop %s, resin %s, mold %s", plan->resin, air, resin, mold);
    snprintf(second, size, "%s%zu pour%s, %s of resin in total   first mix %s, demold from %s",
             wall, layers, layers == 1 ? "" : "s", mass, start, demold);
}

/* Returns the height used. */
static double draw_head(cairo_t *cr, const sheet_page *sheet, box where) {
    char first[320], second[320];
    head_facts(sheet, first, second, sizeof first);
    pen_ink(cr, INK_BLACK);
    double name_w = where.w - 300.0;
    pen_fit(cr, where.x, where.y + 18.0, name_w, LEFT, 21.0, 11.0, true, sheet->schedule->piece);
    pen_font(cr, 9.5, false);
    pen_text(cr, where.x + where.w - 222.0, where.y + 17.0, RIGHT, "date");
    pen_line(cr, where.x + where.w - 218.0, where.y + 18.5, where.x + where.w - 140.0,
             where.y + 18.5, 0.6);
    pen_text(cr, where.x + where.w - 70.0, where.y + 17.0, RIGHT, "first mix at");
    pen_line(cr, where.x + where.w - 66.0, where.y + 18.5, where.x + where.w, where.y + 18.5, 0.6);
    pen_fit(cr, where.x, where.y + 32.5, where.w, LEFT, 10.0, 7.0, false, first);
    pen_fit(cr, where.x, where.y + 45.0, where.w, LEFT, 10.0, 7.0, false, second);
    double used = 50.0;
    const pc_schedule *plan = sheet->schedule;
    if (!plan->feasible || plan->do_not_pour[0]) {
        char text[sizeof plan->do_not_pour + 16];
        snprintf(text, sizeof text, "DO NOT POUR: %s.", plan->do_not_pour);
        box bar = {where.x, where.y + used, where.w, 19.0};
        pen_hatch(cr, bar, INK_VERMILLION, 0);
        pen_ink(cr, INK_WHITE);
        pen_fit(cr, bar.x + bar.w / 2.0, bar.y + 14.0, bar.w - 8.0, MIDDLE, 13.0, 8.0, true,
                plan->feasible
                    ? text
                    : "THIS PLAN EXCEEDS A LIMIT: do not pour it. See the foot of the page.");
        used += 23.0;
    }
    return used;
}

static bool ends_sentence(const char *text) {
    size_t length = strlen(text);
    return length == 0 || text[length - 1] == '.';
}

/* Lines of the foot: warnings first, then cautions. */
static size_t foot_items(const sheet_page *sheet, char item[][2400], size_t most) {
    size_t count = 0;
    const pc_schedule *plan = sheet->schedule;
    for (int breaks = 1; breaks >= 0; breaks--)
        for (size_t i = 0; i < plan->warning_count && count < most; i++)
            if (plan->warning[i]->breaks == (breaks == 1))
                snprintf(item[count++], sizeof item[0], "%s %s%s %s",
                         breaks ? "LIMIT:" : "Note:", plan->warning[i]->text,
                         ends_sentence(plan->warning[i]->text) ? "" : ";",
                         plan->warning[i]->remedy);
    for (size_t i = 0; i < sheet->caution_count && count < most; i++)
        snprintf(item[count++], sizeof item[0], "%s", sheet->caution[i]);
    return count;
}

/* Two columns, filled evenly; smaller letters until it holds `most_h`. Returns the height. */
static double draw_foot(cairo_t *cr, const sheet_page *sheet, box where, double most_h, bool draw) {
    static const double size_pt[] = {CAUTION_PT, 7.0, 6.4, 5.8};
    char(*item)[2400] = calloc(CAUTION_MOST, sizeof *item);
    if (item == NULL)
        return 0.0;
    size_t count = foot_items(sheet, item, CAUTION_MOST);
    double gap = 14.0, column_w = (where.w - gap) / 2.0, height = 0.0;
    for (size_t s = 0; s < 4 && count > 0; s++) {
        double leading = size_pt[s] * CAUTION_LEADING / CAUTION_PT;
        pen_font(cr, size_pt[s], false);
        int total = 0, left = 0;
        for (size_t i = 0; i < count; i++)
            total += pen_paragraph(cr, 0, 0, column_w - 8.0, leading, FOOT_LINES, false, item[i]);
        size_t split = 0;
        while (split < count && left < (total + 1) / 2)
            left +=
                pen_paragraph(cr, 0, 0, column_w - 8.0, leading, FOOT_LINES, false, item[split++]);
        int rows = left > total - left ? left : total - left;
        height = 6.0 + rows * leading;
        if (height > FOOT_MOST && s < 3)
            continue;
        int line = 0;
        for (size_t i = 0; i < count && draw; i++) {
            double x = where.x + (i < split ? 0.0 : column_w + gap);
            if (i == split)
                line = 0;
            double y = where.y + 3.0 + leading * (line + 0.8);
            if (y > where.y + most_h)
                continue;
            bool limit = strncmp(item[i], "LIMIT:", 6) == 0;
            pen_ink(cr, limit ? INK_VERMILLION : INK_BLACK);
            cairo_rectangle(cr, x + 1.0, y - (limit ? 5.0 : 4.0), limit ? 4.6 : 2.6,
                            limit ? 4.6 : 2.6);
            cairo_fill(cr);
            pen_ink(cr, INK_BLACK);
            line +=
                pen_paragraph(cr, x + 8.0, y, column_w - 8.0, leading, FOOT_LINES, true, item[i]);
        }
        break;
    }
    free(item);
    return fmin(height, most_h);
}

/* What all pages share, measured once. */
typedef struct layout {
    box page;
    double head_h, foot_h;
    size_t pages;
    steps_page part[SHEET_PAGES_MOST];
} layout;

/* Head of a page after the first. */
static double draw_next_head(cairo_t *cr, const sheet_page *sheet, box where, size_t number,
                             size_t pages) {
    char text[64];
    bool breaks = !sheet->schedule->feasible;
    snprintf(text, sizeof text, "page %zu of %zu%s", number, pages,
             breaks ? ": THIS PLAN EXCEEDS A LIMIT" : "; cautions on the first");
    pen_ink(cr, INK_BLACK);
    pen_fit(cr, where.x, where.y + 16.0, where.w - 230.0, LEFT, 15.0, 9.0, true,
            sheet->schedule->piece);
    pen_ink(cr, breaks ? INK_VERMILLION : INK_BLACK);
    pen_fit(cr, where.x + where.w, where.y + 15.0, 220.0, RIGHT, 10.0, 7.0, breaks, text);
    return NEXT_HEAD_PT;
}

/* The code square stands beside the graphs. */
static void draw_graphs(cairo_t *cr, const sheet_page *sheet, box graphs) {
    double side = fmin(CODE_PT, graphs.h - 10.0);
    box square = {graphs.x + graphs.w - side, graphs.y + graphs.h - side - 9.0, side, side};
    if (graphs.h <= 40.0)
        return;
    if (sheet->file && side >= CODE_LEAST && code_square_draw(cr, square, sheet->file)) {
        pen_ink(cr, INK_BLACK);
        pen_fit(cr, square.x + side / 2.0, square.y + side + 7.0, side, MIDDLE, 7.0, 5.0, false,
                "the piece file");
        graphs.w -= side + 10.0;
    }
    graphs_draw(cr, sheet, graphs);
}

static layout measure(cairo_t *cr, const sheet_page *sheet) {
    layout l = {.page = {SHEET_MARGIN_PT, SHEET_MARGIN_PT, SHEET_WIDTH_PT - 2.0 * SHEET_MARGIN_PT,
                         SHEET_HEIGHT_PT - 2.0 * SHEET_MARGIN_PT}};
    l.foot_h = draw_foot(cr, sheet, l.page, FOOT_EVER, false);
    l.head_h = draw_head(cr, sheet, l.page);
    l.pages = steps_pages(cr, sheet, l.page.h - l.head_h - l.foot_h - 4.0, l.page.h - NEXT_HEAD_PT,
                          l.part);
    return l;
}

static void draw_first_page(cairo_t *cr, const sheet_page *sheet, const layout *l) {
    box page = l->page;
    draw_head(cr, sheet, page);
    if (l->pages > 1) {
        char text[32];
        snprintf(text, sizeof text, "page 1 of %zu", l->pages);
        pen_fit(cr, page.x + page.w, page.y + 45.0, 60.0, RIGHT, 8.0, 6.0, true, text);
    }
    box middle = {page.x, page.y + l->head_h, page.w, page.h - l->head_h - l->foot_h - 4.0};
    double steps_h = steps_draw(cr, sheet, &l->part[0], middle);
    if (l->pages == 1)
        draw_graphs(cr, sheet,
                    (box){page.x, middle.y + steps_h + 6.0, page.w, middle.h - steps_h - 8.0});
    box foot = {page.x, page.y + page.h - l->foot_h, page.w, l->foot_h};
    pen_ink(cr, INK_BLACK);
    pen_line(cr, foot.x, foot.y, foot.x + foot.w, foot.y, 0.6);
    draw_foot(cr, sheet, foot, l->foot_h, true);
}

/* In a PDF each is a page of its own; in a picture they stand one above the other. */
static void draw_pages(cairo_t *cr, const sheet_page *sheet, const layout *l, bool paged) {
    pen_ink(cr, INK_WHITE);
    cairo_paint(cr);
    draw_first_page(cr, sheet, l);
    for (size_t i = 1; i < l->pages; i++) {
        box page = l->page;
        if (paged) {
            cairo_show_page(cr);
            pen_ink(cr, INK_WHITE);
            cairo_paint(cr);
        } else {
            cairo_translate(cr, 0.0, SHEET_HEIGHT_PT);
        }
        double head_h = draw_next_head(cr, sheet, page, i + 1, l->pages);
        page.y += head_h;
        page.h -= head_h;
        double used = steps_draw(cr, sheet, &l->part[i], page) + 6.0;
        page.y += used;
        page.h = fmin(page.h - used - 2.0, GRAPHS_MOST);
        if (i + 1 == l->pages)
            draw_graphs(cr, sheet, page);
    }
    cairo_show_page(cr);
}

/* Dots a point: fewer where many pages stand one above the other. */
static double png_dots(size_t pages) {
    return fmin(PNG_DOTS_PER_INCH / 72.0, PNG_MOST / (SHEET_HEIGHT_PT * (double)pages));
}

static cairo_surface_t *new_surface(sheet_format format, size_t pages, bytes *into) {
    cairo_surface_t *surface = NULL;
    double dots = png_dots(pages), height = SHEET_HEIGHT_PT * (double)pages;
    switch (format) {
    case SHEET_PDF:
        surface = cairo_pdf_surface_create_for_stream(take, into, SHEET_WIDTH_PT, SHEET_HEIGHT_PT);
        break;
    case SHEET_SVG:
        surface = cairo_svg_surface_create_for_stream(take, into, SHEET_WIDTH_PT, height);
        cairo_svg_surface_set_document_unit(surface, CAIRO_SVG_UNIT_PT);
        break;
    case SHEET_PNG:
        surface =
            cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)ceil(SHEET_WIDTH_PT * dots - 1e-6),
                                       (int)ceil(height * dots - 1e-6));
        break;
    }
    return surface;
}

/* The date is fixed: the page must not change with the day it is printed. */
static void set_metadata(cairo_surface_t *surface, const sheet_page *sheet) {
    char title[PC_NAME_SIZE + 32], clean[PC_NAME_SIZE];
    pc_text_clean(sheet->schedule->piece, clean, sizeof clean);
    snprintf(title, sizeof title, "Pour-and-turn sheet: %s", clean);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, title);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "pourclock");
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, PICTURE_DATE);
}

/* The same letters at the same places in all three formats. */
static cairo_t *new_pen(cairo_surface_t *surface) {
    cairo_t *cr = cairo_create(surface);
    cairo_font_options_t *options = cairo_font_options_create();
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    cairo_set_font_options(cr, options);
    cairo_font_options_destroy(options);
    return cr;
}

pc_status sheet_render(const sheet_page *sheet, sheet_format format, unsigned char **out,
                       size_t *size, pc_errors *errors) {
    bytes into = {NULL, 0, 0};
    cairo_surface_t *scratch = cairo_image_surface_create(CAIRO_FORMAT_RGB24, 1, 1);
    cairo_t *cr = new_pen(scratch);
    layout l = measure(cr, sheet);
    cairo_destroy(cr);
    cairo_surface_destroy(scratch);
    cairo_surface_t *surface = new_surface(format, l.pages, &into);
    cr = new_pen(surface);
    if (format == SHEET_PDF)
        set_metadata(surface, sheet);
    if (format == SHEET_PNG)
        cairo_scale(cr, png_dots(l.pages), png_dots(l.pages));
    draw_pages(cr, sheet, &l, format == SHEET_PDF);
    cairo_status_t status = cairo_status(cr);
    cairo_destroy(cr);
    if (format == SHEET_PNG && status == CAIRO_STATUS_SUCCESS)
        status = cairo_surface_write_to_png_stream(surface, take, &into);
    cairo_surface_finish(surface);
    if (status == CAIRO_STATUS_SUCCESS)
        status = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    /* Fonts kept for the next drawing: there is none, and they would number its glyphs. */
    cairo_debug_reset_static_data();
    if (status != CAIRO_STATUS_SUCCESS) {
        free(into.data);
        return pc_errors_add(errors, status == CAIRO_STATUS_NO_MEMORY ? PC_E_MEMORY : PC_E_NUMERIC,
                             PC_NOWHERE, "the sheet cannot be drawn: %s",
                             cairo_status_to_string(status));
    }
    *out = into.data;
    *size = into.size;
    return PC_OK;
}
