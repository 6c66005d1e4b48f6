/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The strict scan: judges every line, and fills the dictionary with what is good. */
#ifndef PCI_INPUT_INI_SCAN_H
#define PCI_INPUT_INI_SCAN_H

#include "input/ini.h"

/* Purpose:  scan bytes into an empty ini.
 * Returned: PC_OK or the first error's status, with every wrong line in errors. */
pc_status pci_ini_scan(pci_ini *ini, const char *data, size_t size, pc_errors *errors);

#endif
