/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `pourclock area --json`, format 1. */
#include "json/json_value.h"

static void put_answer(json_t *root, const pc_area *a, bool *failed) {
    json_t *shell = json_array();
    for (size_t k = 0; k < a->walls; k++) {
        json_t *row = json_object();
        pci_json_number(row, "wall_m", a->wall_m[k], failed);
        pci_json_number(row, "volume_m3", a->shell_m3[k], failed);
        pci_json_number(row, "filled_m3", a->filled_m3[k], failed);
        pci_json_number(row, "resin_kg", a->shell_m3[k] * a->density_kg_m3, failed);
        pci_json_push(shell, row, failed);
    }
    pci_json_number(root, "area_m2", a->area_m2, failed);
    pci_json_number(root, "volume_m3", a->volume_m3, failed);
    pci_json_number(root, "mean_curvature_m", a->mean_curvature_m, failed);
    pci_json_bool(root, "closed", a->closed, failed);
    pci_json_put(root, "facets",
                 a->is_mesh ? json_integer((json_int_t)a->report.facets) : json_null(), failed);
    pci_json_put(root, "components",
                 a->is_mesh ? json_integer((json_int_t)a->report.components) : json_null(), failed);
    if (a->is_mesh) {
        pci_json_count(root, "degenerate", (long)a->report.degenerate, failed);
        pci_json_count(root, "open_edges", (long)a->report.open_edges, failed);
        pci_json_count(root, "crowded_edges", (long)a->report.crowded_edges, failed);
        pci_json_count(root, "flipped", (long)a->report.flipped, failed);
        pci_json_count(root, "inside_out", (long)a->report.inside_out, failed);
        pci_json_count(root, "doubled", (long)a->report.doubled, failed);
        pci_json_count(root, "hollows", (long)a->report.hollows, failed);
        pci_json_count(root, "holes_closed", (long)a->report.holes_closed, failed);
        pci_json_number(root, "holes_m2", a->report.holes_m2, failed);
        pci_json_number(root, "rim_m2", a->report.rim_m2, failed);
        pci_json_number(root, "overlap_m3", a->report.overlap_m3, failed);
        pci_json_number(root, "euler", a->report.euler, failed);
        pci_json_text(root, "why_no_volume", a->report.why_no_volume, failed);
        pci_json_text(root, "note", a->report.note, failed);
    }
    pci_json_put(root, "shell", shell, failed);
}

pc_status pc_area_json(size_t count, const pc_area *area, char **text) {
    if (count < 1 || !area || !text)
        return PC_E_ARGUMENT;
    bool failed = false;
    json_t *root = json_object();
    pci_json_count(root, "format", 1, &failed);
    put_answer(root, &area[0], &failed);
    if (count > 1) {
        json_t *parts = json_array();
        for (size_t i = 0; i < count; i++) {
            json_t *part = json_object();
            pci_json_text(part, "name", area[i].name, &failed);
            put_answer(part, &area[i], &failed);
            pci_json_push(parts, part, &failed);
        }
        pci_json_put(root, "parts", parts, &failed);
    }
    return pci_json_finish(root, failed, text);
}
