/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sheet/resin_file.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "input/fields.h"
#include "input/whole_file.h"
#include "resin/filler.h"
#include "sheet/anchor.h"
#include "sheet/cuptest_rows.h"
#include "sheet/filler_file.h"
#include "sheet/resin_draft.h"

#define ZERO PC_ZERO_CELSIUS_K
static const double RATIO_MOST = 1000.0 * (1.0 + 1e-9); /* of A to B; shares are rounded */

static const char *const families[PC_FAMILY_COUNT + 1] = {
#define WORD(name, word) word,
    PC_FAMILY_TABLE(WORD)
#undef WORD
        NULL};

/* Both are more than 0 and neither is over RATIO_MOST times the other. */
static bool ratio_is_sound(double a, double b) {
    return a > 0.0 && b > 0.0 && a / b <= RATIO_MOST && b / a <= RATIO_MOST;
}

/* "100:90" or "100:90:200" at text; how many parts, 0 where it is not a ratio. */
static int ratio_parts(const char *text, double part[3], const char **end) {
    for (int count = 0; count < 3;) {
        while (pci_is_space(*text))
            text++;
        part[count] = pc_number_parse(text, end);
        if (*end == text)
            return 0;
        for (text = *end; pci_is_space(*text); text++)
            ;
        *end = text;
        count++;
        if (*text != ':' || count == 3)
            return count == 1 ? 0 : count;
        text++;
    }
    return 0;
}

/* "100:90 by weight", "1:1 by volume", "100:90:200 by weight" with a filler. */
static pc_status ratio(const pci_at *at, void *record) {
    struct pci_resin_draft *draft = record;
    const char *p;
    double part[3] = {NAN, NAN, NAN};
    int count = ratio_parts(at->value, part, &p);
    if (count == 0)
        return pci_refuse(at, PC_E_VALUE,
                          "\"%.60s\" is not a ratio: write parts A to parts B such as 100:90 by "
                          "weight, or 1:1 by volume",
                          at->value);
    if (!ratio_is_sound(part[0], part[1]))
        return pci_refuse(at, PC_E_VALUE,
                          "both parts of \"%.60s\" must be more than 0, and neither over 1000 "
                          "times the other",
                          at->value);
    draft->by_volume = pci_same_word(p, "by volume");
    if (!draft->by_volume && !pci_same_word(p, "by weight") && !pci_same_word(p, "by mass"))
        return pci_refuse(at, PC_E_UNIT,
                          "a ratio by weight is not one by volume: write \"%g:%g by weight\" or "
                          "\"%g:%g by volume\", as the data sheet has it",
                          part[0], part[1], part[0], part[1]);
    if (count == 3 && draft->by_volume)
        return pci_refuse(at, PC_E_UNIT,
                          "a filler is weighed, since a heap of powder is half air: write the "
                          "ratio of A to B alone, and filler = NAME 100 parts");
    if (count == 3 && !(part[2] > 0.0 && part[2] <= PCI_PARTS_MOST / 100.0 * (part[0] + part[1])))
        return pci_refuse(at, PC_E_VALUE,
                          "the third part of \"%.60s\", the filler, must be more than 0 and at "
                          "most %g times A and B together",
                          at->value, PCI_PARTS_MOST / 100.0);
    draft->ratio_a = part[0];
    draft->ratio_b = part[1];
    draft->ratio_filler = part[2];
    return PC_OK;
}

/* Keys of the resin file hold over the filler's own, wherever they come. */
static void keep_stated(const pc_filler *stated, pc_filler *found) {
    pc_filler plain;
    pci_filler_defaults(&plain);
    if (stated->name[0])
        memcpy(found->name, stated->name, sizeof found->name);
    if (!isnan(stated->density_kg_m3))
        found->density_kg_m3 = stated->density_kg_m3;
    if (stated->cp_J_kgK != plain.cp_J_kgK)
        found->cp_J_kgK = stated->cp_J_kgK;
    if (stated->k_W_mK != plain.k_W_mK)
        found->k_W_mK = stated->k_W_mK;
    if (stated->phi_max != plain.phi_max)
        found->phi_max = stated->phi_max;
    if (stated->dust != plain.dust)
        found->dust = stated->dust;
}

