/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The one table of units: spellings, dimension, size in SI. */
#ifndef PCI_BASE_UNITS_H
#define PCI_BASE_UNITS_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock/quantity.h"

enum {
    PCI_UNIT_LISTED = 1, /* named in messages; the others are further spellings */
    PCI_UNIT_FOLDS = 2,  /* upper and lower case mean the same */
};

/* si = (value - zero) * times / over + zero_si. Two exact factors, so that 7 mm is the double
 * nearest to 0.007. joins: 0, or the place in a chain such as 1h30m or 5 ft 6 in: only a unit
 * with a smaller `joins` of the same dimension may follow, with a number below `most`. */
typedef struct pci_unit {
    pc_dimension dimension;
    const char *spelling;
    double times, over;
    int flags;
    int joins;
    double most;
    double zero, zero_si;
} pci_unit;

enum { PCI_UNIT_TEXT_MOST = 48 };

/* Purpose:  bring a unit as typed to the table's spelling: spaces to one, none round "/" and ".",
 *           superscripts, degree signs, raised dots and typographic inch marks to ASCII.
 * Given:    text of length n; buffer of PCI_UNIT_TEXT_MOST bytes.
 * Returned: false when it is longer than any unit. */
bool pci_unit_normalize(const char *text, size_t n, char *buffer);

/* The unit of a dimension with a (normalized) spelling, or NULL. */
const pci_unit *pci_unit_find(pc_dimension dimension, const char *spelling);

/* A unit of another dimension with this spelling, or NULL. */
const pci_unit *pci_unit_elsewhere(pc_dimension dimension, const char *spelling);

double pci_unit_to_si(const pci_unit *unit, double value);

#endif
