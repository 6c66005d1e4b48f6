/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of steps. Letters stay at reading size: rows close up as far as it allows, a sentence
 * takes as many of them as it has lines, and what the first page has no room for goes on the next,
 * a layer not torn apart where it can be helped. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "draw/sheet_pen.h"
#include "pourclock.h"
#include "print/step_pieces.h"

#define ROW_BEST_PT  23.0
#define ROW_LEAST_PT 16.2 /* holds letters of SHEET_READ_PT */
#define HEAD_PT      13.0
#define HOLDS_PT     16.0 /* how it is turned by hand */
#define GRAPHS_BEST  218.0
#define GRAPHS_LEAST 110.0
#define LEFT_W       29.0 /* color and tick */
#define CLOCK_W      81.0
#define AFTER_W      38.0
#define WORD_W       67.0
#define LIMIT_W      112.0
#define ACTUAL_W     54.0
#define WORDS_PT     11.0 /* words, not masses */
#define WORDS_LEAST  8.8  /* before a sentence is broken into lines */
#define LINES_PT     10.0
#define LEADING_PT   10.8
#define LINES_MOST   8

typedef struct step_row {
    double at_s;
    char word[12];
    char what[256];
    char more[48];  /* on a line of its own under what is weighed; "" none */
    char limit[48]; /* boxed; "" none */
    char of[96];    /* in its place, small: which batch it is; "" none */
    char also[96];  /* under it: the batch in other measures; "" none */
    bool masses;    /* what to weigh: larger letters */
    bool opens_group;
    size_t color; /* of the layer, counted over the whole schedule */
    bool has_layer;
} step_row;

bool sheet_turns(const pc_schedule *plan) {
    for (size_t p = 0; p < plan->part_count; p++)
        for (size_t j = 0; j < plan->part[p]->layer_count; j++)
            if (plan->part[p]->kind == PC_HOLLOW && plan->part[p]->layer[j]->method == PC_COAT_TURN)
                return true;
    return false;
}

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
    snprintf(row->what, sizeof row->what, "A %s + B %s", pc_say_mass(a_kg).s, pc_say_mass(b_kg).s);
    if (layer->filler_kg > 0.0)
        snprintf(row->more, sizeof row->more, "+ filler %s", pc_say_mass(layer->filler_kg / n).s);
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
    if (row->at_s > layer->pour_end_s + 0.5)
        snprintf(row->what, sizeof row->what, "pour out, into an empty cup; leave it hole down");
    else if (out[0] != '\0')
        snprintf(row->what, sizeof row->what, "swirl over every face until %s", out);
    else
        snprintf(row->what, sizeof row->what, "swirl; when to pour out is not known");
}

static void say_speed(const pc_turning *turning, char *text, size_t size) {
    double outer = turning->outer_rad_s / PC_RPM, inner = turning->inner_rad_s / PC_RPM;
    if (turning->method != PC_MACHINE)
        snprintf(text, size, "by hand");
    else if (outer * inner == 0.0)
        snprintf(text, size, "%.3g rpm, one axis", fmax(fabs(outer), fabs(inner)));
    else
        snprintf(text, size, "%.3g and %.3g rpm", fabs(outer), fabs(inner));
}

static void fill_turn(const sheet_page *sheet, const pc_step *step, const pc_layer *layer,
                      step_row *row) {
    char set[16] = "", gel[16] = "", speed[48];
    const char *plug = sheet->piece->part[step->part].open ? "tilt it" : "plug";
    double set_s = early(layer->set_early_s, layer->set_s);
    say_speed(&sheet->piece->turning, speed, sizeof speed);
    sheet_clock(sheet, ceil(early(layer->gel_late_s, layer->gel_s)), false, gel, sizeof gel);
    if (row->at_s > layer->pour_end_s + 0.5) {
        snprintf(row->what, sizeof row->what, "do not stop turning until %s: the wall is setting",
                 gel);
    } else if (isfinite(set_s) && isfinite(layer->gel_s)) {
        sheet_clock(sheet, floor(set_s), false, set, sizeof set);
        snprintf(row->what, sizeof row->what, "%s; %s; do not stop from %s to %s", plug, speed, set,
                 gel);
    } else {
        snprintf(row->what, sizeof row->what, "%s; %s", plug, speed);
    }
}

