/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a resin file's keys say together: ratio, data sheet, constants of cure, catalyst. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "resin/unknowns.h"
#include "sheet/filler_file.h"
#include "sheet/resin_draft.h"

#define COUNT(table) (sizeof table / sizeof table[0])

static bool stated(const struct pci_resin_check *j, const char *section, const char *key) {
    return pci_ini_value(j->ini, section, key) != NULL;
}

static void fault(struct pci_resin_check *j, pc_status status, const char *section, const char *key,
                  const char *text) {
    pci_at at = pci_ini_at(j->ini, section, key, j->errors);
    j->status = pci_first(j->status, pci_refuse(&at, status, "%s", text));
}

/* A key that says of what or when another is stated needs that other. */
static void needs(struct pci_resin_check *j, const char *key, const char *other) {
    char text[80];
    if (stated(j, "resin", other) || !stated(j, "resin", key))
        return;
    snprintf(text, sizeof text, "%s itself is missing", other);
    fault(j, PC_E_KEY, "resin", key, text);
}

static void settle_ratio(struct pci_resin_check *j, struct pci_resin_draft *draft) {
    pc_resin *resin = &draft->resin;
    double a = draft->ratio_a, b = draft->ratio_b;
    double rho_a = resin->density_a_kg_m3, rho_b = resin->density_b_kg_m3;
    bool both = !isnan(rho_a) && !isnan(rho_b);
    if (isnan(a))
        return;
    if (draft->by_volume && !both) {
        fault(j, PC_E_KEY, "resin", "ratio",
              "a ratio by volume needs density_a and density_b beside it, since the schedule "
              "weighs; or give the ratio by weight");
        return;
    }
    resin->by_volume = draft->by_volume;
    if (draft->by_volume) {
        a *= rho_a;
        b *= rho_b;
    }
    resin->share_a = a / (a + b);
    resin->share_b = b / (a + b);
    if (both && !draft->density_given)
        resin->density_kg_m3 = 1.0 / (resin->share_a / rho_a + resin->share_b / rho_b);
}

static void settle_times(struct pci_resin_check *j, struct pci_resin_draft *draft) {
    static const char *const qualifiers[][2] = {
        {"pot_life_mass", "pot_life"},      {"pot_life_at", "pot_life"},
        {"gel_time_at", "gel_time"},        {"film_gel_thickness", "film_gel"},
        {"film_gel_at", "film_gel"},        {"demold_at", "demold_time"},
        {"demold_thickness", "demold_time"}};
    const pci_sheet_keys *keys = &draft->keys;
    const pci_figure *f = keys->figure;
    bool peak = !isnan(f[PC_DATUM_PEAK].value) || !isnan(f[PC_DATUM_PEAK_TIME].value);
    for (size_t i = peak ? 2 : 0; i < COUNT(qualifiers); i++) /* a peak is of the pot life's cup */
        needs(j, qualifiers[i][0], qualifiers[i][1]);
    if (keys->pair_count == 0)
        needs(j, "gel_time_mass", "gel_time");
    double pot_s = f[PC_DATUM_POT_LIFE].value, gel_s = f[PC_DATUM_GEL].value;
    bool same = keys->gel_mass_kg == keys->pot_mass_kg && keys->gel_T_K == keys->pot_T_K;
    if (same && pot_s >= gel_s)
        fault(j, PC_E_VALUE, "resin", "pot_life",
              "the pot life must be shorter than the gel time of the same mass at the same "
              "temperature: check both against the data sheet; a film that gelled is film_gel");
    if (keys->demold_T_K == keys->pot_T_K && f[PC_DATUM_DEMOLD].value <= pot_s)
        fault(j, PC_E_VALUE, "resin", "demold_time",
              "the demold time must be longer than the pot life: check both against the data "
              "sheet");
    pci_sheet_data(keys, &draft->resin.sheet);
}

/* The level of catalyst that the ratio means is the one that is mixed; the sheet's times hold for
 * it unless catalyst_at says otherwise. */
