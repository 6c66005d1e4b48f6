/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A loop shared out over a few threads. */
#ifndef PCI_SHAPE_PARALLEL_H
#define PCI_SHAPE_PARALLEL_H

#include <stddef.h>

/* Calls task(context, i) for every i below count, on up to four threads, and waits for all. The
 * order is not kept: tasks must not share what they write. Never fails: where no thread can be
 * started the caller's does the work. */
void pci_parallel(size_t count, void (*task)(void *context, size_t i), void *context);

#endif
