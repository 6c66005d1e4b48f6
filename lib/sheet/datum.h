/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A figure of a data sheet beside what a resin of the model gives. */
#ifndef PCI_SHEET_DATUM_H
#define PCI_SHEET_DATUM_H

#include "pourclock/resin.h"
#include "sheet/film_run.h"

/* Spreads, 1 sd, where a sheet gives a single figure (judgment; model section 5). */
#define PCI_CUP_SPREAD       0.10
#define PCI_FILM_SPREAD      0.15
#define PCI_DEMOLD_SPREAD    0.20
#define PCI_CASTING_SPREAD   0.35 /* a demold time without a thickness */
#define PCI_PEAK_SPREAD_K    8.0
#define PCI_PEAK_TIME_SPREAD 0.20

/* Purpose:  key of a kind of datum in the resin file, "pot_life"; "" outside the table. */
const char *pci_datum_key(pc_datum_kind kind);

/* Purpose:  a datum with everything as where a sheet states only the figure: 100 g, 23 C. */
pc_datum pci_datum_new(pc_datum_kind kind);

/* Purpose:  the spread that the kind has where the sheet gives no range. */
double pci_datum_spread(const pc_datum *datum);

/* Purpose:  what a resin gives for a datum: s, or K of a peak.
 * Returned: *value, infinity for a time that never comes; PC_OK, PC_E_ARGUMENT, PC_E_MEMORY,
 *           PC_E_NUMERIC. */
pc_status pci_datum_value(const pc_datum *datum, const pc_resin *resin, pci_effort *effort,
                          double *value);

/* Purpose:  how far a value is from the datum, in its spread; large and finite for infinity. */
double pci_datum_residual(const pc_datum *datum, double value);

#endif
