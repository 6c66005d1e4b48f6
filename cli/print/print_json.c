/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The schedule as JSON, format 1. Keys are only ever added. */
#include "config.h"

#include "print/print.h"
#include "print/step_pieces.h"

#include <math.h>

#include "pourclock.h"
#include "print/json.h"
#include "print/print_cautions.h"

/* Keys that stand there only where the figure is known. */
static void put_known(json_t *o, const char *key, double value, bool *failed) {
    if (isfinite(value))
        cj_put_number(o, key, value, failed);
}

/* Null of a layer that the wall carries from the start: how it lies is in how it is begun. */
static void put_spread(json_t *o, const char *key, const pc_layer *layer, double value_m,
                       bool *failed) {
    if (print_hangs(layer))
        cj_put_number(o, key, NAN, failed);
    else
        put_known(o, key, value_m, failed);
}

static void put_extras(json_t *o, const pc_layer *layer, bool *failed) {
    if (layer->cups > 1)
        cj_put_count(o, "cups", layer->cups, failed);
    put_spread(o, "thin_m", layer, layer->thin_m, failed);
    put_known(o, "mean_m", layer->mean_m, failed);
    put_spread(o, "thick_m", layer, layer->thick_m, failed);
    put_known(o, "drain_s", layer->drain_s, failed);
    put_known(o, "drain_mu_Pa_s", layer->drain_mu_Pa_s, failed);
    put_known(o, "surplus_kg", layer->surplus_kg, failed);
    if (layer->trim_kg > 0.0)
        cj_put_number(o, "trim_kg", layer->trim_kg, failed);
    put_known(o, "fill_share", layer->fill_share, failed);
    put_known(o, "pour_by_early_s", layer->pour_by_early_s, failed);
    put_known(o, "set_early_s", layer->set_early_s, failed);
    put_known(o, "gel_early_s", layer->gel_early_s, failed);
    put_known(o, "gel_late_s", layer->gel_late_s, failed);
    put_known(o, "closes_early_s", layer->closes_early_s, failed);
    put_known(o, "peak_late_K", layer->peak_late_K, failed);
    put_known(o, "peak_over_share", layer->peak_over_share, failed);
}

/* What only some layers have: a method and a resin of their own, a filler. piece_resin: NULL where
 * the part has none of that. */
static void put_own(json_t *o, const pc_layer *layer, pc_part_kind kind, const char *piece_resin,
                    bool *failed) {
    if (piece_resin) {
        cj_put_text(o, "method", kind == PC_SOLID ? "pour" : pc_coat_word(layer->method), failed);
        cj_put_text(o, "resin", layer->resin[0] ? layer->resin : piece_resin, failed);
    }
    if (layer->cup_s > 0.0)
        cj_put_number(o, "brush_s", layer->cup_s, failed);
    if (!(layer->filler_kg > 0.0))
        return;
    cj_put_number(o, "filler_kg", layer->filler_kg, failed);
    cj_put_text(o, "filler", layer->filler, failed);
}

static json_t *json_layer(const pc_part_plan *plan, size_t index, const char *own_resin,
                          bool *failed) {
    const pc_layer *layer = &plan->layer[index];
    json_t *o = json_object();
    cj_put_count(o, "number", layer->number, failed);
    cj_put_number(o, "thickness_m", layer->thickness_m, failed);
    cj_put_number(o, "batch_kg", layer->batch_kg, failed);
    cj_put_number(o, "part_a_kg", layer->part_a_kg, failed);
    cj_put_number(o, "part_b_kg", layer->part_b_kg, failed);
    cj_put_number(o, "mix_s", layer->mix_s, failed);
    cj_put_number(o, "pour_s", layer->pour_s, failed);
    cj_put_number(o, "pour_end_s", layer->pour_end_s, failed);
    cj_put_number(o, "pour_by_s", layer->pour_by_s, failed);
    cj_put_number(o, "deadline_s", pc_pour_deadline(plan, index), failed);
    cj_put_number(o, "pot_life_s", layer->pot_life_s, failed);
    cj_put_number(o, "cup_peak_K", layer->cup_peak_K, failed);
    cj_put_number(o, "fill_T_K", layer->fill_T_K, failed);
    cj_put_number(o, "fill_conversion", layer->fill_conversion, failed);
    cj_put_number(o, "set_s", layer->set_s, failed);
    cj_put_number(o, "first_gel_s", layer->first_gel_s, failed);
    cj_put_number(o, "gel_s", layer->gel_s, failed);
    cj_put_number(o, "stop_s", layer->stop_s, failed);
    cj_put_number(o, "opens_s", layer->opens_s, failed);
    cj_put_number(o, "closes_s", layer->closes_s, failed);
    cj_put_number(o, "peak_K", layer->peak_K, failed);
    cj_put_number(o, "turns_set_to_gel", layer->turns_set_to_gel, failed);
    cj_put_number(o, "unevenness", layer->unevenness, failed);
    put_own(o, layer, plan->kind, own_resin, failed);
    put_extras(o, layer, failed);
    return o;
}

