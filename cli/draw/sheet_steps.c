/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of steps. It must fit the page however many there are: first the rows close up, then
 * waits go, then turning joins its pour, then a layer gets one row; only beyond that do letters
 * fall below reading size. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "draw/sheet_pen.h"
#include "pourclock.h"
#include "print/step_pieces.h"

#define ROW_BEST_PT  23.0
#define ROW_LEAST_PT 17.2 /* holds letters of SHEET_READ_PT */
#define HEAD_PT      13.0
#define GRAPHS_BEST  218.0
#define GRAPHS_LEAST 150.0
#define CLOCK_W      80.0
#define WORD_W       84.0
#define LIMIT_W      118.0
#define ACTUAL_W     64.0

typedef enum merging { MERGE_NONE, MERGE_WAITS, MERGE_TURNS, MERGE_LAYERS } merging;

typedef struct step_row {
    double at_s;
    const char *word;
    char what[256];
    char below[160]; /* a second line in small letters; "" none */
    char limit[48];  /* boxed; "" none */
    bool masses;     /* what to weigh: larger letters */
    bool opens_group;
    size_t color; /* of the layer, counted over the whole schedule */
    bool has_layer;
} step_row;

static const pc_layer *layer_of(const pc_schedule *plan, size_t part, int number) {
    if (part >= plan->part_count)
        return NULL;
    for (size_t j = 0; j < plan->part[part].layer_count; j++)
        if (plan->part[part].layer[j].number == number)
            return &plan->part[part].layer[j];
    return NULL;
}

static size_t color_of(const pc_schedule *plan, size_t part, int number) {
    size_t index = 0;
    for (size_t p = 0; p < part && p < plan->part_count; p++)
        index += plan->part[p].layer_count;
    return index + (number > 0 ? (size_t)number - 1 : 0);
}

static double early(double early_s, double nominal_s) {
    return isfinite(early_s) ? early_s : nominal_s;
}

static double deadline_of(const pc_schedule *plan, const pc_step *step) {
    return pc_pour_deadline(&plan->part[step->part], (size_t)step->layer - 1);
}

static void say_masses(const pc_layer *layer, char *text, size_t size) {
    char cups[32] = "";
    int n = layer->cups > 1 ? layer->cups : 1;
    if (n > 1)
        snprintf(cups, sizeof cups, "%d cups, each ", n);
    snprintf(text, size, "%sA %s + B %s%s%s", cups, pc_say_mass(layer->part_a_kg / n).s,
             pc_say_mass(layer->part_b_kg / n).s, layer->filler_kg > 0.0 ? " + filler " : "",
             layer->filler_kg > 0.0 ? pc_say_mass(layer->filler_kg / n).s : "");
}

static void say_layer(const pc_schedule *plan, size_t part, int number, char *text, size_t size) {
    const pc_part_plan *in = &plan->part[part];
    if (in->layer_count > 1)
        snprintf(text, size, "%s, %s %d of %zu", in->name, in->kind == PC_SOLID ? "pour" : "layer",
                 number, in->layer_count);
    else
        snprintf(text, size, "%s", in->name);
}

static void say_limit(const sheet_page *sheet, const char *before, double at_s, char *text,
                      size_t size) {
    char clock[16];
    if (!isfinite(at_s))
        return;
    sheet_clock(sheet, at_s, true, clock, sizeof clock);
    snprintf(text, size, "%s %s", before, clock);
}

static void fill_drain(const sheet_page *sheet, const pc_layer *layer, step_row *row) {
    char out[16] = "";
    if (isfinite(layer->drain_s))
        sheet_clock(sheet, floor(layer->drain_s), true, out, sizeof out);
    row->word = row->at_s > layer->pour_end_s + 0.5 ? "DRAIN" : "SWIRL";
    if (row->at_s > layer->pour_end_s + 0.5)
        snprintf(row->what, sizeof row->what, "pour out; leave it hole down");
    else if (out[0] != '\0')
        snprintf(row->what, sizeof row->what, "swirl over every face until %s", out);
    else
        snprintf(row->what, sizeof row->what, "swirl; when to pour out is not known");
}

