/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/fields.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"

enum { FIELDS_MOST = 64 };

pc_status pci_first(pc_status a, pc_status b) {
    return a != PC_OK ? a : b;
}

pc_status pci_refuse(const pci_at *at, pc_status status, const char *format, ...) {
    char text[512];
    va_list args;
    va_start(args, format);
    pci_vformat(text, sizeof text, format, args);
    va_end(args);
    return pc_errors_add(at->errors, status,
                         (pc_place){.file = at->file,
                                    .line = at->line,
                                    .section = at->section,
                                    .key = at->key,
                                    .value = at->value},
                         "%s", text);
}

pc_status pci_read_quantity(const pci_at *at, const char *text, pc_dimension dimension,
                            double *si) {
    char why[400];
    pc_status status = pc_quantity_parse(text, dimension, si, why, sizeof why);
    return status == PC_OK ? PC_OK : pci_refuse(at, status, "%s", why);
}

static pc_status out_of_range(const pci_field *field, const pci_at *at) {
    return pci_refuse(at, PC_E_VALUE, "\"%.60s\" is out of range: %s", at->value, field->range);
}

static bool within(const pci_field *field, double value) {
    return field->open ? value > field->least && value <= field->most
                       : value >= field->least && value <= field->most;
}

static pc_status set_quantity(const pci_field *field, const pci_at *at, double *member) {
    double si;
    PCI_TRY(pci_read_quantity(at, at->value, field->dimension, &si));
    if (!within(field, si))
        return out_of_range(field, at);
    *member = si;
    return PC_OK;
}

static pc_status set_whole(const pci_field *field, const pci_at *at, int *member) {
    double value;
    if (isnan(pc_number_parse(at->value, NULL)))
        return pci_refuse(at, PC_E_VALUE, "\"%.60s\" is not a number: write a whole one such as 3",
                          at->value);
    PCI_TRY(pci_read_quantity(at, at->value, PC_NUMBER, &value));
    if (!within(field, value) || value != floor(value))
        return out_of_range(field, at);
    *member = (int)value;
    return PC_OK;
}

static pc_status set_text(const pci_field *field, const pci_at *at, char *member) {
    if (strlen(at->value) >= field->size)
        return pci_refuse(at, PC_E_SIZE, "longer than %zu bytes: shorten it", field->size - 1);
    if (!pci_text_shows(at->value))
        return pci_refuse(at, PC_E_VALUE, "%s", PCI_NOT_SHOWN);
    memcpy(member, at->value, strlen(at->value) + 1);
    return PC_OK;
}

static pc_status set_yes_no(const pci_at *at, bool *member) {
    bool yes = pci_same_word(at->value, "yes") || pci_same_word(at->value, "on");
    if (!yes && !pci_same_word(at->value, "no") && !pci_same_word(at->value, "off"))
        return pci_refuse(at, PC_E_VALUE, "\"%.60s\" is neither yes nor no", at->value);
    *member = yes;
    return PC_OK;
}

static pc_status set_word(const pci_field *field, const pci_at *at, int *member) {
    char all[300] = "";
    size_t used = 0;
    for (int i = 0; field->words[i]; i++) {
        if (pci_same_word(field->words[i], at->value)) {
            *member = i;
            return PC_OK;
        }
        int n = snprintf(all + used, sizeof all - used, "%s%s", i ? ", " : "", field->words[i]);
        used += n > 0 && (size_t)n < sizeof all - used ? (size_t)n : 0;
    }
    const char *near = pci_nearest_word(at->value, field->words);
    return pci_refuse(at, PC_E_VALUE, "\"%.60s\" is not one of %s%s%s%s", at->value, all,
                      near ? ": did you mean " : "", near ? near : "", near ? "?" : "");
}

