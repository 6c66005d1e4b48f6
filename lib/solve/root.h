/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Roots and integrals of functions of one variable, by GSL. */
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

/* Purpose:  a root of f, which falls or rises monotonically, by widening [guess - step,
 *           guess + step] until the sign changes (40 doublings at most), then pci_root.
 * Returned: as pci_root; PC_E_ARGUMENT where no sign change was found. */
pc_status pci_root_near(pci_function f, void *context, double guess, double step, double absolute,
                        double *x);

/* Purpose:  integral of f from a to b to a relative error.
 * Returned: *value; PC_OK, PC_E_NUMERIC (not to that error in 200 intervals, or not finite),
 *           PC_E_MEMORY. */
pc_status pci_integrate(pci_function f, void *context, double a, double b, double relative,
                        double *value);

#endif
