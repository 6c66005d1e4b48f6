/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A plan begun at another time of a shop whose air stays as it is. */
#include "plan/part.h"

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
        shift_layer(&plan->layer[j], by_s);
    plan->demold_s += by_s;
    plan->demold_late_s += by_s;
    plan->bond_by_s += by_s;
}