static pc_status filler(const pci_at *at, void *record) {
    struct pci_resin_draft *draft = record;
    pc_filler found = draft->filler;
    PCI_TRY(pci_filler_value(at, at->file, &found, &draft->filler_parts));
    keep_stated(&draft->filler, &found);
    draft->filler = found;
    return PC_OK;
}

static pc_status figure(const pci_at *at, void *record) {
    return pci_read_figure(at, &((struct pci_resin_draft *)record)->keys);
}

static pc_status gel_times(const pci_at *at, void *record) {
    return pci_read_gel_times(at, &((struct pci_resin_draft *)record)->keys);
}

/* "0.75-3 %": both ends of the range of a catalyst. */
static pc_status catalyst_range(const pci_at *at, void *record) {
    pc_catalyst *catalyst = &((struct pci_resin_draft *)record)->resin.catalyst;
    const char *text = at->value, *dash = strchr(text, '-');
    char low[64], high[64];
    double least, most;
    if (dash && dash > text && dash - text < 48 && strlen(dash) < sizeof high) {
        snprintf(low, sizeof low, "%.*s%s", (int)(dash - text), text,
                 memchr(text, '%', (size_t)(dash - text)) ? "" : " %");
        snprintf(high, sizeof high, "%s", dash + 1);
        if (pc_quantity_parse(low, PC_SHARE, &least, NULL, 0) == PC_OK &&
            pc_quantity_parse(high, PC_SHARE, &most, NULL, 0) == PC_OK && least > 0.0 &&
            least < most && most <= 0.1) {
            catalyst->low = least;
            catalyst->high = most;
            return PC_OK;
        }
    }
    return pci_refuse(
        at, PC_E_VALUE,
        "\"%.60s\" is not a range of catalyst: write it by mass of the resin, such as "
        "0.75-3 %%, at most 10 %%",
        text);
}

static const char OF_RESIN[] = "a resin has 0.3 to 5 g/cm3";

static bool density_is_sound(double density_kg_m3) {
    return density_kg_m3 >= 300.0 && density_kg_m3 <= 5000.0;
}

static pc_status density(const pci_at *at, void *record) {
    struct pci_resin_draft *draft = record;
    double si;
    PCI_TRY(pci_read_quantity(at, at->value, PC_DENSITY, &si));
    if (!density_is_sound(si))
        return pci_refuse(at, PC_E_VALUE, "\"%.60s\" is out of range: %s", at->value, OF_RESIN);
    draft->resin.density_kg_m3 = si;
    draft->density_given = true;
    return PC_OK;
}

static const char OF_DENSITY[] = "a liquid has 0.3 to 5 g/cm3";
static const char OF_MASS[] = "a test mass is more than 0 and at most 100 kg";
static const char OF_AT[] = "a data sheet states it at -40 C to 200 C";

#define AT(key, member)                                                                            \
    PCI_QUANTITY_FIELD(key, PC_TEMPERATURE, struct pci_resin_draft, member, ZERO - 40, ZERO + 200, \
                       OF_AT)
#define MASS(key, member)                                                                          \
    PCI_ABOVE_FIELD(key, PC_MASS, struct pci_resin_draft, member, 0, 100, OF_MASS)

