/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PCI_SCHEDULE_WARM_WORDS_H
#define PCI_SCHEDULE_WARM_WORDS_H

#include "pourclock/warm.h"

/* Purpose:  say in warm->sentence what to do. Given: warm with its cells, now, cheapest, fastest.
 */
void pci_warm_sentence(const pc_piece *piece, pc_warm *warm);

#endif
