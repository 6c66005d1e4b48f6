/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The reference mold on which data sheets' films are taken to lie. */
#ifndef PCI_SHEET_ANCHOR_DEMOLD_H
#define PCI_SHEET_ANCHOR_DEMOLD_H

#include "wall/layers.h"

/* 8 mm silicone under 10 mm plaster, air and mold at T_K. */
void pci_reference_mold(double T_K, pci_wall_spec *spec);

/* Purpose:  least conversion, at the demold time counted from mixing, in the film of a data sheet.
 * Given:    resin, its rate anchored already.
 * Returned: *a_least; *work: node-steps it took (wall/bound.h); PC_OK, PC_E_NUMERIC where the film
 *           burns through in a front too thin to follow with a bounded work, else as pci_wall_new.
 */
pc_status pci_film_conversion(const pc_resin *resin, double *a_least, double *work);

#endif
