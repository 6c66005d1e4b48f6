/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "draw/warm_picture.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "draw/marks.h"
#include "draw/picture.h"
#include "draw/sheet_pen.h"
#include "print/message.h"

enum {
    ROOMS_MOST = 3,
    STEPS = 10,
    SIDE_MOST = STEPS * (PC_WARM_SIDE_MOST - 1) + 1,
    LEVELS_MOST = 9
};

struct shown {
    const pc_piece *piece;
    const pc_warm_grid *grid;
    const pc_warm *warm;
    size_t level_count;
    double level_s[LEVELS_MOST];
};

/* Times between the tried temperatures, in STEPS parts of each step; NaN where a limit is missed.
 */
struct field {
    size_t nx, ny;
    double time_s[SIDE_MOST][SIDE_MOST];
};

static const pc_warm_cell *cell_at(const struct shown *s, size_t room, size_t m, size_t r) {
    return &s->warm->cell[(room * s->grid->mold_count + m) * s->grid->resin_count + r];
}

/* Between the corners that hold, where the nearest corner does. */
static double time_between(const struct shown *s, size_t room, double x, double y) {
    size_t r = (size_t)fmin(x, (double)(s->grid->resin_count - 2));
    size_t m = (size_t)fmin(y, (double)(s->grid->mold_count - 2));
    double u = x - (double)r, v = y - (double)m, sum = 0.0, weights = 0.0;
    if (!cell_at(s, room, m + (v > 0.5), r + (u > 0.5))->feasible)
        return NAN;
    for (size_t k = 0; k < 4; k++) {
        const pc_warm_cell *c = cell_at(s, room, m + k / 2, r + k % 2);
        double weight = (k % 2 ? u : 1.0 - u) * (k / 2 ? v : 1.0 - v);
        if (!c->feasible)
            continue;
        sum += weight * c->demold_s;
        weights += weight;
    }
    return weights > 0.0 ? sum / weights : NAN;
}

static void fill_field(const struct shown *s, size_t room, struct field *f) {
    f->nx = STEPS * (s->grid->resin_count - 1) + 1;
    f->ny = STEPS * (s->grid->mold_count - 1) + 1;
    for (size_t j = 0; j < f->ny; j++)
        for (size_t i = 0; i < f->nx; i++)
            f->time_s[j][i] = time_between(s, room, (double)i / STEPS, (double)j / STEPS);
}

/* Round times between the soonest and the latest of all that holds. */
static void choose_levels(struct shown *s) {
    static const double step_s[] = {60,   120,   300,   600,   900,      1800,   3600,
                                    7200, 10800, 21600, 43200, PC_DAY_S, 172800, 604800};
    double least = INFINITY, most = -INFINITY;
    for (size_t i = 0; i < s->warm->count; i++) {
        if (!s->warm->cell[i].feasible)
            continue;
        least = fmin(least, s->warm->cell[i].demold_s);
        most = fmax(most, s->warm->cell[i].demold_s);
    }
    size_t k = 0, last = sizeof step_s / sizeof step_s[0] - 1;
    while (k < last && (most - least) / step_s[k] > LEVELS_MOST - 2)
        k++;
    s->level_count = 0;
    for (double t = ceil(least / step_s[k]) * step_s[k]; t <= most && s->level_count < LEVELS_MOST;
         t += step_s[k])
        s->level_s[s->level_count++] = t;
}

static size_t level_of(const struct shown *s, double time_s) {
    size_t k = 0;
    while (k < s->level_count && time_s >= s->level_s[k])
        k++;
    return k;
}

/* Sooner is lighter, in gray too. */
static void level_ink(cairo_t *cr, const struct shown *s, size_t level) {
    double t = s->level_count > 0 ? (double)level / (double)s->level_count : 0.0;
    cairo_set_source_rgb(cr, 0.97 - 0.72 * t, 0.97 - 0.50 * t, 0.94 - 0.28 * t);
}

struct frame {
    box where;
    double dx, dy; /* of a part of a step */
};

static void place_of(const struct frame *f, double i, double j, double *x, double *y) {
    *x = f->where.x + f->dx * i;
    *y = f->where.y + f->where.h - f->dy * j;
}

