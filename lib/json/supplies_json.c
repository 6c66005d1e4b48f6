/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `pourclock supplies --json`, format 1. */
#include <string.h>

#include "safety/air_sums.h"
#include "json/json_value.h"

/* What is reported beside the supplies themselves. */
typedef struct supplies_facts {
    const pc_piece *piece;
    const pc_schedule *schedule;
    const pc_order *order;
    const pc_supplies *supplies;
    pc_ventilation air;
    pc_standing standing;
    pc_cautions cautions;
} supplies_facts;

static json_t *needs(const pc_supplies *s, bool *failed) {
    json_t *list = json_array();
    for (size_t i = 0; i < s->need_count; i++) {
        const pc_need *n = &s->need[i];
        json_t *o = json_object();
        pci_json_text(o, "item", pc_supply_word(n->item), failed);
        if (n->name[0])
            pci_json_text(o, "name", n->name, failed);
        pci_json_number(o, n->item == PC_SUPPLY_WIRE ? "length_m" : "mass_kg", n->amount, failed);
        pci_json_number(o, "volume_m3", n->volume_m3, failed);
        pci_json_number(o, "part_a_kg", n->part_a, failed);
        pci_json_number(o, "part_b_kg", n->part_b, failed);
        if (n->filler > 0.0)
            pci_json_number(o, "filler_kg", n->filler, failed);
        if (n->filler > 0.0)
            pci_json_text(o, "fillers", n->fillers, failed);
        pci_json_number(o, "part_a_m3", n->part_a_m3, failed);
        pci_json_number(o, "part_b_m3", n->part_b_m3, failed);
        if (n->kit[0]) {
            pci_json_text(o, "kit", n->kit, failed);
            pci_json_count(o, "kits", n->kits, failed);
            if (n->other_kit[0]) {
                pci_json_text(o, "other_kit", n->other_kit, failed);
                pci_json_count(o, "other_kits", n->other_kits, failed);
            }
            pci_json_number(o, "cost", n->cost, failed);
            pci_json_number(o, n->item == PC_SUPPLY_WIRE ? "left_a_m" : "left_a_kg", n->left_a,
                            failed);
            pci_json_number(o, "left_b_kg", n->left_b, failed);
            pci_json_count(o, "castings_per_kit", n->castings_per_kit, failed);
        }
        pci_json_push(list, o, failed);
    }
    return list;
}

static json_t *molds(const pc_supplies *s, bool *failed) {
    json_t *list = json_array();
    for (size_t i = 0; i < s->mold_count; i++) {
        json_t *o = json_object();
        if (s->mold[i].name[0])
            pci_json_text(o, "name", s->mold[i].name, failed);
        pci_json_text(o, "parts", s->mold[i].parts, failed);
        pci_json_number(o, "rubber_kg", s->mold[i].rubber_kg, failed);
        pci_json_number(o, "shell_kg", s->mold[i].shell_kg, failed);
        pci_json_push(list, o, failed);
    }
    return list;
}

static json_t *joints(const supplies_facts *p, bool *failed) {
    json_t *list = json_array();
    for (size_t i = 0; i < p->supplies->joint_count; i++) {
        const pc_joint *pin = &p->order->pin[i];
        const pc_joint_result *r = &p->supplies->joint[i];
        json_t *o = json_object();
        pci_json_text(o, "name", pin->name, failed);
        pci_json_text(o, "metal", pin->metal->name, failed);
        pci_json_count(o, "count", pin->count, failed);
        pci_json_number(o, "wire_m", r->wire_m, failed);
        pci_json_number(o, "socket_m", r->socket_m, failed);
        pci_json_number(o, "stress_Pa", r->stress_Pa, failed);
        pci_json_number(o, "factor", r->factor, failed);
        pci_json_number(o, "buckling_factor", r->buckling_factor, failed);
        pci_json_number(o, "socket_factor", r->socket_factor, failed);
        pci_json_number(o, "sag_m", r->sag_m, failed);
        pci_json_number(o, "displaced_m3", r->displaced_m3, failed);
        pci_json_number(o, "least_wire_m", r->least_wire_m, failed);
        pci_json_bool(o, "holds", r->holds, failed);
        pci_json_push(list, o, failed);
    }
    return list;
}

static json_t *batches(const supplies_facts *p, const pc_ventilation *v, bool *failed) {
    json_t *list = json_array();
    for (size_t i = 0; i < v->batch_count; i++) {
        const pc_air_batch *b = &v->batch[i];
        json_t *o = json_object();
        pci_json_text(o, "part", p->schedule->part[b->part]->name, failed);
        pci_json_count(o, "layer", b->layer, failed);
        pci_json_number(o, "from_s", b->from_s, failed);
        pci_json_number(o, "to_s", b->to_s, failed);
        pci_json_number(o, "vapor_kg", b->vapor_kg, failed);
        pci_json_push(list, o, failed);
    }
    return list;
}

