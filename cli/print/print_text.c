/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The schedule as a sheet of text: head, warnings with their remedies, steps by the clock, a line
 * per layer, cautions. Clocks have seconds where a second matters: all of a plan of up to two
 * hours, and whatever falls within the life of a quick batch. */
#include "config.h"

#include "print/print.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "pourclock.h"
#include "print/print_cautions.h"
#include "print/step_pieces.h"

enum { WIDTH = 92, PART_WIDTH = 16 };
static const double LONG_S = 2.0 * 3600.0; /* a plan that is printed in minutes */
static const double QUICK_S = 1800.0;      /* a pot life of which a second matters */

static double last_demold(const pc_schedule *s) {
    return isnan(s->demold_late_s) ? s->demold_s : s->demold_late_s;
}

static bool in_quick_cup(const pc_schedule *s, double at_s) {
    for (size_t p = 0; p < s->part_count; p++)
        for (size_t j = 0; j < s->part[p]->layer_count; j++) {
            const pc_layer *layer = s->part[p]->layer[j];
            double by_s = fmax(pc_pour_deadline(s->part[p], j), layer->pour_end_s);
            if (layer->pot_life_s < QUICK_S && at_s > layer->mix_s - 1.0 && at_s < by_s + 1.0)
                return true;
        }
    return false;
}

static pc_words clock_of(const pc_schedule *s, double at_s, bool up) {
    if (!(last_demold(s) > LONG_S) || in_quick_cup(s, at_s))
        return pc_say_clock(s->start_clock_s, at_s, PC_CLOCK_NEAREST);
    return pc_say_clock(s->start_clock_s, at_s,
                        PC_CLOCK_MINUTE | (up ? PC_CLOCK_FROM : PC_CLOCK_BY));
}

static void head_part(struct cli_output *out, const struct printed *p, size_t i) {
    const pc_part_plan *plan = p->schedule->part[i];
    const char *many = plan->layer_count == 1 ? "" : "s";
    out_text(out, "  ");
    out_column(out, plan->name, PART_WIDTH, 40);
    out_text(out, " ");
    if (plan->kind == PC_HOLLOW)
        out_printf(out, "%s, wall %s in %zu layer%s; ",
                   pc_say(PC_SAY_AREA, p->units, plan->area_m2).s,
                   pc_say_length(p->units, plan->wall_m).s, plan->layer_count, many);
    else
        out_printf(out, "%s %s in %zu pour%s; ", pc_say_volume(p->units, plan->shell_volume_m3).s,
                   pc_role_word(p->piece->part[i].role), plan->layer_count, many);
    out_printf(out, "%s of resin", pc_say(PC_SAY_MASS_BOTH, p->units, plan->resin_kg).s);
    double trim_kg = plan->layer[plan->layer_count - 1]->trim_kg; /* the last pour fills them */
    if (trim_kg > 0.0)
        out_printf(out, ", %s of it cut off", pc_say_mass(trim_kg).s);
    out_text(out, "\n");
}

/* Parts of one mold in the order they are poured, from the last of them down. */
static void say_mold(const pc_schedule *s, size_t part, char *text, size_t size) {
    int below = s->part[part]->on_part;
    if (below > 0)
        say_mold(s, (size_t)below - 1, text, size);
    size_t used = strlen(text);
    snprintf(text + used, size - used, "%s%.90s", below > 0 ? ", then " : "", s->part[part]->name);
}

static bool has_part_above(const pc_schedule *s, size_t part) {
    for (size_t i = 0; i < s->part_count; i++)
        if (s->part[i]->on_part == (int)part + 1)
            return true;
    return false;
}

static void head_molds(struct cli_output *out, const pc_schedule *s) {
    for (size_t i = 0; i < s->part_count; i++) {
        char text[PC_PARTS_MOST * 100] = "";
        if (s->part[i]->on_part == 0 || has_part_above(s, i))
            continue;
        say_mold(s, i, text, sizeof text);
        out_printf(out, "  %-*s ", PART_WIDTH, "one mold");
        out_wrapped(out, text, 2 + PART_WIDTH + 1, WIDTH);
    }
}

static void head_span(struct cli_output *out, const struct printed *p) {
    const pc_schedule *s = p->schedule;
    double demold_s = last_demold(s);
    if (s->part_count > 1)
        out_printf(out, "  %-*s %s\n", PART_WIDTH, "resin, total",
                   pc_say(PC_SAY_MASS_BOTH, p->units, s->resin_kg).s);
    out_printf(out, "  %-*s first mix %s, ", PART_WIDTH, "start to finish",
               clock_of(s, 0, false).s);
    if (isnan(demold_s))
        out_text(out, "demold: never by this plan\n");
    else
        out_printf(out, "last demold %s (%s)\n", clock_of(s, ceil(demold_s - 1e-6), true).s,
                   pc_say_duration(demold_s).s);
    if (s->most_sensitive[0])
        out_printf(out, "  %-*s largest from %s\n", PART_WIDTH, "uncertainty", s->most_sensitive);
}

