/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A slug that is swirled round a mold and poured out again. */
#ifndef PCI_WALL_POUR_OUT_H
#define PCI_WALL_POUR_OUT_H

#include "wall/layers.h"

/* Purpose:  take the last layer out of a wall again: the wall as it was before that layer was
 *           poured goes on from the temperatures, the cure and the events it has by now.
 * Given:    before: a copy made just before the layer was poured; wall: the same since then.
 * Returned: *before at the wall's time; PC_OK; PC_E_ARGUMENT (before is not such a copy).
 * Notes:    the heat that leaves with the layer is in no book: pci_wall_energy_now of a wall that
 *           was poured out of does not balance. */
pc_status pci_wall_pour_out(pci_wall *before, const pci_wall *wall);

#endif
