/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The mold in its cradle, or held by hand side after side. */
#include "config.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "draw/map_parts.h"
#include "draw/marks.h"

enum { HOLDS_MOST = 6 };

/* From the model's -y, or from its +x where that is up or down. */
static void look_level(const double up[3], model_side *side) {
    double size = sqrt(up[0] * up[0] + up[1] * up[1] + up[2] * up[2]), along = 0.0, length = 0.0;
    double toward[3] = {0.0, -1.0, 0.0};
    if (fabs(up[1]) > 0.9 * size) {
        toward[0] = 1.0;
        toward[1] = 0.0;
    }
    for (int a = 0; a < 3; a++) {
        side->up[a] = up[a] / size;
        along += toward[a] * side->up[a];
    }
    for (int a = 0; a < 3; a++) {
        toward[a] -= along * side->up[a];
        length += toward[a] * toward[a];
    }
    for (int a = 0; a < 3; a++)
        side->toward[a] = toward[a] / sqrt(length);
    for (int a = 0; a < 3; a++) {
        int b = (a + 1) % 3, c = (a + 2) % 3;
        side->right[a] = side->up[b] * side->toward[c] - side->up[c] * side->toward[b];
    }
}

/* The model as it stands with `up` up, or a box in its place. */
static bool draw_standing(cairo_t *cr, const struct map_view *view, const double up[3], box where) {
    static const model_band plain[] = {{{0.88, 0.88, 0.88}, MODEL_PLAIN}};
    model_side side;
    model_view v = {0};
    if (!view->mesh) {
        box block = {where.x + where.w / 2.0 - 16.0, where.y + where.h / 2.0 - 16.0, 32.0, 32.0};
        cairo_rectangle(cr, block.x, block.y, block.w, block.h);
        cairo_set_source_rgb(cr, 0.9, 0.9, 0.9);
        cairo_fill(cr);
        pen_ink(cr, INK_BLACK);
        pen_frame(cr, block, 1.0);
        return true;
    }
    look_level(up, &side);
    double pt_per_m = model_scale(view->mesh, &side, where, 3.0);
    bool ok = model_view_make(view->mesh, &side, where, pt_per_m, &v) &&
              model_view_paint(cr, &v, view->mesh, plain, NULL);
    model_view_free(&v);
    return ok;
}

/* A support that an axle turns in. */
static void draw_post(cairo_t *cr, double x, double y, double foot) {
    pen_ink(cr, INK_BLACK);
    pen_line(cr, x, y, x, foot, 3.0);
    pen_line(cr, x - 14.0, foot, x + 14.0, foot, 3.0);
    cairo_new_path(cr);
    cairo_arc(cr, x, y, 5.0, 0.0, 2.0 * PC_PI);
    pen_ink(cr, INK_WHITE);
    cairo_fill_preserve(cr);
    pen_ink(cr, INK_BLACK);
    cairo_set_line_width(cr, 1.2);
    cairo_stroke(cr);
}

static void say_speed(char *text, size_t size, const char *axis, double rad_s) {
    if (rad_s == 0.0)
        snprintf(text, size, "%s axis: stands still", axis);
    else
        snprintf(text, size, "%s axis: %.3g rpm", axis, fabs(rad_s) / PC_RPM);
}

