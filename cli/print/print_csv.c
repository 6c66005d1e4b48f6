/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The steps of a schedule as CSV. */
#include "config.h"

#include <math.h>

#include "pourclock.h"
#include "print/print.h"

/* By when what the step begins must be in, or how long it lasts; "" where neither is known. */
static const char *csv_until(const pc_schedule *s, const pc_step *step, bool by, pc_words *clock) {
    const pc_part_plan *part = s->part[step->part];
    size_t j = (size_t)step->layer - 1;
    bool batch =
        step->kind == PC_STEP_MIX || step->kind == PC_STEP_POUR || step->kind == PC_STEP_BRUSH;
    double at_s = NAN;
    if (by && batch && step->layer > 0)
        at_s = floor(pc_pour_deadline(part, j) + 1e-6);
    else if (!by && step->kind == PC_STEP_TURN && step->layer > 0)
        at_s = ceil(part->layer[j]->stop_s - 1e-6);
    else if (!by && step->kind == PC_STEP_WAIT)
        at_s = ceil((isnan(part->demold_late_s) ? part->demold_s : part->demold_late_s) - 1e-6);
    *clock = pc_say_clock(s->start_clock_s, at_s, PC_CLOCK_NEAREST);
    return isfinite(at_s) ? clock->s : "";
}

static void csv_step(struct cli_output *out, const pc_schedule *s, const pc_step *step,
                     bool filled) {
    const pc_layer *layer = step->layer > 0 ? s->part[step->part]->layer[step->layer - 1] : NULL;
    bool mix = step->kind == PC_STEP_MIX && layer != NULL;
    pc_words by, until;
    out_printf(out, "%s,%s,",
               pc_say_clock(s->start_clock_s, pc_step_second(step), PC_CLOCK_NEAREST).s,
               pc_step_word(step->kind));
    out_csv_text(out, step->text);
    out_text(out, ",");
    out_csv_text(out, s->part[step->part]->name);
    out_printf(out, ",");
    out_csv_number(out, layer ? (double)step->layer : (double)NAN);
    out_text(out, ",");
    out_csv_number(out, step->at_s);
    out_text(out, ",");
    if (mix) /* as a scale reads */
        out_printf(out, "%.1f,%.1f", layer->part_a_kg * 1e3, layer->part_b_kg * 1e3);
    else
        out_text(out, ",");
    out_printf(out, ",%s,%s", csv_until(s, step, true, &by), csv_until(s, step, false, &until));
    if (filled && mix)
        out_printf(out, ",%.1f", layer->filler_kg * 1e3);
    else if (filled)
        out_text(out, ",");
    out_text(out, "\r\n");
}

/* Plans without a filler have no column of it. */
static bool any_filler(const pc_schedule *s) {
    for (size_t p = 0; p < s->part_count; p++)
        for (size_t j = 0; j < s->part[p]->layer_count; j++)
            if (s->part[p]->layer[j]->filler_kg > 0.0)
                return true;
    return false;
}

void print_csv(struct cli_output *out, const struct printed *p) {
    const pc_schedule *s = p->schedule;
    out_text(out, "clock,do,text,part,layer,at_s,part_a_g,part_b_g,by,until");
    bool filled = any_filler(s);
    out_text(out, filled ? ",filler_g\r\n" : "\r\n");
    for (size_t i = 0; i < s->step_count; i++)
        csv_step(out, s, s->step[i], filled);
}
