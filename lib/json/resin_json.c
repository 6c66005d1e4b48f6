/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `pourclock resin --json`, format 1: one resin, and the shelf. */
#include <math.h>
#include <stdlib.h>

#include "json/json_value.h"

enum { SHELF_MOST = 256 };
static const double CUP_KG = 0.1; /* the cup that data sheets speak of */

static json_t *json_row(const pc_resin_row *row, bool *failed) {
    json_t *o = json_object();
    pci_json_number(o, "T_K", row->T_K, failed);
    pci_json_number(o, "mass_kg", row->mass_kg, failed);
    pci_json_number(o, "pot_life_s", row->cup.pot_life_s, failed);
    pci_json_number(o, "cup_gel_s", row->cup.gel_s, failed);
    pci_json_number(o, "cup_peak_K", row->cup.peak_K, failed);
    pci_json_number(o, "film_m", row->film_m, failed);
    pci_json_number(o, "film_gel_s", row->film.gel_s, failed);
    pci_json_number(o, "film_gel_low_s", row->film.gel_low_s, failed);
    pci_json_number(o, "film_gel_high_s", row->film.gel_high_s, failed);
    pci_json_number(o, "demold_s", row->film.demold_s, failed);
    pci_json_number(o, "demold_low_s", row->film.demold_low_s, failed);
    pci_json_number(o, "demold_high_s", row->film.demold_high_s, failed);
    return o;
}

static json_t *json_constants(const pc_cure *cure, bool *failed) {
    json_t *o = json_object();
    pci_json_number(o, "A1_per_s", cure->A1_per_s, failed);
    pci_json_number(o, "E1_J_mol", cure->E1_J_mol, failed);
    pci_json_number(o, "A2_per_s", cure->A2_per_s, failed);
    pci_json_number(o, "E2_J_mol", cure->E2_J_mol, failed);
    pci_json_number(o, "m", cure->m, failed);
    pci_json_number(o, "n", cure->n, failed);
    pci_json_number(o, "heat_J_kg", cure->heat_J_kg, failed);
    pci_json_number(o, "a_pot", cure->a_pot, failed);
    pci_json_number(o, "a_gel", cure->a_gel, failed);
    pci_json_number(o, "a_bond", cure->a_bond, failed);
    pci_json_number(o, "a_demold", cure->a_demold, failed);
    return o;
}

static json_t *json_mix(const pc_resin *resin, bool *failed) {
    json_t *o = json_object();
    pci_json_text(o, "filler", resin->fill.of.name, failed);
    pci_json_number(o, "filler_parts", resin->fill.parts, failed);
    pci_json_number(o, "filler_share", resin->fill.share, failed);
    pci_json_number(o, "filler_volume_share", resin->fill.volume_share, failed);
    pci_json_number(o, "part_a_share", resin->share_a, failed);
    pci_json_number(o, "part_b_share", resin->share_b, failed);
    pci_json_number(o, "density_kg_m3", resin->density_kg_m3, failed);
    pci_json_number(o, "cp_J_kgK", resin->cure.cp_J_kgK, failed);
    pci_json_number(o, "conductivity_W_mK", resin->cure.k_W_mK, failed);
    pci_json_number(o, "heat_J_kg", resin->cure.heat_J_kg, failed);
    pci_json_number(o, "viscosity_Pa_s", resin->flow.mu_ref_Pa_s, failed);
    return o;
}

/* The sheet's figures in the order they are fitted. */
static json_t *json_data(const pc_data_sheet *sheet, bool *failed) {
    json_t *data = json_array();
    for (size_t i = 0; i < sheet->count; i++) {
        const pc_datum *d = &sheet->datum[i];
        json_t *o = json_object();
        pci_json_text(o, "key", pc_datum_word(d), failed);
        pci_json_number(o, "stated", d->value, failed);
        pci_json_number(o, "model", d->model, failed);
        pci_json_number(o, "residual", d->residual, failed);
        pci_json_number(o, "spread", d->spread, failed);
        pci_json_push(data, o, failed);
    }
    return data;
}

pc_status pc_resin_json(const pc_resin *resin, size_t count, const pc_resin_row *row, char **text) {
    if (!resin || (count > 0 && !row) || !text)
        return PC_E_ARGUMENT;
    bool failed = false;
    json_t *top = json_object(), *rows = json_array();
    pci_json_count(top, "format", 1, &failed);
    pci_json_text(top, "resin", resin->name, &failed);
    for (size_t i = 0; i < count; i++)
        pci_json_push(rows, json_row(&row[i], &failed), &failed);
    pci_json_put(top, "rows", rows, &failed);
    pci_json_put(top, "data", json_data(&resin->sheet, &failed), &failed);
    pci_json_put(top, "constants", json_constants(&resin->cure, &failed), &failed);
    if (resin->fill.parts > 0.0)
        pci_json_put(top, "mix", json_mix(resin, &failed), &failed);
    pci_json_resin_cautions(top, resin, PC_METRIC, &failed);
    return pci_json_finish(top, failed, text);
}

/* A resin whose file is wrong is reported as not readable. */
static json_t *json_place(const pc_shelf_resin *place, bool *failed) {
    pc_resin resin;
    json_t *o = json_object();
    bool readable = pc_resin_find(place->name, NULL, &resin, NULL) == PC_OK;
    pci_json_text(o, "resin", place->name, failed);
    pci_json_bool(o, "built_in", place->built_in, failed);
    pci_json_text(o, "folder", place->folder, failed);
    pci_json_bool(o, "readable", readable, failed);
    if (readable) {
        pc_resin_row row;
        if (pc_resin_times(&resin, PC_SHEET_K, CUP_KG, 0.0, &row) != PC_OK)
            row.cup.pot_life_s = NAN;
        pci_json_text(o, "name", resin.name, failed);
        pci_json_text(o, "family", pc_family_word(resin.family), failed);
        pci_json_number(o, "pot_life_s", row.cup.pot_life_s, failed);
        pci_json_number(o, "pot_life_mass_kg", CUP_KG, failed);
        pci_json_number(o, "pot_life_T_K", PC_SHEET_K, failed);
    }
    return o;
}

pc_status pc_shelf_json(char **text) {
    if (!text)
        return PC_E_ARGUMENT;
    *text = NULL;
    pc_shelf_resin *place = calloc(SHELF_MOST, sizeof *place);
    if (!place)
        return PC_E_MEMORY;
    size_t count = pc_shelf_list(SHELF_MOST, place);
    bool failed = false;
    json_t *top = json_object(), *list = json_array();
    pci_json_count(top, "format", 1, &failed);
    for (size_t i = 0; i < count && i < SHELF_MOST; i++)
        pci_json_push(list, json_place(&place[i], &failed), &failed);
    pci_json_put(top, "shelf", list, &failed);
    free(place);
    return pci_json_finish(top, failed, text);
}
