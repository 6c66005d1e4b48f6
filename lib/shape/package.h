/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The parts of a zipped package (OPC, ECMA-376 Part 2), as XML. */
#ifndef PCI_SHAPE_PACKAGE_H
#define PCI_SHAPE_PACKAGE_H

#include <expat.h>

#include "pourclock/errors.h"

typedef struct pci_package pci_package;

/* Purpose:  opens a package in memory, which stays the caller's. name: for messages.
 * Returned: *package, to be closed by pci_package_close (NULL after an error); PC_OK, PC_E_SYNTAX
 *           (no ZIP file, cut off, more parts than PCI_PACKAGE_PARTS_MOST), PC_E_MEMORY. */
#define PCI_PACKAGE_PARTS_MOST 10000
pc_status pci_package_open(const void *data, size_t size, const char *name, pc_errors *errors,
                           pci_package **package);
void pci_package_close(pci_package *package);

/* Purpose:  feeds a part to a parser, piece by piece.
 * Given:    path within the package, with or without a leading '/'; stop: what a handler of the
 *           parser sets to end it early, after it has added its error.
 * Returned: PC_OK; PC_E_SYNTAX (no such part, encrypted, damaged, no XML, a document type
 *           declaration, which the standard forbids and entities need); PC_E_SIZE (4 GB, or more
 *           than 200 times as long as compressed); PC_E_MEMORY; *stop where it is not PC_OK.
 * Notes:    sets the parser's doctype handler. */
pc_status pci_package_parse(pci_package *package, const char *path, XML_Parser parser,
                            const pc_status *stop);

#endif
