/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The schedule as JSON, format 1. Keys are only ever added. */
#include <math.h>

#include "piece/piece_file.h"
#include "json/json_value.h"

/* Null of a layer that the wall carries from the start: how it lies is in how it is begun. */
static void put_spread(json_t *o, const char *key, const pc_layer *layer, double value_m,
                       bool *failed) {
    if (pc_layer_hangs(layer))
        pci_json_number(o, key, NAN, failed);
    else
        pci_json_known(o, key, value_m, failed);
}

static void put_extras(json_t *o, const pc_layer *layer, bool *failed) {
    if (layer->cups > 1)
        pci_json_count(o, "cups", layer->cups, failed);
    put_spread(o, "thin_m", layer, layer->thin_m, failed);
    pci_json_known(o, "mean_m", layer->mean_m, failed);
    put_spread(o, "thick_m", layer, layer->thick_m, failed);
    pci_json_known(o, "drain_s", layer->drain_s, failed);
    pci_json_known(o, "drain_mu_Pa_s", layer->drain_mu_Pa_s, failed);
    pci_json_known(o, "surplus_kg", layer->surplus_kg, failed);
    pci_json_known(o, "drip_s", layer->drip_s, failed);
    pci_json_known(o, "back_good_s", layer->back_good_s, failed);
    pci_json_known(o, "back_peak_K", layer->back_peak_K, failed);
    pci_json_known(o, "back_peak_s", layer->back_peak_s, failed);
    if (layer->trim_kg > 0.0)
        pci_json_number(o, "trim_kg", layer->trim_kg, failed);
    pci_json_known(o, "fill_share", layer->fill_share, failed);
    pci_json_known(o, "pour_by_early_s", layer->pour_by_early_s, failed);
    pci_json_known(o, "set_early_s", layer->set_early_s, failed);
    pci_json_known(o, "gel_early_s", layer->gel_early_s, failed);
    pci_json_known(o, "gel_late_s", layer->gel_late_s, failed);
    pci_json_known(o, "closes_early_s", layer->closes_early_s, failed);
    pci_json_known(o, "peak_late_K", layer->peak_late_K, failed);
    pci_json_known(o, "peak_over_share", layer->peak_over_share, failed);
}

/* What only some layers have: a method and a resin of their own, a filler. piece_resin: NULL where
 * the part has none of that. */
static void put_own(json_t *o, const pc_layer *layer, pc_part_kind kind, const char *piece_resin,
                    bool *failed) {
    if (piece_resin) {
        pci_json_text(o, "method", kind == PC_SOLID ? "pour" : pci_coat_word(layer->method),
                      failed);
        pci_json_text(o, "resin", layer->resin[0] ? layer->resin : piece_resin, failed);
    }
    if (layer->cup_s > 0.0)
        pci_json_number(o, "brush_s", layer->cup_s, failed);
    if (!(layer->filler_kg > 0.0))
        return;
    pci_json_number(o, "filler_kg", layer->filler_kg, failed);
    pci_json_text(o, "filler", layer->filler, failed);
}

static json_t *json_layer(const pc_part_plan *plan, size_t index, const char *own_resin,
                          bool *failed) {
    const pc_layer *layer = plan->layer[index];
    json_t *o = json_object();
    pci_json_count(o, "number", layer->number, failed);
    pci_json_number(o, "thickness_m", layer->thickness_m, failed);
    pci_json_number(o, "batch_kg", layer->batch_kg, failed);
    pci_json_number(o, "part_a_kg", layer->part_a_kg, failed);
    pci_json_number(o, "part_b_kg", layer->part_b_kg, failed);
    pci_json_number(o, "mix_s", layer->mix_s, failed);
    pci_json_number(o, "pour_s", layer->pour_s, failed);
    pci_json_number(o, "pour_end_s", layer->pour_end_s, failed);
    pci_json_number(o, "pour_by_s", layer->pour_by_s, failed);
    pci_json_number(o, "deadline_s", pc_pour_deadline(plan, index), failed);
    pci_json_number(o, "pot_life_s", layer->pot_life_s, failed);
    pci_json_number(o, "cup_peak_K", layer->cup_peak_K, failed);
    pci_json_number(o, "fill_T_K", layer->fill_T_K, failed);
    pci_json_number(o, "fill_conversion", layer->fill_conversion, failed);
    pci_json_number(o, "set_s", layer->set_s, failed);
    pci_json_number(o, "first_gel_s", layer->first_gel_s, failed);
    pci_json_number(o, "gel_s", layer->gel_s, failed);
    pci_json_number(o, "stop_s", layer->stop_s, failed);
    pci_json_number(o, "opens_s", layer->opens_s, failed);
    pci_json_number(o, "closes_s", layer->closes_s, failed);
    pci_json_number(o, "peak_K", layer->peak_K, failed);
    pci_json_number(o, "turns_set_to_gel", layer->turns_set_to_gel, failed);
    pci_json_number(o, "unevenness", layer->unevenness, failed);
    put_own(o, layer, plan->kind, own_resin, failed);
    put_extras(o, layer, failed);
    return o;
}

