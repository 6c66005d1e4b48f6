/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Small, strict CSV files (RFC 4180, with comment lines): a header, then rows as wide as it. Day
 * temperatures, price lists, cup tests. */
#ifndef PCI_INPUT_CSV_H
#define PCI_INPUT_CSV_H

#include <stddef.h>

#include "pourclock/errors.h"

enum { PCI_CSV_BYTES_MOST = 4 << 20, PCI_CSV_COLUMNS_MOST = 32, PCI_CSV_ROWS_MOST = 20000 };

typedef struct pci_csv {
    char file[256];
    size_t columns, rows;
    char **header; /* columns */
    char **cell;   /* rows x columns, by row; white space round an unquoted cell is cut */
    long *line;    /* of each row */
    long header_line;
} pci_csv;

/* Purpose:  read a CSV file ("-": standard input) / bytes under a name.
 * Returned: *csv, to be freed (also after an error); PC_OK; else the first error's status, with
 *           every wrong line in errors.
 * Notes:    lines that are blank or start with # are skipped. A quoted cell doubles a quote inside
 *           it and may not hold a line end. CRLF and LF are both line ends. The header's names are
 *           unique, case not looked at. */
pc_status pci_csv_read(const char *path, pci_csv *csv, pc_errors *errors);
pc_status pci_csv_parse(const char *file, const char *data, size_t size, pci_csv *csv,
                        pc_errors *errors);
/* The same, of a file that may be a header alone. */
pc_status pci_csv_read_bare(const char *path, pci_csv *csv, pc_errors *errors);
void pci_csv_free(pci_csv *csv);

/* Column of a name (case not looked at), or -1. Cell of a row and column, in range. */
long pci_csv_column(const pci_csv *csv, const char *name);
const char *pci_csv_cell(const pci_csv *csv, size_t row, size_t column);

#endif
