/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuzz.h"

#include <string.h>

#include "input/csv.h"
#include "input/ini.h"

bool fuzz_accepts(const uint8_t *data, size_t size) {
    pci_ini *ini;
    pci_csv csv;
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pci_ini_parse("fuzz", (const char *)data, size, &ini, &errors);
    FUZZ_PROMISE((status == PC_OK) == (errors.count == 0));
    FUZZ_PROMISE((status == PC_OK) == (ini != NULL));
    for (size_t i = 0; ini && i < ini->entry_count; i++) {
        const pci_ini_entry *e = &ini->entry[i];
        FUZZ_PROMISE(e->section < ini->section_count && e->line > 0);
        FUZZ_PROMISE(strlen(e->value) > 0 && strlen(e->value) <= PCI_INI_LINE_MOST);
        FUZZ_PROMISE(pci_ini_get(ini, e->section, e->key) == e);
    }
    pci_ini_free(ini);
    pc_errors_free(&errors);
    pc_status as_csv = pci_csv_parse("fuzz", (const char *)data, size, &csv, &errors);
    FUZZ_PROMISE((as_csv == PC_OK) == (errors.count == 0));
    pci_csv_free(&csv);
    pc_errors_free(&errors);
    return status == PC_OK;
}

FUZZ_ENTRY
