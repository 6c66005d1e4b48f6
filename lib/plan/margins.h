/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Margin samples: the same layers on the same printed clock under other shop temperatures, data
 * sheets, areas, hands and scales. All samples of a part are poured in step. */
#ifndef PCI_PLAN_MARGINS_H
#define PCI_PLAN_MARGINS_H

#include "plan/run.h"

typedef struct pci_samples pci_samples;

/* Purpose:  samples of a part of count layers whose mold stands since start_s; none (*samples NULL)
 * where the piece's margins are off. Returned: PC_OK, PC_E_MEMORY, PC_E_ARGUMENT. */
pc_status pci_samples_new(const pci_case *nominal, size_t count, double start_s,
                          pci_samples **samples);
void pci_samples_free(pci_samples *samples);

/* Purpose:  pour the layer (its thickness, cups, mix_s, pour_s, pour_end_s set) in every sample and
 *           run each to its gel.
 * Given:    samples: NULL does nothing; layer with its nominal pot life, pour_by, set, gel.
 * Returned: pour_by_early_s, set_early_s, gel_early_s, gel_late_s of the layer; PC_OK,
 *           PC_E_MEMORY, PC_E_NUMERIC. */
pc_status pci_samples_layer(pci_samples *samples, pc_layer *layer);

/* Purpose:  run every sample to its demold.
 * Given:    samples: NULL does nothing; plan with its nominal demold, closes, peaks.
 * Returned: demold_late_s of the plan; closes_early_s, peak_late_K, peak_over_share of its layers;
 *           most_sensitive: name of the input that matters most for the times (at most size
 *           bytes); PC_OK, PC_E_MEMORY, PC_E_NUMERIC. */
pc_status pci_samples_finish(pci_samples *samples, pc_part_plan *plan, char *most_sensitive,
                             size_t size);

#endif
