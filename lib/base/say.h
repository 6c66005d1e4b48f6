/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Quantities in words, inside the library: see pourclock/words.h. */
#ifndef PCI_BASE_SAY_H
#define PCI_BASE_SAY_H

#include "pourclock/words.h"

/* "1.50 mm (0.059 in)": for messages of what does not know the units of the piece. */
pc_words pci_say_both(pc_say_what what, double value);

#endif
