/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A plan in its room, copied, and begun at another time of a shop whose air stays as it is. */
#include "plan/part.h"

#include <string.h>

pc_part_plan *pci_part_in(pci_part_room *room) {
    memset(&room->plan, 0, sizeof room->plan);
    room->plan.layer = room->at;
    for (size_t j = 0; j < PC_LAYERS_MOST; j++)
        room->at[j] = &room->layer[j];
    return &room->plan;
}

void pci_part_copy(const pc_part_plan *from, pc_part_plan *to) {
    pc_layer **layer = to->layer;
    *to = *from;
    to->layer = layer;
    for (size_t j = 0; j < from->layer_count; j++)
        *layer[j] = *from->layer[j];
}

static void shift_layer(pc_layer *layer, double by_s) {
    double *const times[] = {
        &layer->mix_s,      &layer->pour_s,          &layer->pour_end_s,  &layer->pour_by_s,
        &layer->set_s,      &layer->first_gel_s,     &layer->gel_s,       &layer->stop_s,
        &layer->opens_s,    &layer->closes_s,        &layer->peak_s,      &layer->closes_alone_s,
        &layer->drain_s,    &layer->pour_by_early_s, &layer->set_early_s, &layer->gel_early_s,
        &layer->gel_late_s, &layer->closes_early_s,
    };
    for (size_t i = 0; i < sizeof times / sizeof *times; i++)
        *times[i] += by_s;
}

void pci_part_shift(pc_part_plan *plan, double by_s) {
    for (size_t j = 0; j < plan->layer_count && by_s != 0.0; j++)
        shift_layer(plan->layer[j], by_s);
    plan->demold_s += by_s;
    plan->demold_late_s += by_s;
    plan->bond_by_s += by_s;
}
