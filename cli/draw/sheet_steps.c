/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of steps. Letters stay at reading size: rows close up as far as it allows, and what the
 * first page has no room for goes on the next, a layer not torn apart where it can be helped. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "draw/sheet_pen.h"
#include "pourclock.h"
#include "print/step_pieces.h"

#define ROW_BEST_PT  23.0
#define ROW_LEAST_PT 16.6 /* holds letters of SHEET_READ_PT */
#define HEAD_PT      13.0
#define HOLDS_PT     16.0 /* how it is turned by hand */
#define GRAPHS_BEST  218.0
#define GRAPHS_LEAST 118.0
#define LEFT_W       29.0 /* color and tick */
#define CLOCK_W      81.0
#define AFTER_W      38.0
#define WORD_W       67.0
#define LIMIT_W      112.0
#define ACTUAL_W     54.0

typedef struct step_row {
    double at_s;
    const char *word;
    char what[256];
    char limit[48]; /* boxed; "" none */
    char of[96];    /* in its place, small: which batch it is; "" none */
    char also[96];  /* under it: the batch in other measures; "" none */
    bool masses;    /* what to weigh: larger letters */
    bool opens_group;
    size_t color; /* of the layer, counted over the whole schedule */
    bool has_layer;
} step_row;

static const pc_layer *layer_of(const pc_schedule *plan, size_t part, int number) {
    if (part >= plan->part_count)
        return NULL;
    for (size_t j = 0; j < plan->part[part]->layer_count; j++)
        if (plan->part[part]->layer[j]->number == number)
            return plan->part[part]->layer[j];
    return NULL;
}

static size_t color_of(const pc_schedule *plan, size_t part, int number) {
    size_t index = 0;
    for (size_t p = 0; p < part && p < plan->part_count; p++)
        index += plan->part[p]->layer_count;
    return index + (number > 0 ? (size_t)number - 1 : 0);
}

static double early(double early_s, double nominal_s) {
    return isfinite(early_s) ? early_s : nominal_s;
}

static double deadline_of(const pc_schedule *plan, const pc_step *step) {
    return pc_pour_deadline(plan->part[step->part], (size_t)step->layer - 1);
}

static void say_pair(char *text, size_t size, const char *before, pc_words a, pc_words b) {
    size_t used = strlen(text);
    snprintf(text + used, size - used, "%s%s%s + %s", used > 0 ? "; " : "", before, a.s, b.s);
}

/* One cup of a batch: what to weigh, and beside it in ounces, or by volume where the resin is mixed
 * so. */
static void say_cup(const sheet_page *sheet, const pc_step *step, const pc_layer *layer,
                    step_row *row) {
    const pc_resin *resin = pc_piece_resin(sheet->piece, step->part, step->layer);
    pc_units units = sheet->piece->units;
    int n = layer->cups > 1 ? layer->cups : 1;
    double a_kg = layer->part_a_kg / n, b_kg = layer->part_b_kg / n;
    snprintf(row->what, sizeof row->what, "A %s + B %s%s%s", pc_say_mass(a_kg).s,
             pc_say_mass(b_kg).s, layer->filler_kg > 0.0 ? " + filler " : "",
             layer->filler_kg > 0.0 ? pc_say_mass(layer->filler_kg / n).s : "");
    if (n > 1)
        snprintf(row->also, sizeof row->also, "each of %d cups", n);
    if (units == PC_US)
        say_pair(row->also, sizeof row->also, "", pc_say_ounces(a_kg), pc_say_ounces(b_kg));
    if (resin->by_volume)
        say_pair(row->also, sizeof row->also, "",
                 pc_say_volume(units, a_kg / resin->density_a_kg_m3),
                 pc_say_volume(units, b_kg / resin->density_b_kg_m3));
}

