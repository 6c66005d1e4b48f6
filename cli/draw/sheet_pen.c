/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "draw/sheet_pen.h"
#include "pourclock.h"

static const double rgb[][3] = {
    [INK_BLACK] = {0, 0, 0},
    [INK_ORANGE] = {0.902, 0.624, 0},
    [INK_SKY] = {0.337, 0.706, 0.914},
    [INK_GREEN] = {0, 0.620, 0.451},
    [INK_YELLOW] = {0.941, 0.894, 0.259},
    [INK_BLUE] = {0, 0.447, 0.698},
    [INK_VERMILLION] = {0.835, 0.369, 0},
    [INK_PURPLE] = {0.800, 0.475, 0.655},
    [INK_RULE] = {0.72, 0.72, 0.72},
    [INK_WHITE] = {1, 1, 1},
};

void pen_ink(cairo_t *cr, ink color) {
    cairo_set_source_rgb(cr, rgb[color][0], rgb[color][1], rgb[color][2]);
}

/* Vermillion is kept for limits. */
ink pen_layer_ink(size_t index) {
    static const ink order[] = {INK_BLUE, INK_ORANGE, INK_GREEN, INK_PURPLE, INK_SKY, INK_BLACK};
    return order[index % (sizeof order / sizeof *order)];
}

void pen_layer_dash(cairo_t *cr, size_t index) {
    static const double dash[][4] = {{0, 0, 0, 0}, {7, 2, 7, 2}, {3, 2, 3, 2},
                                     {9, 2, 2, 2}, {1, 2, 1, 2}, {5, 4, 5, 4}};
    size_t kind = index % (sizeof dash / sizeof *dash);
    cairo_set_dash(cr, dash[kind], kind == 0 ? 0 : 4, 0.0);
}

