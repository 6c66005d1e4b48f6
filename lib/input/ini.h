/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Strict INI files: our scan judges every line and fills iniparser's dictionary, which keeps,
 * finds and writes the entries.
 *
 * One entry a line, `key = value`, in sections `[name]`. Keys: letters, digits, underscore; case is
 * not looked at. Section names keep their case and may have spaces. A line whose first mark is ;
 * or # is a comment; so is the rest of a line from a ; or # that has white space before it. A ; or
 * # that touches the text before it is refused, since it is unclear what was meant: a value that
 * has one is put in "quotes". Refused as well: a byte order mark, bytes that are not UTF-8,
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
    PCI_INI_NAME_MOST = 95,
    PCI_INI_KEY_MOST = 63,
};

typedef struct pci_ini {
    char file[256];
    size_t sections, entries;
    struct _dictionary_
        *value;                /* "section:key", in lower case; of a section: its name as written */
    struct _dictionary_ *line; /* of the same entries */
} pci_ini;

/* A value and where it is, for messages. */
typedef struct pci_at {
    const char *file;
    long line;
    const char *section, *key, *value;
    pc_errors *errors;
} pci_at;

/* Purpose:  read a file ("-": standard input) / bytes in memory under a name.
 * Returned: *ini, to be freed by pci_ini_free; PC_OK; else NULL and the first error's status with
 *           every wrong line in errors. */
pc_status pci_ini_read(const char *path, pci_ini **ini, pc_errors *errors);
pc_status pci_ini_parse(const char *file, const char *data, size_t size, pci_ini **ini,
                        pc_errors *errors);

/* Purpose:  an empty file to be filled and written. Returned: NULL when memory is out. */
pci_ini *pci_ini_new(const char *file);
void pci_ini_free(pci_ini *ini);

/* Purpose:  add a section (key and value NULL), or a key to it; line 0 where it is in no file.
 * Given:    names as the scan lets them through, not there yet. Returned: false: out of memory. */
bool pci_ini_add(pci_ini *ini, const char *section, const char *key, const char *value, long line);

/* Section of a number below ini->sections, in the order of the file: its name as written. */
const char *pci_ini_section(const pci_ini *ini, size_t number);

/* Line of a section (key NULL) or a key, 0 where it is not in the file; case is not looked at. */
long pci_ini_line(const pci_ini *ini, const char *section, const char *key);

/* Value of a key, NULL where it is not given. */
const char *pci_ini_value(const pci_ini *ini, const char *section, const char *key);

/* Where a key is, or its section where it is not given; key NULL: the section. */
pci_at pci_ini_at(const pci_ini *ini, const char *section, const char *key, pc_errors *errors);

/* Purpose:  report every key of a section that is not known, with the nearest that is.
 * Given:    known: NULL-ended. Returned: PC_OK, or PC_E_KEY. */
pc_status pci_ini_unknown_keys(const pci_ini *ini, const char *section, const char *const *known,
                               pc_errors *errors);

/* Report a section as unknown, with the nearest of the known names. */
pc_status pci_ini_unknown_section(const pci_ini *ini, const char *section, const char *const *known,
                                  pc_errors *errors);

/* Purpose:  add a key to a file that is to be written, and its section before it; " becomes '.
 * Given:    value of one line, not empty. Returned: false: out of memory. */
bool pci_ini_put(pci_ini *ini, const char *section, const char *key, const char *value);

/* Purpose:  write a file, whole or not at all. Given: comment: its first line.
 * Returned: PC_OK, PC_E_MEMORY, or as pc_file_write. */
pc_status pci_ini_write(const pci_ini *ini, const char *comment, const char *path,
                        pc_errors *errors);

#endif
