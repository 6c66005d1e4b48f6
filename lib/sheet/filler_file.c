/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sheet/filler_file.h"

#include <math.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "resin/filler.h"

const char *const pci_dust_words[PC_DUST_COUNT + 1] = {
#define WORD(name, word) word,
    PC_DUST_TABLE(WORD)
#undef WORD
        NULL};

static const pci_field filler_fields[] = {
    PCI_TEXT_FIELD("name", pc_filler, name),
    PCI_QUANTITY_FIELD("density", PC_DENSITY, pc_filler, density_kg_m3, 20, 25000,
                       "the grains of a filler have 0.02 to 25 g/cm3 (not the heap of them)"),
    PCI_QUANTITY_FIELD("cp", PC_SPECIFIC_HEAT, pc_filler, cp_J_kgK, 100, 5000,
                       "a specific heat is 100 to 5000 J/kg.K"),
    PCI_QUANTITY_FIELD("conductivity", PC_CONDUCTIVITY, pc_filler, k_W_mK, 0.01, 2500,
                       "a conductivity is 0.01 to 2500 W/m.K"),
    PCI_QUANTITY_FIELD("phi_max", PC_NUMBER, pc_filler, phi_max, PCI_FILLER_PHI_LEAST, 0.9,
                       "the share of the volume that grains can take is 0.05 to 0.9"),
    PCI_WORD_FIELD("dust", pc_filler, dust, pci_dust_words),
    PCI_TEXT_FIELD("note", pc_filler, note),
};

enum { FIELDS = sizeof filler_fields / sizeof filler_fields[0] };

void pci_filler_defaults(pc_filler *filler) {
    *filler = (pc_filler){.density_kg_m3 = NAN,
                          .cp_J_kgK = PCI_FILLER_CP_J_KGK,
                          .k_W_mK = PCI_FILLER_K_W_MK,
                          .phi_max = PCI_FILLER_PHI_MAX,
                          .dust = PC_DUST_NUISANCE};
}

static pc_status missing(const pci_ini *ini, const char *key, const char *text, pc_errors *errors) {
    pci_at at = pci_ini_at(ini, "filler", key, errors);
    return pci_refuse(&at, PC_E_KEY, "%s", text);
}

static pc_status from_ini(const pci_ini *ini, pc_filler *filler, pc_errors *errors) {
    static const char *const sections[] = {"filler", NULL};
    pci_filler_defaults(filler);
    if (pci_ini_line(ini, "filler", NULL) == 0)
        return pc_errors_add(errors, PC_E_KEY, (pc_place){.file = ini->file, .section = "filler"},
                             "a filler file needs a section [filler]: is it the right file?");
    pc_status status = PC_OK;
    for (size_t s = 0; s < ini->sections; s++) {
        const char *section = pci_ini_section(ini, s);
        status = pci_first(
            status, pci_same_word(section, "filler")
                        ? pci_fields_read(ini, section, filler_fields, FIELDS, filler, errors)
                        : pci_ini_unknown_section(ini, section, sections, errors));
    }
    if (status == PC_OK && !filler->name[0])
        status = missing(ini, "name", "the filler needs a name: name = ...", errors);
    if (status == PC_OK && isnan(filler->density_kg_m3))
        status = missing(ini, "density",
                         "the density of the grains is missing: density = 2.7 g/cm3", errors);
    return status;
}

pc_status pci_filler_parse(const char *file, const char *data, size_t size, pc_filler *filler,
                           pc_errors *errors) {
    pci_ini *ini;
    pc_status status = pci_ini_parse(file, data, size, &ini, errors);
    if (status == PC_OK)
        status = from_ini(ini, filler, errors);
    pci_ini_free(ini);
    return status;
}

pc_status pci_filler_read(const char *path, pc_filler *filler, pc_errors *errors) {
    pci_ini *ini;
    pc_status status = pci_ini_read(path, &ini, errors);
    if (status == PC_OK)
        status = from_ini(ini, filler, errors);
    pci_ini_free(ini);
    return status;
}

static pc_status refuse_value(const pci_at *at) {
    return pci_refuse(
        at, PC_E_VALUE,
        "\"%.60s\" is not a filler: write its name on the shelf, or its file, and "
        "how much by weight to 100 parts of A and B together, such as calcium-carbonate "
        "100 parts",
        at->value);
}

/* The last two words of a value are "250 parts"; where the name ends. */
static pc_status amount(const pci_at *at, const char **end, double *parts) {
    static const char *const words[] = {"parts", "part", "phr"};
    const char *text = at->value, *unit = strrchr(text, ' ');
    bool counted = false;
    *parts = NAN;
    *end = text + strlen(text);
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        counted = counted || pci_same_word(unit ? unit + 1 : text, words[i]);
    if (!counted || !unit)
        return pc_number_parse(unit ? unit + 1 : text, NULL) > 0.0 ? refuse_value(at) : PC_OK;
    while (unit > text && pci_is_space(unit[-1]))
        unit--;
    const char *number = unit, *stop;
    while (number > text && !pci_is_space(number[-1]))
        number--;
    double value = pc_number_parse(number, &stop);
    if (stop != unit)
        return refuse_value(at);
    if (!(value > 0.0) || !(value <= PCI_PARTS_MOST))
        return pci_refuse(at, PC_E_VALUE,
                          "\"%.60s\" is out of range: a filler is more than 0 and at most %g parts "
                          "by weight to 100 of A and B together",
                          at->value, PCI_PARTS_MOST);
    while (number > text && pci_is_space(number[-1]))
        number--;
    *parts = value;
    *end = number;
    return PC_OK;
}

pc_status pci_filler_value(const pci_at *at, const char *beside, pc_filler *filler, double *parts) {
    char name[256];
    const char *end;
    PCI_TRY(amount(at, &end, parts));
    size_t n = (size_t)(end - at->value), from = at->errors ? at->errors->count : 0;
    if (n >= sizeof name)
        return pci_refuse(at, PC_E_SIZE, "the name is too long");
    memcpy(name, at->value, n);
    name[n] = '\0';
    if (n == 0)
        return PC_OK;
    pc_status status = pci_filler_find(name, beside, filler, at->errors);
    pci_errors_place(at, from);
    return status;
}

pc_status pci_fill_at(const pci_at *at, pc_resin *resin, const pc_filler *filler, double parts) {
    double most_parts = NAN;
    pc_status status = pci_resin_fill(resin, filler, parts, &most_parts);
    if (status == PC_E_LIMIT)
        return pci_refuse(
            at, PC_E_VALUE,
            "%.4g parts of %s are more than this resin wets: its grains take at most "
            "%.3g %% of the volume (phi_max), and at %.3g parts the mix is as stiff as "
            "damp sand: use less",
            parts, *filler->name ? filler->name : "filler", 100.0 * filler->phi_max, most_parts);
    if (status != PC_OK)
        return pci_refuse(at, status, "the filler's numbers are out of range");
    return PC_OK;
}
