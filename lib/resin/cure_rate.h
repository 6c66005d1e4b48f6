/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rate of cure, viscosity and the states of a cup, and reading a resin file. */
#ifndef PCI_RESIN_CURE_RATE_H
#define PCI_RESIN_CURE_RATE_H

#include "pourclock/resin.h"

/* Purpose:  rate of cure da/dt, 1/s.
 * Given:    cure; a is clamped to [0, 1]; T_K > 0.
 * Returned: the rate, >= 0; NaN when a or T_K is NaN or T_K <= 0.
 * Source:   Kamal & Sourour, Polym. Eng. Sci. 13 (1973) 59. */
double pci_cure_rate(const pc_cure *cure, double a, double T_K);

/* Purpose:  viscosity of the mix, Pa s.
 * Given:    flow; a, clamped below to 0; T_K > 0.
 * Returned: the viscosity; infinity for a >= a_gel; NaN when a or T_K is NaN or T_K <= 0.
 * Source:   Castro & Macosko, AIChE J. 28 (1982) 250. */
double pci_viscosity(const pc_flow *flow, double a, double T_K);

/* Purpose:  states at n times, in one run (for plots and fits).
 * Given:    as pci_cup_at; time_s[n], none before the one in front of it.
 * Returned: state[n]; otherwise as pci_cup_at. */
pc_status pci_cup_trace(const pc_resin *resin, double mass_kg, double T0_K, double air_K, size_t n,
                        const double *time_s, pc_cup_state *state);

/* Purpose:  read a resin file and anchor it.
 * Given:    path, or "-" for standard input.
 * Returned: *resin; PC_OK; otherwise the first error's status, with every wrong line in errors. */
pc_status pci_resin_read(const char *path, pc_resin *resin, pc_errors *errors);

#endif