static bool draw_cradle(cairo_t *cr, const struct map_view *view, box w) {
    static const double up[3] = {0.0, 0.0, 1.0};
    const pc_turning *t = view->turning;
    double cx = w.x + w.w / 2.0, cy = w.y + w.h / 2.0 + 10.0, fw = 64.0, fh = 60.0;
    char text[100];
    draw_post(cr, w.x + 30.0, cy, w.y + w.h - 10.0);
    draw_post(cr, w.x + w.w - 30.0, cy, w.y + w.h - 10.0);
    pen_line(cr, w.x + 35.0, cy, cx - fw, cy, 2.0);
    pen_line(cr, cx + fw, cy, w.x + w.w - 35.0, cy, 2.0);
    pen_frame(cr, (box){cx - fw, cy - fh, 2.0 * fw, 2.0 * fh}, 2.5);
    pen_line(cr, cx, cy - fh, cx, cy - fh + 18.0, 2.0);
    pen_line(cr, cx, cy + fh, cx, cy + fh - 14.0, 2.0);
    bool ok = draw_standing(cr, view, up, (box){cx - 44.0, cy - fh + 18.0, 88.0, 2.0 * fh - 32.0});
    pen_ink(cr, INK_BLUE);
    double way = t->outer_rad_s < 0.0 ? -1.0 : 1.0;
    if (t->outer_rad_s != 0.0)
        draw_turn(cr, w.x + 62.0, cy, 9.0, 26.0, -way * 2.6, way * 2.2, 2.0);
    way = t->inner_rad_s < 0.0 ? -1.0 : 1.0;
    if (t->inner_rad_s != 0.0)
        draw_turn(cr, cx, cy - fh + 12.0, 26.0, 7.0, way * 3.6, -way * 1.2, 2.0);
    pen_ink(cr, INK_BLACK);
    say_speed(text, sizeof text, "outer", t->outer_rad_s);
    pen_fit(cr, w.x + 6.0, w.y + 24.0, 130.0, LEFT, 9.0, 7.0, true, text);
    say_speed(text, sizeof text, "inner", t->inner_rad_s);
    pen_fit(cr, cx + 8.0, w.y + 24.0, 150.0, LEFT, 9.0, 7.0, true, text);
    pen_font(cr, 8.0, false);
    pen_text(cr, cx + 8.0, w.y + 35.0, LEFT, "the mold's z, upright at the start");
    pen_text(cr, w.x + w.w - 40.0, cy - 8.0, RIGHT, "x at the start");
    if (t->remount)
        pen_fit(cr, w.x + 60.0, w.y + w.h - 4.0, w.w - 120.0, LEFT, 8.0, 6.5, false,
                "between layers a quarter turn in the cradle: z, then y, then x on the inner axis");
    return ok;
}

/* A side of the mold that comes up, and when. */
struct hold {
    double up[3], hold_s;
    char turns[80];
};

static size_t list_holds(const pc_turn_report *report, struct hold hold[HOLDS_MOST], size_t *more) {
    const pc_tilt *tilt = report->tilt;
    size_t count = report->tilt_count, found = 0;
    *more = 0;
    for (size_t i = 0; i < count; i++) {
        size_t k = 0;
        while (k < found && memcmp(hold[k].up, tilt[i].up, sizeof hold[k].up) != 0)
            k++;
        if (k == HOLDS_MOST) {
            (*more)++;
            continue;
        }
        if (k == found) {
            memcpy(hold[k].up, tilt[i].up, sizeof hold[k].up);
            hold[k].hold_s = tilt[i].hold_s;
            hold[found++].turns[0] = '\0';
        }
        size_t used = strlen(hold[k].turns);
        snprintf(hold[k].turns + used, sizeof hold[k].turns - used, "%s%zu", used ? ", " : "",
                 i + 1);
    }
    return found;
}

static void name_side(const double up[3], char *text, size_t size) {
    for (int a = 0; a < 3; a++)
        if (fabs(up[a]) > 0.999 * sqrt(up[0] * up[0] + up[1] * up[1] + up[2] * up[2])) {
            snprintf(text, size, "%s%c up", up[a] > 0.0 ? "+" : "\xE2\x88\x92", "xyz"[a]);
            return;
        }
    snprintf(text, size, "%.2g, %.2g, %.2g up", up[0], up[1], up[2]);
}

static bool draw_holds(cairo_t *cr, const struct map_view *view, box w) {
    struct hold hold[HOLDS_MOST];
    size_t more, count = list_holds(view->report, hold, &more);
    double side_w = w.w / 3.0, side_h = (w.h - 14.0) / 2.0;
    char text[160];
    bool ok = true;
    for (size_t k = 0; k < count && ok; k++) {
        box at = {w.x + side_w * (double)(k % 3), w.y + 14.0 + side_h * (double)(k / 3), side_w,
                  side_h};
        ok = draw_standing(cr, view, hold[k].up,
                           (box){at.x + 26.0, at.y + 12.0, side_w - 34.0, side_h - 36.0});
        pen_ink(cr, INK_BLACK);
        draw_arrow(cr, at.x + 14.0, at.y + side_h - 28.0, at.x + 14.0, at.y + 16.0, 2.0);
        name_side(hold[k].up, text, sizeof text);
        pen_fit(cr, at.x + 6.0, at.y + side_h - 14.0, side_w - 10.0, LEFT, 8.5, 6.5, true, text);
        snprintf(text, sizeof text, "%.2g s; no. %s", hold[k].hold_s, hold[k].turns);
        pen_fit(cr, at.x + 6.0, at.y + side_h - 5.0, side_w - 10.0, LEFT, 7.5, 6.0, false, text);
        pen_frame(cr, at, 0.3);
    }
    pen_ink(cr, INK_BLACK);
    snprintf(text, sizeof text, "Hold each side up in turn, again and again%s",
             more > 0 ? "; more holds than are drawn" : "");
    pen_fit(cr, w.x, w.y + 9.0, w.w, LEFT, 9.0, 7.0, true, text);
    return ok;
}

