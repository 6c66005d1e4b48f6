/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Small smooth systems of ordinary differential equations, by GSL's Runge-Kutta (8, 9) of Prince
 * and Dormand, with events found between accepted steps. */
#ifndef PCI_SOLVE_ODE_H
#define PCI_SOLVE_ODE_H

#include <stddef.h>

#include "pourclock/status.h"

enum { PCI_ODE_MOST = 4 };

typedef void (*pci_ode_rhs)(double t, const double y[], double dydt[], void *context);

/* Value whose sign change between steps is an event. */
typedef double (*pci_ode_event)(double t, const double y[], void *context);

typedef struct pci_ode pci_ode; /* an integration under way */

/* Purpose:  start an integration.
 * Given:    t; y[n], n <= PCI_ODE_MOST; absolute, relative > 0: error of each component a step may
 *           make is absolute + relative |y|; first > 0: first step tried.
 * Returned: NULL when memory is out. The guard is held until pci_ode_end. */
pci_ode *pci_ode_begin(pci_ode_rhs rhs, void *context, size_t n, double t, const double y[],
                       double absolute, double relative, double first);

/* Purpose:  one accepted step, not beyond t_end, which lies ahead.
 * Returned: PC_OK or PC_E_NUMERIC (a rate or a state that is no number, 100 rejections). */
pc_status pci_ode_step(pci_ode *ode, double t_end);

/* Purpose:  time in the last step at which event is zero (it must change sign there), with the
 *           state then. The integration itself stays where it is.
 * Returned: *t, y[n]; PC_OK; PC_E_MEMORY; else as pci_root. */
pc_status pci_ode_locate(pci_ode *ode, pci_ode_event event, double *t, double y[]);

double pci_ode_time(const pci_ode *ode);
const double *pci_ode_state(const pci_ode *ode);
const double *pci_ode_before(const pci_ode *ode); /* state before the last step */

void pci_ode_end(pci_ode *ode);

#endif