static void settle_catalyst(struct pci_resin_check *j, struct pci_resin_draft *draft) {
    pc_resin *resin = &draft->resin;
    pc_catalyst *c = &resin->catalyst;
    if (!(c->power > 0.0)) {
        if (stated(j, "resin", "catalyst_at") || stated(j, "resin", "catalyst_range"))
            fault(
                j, PC_E_KEY, "resin",
                stated(j, "resin", "catalyst_at") ? "catalyst_at" : "catalyst_range",
                "only a polyester is cured by a catalyst whose level can be chosen: leave it out");
        return;
    }
    char text[320];
    double level = isnan(draft->ratio_a) ? c->at : resin->share_b / resin->share_a;
    double power = pci_catalyst_power(&draft->keys, resin->cure.E1_J_mol);
    if (!isnan(power))
        c->power = power;
    if (!isnan(draft->ratio_a) && !stated(j, "resin", "catalyst_at"))
        c->at = level;
    double wrong = c->at >= c->low && c->at <= c->high ? level : c->at;
    if (!(wrong >= c->low * (1.0 - 1e-9) && wrong <= c->high * (1.0 + 1e-9))) {
        bool by_ratio = wrong == level && !isnan(draft->ratio_a);
        pci_format(text, sizeof text,
                   "%s means %.3g %% of catalyst by mass; the range is %.3g to %.3g %%: check the "
                   "data sheet (catalyst_range, where it bears more or less)",
                   by_ratio ? "this ratio" : "this", 100.0 * wrong, 100.0 * c->low,
                   100.0 * c->high);
        fault(j, PC_E_VALUE, "resin", by_ratio ? "ratio" : "catalyst_at", text);
        return;
    }
    c->level = level;
    resin->share_b = level / (1.0 + level);
    resin->share_a = 1.0 - resin->share_b;
}

/* An E1 or E2 without A1 is the family's no more, and its rate is still fitted to the data sheet's
 * times. */
static void settle_energy(struct pci_resin_check *j, struct pci_resin_draft *draft) {
    const pc_cure *cure = &draft->resin.cure;
    if (draft->A1_given || !(draft->E1_given || draft->E2_given))
        return;
    if (draft->E2_given && !(cure->A2_per_s > 0.0))
        fault(j, PC_E_KEY, "cure", "E2", "E2 needs A1, E1 and A2 beside it: this family has no A2");
    else if (draft->E2_given && cure->E2_J_mol == 0.0)
        fault(j, PC_E_VALUE, "cure", "E2",
              "beside an A2 that is not 0 E2 is more than 0 and at most 300 kJ/mol");
}

/* A conversion that is not stated keeps its family's place between the others. */
static void settle_conversions(struct pci_resin_check *j, struct pci_resin_draft *draft) {
    pc_cure *cure = &draft->resin.cure;
    pc_data_sheet *sheet = &draft->resin.sheet;
    sheet->a_gel_given = stated(j, "cure", "a_gel");
    sheet->a_pot_given = !isnan(draft->a_pot);
    sheet->a_demold_given = !isnan(draft->a_demold);
    double theta[PC_UNKNOWNS], a_bond = cure->a_bond;
    memcpy(theta, pci_family_prior(draft->resin.family)->mean, sizeof theta);
    theta[PCI_GEL] = log(cure->a_gel / (1.0 - cure->a_gel));
    pc_cure placed;
    pci_cure_of_unknowns(cure, theta, &placed);
    cure->a_pot = sheet->a_pot_given ? draft->a_pot : placed.a_pot;
    cure->a_demold = sheet->a_demold_given ? draft->a_demold : placed.a_demold;
    cure->a_bond = stated(j, "cure", "a_bond") ? a_bond : placed.a_bond;
    draft->resin.flow.a_gel = cure->a_gel;
}

