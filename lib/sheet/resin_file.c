/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sheet/resin_file.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "input/fields.h"
#include "resin/cup.h"
#include "resin/cure_rate.h"

/* A resin on its way in: what must wait until every key is known. */
struct draft {
    pc_resin resin;
    int family;
    double ratio_a, ratio_b; /* NaN where not stated */
    bool by_volume, density_given;
    double gel_s, gel_mass_kg, gel_T_K;
    double a_pot, a_demold; /* NaN where not stated */
    bool A1_given, E1_given, E2_given;
};

#define ZERO PC_ZERO_CELSIUS_K
enum { DAY_S = 86400 };
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

/* "100:90 by weight", "1:1 by volume". */
static pc_status ratio(const pci_at *at, void *record) {
    struct draft *draft = record;
    const char *p = at->value, *end;
    double a = pc_number_parse(p, &end), b = NAN;
    bool good = end != p;
    for (p = end; pci_is_space(*p); p++)
        ;
    good = good && *p == ':';
    if (good) {
        for (p++; pci_is_space(*p); p++)
            ;
        b = pc_number_parse(p, &end);
        good = end != p;
    }
    if (!good)
        return pci_refuse(at, PC_E_VALUE,
                          "\"%.60s\" is not a ratio: write parts A to parts B such as 100:90 by "
                          "weight, or 1:1 by volume",
                          at->value);
    if (!ratio_is_sound(a, b))
        return pci_refuse(at, PC_E_VALUE,
                          "both parts of \"%.60s\" must be more than 0, and neither over 1000 "
                          "times the other",
                          at->value);
    for (p = end; pci_is_space(*p); p++)
        ;
    draft->by_volume = pci_same_word(p, "by volume");
    if (!draft->by_volume && !pci_same_word(p, "by weight") && !pci_same_word(p, "by mass"))
        return pci_refuse(at, PC_E_UNIT,
                          "a ratio by weight is not one by volume: write \"%g:%g by weight\" or "
                          "\"%g:%g by volume\", as the data sheet has it",
                          a, b, a, b);
    draft->ratio_a = a;
    draft->ratio_b = b;
    return PC_OK;
}

/* One "15 C 7 min" of length n. */
static pc_status gel_pair(const pci_at *at, const char *text, size_t n, double *T_K,
                          double *time_s) {
    char pair[128];
    size_t scale = 0;
    if (n >= sizeof pair)
        return pci_refuse(at, PC_E_SIZE, "too long: write pairs such as 15 C 7 min, 23 C 4 min");
    memcpy(pair, text, n);
    pair[n] = '\0';
    while (pair[scale] && !strchr("CFKcfk", pair[scale]))
        scale++;
    if (!pair[scale])
        return pci_refuse(at, PC_E_VALUE,
                          "\"%s\" is not a temperature and a time: write pairs such as 15 C 7 "
                          "min, 23 C 4 min",
                          pair);
    char time[128];
    pci_copy_text(time, sizeof time, pair + scale + 1);
    pair[scale + 1] = '\0';
    pc_status status = pci_read_quantity(at, pair, PC_TEMPERATURE, T_K);
    return status == PC_OK ? pci_read_quantity(at, time, PC_TIME, time_s) : status;
}

static bool cure_temperature(double T_K) {
    return T_K >= ZERO - 40.0 && T_K <= ZERO + 200.0;
}

static pc_status gel_times(const pci_at *at, void *record) {
    pc_data_sheet *sheet = &((struct draft *)record)->resin.sheet;
    for (const char *p = at->value;;) {
        size_t n = strcspn(p, ",");
        double T_K, time_s;
        PCI_TRY(gel_pair(at, p, n, &T_K, &time_s));
        if (!(time_s > 0.0) || !(time_s <= 30.0 * DAY_S) || !cure_temperature(T_K))
            return pci_refuse(at, PC_E_VALUE,
                              "a gel time is more than 0 and at most 30 d, at -40 C to 200 C");
        if (sheet->gel_count == PC_GEL_TIMES_MOST - 1) /* one is kept for gel_time */
            return pci_refuse(at, PC_E_SIZE, "more than %d pairs: leave some out",
                              PC_GEL_TIMES_MOST - 1);
        /* the mass follows when gel_time_mass is known */
        sheet->gel[sheet->gel_count++] = (pc_gel_time){time_s, NAN, T_K};
        if (!p[n])
            return PC_OK;
        p += n + 1;
    }
}

