/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words for what is made ready before a part's mix, and for seams, rims and their pours. */
#ifndef PCI_SCHEDULE_EDGE_WORDS_H
#define PCI_SCHEDULE_EDGE_WORDS_H

#include "pourclock/schedule.h"

/* Purpose:  what is done at the mold before a part is mixed: wires set, halves put together.
 * Returned: "" where there is nothing to do. */
void pci_say_ready(const pc_piece *piece, size_t part, char *text, size_t size);

/* Purpose:  what pouring a layer of a part is: "Pour", "Lay the seam, 900 mm long, ...". */
void pci_say_pour(const pc_piece *piece, size_t part, const pc_layer *layer, char *text,
                  size_t size);

#endif
