/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Early return, for functions that have nothing to free. */
#ifndef PCI_BASE_TRY_H
#define PCI_BASE_TRY_H

#include "pourclock/status.h"

/* Returns the status of a call from the function around it, unless that is PC_OK. */
#define PCI_TRY(call)                                                                              \
    do {                                                                                           \
        pc_status try_status_ = (call);                                                            \
        if (try_status_ != PC_OK)                                                                  \
            return try_status_;                                                                    \
    } while (0)

/* Purpose:  the symbol of a status code, such as "PC_E_UNIT".
 * Given:    status, any value.
 * Returned: a constant string, never NULL; "PC_?" for a number not in the table. */
const char *pci_status_name(pc_status status);

#endif