static void say_layer(const pc_schedule *plan, size_t part, int number, char *text, size_t size) {
    const pc_part_plan *in = plan->part[part];
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
        snprintf(row->what, sizeof row->what, "pour out, into an empty cup; leave it hole down");
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
    const pc_part_plan *part = sheet->schedule->part[step->part];
    bool turned = part->kind == PC_HOLLOW && layer->method == PC_COAT_TURN;
    snprintf(row->what, sizeof row->what, "gelled: test with a gloved finger");
    if ((size_t)layer->number == part->layer_count)
        return;
    snprintf(row->what, sizeof row->what,
             turned ? "unplug; next layer must be in" : "gelled; next pour must be in");
    say_limit(sheet, "by", floor(pc_bond_deadline(layer)), row->limit, sizeof row->limit);
}

/* The part, or all parts of its mold: as the step's own words name them. */
static void say_demolded(const pc_step *step, const char *name, char *text, size_t size) {
    static const char head[] = "Demold ", tail[] = ", not before";
    size_t length = strlen(step->text), from = sizeof head - 1, cut = sizeof tail - 1;
    size_t whole = length > from ? strcspn(step->text + from, ":") : 0;
    if (length <= from + cut || strncmp(step->text, head, from) != 0)
        snprintf(text, size, "%s", name);
    else if (whole < length - from - cut) /* a row has no room for the names of all its parts */
        snprintf(text, size, "%.*s, all of it", (int)whole, step->text + from);
    else
        snprintf(text, size, "%.*s", (int)(length - from - cut), step->text + from);
}