static json_t *json_part(const struct printed *p, size_t i, bool *failed) {
    const pc_part_plan *plan = &p->schedule->part[i];
    json_t *o = json_object(), *layers = json_array();
    cj_put_text(o, "name", plan->name, failed);
    cj_put_text(o, "kind", plan->kind == PC_SOLID ? "solid" : "hollow", failed);
    if (i < p->piece->part_count && p->piece->part[i].role != PC_ROLE_PLAIN) {
        cj_put_text(o, "role", pc_role_word(p->piece->part[i].role), failed);
        cj_put_text(o, "joins", p->piece->part[i].joins, failed);
    }
    if (i < p->piece->part_count && p->piece->part[i].turn_over)
        cj_put_bool(o, "turn_over", true, failed);
    cj_put(o, "mold", plan->mold[0] ? cj_text(plan->mold) : json_null(), failed);
    cj_put_number(o, "area_m2", plan->area_m2, failed);
    cj_put_number(o, "wall_m", plan->wall_m, failed);
    cj_put_number(o, "shell_volume_m3", plan->shell_volume_m3, failed);
    cj_put_number(o, "resin_kg", plan->resin_kg, failed);
    bool own =
        i < p->piece->part_count && (p->piece->part[i].coat_count > 0 || p->piece->part[i].mix > 0);
    for (size_t j = 0; j < plan->layer_count; j++)
        cj_push(layers, json_layer(plan, j, own ? p->schedule->resin : NULL, failed), failed);
    cj_put(o, "layers", layers, failed);
    if (i < p->piece->part_count && p->piece->part[i].mesh_path[0]) {
        cj_put_bool(o, "closed", p->piece->part[i].shape.closed, failed);
        cj_put_number(o, "volume_m3", p->piece->part[i].shape.volume_m3, failed);
    }
    cj_put_number(o, "demold_s", plan->demold_s, failed);
    put_known(o, "demold_late_s", plan->demold_late_s, failed);
    return o;
}

static json_t *json_step(const pc_schedule *s, const pc_step *step, bool *failed) {
    json_t *o = json_object();
    cj_put_number(o, "at_s", step->at_s, failed);
    cj_put_text(o, "clock", pc_say_clock(s->start_clock_s, step_second(step), PC_CLOCK_NEAREST).s,
                failed);
    cj_put_text(o, "do", pc_step_word(step->kind), failed);
    cj_put_text(o, "part", s->part[step->part].name, failed);
    cj_put(o, "layer", step->layer > 0 ? json_integer(step->layer) : json_null(), failed);
    cj_put_text(o, "text", step->text, failed);
    return o;
}

static json_t *json_warning(const pc_warning *w, bool *failed) {
    json_t *o = json_object();
    cj_put_text(o, "code", w->code, failed);
    cj_put_text(o, "text", w->text, failed);
    cj_put_text(o, "remedy", w->remedy, failed);
    cj_put_bool(o, "breaks", w->breaks, failed);
    return o;
}

static void put_lists(json_t *top, const struct printed *p, bool *failed) {
    const pc_schedule *s = p->schedule;
    json_t *steps = json_array(), *warnings = json_array();
    for (size_t i = 0; i < s->step_count; i++)
        cj_push(steps, json_step(s, &s->step[i], failed), failed);
    for (size_t i = 0; i < s->warning_count; i++)
        cj_push(warnings, json_warning(&s->warning[i], failed), failed);
    cj_put(top, "steps", steps, failed);
    cj_put(top, "warnings", warnings, failed);
    cj_put(top, "cautions", json_cautions(p->cautions, failed), failed);
}