static const char OF_RESIN[] = "a resin has 0.3 to 5 g/cm3";

static bool density_is_sound(double density_kg_m3) {
    return density_kg_m3 >= 300.0 && density_kg_m3 <= 5000.0;
}

static pc_status density(const pci_at *at, void *record) {
    struct draft *draft = record;
    double si;
    PCI_TRY(pci_read_quantity(at, at->value, PC_DENSITY, &si));
    if (!density_is_sound(si))
        return pci_refuse(at, PC_E_VALUE, "\"%.60s\" is out of range: %s", at->value, OF_RESIN);
    draft->resin.density_kg_m3 = si;
    draft->density_given = true;
    return PC_OK;
}

static const char OF_DENSITY[] = "a liquid has 0.3 to 5 g/cm3";
static const char OF_TIME[] = "a time is more than 0 and at most 30 d";
static const char OF_MASS[] = "a test mass is more than 0 and at most 100 kg";
static const char OF_AT[] = "a data sheet states it at -40 C to 200 C";

#define AT(key, member)                                                                            \
    PCI_QUANTITY_FIELD(key, PC_TEMPERATURE, struct draft, member, ZERO - 40, ZERO + 200, OF_AT)
#define TIME(key, member)                                                                          \
    PCI_ABOVE_FIELD(key, PC_TIME, struct draft, member, 0, 30.0 * DAY_S, OF_TIME)
#define MASS(key, member) PCI_ABOVE_FIELD(key, PC_MASS, struct draft, member, 0, 100, OF_MASS)

static const pci_field resin_fields[] = {
    PCI_TEXT_FIELD("name", struct draft, resin.name),
    PCI_WORD_FIELD("family", struct draft, family, families),
    PCI_OWN_FIELD("density", density),
    PCI_QUANTITY_FIELD("density_a", PC_DENSITY, struct draft, resin.density_a_kg_m3, 300, 5000,
                       OF_DENSITY),
    PCI_QUANTITY_FIELD("density_b", PC_DENSITY, struct draft, resin.density_b_kg_m3, 300, 5000,
                       OF_DENSITY),
    PCI_QUANTITY_FIELD("viscosity", PC_VISCOSITY, struct draft, resin.flow.mu_ref_Pa_s, 1e-4, 1e4,
                       "a mix pours at 0.1 mPa.s to 10000 Pa.s"),
    AT("viscosity_at", resin.flow.T_ref_K),
    PCI_OWN_FIELD("ratio", ratio),
    TIME("pot_life", resin.sheet.pot_life_s),
    MASS("pot_life_mass", resin.sheet.pot_life_mass_kg),
    AT("pot_life_at", resin.sheet.pot_life_T_K),
    TIME("gel_time", gel_s),
    MASS("gel_time_mass", gel_mass_kg),
    AT("gel_time_at", gel_T_K),
    PCI_OWN_FIELD("gel_times", gel_times),
    TIME("demold_time", resin.sheet.demold_s),
    AT("demold_at", resin.sheet.demold_T_K),
    PCI_ABOVE_FIELD("demold_thickness", PC_LENGTH, struct draft, resin.sheet.demold_thickness_m, 0,
                    0.1, "a casting is more than 0 and at most 100 mm thick here"),
    PCI_QUANTITY_FIELD("demold_below", PC_TEMPERATURE, struct draft, resin.demold_below_K, ZERO,
                       ZERO + 200, "a casting is demolded at 0 C to 200 C"),
    PCI_QUANTITY_FIELD("peak_limit", PC_TEMPERATURE, struct draft, resin.peak_limit_K, ZERO + 20,
                       ZERO + 300, "a limit is 20 C to 300 C"),
    PCI_QUANTITY_FIELD("least_temperature", PC_TEMPERATURE, struct draft, resin.least_temperature_K,
                       ZERO - 20, ZERO + 60, "a resin's least temperature is -20 C to 60 C"),
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
    struct draft *d = record;
    return given(at, &d->resin.cure.A1_per_s, &d->A1_given, PC_RATE, false, 1e40, OF_A);
}