/* One rectangle round each point of the field, cut off at the frame. */
static void draw_fill(cairo_t *cr, const struct shown *s, const struct field *f,
                      const struct frame *at) {
    pen_clip(cr, at->where);
    for (size_t level = 0; level <= s->level_count; level++) {
        level_ink(cr, s, level);
        for (size_t j = 0; j < f->ny; j++)
            for (size_t i = 0, run; i < f->nx; i += run) {
                double x, y;
                bool is = !isnan(f->time_s[j][i]) && level_of(s, f->time_s[j][i]) == level;
                for (run = 1; i + run < f->nx; run++) {
                    double t = f->time_s[j][i + run];
                    if ((!isnan(t) && level_of(s, t) == level) != is)
                        break;
                }
                place_of(at, (double)i - 0.5, (double)j + 0.5, &x, &y);
                if (is)
                    cairo_rectangle(cr, x, y, at->dx * (double)run + 0.2, at->dy + 0.2);
            }
        cairo_fill(cr);
    }
    cairo_restore(cr);
}

/* What misses a limit: hatched. */
static void draw_forbidden(cairo_t *cr, const struct field *f, const struct frame *at) {
    cairo_new_path(cr);
    for (size_t j = 0; j < f->ny; j++)
        for (size_t i = 0; i < f->nx; i++) {
            double x, y;
            place_of(at, (double)i - 0.5, (double)j + 0.5, &x, &y);
            if (isnan(f->time_s[j][i]))
                cairo_rectangle(cr, x, y, at->dx + 0.1, at->dy + 0.1);
        }
    cairo_save(cr);
    cairo_clip(cr);
    cairo_rectangle(cr, at->where.x, at->where.y, at->where.w, at->where.h);
    cairo_clip(cr);
    pen_ink(cr, INK_WHITE);
    cairo_paint(cr);
    pen_ink(cr, INK_VERMILLION);
    for (double d = -at->where.h; d < at->where.w; d += 6.0)
        pen_line(cr, at->where.x + d, at->where.y + at->where.h, at->where.x + d + at->where.h,
                 at->where.y, 0.8);
    cairo_restore(cr);
}

/* Which limit is missed, in each step of the grid that has room for the word. */
static void draw_reasons(cairo_t *cr, const struct shown *s, size_t room, const struct frame *at) {
    char last[sizeof s->warm->cell->why] = "";
    pen_font(cr, 6.5, true);
    for (size_t m = 0; m < s->grid->mold_count; m++, last[0] = '\0')
        for (size_t r = 0; r < s->grid->resin_count; r++) {
            const pc_warm_cell *c = cell_at(s, room, m, r);
            double x, y;
            bool same = strcmp(last, c->why) == 0;
            snprintf(last, sizeof last, "%s", same ? "" : c->why);
            if (c->feasible || same)
                continue;
            place_of(at, STEPS * (double)r, STEPS * (double)m, &x, &y);
            double w = pen_width(cr, c->why) + 3.0;
            x = fmin(fmax(x, at->where.x + w / 2.0 + 1.0),
                     at->where.x + at->where.w - w / 2.0 - 1.0);
            y = fmin(fmax(y, at->where.y + 6.0), at->where.y + at->where.h - 6.0);
            pen_ink(cr, INK_WHITE);
            cairo_rectangle(cr, x - w / 2.0, y - 5.0, w, 8.5);
            cairo_fill(cr);
            pen_ink(cr, INK_BLACK);
            pen_text(cr, x, y + 1.5, MIDDLE, c->why);
        }
}

/* The line of one time, and where to write it: the place of it nearest to the middle. */
static void draw_contour(cairo_t *cr, const struct field *f, const struct frame *at, double level,
                         double label[2]) {
    double best = INFINITY;
    label[0] = label[1] = NAN;
    for (size_t j = 0; j + 1 < f->ny; j++)
        for (size_t i = 0; i + 1 < f->nx; i++)
            for (size_t half = 0; half < 2; half++) {
                const size_t ci[3] = {i, i + 1, half ? i : i + 1},
                             cj[3] = {j, j + 1, half ? j + 1 : j};
                double x = 0.0, y = 0.0;
                int met = 0;
                for (int k = 0; k < 3; k++) {
                    int n = (k + 1) % 3;
                    double a = f->time_s[cj[k]][ci[k]], b = f->time_s[cj[n]][ci[n]];
                    if (isnan(a) || isnan(b) || (a < level) == (b < level))
                        continue;
                    double t = (level - a) / (b - a);
                    place_of(at, (double)ci[k] + t * ((double)ci[n] - (double)ci[k]),
                             (double)cj[k] + t * ((double)cj[n] - (double)cj[k]), &x, &y);
                    if (met++ == 0)
                        cairo_move_to(cr, x, y);
                    else
                        cairo_line_to(cr, x, y);
                }
                double off = fabs(y - at->where.y - 0.45 * at->where.h);
                if (met < 2 || off >= best)
                    continue;
                best = off;
                label[0] = x;
                label[1] = y;
            }
    cairo_set_line_width(cr, 0.9);
    cairo_stroke(cr);
}

