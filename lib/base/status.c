/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "pourclock/status.h"
#include "base/try.h"
#include "pourclock/version.h"

const char *pc_status_text(pc_status status) {
    switch (status) {
#define TEXT_CASE(name, number, text)                                                              \
    case name:                                                                                     \
        return text;
        PC_STATUS_TABLE(TEXT_CASE)
#undef TEXT_CASE
    }
    return "unknown status";
}

const char *pci_status_name(pc_status status) {
    switch (status) {
#define NAME_CASE(name, number, text)                                                              \
    case name:                                                                                     \
        return #name;
        PC_STATUS_TABLE(NAME_CASE)
#undef NAME_CASE
    }
    return "PC_?";
}

const char *pc_version(void) {
    return PC_VERSION;
}
