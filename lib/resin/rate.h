/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rate law for the solvers' inner loops: constants prepared once, derivatives on request. */
#ifndef PCI_RESIN_RATE_H
#define PCI_RESIN_RATE_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock/resin.h"

typedef struct pci_rate {
    double ln_A1, ln_A2; /* -infinity where A is 0 */
    double B1_K, B2_K;   /* E/R */
    double m, n;
    double ratio;         /* A2/A1, used where E1 = E2 */
    int power_m, power_n; /* which cheap power serves; see rate.c */
    bool one_exponential, first_only;
} pci_rate;

void pci_rate_prepare(const pc_cure *cure, pci_rate *rate);

/* da/dt at a (clamped to [0,1]) and T_K > 0, not checked. */
double pci_rate_at(const pci_rate *rate, double a, double T_K);

/* The same at n points. */
void pci_rates_at(const pci_rate *rate, size_t n, const double *a, const double *T_K, double *at);

/* The same, with its derivatives. Where a^m has an infinite slope (m < 1, a = 0) d_da is that at
 * a = 1e-6. */
double pci_rate_slopes(const pci_rate *rate, double a, double T_K, double *d_da, double *d_dT);

#endif
