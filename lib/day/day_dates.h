/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Dates of the proleptic Gregorian calendar as days since 1970-01-01. */
#ifndef PCI_DAY_DAY_DATES_H
#define PCI_DAY_DAY_DATES_H

#include <stdbool.h>

#include "day/day_held.h"

/* Days since 1970-01-01 of a date that exists. */
long pci_date_number(const int date[3]);

/* Purpose:  read 2026-12-07, with nothing after it but spaces. Returned: false: it is not a day. */
bool pci_date_read(const char *text, int date[3]);

/* Purpose:  the working days of a plan. Given: day; workday: room for PC_DAY_DAYS_MOST.
 * Returned: how many; fewer than day->days where the calendar has no more within
 *           PCI_DAY_SPAN_MOST days. */
size_t pci_day_workdays(const pci_day *day, pc_day_workday *workday);

/* Purpose:  the date that is some days after another (both year, month, day; 1970 to 9999). */
void pci_date_after(const int date[3], int days, int after[3]);

/* Weekday of such a date: Monday 0 to Sunday 6. */
int pci_date_weekday(const int date[3]);

#endif
