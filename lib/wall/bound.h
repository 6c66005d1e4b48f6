/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How long a wall may be worked on, counted and not timed: the same on every machine. */
#ifndef PCI_WALL_BOUND_H
#define PCI_WALL_BOUND_H

#include "wall/layers.h"

/* Purpose:  end advancing with PC_E_LIMIT where resin gets hotter than this (0: never); unlike the
 *           spec's stop_above_K it leaves the grid, and so every number of a run it does not end.
 */
void pci_wall_stop_above(pci_wall *wall, double T_K);

/* Purpose:  bound the work; advancing ends with PC_E_NUMERIC beyond it. A new wall has a bound no
 *           resin of a data sheet comes near. Given: work, node-steps: each step tried counts the
 *           nodes it solves for. */
void pci_wall_bound_work(pci_wall *wall, double work);

/* Returned: the work done so far, node-steps; a copy of a wall begins with its original's. */
double pci_wall_work(const pci_wall *wall);

#endif
