/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `pourclock turn --json`, format 1. */
#include "config.h"

#include <math.h>

#include "print/json.h"
#include "print/print_turn.h"

static void put_spread(json_t *o, const pc_spread *s, bool *failed) {
    cj_put_number(o, "thin_m", s->thin_m, failed);
    cj_put_number(o, "mean_m", s->mean_m, failed);
    cj_put_number(o, "thick_m", s->thick_m, failed);
    cj_put_number(o, "least_m", s->least_m, failed);
    cj_put_number(o, "most_m", s->most_m, failed);
    cj_put_number(o, "bare", s->bare, failed);
    cj_put_number(o, "lump_m3", s->lump_m3, failed);
    cj_put_number(o, "volume_m3", s->volume_m3, failed);
}

static json_t *turning_json(const pc_turning *turning, bool *failed) {
    static const char *const method[] = {"machine", "hand", "drain"};
    json_t *o = json_object();
    bool machine = turning->method == PC_MACHINE;
    cj_put_text(o, "method", method[turning->method], failed);
    cj_put_number(o, "outer_rad_s", machine ? turning->outer_rad_s : NAN, failed);
    cj_put_number(o, "inner_rad_s", machine ? turning->inner_rad_s : NAN, failed);
    cj_put_number(o, "inner_against_floor_rad_s",
                  machine ? turning->outer_rad_s + turning->inner_rad_s : NAN, failed);
    cj_put_number(o, "speed_rad_s", turning->method == PC_DRAIN ? NAN : pc_film_speed(turning),
                  failed);
    return o;
}

static void put_turned(json_t *o, const struct turn_layer *l, bool *failed) {
    const pc_turn_result *r = &l->result;
    cj_put_number(o, "mu_set_Pa_s", r->mu_set_Pa_s, failed);
    cj_put_number(o, "set_s", r->set_s, failed);
    cj_put_number(o, "gel_s", r->gel_s, failed);
    cj_put_number(o, "tau_s", r->tau_s, failed);
    cj_put_number(o, "turns_set_to_gel", r->turns, failed);
    cj_put_number(o, "gap_s", r->gap_s, failed);
    cj_put_number(o, "unevenness", r->unevenness, failed);
    cj_put_number(o, "froude", r->froude, failed);
    cj_put_number(o, "pool_rad", r->pool_rad, failed);
    cj_put_number(o, "missed", r->missed, failed);
    cj_put_bool(o, "locks", r->locks, failed);
    cj_put_number(o, "matters_from_s", r->from_s, failed);
    cj_put_number(o, "matters_to_s", r->to_s, failed);
    put_spread(o, &r->spread, failed);
    json_t *stops = json_array();
    for (int k = 0; k < TURN_STOPS; k++) {
        json_t *stop = json_object();
        cj_put_number(stop, "for_s", l->stop[k].for_s, failed);
        cj_put_number(stop, "from_s", l->stop[k].from_s, failed);
        cj_put_number(stop, "thin_m", l->stop[k].thin_m, failed);
        cj_put_number(stop, "lump_m3", l->stop[k].lump_m3, failed);
        cj_push(stops, stop, failed);
    }
    cj_put(o, "standstills", stops, failed);
}

static void put_drained(json_t *o, const pc_drain_result *d, double density_kg_m3, bool *failed) {
    cj_put_number(o, "gel_s", d->gel_s, failed);
    cj_put_number(o, "pour_out_s", d->out_s, failed);
    cj_put_number(o, "mu_out_Pa_s", d->mu_out_Pa_s, failed);
    cj_put_number(o, "film_m", d->film_m, failed);
    cj_put_number(o, "edge_m", d->edge_m, failed);
    cj_put_number(o, "surplus_kg", d->surplus_m3 * density_kg_m3, failed);
}

static json_t *layer_json(const struct turn_part *part, size_t j, bool drain, bool *failed) {
    json_t *o = json_object();
    const struct turn_layer *l = &part->layer[j];
    cj_put_count(o, "number", (long)j + 1, failed);
    cj_put_number(o, "thickness_m", part->plan.layer[j].film_m, failed);
    if (l->status != PC_OK)
        cj_put_text(o, "why_not", l->why, failed);
    else if (drain)
        put_drained(o, &l->drain, part->plan.layer[j].density_kg_m3, failed);
    else
        put_turned(o, l, failed);
    return o;
}