/* A part or a layer of its own mix: "  body layer 1  Casting epoxy with 250 parts of ...". */
static void head_mix(struct cli_output *out, const struct printed *p, size_t part, int layer) {
    const pc_resin *mix = pc_piece_resin(p->piece, part, layer);
    char what[160];
    if (layer > 0)
        snprintf(what, sizeof what, "  layer %d", layer);
    else
        snprintf(what, sizeof what, "  all of it");
    char line[400], filler[200] = "";
    if (mix->fill.parts > 0.0)
        snprintf(filler, sizeof filler,
                 " with %.4g parts of %s to 100 by weight, %.2g %% of the volume", mix->fill.parts,
                 mix->fill.of.name[0] ? mix->fill.of.name : "filler",
                 100.0 * mix->fill.volume_share);
    snprintf(line, sizeof line, "%s%s", mix->name, filler);
    out_printf(out, "  %-*s ", PART_WIDTH, what);
    out_wrapped(out, line, PART_WIDTH + 3, WIDTH);
}

static void head_mixes(struct cli_output *out, const struct printed *p, size_t part) {
    const pc_part *of = &p->piece->part[part];
    if (of->mix > 0)
        head_mix(out, p, part, 0);
    for (int layer = 1; layer <= PC_LAYERS_MOST; layer++)
        if (pc_piece_resin(p->piece, part, layer) != pc_piece_resin(p->piece, part, 0))
            head_mix(out, p, part, layer);
}

static void head_filler(struct cli_output *out, const pc_fill *fill) {
    if (!(fill->parts > 0.0))
        return;
    out_printf(out, "with %.4g parts of %s to 100 of A and B by weight, %.2g %% of the volume\n",
               fill->parts, fill->of.name[0] ? fill->of.name : "filler",
               100.0 * fill->volume_share);
}

static void head(struct cli_output *out, const struct printed *p) {
    const pc_schedule *s = p->schedule;
    out_style(out, CLI_BOLD);
    out_wrapped(out, s->piece[0] ? s->piece : "Piece", 0, WIDTH);
    out_style(out, CLI_PLAIN);
    out_wrapped(out, s->resin, 0, WIDTH);
    head_filler(out, &p->piece->resin.fill);
    out_printf(out, "shop %s, resin %s, mold %s\n\n",
               pc_say(PC_SAY_DEGREES_FINE, p->units, s->air_K).s,
               pc_say(PC_SAY_DEGREES_FINE, p->units, s->resin_K).s,
               pc_say(PC_SAY_DEGREES_FINE, p->units, s->mold_K).s);
    for (size_t i = 0; i < s->part_count; i++) {
        head_part(out, p, i);
        if (i < p->piece->part_count)
            head_mixes(out, p, i);
    }
    head_molds(out, s);
    head_span(out, p);
    if (!s->feasible) {
        out_text(out, "\n");
        out_style(out, CLI_STOP);
        out_text(out, "DO NOT POUR: no schedule meets the limits. The closest one is shown; "
                      "WARNINGS say what\nfails and how to fix it.\n");
        out_style(out, CLI_PLAIN);
    } else if (s->do_not_pour[0]) {
        char text[sizeof s->do_not_pour + 16];
        snprintf(text, sizeof text, "DO NOT POUR: %s.", s->do_not_pour);
        out_text(out, "\n");
        out_style(out, CLI_STOP);
        out_wrapped(out, text, 0, WIDTH);
        out_style(out, CLI_PLAIN);
    }
}

/* Past midnight a clock has its day before it and wants a wider column. */
static int wider(int width, pc_words clock) {
    int length = (int)strlen(clock.s);
    return length > width ? length : width;
}

/* Poured, or turned from its pour, the moment the layer below has stopped. */
static bool waits_for_stop(const pc_schedule *s, const pc_step *step) {
    if (step->layer < 2 || step->part >= s->part_count)
        return false;
    return step->kind == PC_STEP_POUR || step->kind == PC_STEP_BRUSH ||
           (step->kind == PC_STEP_TURN &&
            step->at_s <= s->part[step->part]->layer[step->layer - 1]->pour_end_s);
}

/* What must not be early is rounded up. */
static pc_words step_clock(const pc_schedule *s, const pc_step *step) {
    bool up = step->kind == PC_STEP_STOP || step->kind == PC_STEP_WAIT ||
              step->kind == PC_STEP_DEMOLD || step->kind == PC_STEP_SET || waits_for_stop(s, step);
    return clock_of(s, pc_step_second(step), up);
}

