/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Resin files, short of anchoring. */
#ifndef PCI_SHEET_RESIN_FILE_H
#define PCI_SHEET_RESIN_FILE_H

#include "input/ini.h"
#include "pourclock/resin.h"
#include "resin/cure_rate.h"

/* Purpose:  fill a resin from a file that has been read: family defaults, data sheet, [cure],
 *           [safety], [fit]; nothing is anchored.
 * Returned: *resin; PC_OK, or the first error's status with every wrong line in errors. */
pc_status pci_resin_from_ini(const pci_ini *ini, pc_resin *resin, pc_errors *errors);

/* Key of an unknown in [fit], in the order of resin/unknowns.h; "" outside it. */
const char *pci_unknown_word(size_t k);

/* Purpose:  judge a resin's numbers, wherever they come from, by the ranges of a resin file.
 * Returned: PC_OK, or PC_E_VALUE with an error for each. */
pc_status pci_resin_check(const pc_resin *resin, pc_errors *errors);

/* As pci_resin_read, from bytes under a name. */
pc_status pci_resin_parse(const char *file, const char *data, size_t size, pc_resin *resin,
                          pc_errors *errors);

#endif