static pc_status E1(const pci_at *at, void *record) {
    struct draft *d = record;
    return given(at, &d->resin.cure.E1_J_mol, &d->E1_given, PC_MOLAR_ENERGY, false, 3e5, OF_E);
}

/* 0 beside A2 = 0: the rate has no second term. */
static pc_status E2(const pci_at *at, void *record) {
    struct draft *d = record;
    return given(at, &d->resin.cure.E2_J_mol, &d->E2_given, PC_MOLAR_ENERGY, true, 3e5, OF_E);
}

static const char OF_CONVERSION[] = "a conversion is more than 0 and at most 0.999";
#define CONVERSION(key, member)                                                                    \
    PCI_ABOVE_FIELD(key, PC_NUMBER, struct draft, member, 0, 0.999, OF_CONVERSION)
#define CURE(key, dimension, member, least, most, range)                                           \
    PCI_QUANTITY_FIELD(key, dimension, struct draft, member, least, most, range)

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
    pc_volatile *v = &((struct draft *)record)->resin.gives_off;
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
    PCI_TEXT_FIELD("volatile", struct draft, resin.gives_off.name),
    PCI_QUANTITY_FIELD("volatile_share", PC_SHARE, struct draft, resin.gives_off.share, 0, 1,
                       "a share of the mix is 0 to 100 %"),
    PCI_QUANTITY_FIELD("evaporated_share", PC_SHARE, struct draft, resin.gives_off.evaporated_share,
                       0, 1, "a share of the volatile is 0 to 100 %"),
    PCI_OWN_FIELD("limit", limit),
    PCI_QUANTITY_FIELD("molecular_weight", PC_MOLAR_MASS, struct draft,
                       resin.gives_off.molar_mass_kg_mol, 1e-3, 10, "it is 1 to 10000 g/mol"),
};

static const pci_field fit_fields[] = {
    PCI_QUANTITY_FIELD("rate_error", PC_NUMBER, struct draft, resin.fit.ln_s_error, 0, 10,
                       "a standard error of the rate's logarithm is 0 to 10"),
    PCI_QUANTITY_FIELD("energy_error", PC_MOLAR_ENERGY, struct draft, resin.fit.E_error_J_mol, 0,
                       1e6, "a standard error is 0 to 1000 kJ/mol"),
    PCI_QUANTITY_FIELD("correlation", PC_NUMBER, struct draft, resin.fit.correlation, -1, 1,
                       "a correlation is -1 to 1"),
    PCI_QUANTITY_FIELD("reference", PC_TEMPERATURE, struct draft, resin.fit.T_ref_K, 200, 500,
                       "it is -73 to 227 C"),
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
    struct draft blank = {.ratio_a = NAN}, draft = {.ratio_a = NAN};
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
                 fabs(resin->share_a + resin->share_b - 1.0) < 1e-6)) {
        key = "ratio";
        wrong = "the shares of A and B add up to 1, and neither is over 1000 times the other";
    } else if (resin->sheet.gel_count > PC_GEL_TIMES_MOST) {
        key = "gel_times";
        wrong = "more gel times than there is room for";
    }
    if (wrong)
        status = pci_first(status,
                           pc_errors_add(errors, PC_E_VALUE,
                                         (pc_place){.section = "resin", .key = key}, "%s", wrong));
    return status;
}