static const pci_field resin_fields[] = {
    PCI_TEXT_FIELD("name", struct pci_resin_draft, resin.name),
    PCI_WORD_FIELD("family", struct pci_resin_draft, family, families),
    PCI_OWN_FIELD("density", density),
    PCI_QUANTITY_FIELD("density_a", PC_DENSITY, struct pci_resin_draft, resin.density_a_kg_m3, 300,
                       5000, OF_DENSITY),
    PCI_QUANTITY_FIELD("density_b", PC_DENSITY, struct pci_resin_draft, resin.density_b_kg_m3, 300,
                       5000, OF_DENSITY),
    PCI_QUANTITY_FIELD("viscosity", PC_VISCOSITY, struct pci_resin_draft, resin.flow.mu_ref_Pa_s,
                       1e-4, 1e4, "a mix pours at 0.1 mPa.s to 10000 Pa.s"),
    AT("viscosity_at", resin.flow.T_ref_K),
    PCI_OWN_FIELD("ratio", ratio),
    PCI_OWN_FIELD("filler", filler),
    PCI_TEXT_FIELD("filler_name", struct pci_resin_draft, filler.name),
    PCI_WORD_FIELD("filler_dust", struct pci_resin_draft, filler.dust, pci_dust_words),
    PCI_QUANTITY_FIELD("filler_density", PC_DENSITY, struct pci_resin_draft, filler.density_kg_m3,
                       20, 25000, "the grains of a filler have 0.02 to 25 g/cm3, not the heap"),
    PCI_QUANTITY_FIELD("filler_cp", PC_SPECIFIC_HEAT, struct pci_resin_draft, filler.cp_J_kgK, 100,
                       5000, "a specific heat is 100 to 5000 J/kg.K"),
    PCI_QUANTITY_FIELD("filler_k", PC_CONDUCTIVITY, struct pci_resin_draft, filler.k_W_mK, 0.01,
                       2500, "a conductivity is 0.01 to 2500 W/m.K"),
    PCI_QUANTITY_FIELD("filler_phi_max", PC_NUMBER, struct pci_resin_draft, filler.phi_max,
                       PCI_FILLER_PHI_LEAST, 0.9,
                       "the share of the volume that grains can take is 0.05 to 0.9"),
    PCI_OWN_FIELD("pot_life", figure),
    MASS("pot_life_mass", keys.pot_mass_kg),
    AT("pot_life_at", keys.pot_T_K),
    PCI_OWN_FIELD("gel_time", figure),
    MASS("gel_time_mass", keys.gel_mass_kg),
    AT("gel_time_at", keys.gel_T_K),
    PCI_OWN_FIELD("gel_times", gel_times),
    PCI_OWN_FIELD("film_gel", figure),
    PCI_QUANTITY_FIELD("film_gel_thickness", PC_LENGTH, struct pci_resin_draft,
                       keys.film_thickness_m, 1e-4, 0.025, "a film is 0.1 to 25 mm thick here"),
    AT("film_gel_at", keys.film_T_K),
    PCI_OWN_FIELD("demold_time", figure),
    AT("demold_at", keys.demold_T_K),
    PCI_QUANTITY_FIELD("demold_thickness", PC_LENGTH, struct pci_resin_draft,
                       keys.demold_thickness_m, 1e-4, 0.1, "a casting is 0.1 to 100 mm thick here"),
    PCI_OWN_FIELD("cup_peak", figure),
    PCI_OWN_FIELD("cup_peak_time", figure),
    PCI_TEXT_FIELD("tests", struct pci_resin_draft, resin.tests_path),
    PCI_ABOVE_FIELD("catalyst_at", PC_SHARE, struct pci_resin_draft, resin.catalyst.at, 0, 0.1,
                    "a level of catalyst is more than 0, at most 10 %"),
    PCI_OWN_FIELD("catalyst_range", catalyst_range),
    PCI_QUANTITY_FIELD("least_temperature", PC_TEMPERATURE, struct pci_resin_draft,
                       resin.least_temperature_K, ZERO - 40, ZERO + 60,
                       "a resin is worked at -40 C to 60 C"),
    PCI_QUANTITY_FIELD("demold_below", PC_TEMPERATURE, struct pci_resin_draft, resin.demold_below_K,
                       ZERO, ZERO + 200, "a casting is demolded at 0 C to 200 C"),
    PCI_QUANTITY_FIELD("peak_limit", PC_TEMPERATURE, struct pci_resin_draft, resin.peak_limit_K,
                       ZERO + 20, ZERO + 300, "a limit is 20 C to 300 C"),
};

