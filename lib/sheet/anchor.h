/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Anchoring: the constants of a resin fitted to its data sheet, and to the user's own tests where
 * there are any, about the family's priors. */
#ifndef PCI_SHEET_ANCHOR_H
#define PCI_SHEET_ANCHOR_H

#include "pourclock/cuptest.h"
#include "sheet/datum.h"

/* The tests of a fit, and what it makes of them. */
typedef struct pci_tests_use {
    const pc_tests *tests;
    double *spread;   /* count; 1 sd of each row: of ln time, K of a reading; widened by the fit */
    double *value;    /* count; what the fitted resin gives */
    double *leverage; /* count; share of a row in its own fit; may be NULL */
    double widened;   /* the factor that the spreads came to be widened by, 1 or more */
} pci_tests_use;

/* Purpose:  as pc_resin_anchor, with tests beside the sheet's figures.
 * Given:    use: NULL, or the tests, checked, with their spreads.
 * Returned: as pc_resin_anchor; *use: value, leverage, widened, spread. */
pc_status pci_anchor(pc_resin *resin, pci_tests_use *use, pc_errors *errors);

/* A time (or a temperature in kelvin) that a resin gives; infinity: never. */
typedef pc_status (*pci_resin_value)(const pc_resin *resin, void *context, double *value);

/* Purpose:  standard deviation of the logarithm of a value over what a fit leaves open, linear
 * about the resin. Returned: *sd, NaN where nothing is known or the value never comes; PC_OK, or
 *           the status of value_of. */
pc_status pci_ln_sd(const pc_resin *resin, pci_resin_value value_of, void *context, double *sd);

#endif
