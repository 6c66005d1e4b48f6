/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `pourclock traps --json`, format 1. */
#include "json/json_value.h"

/* Of the bore that no bubble stays in. */
static double vents_m3(const pc_traps *t, double bore_m) {
    const double pi = 3.14159265358979323846;
    return pi / 4.0 * bore_m * bore_m * t->vents_m;
}

static void put_point(json_t *object, const char *key, const double at[3], bool *failed) {
    json_t *point = json_array();
    for (int a = 0; a < 3; a++)
        pci_json_push(point, pci_json_real(at[a]), failed);
    pci_json_put(object, key, point, failed);
}

static void put_narrows(json_t *root, const pc_narrows *n, bool *failed) {
    json_t *tips = json_array(), *necks = json_array();
    for (size_t i = 0; i < n->tip_count; i++) {
        json_t *tip = json_object();
        put_point(tip, "at_m", n->tip[i].at_m, failed);
        pci_json_number(tip, "length_m", n->tip[i].length_m, failed);
        pci_json_number(tip, "width_m", n->tip[i].width_m, failed);
        pci_json_number(tip, "volume_m3", n->tip[i].volume_m3, failed);
        pci_json_push(tips, tip, failed);
    }
    for (size_t i = 0; i < n->neck_count; i++) {
        json_t *neck = json_object();
        put_point(neck, "at_m", n->neck[i].at_m, failed);
        pci_json_number(neck, "width_m", n->neck[i].width_m, failed);
        pci_json_number(neck, "wider_chamber_m", n->neck[i].chamber_m[0], failed);
        pci_json_number(neck, "narrower_chamber_m", n->neck[i].chamber_m[1], failed);
        pci_json_push(necks, neck, failed);
    }
    pci_json_put(root, "tips", tips, failed);
    pci_json_put(root, "necks", necks, failed);
}

/* The way up that takes the fewest vents; null where it was not looked for, or there is no trap. */
static json_t *fewest_json(const pc_traps *fewest, double bore_m, bool *failed) {
    if (!fewest || !fewest->trap)
        return json_null();
    json_t *o = json_object();
    put_point(o, "up", fewest->up, failed);
    pci_json_count(o, "vents", (long)fewest->groups, failed);
    pci_json_number(o, "vents_m3", vents_m3(fewest, bore_m), failed);
    pci_json_number(o, "trapped_m3", fewest->trapped_m3, failed);
    return o;
}

static json_t *trap_json(const pc_trap *trap, bool *failed) {
    json_t *o = json_object();
    put_point(o, "at_m", trap->at_m, failed);
    pci_json_number(o, "depth_m", trap->depth_m, failed);
    pci_json_number(o, "volume_m3", trap->volume_m3, failed);
    pci_json_count(o, "group", trap->group, failed);
    pci_json_number(o, "vent_run_m", trap->vent_run_m, failed);
    pci_json_bool(o, "vent_clear", trap->vent_clear, failed);
    return o;
}

pc_status pc_traps_json(const pc_traps *traps, const pc_traps *fewest, const pc_narrows *narrows,
                        double bore_m, char **text) {
    if (!traps || !narrows || !text)
        return PC_E_ARGUMENT;
    bool failed = false;
    json_t *root = json_object(), *list = json_array();
    pci_json_count(root, "format", 1, &failed);
    put_point(root, "up", traps->up, &failed);
    put_point(root, "vent_m", traps->vent_m, &failed);
    pci_json_number(root, "trapped_m3", traps->trapped_m3, &failed);
    pci_json_number(root, "cell_m", traps->cell_m, &failed);
    for (size_t i = 0; i < traps->count; i++)
        pci_json_push(list, trap_json(&traps->trap[i], &failed), &failed);
    pci_json_put(root, "traps", list, &failed);
    pci_json_number(root, "bore_m", bore_m, &failed);
    pci_json_number(root, "vents_m3", vents_m3(traps, bore_m), &failed);
    pci_json_put(root, "fewest_vents", fewest_json(fewest, bore_m, &failed), &failed);
    put_narrows(root, narrows, &failed);
    return pci_json_finish(root, failed, text);
}