static void settle_cure(struct pci_resin_check *j, struct pci_resin_draft *draft) {
    pc_cure *cure = &draft->resin.cure;
    pc_data_sheet *sheet = &draft->resin.sheet;
    sheet->constants_given = draft->A1_given && draft->E1_given;
    sheet->E1_given = draft->E1_given;
    sheet->heat_given = stated(j, "cure", "heat");
    sheet->demold_below_given = stated(j, "resin", "demold_below");
    if (draft->E1_given && !draft->E2_given && !draft->A1_given && cure->A2_per_s > 0.0) {
        pc_resin family; /* E2 keeps its distance */
        pc_resin_defaults(draft->resin.family, &family);
        cure->E2_J_mol = cure->E1_J_mol + family.cure.E2_J_mol - family.cure.E1_J_mol;
    }
    if (draft->A1_given && !draft->E1_given)
        fault(j, PC_E_KEY, "cure", "A1",
              "A1 needs E1 beside it: give both, or E1 alone and a time of the data sheet");
    settle_energy(j, draft);
    if (sheet->constants_given && !stated(j, "cure", "A2"))
        cure->A2_per_s = 0.0;
    if (sheet->constants_given && cure->A2_per_s > 0.0 && !draft->E2_given)
        fault(j, PC_E_KEY, "cure", "A2", "A2 needs E2 beside it");
    if (sheet->constants_given && cure->A2_per_s > 0.0 && draft->E2_given && cure->E2_J_mol == 0.0)
        fault(j, PC_E_VALUE, "cure", "E2",
              "beside an A2 that is not 0 E2 is more than 0 and at most 300 kJ/mol");
    if (!sheet->constants_given && stated(j, "cure", "A2"))
        fault(j, PC_E_KEY, "cure", "A2", "A2 needs A1 and E1 beside it");
    settle_conversions(j, draft);
    if (!(cure->a_pot < cure->a_gel))
        fault(j, PC_E_VALUE, "cure", "a_pot", "a_pot must be below a_gel");
    if (!(cure->a_bond > cure->a_gel))
        fault(j, PC_E_VALUE, "cure", "a_bond", "a_bond must be above a_gel");
    if (!(cure->a_demold > cure->a_gel))
        fault(j, PC_E_VALUE, "cure", "a_demold", "a_demold must be above a_gel");
}

/* The third part of the ratio, or the filler's own key; more than one of either is a slip. */
static void settle_filler(struct pci_resin_check *j, struct pci_resin_draft *draft) {
    static const char *const of_filler[] = {"filler_density", "filler_cp",   "filler_k",
                                            "filler_phi_max", "filler_name", "filler_dust"};
    bool third = !isnan(draft->ratio_filler), own = stated(j, "resin", "filler");
    double parts = third ? 100.0 * draft->ratio_filler / (draft->ratio_a + draft->ratio_b)
                         : draft->filler_parts;
    for (size_t i = 0; i < COUNT(of_filler) && !third; i++)
        needs(j, of_filler[i], "filler");
    if (!third && !own)
        return;
    if (third && !isnan(draft->filler_parts))
        fault(j, PC_E_KEY, "resin", "filler",
              "the ratio has the filler's parts already: write its name alone, or the ratio of A "
              "to B alone");
    else if (isnan(parts))
        fault(j, PC_E_VALUE, "resin", "filler",
              "how much of it is missing: write its parts by weight to 100 of A and B together, "
              "such as calcium-carbonate 100 parts");
    else if (isnan(draft->filler.density_kg_m3))
        fault(j, PC_E_KEY, "resin", own ? "filler" : "ratio",
              "what the filler is is missing: add filler = calcium-carbonate, a name on the shelf, "
              "or filler_density = 2.7 g/cm3");
    if (j->status != PC_OK)
        return;
    pci_at at = pci_ini_at(j->ini, "resin", own ? "filler" : "ratio", j->errors);
    j->status = pci_fill_at(&at, &draft->resin, &draft->filler, parts);
}

void pci_resin_settle(struct pci_resin_check *j, struct pci_resin_draft *draft) {
    if (!stated(j, "resin", "name"))
        fault(j, PC_E_KEY, "resin", "name", "the resin needs a name: name = ...");
    settle_ratio(j, draft);
    settle_times(j, draft);
    settle_cure(j, draft);
    settle_catalyst(j, draft);
    settle_filler(j, draft);
}
