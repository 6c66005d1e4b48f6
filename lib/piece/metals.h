/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The metals of pins and foils. */
#ifndef PCI_PIECE_METALS_H
#define PCI_PIECE_METALS_H

#include "pourclock/joint.h"

/* Purpose:  a metal by name, or by index; NULL where there is none. Handbook values for the softest
 *           usual temper, from memory; NaN for the strength of those that no pin is
 *           made of. */
const pc_metal *pci_metal_find(const char *name);
const pc_metal *pci_metal_at(size_t index);

/* Purpose:  density of a metal by its name in files ("aluminum", "copper", "lead", ...).
 * Returned: kg/m3; NaN for a name that is not known, or NULL. */
double pci_metal_density(const char *name);

#endif
