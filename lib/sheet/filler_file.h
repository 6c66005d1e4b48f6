/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Filler files, and how a file asks for a filler: "bronze-powder 250 parts". */
#ifndef PCI_SHEET_FILLER_FILE_H
#define PCI_SHEET_FILLER_FILE_H

#include "input/fields.h"
#include "pourclock/resin.h"

/* A filler of which only the density is known: what minerals have (judgment). */
#define PCI_FILLER_CP_J_KGK  850.0
#define PCI_FILLER_K_W_MK    2.0
#define PCI_FILLER_PHI_MAX   0.60
#define PCI_FILLER_PHI_LEAST 0.05 /* of a stated phi_max */

/* Words of pc_dust, NULL-ended. */
extern const char *const pci_dust_words[PC_DUST_COUNT + 1];

/* Purpose:  a filler with every default and no density (NaN), no name and no parts. */
void pci_filler_defaults(pc_filler *filler);

/* Purpose:  read a filler file: a section [filler].
 * Returned: *filler; PC_OK, or the first error's status with every wrong line in errors. */
pc_status pci_filler_read(const char *path, pc_filler *filler, pc_errors *errors);
pc_status pci_filler_parse(const char *file, const char *data, size_t size, pc_filler *filler,
                           pc_errors *errors);

/* Purpose:  find a filler by its name on the shelf, or by path, as pc_resin_find does a resin.
 * Given:    name, not empty. */
pc_status pci_filler_find(const char *name, const char *beside, pc_filler *filler,
                          pc_errors *errors);

/* Purpose:  read "NAME 250 parts", "NAME" or "250 parts".
 * Given:    at: the value and where it is stated; beside: as pc_resin_find.
 * Returned: *filler: as it was where no name is given; *parts: by mass to 100 of A and B, NaN where
 *           none are given; PC_OK, or an error's status. */
pc_status pci_filler_value(const pci_at *at, const char *beside, pc_filler *filler, double *parts);

/* Purpose:  stir a filler into a resin, or say at a line why not.
 * Returned: as pci_resin_fill. */
pc_status pci_fill_at(const pci_at *at, pc_resin *resin, const pc_filler *filler, double parts);

#endif