void print_json(struct cli_output *out, const struct printed *p) {
    const pc_schedule *s = p->schedule;
    bool failed = false;
    json_t *top = json_object(), *shop = json_object(), *parts = json_array();
    int style = PC_CLOCK_BARE | (fmod(s->start_clock_s, 60.0) != 0.0 ? 0 : PC_CLOCK_MINUTE);
    cj_put_count(top, "format", 1, &failed);
    cj_put_text(top, "piece", s->piece, &failed);
    cj_put_text(top, "resin", s->resin, &failed);
    cj_put_bool(top, "feasible", s->feasible, &failed);
    cj_put_text(top, "start", pc_say_clock(s->start_clock_s, 0, style).s, &failed);
    cj_put_number(shop, "air_K", s->air_K, &failed);
    cj_put_number(shop, "resin_K", s->resin_K, &failed);
    cj_put_number(shop, "mold_K", s->mold_K, &failed);
    cj_put(top, "shop", shop, &failed);
    for (size_t i = 0; i < s->part_count; i++)
        cj_push(parts, json_part(p, i, &failed), &failed);
    cj_put(top, "parts", parts, &failed);
    cj_put_number(top, "resin_kg", s->resin_kg, &failed);
    cj_put_number(top, "demold_s", s->demold_s, &failed);
    put_known(top, "demold_late_s", s->demold_late_s, &failed);
    if (s->most_sensitive[0])
        cj_put_text(top, "most_sensitive", s->most_sensitive, &failed);
    put_lists(top, p, &failed);
    cj_write(out, top, failed);
}

/* By when what the step begins must be in, or how long it lasts; "" where neither is known. */
static const char *csv_until(const pc_schedule *s, const pc_step *step, bool by, pc_words *clock) {
    const pc_part_plan *part = &s->part[step->part];
    size_t j = (size_t)step->layer - 1;
    bool batch =
        step->kind == PC_STEP_MIX || step->kind == PC_STEP_POUR || step->kind == PC_STEP_BRUSH;
    double at_s = NAN;
    if (by && batch && step->layer > 0)
        at_s = floor(pc_pour_deadline(part, j) + 1e-6);
    else if (!by && step->kind == PC_STEP_TURN && step->layer > 0)
        at_s = ceil(part->layer[j].stop_s - 1e-6);
    else if (!by && step->kind == PC_STEP_WAIT)
        at_s = ceil((isnan(part->demold_late_s) ? part->demold_s : part->demold_late_s) - 1e-6);
    *clock = pc_say_clock(s->start_clock_s, at_s, PC_CLOCK_NEAREST);
    return isfinite(at_s) ? clock->s : "";
}

static void csv_step(struct cli_output *out, const pc_schedule *s, const pc_step *step,
                     bool filled) {
    const pc_layer *layer = step->layer > 0 ? &s->part[step->part].layer[step->layer - 1] : NULL;
    bool mix = step->kind == PC_STEP_MIX && layer != NULL;
    pc_words by, until;
    out_printf(out, "%s,%s,", pc_say_clock(s->start_clock_s, step_second(step), PC_CLOCK_NEAREST).s,
               pc_step_word(step->kind));
    out_csv_text(out, step->text);
    out_text(out, ",");
    out_csv_text(out, s->part[step->part].name);
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
        for (size_t j = 0; j < s->part[p].layer_count; j++)
            if (s->part[p].layer[j].filler_kg > 0.0)
                return true;
    return false;
}

void print_csv(struct cli_output *out, const struct printed *p) {
    const pc_schedule *s = p->schedule;
    out_text(out, "clock,do,text,part,layer,at_s,part_a_g,part_b_g,by,until");
    bool filled = any_filler(s);
    out_text(out, filled ? ",filler_g\r\n" : "\r\n");
    for (size_t i = 0; i < s->step_count; i++)
        csv_step(out, s, &s->step[i], filled);
}
