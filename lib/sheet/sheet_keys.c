/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sheet/sheet_keys.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "sheet/datum.h"

#define ZERO PC_ZERO_CELSIUS_K
enum { WORDS_MOST = 128 };

void pci_sheet_keys_init(pci_sheet_keys *keys) {
    memset(keys, 0, sizeof *keys);
    for (int i = 0; i < PC_DATUM_COUNT; i++)
        keys->figure[i].value = NAN;
    keys->pot_mass_kg = keys->gel_mass_kg = 0.1;
    keys->pot_T_K = keys->gel_T_K = keys->film_T_K = keys->demold_T_K = PC_SHEET_K;
    keys->film_thickness_m = PC_FILM_M;
    keys->demold_thickness_m = NAN;
}

/* Length of what joins the two ends of a range at p, "-", "to" or a dash; 0: nothing does. */
static size_t joint_at(const char *text, const char *p) {
    if (*p == '-')
        return 1;
    if (strncmp(p, "\xE2\x80\x93", 3) == 0 || strncmp(p, "\xE2\x80\x94", 3) == 0)
        return 3;
    return p > text && pci_is_space(p[-1]) && strncmp(p, "to", 2) == 0 && pci_is_space(p[2]) ? 2
                                                                                             : 0;
}

/* The unit of "15 min": what follows the number. */
static const char *unit_of(const char *text) {
    const char *end;
    pc_number_parse(text, &end);
    return end;
}

/* Both ends of a range; the first may leave its unit to the second: "10-15 min". False: no range.
 */
static bool range_ends(const char *text, pc_dimension dimension, double *low, double *high) {
    for (const char *p = text + 1; text[0] && *p; p++) {
        size_t joint = joint_at(text, p), n = (size_t)(p - text);
        char first[WORDS_MOST], with_unit[2 * WORDS_MOST];
        if (joint == 0 || n >= sizeof first)
            continue;
        const char *second = p + joint;
        while (pci_is_space(*second))
            second++;
        snprintf(first, sizeof first, "%.*s", (int)n, text);
        snprintf(with_unit, sizeof with_unit, "%s %.*s", first, WORDS_MOST - 1, unit_of(second));
        if (pc_quantity_parse(second, dimension, high, NULL, 0) == PC_OK &&
            (pc_quantity_parse(first, dimension, low, NULL, 0) == PC_OK ||
             pc_quantity_parse(with_unit, dimension, low, NULL, 0) == PC_OK))
            return true;
    }
    return false;
}

/* A time or a temperature, or a range of it. */
static pc_status read_range(const pci_at *at, const char *text, pc_dimension dimension,
                            pci_figure *figure) {
    double low, high;
    if (pc_quantity_parse(text, dimension, &low, NULL, 0) == PC_OK)
        high = low;
    else if (!range_ends(text, dimension, &low, &high))
        return pci_read_quantity(at, text, dimension, &low); /* its own message */
    if (!(low <= high))
        return pci_refuse(at, PC_E_VALUE, "a range rises: write the smaller figure first");
    if (dimension == PC_TEMPERATURE) {
        if (!(low >= ZERO && high <= ZERO + 400.0))
            return pci_refuse(at, PC_E_VALUE,
                              "\"%.60s\" is out of range: a cup peaks at 0 to 400 C", text);
        *figure = (pci_figure){0.5 * (low + high), 0.5 * (high - low)};
        return PC_OK;
    }
    if (!(low > 0.0 && high <= 30.0 * PC_DAY_S))
        return pci_refuse(at, PC_E_VALUE,
                          "\"%.60s\" is out of range: a time is more than 0 and at most 30 d",
                          text);
    *figure = (pci_figure){sqrt(low * high), 0.5 * log(high / low)};
    return PC_OK;
}

static pc_datum_kind kind_of(const char *key) {
    for (int i = 0; i < PC_DATUM_COUNT; i++)
        if (pci_same_word(key, pci_datum_key((pc_datum_kind)i)))
            return (pc_datum_kind)i;
    return PC_DATUM_COUNT;
}

pc_status pci_read_figure(const pci_at *at, pci_sheet_keys *keys) {
    pc_datum_kind kind = kind_of(at->key);
    if (kind == PC_DATUM_COUNT)
        return PC_E_ARGUMENT;
    return read_range(at, at->value, kind == PC_DATUM_PEAK ? PC_TEMPERATURE : PC_TIME,
                      &keys->figure[kind]);
}

/* Cuts the last word pair, "200 g" or "200g", off a text; NULL: there is only one. */
static char *last_quantity(char *text) {
    size_t n = strlen(text);
    while (n > 0 && pci_is_space(text[n - 1]))
        text[--n] = '\0';
    for (size_t i = n; i-- > 1;)
        if (isdigit((unsigned char)text[i]) && pci_is_space(text[i - 1])) {
            text[i - 1] = '\0';
            return text + i;
        }
    return NULL;
}

