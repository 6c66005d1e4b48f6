/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A film on the reference mold: what a data sheet's film gel and demold times mean in the model. */
#ifndef PCI_SHEET_FILM_RUN_H
#define PCI_SHEET_FILM_RUN_H

#include "wall/layers.h"

/* How finely films and cups are run: as accurate as any plan, or a tenth of the work at 1 %, the
 * same for every resin, for the derivatives of a fit. */
typedef enum pci_fineness { PCI_FINE, PCI_ROUGH } pci_fineness;

/* How films of a fit are run: work, node-steps they may still take (wall/bound.h), is lessened by
 * what each takes; a film that is not let begin is PC_E_NUMERIC. */
typedef struct pci_effort {
    pci_fineness fineness;
    double work;
} pci_effort;

/* 8 mm silicone under 10 mm plaster, air and mold at T_K. */
void pci_reference_mold(double T_K, pci_wall_spec *spec);

/* Purpose:  when every point of a film reaches a conversion.
 * Given:    film_m; mass_kg of the cup, from which it enters at half the cup's own pot life; T_K of
 *           resin, mold and air; wanted, a conversion; effort.
 * Returned: *time_s from the start of mixing; infinity: not in 30 days; a film too hot to follow
 *           burns through when its coarse grid says; PC_OK, PC_E_ARGUMENT, PC_E_MEMORY,
 *           PC_E_NUMERIC. */
pc_status pci_film_time(const pc_resin *resin, double film_m, double mass_kg, double T_K,
                        double wanted, pci_effort *effort, double *time_s);

/* Purpose:  when that film has gelled through and when it can be demolded (cured through and cooled
 *           below the resin's demold_below_K), in one run. Returned: as pci_film_time. */
pc_status pci_film_out(const pc_resin *resin, double film_m, double mass_kg, double T_K,
                       pci_effort *effort, double *gel_s, double *demold_s);

/* Purpose:  the state of that film at a time: least conversion, hottest point. */
pc_status pci_film_at(const pc_resin *resin, double film_m, double mass_kg, double T_K,
                      double time_s, double *a_least, double *hottest_K);

/* Purpose:  gel and demold of a film on the reference mold (8 mm silicone in 10 mm plaster), with
 *           the band that the uncertainty of the resin's constants leaves.
 * Given:    film_m, 1e-6 to 0.5 m; mass_kg of the cup it is poured from at half its pot life; T_K:
 *           resin, mold and air; band: whether low and high are asked for (15 runs instead of one).
 * Returned: *film: times from the start of mixing, NaN where they never come; low and high one
 *           standard deviation of the logarithm away, NaN where not asked for or not known; PC_OK;
 *           PC_E_ARGUMENT, PC_E_NUMERIC, PC_E_MEMORY. */
pc_status pci_resin_film(const pc_resin *resin, double film_m, double mass_kg, double T_K,
                         bool band, pc_film_times *film);

#endif