/* The words with their clocks as this plan is printed. */
static void say_step(const pc_schedule *s, const pc_step *step, char *text, size_t size) {
    struct step_word word[STEP_WORDS_MOST];
    size_t count = step_words(s, step, word), used = strlen(text);
    for (size_t i = 0; i < count && used < size; i++) {
        pc_words clock = clock_of(s, word[i].at_s, word[i].up);
        const char *piece = word[i].name ? clock.s : word[i].text;
        int length = word[i].name ? (int)strlen(clock.s) : (int)word[i].length;
        used += (size_t)snprintf(text + used, size - used, "%.*s", length, piece);
    }
}

/* The part is named where it is another than a line above. */
static void step_line(struct cli_output *out, const struct printed *p, size_t index, int width) {
    const pc_schedule *s = p->schedule;
    const pc_step *step = s->step[index];
    bool same = step->kind == PC_STEP_DEMOLD || /* its words name the part */
                (index > 0 && s->step[index - 1]->part == step->part);
    char text[sizeof step->text + 128] = "";
    if (s->part_count > 1 && !same)
        snprintf(text, sizeof text, "%.96s: ", s->part[step->part]->name);
    say_step(s, step, text, sizeof text);
    out_bold(out, "  %-*s", width, step_clock(s, step).s);
    out_printf(out, "  %-8s", pc_step_said(s, step));
    out_wrapped(out, text, 2 + width + 2 + 8, WIDTH);
}

static void steps(struct cli_output *out, const struct printed *p) {
    const pc_schedule *s = p->schedule;
    int width = 0;
    out_title(out, "STEPS");
    for (size_t i = 0; i < s->step_count; i++)
        width = wider(width, step_clock(s, s->step[i]));
    for (size_t i = 0; i < s->step_count; i++) {
        if (i > 0 && s->step[i]->kind == PC_STEP_MIX)
            out_text(out, "\n");
        step_line(out, p, i, width);
    }
}

/* The clocks of the table of layers: when it sets, gels, has gelled at latest. */
enum { SETS, GELS, LATE, CLOCKS };

struct clocks {
    pc_words at[CLOCKS];
};

static struct clocks layer_clocks(const struct printed *p, const pc_layer *layer) {
    const pc_schedule *s = p->schedule;
    return (struct clocks){{clock_of(s, floor(layer->set_s + 1e-6), false),
                            clock_of(s, ceil(layer->gel_s - 1e-6), true),
                            clock_of(s, ceil(layer->gel_late_s - 1e-6), true)}};
}

static void layer_line(struct cli_output *out, const struct printed *p, const pc_part_plan *plan,
                       size_t index, const int width[CLOCKS]) {
    const pc_layer *layer = plan->layer[index];
    double spare_s = pc_pour_deadline(plan, index) - layer->pour_end_s;
    struct clocks clock = layer_clocks(p, layer);
    char fills[16];
    snprintf(fills, sizeof fills, "%.0f %%", 100.0 * layer->fill_share);
    out_printf(out, "%4d %9s %8s", layer->number,
               plan->kind == PC_SOLID ? fills : pc_say_thickness(p->units, layer->thickness_m).s,
               pc_say_mass(layer->batch_kg).s);
    out_printf(out, " %8s %8s %*s", pc_say(PC_SAY_DURATION_EVEN, PC_METRIC, layer->pot_life_s).s,
               pc_say(PC_SAY_DURATION_EVEN, PC_METRIC, spare_s).s, width[SETS], clock.at[SETS].s);
    out_printf(out, " %*s", width[GELS], clock.at[GELS].s);
    if (p->schedule->margins_on && !isnan(layer->gel_late_s))
        out_printf(out, " %*s", width[LATE], clock.at[LATE].s);
    out_printf(out, " %6s", pc_say_degrees(p->units, layer->peak_K).s);
    if (plan->kind == PC_HOLLOW && isfinite(layer->turns_set_to_gel))
        out_printf(out, " %6.0f", floor(layer->turns_set_to_gel));
    out_text(out, "\n");
}

static void layer_head(struct cli_output *out, const struct printed *p, const pc_part_plan *plan,
                       const int width[CLOCKS]) {
    const pc_layer *first = plan->layer[0];
    bool late = p->schedule->margins_on && !isnan(first->gel_late_s);
    bool solid = plan->kind == PC_SOLID;
    out_style(out, CLI_DIM);
    out_printf(out, "%4s %9s %8s %8s %8s %*s %*s", solid ? "pour" : "no",
               solid ? "fills to" : "thick", "batch", "pot life", "to spare", width[SETS], "sets",
               width[GELS], "gels");
    if (late)
        out_printf(out, " %*s", width[LATE], "at latest");
    out_printf(out, " %6s", "peak");
    if (!solid && isfinite(first->turns_set_to_gel))
        out_printf(out, " %6s", "turns");
    out_text(out, "\n");
    out_style(out, CLI_PLAIN);
}