static json_t *exposure(const pc_exposure *row, bool *failed) {
    json_t *o = json_object();
    pci_json_text(o, "substance", row->substance, failed);
    pci_json_text(o, "source", row->source, failed);
    pci_json_text(o, "date", row->date, failed);
    pci_json_number(o, "niosh_fraction", row->niosh_fraction, failed);
    pci_json_number(o, "niosh_kg_m3", row->niosh_kg_m3, failed);
    pci_json_number(o, "niosh_short_fraction", row->niosh_short_fraction, failed);
    pci_json_number(o, "niosh_ceiling_fraction", row->niosh_ceiling_fraction, failed);
    pci_json_number(o, "niosh_ceiling_kg_m3", row->niosh_ceiling_kg_m3, failed);
    pci_json_number(o, "osha_fraction", row->osha_fraction, failed);
    pci_json_number(o, "osha_ceiling_fraction", row->osha_ceiling_fraction, failed);
    pci_json_number(o, "osha_peak_fraction", row->osha_peak_fraction, failed);
    pci_json_number(o, "idlh_fraction", row->idlh_fraction, failed);
    pci_json_number(o, "idlh_kg_m3", row->idlh_kg_m3, failed);
    pci_json_bool(o, "skin", row->skin, failed);
    pci_json_bool(o, "carcinogen", row->carcinogen, failed);
    return o;
}

static json_t *exposures(const pc_resin *resin, bool *failed) {
    const pc_exposure *row[8];
    json_t *list = json_array();
    size_t count = pci_exposure_of(resin, row, sizeof row / sizeof row[0]);
    for (size_t i = 0; i < count; i++)
        pci_json_push(list, exposure(row[i], failed), failed);
    return list;
}

static json_t *vapor(const supplies_facts *p, const pc_ventilation *v, const pc_resin *mix,
                     bool *failed) {
    json_t *o = json_object();
    pci_json_text(o, "answer", pci_air_answer_word(v->answer), failed);
    pci_json_text(o, "volatile", v->volatile_name, failed);
    pci_json_text(o, "why", v->why, failed);
    pci_json_put(o, "batches", batches(p, v, failed), failed);
    pci_json_number(o, "vapor_estimate_kg", v->vapor_kg, failed);
    pci_json_number(o, "vapor_upper_bound_kg", v->vapor_most_kg, failed);
    pci_json_number(o, "molar_mass_kg_mol", v->molar_mass_kg_mol, failed);
    pci_json_number(o, "air_K", v->air_K, failed);
    pci_json_number(o, "limit_fraction", v->limit_fraction, failed);
    pci_json_number(o, "mixing", v->mixing, failed);
    pci_json_number(o, "room_m3", p->piece->shop.room_m3, failed);
    pci_json_number(o, "ventilation_m3_s", p->piece->shop.ventilation_m3_s, failed);
    pci_json_number(o, "air_estimate_m3_s", v->air_m3_s, failed);
    pci_json_number(o, "still_upper_bound_fraction", v->still_fraction, failed);
    pci_json_number(o, "highest_estimate_fraction", v->highest_fraction, failed);
    pci_json_number(o, "highest_at_s", v->highest_at_s, failed);
    pci_json_number(o, "reached_estimate_fraction", v->highest_fraction, failed); /* its old name */
    pci_json_number(o, "purge_s", v->purge_s, failed);
    pci_json_put(o, "limits", exposures(mix, failed), failed);
    return o;
}

static json_t *air(const supplies_facts *p, bool *failed) {
    const pc_standing *hot = &p->standing;
    json_t *o = vapor(p, &p->air, &p->piece->resin, failed);
    pci_json_number(o, "leftover_kg", hot->leftover_kg, failed);
    pci_json_number(o, "leftover_peak_K", hot->leftover_peak_K, failed);
    pci_json_number(o, "surplus_kg", hot->surplus_kg, failed);
    pci_json_number(o, "surplus_peak_K", hot->surplus_peak_K, failed);
    pci_json_number(o, "batch_peak_K", hot->batch_peak_K, failed);
    pci_json_number(o, "adiabatic_K", hot->adiabatic_K, failed);
    pci_json_number(o, "wall_peak_K", hot->wall_peak_K, failed);
    pci_json_number(o, "wall_upper_bound_K", hot->wall_most_K, failed);
    return o;
}

