/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>

#include "print/json.h"
#include "print/print_cautions.h"
#include "print/print_supplies.h"

static json_t *needs(const pc_supplies *s, bool *failed) {
    json_t *list = json_array();
    for (size_t i = 0; i < s->need_count; i++) {
        const pc_need *n = &s->need[i];
        json_t *o = json_object();
        cj_put_text(o, "item", pc_supply_word(n->item), failed);
        if (n->name[0])
            cj_put_text(o, "name", n->name, failed);
        cj_put_number(o, n->item == PC_SUPPLY_WIRE ? "length_m" : "mass_kg", n->amount, failed);
        cj_put_number(o, "volume_m3", n->volume_m3, failed);
        cj_put_number(o, "part_a_kg", n->part_a, failed);
        cj_put_number(o, "part_b_kg", n->part_b, failed);
        if (n->filler > 0.0)
            cj_put_number(o, "filler_kg", n->filler, failed);
        if (n->filler > 0.0)
            cj_put_text(o, "fillers", n->fillers, failed);
        cj_put_number(o, "part_a_m3", n->part_a_m3, failed);
        cj_put_number(o, "part_b_m3", n->part_b_m3, failed);
        if (n->kit[0]) {
            cj_put_text(o, "kit", n->kit, failed);
            cj_put_count(o, "kits", n->kits, failed);
            if (n->other_kit[0]) {
                cj_put_text(o, "other_kit", n->other_kit, failed);
                cj_put_count(o, "other_kits", n->other_kits, failed);
            }
            cj_put_number(o, "cost", n->cost, failed);
            cj_put_number(o, n->item == PC_SUPPLY_WIRE ? "left_a_m" : "left_a_kg", n->left_a,
                          failed);
            cj_put_number(o, "left_b_kg", n->left_b, failed);
            cj_put_count(o, "castings_per_kit", n->castings_per_kit, failed);
        }
        cj_push(list, o, failed);
    }
    return list;
}

static json_t *joints(const struct printed_supplies *p, bool *failed) {
    json_t *list = json_array();
    for (size_t i = 0; i < p->supplies.joint_count; i++) {
        const pc_joint *pin = &p->order->pin[i];
        const pc_joint_result *r = &p->supplies.joint[i];
        json_t *o = json_object();
        cj_put_text(o, "name", pin->name, failed);
        cj_put_text(o, "metal", pin->metal->name, failed);
        cj_put_count(o, "count", pin->count, failed);
        cj_put_number(o, "wire_m", r->wire_m, failed);
        cj_put_number(o, "socket_m", r->socket_m, failed);
        cj_put_number(o, "stress_Pa", r->stress_Pa, failed);
        cj_put_number(o, "factor", r->factor, failed);
        cj_put_number(o, "buckling_factor", r->buckling_factor, failed);
        cj_put_number(o, "socket_factor", r->socket_factor, failed);
        cj_put_number(o, "sag_m", r->sag_m, failed);
        cj_put_number(o, "displaced_m3", r->displaced_m3, failed);
        cj_put_number(o, "least_wire_m", r->least_wire_m, failed);
        cj_put_bool(o, "holds", r->holds, failed);
        cj_push(list, o, failed);
    }
    return list;
}

static json_t *batches(const struct printed_supplies *p, bool *failed) {
    json_t *list = json_array();
    for (size_t i = 0; i < p->air.batch_count; i++) {
        const pc_air_batch *b = &p->air.batch[i];
        json_t *o = json_object();
        cj_put_text(o, "part", p->schedule->part[b->part].name, failed);
        cj_put_count(o, "layer", b->layer, failed);
        cj_put_number(o, "from_s", b->from_s, failed);
        cj_put_number(o, "to_s", b->to_s, failed);
        cj_put_number(o, "vapor_kg", b->vapor_kg, failed);
        cj_push(list, o, failed);
    }
    return list;
}

