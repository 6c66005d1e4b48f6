/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sheet/datum.h"

#include <math.h>

#include "base/text.h"
#include "pourclock/words.h"
#include "resin/cup.h"

/* ln of (model/stated) that stands for a time that never comes: e^8 is 3000 times too late. */
static const double NEVER = 8.0;

const char *pci_datum_key(pc_datum_kind kind) {
    switch (kind) {
#define KEY_CASE(name, key)                                                                        \
    case name:                                                                                     \
        return key;
        PC_DATUM_TABLE(KEY_CASE)
#undef KEY_CASE
    case PC_DATUM_COUNT:
        break;
    }
    return "";
}

pc_datum pci_datum_new(pc_datum_kind kind) {
    return (pc_datum){.kind = kind,
                      .value = NAN,
                      .spread = NAN,
                      .mass_kg = 0.1,
                      .T_K = PC_SHEET_K,
                      .thickness_m = kind == PC_DATUM_FILM_GEL ? PC_FILM_M : NAN,
                      .catalyst = NAN,
                      .model = NAN,
                      .residual = NAN};
}

double pci_datum_spread(const pc_datum *datum) {
    switch (datum->kind) {
    case PC_DATUM_POT_LIFE:
    case PC_DATUM_GEL:
        return PCI_CUP_SPREAD;
    case PC_DATUM_FILM_GEL:
        return PCI_FILM_SPREAD;
    case PC_DATUM_DEMOLD:
        return isnan(datum->thickness_m) ? PCI_CASTING_SPREAD : PCI_DEMOLD_SPREAD;
    case PC_DATUM_PEAK:
        return PCI_PEAK_SPREAD_K;
    case PC_DATUM_PEAK_TIME:
        return PCI_PEAK_TIME_SPREAD;
    case PC_DATUM_COUNT:
        break;
    }
    return NAN;
}

/* The resin at the level of catalyst that a datum holds for. */
static pc_resin at_level(const pc_datum *datum, const pc_resin *resin) {
    pc_resin there = *resin;
    if (!isnan(datum->catalyst) && resin->catalyst.at > 0.0)
        pci_cure_rescale(&there.cure,
                         resin->catalyst.power * log(datum->catalyst / resin->catalyst.at), 0.0,
                         PC_SHEET_K);
    return there;
}

static pc_status cup_time(const pc_datum *datum, const pc_resin *resin, double wanted,
                          double *value) {
    pc_status status =
        pci_cup_conversion_time(resin, datum->mass_kg, datum->T_K, datum->T_K, wanted, value);
    if (status != PC_E_UNREACHED)
        return status;
    *value = INFINITY;
    return PC_OK;
}

pc_status pci_datum_value(const pc_datum *datum, const pc_resin *resin, pci_effort *effort,
                          double *value) {
    pc_resin there = at_level(datum, resin);
    const pc_cure *cure = &there.cure;
    bool sized = !isnan(datum->thickness_m);
    pc_cup_events events;
    pc_status status = PC_E_ARGUMENT;
    switch (datum->kind) {
    case PC_DATUM_POT_LIFE:
        return cup_time(datum, &there, cure->a_pot, value);
    case PC_DATUM_GEL:
        return cup_time(datum, &there, cure->a_gel, value);
    case PC_DATUM_FILM_GEL:
        return pci_film_time(&there, datum->thickness_m, datum->mass_kg, datum->T_K, cure->a_gel,
                             effort, value);
    case PC_DATUM_DEMOLD:
        return pci_film_time(&there, sized ? datum->thickness_m : PC_CASTING_M, datum->mass_kg,
                             datum->T_K, cure->a_demold, effort, value);
    case PC_DATUM_PEAK:
    case PC_DATUM_PEAK_TIME:
        status = pci_cup_run(&there, datum->mass_kg, datum->T_K, datum->T_K, &events);
        if (status == PC_OK)
            *value = datum->kind == PC_DATUM_PEAK ? events.peak_K : events.peak_s;
        return status;
    case PC_DATUM_COUNT:
        break;
    }
    return status;
}

double pci_datum_residual(const pc_datum *datum, double value) {
    if (datum->kind == PC_DATUM_PEAK)
        return (value - datum->value) / datum->spread;
    double late = log(value / datum->value);
    return fmax(-NEVER, fmin(NEVER, late)) / datum->spread;
}

static void say_datum(const pc_datum *datum, char *text, size_t size) {
    pc_say_what what = datum->kind == PC_DATUM_PEAK ? PC_SAY_DEGREES : PC_SAY_DURATION;
    pci_format(text, size, "%s (%s stated, %s by the model)", pc_datum_word(datum),
               pc_say(what, PC_METRIC, datum->value).s,
               isfinite(datum->model) ? pc_say(what, PC_METRIC, datum->model).s : "never");
}

double pc_resin_disagreement(const pc_resin *resin, char *text, size_t size) {
    const pc_datum *worst = NULL, *other = NULL;
    char first[128], second[128];
    if (!resin || !text || size == 0)
        return NAN;
    text[0] = '\0';
    const pc_data_sheet *sheet = &resin->sheet;
    for (size_t i = 0; i < sheet->count; i++)
        if (!worst || fabs(sheet->datum[i].residual) > fabs(worst->residual))
            worst = &sheet->datum[i];
    if (!worst)
        return 0.0;
    /* The one that pulls the other way. */
    for (size_t i = 0; i < sheet->count; i++)
        if (sheet->datum[i].residual * worst->residual < 0.0 &&
            (!other || fabs(sheet->datum[i].residual) > fabs(other->residual)))
            other = &sheet->datum[i];
    say_datum(worst, first, sizeof first);
    if (other) {
        say_datum(other, second, sizeof second);
        pci_format(text, size, "the sheet's figures do not agree: %s against %s", first, second);
    } else {
        pci_format(text, size, "the sheet's figures do not agree with the %s family: %s",
                   pc_family_word(resin->family), first);
    }
    return fabs(worst->residual);
}
