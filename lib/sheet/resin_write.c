/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A resin written as a file with full constants, readable again. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "pourclock/quantity.h"
#include "pourclock/resin.h"
#include "resin/filler.h"
#include "sheet/filler_file.h"
#include "sheet/resin_file.h"

struct resin_writer {
    pci_ini *ini;
    const char *section;
    bool failed; /* out of memory */
};

/* Nothing where there is no text. */
static void words(struct resin_writer *w, const char *key, const char *value) {
    if (*value)
        w->failed = !pci_ini_put(w->ini, w->section, key, value) || w->failed;
}

/* `key = value unit`; nothing where the value is unknown. */
static void number(struct resin_writer *w, const char *key, double value, const char *unit) {
    char digits[40], text[80];
    if (!isfinite(value))
        return;
    pci_number_text(value, digits, sizeof digits);
    snprintf(text, sizeof text, "%s%s%s", digits, *unit ? " " : "", unit);
    words(w, key, text);
}

static bool one_line(const char *s) {
    for (; *s; s++)
        if ((unsigned char)*s < 0x20 || *s == 0x7F)
            return false;
    return true;
}

static void resin_section(struct resin_writer *w, const pc_resin *resin) {
    w->section = "resin";
    words(w, "name", resin->name);
    words(w, "family", pc_family_word(resin->family));
    number(w, "density", resin->density_kg_m3, "kg/m3");
    number(w, "density_a", resin->density_a_kg_m3, "kg/m3");
    number(w, "density_b", resin->density_b_kg_m3, "kg/m3");
    number(w, "viscosity", resin->flow.mu_ref_Pa_s, "Pa.s");
    number(w, "viscosity_at", resin->flow.T_ref_K, "K");
    char a[40], b[40], ratio[100];
    pci_number_text(100.0 * resin->share_a, a, sizeof a);
    pci_number_text(100.0 * resin->share_b, b, sizeof b);
    snprintf(ratio, sizeof ratio, "%s:%s by weight", a, b);
    words(w, "ratio", ratio);
    number(w, "peak_limit", resin->peak_limit_K, "K");
    number(w, "least_temperature", resin->least_temperature_K, "K");
    number(w, "demold_below", resin->demold_below_K, "K");
    if (resin->catalyst.at > 0.0) {
        number(w, "catalyst_at", 100.0 * resin->catalyst.level, "%");
        pci_number_text(100.0 * resin->catalyst.low, a, sizeof a);
        pci_number_text(100.0 * resin->catalyst.high, b, sizeof b);
        snprintf(ratio, sizeof ratio, "%s-%s %%", a, b);
        words(w, "catalyst_range", ratio);
    }
}

static void filler_keys(struct resin_writer *w, const pc_fill *fill) {
    if (!(fill->parts > 0.0))
        return;
    number(w, "filler", fill->parts, "parts");
    words(w, "filler_name", fill->of.name);
    words(w, "filler_dust", pci_dust_words[fill->of.dust]);
    number(w, "filler_density", fill->of.density_kg_m3, "kg/m3");
    number(w, "filler_cp", fill->of.cp_J_kgK, "J/kg.K");
    number(w, "filler_k", fill->of.k_W_mK, "W/m.K");
    number(w, "filler_phi_max", fill->of.phi_max, "");
}

static void cure_section(struct resin_writer *w, const pc_resin *resin) {
    const pc_cure *cure = &resin->cure;
    w->section = "cure";
    number(w, "A1", cure->A1_per_s, "1/s");
    number(w, "E1", cure->E1_J_mol, "J/mol");
    if (cure->A2_per_s > 0.0) {
        number(w, "A2", cure->A2_per_s, "1/s");
        number(w, "E2", cure->E2_J_mol, "J/mol");
    }
    number(w, "m", cure->m, "");
    number(w, "n", cure->n, "");
    number(w, "heat", cure->heat_J_kg, "J/kg");
    number(w, "a_gel", cure->a_gel, "");
    number(w, "a_pot", cure->a_pot, "");
    number(w, "a_bond", cure->a_bond, "");
    number(w, "a_demold", cure->a_demold, "");
    number(w, "cp", cure->cp_J_kgK, "J/kg.K");
    number(w, "conductivity", cure->k_W_mK, "W/m.K");
    number(w, "flow_energy", resin->flow.E_mu_J_mol, "J/mol");
    number(w, "flow_c", resin->flow.c, "");
    number(w, "flow_d", resin->flow.d, "");
}

static void safety_section(struct resin_writer *w, const pc_volatile *v) {
    w->section = "safety";
    words(w, "volatile", v->name);
    number(w, "volatile_share", 100.0 * v->share, "%");
    number(w, "evaporated_share", 100.0 * v->evaporated_share, "%");
    if (isfinite(v->limit_fraction))
        number(w, "limit", 1e6 * v->limit_fraction, "ppm");
    else
        number(w, "limit", v->limit_kg_m3, "kg/m3");
    number(w, "molecular_weight", 1e3 * v->molar_mass_kg_mol, "g/mol");
}

/* The rows of the factor, each up to its diagonal. */
static void fit_section(struct resin_writer *w, const pc_resin_fit *fit) {
    w->section = "fit";
    number(w, "tests", fit->tests, "");
    number(w, "film", fit->film_sd, "");
    for (size_t k = 0; k < PC_UNKNOWNS; k++) {
        char row[PC_UNKNOWNS * 40] = "", digits[40];
        for (size_t i = 0, used = 0; i <= k && used < sizeof row; i++) {
            pci_number_text(fit->factor[k][i], digits, sizeof digits);
            used += (size_t)snprintf(row + used, sizeof row - used, "%s%s", i ? " " : "", digits);
        }
        words(w, pci_unknown_word(k), row);
    }
}

pc_status pc_resin_write(const char *path, const pc_resin *resin, pc_errors *errors) {
    if (!path || !resin || !one_line(resin->name) || !one_line(resin->gives_off.name) ||
        !*resin->name || !*pc_family_word(resin->family))
        return pc_errors_add(errors, PC_E_ARGUMENT, (pc_place){.file = path},
                             "a resin needs a family and a name of one line before it is written");
    if (pci_resin_check(resin, errors) != PC_OK)
        return PC_E_ARGUMENT;
    pc_resin plain = *resin; /* its own figures; what is stirred in comes as keys */
    pci_resin_unfill(&plain);
    struct resin_writer w = {pci_ini_new(path), NULL, false};
    if (!w.ini)
        return pc_errors_add(errors, PC_E_MEMORY, (pc_place){.file = path}, "out of memory");
    resin_section(&w, &plain);
    filler_keys(&w, &resin->fill);
    cure_section(&w, &plain);
    safety_section(&w, &plain.gives_off);
    if (resin->fit.known)
        fit_section(&w, &plain.fit);
    pc_status status =
        w.failed ? pc_errors_add(errors, PC_E_MEMORY, (pc_place){.file = path}, "out of memory")
                 : pci_ini_write(w.ini, "A resin with its constants of cure, written by pourclock.",
                                 path, errors);
    pci_ini_free(w.ini);
    return status;
}
