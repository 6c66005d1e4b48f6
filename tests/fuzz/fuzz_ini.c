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
    for (size_t i = 0; ini && i < ini->sections; i++) {
        const char *section = pci_ini_section(ini, i);
        FUZZ_PROMISE(strlen(section) > 0 && strlen(section) <= PCI_INI_NAME_MOST);
        FUZZ_PROMISE(pci_ini_line(ini, section, NULL) > 0);
        pci_at at = pci_ini_at(ini, section, "name", &errors);
        FUZZ_PROMISE(!at.value || (strlen(at.value) > 0 && strlen(at.value) <= PCI_INI_LINE_MOST));
        FUZZ_PROMISE(pci_ini_put(ini, section, "written", at.value ? at.value : "x"));
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
