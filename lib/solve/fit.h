/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Nonlinear least squares, by GSL. */
#ifndef PCI_SOLVE_FIT_H
#define PCI_SOLVE_FIT_H

#include <stddef.h>

#include "pourclock/status.h"

enum { PCI_FIT_MOST = 8 };

/* Residuals r[n] at x[p]; anything but PC_OK ends the fit with that status. */
typedef pc_status (*pci_fit_residuals)(const double x[], double r[], void *context);

typedef struct pci_fit {
    double x[PCI_FIT_MOST];
    double covariance[PCI_FIT_MOST][PCI_FIT_MOST]; /* inverse of J'J: of residuals of variance 1 */
    double sum_squares;
    int iterations;
} pci_fit;

/* Purpose:  least sum of squares of n residuals over p parameters (Levenberg-Marquardt).
 * Given:    rough: residuals for the differences, or NULL for the same; any that give J within some
 *           per cent do, since only the way to the minimum and the covariance depend on it;
 *           1 <= p <= PCI_FIT_MOST, p <= n; fit->x: the start; step[p]: widths for central
 *           differences, > 0, and the measure of x: the search ends at a move of a twentieth of
 *           them, and takes differences anew after moves of two and a half.
 * Returned: *fit; leverage[n] (may be NULL): diagonal of the hat matrix; PC_OK; PC_E_ARGUMENT;
 *           PC_E_MEMORY; PC_E_NUMERIC: no convergence, or J'J singular (parameters not
 * distinguishable); or the status of residuals. */
pc_status pci_fit_run(pci_fit_residuals residuals, pci_fit_residuals rough, void *context, size_t n,
                      size_t p, const double step[], pci_fit *fit, double *leverage);

#endif