pc_status pci_field_set(const pci_field *field, const pci_at *at, void *record) {
    _Static_assert(sizeof(enum pci_field_kind) == sizeof(int), "enums are set through int");
    void *member = (char *)record + field->offset;
    switch (field->kind) {
    case PCI_QUANTITY:
        return set_quantity(field, at, member);
    case PCI_TEXT:
        return set_text(field, at, member);
    case PCI_WHOLE:
        return set_whole(field, at, member);
    case PCI_YES_NO:
        return set_yes_no(at, member);
    case PCI_WORD:
        return set_word(field, at, member);
    case PCI_OWN:
        return field->own(at, record);
    }
    return PC_E_ARGUMENT;
}

static size_t word_count(const char *const *words) {
    size_t n = 0;
    while (words[n])
        n++;
    return n;
}

/* Whether a member may stay as it is; *value: it, for the message. */
static bool member_is_good(const pci_field *field, const void *record, const void *blank,
                           double *value) {
    const char *at = (const char *)record + field->offset;
    const char *unset = (const char *)blank + field->offset;
    double si;
    int whole;
    switch (field->kind) {
    case PCI_QUANTITY:
        memcpy(&si, at, sizeof si);
        *value = si;
        return memcmp(at, unset, sizeof si) == 0 || within(field, si);
    case PCI_WHOLE:
    case PCI_WORD:
        memcpy(&whole, at, sizeof whole);
        *value = whole;
        return memcmp(at, unset, sizeof whole) == 0 ||
               (field->kind == PCI_WHOLE ? within(field, whole)
                                         : whole >= 0 && (size_t)whole < word_count(field->words));
    default:
        return true;
    }
}

pc_status pci_fields_check(const pci_field *table, size_t count, const void *record,
                           const void *blank, const char *section, pc_errors *errors) {
    pc_status status = PC_OK;
    for (size_t i = 0; i < count; i++) {
        double value;
        if (!member_is_good(&table[i], record, blank, &value))
            status = pci_first(status,
                               pc_errors_add(errors, PC_E_VALUE,
                                             (pc_place){.section = section, .key = table[i].key},
                                             "%g is out of range: %s", value,
                                             table[i].range ? table[i].range : "no such choice"));
    }
    return status;
}

const pci_field *pci_field_named(const pci_field *table, size_t count, const char *key) {
    for (size_t i = 0; i < count; i++)
        if (pci_same_word(table[i].key, key))
            return &table[i];
    return NULL;
}

void pci_field_keys(const pci_field *table, size_t count, const char **list) {
    for (size_t i = 0; i < count; i++)
        list[i] = table[i].key;
    list[count] = NULL;
}

pc_status pci_fields_read(const pci_ini *ini, const char *section, const pci_field *table,
                          size_t count, void *record, pc_errors *errors) {
    const char *known[FIELDS_MOST + 1];
    if (count > FIELDS_MOST)
        return PC_E_ARGUMENT;
    pc_status status = PC_OK;
    for (size_t i = 0; i < count; i++) {
        pci_at at = pci_ini_at(ini, section, table[i].key, errors);
        if (at.value)
            status = pci_first(status, pci_field_set(&table[i], &at, record));
    }
    pci_field_keys(table, count, known);
    return pci_first(status, pci_ini_unknown_keys(ini, section, known, errors));
}

void pci_errors_place(const pci_at *at, size_t from) {
    for (size_t i = from; at->errors && i < at->errors->count; i++) {
        pc_error *e = &at->errors->item[i];
        if (e->file[0])
            continue;
        pci_copy_text(e->file, sizeof e->file, at->file);
        pci_copy_text(e->section, sizeof e->section, at->section ? at->section : "");
        pci_copy_text(e->key, sizeof e->key, at->key ? at->key : "");
        e->line = at->line;
    }
}

void pci_errors_by_line(pc_errors *errors, size_t from) {
    if (!errors)
        return;
    for (size_t i = from + 1; i < errors->count; i++) {
        pc_error moved = errors->item[i];
        size_t j = i;
        for (; j > from && errors->item[j - 1].line > moved.line; j--)
            errors->item[j] = errors->item[j - 1];
        errors->item[j] = moved;
    }
}