/* What comes after the temperature: a time, and maybe a mass and a level of catalyst. */
static pc_status pair_rest(const pci_at *at, char *rest, pci_gel_pair *pair) {
    double low, high;
    while (pc_quantity_parse(rest, PC_TIME, &low, NULL, 0) != PC_OK &&
           !range_ends(rest, PC_TIME, &low, &high)) {
        char *last = last_quantity(rest);
        if (!last)
            break;
        if (pc_quantity_parse(last, PC_MASS, &pair->mass_kg, NULL, 0) == PC_OK) {
            if (!(pair->mass_kg > 0.0 && pair->mass_kg <= 100.0))
                return pci_refuse(at, PC_E_VALUE, "a test mass is more than 0 and at most 100 kg");
        } else if (pc_quantity_parse(last, PC_SHARE, &pair->catalyst, NULL, 0) == PC_OK) {
            if (!(pair->catalyst > 0.0 && pair->catalyst <= 0.1))
                return pci_refuse(at, PC_E_VALUE,
                                  "a level of catalyst is more than 0, at most 10 %%");
        } else {
            return pci_refuse(
                at, PC_E_VALUE,
                "\"%.60s\" is not a mass or a level of catalyst: write 15 C 7 min, or "
                "15 C 7 min 200 g",
                last);
        }
    }
    return read_range(at, rest, PC_TIME, &pair->time);
}

/* One "15 C 7 min" of length n. */
static pc_status read_pair(const pci_at *at, const char *text, size_t n, pci_gel_pair *pair) {
    char words[WORDS_MOST], rest[WORDS_MOST];
    size_t scale = 0;
    if (n >= sizeof words)
        return pci_refuse(at, PC_E_SIZE, "too long: write pairs such as 15 C 7 min, 23 C 4 min");
    memcpy(words, text, n);
    words[n] = '\0';
    while (words[scale] && !strchr("CFKcfk", words[scale]))
        scale++;
    if (!words[scale])
        return pci_refuse(at, PC_E_VALUE,
                          "\"%s\" is not a temperature and a time: write pairs such as 15 C 7 "
                          "min, 23 C 4 min",
                          words);
    pci_copy_text(rest, sizeof rest, words + scale + 1);
    words[scale + 1] = '\0';
    *pair = (pci_gel_pair){NAN, NAN, NAN, {NAN, 0.0}};
    PCI_TRY(pci_read_quantity(at, words, PC_TEMPERATURE, &pair->T_K));
    PCI_TRY(pair_rest(at, rest, pair));
    if (!(pair->T_K >= ZERO - 40.0 && pair->T_K <= ZERO + 200.0))
        return pci_refuse(at, PC_E_VALUE, "a gel time is stated at -40 C to 200 C");
    return PC_OK;
}

pc_status pci_read_gel_times(const pci_at *at, pci_sheet_keys *keys) {
    size_t most = sizeof keys->pair / sizeof keys->pair[0];
    for (const char *p = at->value;;) {
        size_t n = strcspn(p, ",");
        pci_gel_pair pair;
        PCI_TRY(read_pair(at, p, n, &pair));
        if (keys->pair_count == most)
            return pci_refuse(at, PC_E_SIZE, "more than %zu pairs: leave some out", most);
        keys->pair[keys->pair_count++] = pair;
        if (!p[n])
            return PC_OK;
        p += n + 1;
    }
}

/* A range wider than the usual spread is taken at its word. */
static void add_datum(pc_data_sheet *sheet, pc_datum datum, const pci_figure *figure) {
    datum.value = figure->value;
    datum.spread = fmax(pci_datum_spread(&datum), figure->half);
    sheet->datum[sheet->count++] = datum;
}

void pci_sheet_data(const pci_sheet_keys *keys, pc_data_sheet *sheet) {
    sheet->count = 0;
    for (int kind = 0; kind < PC_DATUM_COUNT; kind++) {
        pc_datum datum = pci_datum_new((pc_datum_kind)kind);
        datum.mass_kg = kind == PC_DATUM_GEL                                   ? keys->gel_mass_kg
                        : kind == PC_DATUM_FILM_GEL || kind == PC_DATUM_DEMOLD ? datum.mass_kg
                                                                               : keys->pot_mass_kg;
        datum.T_K = kind == PC_DATUM_GEL        ? keys->gel_T_K
                    : kind == PC_DATUM_FILM_GEL ? keys->film_T_K
                    : kind == PC_DATUM_DEMOLD   ? keys->demold_T_K
                                                : keys->pot_T_K;
        if (kind == PC_DATUM_FILM_GEL)
            datum.thickness_m = keys->film_thickness_m;
        if (kind == PC_DATUM_DEMOLD)
            datum.thickness_m = keys->demold_thickness_m;
        if (!isnan(keys->figure[kind].value))
            add_datum(sheet, datum, &keys->figure[kind]);
        for (size_t i = 0; kind == PC_DATUM_GEL && i < keys->pair_count; i++) {
            const pci_gel_pair *pair = &keys->pair[i];
            datum.in_series = true;
            datum.T_K = pair->T_K;
            datum.mass_kg = isnan(pair->mass_kg) ? keys->gel_mass_kg : pair->mass_kg;
            datum.catalyst = pair->catalyst;
            add_datum(sheet, datum, &pair->time);
        }
    }
}

double pci_catalyst_power(const pci_sheet_keys *keys, double E_J_mol) {
    double up = 0.0, down = 0.0;
    for (size_t i = 0; i < keys->pair_count; i++)
        for (size_t j = 0; j < i; j++) {
            const pci_gel_pair *a = &keys->pair[i], *b = &keys->pair[j];
            double levels = log(a->catalyst / b->catalyst);
            if (!(fabs(levels) > 0.05)) /* also where one is not stated */
                continue;
            double warmer = E_J_mol / PC_GAS_CONSTANT * (1.0 / b->T_K - 1.0 / a->T_K);
            double faster = log(b->time.value / a->time.value) - warmer;
            up += levels * faster;
            down += levels * levels;
        }
    return down > 0.0 ? fmax(0.2, fmin(2.0, up / down)) : NAN;
}
