/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How many things of several kinds can go in at most, where each takes a share of several rooms.
 *
 * The linear program max sum x, 0 <= x <= cap, A x <= room, without wholeness. It is solved by the
 * simplex method with bounded variables; the bound is then worked out afresh from the multipliers
 * (weak duality holds for any that are not negative), so that rounding, or a stop before the end,
 * can only make it weaker, never wrong.
 *
 * Source: the bounded simplex method and weak duality are textbook matter (from memory: Chvatal,
 * Linear Programming, chapters 5 and 8). */
#ifndef PCI_SOLVE_PACKING_H
#define PCI_SOLVE_PACKING_H

#include <stddef.h>

#include "pourclock/status.h"

typedef struct pci_packing {
    size_t kinds, rows;
    const double *cap;    /* [kinds], >= 0 */
    const double *weight; /* [rows][kinds], >= 0 */
    const double *room;   /* [rows], >= 0 */
} pci_packing;

/* Purpose:  an upper bound of sum x, the optimum itself but for rounding.
 * Returned: PC_OK; PC_E_ARGUMENT for a number that is negative or not finite; PC_E_MEMORY. *most
 *           is only set with PC_OK. */
pc_status pci_packing_most(const pci_packing *packing, double *most);

#endif
