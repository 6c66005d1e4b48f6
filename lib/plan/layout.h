/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How a wall, or a solid's half-thickness, is divided into layers, and what each one weighs. */
#ifndef PCI_PLAN_LAYOUT_H
#define PCI_PLAN_LAYOUT_H

#include "pourclock/piece.h"
#include "pourclock/schedule.h"

#define PCI_FIRST_LAYER_MOST_M 1.5e-3
#define PCI_POT_SHARE          0.8 /* mixing and pouring take no more of the pot life */

/* Purpose:  fewest layers a part can have: two where the first is stated and is not all of the
 * wall; and the most, before they get too thin to cover. */
int pci_layers_least(const pc_part *part);
int pci_layers_most(const pc_part *part);

/* Whether a layer of a part is turned; swirled and poured out again; brushed. At most one is. */
bool pci_turned(const pc_piece *piece, const pc_part *part, int number);
bool pci_drained(const pc_piece *piece, const pc_part *part, int number);
bool pci_brushed(const pc_piece *piece, const pc_part *part, int number);

/* Purpose:  fill number, depth, thickness, volume, batch, parts A and B and cups of each layer.
 * Given:    count >= 1; split: a batch over the largest mix is mixed in several equal cups; else
 *           cups stays 1 whatever the batch.
 * Returned: PC_OK, PC_E_ARGUMENT. */
pc_status pci_layout(const pc_piece *piece, const pc_part *part, int count, bool split,
                     pc_part_plan *plan);

/* Purpose:  mass of one cup of a layer, kg. */
double pci_cup_kg(const pc_layer *layer);

/* Purpose:  take what the cup does over into a layer mixed at mix_s: its pot life, gel, peak, and
 *           by when it has to be poured. */
void pci_layer_cup(pc_layer *layer, const pc_cup_events *cup);

/* Purpose:  time from the first stir to the first pour, s. The cups of a hollow's layer are all
 *           mixed before they are poured, since it is turned whole; those of a solid are mixed and
 *           poured one after the other. More hands mix side by side. */
double pci_mix_time(const pc_shop *shop, const pc_layer *layer);

/* Purpose:  mix_s, pour_s and pour_end_s of a layer that is mixed from mix_s on. */
void pci_layer_clock(const pc_shop *shop, double mix_s, pc_layer *layer);

/* Purpose:  when the last of a layer's cups is mixed, the one its deadline is counted from. */
double pci_last_mix(const pc_layer *layer);

/* Purpose:  half-thickness of a solid part for the heat: V/A, 2V/A or 3V/A; where the area is not
 *           known, that of the equal-volume sphere, the least there is, so that it errs hot. */
double pci_solid_half_m(const pc_part *part);

#endif