static json_t *json_part(const pc_piece *piece, const pc_schedule *s, size_t i, bool *failed) {
    const pc_part_plan *plan = s->part[i];
    json_t *o = json_object(), *layers = json_array();
    pci_json_text(o, "name", plan->name, failed);
    pci_json_text(o, "kind", plan->kind == PC_SOLID ? "solid" : "hollow", failed);
    if (i < piece->part_count && piece->part[i].role != PC_ROLE_PLAIN) {
        pci_json_text(o, "role", pc_role_word(piece->part[i].role), failed);
        pci_json_text(o, "joins", piece->part[i].joins, failed);
    }
    if (i < piece->part_count && piece->part[i].turn_over)
        pci_json_bool(o, "turn_over", true, failed);
    pci_json_put(o, "mold", plan->mold[0] ? pci_json_string(plan->mold) : json_null(), failed);
    pci_json_number(o, "area_m2", plan->area_m2, failed);
    pci_json_number(o, "wall_m", plan->wall_m, failed);
    pci_json_number(o, "shell_volume_m3", plan->shell_volume_m3, failed);
    pci_json_number(o, "resin_kg", plan->resin_kg, failed);
    bool own = i < piece->part_count && (piece->part[i].coat_count > 0 || piece->part[i].mix > 0);
    for (size_t j = 0; j < plan->layer_count; j++)
        pci_json_push(layers, json_layer(plan, j, own ? s->resin : NULL, failed), failed);
    pci_json_put(o, "layers", layers, failed);
    if (i < piece->part_count && piece->part[i].mesh_path[0]) {
        pci_json_bool(o, "closed", piece->part[i].shape.closed, failed);
        pci_json_number(o, "volume_m3", piece->part[i].shape.volume_m3, failed);
    }
    pci_json_number(o, "demold_s", plan->demold_s, failed);
    pci_json_known(o, "demold_late_s", plan->demold_late_s, failed);
    return o;
}

static json_t *json_step(const pc_schedule *s, const pc_step *step, bool *failed) {
    json_t *o = json_object();
    pci_json_number(o, "at_s", step->at_s, failed);
    pci_json_text(o, "clock",
                  pc_say_clock(s->start_clock_s, pc_step_second(step), PC_CLOCK_NEAREST).s, failed);
    pci_json_text(o, "do", pc_step_word(step->kind), failed);
    pci_json_text(o, "part", s->part[step->part]->name, failed);
    pci_json_put(o, "layer", step->layer > 0 ? json_integer(step->layer) : json_null(), failed);
    pci_json_text(o, "text", step->text, failed);
    return o;
}

static json_t *json_warning(const pc_warning *w, bool *failed) {
    json_t *o = json_object();
    pci_json_text(o, "code", w->code, failed);
    pci_json_text(o, "text", w->text, failed);
    pci_json_text(o, "remedy", w->remedy, failed);
    pci_json_bool(o, "breaks", w->breaks, failed);
    return o;
}

static void put_lists(json_t *top, const pc_schedule *s, const pc_cautions *cautions,
                      bool *failed) {
    json_t *steps = json_array(), *warnings = json_array();
    for (size_t i = 0; i < s->step_count; i++)
        pci_json_push(steps, json_step(s, s->step[i], failed), failed);
    for (size_t i = 0; i < s->warning_count; i++)
        pci_json_push(warnings, json_warning(s->warning[i], failed), failed);
    pci_json_put(top, "steps", steps, failed);
    pci_json_put(top, "warnings", warnings, failed);
    pci_json_put(top, "cautions", pci_json_cautions(cautions, failed), failed);
}

/* The whole answer; the schedule and its piece are there. */
static pc_status write_answer(const pc_piece *piece, const pc_schedule *s,
                              const pc_cautions *cautions, char **text) {
    bool failed = false;
    json_t *top = json_object(), *shop = json_object(), *parts = json_array();
    int style = PC_CLOCK_BARE | (fmod(s->start_clock_s, 60.0) != 0.0 ? 0 : PC_CLOCK_MINUTE);
    pci_json_count(top, "format", 1, &failed);
    pci_json_text(top, "piece", s->piece, &failed);
    pci_json_text(top, "resin", s->resin, &failed);
    pci_json_bool(top, "feasible", s->feasible, &failed);
    pci_json_text(top, "start", pc_say_clock(s->start_clock_s, 0, style).s, &failed);
    pci_json_number(shop, "air_K", s->air_K, &failed);
    pci_json_number(shop, "resin_K", s->resin_K, &failed);
    pci_json_number(shop, "mold_K", s->mold_K, &failed);
    pci_json_put(top, "shop", shop, &failed);
    for (size_t i = 0; i < s->part_count; i++)
        pci_json_push(parts, json_part(piece, s, i, &failed), &failed);
    pci_json_put(top, "parts", parts, &failed);
    pci_json_number(top, "resin_kg", s->resin_kg, &failed);
    pci_json_number(top, "demold_s", s->demold_s, &failed);
    pci_json_known(top, "demold_late_s", s->demold_late_s, &failed);
    if (s->most_sensitive[0])
        pci_json_text(top, "most_sensitive", s->most_sensitive, &failed);
    put_lists(top, s, cautions, &failed);
    return pci_json_finish(top, failed, text);
}

pc_status pc_schedule_json(const pc_piece *piece, const pc_schedule *schedule, char **text) {
    pc_cautions cautions = {0};
    if (!piece || !schedule || !text)
        return PC_E_ARGUMENT;
    *text = NULL;
    pc_status status = pc_cautions_make(piece, schedule, piece->units, &cautions);
    if (status == PC_OK)
        status = write_answer(piece, schedule, &cautions, text);
    pc_cautions_free(&cautions);
    return status;
}