static pc_status given(const pci_at *at, double *member, bool *flag, pc_dimension dimension,
                       bool none, double most, const char *range) {
    double si;
    PCI_TRY(pci_read_quantity(at, at->value, dimension, &si));
    if (!((si > 0.0 || (none && si == 0.0)) && si <= most))
        return pci_refuse(at, PC_E_VALUE, "\"%.60s\" is out of range: %s", at->value, range);
    *member = si;
    *flag = true;
    return PC_OK;
}

static const char OF_A[] = "a rate factor is more than 0 and at most 1e40 1/s";
static const char OF_E[] = "an activation energy is more than 0 and at most 300 kJ/mol";

static pc_status A1(const pci_at *at, void *record) {
    struct pci_resin_draft *d = record;
    return given(at, &d->resin.cure.A1_per_s, &d->A1_given, PC_RATE, false, 1e40, OF_A);
}

static pc_status E1(const pci_at *at, void *record) {
    struct pci_resin_draft *d = record;
    return given(at, &d->resin.cure.E1_J_mol, &d->E1_given, PC_MOLAR_ENERGY, false, 3e5, OF_E);
}

/* 0 beside A2 = 0: the rate has no second term. */
static pc_status E2(const pci_at *at, void *record) {
    struct pci_resin_draft *d = record;
    return given(at, &d->resin.cure.E2_J_mol, &d->E2_given, PC_MOLAR_ENERGY, true, 3e5, OF_E);
}

static const char OF_CONVERSION[] = "a conversion is more than 0 and at most 0.999";
#define CONVERSION(key, member)                                                                    \
    PCI_ABOVE_FIELD(key, PC_NUMBER, struct pci_resin_draft, member, 0, 0.999, OF_CONVERSION)
#define CURE(key, dimension, member, least, most, range)                                           \
    PCI_QUANTITY_FIELD(key, dimension, struct pci_resin_draft, member, least, most, range)

static const pci_field cure_fields[] = {
    PCI_OWN_FIELD("A1", A1),
    PCI_OWN_FIELD("E1", E1),
    CURE("A2", PC_RATE, resin.cure.A2_per_s, 0, 1e40, OF_A),
    PCI_OWN_FIELD("E2", E2),
    CURE("m", PC_NUMBER, resin.cure.m, 0, 5, "m is 0 to 5"),
    CURE("n", PC_NUMBER, resin.cure.n, 0.1, 5, "n is 0.1 to 5"),
    CURE("heat", PC_SPECIFIC_ENERGY, resin.cure.heat_J_kg, 0, 2e6,
         "a heat of reaction is 0 to 2000 kJ/kg"),
    CONVERSION("a_gel", resin.cure.a_gel),
    CONVERSION("a_pot", a_pot),
    CONVERSION("a_bond", resin.cure.a_bond),
    CONVERSION("a_demold", a_demold),
    CURE("cp", PC_SPECIFIC_HEAT, resin.cure.cp_J_kgK, 200, 10000,
         "a specific heat is 200 to 10000 J/kg.K"),
    CURE("conductivity", PC_CONDUCTIVITY, resin.cure.k_W_mK, 0.01, 50,
         "a conductivity is 0.01 to 50 W/m.K"),
    CURE("flow_energy", PC_MOLAR_ENERGY, resin.flow.E_mu_J_mol, 0, 2e5,
         "a flow activation energy is 0 to 200 kJ/mol"),
    CURE("flow_c", PC_NUMBER, resin.flow.c, 0, 20, "flow_c is 0 to 20"),
    CURE("flow_d", PC_NUMBER, resin.flow.d, -20, 20, "flow_d is -20 to 20"),
};

/* An exposure limit by volume or by mass. */
static pc_status limit(const pci_at *at, void *record) {
    pc_volatile *v = &((struct pci_resin_draft *)record)->resin.gives_off;
    double si;
    bool by_volume = pc_quantity_parse(at->value, PC_VOLUME_SHARE, &si, NULL, 0) == PC_OK;
    if (!by_volume && pc_quantity_parse(at->value, PC_MASS_CONCENTRATION, &si, NULL, 0) != PC_OK)
        return pci_refuse(at, PC_E_UNIT,
                          "\"%.60s\" is not an exposure limit: write it by volume such as 50 ppm, "
                          "or by mass such as 215 mg/m3",
                          at->value);
    if (!(si > 0.0) || !(si <= 1.0))
        return pci_refuse(at, PC_E_VALUE, "\"%.60s\" is out of range: a limit is more than 0",
                          at->value);
    v->limit_fraction = by_volume ? si : NAN;
    v->limit_kg_m3 = by_volume ? NAN : si;
    return PC_OK;
}

