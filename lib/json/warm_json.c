/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `pourclock warm --json`, format 1. */
#include <math.h>
#include <stdint.h>

#include "json/json_value.h"

static json_t *cell_json(const pc_warm_cell *cell, bool *failed) {
    json_t *o = json_object();
    pci_json_number(o, "resin_K", cell->resin_K, failed);
    pci_json_number(o, "mold_K", cell->mold_K, failed);
    pci_json_number(o, "room_K", cell->room_K, failed);
    pci_json_bool(o, "feasible", cell->feasible, failed);
    pci_json_text(o, "why", cell->why, failed);
    pci_json_count(o, "layers", (long)cell->layers, failed);
    pci_json_number(o, "pot_life_s", cell->pot_life_s, failed);
    pci_json_number(o, "slack_s", cell->slack_s, failed);
    pci_json_number(o, "demold_s", cell->demold_s, failed);
    pci_json_number(o, "peak_K", cell->peak_K, failed);
    pci_json_number(o, "effort", cell->effort, failed);
    if (isfinite(cell->turn_s))
        pci_json_number(o, "turn_s", cell->turn_s, failed);
    return o;
}

static json_t *index_json(size_t index) {
    return index == SIZE_MAX ? json_null() : json_integer((json_int_t)index);
}

/* What warming asks for first, then the resin's own and every piece's. */
static void put_warm_cautions(json_t *root, json_t *list, const pc_piece *piece, bool *failed) {
    pc_cautions own;
    if (pc_cautions_of_resin(&piece->resin, piece->units, &own) != PC_OK)
        *failed = true;
    for (size_t i = 0; i < own.count; i++)
        pci_json_push(list, pci_json_string(own.item[i].text), failed);
    pc_cautions_free(&own);
    pci_json_put(root, "cautions", list, failed);
}

pc_status pc_warm_json(const pc_piece *piece, const pc_warm *warm, char **text) {
    if (!piece || !warm || !text)
        return PC_E_ARGUMENT;
    bool failed = false;
    json_t *root = json_object(), *cells = json_array(), *cautions = json_array();
    pci_json_count(root, "format", 1, &failed);
    pci_json_text(root, "piece", piece->name, &failed);
    pci_json_text(root, "resin", piece->resin.name, &failed);
    pci_json_text(root, "sentence", warm->sentence, &failed);
    pci_json_put(root, "now", cell_json(&warm->now, &failed), &failed);
    pci_json_put(root, "cheapest", index_json(warm->cheapest), &failed);
    pci_json_put(root, "fastest", index_json(warm->fastest), &failed);
    for (size_t i = 0; i < warm->count; i++)
        pci_json_push(cells, cell_json(&warm->cell[i], &failed), &failed);
    pci_json_put(root, "cells", cells, &failed);
    for (size_t i = 0; i < warm->caution_count; i++)
        pci_json_push(cautions, pci_json_string(warm->caution[i]), &failed);
    put_warm_cautions(root, cautions, piece, &failed);
    return pci_json_finish(root, failed, text);
}