/* An error about a key of the file that was, or was not, given. */
struct resin_check {
    const pci_ini *ini;
    pc_errors *errors;
    pc_status status;
};

static bool stated(const struct resin_check *j, const char *section, const char *key) {
    return pci_ini_value(j->ini, section, key) != NULL;
}

static void fault(struct resin_check *j, pc_status status, const char *section, const char *key,
                  const char *text) {
    pci_at at = pci_ini_at(j->ini, section, key, j->errors);
    j->status = pci_first(j->status, pci_refuse(&at, status, "%s", text));
}

static void needs(struct resin_check *j, const char *key, const char *by, const char *text) {
    if (stated(j, "resin", key) && !stated(j, "resin", by))
        fault(j, PC_E_KEY, "resin", key, text);
}

static void settle_ratio(struct resin_check *j, struct draft *draft) {
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
    if (draft->by_volume) {
        a *= rho_a;
        b *= rho_b;
    }
    resin->share_a = a / (a + b);
    resin->share_b = b / (a + b);
    if (both && !draft->density_given)
        resin->density_kg_m3 = 1.0 / (resin->share_a / rho_a + resin->share_b / rho_b);
}

static void settle_times(struct resin_check *j, struct draft *draft) {
    pc_data_sheet *sheet = &draft->resin.sheet;
    for (size_t i = 0; i < sheet->gel_count; i++)
        sheet->gel[i].mass_kg = draft->gel_mass_kg;
    if (!isnan(draft->gel_s))
        sheet->gel[sheet->gel_count++] =
            (pc_gel_time){draft->gel_s, draft->gel_mass_kg, draft->gel_T_K};
    needs(j, "pot_life_mass", "pot_life", "pot_life itself is missing");
    needs(j, "pot_life_at", "pot_life", "pot_life itself is missing");
    if (!stated(j, "resin", "gel_times"))
        needs(j, "gel_time_mass", "gel_time", "gel_time itself is missing");
    needs(j, "gel_time_at", "gel_time", "gel_time itself is missing");
    needs(j, "demold_at", "demold_time", "demold_time itself is missing");
    needs(j, "demold_thickness", "demold_time", "demold_time itself is missing");
    bool same =
        draft->gel_mass_kg == sheet->pot_life_mass_kg && draft->gel_T_K == sheet->pot_life_T_K;
    if (same && sheet->pot_life_s >= draft->gel_s)
        fault(j, PC_E_VALUE, "resin", "pot_life",
              "the pot life must be shorter than the gel time of the same mass at the same "
              "temperature: check both against the data sheet");
    if (sheet->demold_T_K == draft->gel_T_K && sheet->demold_s <= draft->gel_s)
        fault(j, PC_E_VALUE, "resin", "demold_time",
              "the demold time must be longer than the gel time: check both against the data "
              "sheet");
    else if (isnan(draft->gel_s) && sheet->demold_s <= sheet->pot_life_s)
        fault(j, PC_E_VALUE, "resin", "demold_time",
              "the demold time must be longer than the pot life: check both against the data "
              "sheet");
}

/* An E1 or E2 without A1 is the family's no more, and its rate is still scaled to the data sheet's
 * times. Gel times at several temperatures state the energy too. */
static void settle_energy(struct resin_check *j, struct draft *draft) {
    const pc_cure *cure = &draft->resin.cure;
    const pc_data_sheet *sheet = &draft->resin.sheet;
    if (draft->A1_given || !(draft->E1_given || draft->E2_given))
        return;
    const char *key = draft->E1_given ? "E1" : "E2";
    if (pci_gel_times_tell_energy(sheet))
        fault(j, PC_E_KEY, "cure", key,
              "gel times at two temperatures tell the activation energy already: drop one of the "
              "two");
    if (draft->E2_given && !(cure->A2_per_s > 0.0))
        fault(j, PC_E_KEY, "cure", "E2", "E2 needs A1, E1 and A2 beside it: this family has no A2");
    else if (draft->E2_given && cure->E2_J_mol == 0.0)
        fault(j, PC_E_VALUE, "cure", "E2",
              "beside an A2 that is not 0 E2 is more than 0 and at most 300 kJ/mol");
}

