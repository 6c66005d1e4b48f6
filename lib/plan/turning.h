/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Turning in the plan: how even each layer comes out, when a drained one is poured out. */
#ifndef PCI_PLAN_TURNING_H
#define PCI_PLAN_TURNING_H

#include "plan/part.h"
#include "pourclock/turn.h"

/* As pc_turn_plan_make, of a part planned. */
pc_status pci_turn_histories(const pci_case *c, const pc_part_plan *planned, pc_turn_plan *plan);

/* Purpose:  fill in thin_m, mean_m, thick_m, lump_m3 and unevenness, or drain_s and surplus_kg, of
 *           the layers of a planned hollow part, and warn of thin places and of layers that
 *           cannot be drained. What cannot be had stays NaN.
 * Returned: PC_OK, PC_E_MEMORY, PC_E_NUMERIC. */
pc_status pci_turn_part(const pci_case *c, pc_part_plan *planned, pc_schedule *schedule);

#endif
