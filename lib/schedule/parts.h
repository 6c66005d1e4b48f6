/* SPDX-License-Identifier: GPL-3.0-or-later */
/* All parts of a piece planned: those of one mold after each other, the molds side by side. */
#ifndef PCI_SCHEDULE_PARTS_H
#define PCI_SCHEDULE_PARTS_H

#include <math.h>

#include "piece/molds.h"
#include "plan/part.h"

/* What all parts are planned as; refine and tolerance as in pci_case, 0: the default. */
typedef struct pci_how {
    double refine, tolerance;
    bool margins;
    const pc_map *sphere; /* as in pci_case; may be NULL */
    bool limits_only;     /* as in pci_case */
} pci_how;

/* Purpose:  plan every part, at the time it is poured in the schedule of the whole piece.
 * Given:    a piece of 1 to PC_PARTS_MOST parts whose order runs in no circle.
 * Returned: plan[] and limits[] in the order of the file; parts of one mold have the demold of the
 *           last of them; PC_OK; as pci_part_split; PC_E_VALUE: a circle. */
pc_status pci_plan_parts(const pc_piece *piece, const pci_how *how, pc_part_plan *const plan[],
                         pci_limits limits[]);

/* Purpose:  let parts of one mold leave it together: each gets the last demold of them. */
void pci_demold_together(pc_part_plan *const plan[], size_t count);

/* Purpose:  the part poured before, or after, another in its mold.
 * Given:    plans of count parts. Returned: its index; count where there is none. */
size_t pci_part_below(pc_part_plan *const plan[], size_t count, size_t part);
size_t pci_part_above(pc_part_plan *const plan[], size_t count, size_t part);

/* Purpose:  time to make a part ready before its first mix, s: to set its wires into the mold, to
 *           put the halves of a seam together, to turn the mold over; 0: there is nothing to do. */
#define PCI_SET_S  60.0  /* a wire, roughened and cut beforehand (practice) */
#define PCI_JOIN_S 900.0 /* two halves keyed, put together, clamped and taped (practice) */
#define PCI_OVER_S 60.0  /* a mold turned over and set level (judgment) */
double pci_set_time(const pc_piece *piece, size_t part);

/* Purpose:  when that begins: before the first mix; but wires that stand in a solid are set into
 * its last pour while it is wet, since nothing is pushed into what has gelled. */
double pci_set_begins(const pc_piece *piece, pc_part_plan *const plan[], size_t part);
bool pci_set_in_wet(const pc_piece *piece, pc_part_plan *const plan[], size_t part);

/* Until when what is poured on a layer bonds, by the plan: late too, alone too. fmin drops NaN. */
static inline double pci_bond_closes(const pc_layer *layer) {
    return fmin(layer->closes_s, layer->closes_alone_s);
}

/* Whether a pin of the piece is set for a part. */
bool pci_pin_is_of(const pc_piece *piece, size_t pin, size_t part);

#endif
