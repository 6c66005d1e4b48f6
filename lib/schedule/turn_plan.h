/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A planned part's layers made ready for turning. */
#ifndef PCI_SCHEDULE_TURN_PLAN_H
#define PCI_SCHEDULE_TURN_PLAN_H

#include "pourclock/turn.h"

/* Purpose:  the layers of a part with the viscosity each has from pour to gel.
 * Given:    piece; schedule made of it (feasible or not); part: index of a hollow part.
 * Returned: *plan, to be freed by pci_turn_plan_free (also after an error); PC_OK; PC_E_ARGUMENT
 * (no such part, a solid one); PC_E_UNREACHED (a layer that never gels); PC_E_LIMIT (one that has
 * gelled before it is in); PC_E_MEMORY; PC_E_NUMERIC. Notes:    runs the part's wall once more. */
pc_status pci_turn_plan_make(const pc_piece *piece, const pc_schedule *schedule, size_t part,
                             pc_turn_plan *plan);

/* Purpose:  free histories and blank them; NULL is allowed. */
void pci_turn_plan_free(pc_turn_plan *plan);

#endif
