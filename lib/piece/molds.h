/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which parts share a mold, in which order they are poured, and which wait for others. */
#ifndef PCI_PIECE_MOLDS_H
#define PCI_PIECE_MOLDS_H

#include "pourclock/piece.h"

/* The molds of a piece in the order of its file; a part that names no mold has one of its own. */
typedef struct pci_pour_order {
    size_t count;
    size_t of_part[PC_PARTS_MOST];                 /* the mold of each part */
    size_t part_count[PC_PARTS_MOST];              /* parts of each mold */
    size_t part[PC_PARTS_MOST][PC_PARTS_MOST];     /* and which, in the order they are poured */
    bool after[PC_PARTS_MOST][PC_PARTS_MOST];      /* part, part: poured after it, as stated */
    bool mold_after[PC_PARTS_MOST][PC_PARTS_MOST]; /* mold, mold: a part of it waits for that one */
} pci_pour_order;

/* Purpose:  deal the parts of a piece into molds and put each mold's parts in order: that of the
 *           file, unless `after` says otherwise.
 * Given:    a piece of 1 to PC_PARTS_MOST parts; names in `after` that no part has are left out.
 * Returned: *molds; PC_OK; PC_E_VALUE: the order runs in a circle, and *circle is a part of it. */
pc_status pci_molds_of(const pc_piece *piece, pci_pour_order *molds, size_t *circle);

/* Purpose:  how many parts go by a name: that of a solid, that of a hollow with or without the word
 *           hollow before it. Returned: the number; *part: the first of them. */
size_t pci_parts_named(const pc_piece *piece, const char *name, size_t *part);

/* Purpose:  take the next name off a list with commas.
 * Given:    *list: where to go on. Returned: false at its end; name, cut to size. */
bool pci_next_name(const char **list, char *name, size_t size);

#endif
