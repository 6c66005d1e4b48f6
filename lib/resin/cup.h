/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the upper floors need of cup and rate beside the public functions. */
#ifndef PCI_RESIN_CUP_H
#define PCI_RESIN_CUP_H

#include "pourclock/resin.h"
#include "resin/rate.h"

/* Purpose:  time at which a standing batch reaches a conversion.
 * Given:    as pci_cup_run; 0 < wanted < 1.
 * Returned: *time_s from the start of mixing; PC_OK; PC_E_UNREACHED: not in 30 days; else as
 *           pci_cup_run. */
pc_status pci_cup_conversion_time(const pc_resin *resin, double mass_kg, double T0_K, double air_K,
                                  double wanted, double *time_s);

/* Purpose:  as pci_cup_run, of a batch that has cured part of the way: what is poured back.
 * Given:    state: temperature and conversion, 0 to 1, when it comes into the cup; air_K.
 * Returned: *events from then on; pot life or gel that it has had already: 0; PC_OK; as
 * pci_cup_run.
 */
pc_status pci_cup_run_from(const pc_resin *resin, double mass_kg, const pc_cup_state *state,
                           double air_K, pc_cup_events *events);

/* Purpose:  in one quick run (to 1e-6): the state at a time, and when a conversion is reached.
 * Given:    as above; time_s from 0 to 30 days.
 * Returned: *state; *wanted_s, NaN where not in 30 days; PC_OK; as pci_cup_run. */
pc_status pci_cup_meet(const pc_resin *resin, double mass_kg, double T0_K, double air_K,
                       double time_s, double wanted, pc_cup_state *state, double *wanted_s);

/* Purpose:  in two quick runs (to 1e-6): a share of the time a conversion takes, and the state
 * then. Given:    as above; share from 0 to 1. Returned: *time_s, *state; PC_OK; PC_E_UNREACHED; as
 * pci_cup_run. */
pc_status pci_cup_part_way(const pc_resin *resin, double mass_kg, double T0_K, double air_K,
                           double wanted, double share, double *time_s, pc_cup_state *state);

/* Purpose:  multiply A1 and A2 by exp(ln_s) and shift E1 and E2, turning the rates about T_ref_K:
 *           there only ln_s acts.
 * Given:    ln_s, E_shift_J_mol finite; T_ref_K > 0, not checked. */
void pci_cure_rescale(pc_cure *cure, double ln_s, double E_shift_J_mol, double T_ref_K);

/* Purpose:  state of a batch in its cup at a time after the start of mixing.
 * Given:    as pci_cup_run; time_s from 0 to 30 days.
 * Returned: *state; PC_OK, PC_E_ARGUMENT, PC_E_NUMERIC, PC_E_MEMORY. */
pc_status pci_cup_at(const pc_resin *resin, double mass_kg, double T0_K, double air_K,
                     double time_s, pc_cup_state *state);

/* Purpose:  run a batch standing in its cup.
 * Given:    resin; mass_kg > 0, below 1e6; T0_K: resin when mixing starts, and air_K, both from
 *           PC_CURE_TEMPERATURE_MIN_K to _MAX_K.
 * Returned: *events, times from the start of mixing; PC_OK, PC_E_ARGUMENT, PC_E_NUMERIC,
 *           PC_E_MEMORY.
 * Notes:    runs until the peak is past and a_gel is reached, at most 30 days: what has not
 *           happened by then is NaN (the peak is then the highest temperature seen). */
pc_status pci_cup_run(const pc_resin *resin, double mass_kg, double T0_K, double air_K,
                      pc_cup_events *events);

#endif