static void fill_turn(const sheet_page *sheet, const pc_layer *layer, step_row *row) {
    double outer = sheet->piece->turning.outer_rad_s / PC_RPM;
    double inner = sheet->piece->turning.inner_rad_s / PC_RPM;
    char set[16] = "", gel[16] = "", speed[48] = "by hand";
    if (sheet->piece->turning.method == PC_MACHINE)
        snprintf(speed, sizeof speed, "%.3g and %.3g rpm", fabs(outer), fabs(inner));
    if (sheet->piece->turning.method == PC_MACHINE && outer * inner == 0.0)
        snprintf(speed, sizeof speed, "%.3g rpm, one axis", fmax(fabs(outer), fabs(inner)));
    if (row->at_s > layer->pour_end_s + 0.5) {
        snprintf(row->what, sizeof row->what, "without a break from now: the wall is setting");
    } else if (isfinite(layer->set_s) && isfinite(layer->gel_s)) {
        sheet_clock(sheet, floor(early(layer->set_early_s, layer->set_s)), false, set, sizeof set);
        sheet_clock(sheet, ceil(early(layer->gel_late_s, layer->gel_s)), false, gel, sizeof gel);
        snprintf(row->what, sizeof row->what, "plug; %s; do not stop from %s to %s", speed, set,
                 gel);
    } else {
        snprintf(row->what, sizeof row->what, "%s", speed);
    }
}

static void fill_stop(const sheet_page *sheet, const pc_step *step, const pc_layer *layer,
                      step_row *row) {
    const pc_part_plan *part = &sheet->schedule->part[step->part];
    bool turned = part->kind == PC_HOLLOW && layer->method == PC_COAT_TURN;
    snprintf(row->what, sizeof row->what, "gelled: test with a gloved finger");
    if ((size_t)layer->number == part->layer_count)
        return;
    snprintf(row->what, sizeof row->what,
             turned ? "unplug; next layer must be in" : "gelled; next pour must be in");
    say_limit(sheet, "by", floor(pc_bond_deadline(layer)), row->limit, sizeof row->limit);
}

static void fill_row(const sheet_page *sheet, const pc_step *step, merging level, step_row *row) {
    const pc_schedule *plan = sheet->schedule;
    const pc_layer *layer = layer_of(plan, step->part, step->layer);
    row->at_s = step->at_s;
    row->color = color_of(plan, step->part, step->layer);
    row->has_layer = layer != NULL;
    const char *name = step->part < plan->part_count ? plan->part[step->part].name : "";
    switch (step->kind) {
    case PC_STEP_MIX:
        row->word = "MIX";
        row->masses = row->opens_group = true;
        if (layer == NULL)
            break;
        say_masses(layer, row->what, sizeof row->what);
        break;
    case PC_STEP_BRUSH:
    case PC_STEP_POUR:
        row->word = step->kind == PC_STEP_BRUSH ? "BRUSH" : "POUR";
        if (layer == NULL)
            break;
        say_layer(plan, step->part, step->layer, row->what, sizeof row->what);
        if (level >= MERGE_TURNS && plan->part[step->part].kind == PC_HOLLOW &&
            step->kind == PC_STEP_POUR)
            row->word = "POUR, turn";
        say_limit(sheet, "by", floor(deadline_of(sheet->schedule, step)), row->limit,
                  sizeof row->limit);
        break;
    case PC_STEP_TURN:
        row->word = "TURN";
        row->at_s = step_second(step);
        if (layer != NULL && layer->method == PC_COAT_DRAIN)
            fill_drain(sheet, layer, row);
        else if (layer != NULL)
            fill_turn(sheet, layer, row);
        break;
    case PC_STEP_STOP:
        row->word = "STOP";
        row->at_s = step_second(step);
        if (layer == NULL)
            break;
        fill_stop(sheet, step, layer, row);
        break;
    case PC_STEP_WAIT:
        row->word = "WAIT";
        row->at_s = step_second(step);
        snprintf(row->what, sizeof row->what, "%s", step->text);
        if (step->text[0] == '\0' && layer != NULL)
            snprintf(row->what, sizeof row->what, "until the next mix");
        break;
    case PC_STEP_DEMOLD:
        row->word = "DEMOLD";
        row->opens_group = true;
        snprintf(row->what, sizeof row->what, "%s", name);
        row->at_s = ceil(step->at_s / 60.0) * 60.0;
        snprintf(row->limit, sizeof row->limit, "not before");
        break;
    }
}

static void fill_layer_row(const sheet_page *sheet, const pc_step *step, step_row *row) {
    const pc_layer *layer = layer_of(sheet->schedule, step->part, step->layer);
    fill_row(sheet, step, MERGE_LAYERS, row);
    if (layer == NULL)
        return;
    /* Which batch it is, and when its turning stops: to the minute, never early. */
    say_layer(sheet->schedule, step->part, step->layer, row->below, sizeof row->below);
    size_t used = strlen(row->below);
    if (sheet->schedule->part[step->part].kind == PC_HOLLOW && isfinite(layer->stop_s) &&
        layer->cup_s == 0.0) {
        char clock[16];
        sheet_clock(sheet, ceil(layer->stop_s / 60.0) * 60.0, false, clock, sizeof clock);
        snprintf(row->below + used, sizeof row->below - used, "; stop turning %s", clock);
    }
    say_limit(sheet, "in by", floor(deadline_of(sheet->schedule, step)), row->limit,
              sizeof row->limit);
}

