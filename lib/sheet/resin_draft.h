/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A resin file half read: what its keys leave open until all of them are known. */
#ifndef PCI_SHEET_RESIN_DRAFT_H
#define PCI_SHEET_RESIN_DRAFT_H

#include "input/fields.h"
#include "sheet/sheet_keys.h"

/* A resin on its way in: what must wait until every key is known. */
struct pci_resin_draft {
    pc_resin resin;
    int family;
    double ratio_a, ratio_b; /* NaN where not stated */
    double ratio_filler;     /* the third part; NaN where there is none */
    bool by_volume, density_given;
    pc_filler filler;
    double filler_parts; /* of its own key; NaN where not stated */
    pci_sheet_keys keys;
    double a_pot, a_demold; /* NaN where not stated */
    bool A1_given, E1_given, E2_given;
};

/* A file being judged as a whole. */
struct pci_resin_check {
    const pci_ini *ini;
    pc_errors *errors;
    pc_status status;
};

/* Purpose:  judge the keys against each other and fill in what follows from several of them.
 * Given:    j->status: the file's so far. Returned: draft->resin ready to be anchored; j->status.
 */
void pci_resin_settle(struct pci_resin_check *j, struct pci_resin_draft *draft);

#endif
