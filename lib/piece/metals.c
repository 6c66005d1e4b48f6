/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "piece/metals.h"

#include "base/text.h"
#include "shape/solid.h"

#include <math.h>
#include <string.h>

/* Handbook values of the softest usual temper, from memory; foils alone have no strength here. */
static const pc_metal metals[] = {
    {"steel", 200e9, 250e6, 7850},
    {"stainless", 193e9, 205e6, 8000},
    {"brass", 100e9, 125e6, 8500},
    {"copper", 117e9, 69e6, 8960},
    {"aluminum", 69e9, 35e6, 2700},
    {"aluminum-alloy", 69e9, 240e6, 2700},
    {"spring-steel", 205e9, 900e6, 7850},
    {"lead", NAN, NAN, 11340},
    {"tin", NAN, NAN, 7290},
    {"zinc", NAN, NAN, 7140},
};

const pc_metal *pci_metal_at(size_t index) {
    return index < sizeof metals / sizeof *metals ? &metals[index] : NULL;
}

const pc_metal *pci_metal_find(const char *name) {
    char word[32];
    pci_copy_text(word, sizeof word, name);
    char *british = strstr(word, "minium"); /* aluminium */
    if (british)
        memmove(british + 3, british + 4, strlen(british + 4) + 1);
    for (size_t i = 0; i < sizeof metals / sizeof *metals; i++)
        if (pci_same_word(word, metals[i].name))
            return &metals[i];
    return NULL;
}

double pci_metal_density(const char *name) {
    const pc_metal *metal = pci_metal_find(name);
    return metal ? metal->density_kg_m3 : NAN;
}

pc_status pc_foil_area(double foil_kg, double foil_m, const char *metal, double *area_m2) {
    return pci_foil_area(foil_kg, foil_m, pci_metal_density(metal), area_m2);
}
