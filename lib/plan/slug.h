/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Drained layers: a slug several times the layer is swirled round the mold while it thickens, and
 * poured out at the minute that leaves the wanted film. */
#ifndef PCI_PLAN_SLUG_H
#define PCI_PLAN_SLUG_H

#include "plan/run.h"

/* Purpose:  how far a drained layer runs down, m: as stated, else from top to bottom of the equal
 *           sphere along its wall. */
double pci_drop_m(const pci_case *c);

/* Purpose:  find the minute to pour the slug out.
 * Given:    run: the slug of the layer is in, at the end of its pour; it is left as it is.
 * Returned: of the layer: drain_s, drain_mu_Pa_s, mean_m, surplus_kg, NaN where the film cannot be
 *           had; drains_least_m and drains_most_m, the films left when it is poured out as soon as
 *           every face is wet and as late as it still runs out; PC_OK; PC_E_MEMORY, PC_E_NUMERIC,
 *           PC_E_LIMIT (of a quick case).
 * Notes:    the slug is as warm and as cured as if it lay on the wall evenly; the film left is that
 *           of Jeffreys, h/sqrt(1 + (h/h0)^2) with h of pci_drain_film over the time the film takes
 *           to gel on the wall and h0 the slug's depth. */
pc_status pci_drain_plan(const pci_run *run, pc_layer *layer);

#endif
