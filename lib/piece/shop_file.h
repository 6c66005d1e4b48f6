/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The shop's own defaults: a file that is read before a piece. */
#ifndef PCI_PIECE_SHOP_FILE_H
#define PCI_PIECE_SHOP_FILE_H

#include "piece/piece_file.h"

/* A shop, a resin to be mixed, a mold to be filled: how cold and how warm they can be. */
#define PCI_SHOP_LEAST_C -10.0
#define PCI_SHOP_MOST_C  45.0
#define PCI_FILL_MOST_C  60.0

/* Purpose:  read a shop file into a piece that has the defaults.
 * Given:    path. Returned: *ini, to be freed (NULL after an error); PC_OK, or the first error's
 *           status with every wrong line in errors. */
pc_status pci_shop_file_read(const char *path, pc_piece *piece, pci_ini **ini, pc_errors *errors);

/* Purpose:  note which keys of the shop file are in force: those the piece does not state.
 * Given:    shop: NULL: no such file; stated: the piece's own file, NULL: none. */
void pci_shop_file_note(const pci_ini *shop, const pci_ini *stated, pc_piece *piece);

/* A key was set after both files: it is no longer the shop's. */
void pci_shop_file_override(pci_section_kind kind, const char *key, pc_piece *piece);

#endif
