/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What turning makes of a layer of the plan. */
#ifndef PCI_PLAN_LAYER_FILM_H
#define PCI_PLAN_LAYER_FILM_H

#include "plan/run.h"
#include "wall/layers.h"

/* Of the maps of a plan's layers. */
enum { PCI_FILM_FINENESS = 0 };

/* Purpose:  turns, unevenness, thin and thick 5 %, lump of a turned layer.
 * Given:    c; poured: the wall just after the layer was poured (it is advanced to the gel);
 *           set_ln_mu_per_s: d(ln viscosity)/dt at its set; layer with its thickness, volume,
 *           pour_end_s and gel_s.
 * Returned: the layer's film figures; where they cannot be had, film_note says why. PC_OK,
 *           PC_E_MEMORY, PC_E_NUMERIC. */
pc_status pci_layer_film(const pci_case *c, pci_wall *poured, double set_ln_mu_per_s,
                         pc_layer *layer);

#endif