static bool kept(const pc_step *step, merging level) {
    switch (step->kind) {
    case PC_STEP_WAIT:
        return level < MERGE_WAITS;
    case PC_STEP_TURN:
        return level < MERGE_TURNS;
    case PC_STEP_POUR:
    case PC_STEP_BRUSH:
    case PC_STEP_STOP:
        return level < MERGE_LAYERS;
    case PC_STEP_MIX:
    case PC_STEP_DEMOLD:
        return true;
    }
    return false;
}

static size_t count_rows(const sheet_page *sheet, merging level) {
    size_t count = 0;
    for (size_t i = 0; i < sheet->schedule->step_count; i++)
        count += kept(&sheet->schedule->step[i], level);
    return count;
}

static void draw_limit(cairo_t *cr, box where, double size_pt, const char *text) {
    pen_ink(cr, INK_VERMILLION);
    double inset = fmin(1.6, where.h * 0.08), line = fmin(1.5, where.h * 0.07);
    pen_frame(cr, (box){where.x, where.y + inset, where.w, where.h - 2.0 * inset}, line);
    pen_ink(cr, INK_BLACK);
    pen_fit(cr, where.x + where.w / 2.0, where.y + where.h / 2.0 + size_pt * 0.36, where.w - 6.0,
            MIDDLE, size_pt, size_pt * 0.6, true, text);
}

/* Hours and minutes large, seconds smaller beside them. */
static void draw_clock(cairo_t *cr, const sheet_page *sheet, double x, double base, double size_pt,
                       double room, double at_s) {
    char clock[32], seconds[8] = "";
    sheet_clock(sheet, at_s, true, clock, sizeof clock);
    char *colon = strrchr(clock, ':');
    if (colon) {
        snprintf(seconds, sizeof seconds, "%s", colon);
        *colon = '\0';
    }
    /* With a day before it the whole clock shrinks, so that the day can still be read. */
    double small = fmax(0.66, fmin(1.0, 10.0 / size_pt));
    pen_font(cr, size_pt, true);
    double width = pen_width(cr, clock);
    pen_font(cr, size_pt * small, false);
    double scale = fmin(1.0, (room - 3.5) / (width + pen_width(cr, seconds)));
    pen_font(cr, size_pt * scale, true);
    pen_text(cr, x, base, LEFT, clock);
    pen_font(cr, size_pt * small * scale, false);
    pen_text(cr, x + width * scale + 0.5, base, LEFT, seconds);
}

static void draw_row(cairo_t *cr, const sheet_page *sheet, const step_row *row, box where,
                     double size_pt, double word_w) {
    double base = where.y + where.h / 2.0 + size_pt * 0.36, x = where.x;
    double k = fmin(1.0, where.w / 538.0), tick = fmin(13.0, where.h * 0.62);
    if (row->has_layer) {
        pen_hatch(cr, (box){x, where.y, 6.0, where.h}, pen_layer_ink(row->color),
                  (int)(row->color % 5));
    }
    pen_ink(cr, INK_BLACK);
    pen_frame(cr, (box){x + 10.0, where.y + (where.h - tick) / 2.0, tick, tick},
              fmin(1.1, tick * 0.1));
    x += 29.0;
    draw_clock(cr, sheet, x, base, size_pt, CLOCK_W * k, row->at_s);
    x += CLOCK_W * k;
    pen_fit(cr, x, base, word_w * k - 5.0, LEFT, size_pt, size_pt * 0.55, true, row->word);
    x += word_w * k;
    double right = where.x + where.w - ACTUAL_W * k;
    double limit_w = row->limit[0] != '\0' ? LIMIT_W * k : 0.0;
    double what_pt = row->masses ? size_pt : fmin(size_pt, 11.0);
    double what_w = right - x - limit_w - 8.0, what_base = base;
    if (row->below[0] != '\0') {
        what_pt = fmin(what_pt, where.h * 0.55);
        what_base = where.y + where.h * 0.52;
        pen_fit(cr, x, where.y + where.h * 0.9, what_w, LEFT, where.h * 0.36, where.h * 0.25, false,
                row->below);
    }
    pen_fit(cr, x, what_base, what_w, LEFT, what_pt, what_pt * 0.5, row->masses, row->what);
    if (limit_w > 0.0)
        draw_limit(cr, (box){right - limit_w - 4.0, where.y, limit_w, where.h}, size_pt * 0.92,
                   row->limit);
    pen_ink(cr, INK_BLACK);
    pen_line(cr, right + 4.0, base + 1.5, where.x + where.w, base + 1.5, fmin(0.5, where.h * 0.04));
}