static json_t *best_json(const struct turn_part *part, bool *failed) {
    if (!part->has_best)
        return json_null();
    json_t *o = json_object(), *layers = json_array();
    bool machine = part->best.method == PC_MACHINE;
    cj_put_number(o, "outer_rad_s", machine ? part->best.outer_rad_s : NAN, failed);
    cj_put_number(o, "inner_rad_s", machine ? part->best.inner_rad_s : NAN, failed);
    for (size_t j = 0; j < part->plan.count; j++) {
        json_t *layer = json_object();
        cj_put_count(layer, "number", (long)j + 1, failed);
        put_spread(layer, &part->best_result[j].spread, failed);
        cj_push(layers, layer, failed);
    }
    cj_put(o, "layers", layers, failed);
    return o;
}

static json_t *part_json(const struct turn_report *report, const struct turn_part *part,
                         bool *failed) {
    json_t *o = json_object(), *layers = json_array();
    const pc_part *of = &report->piece->part[part->part];
    bool drain = report->piece->turning.method == PC_DRAIN;
    cj_put_text(o, "name", of->name, failed);
    cj_put_number(o, "radius_m", of->shape.turn_radius_m, failed);
    cj_put_number(o, "closure_s", drain ? NAN : part->coverage.closure_s, failed);
    cj_put_number(o, "never_faced_rad", drain ? NAN : part->coverage.never_faced_rad, failed);
    for (size_t j = 0; j < part->plan.count; j++)
        cj_push(layers, layer_json(part, j, drain, failed), failed);
    cj_put(o, "layers", layers, failed);
    json_t *sum = part->map ? json_object() : json_null();
    if (part->map)
        put_spread(sum, &part->sum, failed);
    cj_put(o, "all_layers", sum, failed);
    cj_put(o, "best", best_json(part, failed), failed);
    return o;
}

void turn_print_json(struct cli_output *out, const struct turn_report *report) {
    bool failed = false;
    json_t *top = json_object(), *parts = json_array();
    cj_put_count(top, "format", 1, &failed);
    cj_put_text(top, "piece", report->piece->name, &failed);
    cj_put_text(top, "resin", report->schedule->resin, &failed);
    cj_put(top, "turning", turning_json(&report->piece->turning, &failed), &failed);
    for (size_t i = 0; i < report->count; i++)
        cj_push(parts, part_json(report, &report->part[i], &failed), &failed);
    cj_put(top, "parts", parts, &failed);
    cj_write(out, top, failed);
}

/* Of a turned layer, or of a drained one; what is not known, or not asked of it, is left empty. */
static void csv_layer(struct cli_output *out, const struct turn_report *report,
                      const struct turn_part *part, size_t j) {
    enum { FIGURES = 13 };
    const struct turn_layer *l = &part->layer[j];
    const pc_turn_result *r = &l->result;
    bool drains = report->piece->turning.method == PC_DRAIN, known = l->status == PC_OK;
    const double turned[FIGURES] = {r->set_s,
                                    r->gel_s,
                                    r->turns,
                                    r->gap_s,
                                    r->unevenness,
                                    r->froude,
                                    r->spread.thin_m,
                                    r->spread.mean_m,
                                    r->spread.thick_m,
                                    r->from_s,
                                    r->to_s,
                                    NAN,
                                    NAN};
    const double drained[FIGURES] = {NAN,
                                     l->drain.gel_s,
                                     NAN,
                                     NAN,
                                     NAN,
                                     NAN,
                                     NAN,
                                     NAN,
                                     NAN,
                                     NAN,
                                     NAN,
                                     l->drain.out_s,
                                     l->drain.film_m};
    double number[1 + FIGURES] = {(double)j + 1};
    for (size_t i = 0; i < FIGURES; i++)
        number[1 + i] = !known ? NAN : drains ? drained[i] : turned[i];
    out_csv_text(out, report->piece->part[part->part].name);
    out_csv_numbers(out, number, 1 + FIGURES);
}

void turn_print_csv(struct cli_output *out, const struct turn_report *report) {
    out_text(out, "part,layer,set_s,gel_s,turns_set_to_gel,gap_s,unevenness,froude,thin_m,mean_m,"
                  "thick_m,matters_from_s,matters_to_s,pour_out_s,film_m\r\n");
    for (size_t i = 0; i < report->count; i++)
        for (size_t j = 0; j < report->part[i].plan.count; j++)
            csv_layer(out, report, &report->part[i], j);
}