static const pci_field safety_fields[] = {
    PCI_TEXT_FIELD("volatile", struct pci_resin_draft, resin.gives_off.name),
    PCI_QUANTITY_FIELD("volatile_share", PC_SHARE, struct pci_resin_draft, resin.gives_off.share, 0,
                       1, "a share of the mix is 0 to 100 %"),
    PCI_QUANTITY_FIELD("evaporated_share", PC_SHARE, struct pci_resin_draft,
                       resin.gives_off.evaporated_share, 0, 1,
                       "a share of the volatile is 0 to 100 %"),
    PCI_OWN_FIELD("limit", limit),
    PCI_QUANTITY_FIELD("molecular_weight", PC_MOLAR_MASS, struct pci_resin_draft,
                       resin.gives_off.molar_mass_kg_mol, 1e-3, 10, "it is 1 to 10000 g/mol"),
};

/* A row of the covariance's Cholesky factor, in the order of resin/unknowns.h. */
static const char *const unknown_words[PC_UNKNOWNS] = {"rate", "energy", "heat",         "gel",
                                                       "pot",  "demold", "autocatalysis"};

const char *pci_unknown_word(size_t k) {
    return k < PC_UNKNOWNS ? unknown_words[k] : "";
}

static pc_status factor_row(const pci_at *at, void *record) {
    pc_resin_fit *fit = &((struct pci_resin_draft *)record)->resin.fit;
    size_t k = 0, count = 0;
    while (k + 1 < PC_UNKNOWNS && !pci_same_word(at->key, unknown_words[k]))
        k++;
    double row[PC_UNKNOWNS] = {0.0};
    const char *p = at->value, *end = p;
    for (; count <= k; count++, p = end) {
        while (pci_is_space(*p))
            p++;
        row[count] = pc_number_parse(p, &end);
        if (end == p || !(fabs(row[count]) <= 1e9))
            break;
    }
    while (pci_is_space(*end))
        end++;
    if (count != k + 1 || *end || !(row[k] >= 0.0))
        return pci_refuse(at, PC_E_VALUE,
                          "a row of %zu numbers, the last not below 0, as pourclock writes it, "
                          "belongs here",
                          k + 1);
    memcpy(fit->factor[k], row, sizeof row);
    return PC_OK;
}

static const pci_field fit_fields[] = {
    PCI_WHOLE_FIELD("tests", struct pci_resin_draft, resin.fit.tests, 0, 100000,
                    "a number of tests"),
    PCI_QUANTITY_FIELD("film", PC_NUMBER, struct pci_resin_draft, resin.fit.film_sd, 0, 10,
                       "a spread of a film's gel time, of its logarithm, is 0 to 10"),
    PCI_OWN_FIELD("rate", factor_row),
    PCI_OWN_FIELD("energy", factor_row),
    PCI_OWN_FIELD("heat", factor_row),
    PCI_OWN_FIELD("gel", factor_row),
    PCI_OWN_FIELD("pot", factor_row),
    PCI_OWN_FIELD("demold", factor_row),
    PCI_OWN_FIELD("autocatalysis", factor_row),
};

#define COUNT(table) (sizeof table / sizeof table[0])

static const struct {
    const char *name;
    const pci_field *fields;
    size_t count;
} sections[] = {
    {"resin", resin_fields, COUNT(resin_fields)},
    {"cure", cure_fields, COUNT(cure_fields)},
    {"safety", safety_fields, COUNT(safety_fields)},
    {"fit", fit_fields, COUNT(fit_fields)},
};

