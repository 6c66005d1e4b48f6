/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a shop takes to mix. */
#ifndef PCI_PIECE_SHOP_H
#define PCI_PIECE_SHOP_H

#include "pourclock/piece.h"

/* Purpose:  time to mix one cup: as the shop states it; else a minute for a small cup, and for a
 *           larger one as the root of its mass, since more has to be moved from sides and bottom
 *           (practice: 2 min for 2 kg, 3 min for 5 kg).
 * Given:    cup_kg > 0. Returned: s; NaN for NULL and for a mass that is none. */
double pci_cup_mix_time(const pc_shop *shop, double cup_kg);

#endif
