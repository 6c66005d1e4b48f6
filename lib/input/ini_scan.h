/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The strict pre-scan in front of iniparser: judges every line and writes it anew in a form
 * iniparser cannot misread. */
#ifndef PCI_INPUT_INI_SCAN_H
#define PCI_INPUT_INI_SCAN_H

#include "input/ini.h"

/* Purpose:  scan bytes into ini (sections, entries, lines, values) and into plain text.
 * Given:    ini zeroed but for file; plain: room for size + 8 PCI_INI_ENTRIES_MOST + 1 bytes.
 * Returned: *plain_size; PC_OK or the first error's status, with every wrong line in errors. */
pc_status pci_ini_scan(pci_ini *ini, const char *data, size_t size, char *plain, size_t *plain_size,
                       pc_errors *errors);

#endif
