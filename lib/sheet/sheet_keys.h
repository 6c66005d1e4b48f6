/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The figures of a data sheet as a resin file has them, and the data they make. */
#ifndef PCI_SHEET_SHEET_KEYS_H
#define PCI_SHEET_SHEET_KEYS_H

#include "input/fields.h"
#include "pourclock/resin.h"

/* A stated figure: NaN where not stated; half the logarithm of a range (of a temperature: half the
 * range, K), 0 for a single figure. */
typedef struct pci_figure {
    double value, half;
} pci_figure;

typedef struct pci_gel_pair {
    double T_K, mass_kg, catalyst; /* NaN where the pair does not state it */
    pci_figure time;
} pci_gel_pair;

typedef struct pci_sheet_keys {
    pci_figure figure[PC_DATUM_COUNT];
    double pot_mass_kg, pot_T_K;
    double gel_mass_kg, gel_T_K;
    double film_thickness_m, film_T_K;
    double demold_thickness_m, demold_T_K;
    size_t pair_count;
    pci_gel_pair pair[PC_DATA_MOST - PC_DATUM_COUNT];
} pci_sheet_keys;

/* Purpose:  nothing stated; every mass 100 g, every temperature 23 C. */
void pci_sheet_keys_init(pci_sheet_keys *keys);

/* Purpose:  read one figure, "4 min" or "10-15 min", into figure[the kind of at->key]; and
 *           "15 C 7 min, 23 C 4 min 200 g". */
pc_status pci_read_figure(const pci_at *at, pci_sheet_keys *keys);
pc_status pci_read_gel_times(const pci_at *at, pci_sheet_keys *keys);

/* Purpose:  the data of a sheet. Returned: *sheet: count, datum. */
void pci_sheet_data(const pci_sheet_keys *keys, pc_data_sheet *sheet);

/* Purpose:  the exponent of the catalyst's level that pairs at two levels state; NaN: none do. */
double pci_catalyst_power(const pci_sheet_keys *keys, double E_J_mol);

#endif
