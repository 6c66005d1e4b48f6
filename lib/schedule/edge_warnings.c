/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Seams and rims: whether they bond to their forms, and stay where they are put. Solids from a
 * mesh: their vents. */

#include "base/text.h"
#include "base/try.h"
#include "piece/edges.h"
#include "pourclock/words.h"
#include "schedule/build.h"

/* The part whose edge a seam meets: the rim where the form has one. */
static size_t edge_part(const pc_piece *piece, size_t form) {
    for (size_t i = 0; i < piece->part_count; i++) {
        pci_edge edge;
        if (piece->part[i].role == PC_ROLE_RIM && pci_edge_of(piece, &piece->part[i], &edge) &&
            edge.form[0] == form)
            return i;
    }
    return form;
}

static const pc_layer *last_of(const pc_part_plan *plan) {
    return plan->layer[plan->layer_count - 1];
}

/* Halves are joined when both are out of their molds, which is mostly past their bond. */
static pc_status warn_seam_bond(const pc_piece *piece, size_t part, size_t under,
                                pc_schedule *schedule) {
    const pc_part_plan *plan = schedule->part[part], *half = schedule->part[under];
    double closes_s = pc_bond_deadline(last_of(half)), in_s = last_of(plan)->pour_end_s;
    if (!(in_s > closes_s))
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "bond-window", false);
    if (!w)
        return PC_E_MEMORY;
    pci_format(w->text, sizeof w->text,
               "%s is in at %s, after the edge of %s stopped bonding by itself at %s", plan->name,
               pc_say_from(piece->shop.start_clock_s, in_s).s, half->name,
               pc_say_by(piece->shop.start_clock_s, closes_s).s);
    pci_copy_text(w->remedy, sizeof w->remedy,
                  "key both edges: sand them wet to bare resin with coarse paper, or score them, "
                  "wipe off slurry and release, let them dry, then fill the joint; wires across it "
                  "carry what the bond may not");
    return PC_OK;
}

static pc_status warn_edge_family(const pc_piece *piece, size_t part, size_t under,
                                  pc_schedule *schedule) {
    const pc_resin *over = pc_piece_resin(piece, part, 0);
    const pc_resin *below = pc_piece_resin(piece, under, last_of(schedule->part[under])->number);
    if (over->family == below->family)
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "bond-family", false);
    if (!w)
        return PC_E_MEMORY;
    pci_say_bond_of(schedule->part[part]->name, schedule->part[under]->name, over->family,
                    below->family, w->text, sizeof w->text);
    pci_copy_text(w->remedy, sizeof w->remedy,
                  "try it on a sample of both and pull it apart; or take one family for both, and "
                  "key the edge");
    return PC_OK;
}

/* What is laid has to stay where it is put, which a plain resin does not. */
static pc_status warn_plain(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part *what = &piece->part[part];
    if (!what->laid || pc_piece_resin(piece, part, 0)->fill.parts > 0.0)
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "runs", false);
    if (!w)
        return PC_E_MEMORY;
    pci_format(w->text, sizeof w->text,
               "%s is laid in a resin without a filler, which runs out of %s before it gels",
               what->name, what->role == PC_ROLE_SEAM ? "the joint" : "its place on the edge");
    pci_copy_text(w->remedy, sizeof w->remedy,
                  "thicken it to a paste that stays on an upright scrap (filler = microballoons 20 "
                  "parts), or lie the edge level, dam it and pour (method = pour)");
    return PC_OK;
}

/* Where air is caught in a mesh takes a search of its own. */
static pc_status warn_vents(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part *solid = &piece->part[part];
    if (solid->kind != PC_SOLID || !solid->mesh_path[0])
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "vents", false);
    if (!w)
        return PC_E_MEMORY;
    if (solid->vents == 0)
        pci_format(w->text, sizeof w->text,
                   "%s has no vents stated: air may stay in its high places", solid->name);
    else
        pci_format(w->text, sizeof w->text,
                   "%s: the schedule does not check that its vents (%d) are where air is caught",
                   solid->name, solid->vents);
    pci_format(w->remedy, sizeof w->remedy,
               "pourclock traps %.160s shows where, for this way up and a better one: a vent at "
               "each, and the sprue led to the lowest point",
               solid->mesh_path);
    return PC_OK;
}

pc_status pci_edge_warnings(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    pci_edge edge;
    PCI_TRY(warn_vents(piece, part, schedule));
    if (piece->part[part].role == PC_ROLE_PLAIN || !pci_edge_of(piece, &piece->part[part], &edge))
        return PC_OK;
    for (size_t i = 0; i < edge.form_count; i++) {
        bool seam = piece->part[part].role == PC_ROLE_SEAM;
        size_t under = seam ? edge_part(piece, edge.form[i]) : edge.form[i];
        if (seam)
            PCI_TRY(warn_seam_bond(piece, part, under, schedule));
        PCI_TRY(warn_edge_family(piece, part, under, schedule));
    }
    return warn_plain(piece, part, schedule);
}
