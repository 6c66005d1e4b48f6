/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of the cup tests share. */
#ifndef PCI_SHEET_CUPTEST_ROWS_H
#define PCI_SHEET_CUPTEST_ROWS_H

#include "pourclock/cuptest.h"
#include "sheet/film_run.h"

/* Whether the row gives a time (and not a reading). */
bool pci_test_is_time(const pc_test *test);

/* Number of rows from `first` on that are readings of the same cup, 0 where it is not a reading. */
size_t pci_test_log_length(const pc_tests *tests, size_t first);

/* Purpose:  the time a row states and what a resin gives for it; of a logged cup the time of its
 *           hottest reading. Returned: *stated, *value (infinity: never); PC_OK; PC_E_UNREACHED for
 *           a row that says no time; as pci_test_values. */
pc_status pci_test_lateness(const pc_tests *tests, size_t row, const pc_resin *resin,
                            double *stated, double *value);

/* Purpose:  spreads of the rows, 1 sd: 0.05 of ln time of a cup, 0.10 of a film, 1 K of a reading,
 *           or as the row states it; wider for a row older than the newest one. */
void pci_test_spreads(const pc_tests *tests, double spread[]);

/* Purpose:  what every row would give with a resin, in a single run for each logged cup.
 * Given:    *film_work: node-steps the films may still take (wall/bound.h).
 * Returned: value[count], infinite where an event does not happen in 30 days; *film_work: less what
 *           was taken; PC_OK, PC_E_ARGUMENT, PC_E_MEMORY, PC_E_NUMERIC. */
pc_status pci_test_values(const pc_tests *tests, const pc_resin *resin, pci_fineness fineness,
                          double *film_work, double value[]);

/* Purpose:  as pc_tests_read, from bytes under a name. */
pc_status pci_tests_parse(const char *file, const char *data, size_t size, pc_tests *tests,
                          pc_errors *errors);

/* Purpose:  as pc_tests_read, of the file a resin file names: it may have no rows yet. */
pc_status pci_tests_read_own(const char *path, pc_tests *tests, pc_errors *errors);

/* Purpose:  judge tests before they are fitted: what is impossible, and what is doubtful and
 *           therefore asked about unless how->as_is (Fahrenheit read as Celsius, gel sooner in the
 *           cold, readings that jump).
 * Returned: PC_OK, or the first error's status, with all of them in errors. */
pc_status pci_tests_check(const pc_tests *tests, const pc_tests_how *how, pc_errors *errors);

#endif
