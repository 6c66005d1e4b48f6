/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Roots of functions of one variable, by GSL. */
#ifndef PCI_SOLVE_ROOT_H
#define PCI_SOLVE_ROOT_H

#include "pourclock/status.h"

typedef double (*pci_function)(double x, void *context);

/* Purpose:  a root of f between low and high, by Brent's method.
 * Given:    low < high, f of opposite sign there (a zero at an end is taken); absolute > 0 or
 *           relative > 0: width of x to stop at.
 * Returned: *x; PC_OK, PC_E_ARGUMENT (no sign change, NaN), PC_E_NUMERIC (200 iterations),
 *           PC_E_MEMORY. */
pc_status pci_root(pci_function f, void *context, double low, double high, double absolute,
                   double relative, double *x);

#endif
