/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Exact Euclidean distance transforms on a grid, in time linear in its cells. */
#ifndef PCI_SHAPE_EDT_H
#define PCI_SHAPE_EDT_H

#include <stddef.h>
#include <stdint.h>

#include "pourclock/status.h"

#define PCI_VOXELS_SIDE_MOST 1000

/* Purpose:  value[x] = least over all cells v of |x - v|^2 + value[v], in cell units. With
 *           0 at seeds: squared distance to the nearest; with -r^2: power distance to balls of
 *           radius r.
 * Given:    value[]: INFINITY where there is no seed. n: cells along x (fastest), y, z, each
 *           1..PCI_VOXELS_SIDE_MOST. Returned: PC_OK, PC_E_MEMORY.
 * Source:   Felzenszwalb & Huttenlocher, Theory of Computing 8 (2012) 415. */
pc_status pci_edt_power(const size_t n[3], float *value);

/* The same along one axis alone: the full transform is that of the three axes in any order. */
pc_status pci_edt_power_along(const size_t n[3], int axis, float *value);

#endif
