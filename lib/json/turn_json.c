/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `pourclock turn --json`, format 1. */
#include <math.h>

#include "json/json_value.h"

static void put_spread(json_t *o, const pc_spread *s, bool *failed) {
    pci_json_number(o, "thin_m", s->thin_m, failed);
    pci_json_number(o, "mean_m", s->mean_m, failed);
    pci_json_number(o, "thick_m", s->thick_m, failed);
    pci_json_number(o, "least_m", s->least_m, failed);
    pci_json_number(o, "most_m", s->most_m, failed);
    pci_json_number(o, "bare", s->bare, failed);
    pci_json_number(o, "lump_m3", s->lump_m3, failed);
    pci_json_number(o, "volume_m3", s->volume_m3, failed);
}

static json_t *turning_json(const pc_turning *turning, double speed_rad_s, bool *failed) {
    static const char *const method[] = {"machine", "hand", "drain"};
    json_t *o = json_object();
    bool machine = turning->method == PC_MACHINE;
    pci_json_text(o, "method", method[turning->method], failed);
    pci_json_number(o, "outer_rad_s", machine ? turning->outer_rad_s : NAN, failed);
    pci_json_number(o, "inner_rad_s", machine ? turning->inner_rad_s : NAN, failed);
    pci_json_number(o, "inner_against_floor_rad_s",
                    machine ? turning->outer_rad_s + turning->inner_rad_s : NAN, failed);
    pci_json_number(o, "speed_rad_s", turning->method == PC_DRAIN ? NAN : speed_rad_s, failed);
    return o;
}

static void put_turned(json_t *o, const pc_turned_layer *l, bool *failed) {
    const pc_turn_result *r = &l->result;
    pci_json_number(o, "mu_set_Pa_s", r->mu_set_Pa_s, failed);
    pci_json_number(o, "set_s", r->set_s, failed);
    pci_json_number(o, "gel_s", r->gel_s, failed);
    pci_json_number(o, "tau_s", r->tau_s, failed);
    pci_json_number(o, "turns_set_to_gel", r->turns, failed);
    pci_json_number(o, "gap_s", r->gap_s, failed);
    pci_json_number(o, "unevenness", r->unevenness, failed);
    pci_json_number(o, "froude", r->froude, failed);
    pci_json_number(o, "pool_rad", r->pool_rad, failed);
    pci_json_number(o, "missed", r->missed, failed);
    pci_json_bool(o, "locks", r->locks, failed);
    pci_json_number(o, "matters_from_s", r->from_s, failed);
    pci_json_number(o, "matters_to_s", r->to_s, failed);
    put_spread(o, &r->spread, failed);
    json_t *stops = json_array();
    for (int k = 0; k < PC_TURN_STOPS; k++) {
        json_t *stop = json_object();
        pci_json_number(stop, "for_s", l->stop[k].for_s, failed);
        pci_json_number(stop, "from_s", l->stop[k].from_s, failed);
        pci_json_number(stop, "thin_m", l->stop[k].thin_m, failed);
        pci_json_number(stop, "lump_m3", l->stop[k].lump_m3, failed);
        pci_json_push(stops, stop, failed);
    }
    pci_json_put(o, "standstills", stops, failed);
}

static void put_drained(json_t *o, const pc_drain_result *d, double density_kg_m3, bool *failed) {
    pci_json_number(o, "gel_s", d->gel_s, failed);
    pci_json_number(o, "pour_out_s", d->out_s, failed);
    pci_json_number(o, "mu_out_Pa_s", d->mu_out_Pa_s, failed);
    pci_json_number(o, "film_m", d->film_m, failed);
    pci_json_number(o, "edge_m", d->edge_m, failed);
    pci_json_number(o, "surplus_kg", d->surplus_m3 * density_kg_m3, failed);
}

static json_t *layer_json(const pc_turned_part *part, size_t j, bool *failed) {
    json_t *o = json_object();
    const pc_turned_layer *l = &part->layer[j];
    pci_json_count(o, "number", (long)j + 1, failed);
    pci_json_number(o, "thickness_m", part->plan.layer[j].film_m, failed);
    if (l->status != PC_OK)
        pci_json_text(o, "why_not", l->why, failed);
    else if (l->method == PC_COAT_DRAIN)
        put_drained(o, &l->drain, part->plan.layer[j].density_kg_m3, failed);
    else
        put_turned(o, l, failed);
    return o;
}

static json_t *best_json(const pc_turned_part *part, bool *failed) {
    if (!part->has_best)
        return json_null();
    json_t *o = json_object(), *layers = json_array();
    bool machine = part->best.method == PC_MACHINE;
    pci_json_number(o, "outer_rad_s", machine ? part->best.outer_rad_s : NAN, failed);
    pci_json_number(o, "inner_rad_s", machine ? part->best.inner_rad_s : NAN, failed);
    for (size_t j = 0; j < part->plan.count; j++) {
        if (part->layer[j].method != PC_COAT_TURN)
            continue;
        json_t *layer = json_object();
        pci_json_count(layer, "number", (long)j + 1, failed);
        put_spread(layer, &part->best_result[j].spread, failed);
        pci_json_push(layers, layer, failed);
    }
    pci_json_put(o, "layers", layers, failed);
    return o;
}

static json_t *part_json(const pc_piece *piece, const pc_turned_part *part, bool *failed) {
    json_t *o = json_object(), *layers = json_array();
    const pc_part *of = &piece->part[part->part];
    bool still = true; /* none of its layers is turned */
    for (size_t j = 0; j < part->plan.count; j++)
        still = still && part->layer[j].method != PC_COAT_TURN;
    pci_json_text(o, "name", of->name, failed);
    pci_json_number(o, "radius_m", of->shape.turn_radius_m, failed);
    pci_json_number(o, "closure_s", still ? NAN : part->coverage.closure_s, failed);
    pci_json_number(o, "never_faced_rad", still ? NAN : part->coverage.never_faced_rad, failed);
    for (size_t j = 0; j < part->plan.count; j++)
        pci_json_push(layers, layer_json(part, j, failed), failed);
    pci_json_put(o, "layers", layers, failed);
    json_t *sum = part->map ? json_object() : json_null();
    if (part->map)
        put_spread(sum, &part->sum, failed);
    pci_json_put(o, "all_layers", sum, failed);
    pci_json_put(o, "best", best_json(part, failed), failed);
    return o;
}

pc_status pc_turn_json(const pc_piece *piece, const pc_schedule *schedule,
                       const pc_turn_report *report, char **text) {
    if (!piece || !schedule || !report || !text)
        return PC_E_ARGUMENT;
    bool failed = false;
    json_t *top = json_object(), *parts = json_array();
    pci_json_count(top, "format", 1, &failed);
    pci_json_text(top, "piece", piece->name, &failed);
    pci_json_text(top, "resin", schedule->resin, &failed);
    pci_json_put(top, "turning", turning_json(&piece->turning, report->speed_rad_s, &failed),
                 &failed);
    for (size_t i = 0; i < report->count; i++)
        pci_json_push(parts, part_json(piece, &report->part[i], &failed), &failed);
    pci_json_put(top, "parts", parts, &failed);
    return pci_json_finish(top, failed, text);
}
