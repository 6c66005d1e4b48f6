/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One part on its mold, poured layer after layer: the cup and the wall put together. The nominal
 * plan is one run; each margin sample is another, on the same clock. */
#ifndef PCI_PLAN_RUN_H
#define PCI_PLAN_RUN_H

#include "pourclock/piece.h"
#include "pourclock/schedule.h"

/* Longest a part may take from its first mix to demolding. */
#define PCI_LONGEST_S (14.0 * 86400.0)

/* What a run takes for true. */
typedef struct pci_case {
    const pc_piece *piece;
    const pc_part *part;
    pc_resin resin;
    double air_shift_K; /* added to the shop's air */
    double resin_K, mold_K;
    bool resin_follows, mold_follows; /* the shop's air through the day: no own temperature */
    double thickness_factor;  /* layers come out so much thicker than planned (area error) */
    double refine, tolerance; /* of the wall; 0: the default */
    double hopeless_excess;   /* a peak that misses its limit by more ends it; 0: none does */
    double *work;             /* node-steps its plans took are added (wall/bound.h); may be NULL */
    bool film;                /* with the wall map of each layer, for the final plan */
    bool quick; /* only whether the limits hold is asked: stop at the first that does not */
} pci_case;

typedef struct pci_run {
    pci_case c;
    pc_wall *wall;
    double hopeless_K; /* a peak above it is hopeless; 0: not known yet */
} pci_run;

/* Purpose:  the case as the piece file states it. */
void pci_case_nominal(const pc_piece *piece, const pc_part *part, pci_case *c);

/* Purpose:  start a run with the mold standing since the shop's mold_rest_s before start_s. The run
 *           points into c's piece: keep the run where it is.
 * Returned: *run, to be ended with pci_run_end (also after an error); PC_OK; as pc_wall_new. */
pc_status pci_run_begin(pci_run *run, const pci_case *c, double start_s);
void pci_run_end(pci_run *run);

/* Purpose:  air of the shop at a time from the first mix, K. */
double pci_case_air(const pci_case *c, double time_s);

/* Purpose:  resin at a time from the first mix, K: its own temperature, or with the shop's day
 *           where the file gives it none (a batch mixed at noon is no longer at the morning's). */
double pci_case_resin(const pci_case *c, double time_s);

/* Purpose:  pour a layer whose mixing began at mix_s and which is in the mold at pour_end_s (the
 *           wall is advanced to then).
 * Given:    cup_kg, mass of one cup; mu_set_Pa_s: NaN for a solid.
 * Returned: *fill (may be NULL): what it entered with; PC_OK; as pc_cup_at, pc_wall_advance and
 *           pc_wall_pour. */
pc_status pci_run_pour(pci_run *run, double thickness_m, double cup_kg, double mix_s,
                       double pour_end_s, double mu_set_Pa_s, pc_cup_state *fill);

/* Purpose:  viscosity at which a layer of a part is set; NaN for a solid or a drained one. */
double pci_mu_set(const pci_case *c, double thickness_m);

/* Purpose:  hottest a layer may get, K: the lower of the resin's and the mold's limit. */
double pci_peak_limit(const pci_case *c);

#endif
