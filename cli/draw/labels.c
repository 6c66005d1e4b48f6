/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "draw/labels.h"

#include <cairo-pdf.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "commands/options.h"
#include "draw/picture.h"
#include "draw/sheet_pen.h"
#include "pourclock.h"
#include "print/message.h"

enum { ACROSS = 3, DOWN = 4, A_PAGE = ACROSS * DOWN };
#define MARGIN_PT 22.0 /* what any printer can leave white */
#define INSET_PT  9.0

/* Letter and A4, in points. */
typedef struct paper {
    double w, h;
} paper;

static paper paper_of(pc_units units) {
    return units == PC_US ? (paper){612.0, 792.0}
                          : (paper){210.0 * 72.0 / 25.4, 297.0 * 72.0 / 25.4};
}

/* One cup. */
struct cup {
    const pc_schedule *plan;
    const pc_part_plan *part;
    size_t layer;
    int number; /* from 1 */
};

static void draw_masses(cairo_t *cr, const pc_layer *layer, int cups, box at) {
    pc_words mass[] = {pc_say_mass(layer->part_a_kg / cups), pc_say_mass(layer->part_b_kg / cups),
                       pc_say_mass(layer->filler_kg / cups)};
    static const char *const name[] = {"A", "B", "+"}; /* + the filler, named in the total */
    int rows = layer->filler_kg > 0.0 ? 3 : 2;
    for (int i = 0; i < rows; i++) {
        double y = at.y + 62.0 + (rows > 2 ? 20.0 : 30.0) * i;
        double most = rows > 2 ? 18.0 : 27.0;
        pen_fit(cr, at.x, y, 20.0, LEFT, fmin(24.0, most), 12.0, true, name[i]);
        pen_fit(cr, at.x + at.w, y, at.w - 24.0, RIGHT, most, 14.0, true, mass[i].s);
        pen_line(cr, at.x, y + 5.0, at.x + at.w, y + 5.0, 0.4);
    }
    char total[160];
    snprintf(total, sizeof total, "%s%s%stogether %s", rows > 2 ? "+ " : "",
             rows > 2 ? layer->filler : "", rows > 2 ? "; " : "",
             pc_say_mass(layer->batch_kg / cups).s);
    pen_fit(cr, at.x + at.w, at.y + 110.0, at.w, RIGHT, 9.0, 7.0, false, total);
}

static void draw_times(cairo_t *cr, const struct cup *cup, box at) {
    const pc_layer *layer = cup->part->layer[cup->layer];
    double start_s = cup->plan->start_clock_s;
    double mix_s = pc_cup_mix(layer, cup->number);
    double by_s = floor(pc_cup_deadline(cup->part, cup->layer, cup->number) + 1e-6);
    char mix[64], by[64];
    snprintf(mix, sizeof mix, "mix %s", pc_say_clock(start_s, mix_s, PC_CLOCK_NEAREST).s);
    snprintf(by, sizeof by, "in by %s", pc_say_clock(start_s, by_s, PC_CLOCK_NEAREST).s);
    pen_fit(cr, at.x, at.y + 130.0, at.w, LEFT, 13.0, 8.0, false, mix);
    box limit = {at.x, at.y + 137.0, at.w, 24.0};
    pen_frame(cr, limit, 1.6);
    pen_fit(cr, at.x + at.w / 2.0, limit.y + 17.5, at.w - 8.0, MIDDLE, 16.0, 9.0, true, by);
}

static void draw_label(cairo_t *cr, const struct cup *cup, box where) {
    const pc_layer *layer = cup->part->layer[cup->layer];
    int cups = layer->cups > 1 ? layer->cups : 1;
    char piece[PC_NAME_SIZE], part[96], which[192];
    box at = {where.x + INSET_PT, where.y + INSET_PT, where.w - 2.0 * INSET_PT,
              where.h - 2.0 * INSET_PT};
    pc_text_clean(cup->plan->piece, piece, sizeof piece);
    pc_text_clean(cup->part->name, part, sizeof part);
    snprintf(which, sizeof which, "%s %d", pc_layer_word(cup->part->kind), layer->number);
    if (cups > 1)
        snprintf(which + strlen(which), sizeof which - strlen(which), ", cup %d of %d", cup->number,
                 cups);
    pen_ink(cr, INK_BLACK);
    pen_fit(cr, at.x, at.y + 8.0, at.w, LEFT, 9.0, 6.0, false, piece);
    pen_fit(cr, at.x, at.y + 22.0, at.w, LEFT, 12.0, 7.0, true, part);
    pen_fit(cr, at.x, at.y + 36.0, at.w, LEFT, 12.0, 7.0, true, which);
    draw_masses(cr, layer, cups, at);
    draw_times(cr, cup, at);
}