void pen_font(cairo_t *cr, double size_pt, bool bold) {
    cairo_select_font_face(cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL,
                           bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(cr, size_pt);
}

double pen_width(cairo_t *cr, const char *text) {
    cairo_text_extents_t extents;
    cairo_text_extents(cr, text, &extents);
    return extents.x_advance;
}

void pen_text(cairo_t *cr, double x, double y, align side, const char *text) {
    double width = side == LEFT ? 0.0 : pen_width(cr, text);
    cairo_move_to(cr, x - (side == RIGHT ? width : side == MIDDLE ? width / 2.0 : 0.0), y);
    cairo_show_text(cr, text);
}

double pen_fit(cairo_t *cr, double x, double y, double width, align side, double size_pt,
               double least_pt, bool bold, const char *text) {
    char whole[512], line[sizeof whole + 4];
    pc_text_clean(text, whole, sizeof whole);
    snprintf(line, sizeof line, "%s", whole);
    pen_font(cr, size_pt, bold);
    double wanted = pen_width(cr, line);
    if (wanted > width) {
        size_pt = fmax(least_pt, floor(size_pt * width / wanted * 10.0) / 10.0);
        pen_font(cr, size_pt, bold);
    }
    for (size_t columns = pc_text_width(whole); pen_width(cr, line) > width && columns > 0;)
        snprintf(line, sizeof line, "%.*s...", (int)pc_text_fit(whole, --columns), whole);
    pen_text(cr, x, y, side, line);
    return pen_width(cr, line);
}

/* The longest head of `text` that fits and ends before a space; a word wider than the line is
 * broken between characters. Each character is measured once: cairo's own fonts kern nothing. */
static size_t line_length(cairo_t *cr, const char *text, double width) {
    size_t fits = 0, some = 0, length = strlen(text);
    double reach = 0.0;
    for (size_t i = 0; i < length && i < 500;) {
        size_t next = i + 1;
        while (((unsigned char)text[next] & 0xC0) == 0x80)
            next++;
        char letter[8];
        snprintf(letter, sizeof letter, "%.*s", (int)(next - i), text + i);
        reach += pen_width(cr, letter);
        if (some > 0 && reach > width)
            break;
        some = i = next;
        if (i == length || text[i] == ' ')
            fits = i;
    }
    return fits > 0 ? fits : some;
}

int pen_paragraph(cairo_t *cr, double x, double y, double width, double leading, int most_lines,
                  bool draw, const char *text) {
    char clean[1200], line[512];
    pc_text_clean(text, clean, sizeof clean);
    int lines = 0;
    for (const char *at = clean; *at != '\0' && lines < most_lines; lines++) {
        size_t fits = line_length(cr, at, width);
        bool cut = lines + 1 == most_lines && at[fits] != '\0';
        fits -= cut && fits > 4 && ((unsigned char)at[fits - 4] & 0xC0) != 0x80 ? 4 : 0;
        snprintf(line, sizeof line, "%.*s%s", (int)fits, at, cut ? " ..." : "");
        if (draw)
            pen_text(cr, x, y + leading * lines, LEFT, line);
        at += fits;
        while (*at == ' ')
            at++;
    }
    return lines;
}

void pen_line(cairo_t *cr, double x0, double y0, double x1, double y1, double width) {
    cairo_set_line_width(cr, width);
    cairo_move_to(cr, x0, y0);
    cairo_line_to(cr, x1, y1);
    cairo_stroke(cr);
}

void pen_clip(cairo_t *cr, box where) {
    cairo_save(cr);
    cairo_rectangle(cr, where.x, where.y, where.w, where.h);
    cairo_clip(cr);
}

void pen_frame(cairo_t *cr, box where, double width) {
    cairo_set_line_width(cr, width);
    cairo_rectangle(cr, where.x, where.y, where.w, where.h);
    cairo_stroke(cr);
}

void pen_hatch(cairo_t *cr, box where, ink color, int hatch) {
    if (!(where.w > 0.0 && where.h > 0.0))
        return;
    cairo_save(cr);
    cairo_rectangle(cr, where.x, where.y, where.w, where.h);
    cairo_clip_preserve(cr);
    const double *c = rgb[color], tint = hatch == 0 ? 0.0 : 0.62;
    cairo_set_source_rgb(cr, c[0] + (1 - c[0]) * tint, c[1] + (1 - c[1]) * tint,
                         c[2] + (1 - c[2]) * tint);
    cairo_fill(cr);
    pen_ink(cr, color);
    double reach = where.h + where.w;
    for (double d = 0.0; d < reach && hatch > 0; d += 3.5) {
        if (hatch == 1)
            pen_line(cr, where.x + d - where.h, where.y + where.h, where.x + d, where.y, 0.7);
        else if (hatch == 2)
            pen_line(cr, where.x + d - where.h, where.y, where.x + d, where.y + where.h, 0.7);
        else if (hatch == 3)
            pen_line(cr, where.x + d, where.y, where.x + d, where.y + where.h, 0.7);
        else
            pen_line(cr, where.x, where.y + d, where.x + where.w, where.y + d, 0.7);
    }
    cairo_restore(cr);
}

double sheet_in_degrees(const sheet_page *sheet, double T_K) {
    return pc_in_degrees(sheet->piece->units, T_K);
}

double sheet_in_length(const sheet_page *sheet, double length_m) {
    return sheet->piece->units == PC_US ? length_m / 0.0254 : length_m * 1e3;
}

void sheet_temperature(const sheet_page *sheet, double T_K, char *buffer, size_t size) {
    snprintf(buffer, size, "%s", pc_say_degrees(sheet->piece->units, T_K).s);
}

void sheet_length(const sheet_page *sheet, double length_m, char *buffer, size_t size) {
    snprintf(buffer, size, "%s", pc_say_length(sheet->piece->units, length_m).s);
}

void sheet_clock(const sheet_page *sheet, double time_s, bool seconds, char *buffer, size_t size) {
    int style = seconds ? PC_CLOCK_NEAREST : PC_CLOCK_MINUTE;
    snprintf(buffer, size, "%s", pc_say_clock(sheet->schedule->start_clock_s, time_s, style).s);
}
