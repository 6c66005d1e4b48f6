/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Dates of the proleptic Gregorian calendar as days since 1970-01-01. */
#ifndef PCI_DAY_DAY_DATES_H
#define PCI_DAY_DAY_DATES_H

#include <stdbool.h>

/* Days since 1970-01-01 of a date that exists. */
long pci_date_number(const int date[3]);

/* Purpose:  read 2026-12-07, with nothing after it but spaces. Returned: false: it is not a day. */
bool pci_date_read(const char *text, int date[3]);

#endif