static void draw_contours(cairo_t *cr, const struct shown *s, const struct field *f,
                          const struct frame *at) {
    double label[LEVELS_MOST][2];
    pen_ink(cr, INK_BLACK);
    for (size_t k = 0; k < s->level_count; k++)
        draw_contour(cr, f, at, s->level_s[k], label[k]);
    pen_font(cr, 7.5, true);
    for (size_t k = 0; k < s->level_count; k++) {
        pc_words text = pc_say_duration(s->level_s[k]);
        double w = pen_width(cr, text.s) + 4.0;
        if (isnan(label[k][0]))
            continue;
        double x =
            fmin(fmax(label[k][0], at->where.x + w / 2.0), at->where.x + at->where.w - w / 2.0);
        double y = label[k][1] + 10.0 * ((double)(k % 3) - 1.0);
        y = fmin(fmax(y, at->where.y + 7.0), at->where.y + at->where.h - 6.0);
        pen_ink(cr, INK_WHITE);
        cairo_rectangle(cr, x - w / 2.0, y - 6.0, w, 10.0);
        cairo_fill(cr);
        pen_ink(cr, INK_BLACK);
        pen_text(cr, x, y + 2.0, MIDDLE, text.s);
    }
}

/* Where a temperature stands among those tried, in parts of a step; false outside. */
static bool among(const double T_K[], size_t count, double value, double *place) {
    for (size_t i = 0; i + 1 < count; i++) {
        double low = fmin(T_K[i], T_K[i + 1]) - 1e-6, high = fmax(T_K[i], T_K[i + 1]) + 1e-6;
        if (!(value >= low && value <= high) || T_K[i] == T_K[i + 1])
            continue;
        *place = STEPS * ((double)i + (value - T_K[i]) / (T_K[i + 1] - T_K[i]));
        return true;
    }
    return false;
}

static void draw_mark(cairo_t *cr, const struct shown *s, const struct frame *at, size_t room,
                      const pc_warm_cell *cell, double aside, const char *letter, ink color) {
    double i, j, x, y;
    if (!(fabs(cell->room_K - s->grid->room_K[room]) < 0.01) ||
        !among(s->grid->resin_K, s->grid->resin_count, cell->resin_K, &i) ||
        !among(s->grid->mold_K, s->grid->mold_count, cell->mold_K, &j))
        return;
    place_of(at, i, j, &x, &y);
    if (aside > 0.0) { /* what else stands here is not hidden */
        pen_ink(cr, color);
        pen_line(cr, x, y, x + aside, y - aside, 1.2);
    }
    draw_badge(cr, x + aside, y - aside, 7.0, color, true, letter);
}

static void draw_axes(cairo_t *cr, const struct shown *s, const struct frame *at, bool first) {
    double x, y;
    pen_ink(cr, INK_BLACK);
    pen_frame(cr, at->where, 0.8);
    pen_font(cr, 7.5, false);
    for (size_t r = 0; r < s->grid->resin_count; r++) {
        place_of(at, STEPS * (double)r, 0.0, &x, &y);
        pen_line(cr, x, y, x, y + 3.0, 0.7);
        pen_text(cr, x, y + 12.0, MIDDLE, pc_say_degrees(s->piece->units, s->grid->resin_K[r]).s);
    }
    for (size_t m = 0; m < s->grid->mold_count; m++) {
        place_of(at, 0.0, STEPS * (double)m, &x, &y);
        pen_line(cr, x - 3.0, y, x, y, 0.7);
        if (first)
            pen_text(cr, x - 5.0, y + 2.5, RIGHT,
                     pc_say_degrees(s->piece->units, s->grid->mold_K[m]).s);
    }
    pen_font(cr, 8.5, true);
    pen_text(cr, at->where.x + at->where.w / 2.0, at->where.y + at->where.h + 25.0, MIDDLE,
             "resin");
    if (first)
        pen_text(cr, at->where.x - 5.0, at->where.y - 6.0, RIGHT, "mold");
}