static void layer_table(struct cli_output *out, const struct printed *p, const pc_part_plan *plan) {
    int width[CLOCKS] = {9, 9, 9};
    for (size_t j = 0; j < plan->layer_count; j++)
        for (int k = 0; k < CLOCKS; k++)
            width[k] = wider(width[k], layer_clocks(p, plan->layer[j]).at[k]);
    layer_head(out, p, plan, width);
    for (size_t j = 0; j < plan->layer_count; j++)
        layer_line(out, p, plan, j, width);
}

static bool film_known(const pc_layer *layer) {
    return isfinite(layer->thin_m) && isfinite(layer->thick_m);
}

/* How thick the layers lie, in one line; those that hang, in another. */
static void film_lines(struct cli_output *out, const struct printed *p, const pc_part_plan *plan) {
    char lies[640] = "", hangs[640] = "";
    for (size_t j = 0; j < plan->layer_count; j++) {
        const pc_layer *layer = plan->layer[j];
        char *text = film_known(layer) && pc_layer_hangs(layer) ? hangs : lies;
        size_t used = strlen(text), room = sizeof lies - used;
        if (!film_known(layer))
            continue;
        if (text == hangs)
            snprintf(text + used, room, "%s%d (%s)", used > 0 ? ", " : "", layer->number,
                     pc_say_thickness(p->units, layer->thickness_m).s);
        else
            snprintf(text + used, room, "%slayer %d %s to %s", used > 0 ? ", " : "", layer->number,
                     pc_say_thickness(p->units, layer->thin_m).s,
                     pc_say_thickness(p->units, layer->thick_m).s);
    }
    if (lies[0]) {
        out_text(out, "     lies: ");
        out_wrapped(out, lies, 11, WIDTH);
    }
    if (hangs[0]) {
        out_text(out,
                 "     carried by the wall from the start, begin it slowly (in the mean): layer ");
        out_wrapped(out, hangs, 11, WIDTH);
    }
}

/* Margins may be asked for and yet not run, as for a plan that does not hold. */
static bool margins_run(const pc_schedule *s) {
    return s->part_count > 0 && s->part[0]->layer_count > 0 &&
           !isnan(s->part[0]->layer[0]->pour_by_early_s);
}

static void layers(struct cli_output *out, const struct printed *p) {
    for (size_t i = 0; i < p->schedule->part_count; i++) {
        const pc_part_plan *plan = p->schedule->part[i];
        if (plan->layer_count == 0)
            continue;
        char text[160];
        snprintf(text, sizeof text, "%s of %s", plan->kind == PC_SOLID ? "POURS" : "LAYERS",
                 plan->name);
        out_title(out, text);
        layer_table(out, p, plan);
        film_lines(out, p, plan);
        if (p->schedule->margins_on && !isnan(plan->demold_late_s))
            out_printf(out, "     demold: nominal %s, planned %s\n",
                       clock_of(p->schedule, ceil(plan->demold_s - 1e-6), true).s,
                       clock_of(p->schedule, ceil(plan->demold_late_s - 1e-6), true).s);
    }
    out_text(out,
             "  Pot life counts from the layer's own mix. To spare: from the end of the pour to "
             "the\n  deadline, 0.8 of the pot life");
    out_text(out, margins_run(p->schedule) ? " in the worst 5 % of cases.\n" : ", nominal.\n");
}

/* A remedy that several in a row share is said once, after the last of them. */
static void warnings(struct cli_output *out, const struct printed *p) {
    const pc_schedule *s = p->schedule;
    if (s->warning_count == 0)
        return;
    out_title(out, "WARNINGS");
    for (size_t i = 0; i < s->warning_count; i++) {
        const pc_warning *w = s->warning[i];
        bool shared = i + 1 < s->warning_count && strcmp(w->remedy, s->warning[i + 1]->remedy) == 0;
        out_style(out, w->breaks ? CLI_STOP : CLI_WARN);
        out_text(out, w->breaks ? "  LIMIT   " : "  note    ");
        out_style(out, CLI_PLAIN);
        out_wrapped(out, w->text, 10, WIDTH);
        if (w->remedy[0] && !shared) {
            out_text(out, "  remedy  ");
            out_wrapped(out, w->remedy, 10, WIDTH);
        }
    }
}

void print_text(struct cli_output *out, const struct printed *p) {
    head(out, p);
    warnings(out, p);
    steps(out, p);
    layers(out, p);
    print_cautions(out, p->cautions, WIDTH);
}