/* The place of the nth label; the first of a page draws its cutting lines. */
static box place_of(cairo_t *cr, paper page, size_t n) {
    double w = (page.w - 2.0 * MARGIN_PT) / ACROSS, h = (page.h - 2.0 * MARGIN_PT) / DOWN;
    pen_ink(cr, INK_RULE);
    for (int i = 0; n % A_PAGE == 0 && i <= ACROSS; i++)
        pen_line(cr, MARGIN_PT + w * i, MARGIN_PT, MARGIN_PT + w * i, page.h - MARGIN_PT, 0.4);
    for (int i = 0; n % A_PAGE == 0 && i <= DOWN; i++)
        pen_line(cr, MARGIN_PT, MARGIN_PT + h * i, page.w - MARGIN_PT, MARGIN_PT + h * i, 0.4);
    size_t column = n % ACROSS, row = n / ACROSS % DOWN;
    return (box){MARGIN_PT + w * (double)column, MARGIN_PT + h * (double)row, w, h};
}

/* In the order in which the cups are mixed. */
static const pc_step *mix_step(const pc_schedule *plan, size_t index) {
    for (size_t i = 0; i < plan->step_count; i++)
        if (plan->step[i]->kind == PC_STEP_MIX && plan->step[i]->layer > 0 && index-- == 0)
            return plan->step[i];
    return NULL;
}

static size_t draw_all(cairo_t *cr, const pc_schedule *plan, paper page) {
    size_t n = 0;
    const pc_step *step;
    for (size_t i = 0; (step = mix_step(plan, i)) != NULL; i++) {
        const pc_part_plan *part = plan->part[step->part];
        struct cup cup = {plan, part, (size_t)step->layer - 1, 1};
        for (; cup.number <= 1 || cup.number <= part->layer[cup.layer]->cups; cup.number++) {
            if (n > 0 && n % A_PAGE == 0)
                cairo_show_page(cr);
            draw_label(cr, &cup, place_of(cr, page, n));
            n++;
        }
    }
    cairo_show_page(cr);
    return n;
}

enum cli_exit print_labels(struct cli *cli, const char *path, const pc_schedule *schedule,
                           pc_units units) {
    if (strcmp(path, "-") != 0 && !out_is_named(path, ".pdf"))
        return say_error(CLI_USAGE, "%s: labels are written as .pdf: name them so", path);
    paper page = paper_of(units);
    struct cli_output out = {.data = NULL};
    cairo_surface_t *surface =
        cairo_pdf_surface_create_for_stream(picture_write, &out, page.w, page.h);
    cairo_t *cr = cairo_create(surface);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, "Labels for the cups");
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "pourclock");
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, PICTURE_DATE);
    size_t count = draw_all(cr, schedule, page);
    cairo_status_t status = cairo_status(cr);
    cairo_destroy(cr);
    cairo_surface_finish(surface);
    if (status == CAIRO_STATUS_SUCCESS)
        status = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    cairo_debug_reset_static_data();
    enum cli_exit code = CLI_DONE;
    if (status != CAIRO_STATUS_SUCCESS || out.failed)
        code = say_error(CLI_INTERNAL, "the labels cannot be drawn: %s",
                         cairo_status_to_string(status));
    else if (count == 0)
        say_note(cli, "--labels: there is no cup to label: the page is empty");
    if (code == CLI_DONE)
        code = cli_deliver(cli, path, out.data, out.size);
    out_free(&out);
    return code;
}
