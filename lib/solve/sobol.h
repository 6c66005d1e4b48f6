/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Evenly spread samples of independent normal variables, by GSL's Sobol sequence. */
#ifndef PCI_SOLVE_SOBOL_H
#define PCI_SOLVE_SOBOL_H

#include <stddef.h>

#include "pourclock/status.h"

/* Purpose:  n samples of so many standard normals: z[i * dimensions + d], the same every time.
 * Given:    n >= 1; 1 <= dimensions <= 40. Returned: PC_OK, PC_E_ARGUMENT, PC_E_MEMORY.
 * Notes:    each point is moved by half a cell, so that the sequence's first, all zero, is a
 *           sample like the others. */
pc_status pci_sobol_normals(size_t n, size_t dimensions, double z[]);

#endif