static json_t *exposure(const pc_exposure *row, bool *failed) {
    json_t *o = json_object();
    cj_put_text(o, "substance", row->substance, failed);
    cj_put_text(o, "source", row->source, failed);
    cj_put_text(o, "date", row->date, failed);
    cj_put_number(o, "niosh_fraction", row->niosh_fraction, failed);
    cj_put_number(o, "niosh_kg_m3", row->niosh_kg_m3, failed);
    cj_put_number(o, "niosh_short_fraction", row->niosh_short_fraction, failed);
    cj_put_number(o, "niosh_ceiling_fraction", row->niosh_ceiling_fraction, failed);
    cj_put_number(o, "niosh_ceiling_kg_m3", row->niosh_ceiling_kg_m3, failed);
    cj_put_number(o, "osha_fraction", row->osha_fraction, failed);
    cj_put_number(o, "osha_ceiling_fraction", row->osha_ceiling_fraction, failed);
    cj_put_number(o, "osha_peak_fraction", row->osha_peak_fraction, failed);
    cj_put_number(o, "idlh_fraction", row->idlh_fraction, failed);
    cj_put_number(o, "idlh_kg_m3", row->idlh_kg_m3, failed);
    cj_put_bool(o, "skin", row->skin, failed);
    cj_put_bool(o, "carcinogen", row->carcinogen, failed);
    return o;
}

static json_t *exposures(const pc_resin *resin, bool *failed) {
    const pc_exposure *row[8];
    json_t *list = json_array();
    size_t count = pc_exposure_of(resin, row, sizeof row / sizeof row[0]);
    for (size_t i = 0; i < count; i++)
        cj_push(list, exposure(row[i], failed), failed);
    return list;
}

static json_t *air(const struct printed_supplies *p, bool *failed) {
    const pc_ventilation *v = &p->air;
    const pc_standing *hot = &p->standing;
    json_t *o = json_object();
    cj_put_text(o, "answer", pc_air_answer_word(v->answer), failed);
    cj_put_text(o, "volatile", v->volatile_name, failed);
    cj_put_text(o, "why", v->why, failed);
    cj_put(o, "batches", batches(p, failed), failed);
    cj_put_number(o, "vapor_estimate_kg", v->vapor_kg, failed);
    cj_put_number(o, "vapor_upper_bound_kg", v->vapor_most_kg, failed);
    cj_put_number(o, "molar_mass_kg_mol", v->molar_mass_kg_mol, failed);
    cj_put_number(o, "air_K", v->air_K, failed);
    cj_put_number(o, "limit_fraction", v->limit_fraction, failed);
    cj_put_number(o, "mixing", v->mixing, failed);
    cj_put_number(o, "room_m3", p->piece->shop.room_m3, failed);
    cj_put_number(o, "ventilation_m3_s", p->piece->shop.ventilation_m3_s, failed);
    cj_put_number(o, "air_estimate_m3_s", v->air_m3_s, failed);
    cj_put_number(o, "still_upper_bound_fraction", v->still_fraction, failed);
    cj_put_number(o, "highest_estimate_fraction", v->highest_fraction, failed);
    cj_put_number(o, "highest_at_s", v->highest_at_s, failed);
    cj_put_number(o, "reached_estimate_fraction", v->highest_fraction, failed); /* its old name */
    cj_put_number(o, "purge_s", v->purge_s, failed);
    cj_put(o, "limits", exposures(&p->piece->resin, failed), failed);
    cj_put_number(o, "leftover_kg", hot->leftover_kg, failed);
    cj_put_number(o, "leftover_peak_K", hot->leftover_peak_K, failed);
    cj_put_number(o, "surplus_kg", hot->surplus_kg, failed);
    cj_put_number(o, "surplus_peak_K", hot->surplus_peak_K, failed);
    cj_put_number(o, "batch_peak_K", hot->batch_peak_K, failed);
    cj_put_number(o, "adiabatic_K", hot->adiabatic_K, failed);
    cj_put_number(o, "wall_peak_K", hot->wall_peak_K, failed);
    cj_put_number(o, "wall_upper_bound_K", hot->wall_most_K, failed);
    return o;
}