/* The part poured next into the mold of one; part_count: none. */
static size_t part_above(const pc_schedule *plan, size_t part) {
    size_t i = 0;
    while (i < plan->part_count && plan->part[i]->on_part != (int)part + 1)
        i++;
    return i;
}

/* What is done with a layer that has gelled, and until when it bonds by itself. */
static void fill_stop(const sheet_page *sheet, const pc_step *step, const pc_layer *layer,
                      step_row *row) {
    const pc_schedule *plan = sheet->schedule;
    size_t part = step->part, index = (size_t)layer->number;
    double bonds_s = pc_bond_deadline(layer);
    const char *next = "next layer";
    bool turned = strcmp(pc_step_said(plan, step), "stop") == 0;
    snprintf(row->what, sizeof row->what, "gelled: test with a gloved finger");
    if (index == plan->part[part]->layer_count) {
        index = 0;
        part = part_above(plan, part);
        if (part == plan->part_count)
            return;
        next = plan->part[part]->name;
        bonds_s = plan->part[part]->bond_by_s;
    }
    const char *what = turned ? "unplug" : "gelled";
    if (bonds_s < plan->part[part]->layer[index]->pour_end_s) {
        snprintf(row->what, sizeof row->what, "%s; too late to bond without help: %s", what,
                 pc_missed_bond(sheet->piece, plan, part, index));
        return;
    }
    snprintf(row->what, sizeof row->what, "%s; %.60s bonds", what, next);
    say_limit(sheet, "until", floor(bonds_s), row->limit, sizeof row->limit);
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

static void say_word(const pc_schedule *plan, const pc_step *step, char *text, size_t size) {
    snprintf(text, size, "%s", pc_step_said(plan, step));
    for (char *at = text; *at != '\0'; at++)
        *at = (char)(*at - 'a' + 'A'); /* its words are small letters alone */
}

static void fill_row(const sheet_page *sheet, const pc_step *step, step_row *row) {
    const pc_schedule *plan = sheet->schedule;
    const pc_layer *layer = layer_of(plan, step->part, step->layer);
    row->at_s = pc_step_second(step);
    row->color = color_of(plan, step->part, step->layer);
    row->has_layer = layer != NULL;
    const char *name = step->part < plan->part_count ? plan->part[step->part]->name : "";
    say_word(plan, step, row->word, sizeof row->word);
    row->opens_group =
        step->kind == PC_STEP_SET || step->kind == PC_STEP_MIX || step->kind == PC_STEP_DEMOLD;
    row->masses = step->kind == PC_STEP_MIX;
    switch (step->kind) {
    case PC_STEP_SET:
        snprintf(row->what, sizeof row->what, "%s",
                 step->text + (strncmp(step->text, "Set ", 4) == 0 ? 4 : 0));
        break;
    case PC_STEP_MIX:
        if (layer == NULL)
            break;
        say_cup(sheet, step, layer, row);
        say_layer(plan, step->part, step->layer, row->of, sizeof row->of);
        break;
    case PC_STEP_BRUSH:
    case PC_STEP_POUR:
        if (layer == NULL)
            break;
        say_layer(plan, step->part, step->layer, row->what, sizeof row->what);
        say_limit(sheet, "by", floor(deadline_of(sheet->schedule, step)), row->limit,
                  sizeof row->limit);
        break;
    case PC_STEP_TURN:
        if (layer != NULL && layer->method == PC_COAT_DRAIN)
            fill_drain(sheet, layer, row);
        else if (layer != NULL)
            fill_turn(sheet, step, layer, row);
        break;
    case PC_STEP_STOP:
        if (layer != NULL)
            fill_stop(sheet, step, layer, row);
        break;
    case PC_STEP_WAIT:
        snprintf(row->what, sizeof row->what, "%s", step->text);
        break;
    case PC_STEP_DEMOLD:
        say_demolded(step, name, row->what, sizeof row->what);
        row->at_s = ceil(step->at_s / 60.0) * 60.0;
        snprintf(row->limit, sizeof row->limit, "not before");
        break;
    }
}

static double room_for_words(const step_row *row) {
    double beside = row->limit[0] != '\0' || row->of[0] != '\0' ? LIMIT_W : 0.0;
    return SHEET_WIDTH_PT - 2.0 * SHEET_MARGIN_PT - LEFT_W - CLOCK_W - AFTER_W - WORD_W - ACTUAL_W -
           beside - 8.0;
}

/* Lines of words that would be too small on one; 1: they fit. */
static int lines_of(cairo_t *cr, const step_row *row) {
    char clean[sizeof row->what];
    double width = room_for_words(row);
    if (row->masses)
        return 1;
    pc_text_clean(row->what, clean, sizeof clean);
    pen_font(cr, WORDS_PT, false);
    if (pen_width(cr, clean) * WORDS_LEAST / WORDS_PT <= width)
        return 1;
    pen_font(cr, LINES_PT, false);
    return pen_paragraph(cr, 0, 0, width, LEADING_PT, LINES_MOST, false, row->what);
}

/* Rows that a step takes. */
static size_t rows_of(cairo_t *cr, const sheet_page *sheet, const pc_step *step) {
    step_row row = {.at_s = 0.0};
    fill_row(sheet, step, &row);
    if (row.more[0] != '\0')
        return 2;
    return (size_t)ceil(lines_of(cr, &row) * LEADING_PT / ROW_LEAST_PT - 1e-9);
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

/* What is weighed, in large letters; or words, on one line or on as many as they need. */
static void draw_what(cairo_t *cr, const step_row *row, box where, double row_h, double size_pt) {
    double base = where.y + row_h / 2.0 + size_pt * 0.36;
    double width = room_for_words(row), pt = row->masses ? size_pt : fmin(size_pt, WORDS_PT);
    int lines = lines_of(cr, row);
    if (lines == 1) {
        pen_fit(cr, where.x, base, width, LEFT, pt, pt * 0.5, row->masses, row->what);
        if (row->more[0] != '\0')
            pen_fit(cr, where.x, base + row_h, width, LEFT, pt, pt * 0.5, true, row->more);
        return;
    }
    pen_font(cr, LINES_PT, false);
    double spare = where.h - lines * LEADING_PT;
    pen_paragraph(cr, where.x, where.y + spare / 2.0 + LEADING_PT * 0.8, width, LEADING_PT,
                  LINES_MOST, true, row->what);
}

/* In a row of several heights the clock stands on the first. */
static void draw_row(cairo_t *cr, const sheet_page *sheet, const step_row *row, box where,
                     double row_h, double size_pt) {
    double base = where.y + row_h / 2.0 + size_pt * 0.36, x = where.x, tick = 13.0;
    if (row->has_layer)
        pen_hatch(cr, (box){x, where.y, 6.0, where.h}, pen_layer_ink(row->color),
                  (int)(row->color % 5));
    pen_ink(cr, INK_BLACK);
    pen_frame(cr, (box){x + 10.0, where.y + (row_h - tick) / 2.0, tick, tick}, 1.1);
    x += LEFT_W;
    draw_clock(cr, sheet, x, base, size_pt, CLOCK_W, row->at_s);
    x += CLOCK_W;
    draw_after(cr, x, base, size_pt, row->at_s);
    x += AFTER_W;
    pen_fit(cr, x, base, WORD_W - 5.0, LEFT, size_pt, size_pt * 0.55, true, row->word);
    x += WORD_W;
    double right = where.x + where.w - ACTUAL_W;
    draw_what(cr, row, (box){x, where.y, right - x, where.h}, row_h, size_pt);
    box limit = {right - LIMIT_W - 4.0, where.y, LIMIT_W, row_h};
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
    return sheet_turns(sheet->schedule) && sheet->piece->turning.method == PC_HAND ? HOLDS_PT : 0.0;
}

/* The first step of the page after `from`, of at most `most` rows, which are counted: at the start
 * of a layer, but not by leaving more than half a page empty. */
static size_t page_end(cairo_t *cr, const sheet_page *sheet, size_t from, size_t most,
                       size_t *rows) {
    const pc_schedule *plan = sheet->schedule;
    size_t whole = from, whole_rows = 0, end = from;
    for (*rows = 0; end < plan->step_count; end++) {
        pc_step_kind kind = plan->step[end]->kind;
        size_t more = rows_of(cr, sheet, plan->step[end]);
        if (*rows > most / 2 && (kind == PC_STEP_MIX || kind == PC_STEP_DEMOLD)) {
            whole = end;
            whole_rows = *rows;
        }
        if (end > from && *rows + more > most)
            break;
        *rows += more;
    }
    if (end == plan->step_count || whole == from)
        return end;
    *rows = whole_rows;
    return whole;
}

/* Whether a page that holds so many points of steps has room for the graphs. */
static bool has_room(double height, double over, const steps_page *page) {
    return height - over - page->row_h * (double)page->rows >= GRAPHS_LEAST;
}

size_t steps_pages(cairo_t *cr, const sheet_page *sheet, double first_h, double later_h,
                   steps_page *page) {
    const pc_schedule *plan = sheet->schedule;
    size_t all = 0;
    for (size_t i = 0; i < plan->step_count; i++)
        all += rows_of(cr, sheet, plan->step[i]);
    double over = HEAD_PT + holds_height(sheet), rows = fmax((double)all, 1.0);
    double roomy = (first_h - over - GRAPHS_BEST) / rows,
           tight = (first_h - over - GRAPHS_LEAST) / rows;
    double one = roomy >= ROW_LEAST_PT ? roomy : tight;
    page[0] = (steps_page){0, plan->step_count, all, fmin(ROW_BEST_PT, one)};
    if (one >= ROW_LEAST_PT)
        return 1;
    size_t pages = 0, from = 0;
    while (from < plan->step_count && pages + 1 < SHEET_PAGES_MOST) {
        double room = (pages > 0 ? later_h : first_h) - over;
        size_t taken,
            end = page_end(cr, sheet, from, (size_t)fmax(room / ROW_LEAST_PT, 1.0), &taken);
        double row_h = fmin(ROW_BEST_PT, room / fmax((double)taken, 1.0));
        page[pages++] = (steps_page){from, end - from, taken, row_h};
        from = end;
    }
    if (pages == 1 || !has_room(later_h, over, &page[pages - 1]))
        page[pages++] = (steps_page){from, 0, 0, ROW_BEST_PT}; /* the graphs alone */
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
    box at = {where.x, where.y + HEAD_PT, where.w, 0.0};
    for (size_t i = 0; i < page->count; i++) {
        const pc_step *step = sheet->schedule->step[page->from + i];
        step_row row = {.at_s = 0.0};
        fill_row(sheet, step, &row);
        at.y += at.h;
        at.h = page->row_h * (double)rows_of(cr, sheet, step);
        draw_row(cr, sheet, &row, at, page->row_h, fmin(17.0, size_pt));
        pen_ink(cr, row.opens_group ? INK_BLACK : INK_RULE);
        if (i > 0)
            pen_line(cr, at.x, at.y, at.x + at.w, at.y, row.opens_group ? 0.8 : 0.4);
    }
    pen_ink(cr, INK_BLACK);
    return holds_h + HEAD_PT + page->row_h * (double)page->rows;
}