static void draw_room(cairo_t *cr, const struct shown *s, size_t room, box where, struct field *f) {
    char title[120];
    struct frame at = {where, where.w / (STEPS * (double)(s->grid->resin_count - 1)),
                       where.h / (STEPS * (double)(s->grid->mold_count - 1))};
    fill_field(s, room, f);
    draw_fill(cr, s, f, &at);
    draw_forbidden(cr, f, &at);
    draw_contours(cr, s, f, &at);
    draw_reasons(cr, s, room, &at);
    draw_axes(cr, s, &at, room == 0);
    snprintf(title, sizeof title, "shop %s",
             pc_say_degrees(s->piece->units, s->grid->room_K[room]).s);
    pen_font(cr, 10.0, true);
    pen_text(cr, where.x + where.w / 2.0, where.y - 8.0, MIDDLE, title);
    const pc_warm *w = s->warm;
    draw_mark(cr, s, &at, room, &w->now, 15.0, "N", INK_BLACK);
    if (w->cheapest < w->count)
        draw_mark(cr, s, &at, room, &w->cell[w->cheapest], 0.0, "L", INK_BLUE);
    if (w->fastest < w->count && w->fastest != w->cheapest)
        draw_mark(cr, s, &at, room, &w->cell[w->fastest], 0.0, "F", INK_VERMILLION);
}

static void draw_key(cairo_t *cr, double y) {
    static const struct {
        const char *letter, *text;
        ink color;
    } key[] = {{"N", "now", INK_BLACK},
               {"L", "least to warm or cool that holds", INK_BLUE},
               {"F", "fastest that holds", INK_VERMILLION}};
    double x = 76.0;
    for (size_t k = 0; k < 3; k++) {
        draw_badge(cr, x, y - 3.0, 6.0, key[k].color, true, key[k].letter);
        pen_ink(cr, INK_BLACK);
        x += 12.0 + pen_fit(cr, x + 12.0, y, 200.0, LEFT, 9.0, 7.0, false, key[k].text) + 26.0;
    }
    box where = {x - 6.0, y - 9.0, 24.0, 12.0};
    pen_clip(cr, where);
    pen_ink(cr, INK_VERMILLION);
    for (double d = -12.0; d < 24.0; d += 6.0)
        pen_line(cr, where.x + d, where.y + 12.0, where.x + d + 12.0, where.y, 0.8);
    cairo_restore(cr);
    pen_ink(cr, INK_BLACK);
    pen_frame(cr, where, 0.5);
    pen_fit(cr, x + 24.0, y, 756.0 - x - 24.0, LEFT, 9.0, 7.0, false,
            "a limit is missed: the word says which");
    pen_font(cr, 8.0, false);
    pen_text(cr, 76.0, y + 16.0, LEFT,
             "Lines: time from the first mix until the piece is out of the mold; darker is later. "
             "Plans without margins.");
    pen_text(cr, 76.0, y + 28.0, LEFT,
             "peak: too hot; pot-life: too late to pour; turns: gels too soon after it sets; thin, "
             "drain: what the wall keeps;");
    pen_text(cr, 76.0, y + 39.0, LEFT,
             "mix-limit: too much at once; first-layer: not as thick as asked; cure: never hard "
             "enough.");
}

static bool draw_page(cairo_t *cr, const void *context) {
    const struct shown *s = context;
    struct field *f = malloc(sizeof *f);
    size_t rooms = s->grid->room_count < ROOMS_MOST ? s->grid->room_count : ROOMS_MOST;
    double wide = (680.0 - 26.0 * (double)(rooms - 1)) / (double)rooms;
    char text[2 * PC_NAME_SIZE + 60];
    if (!f)
        return false;
    snprintf(text, sizeof text, "%s in %s: out of the mold after ...", s->piece->name,
             s->piece->resin.name);
    pen_ink(cr, INK_BLACK);
    pen_fit(cr, 36.0, 42.0, 720.0, LEFT, 14.0, 9.0, true, text);
    pen_font(cr, 9.5, false);
    pen_paragraph(cr, 36.0, 60.0, 720.0, 12.0, 3, true, s->warm->sentence);
    for (size_t room = 0; room < rooms; room++)
        draw_room(cr, s, room, (box){76.0 + (wide + 26.0) * (double)room, 128.0, wide, 330.0}, f);
    draw_key(cr, 506.0);
    free(f);
    return true;
}

enum cli_exit warm_picture(const char *path, const pc_piece *piece, const pc_warm_grid *grid,
                           const pc_warm *warm) {
    struct shown s = {.piece = piece, .grid = grid, .warm = warm};
    if (grid->resin_count < 2 || grid->mold_count < 2)
        return say_error(CLI_USAGE,
                         "--picture: at least two temperatures of the resin and two of the "
                         "mold are needed: give --try-resin and --try-mold twice, or leave "
                         "them out");
    choose_levels(&s);
    return picture_file("--picture", path, PICTURE_WIDTH_PT, PICTURE_HEIGHT_PT, draw_page, &s);
}