static void fill_row(const sheet_page *sheet, const pc_step *step, step_row *row) {
    const pc_schedule *plan = sheet->schedule;
    const pc_layer *layer = layer_of(plan, step->part, step->layer);
    row->at_s = pc_step_second(step);
    row->color = color_of(plan, step->part, step->layer);
    row->has_layer = layer != NULL;
    const char *name = step->part < plan->part_count ? plan->part[step->part]->name : "";
    switch (step->kind) {
    case PC_STEP_SET:
        row->word = "SET";
        row->opens_group = true;
        snprintf(row->what, sizeof row->what, "%s",
                 step->text + (strncmp(step->text, "Set ", 4) == 0 ? 4 : 0));
        break;
    case PC_STEP_MIX:
        row->word = "MIX";
        row->masses = row->opens_group = true;
        if (layer == NULL)
            break;
        say_cup(sheet, step, layer, row);
        say_layer(plan, step->part, step->layer, row->of, sizeof row->of);
        break;
    case PC_STEP_BRUSH:
    case PC_STEP_POUR:
        row->word = step->kind == PC_STEP_BRUSH ? "BRUSH" : "POUR";
        if (layer == NULL)
            break;
        say_layer(plan, step->part, step->layer, row->what, sizeof row->what);
        say_limit(sheet, "by", floor(deadline_of(sheet->schedule, step)), row->limit,
                  sizeof row->limit);
        break;
    case PC_STEP_TURN:
        row->word = "TURN";
        if (layer != NULL && layer->method == PC_COAT_DRAIN)
            fill_drain(sheet, layer, row);
        else if (layer != NULL)
            fill_turn(sheet, layer, row);
        break;
    case PC_STEP_STOP:
        row->word = "STOP";
        if (layer == NULL)
            break;
        fill_stop(sheet, step, layer, row);
        break;
    case PC_STEP_WAIT:
        row->word = "WAIT";
        snprintf(row->what, sizeof row->what, "%s", step->text);
        break;
    case PC_STEP_DEMOLD:
        row->word = "DEMOLD";
        row->opens_group = true;
        say_demolded(step, name, row->what, sizeof row->what);
        row->at_s = ceil(step->at_s / 60.0) * 60.0;
        snprintf(row->limit, sizeof row->limit, "not before");
        break;
    }
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

/* Since the first mix: for a start that is late. */
static void draw_after(cairo_t *cr, double x, double base, double size_pt, double at_s) {
    char text[32];
    int s = (int)fmin(fmax(round(at_s), 0.0), 1e8);
    if (s < 3600)
        snprintf(text, sizeof text, "%d:%02d", s / 60, s % 60);
    else
        snprintf(text, sizeof text, "%d:%02d:%02d", s / 3600, s / 60 % 60, s % 60);
    pen_fit(cr, x, base, AFTER_W - 5.0, LEFT, fmin(10.0, size_pt * 0.7), 5.0, false, text);
}

/* Which batch it is, and the batch in other measures, in the place of a limit. */
static void draw_of(cairo_t *cr, const step_row *row, box where) {
    bool two = row->also[0] != '\0';
    double middle = where.y + where.h / 2.0;
    pen_fit(cr, where.x, two ? middle - 1.2 : middle + 3.2, where.w, LEFT, 8.8, 5.0, false,
            row->of);
    if (two)
        pen_fit(cr, where.x, middle + 7.2, where.w, LEFT, 8.0, 5.0, false, row->also);
}

static void draw_row(cairo_t *cr, const sheet_page *sheet, const step_row *row, box where,
                     double size_pt) {
    double base = where.y + where.h / 2.0 + size_pt * 0.36, x = where.x, tick = 13.0;
    if (row->has_layer)
        pen_hatch(cr, (box){x, where.y, 6.0, where.h}, pen_layer_ink(row->color),
                  (int)(row->color % 5));
    pen_ink(cr, INK_BLACK);
    pen_frame(cr, (box){x + 10.0, where.y + (where.h - tick) / 2.0, tick, tick}, 1.1);
    x += LEFT_W;
    draw_clock(cr, sheet, x, base, size_pt, CLOCK_W, row->at_s);
    x += CLOCK_W;
    draw_after(cr, x, base, size_pt, row->at_s);
    x += AFTER_W;
    pen_fit(cr, x, base, WORD_W - 5.0, LEFT, size_pt, size_pt * 0.55, true, row->word);
    x += WORD_W;
    double right = where.x + where.w - ACTUAL_W;
    bool beside = row->limit[0] != '\0' || row->of[0] != '\0';
    double what_pt = row->masses ? size_pt : fmin(size_pt, 11.0);
    double what_w = right - x - (beside ? LIMIT_W : 0.0) - 8.0;
    pen_fit(cr, x, base, what_w, LEFT, what_pt, what_pt * 0.5, row->masses, row->what);
    box limit = {right - LIMIT_W - 4.0, where.y, LIMIT_W, where.h};
    if (row->limit[0] != '\0')
        draw_limit(cr, limit, size_pt * 0.92, row->limit);
    else if (row->of[0] != '\0')
        draw_of(cr, row, limit);
    pen_ink(cr, INK_BLACK);
    pen_line(cr, right + 4.0, base + 1.5, where.x + where.w, base + 1.5, 0.5);
}

static void draw_heads(cairo_t *cr, box where) {
    double base = where.y + HEAD_PT - 4.0, x = where.x + LEFT_W;
    pen_font(cr, 8.0, false);
    pen_ink(cr, INK_BLACK);
    pen_text(cr, x, base, LEFT, "clock");
    pen_text(cr, x + CLOCK_W, base, LEFT, "elapsed");
    pen_text(cr, x + CLOCK_W + AFTER_W, base, LEFT, "do");
    pen_text(cr, where.x + where.w - ACTUAL_W - LIMIT_W / 2.0 - 4.0, base, MIDDLE, "limit");
    pen_text(cr, where.x + where.w, base, RIGHT, "actual");
    pen_line(cr, where.x, where.y + HEAD_PT - 0.5, where.x + where.w, where.y + HEAD_PT - 0.5, 1.0);
}

static const char *face_word(const pc_tilt *tilt) {
    static const char *const word[3][2] = {{"left", "right"}, {"front", "back"}, {"down", "up"}};
    for (int axis = 0; axis < 3; axis++)
        if (fabs(tilt->up[axis]) > 0.99)
            return word[axis][tilt->up[axis] > 0.0];
    return "aslant";
}

/* How hands turn the mold: which side is up, and for how long. */
static void say_holds(const pc_turning *turning, char *text, size_t size) {
    snprintf(text, size, "Turn by hand, up in turn:");
    for (size_t i = 0; i < turning->tilt_count; i++) {
        size_t used = strlen(text);
        snprintf(text + used, size - used, "%s %s %s", i > 0 ? "," : "",
                 face_word(&turning->tilt[i]), pc_say_duration(turning->tilt[i].hold_s).s);
    }
    size_t used = strlen(text);
    snprintf(text + used, size - used, "%s",
             turning->tilt_count > 0 ? "; and again"
                                     : " every side of a box from every side next to it, "
                                       "0.5 s each, without stopping between");
}

static double holds_height(const sheet_page *sheet) {
    bool hollow = false;
    for (size_t p = 0; p < sheet->schedule->part_count; p++)
        hollow = hollow || sheet->schedule->part[p]->kind == PC_HOLLOW;
    return hollow && sheet->piece->turning.method == PC_HAND ? HOLDS_PT : 0.0;
}

/* The first step of the page after `from`, of at most `most` rows: at the start of a layer, but not
 * by leaving more than half a page empty. */
static size_t page_end(const pc_schedule *plan, size_t from, size_t most) {
    size_t end = from + most;
    if (end >= plan->step_count)
        return plan->step_count;
    for (size_t i = end; i > from + most / 2; i--)
        if (plan->step[i]->kind == PC_STEP_MIX || plan->step[i]->kind == PC_STEP_DEMOLD)
            return i;
    return end;
}

/* Whether a page that holds so many points of steps has room for the graphs. */
static bool has_room(double height, double over, const steps_page *page) {
    return height - over - page->row_h * (double)page->count >= GRAPHS_LEAST;
}

size_t steps_pages(const sheet_page *sheet, double first_h, double later_h, steps_page *page) {
    const pc_schedule *plan = sheet->schedule;
    double over = HEAD_PT + holds_height(sheet), count = fmax((double)plan->step_count, 1.0);
    double roomy = (first_h - over - GRAPHS_BEST) / count,
           tight = (first_h - over - GRAPHS_LEAST) / count;
    double one = roomy >= ROW_LEAST_PT ? roomy : tight;
    page[0] = (steps_page){0, plan->step_count, fmin(ROW_BEST_PT, one)};
    if (one >= ROW_LEAST_PT)
        return 1;
    size_t pages = 0, from = 0;
    while (from < plan->step_count && pages + 1 < SHEET_PAGES_MOST) {
        double room = (pages > 0 ? later_h : first_h) - over;
        size_t end = page_end(plan, from, (size_t)fmax(room / ROW_LEAST_PT, 1.0));
        double row_h = fmin(ROW_BEST_PT, room / (double)(end - from));
        page[pages++] = (steps_page){from, end - from, row_h};
        from = end;
    }
    if (pages == 1 || !has_room(later_h, over, &page[pages - 1]))
        page[pages++] = (steps_page){from, 0, ROW_BEST_PT}; /* the graphs alone */
    return pages;
}

double steps_draw(cairo_t *cr, const sheet_page *sheet, const steps_page *page, box where) {
    double holds_h = holds_height(sheet), size_pt = SHEET_READ_PT * page->row_h / ROW_LEAST_PT;
    if (page->count == 0)
        return 0.0;
    if (holds_h > 0.0) {
        char text[1024];
        say_holds(&sheet->piece->turning, text, sizeof text);
        pen_ink(cr, INK_BLACK);
        pen_fit(cr, where.x, where.y + 10.5, where.w, LEFT, 10.0, 5.0, true, text);
        where.y += holds_h;
    }
    draw_heads(cr, where);
    for (size_t i = 0; i < page->count; i++) {
        step_row row = {.word = ""};
        fill_row(sheet, sheet->schedule->step[page->from + i], &row);
        box at = {where.x, where.y + HEAD_PT + page->row_h * (double)i, where.w, page->row_h};
        draw_row(cr, sheet, &row, at, fmin(17.0, size_pt));
        pen_ink(cr, row.opens_group ? INK_BLACK : INK_RULE);
        if (i > 0)
            pen_line(cr, at.x, at.y, at.x + at.w, at.y, row.opens_group ? 0.8 : 0.4);
    }
    pen_ink(cr, INK_BLACK);
    return holds_h + HEAD_PT + page->row_h * (double)page->count;
}
