/* SPDX-License-Identifier: GPL-3.0-or-later */
/* GSL's default error handler aborts the program. Every call into GSL that can call it stands
 * between enter and leave, which switch the handler off and put the caller's back. */
#ifndef PCI_SOLVE_GUARD_H
#define PCI_SOLVE_GUARD_H

/* Nests, and may be used from several threads at once: the handler is one for the whole process,
 * so the first to enter saves it and the last to leave restores it. */
void pci_gsl_enter(void);
void pci_gsl_leave(void);

#endif
