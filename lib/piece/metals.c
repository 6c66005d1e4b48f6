/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "piece/metals.h"

#include "base/text.h"

/* Handbook values of the softest usual temper, from memory. */
static const pc_metal metals[] = {
    {"steel", 200e9, 250e6, 7850},        {"stainless", 193e9, 205e6, 8000},
    {"brass", 100e9, 125e6, 8500},        {"copper", 117e9, 69e6, 8940},
    {"aluminium", 69e9, 35e6, 2700},      {"aluminium-alloy", 69e9, 240e6, 2700},
    {"spring-steel", 205e9, 900e6, 7850},
};

const pc_metal *pci_metal_at(size_t index) {
    return index < sizeof metals / sizeof *metals ? &metals[index] : NULL;
}

const pc_metal *pci_metal_find(const char *name) {
    for (size_t i = 0; name && i < sizeof metals / sizeof *metals; i++)
        if (pci_same_word(name, metals[i].name))
            return &metals[i];
    return NULL;
}