void supplies_json(struct cli_output *out, const struct printed_supplies *p) {
    bool failed = false;
    const pc_supplies *s = &p->supplies;
    json_t *o = json_object();
    cj_put_count(o, "format", 1, &failed);
    cj_put_text(o, "piece", p->schedule->piece, &failed);
    cj_put_text(o, "resin", p->schedule->resin, &failed);
    cj_put_bool(o, "feasible", p->schedule->feasible, &failed);
    cj_put_count(o, "castings", p->order->castings, &failed);
    cj_put(o, "needs", needs(s, &failed), &failed);
    cj_put_number(o, "cost", s->cost, &failed);
    cj_put_number(o, "resin_in_pieces_kg", s->resin_in_pieces_kg, &failed);
    cj_put_number(o, "resin_in_cups_kg", s->resin_in_cups_kg, &failed);
    if (s->resin_trimmed_kg > 0.0)
        cj_put_number(o, "resin_trimmed_kg", s->resin_trimmed_kg, &failed);
    if (s->resin_poured_back_kg > 0.0)
        cj_put_number(o, "resin_poured_back_kg", s->resin_poured_back_kg, &failed);
    cj_put_number(o, "resin_lost_kg", s->resin_lost_kg, &failed);
    cj_put_number(o, "rubber_room_m3", s->rubber_room_m3, &failed);
    cj_put_number(o, "chunks_m3", s->chunks_m3, &failed);
    cj_put_number(o, "chunks_saved_kg", s->chunks_saved_kg, &failed);
    cj_put_number(o, "shell_part_kg", s->shell_half_kg, &failed);
    cj_put_number(o, "body_kg", s->body_kg, &failed);
    cj_put_number(o, "solid_kg", s->solid_kg, &failed);
    cj_put_number(o, "saved_kg", s->saved_kg, &failed);
    cj_put_number(o, "casting_s", s->casting_s, &failed);
    cj_put_count(o, "castings_a_day", s->castings_a_day, &failed);
    cj_put_number(o, "thumb_N", p->order->thumb_N, &failed);
    cj_put_number(o, "thumb_stress_Pa", s->thumb_stress_Pa, &failed);
    cj_put_number(o, "thumb_sag_m", s->thumb_sag_m, &failed);
    cj_put_number(o, "thumb_factor", s->thumb_factor, &failed);
    cj_put_number(o, "thumb_wall_m", s->thumb_wall_m, &failed);
    cj_put(o, "joints", joints(p, &failed), &failed);
    cj_put(o, "air", air(p, &failed), &failed);
    json_t *notes = json_array();
    for (size_t i = 0; i < s->note_count; i++)
        cj_push(notes, cj_text(s->note[i]), &failed);
    cj_put(o, "notes", notes, &failed);
    cj_put_text(o, "caution", pc_deferral(), &failed);
    cj_put(o, "cautions", json_cautions(&p->cautions, &failed), &failed);
    cj_write(out, o, failed);
}

void supplies_csv(struct cli_output *out, const struct printed_supplies *p) {
    out_text(out,
             "item,unit,kit,other_kit,amount,volume_m3,part_a_kg,part_b_kg,part_a_m3,part_b_m3,"
             "kits,other_kits,cost,left_a,left_b");
    bool filled = false;
    for (size_t i = 0; i < p->supplies.need_count; i++)
        filled = filled || p->supplies.need[i].filler > 0.0;
    out_text(out, filled ? ",filler_kg\r\n" : "\r\n");
    for (size_t i = 0; i < p->supplies.need_count; i++) {
        const pc_need *n = &p->supplies.need[i];
        bool bought = n->kit[0] != '\0';
        out_printf(out, "%s,%s,", pc_supply_word(n->item), n->item == PC_SUPPLY_WIRE ? "m" : "kg");
        out_csv_text(out, n->kit);
        out_text(out, ",");
        out_csv_text(out, n->other_kit);
        const double number[] = {n->amount,
                                 n->volume_m3,
                                 n->part_a,
                                 n->part_b,
                                 n->part_a_m3,
                                 n->part_b_m3,
                                 bought ? (double)n->kits : NAN,
                                 n->other_kit[0] != '\0' ? (double)n->other_kits : NAN,
                                 bought ? n->cost : NAN,
                                 bought ? n->left_a : NAN,
                                 bought ? n->left_b : NAN,
                                 n->filler > 0.0 ? n->filler : NAN};
        out_csv_numbers(out, number, sizeof number / sizeof number[0] - (filled ? 0 : 1));
    }
}
