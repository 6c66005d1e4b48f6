/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Independent pieces of work spread over the processors. */
#ifndef PCI_SOLVE_THREADS_H
#define PCI_SOLVE_THREADS_H

#include <stddef.h>

#include "pourclock/status.h"

/* Work on item i alone; called from several threads at once. */
typedef pc_status (*pci_work)(size_t i, void *context);

/* Purpose:  do n items, on as many threads as there are processors (16 at most).
 * Returned: PC_OK, or the status of the first item, by number, that failed: the same whatever the
 *           number of threads. Where no thread can be had the caller's own does the work. */
pc_status pci_in_threads(pci_work work, void *context, size_t n);

#endif