bool turning_draw(cairo_t *cr, const struct map_view *view, box where) {
    if (view->turning->method == PC_HAND)
        return draw_holds(cr, view, where);
    pen_ink(cr, INK_BLACK);
    pen_font(cr, 9.0, true);
    pen_text(cr, where.x, where.y + 9.0, LEFT, "The mold in its cradle");
    return draw_cradle(cr, view, where);
}

static void draw_slice(cairo_t *cr, const box *slice, const double rgb[3], model_hatch hatch) {
    pen_clip(cr, *slice);
    cairo_set_source_rgb(cr, rgb[0], rgb[1], rgb[2]);
    cairo_paint(cr);
    map_hatch(cr, *slice, hatch);
    cairo_restore(cr);
    pen_ink(cr, INK_BLACK);
    pen_frame(cr, *slice, 0.8);
}

static double draw_mold_slices(cairo_t *cr, const struct map_view *view, box w, double x) {
    static const double shell[3] = {0.82, 0.82, 0.80}, rubber[3] = {0.72, 0.82, 0.88};
    const double thick = 28.0;
    pen_font(cr, 8.0, false);
    if (view->mold->has_shell) {
        draw_slice(cr, &(box){x, w.y + 26.0, thick, 84.0}, shell, MODEL_RISING);
        pen_text(cr, x + thick / 2.0, w.y + 20.0, MIDDLE, "shell");
        x += thick;
    }
    if (view->mold->rubber_m > 0.0) {
        draw_slice(cr, &(box){x, w.y + 26.0, thick, 84.0}, rubber, MODEL_FALLING);
        pen_text(cr, x + thick / 2.0, w.y + 20.0, MIDDLE, "rubber");
        x += thick;
    }
    return x;
}

void cut_draw(cairo_t *cr, const struct map_view *view, box w) {
    static const double resin[2][3] = {{0.97, 0.85, 0.60}, {0.90, 0.72, 0.40}};
    double total_m = 0.0, room = 82.0, y = w.y + 126.0, x;
    char text[120];
    for (size_t j = 0; j < view->layers; j++)
        total_m += view->layer_m[j];
    pen_ink(cr, INK_BLACK);
    pen_font(cr, 8.5, true);
    pen_text(cr, w.x, w.y - 4.0, LEFT, "The wall, cut: layers to scale, mold not");
    x = draw_mold_slices(cr, view, w, w.x + 6.0);
    for (size_t j = 0; j < view->layers; j++) {
        double wide = room * view->layer_m[j] / total_m;
        draw_slice(cr, &(box){x, w.y + 26.0, wide, 84.0}, resin[j % 2],
                   j % 2 ? MODEL_RISING_DENSE : MODEL_FALLING_DENSE);
        snprintf(text, sizeof text, "%zu", j + 1);
        if (wide > 13.0)
            draw_badge(cr, x + wide / 2.0, w.y + 68.0, 6.0, INK_BLACK, false, text);
        x += wide;
    }
    pen_ink(cr, INK_BLACK);
    pen_font(cr, 8.0, false);
    pen_text(cr, x - room / 2.0, w.y + 20.0, MIDDLE, "resin");
    pen_text(cr, x + 6.0, w.y + 70.0, LEFT, "hollow");
    for (size_t j = 0; j < view->layers && y < w.y + w.h; j++, y += 11.0) {
        snprintf(text, sizeof text, "layer %zu   %s", j + 1,
                 pc_say_thickness(view->units, view->layer_m[j]).s);
        pen_fit(cr, w.x + 6.0, y, 106.0, LEFT, 8.5, 6.5, false, text);
    }
    snprintf(text, sizeof text, "wall %s", pc_say_thickness(view->units, total_m).s);
    pen_fit(cr, w.x + 114.0, w.y + 126.0, 80.0, LEFT, 8.5, 6.5, true, text);
}
