/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sections of a piece file that order supplies. */
#ifndef PCI_PIECE_SUPPLIES_ORDER_H
#define PCI_PIECE_SUPPLIES_ORDER_H

#include "input/fields.h"
#include "pourclock/supplies.h"

/* Whether a section is one of these: "supplies", "strength", "pin NAME". */
bool pci_order_section_is(const char *name);

/* Purpose:  read one of them into an order. */
pc_status pci_order_section(const pci_ini *ini, const char *section, pc_order *order,
                            pc_errors *errors);

/* Purpose:  the defaults: one casting, 5 % loss, brushed blanket, 10 % rubber and shell loss, two
 *           shell halves with a 25 mm flange, 0.05 mm of release, an 8 h day. */
void pci_order_defaults(pc_order *order);

#endif
