/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PCI_SCHEDULE_WARM_WORDS_H
#define PCI_SCHEDULE_WARM_WORDS_H

#include "pourclock/warm.h"

/* Purpose:  say in warm->sentence what to do. Given: warm with its cells, now, cheapest, fastest.
 */
void pci_warm_sentence(const pc_piece *piece, pc_warm *warm);

/* Purpose:  what can hurt when a resin, a mold or a room is warmed.
 * Returned: number of texts; *texts: constant, most important first. */
size_t pci_warm_cautions(const pc_piece *piece, const char *const **texts);

/* Purpose:  temperatures to try where none are asked for: resin from 10 C below what it is now to
 *           20 C above, mold from now to 30 C above, by 5 C (10 F), within what is safe; the room
 *           as it is and 5 and 10 C (10, 20 F) warmer. In a shop above 25 C mold and room are tried
 *           10 C colder to 20 C, or 0 C, warmer.
 * Given:    piece, checked. Returned: *grid; at most 7 x 7 x 3. */
void pci_warm_grid_default(const pc_piece *piece, pc_warm_grid *grid);

#endif
