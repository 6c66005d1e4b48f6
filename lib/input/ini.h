/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Strict INI files.
 *
 * One entry a line, `key = value`, in sections `[name]`. Keys: letters, digits, underscore; case is
 * not looked at. Section names keep their case and may hold spaces. A line whose first mark is ;
 * or # is a comment; so is the rest of a line from a ; or # that has white space before it. A ; or
 * # that touches the text before it is refused, since it is unclear what was meant: a value that
 * holds one is put in "quotes". Refused as well: a byte order mark, bytes that are not UTF-8,
 * control bytes, lines over 1000 bytes, a trailing backslash, keys before the first section, keys
 * and sections given twice, empty values, : in a section's name. */
#ifndef PCI_INPUT_INI_H
#define PCI_INPUT_INI_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock/errors.h"

enum {
    PCI_INI_BYTES_MOST = 4 << 20,
    PCI_INI_LINE_MOST = 1000,
    PCI_INI_ENTRIES_MOST = 2000,
    PCI_INI_SECTIONS_MOST = 200,
};

typedef struct pci_ini_entry {
    size_t section;
    long line;
    char *key, *value; /* key in lower case */
    bool used;
} pci_ini_entry;

typedef struct pci_ini_section {
    long line;
    char *name; /* as written, white space inside it to one space */
} pci_ini_section;

typedef struct pci_ini {
    char file[256];
    size_t section_count, entry_count;
    pci_ini_section section[PCI_INI_SECTIONS_MOST];
    pci_ini_entry entry[PCI_INI_ENTRIES_MOST];
} pci_ini;

/* Purpose:  read a file ("-": standard input) / bytes that stand in memory under a name.
 * Returned: *ini, to be freed by pci_ini_free; PC_OK; else NULL and the first error's status with
 *           every wrong line in errors. */
pc_status pci_ini_read(const char *path, pci_ini **ini, pc_errors *errors);
pc_status pci_ini_parse(const char *file, const char *data, size_t size, pci_ini **ini,
                        pc_errors *errors);
void pci_ini_free(pci_ini *ini);

/* Section of a name (case not looked at); its index, or -1. */
long pci_ini_section_named(const pci_ini *ini, const char *name);

/* The entry of a key, marked used; NULL where there is none. */
const pci_ini_entry *pci_ini_get(pci_ini *ini, size_t section, const char *key);

/* Purpose:  report every entry of a section that was not used, with the nearest known key.
 * Given:    known: NULL-ended. Returned: PC_OK, or PC_E_KEY. */
pc_status pci_ini_unused(const pci_ini *ini, size_t section, const char *const *known,
                         pc_errors *errors);

/* Report a section as unknown, with the nearest of the known names. */
pc_status pci_ini_unknown_section(const pci_ini *ini, size_t section, const char *const *known,
                                  pc_errors *errors);

#endif
