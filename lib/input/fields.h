/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Keys of a file as a table: what each may hold and where in a record it goes. */
#ifndef PCI_INPUT_FIELDS_H
#define PCI_INPUT_FIELDS_H

#include <stdbool.h>
#include <stddef.h>

#include "input/ini.h"
#include "pourclock/quantity.h"

typedef enum pci_field_kind {
    PCI_QUANTITY, /* double, SI */
    PCI_TEXT,     /* char[size] */
    PCI_WHOLE,    /* int */
    PCI_YES_NO,   /* bool */
    PCI_WORD,     /* an enum or int: place of the value in words */
    PCI_OWN,      /* own reads it */
} pci_field_kind;

typedef struct pci_field {
    const char *key;
    pci_field_kind kind;
    size_t offset, size;
    pc_dimension dimension;
    double least, most;
    bool open;         /* least itself is refused */
    const char *range; /* the range and why, for the message */
    const char *const *words;
    pc_status (*own)(const pci_at *at, void *record);
} pci_field;

/* Rows of a table; `type` is the record's. */
#define PCI_QUANTITY_FIELD(key, dimension, type, member, least, most, range)                       \
    {                                                                                              \
        key, PCI_QUANTITY, offsetof(type, member), 0, dimension, least, most, false, range, NULL,  \
            NULL                                                                                   \
    }
#define PCI_ABOVE_FIELD(key, dimension, type, member, least, most, range)                          \
    {                                                                                              \
        key, PCI_QUANTITY, offsetof(type, member), 0, dimension, least, most, true, range, NULL,   \
            NULL                                                                                   \
    }
#define PCI_TEXT_FIELD(key, type, member)                                                          \
    {                                                                                              \
        key, PCI_TEXT, offsetof(type, member), sizeof(((type *)0)->member), PC_NUMBER, 0, 0,       \
            false, NULL, NULL, NULL                                                                \
    }
#define PCI_WHOLE_FIELD(key, type, member, least, most, range)                                     \
    { key, PCI_WHOLE, offsetof(type, member), 0, PC_NUMBER, least, most, false, range, NULL, NULL }
#define PCI_YES_NO_FIELD(key, type, member)                                                        \
    { key, PCI_YES_NO, offsetof(type, member), 0, PC_NUMBER, 0, 0, false, NULL, NULL, NULL }
#define PCI_WORD_FIELD(key, type, member, words)                                                   \
    { key, PCI_WORD, offsetof(type, member), 0, PC_NUMBER, 0, 0, false, NULL, words, NULL }
#define PCI_OWN_FIELD(key, own)                                                                    \
    { key, PCI_OWN, 0, 0, PC_NUMBER, 0, 0, false, NULL, NULL, own }

/* Adds an error that stands here and returns its status. */
pc_status pci_refuse(const pci_at *at, pc_status status, const char *format, ...) PC_PRINTF(3, 4);

/* Purpose:  read one quantity within a range, for fields and own readers.
 * Returned: *si, untouched after an error; PC_OK or the status of the error added. */
pc_status pci_read_quantity(const pci_at *at, const char *text, pc_dimension dimension, double *si);

/* Purpose:  set a member of a record from at->value. */
pc_status pci_field_set(const pci_field *field, const pci_at *at, void *record);

/* The field of a key in a table of count rows, or NULL. */
const pci_field *pci_field_named(const pci_field *table, size_t count, const char *key);

/* Purpose:  read a whole section into a record by its table, unknown keys refused.
 * Returned: PC_OK, or the first error's status with all of them in errors. */
pc_status pci_fields_read(const pci_ini *ini, const char *section, const pci_field *table,
                          size_t count, void *record, pc_errors *errors);

/* Purpose:  judge the numbers of a record that no file was read for, by the same table.
 * Given:    blank: the record's defaults; what is as there is not judged. Texts and own readers'
 *           members are the caller's to judge. section: for messages.
 * Returned: PC_OK, or PC_E_VALUE with an error for each number out of range. */
pc_status pci_fields_check(const pci_field *table, size_t count, const void *record,
                           const void *blank, const char *section, pc_errors *errors);

/* The keys of a table as a NULL-ended list; room for count + 1. */
void pci_field_keys(const pci_field *table, size_t count, const char **list);

/* The first bad status of two. */
pc_status pci_first(pc_status a, pc_status b);

/* Errors at->errors[from..] that name no file are of the value: a resin that is not found is its
 * line's fault, a wrong line of the resin's own file is that file's. */
void pci_errors_place(const pci_at *at, size_t from);

/* Sorts errors[from..] by line, those of equal line as they came. */
void pci_errors_by_line(pc_errors *errors, size_t from);

#endif