static void draw_heads(cairo_t *cr, box where) {
    double k = fmin(1.0, where.w / 538.0), base = where.y + HEAD_PT - 4.0;
    pen_font(cr, 8.0, false);
    pen_ink(cr, INK_BLACK);
    pen_text(cr, where.x + 29.0, base, LEFT, "clock");
    pen_text(cr, where.x + 29.0 + CLOCK_W * k, base, LEFT, "do");
    pen_text(cr, where.x + where.w - ACTUAL_W * k - LIMIT_W * k / 2.0 - 4.0, base, MIDDLE, "limit");
    pen_text(cr, where.x + where.w, base, RIGHT, "actual");
    pen_line(cr, where.x, where.y + HEAD_PT - 0.5, where.x + where.w, where.y + HEAD_PT - 0.5, 1.0);
}

/* How the rows share the box. */
typedef struct fitting {
    merging level;
    int columns;
    double row_h, size_pt;
} fitting;

static fitting choose_fit(const sheet_page *sheet, double height) {
    fitting fit = {MERGE_LAYERS, 1, 0.0, SHEET_READ_PT};
    for (int level = MERGE_NONE; level <= MERGE_LAYERS; level++) {
        double rows = (double)count_rows(sheet, (merging)level);
        for (int roomy = 1; roomy >= 0; roomy--) {
            double room = height - HEAD_PT - (roomy ? GRAPHS_BEST : GRAPHS_LEAST);
            fit.row_h = fmin(ROW_BEST_PT, room / fmax(rows, 1.0));
            fit.level = (merging)level;
            if (fit.row_h >= ROW_LEAST_PT) {
                fit.size_pt = fmin(17.0, SHEET_READ_PT * fit.row_h / ROW_LEAST_PT);
                return fit;
            }
        }
    }
    /* A row a layer is still too much: less room for graphs, two columns, small letters. */
    double rows = (double)count_rows(sheet, MERGE_LAYERS), room = height - HEAD_PT - 90.0;
    fit.columns = room / rows < ROW_LEAST_PT * 0.8 ? 2 : 1;
    fit.row_h = fmin(ROW_LEAST_PT, room / ceil(rows / fit.columns));
    fit.size_pt = SHEET_READ_PT * fit.row_h / ROW_LEAST_PT;
    return fit;
}

double steps_draw(cairo_t *cr, const sheet_page *sheet, box where) {
    fitting fit = choose_fit(sheet, where.h);
    size_t rows = count_rows(sheet, fit.level), column_rows = rows;
    double gap = 12.0, column_w = where.w;
    if (fit.columns == 2) {
        column_rows = (rows + 1) / 2;
        column_w = (where.w - gap) / 2.0;
    }
    size_t drawn = 0;
    for (size_t i = 0; i < sheet->schedule->step_count; i++) {
        const pc_step *step = &sheet->schedule->step[i];
        if (!kept(step, fit.level))
            continue;
        step_row row = {.word = ""};
        if (fit.level == MERGE_LAYERS && step->kind == PC_STEP_MIX)
            fill_layer_row(sheet, step, &row);
        else
            fill_row(sheet, step, fit.level, &row);
        size_t column = drawn / column_rows, line = drawn % column_rows;
        box column_box = {where.x + (column_w + gap) * (double)column, where.y, column_w, where.h};
        if (line == 0)
            draw_heads(cr, column_box);
        box at = {column_box.x, where.y + HEAD_PT + fit.row_h * (double)line, column_w, fit.row_h};
        draw_row(cr, sheet, &row, at, fit.size_pt, fit.level == MERGE_LAYERS ? 56.0 : WORD_W);
        pen_ink(cr, row.opens_group ? INK_BLACK : INK_GREY);
        if (line > 0)
            pen_line(cr, at.x, at.y, at.x + at.w, at.y,
                     fmin(row.opens_group ? 0.8 : 0.4, fit.row_h * 0.04));
        drawn++;
    }
    pen_ink(cr, INK_BLACK);
    return HEAD_PT + fit.row_h * (double)column_rows;
}
