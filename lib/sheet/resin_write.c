/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A resin written as a file with full constants, readable again. */
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "input/file.h"
#include "pourclock/quantity.h"
#include "pourclock/resin.h"
#include "sheet/resin_file.h"

enum { TEXT_MOST = 8192 };

struct resin_text {
    char at[TEXT_MOST];
    size_t used;
};

#if defined(__GNUC__)
__attribute__((format(printf, 2, 3)))
#endif
static void
add(struct resin_text *text, const char *format, ...) {
    va_list args;
    va_start(args, format);
    int n = pci_vformat(text->at + text->used, TEXT_MOST - text->used, format, args);
    va_end(args);
    if (n > 0)
        text->used += (size_t)n < TEXT_MOST - text->used ? (size_t)n : TEXT_MOST - text->used - 1;
}

/* `key = value unit`; nothing where the value is unknown. */
static void number(struct resin_text *text, const char *key, double value, const char *unit) {
    char digits[40];
    if (!isfinite(value))
        return;
    pci_number_text(value, digits, sizeof digits);
    add(text, "%s = %s%s%s\n", key, digits, *unit ? " " : "", unit);
}

static bool one_line(const char *s) {
    for (; *s; s++)
        if ((unsigned char)*s < 0x20 || *s == 0x7F)
            return false;
    return true;
}

/* Text goes in quotes; a quote of the same kind inside it becomes the other. */
static void words(struct resin_text *text, const char *key, const char *value) {
    if (!*value)
        return;
    add(text, "%s = \"", key);
    for (; *value; value++)
        add(text, "%c", *value == '"' ? '\'' : *value);
    add(text, "\"\n");
}

static void resin_section(struct resin_text *text, const pc_resin *resin) {
    add(text, "[resin]\n");
    words(text, "name", resin->name);
    add(text, "family = %s\n", pc_family_word(resin->family));
    number(text, "density", resin->density_kg_m3, "kg/m3");
    number(text, "density_a", resin->density_a_kg_m3, "kg/m3");
    number(text, "density_b", resin->density_b_kg_m3, "kg/m3");
    number(text, "viscosity", resin->flow.mu_ref_Pa_s, "Pa.s");
    number(text, "viscosity_at", resin->flow.T_ref_K, "K");
    char a[40], b[40];
    pci_number_text(100.0 * resin->share_a, a, sizeof a);
    pci_number_text(100.0 * resin->share_b, b, sizeof b);
    add(text, "ratio = %s:%s by weight\n", a, b);
    number(text, "peak_limit", resin->peak_limit_K, "K");
    number(text, "least_temperature", resin->least_temperature_K, "K");
    number(text, "demold_below", resin->demold_below_K, "K");
}

static void cure_section(struct resin_text *text, const pc_resin *resin) {
    const pc_cure *cure = &resin->cure;
    add(text, "\n[cure]\n");
    number(text, "A1", cure->A1_per_s, "1/s");
    number(text, "E1", cure->E1_J_mol, "J/mol");
    if (cure->A2_per_s > 0.0) {
        number(text, "A2", cure->A2_per_s, "1/s");
        number(text, "E2", cure->E2_J_mol, "J/mol");
    }
    number(text, "m", cure->m, "");
    number(text, "n", cure->n, "");
    number(text, "heat", cure->heat_J_kg, "J/kg");
    number(text, "a_gel", cure->a_gel, "");
    number(text, "a_pot", cure->a_pot, "");
    number(text, "a_bond", cure->a_bond, "");
    number(text, "a_demold", cure->a_demold, "");
    number(text, "cp", cure->cp_J_kgK, "J/kg.K");
    number(text, "conductivity", cure->k_W_mK, "W/m.K");
    number(text, "flow_energy", resin->flow.E_mu_J_mol, "J/mol");
    number(text, "flow_c", resin->flow.c, "");
    number(text, "flow_d", resin->flow.d, "");
}

static void safety_section(struct resin_text *text, const pc_volatile *v) {
    add(text, "\n[safety]\n");
    words(text, "volatile", v->name);
    number(text, "volatile_share", 100.0 * v->share, "%");
    number(text, "evaporated_share", 100.0 * v->evaporated_share, "%");
    if (isfinite(v->limit_fraction))
        number(text, "limit", 1e6 * v->limit_fraction, "ppm");
    else
        number(text, "limit", v->limit_kg_m3, "kg/m3");
    number(text, "molecular_weight", 1e3 * v->molar_mass_kg_mol, "g/mol");
}

pc_status pc_resin_write(const char *path, const pc_resin *resin, pc_errors *errors) {
    if (!path || !resin || !one_line(resin->name) || !one_line(resin->gives_off.name) ||
        !*resin->name || !*pc_family_word(resin->family))
        return pc_errors_add(errors, PC_E_ARGUMENT, (pc_place){.file = path},
                             "a resin needs a family and a name of one line before it is written");
    if (pci_resin_check(resin, errors) != PC_OK)
        return PC_E_ARGUMENT;
    struct resin_text *text = calloc(1, sizeof *text);
    if (!text)
        return pc_errors_add(errors, PC_E_MEMORY, (pc_place){.file = path}, "out of memory");
    add(text, "; A resin with its constants of cure, written by pourclock.\n");
    resin_section(text, resin);
    cure_section(text, resin);
    safety_section(text, &resin->gives_off);
    if (resin->fit.fitted) {
        add(text, "\n[fit]\n");
        number(text, "rate_error", resin->fit.ln_s_error, "");
        number(text, "energy_error", resin->fit.E_error_J_mol, "J/mol");
        number(text, "correlation", resin->fit.correlation, "");
        number(text, "reference", resin->fit.T_ref_K, "K");
    }
    pc_status status = pci_file_write(path, text->at, text->used, errors);
    free(text);
    return status;
}
