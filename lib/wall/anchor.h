/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The reference mold on which data sheets' films are taken to lie. */
#ifndef PCI_WALL_ANCHOR_H
#define PCI_WALL_ANCHOR_H

#include "pourclock/wall.h"

/* 8 mm silicone under 10 mm plaster, air and mold at T_K. */
void pci_reference_mold(double T_K, pc_wall_spec *spec);

#endif