/* What resins of parts and layers give off beside the piece's own. */
static json_t *other_air(const supplies_facts *p, bool *failed) {
    json_t *list = json_array();
    pc_ventilation v;
    const pc_resin *mix;
    for (size_t i = 0;; i++) {
        pc_status status = pc_ventilation_of_vapor(p->piece, p->schedule, i, &mix, &v);
        *failed = *failed || status != PC_OK;
        if (status != PC_OK || !mix)
            return list;
        if (strcmp(v.volatile_name, p->air.volatile_name) != 0)
            pci_json_push(list, vapor(p, &v, mix, failed), failed);
    }
}

static pc_status write_answer(const supplies_facts *p, char **text) {
    bool failed = false;
    const pc_supplies *s = p->supplies;
    json_t *o = json_object();
    pci_json_count(o, "format", 1, &failed);
    pci_json_text(o, "piece", p->schedule->piece, &failed);
    pci_json_text(o, "resin", p->schedule->resin, &failed);
    pci_json_bool(o, "feasible", p->schedule->feasible, &failed);
    pci_json_count(o, "castings", p->order->castings, &failed);
    pci_json_put(o, "needs", needs(s, &failed), &failed);
    if (p->piece->part_count > 1)
        pci_json_put(o, "molds", molds(s, &failed), &failed);
    pci_json_number(o, "cost", s->cost, &failed);
    pci_json_number(o, "resin_in_pieces_kg", s->resin_in_pieces_kg, &failed);
    pci_json_number(o, "resin_in_cups_kg", s->resin_in_cups_kg, &failed);
    if (s->resin_trimmed_kg > 0.0)
        pci_json_number(o, "resin_trimmed_kg", s->resin_trimmed_kg, &failed);
    if (s->resin_poured_back_kg > 0.0)
        pci_json_number(o, "resin_poured_back_kg", s->resin_poured_back_kg, &failed);
    pci_json_number(o, "resin_lost_kg", s->resin_lost_kg, &failed);
    pci_json_number(o, "rubber_room_m3", s->rubber_room_m3, &failed);
    pci_json_number(o, "chunks_m3", s->chunks_m3, &failed);
    pci_json_number(o, "chunks_saved_kg", s->chunks_saved_kg, &failed);
    pci_json_number(o, "shell_part_kg", s->shell_half_kg, &failed);
    pci_json_number(o, "body_kg", s->body_kg, &failed);
    pci_json_number(o, "solid_kg", s->solid_kg, &failed);
    pci_json_number(o, "saved_kg", s->saved_kg, &failed);
    pci_json_number(o, "casting_s", s->casting_s, &failed);
    pci_json_count(o, "castings_a_day", s->castings_a_day, &failed);
    pci_json_number(o, "thumb_N", p->order->thumb_N, &failed);
    pci_json_number(o, "thumb_stress_Pa", s->thumb_stress_Pa, &failed);
    pci_json_number(o, "thumb_sag_m", s->thumb_sag_m, &failed);
    pci_json_number(o, "thumb_factor", s->thumb_factor, &failed);
    pci_json_number(o, "thumb_wall_m", s->thumb_wall_m, &failed);
    pci_json_put(o, "joints", joints(p, &failed), &failed);
    pci_json_put(o, "air", air(p, &failed), &failed);
    if (p->piece->mix_count > 0)
        pci_json_put(o, "other_air", other_air(p, &failed), &failed);
    json_t *notes = json_array();
    for (size_t i = 0; i < s->note_count; i++)
        pci_json_push(notes, pci_json_string(s->note[i]), &failed);
    pci_json_put(o, "notes", notes, &failed);
    pci_json_text(o, "caution", PC_DEFERRAL, &failed);
    pci_json_put(o, "cautions", pci_json_cautions(&p->cautions, &failed), &failed);
    return pci_json_finish(o, failed, text);
}

pc_status pc_supplies_json(const pc_piece *piece, const pc_schedule *schedule,
                           const pc_order *order, const pc_supplies *supplies, char **text) {
    if (!piece || !schedule || !order || !supplies || !text)
        return PC_E_ARGUMENT;
    *text = NULL;
    supplies_facts facts = {
        .piece = piece, .schedule = schedule, .order = order, .supplies = supplies};
    pc_status status = pci_ventilation_of(piece, schedule, &facts.air);
    if (status == PC_OK)
        status = pc_standing_of(piece, schedule, &facts.standing);
    if (status == PC_OK)
        status = pc_cautions_make(piece, schedule, piece->units, &facts.cautions);
    if (status == PC_OK)
        status = write_answer(&facts, text);
    pc_cautions_free(&facts.cautions);
    return status;
}