static bool conversions_rise(const pc_cure *c) {
    return c->a_pot > 0.0 && c->a_pot < c->a_gel && c->a_gel < c->a_demold && c->a_demold < 1.0 &&
           c->a_gel < c->a_bond && c->a_bond < 1.0;
}

static bool rates_are_sound(const pc_cure *c) {
    const double most_A = 1e40, most_E = 3e5;
    return c->A1_per_s > 0.0 && c->A1_per_s <= most_A && c->E1_J_mol > 0.0 &&
           c->E1_J_mol <= most_E &&
           (c->A2_per_s == 0.0 || (c->E2_J_mol > 0.0 && c->E2_J_mol <= most_E));
}

pc_status pci_resin_check(const pc_resin *resin, pc_errors *errors) {
    struct pci_resin_draft blank = {.ratio_a = NAN}, draft = {.ratio_a = NAN};
    pci_filler_defaults(&blank.filler);
    draft.filler = blank.filler;
    if (pc_resin_defaults(resin->family, &blank.resin) != PC_OK)
        return pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = "resin", .key = "family"},
                             "no such family");
    draft.resin = *resin;
    pc_status status = PC_OK;
    for (size_t i = 0; i < COUNT(sections); i++)
        status = pci_first(status, pci_fields_check(sections[i].fields, sections[i].count, &draft,
                                                    &blank, sections[i].name, errors));
    const pc_cure *cure = &resin->cure;
    const char *wrong = NULL, *key = NULL;
    if (!conversions_rise(cure) || resin->flow.a_gel != cure->a_gel) {
        key = "a_gel";
        wrong = "conversions rise from a_pot over a_gel to a_demold and a_bond, all between 0 and "
                "1, and the flow's a_gel is the cure's";
    } else if (!rates_are_sound(cure)) {
        key = "A1";
        wrong = "A1 is more than 0 and at most 1e40 1/s, activation energies more than 0 "
                "and at most 300 kJ/mol";
    } else if (!density_is_sound(resin->density_kg_m3)) {
        key = "density";
        wrong = OF_RESIN;
    } else if (!(ratio_is_sound(resin->share_a, resin->share_b) &&
                 fabs(resin->share_a + resin->share_b + resin->fill.share - 1.0) < 1e-6)) {
        key = "ratio";
        wrong = "the shares of A and B add up to 1, and neither is over 1000 times the other";
    } else if (resin->sheet.count > PC_DATA_MOST) {
        key = "gel_times";
        wrong = "more figures than there is room for";
    }
    if (wrong)
        status = pci_first(status,
                           pc_errors_add(errors, PC_E_VALUE,
                                         (pc_place){.section = "resin", .key = key}, "%s", wrong));
    return status;
}

/* The family comes first: its defaults lie under all other keys. */
static pc_status start(const pci_ini *ini, struct pci_resin_draft *draft, pc_errors *errors) {
    pci_at at = pci_ini_at(ini, "resin", "family", errors);
    int family = at.value ? pc_family_from_word(at.value) : -1; /* judged again with its section */
    pc_resin_defaults(family >= 0 ? (pc_family)family : PC_URETHANE, &draft->resin);
    draft->ratio_a = draft->ratio_b = draft->ratio_filler = draft->filler_parts = draft->a_pot =
        draft->a_demold = NAN;
    pci_sheet_keys_init(&draft->keys);
    pci_filler_defaults(&draft->filler);
    return at.value ? PC_OK
                    : pci_refuse(&at, PC_E_KEY, "missing: one of urethane, epoxy, polyester");
}

static pc_status read_section(const pci_ini *ini, const char *section,
                              struct pci_resin_draft *draft, pc_errors *errors) {
    const char *names[COUNT(sections) + 1] = {NULL};
    for (size_t i = 0; i < COUNT(sections); i++) {
        names[i] = sections[i].name;
        if (pci_same_word(names[i], section))
            return pci_fields_read(ini, section, sections[i].fields, sections[i].count, draft,
                                   errors);
    }
    return pci_ini_unknown_section(ini, section, names, errors);
}

