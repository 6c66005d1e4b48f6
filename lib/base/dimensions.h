/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Dimensions by name, and single numbers to SI. */
#ifndef PCI_BASE_DIMENSIONS_H
#define PCI_BASE_DIMENSIONS_H

#include "pourclock/quantity.h"

/* Purpose:  SI value of `value` in a named unit.
 * Given:    value, finite; unit, spelt as in pc_quantity_parse; dimension.
 * Returned: as pc_quantity_parse; *si untouched after an error. */
pc_status pci_quantity_to_si(double value, const char *unit, pc_dimension dimension, double *si);

/* Name of a dimension; "" for a number outside the table. */
const char *pci_dimension_name(pc_dimension dimension);

/* Example of a dimension, "3/16 in"; "" outside the table. */
const char *pci_dimension_example(pc_dimension dimension);

/* Purpose:  the units a dimension may be written in, comma-separated, for messages and man pages.
 * Returned: the length the whole text has, as snprintf does; 0 for a number outside the table. */
int pci_dimension_units(pc_dimension dimension, char *buffer, size_t size);

#endif