static void settle_cure(struct resin_check *j, struct draft *draft) {
    pc_cure *cure = &draft->resin.cure;
    pc_data_sheet *sheet = &draft->resin.sheet;
    sheet->constants_given = draft->A1_given && draft->E1_given;
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
    draft->resin.flow.a_gel = cure->a_gel;
    if (stated(j, "cure", "a_gel"))
        cure->a_pot = 0.6 * cure->a_gel;
    sheet->a_pot_given = !isnan(draft->a_pot);
    sheet->a_demold_given = !isnan(draft->a_demold);
    if (sheet->a_pot_given)
        cure->a_pot = draft->a_pot;
    if (sheet->a_demold_given)
        cure->a_demold = draft->a_demold;
    if (!(cure->a_pot < cure->a_gel))
        fault(j, PC_E_VALUE, "cure", "a_pot", "a_pot must be below a_gel");
    if (!(cure->a_bond > cure->a_gel))
        fault(j, PC_E_VALUE, "cure", "a_bond", "a_bond must be above a_gel");
    if (!(cure->a_demold > cure->a_gel))
        fault(j, PC_E_VALUE, "cure", "a_demold", "a_demold must be above a_gel");
}

static void settle(struct resin_check *j, struct draft *draft) {
    if (!stated(j, "resin", "name"))
        fault(j, PC_E_KEY, "resin", "name", "the resin needs a name: name = ...");
    settle_ratio(j, draft);
    settle_times(j, draft);
    settle_cure(j, draft);
}

/* The family comes first: its defaults lie under all other keys. */
static pc_status start(const pci_ini *ini, struct draft *draft, pc_errors *errors) {
    pci_at at = pci_ini_at(ini, "resin", "family", errors);
    int family = at.value ? pc_family_from_word(at.value) : -1; /* judged again with its section */
    pc_resin_defaults(family >= 0 ? (pc_family)family : PC_URETHANE, &draft->resin);
    draft->ratio_a = draft->ratio_b = draft->gel_s = draft->a_pot = draft->a_demold = NAN;
    draft->gel_mass_kg = 0.1;
    draft->gel_T_K = ZERO + 23.0;
    return at.value ? PC_OK
                    : pci_refuse(&at, PC_E_KEY, "missing: one of urethane, epoxy, polyester");
}

static pc_status read_section(const pci_ini *ini, const char *section, struct draft *draft,
                              pc_errors *errors) {
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
    struct draft draft = {0};
    if (pci_ini_line(ini, "resin", NULL) == 0)
        return pc_errors_add(errors, PC_E_KEY, (pc_place){.file = ini->file, .section = "resin"},
                             "a resin file needs a section [resin]: is it the right file?");
    pc_status status = start(ini, &draft, errors);
    for (size_t s = 0; s < ini->sections; s++)
        status = pci_first(status, read_section(ini, pci_ini_section(ini, s), &draft, errors));
    struct resin_check j = {ini, errors, status};
    if (status == PC_OK || status == PC_E_KEY) /* else values it would judge are missing */
        settle(&j, &draft);
    draft.resin.fit.fitted = pci_ini_line(ini, "fit", NULL) > 0;
    if (draft.resin.fit.fitted && !(draft.resin.fit.T_ref_K > 0.0))
        draft.resin.fit.T_ref_K = PC_ZERO_CELSIUS_K + 23.0;
    pci_copy_text(draft.resin.path, sizeof draft.resin.path, ini->file);
    *resin = draft.resin;
    return j.status;
}

static pc_status finish(const pci_ini *ini, pc_resin *resin, pc_errors *errors) {
    size_t from = errors ? errors->count : 0;
    pc_status status = pci_resin_from_ini(ini, resin, errors);
    if (status == PC_OK)
        status = pc_resin_anchor(resin, errors);
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