pc_status pci_resin_from_ini(const pci_ini *ini, pc_resin *resin, pc_errors *errors) {
    struct pci_resin_draft draft = {0};
    if (pci_ini_line(ini, "resin", NULL) == 0)
        return pc_errors_add(errors, PC_E_KEY, (pc_place){.file = ini->file, .section = "resin"},
                             "a resin file needs a section [resin]: is it the right file?");
    pc_status status = start(ini, &draft, errors);
    for (size_t s = 0; s < ini->sections; s++)
        status = pci_first(status, read_section(ini, pci_ini_section(ini, s), &draft, errors));
    struct pci_resin_check j = {ini, errors, status};
    if (status == PC_OK || status == PC_E_KEY) /* else values it would judge are missing */
        pci_resin_settle(&j, &draft);
    draft.resin.fit.known = pci_ini_line(ini, "fit", NULL) > 0;
    pci_copy_text(draft.resin.path, sizeof draft.resin.path, ini->file);
    *resin = draft.resin;
    return j.status;
}

/* The user's own tests, beside the resin file. */
static pc_status anchor_with_tests(pc_resin *resin, pc_errors *errors) {
    char path[1280];
    pc_tests tests = {0};
    if (!pci_path_beside(resin->tests_path, resin->path, path, sizeof path))
        return pc_errors_add(errors, PC_E_SIZE,
                             (pc_place){.file = resin->path, .section = "resin", .key = "tests"},
                             "path too long");
    pc_status status = pci_tests_read_own(path, &tests, errors);
    if (status == PC_OK && tests.count == 0) {
        pc_tests_free(&tests);
        return pc_resin_anchor(resin, errors);
    }
    if (status == PC_OK)
        status = pci_tests_check(&tests, NULL, errors);
    double *work = status == PC_OK ? calloc(2 * tests.count, sizeof *work) : NULL;
    if (status == PC_OK && !work)
        status = PC_E_MEMORY;
    if (status == PC_OK) {
        pci_tests_use use = {&tests, work, work + tests.count, NULL, 1.0};
        pci_test_spreads(&tests, use.spread);
        status = pci_anchor(resin, &use, errors);
    }
    free(work);
    pc_tests_free(&tests);
    return status;
}

/* An error of the figures as a whole is reported at the line of one of them. */
static void place_errors(const pci_ini *ini, pc_errors *errors, size_t from) {
    for (size_t i = from; errors && i < errors->count; i++) {
        pc_error *e = &errors->item[i];
        if (e->line == 0 && e->key[0] && strcmp(e->file, ini->file) == 0)
            e->line = pci_ini_line(ini, e->section, e->key);
    }
}

static pc_status finish(const pci_ini *ini, pc_resin *resin, pc_errors *errors) {
    size_t from = errors ? errors->count : 0;
    pc_status status = pci_resin_from_ini(ini, resin, errors);
    double level = resin->catalyst.level;
    if (status == PC_OK)
        status =
            *resin->tests_path ? anchor_with_tests(resin, errors) : pc_resin_anchor(resin, errors);
    if (status == PC_OK && resin->catalyst.at > 0.0) { /* the times hold for catalyst.at */
        resin->catalyst.level = resin->catalyst.at;
        status = pc_resin_set_catalyst(resin, level, errors);
    }
    place_errors(ini, errors, from);
    pci_errors_by_line(errors, from);
    return status;
}

pc_status pci_resin_parse(const char *file, const char *data, size_t size, pc_resin *resin,
                          pc_errors *errors) {
    pci_ini *ini;
    pc_status status = pci_ini_parse(file, data, size, &ini, errors);
    if (status == PC_OK)
        status = finish(ini, resin, errors);
    pci_ini_free(ini);
    return status;
}

pc_status pci_resin_read(const char *path, pc_resin *resin, pc_errors *errors) {
    if (!path || !resin)
        return pc_errors_add(errors, PC_E_ARGUMENT, PC_NOWHERE, "no path or no resin to read into");
    pci_ini *ini;
    pc_status status = pci_ini_read(path, &ini, errors);
    if (status == PC_OK)
        status = finish(ini, resin, errors);
    pci_ini_free(ini);
    return status;
}
