/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Exact definitions: inch 25.4 mm, pound 0.45359237 kg, US gallon 231 cubic inches, standard
 * gravity 9.80665 m/s2 (NIST Special Publication 811). */
#include "base/units.h"

#include <stdio.h>
#include <string.h>

#include "base/dimensions.h"
#include "base/text.h"

#define LISTED   PCI_UNIT_LISTED
#define FOLDS    PCI_UNIT_FOLDS
#define BOTH     (PCI_UNIT_LISTED | PCI_UNIT_FOLDS)
#define LB       0.45359237
#define LBF      4.4482216152605
#define GALLON   3.785411784
#define PSI      6894.757293168361
#define FOOT3    28.316846592
#define TWO_PI   6.283185307179586
#define ZERO_C_K 273.15

#define UNIT(dimension, spelling, times, over, flags)                                              \
    { dimension, spelling, times, over, flags, 0, 0.0, 0.0, 0.0 }
#define CHAIN(dimension, spelling, times, over, flags, joins, most)                                \
    { dimension, spelling, times, over, flags, joins, most, 0.0, 0.0 }
#define SCALE(dimension, spelling, times, over, flags, zero)                                       \
    { dimension, spelling, times, over, flags, 0, 0.0, zero, ZERO_C_K }

/* clang-format off */
static const pci_unit table[] = {
    UNIT(PC_LENGTH, "mm", 1, 1000, BOTH),
    UNIT(PC_LENGTH, "cm", 1, 100, BOTH),
    UNIT(PC_LENGTH, "m", 1, 1, LISTED),
    CHAIN(PC_LENGTH, "in", 127, 5000, BOTH, 1, 12),
    CHAIN(PC_LENGTH, "ft", 381, 1250, BOTH, 2, 0),
    CHAIN(PC_LENGTH, "\"", 127, 5000, LISTED, 1, 12),
    CHAIN(PC_LENGTH, "'", 381, 1250, 0, 2, 0),
    CHAIN(PC_LENGTH, "inch", 127, 5000, FOLDS, 1, 12),
    CHAIN(PC_LENGTH, "inches", 127, 5000, FOLDS, 1, 12),
    CHAIN(PC_LENGTH, "foot", 381, 1250, FOLDS, 2, 0),
    CHAIN(PC_LENGTH, "feet", 381, 1250, FOLDS, 2, 0),
    UNIT(PC_LENGTH, "um", 1, 1e6, 0),

    UNIT(PC_AREA, "mm2", 1, 1e6, BOTH),
    UNIT(PC_AREA, "cm2", 1, 1e4, BOTH),
    UNIT(PC_AREA, "m2", 1, 1, BOTH),
    UNIT(PC_AREA, "sq in", 0.00064516, 1, BOTH),
    UNIT(PC_AREA, "sq ft", 0.09290304, 1, BOTH),
    UNIT(PC_AREA, "in2", 0.00064516, 1, BOTH),
    UNIT(PC_AREA, "ft2", 0.09290304, 1, BOTH),
    UNIT(PC_AREA, "sqin", 0.00064516, 1, FOLDS),
    UNIT(PC_AREA, "sqft", 0.09290304, 1, FOLDS),
    UNIT(PC_AREA, "in^2", 0.00064516, 1, FOLDS),
    UNIT(PC_AREA, "ft^2", 0.09290304, 1, FOLDS),
    UNIT(PC_AREA, "sq cm", 1, 1e4, BOTH),
    UNIT(PC_AREA, "sqcm", 1, 1e4, FOLDS),
    UNIT(PC_AREA, "sq mm", 1, 1e6, FOLDS),
    UNIT(PC_AREA, "sq m", 1, 1, FOLDS),
    UNIT(PC_AREA, "mm^2", 1, 1e6, FOLDS),
    UNIT(PC_AREA, "cm^2", 1, 1e4, FOLDS),
    UNIT(PC_AREA, "m^2", 1, 1, FOLDS),

    UNIT(PC_VOLUME, "ml", 1, 1e6, BOTH),
    UNIT(PC_VOLUME, "cm3", 1, 1e6, BOTH),
    UNIT(PC_VOLUME, "l", 1, 1000, BOTH),
    UNIT(PC_VOLUME, "m3", 1, 1, BOTH),
    UNIT(PC_VOLUME, "in3", GALLON, 231e3, BOTH),
    UNIT(PC_VOLUME, "fl oz", GALLON, 128e3, BOTH),
    UNIT(PC_VOLUME, "pt", GALLON, 8e3, BOTH),
    UNIT(PC_VOLUME, "qt", GALLON, 4e3, BOTH),
    UNIT(PC_VOLUME, "gal", GALLON, 1e3, BOTH),
    UNIT(PC_VOLUME, "ft3", FOOT3, 1e3, BOTH),
    UNIT(PC_VOLUME, "floz", GALLON, 128e3, FOLDS),
    UNIT(PC_VOLUME, "fl.oz", GALLON, 128e3, FOLDS),
    UNIT(PC_VOLUME, "cu in", GALLON, 231e3, FOLDS),
    UNIT(PC_VOLUME, "cu ft", FOOT3, 1e3, FOLDS),
    UNIT(PC_VOLUME, "in^3", GALLON, 231e3, FOLDS),
    UNIT(PC_VOLUME, "ft^3", FOOT3, 1e3, FOLDS),
    UNIT(PC_VOLUME, "cm^3", 1, 1e6, FOLDS),
    UNIT(PC_VOLUME, "m^3", 1, 1, FOLDS),
    UNIT(PC_VOLUME, "cc", 1, 1e6, FOLDS),
    UNIT(PC_VOLUME, "mm3", 1, 1e9, FOLDS),
    UNIT(PC_VOLUME, "dm3", 1, 1000, FOLDS),
    UNIT(PC_VOLUME, "litre", 1, 1000, FOLDS),
    UNIT(PC_VOLUME, "litres", 1, 1000, FOLDS),
    UNIT(PC_VOLUME, "liter", 1, 1000, FOLDS),
    UNIT(PC_VOLUME, "liters", 1, 1000, FOLDS),
    UNIT(PC_VOLUME, "pint", GALLON, 8e3, FOLDS),
    UNIT(PC_VOLUME, "pints", GALLON, 8e3, FOLDS),
    UNIT(PC_VOLUME, "quart", GALLON, 4e3, FOLDS),
    UNIT(PC_VOLUME, "quarts", GALLON, 4e3, FOLDS),
    UNIT(PC_VOLUME, "gallon", GALLON, 1e3, FOLDS),
    UNIT(PC_VOLUME, "gallons", GALLON, 1e3, FOLDS),

    UNIT(PC_MASS, "g", 1, 1000, BOTH),
    UNIT(PC_MASS, "kg", 1, 1, BOTH),
    CHAIN(PC_MASS, "oz", LB, 16, BOTH, 1, 16),
    CHAIN(PC_MASS, "lb", LB, 1, BOTH, 2, 0),
    CHAIN(PC_MASS, "lbs", LB, 1, FOLDS, 2, 0),
    CHAIN(PC_MASS, "pound", LB, 1, FOLDS, 2, 0),
    CHAIN(PC_MASS, "pounds", LB, 1, FOLDS, 2, 0),
    CHAIN(PC_MASS, "ounce", LB, 16, FOLDS, 1, 16),
    CHAIN(PC_MASS, "ounces", LB, 16, FOLDS, 1, 16),
    UNIT(PC_MASS, "mg", 1, 1e6, 0),
    UNIT(PC_MASS, "gram", 1, 1000, FOLDS),
    UNIT(PC_MASS, "grams", 1, 1000, FOLDS),

    SCALE(PC_TEMPERATURE, "C", 1, 1, BOTH, 0.0),
    SCALE(PC_TEMPERATURE, "F", 5, 9, BOTH, 32.0),
    SCALE(PC_TEMPERATURE, "K", 1, 1, BOTH, ZERO_C_K),
    UNIT(PC_TEMPERATURE_STEP, "C", 1, 1, BOTH),
    UNIT(PC_TEMPERATURE_STEP, "F", 5, 9, BOTH),
    UNIT(PC_TEMPERATURE_STEP, "K", 1, 1, BOTH),

    CHAIN(PC_TIME, "s", 1, 1, BOTH, 1, 60),
    CHAIN(PC_TIME, "min", 60, 1, BOTH, 2, 60),
    CHAIN(PC_TIME, "h", 3600, 1, BOTH, 3, 24),
    CHAIN(PC_TIME, "d", 86400, 1, BOTH, 4, 0),
    CHAIN(PC_TIME, "m", 60, 1, 0, 2, 60),
    CHAIN(PC_TIME, "sec", 1, 1, FOLDS, 1, 60),
    CHAIN(PC_TIME, "secs", 1, 1, FOLDS, 1, 60),
    CHAIN(PC_TIME, "second", 1, 1, FOLDS, 1, 60),
    CHAIN(PC_TIME, "seconds", 1, 1, FOLDS, 1, 60),
    CHAIN(PC_TIME, "mins", 60, 1, FOLDS, 2, 60),
    CHAIN(PC_TIME, "minute", 60, 1, FOLDS, 2, 60),
    CHAIN(PC_TIME, "minutes", 60, 1, FOLDS, 2, 60),
    CHAIN(PC_TIME, "hr", 3600, 1, FOLDS, 3, 24),
    CHAIN(PC_TIME, "hrs", 3600, 1, FOLDS, 3, 24),
    CHAIN(PC_TIME, "hour", 3600, 1, FOLDS, 3, 24),
    CHAIN(PC_TIME, "hours", 3600, 1, FOLDS, 3, 24),
    CHAIN(PC_TIME, "day", 86400, 1, FOLDS, 4, 0),
    CHAIN(PC_TIME, "days", 86400, 1, FOLDS, 4, 0),

    UNIT(PC_VISCOSITY, "Pa.s", 1, 1, LISTED),
    UNIT(PC_VISCOSITY, "mPa.s", 1, 1000, LISTED),
    UNIT(PC_VISCOSITY, "cP", 1, 1000, BOTH),
    UNIT(PC_VISCOSITY, "cps", 1, 1000, BOTH),
    UNIT(PC_VISCOSITY, "Pa s", 1, 1, 0),
    UNIT(PC_VISCOSITY, "mPa s", 1, 1000, 0),
    UNIT(PC_VISCOSITY, "Pas", 1, 1, 0),
    UNIT(PC_VISCOSITY, "mPas", 1, 1000, 0),

    UNIT(PC_DENSITY, "g/cm3", 1000, 1, BOTH),
    UNIT(PC_DENSITY, "g/ml", 1000, 1, BOTH),
    UNIT(PC_DENSITY, "kg/m3", 1, 1, BOTH),
    UNIT(PC_DENSITY, "lb/gal", LB * 1000, GALLON, BOTH),
    UNIT(PC_DENSITY, "lb/ft3", LB * 1000, FOOT3, BOTH),
    UNIT(PC_DENSITY, "g/cc", 1000, 1, FOLDS),
    UNIT(PC_DENSITY, "kg/l", 1000, 1, FOLDS),
    UNIT(PC_DENSITY, "g/cm^3", 1000, 1, FOLDS),
    UNIT(PC_DENSITY, "kg/m^3", 1, 1, FOLDS),

    UNIT(PC_TURN_RATE, "rpm", TWO_PI, 60, BOTH),
    UNIT(PC_TURN_RATE, "rad/s", 1, 1, LISTED),
    UNIT(PC_TURN_RATE, "rev/min", TWO_PI, 60, FOLDS),
    UNIT(PC_TURN_RATE, "turns/min", TWO_PI, 60, FOLDS),

    UNIT(PC_RATE, "1/s", 1, 1, LISTED),
    UNIT(PC_RATE, "1/min", 1, 60, LISTED),
    UNIT(PC_RATE, "/s", 1, 1, 0),
    UNIT(PC_RATE, "/min", 1, 60, 0),

    UNIT(PC_MOLAR_ENERGY, "kJ/mol", 1000, 1, LISTED),
    UNIT(PC_MOLAR_ENERGY, "J/mol", 1, 1, LISTED),
    UNIT(PC_MOLAR_ENERGY, "kcal/mol", 4184, 1, LISTED),

    UNIT(PC_SPECIFIC_ENERGY, "J/g", 1000, 1, LISTED),
    UNIT(PC_SPECIFIC_ENERGY, "kJ/kg", 1000, 1, LISTED),
    UNIT(PC_SPECIFIC_ENERGY, "J/kg", 1, 1, LISTED),
    UNIT(PC_SPECIFIC_ENERGY, "cal/g", 4184, 1, LISTED),

    UNIT(PC_SPECIFIC_HEAT, "J/kg.K", 1, 1, LISTED),
    UNIT(PC_SPECIFIC_HEAT, "kJ/kg.K", 1000, 1, LISTED),
    UNIT(PC_SPECIFIC_HEAT, "J/g.K", 1000, 1, LISTED),
    UNIT(PC_SPECIFIC_HEAT, "J/kgK", 1, 1, 0),
    UNIT(PC_SPECIFIC_HEAT, "kJ/kgK", 1000, 1, 0),
    UNIT(PC_SPECIFIC_HEAT, "J/gK", 1000, 1, 0),

    UNIT(PC_CONDUCTIVITY, "W/m.K", 1, 1, LISTED),
    UNIT(PC_CONDUCTIVITY, "W/mK", 1, 1, 0),
    UNIT(PC_HEAT_TRANSFER, "W/m2.K", 1, 1, LISTED),
    UNIT(PC_HEAT_TRANSFER, "W/m2K", 1, 1, 0),

    UNIT(PC_AIR_FLOW, "cfm", FOOT3, 60e3, BOTH),
    UNIT(PC_AIR_FLOW, "m3/h", 1, 3600, BOTH),
    UNIT(PC_AIR_FLOW, "m3/s", 1, 1, BOTH),
    UNIT(PC_AIR_FLOW, "l/min", 1, 60e3, FOLDS),
    UNIT(PC_AIR_FLOW, "l/s", 1, 1000, BOTH),
    UNIT(PC_AIR_FLOW, "m3/min", 1, 60, FOLDS),

    UNIT(PC_VOLUME_SHARE, "ppm", 1, 1e6, BOTH),
    UNIT(PC_VOLUME_SHARE, "ppb", 1, 1e9, BOTH),
    UNIT(PC_VOLUME_SHARE, "%", 1, 100, LISTED),

    UNIT(PC_MASS_CONCENTRATION, "mg/m3", 1, 1e6, BOTH),
    UNIT(PC_MASS_CONCENTRATION, "ug/m3", 1, 1e9, BOTH),
    UNIT(PC_MASS_CONCENTRATION, "g/m3", 1, 1000, BOTH),
    UNIT(PC_MASS_CONCENTRATION, "kg/m3", 1, 1, FOLDS),

    UNIT(PC_SHARE, "%", 1, 100, LISTED),
    UNIT(PC_SHARE, "percent", 1, 100, FOLDS),

    UNIT(PC_MOLAR_MASS, "g/mol", 1, 1000, LISTED),
    UNIT(PC_MOLAR_MASS, "kg/mol", 1, 1, LISTED),

    UNIT(PC_FORCE, "N", 1, 1, LISTED),
    UNIT(PC_FORCE, "kN", 1000, 1, LISTED),
    UNIT(PC_FORCE, "lbf", LBF, 1, BOTH),
    UNIT(PC_FORCE, "kgf", 9.80665, 1, BOTH),

    UNIT(PC_STRESS, "Pa", 1, 1, LISTED),
    UNIT(PC_STRESS, "kPa", 1e3, 1, LISTED),
    UNIT(PC_STRESS, "MPa", 1e6, 1, LISTED),
    UNIT(PC_STRESS, "GPa", 1e9, 1, LISTED),
    UNIT(PC_STRESS, "psi", PSI, 1, BOTH),
    UNIT(PC_STRESS, "ksi", PSI * 1000, 1, BOTH),

    UNIT(PC_SURFACE_TENSION, "N/m", 1, 1, LISTED),
    UNIT(PC_SURFACE_TENSION, "mN/m", 1, 1000, LISTED),
    UNIT(PC_SURFACE_TENSION, "dyn/cm", 1, 1000, LISTED),
};
/* clang-format on */

enum { UNITS = sizeof table / sizeof table[0] };

static bool spelt(const pci_unit *unit, const char *spelling) {
    return unit->flags & PCI_UNIT_FOLDS ? pci_same_word(unit->spelling, spelling)
                                        : strcmp(unit->spelling, spelling) == 0;
}

const pci_unit *pci_unit_find(pc_dimension dimension, const char *spelling) {
    for (size_t i = 0; i < UNITS; i++)
        if (table[i].dimension == dimension && spelt(&table[i], spelling))
            return &table[i];
    return NULL;
}

const pci_unit *pci_unit_elsewhere(pc_dimension dimension, const char *spelling) {
    for (size_t i = 0; i < UNITS; i++)
        if (table[i].dimension != dimension && spelt(&table[i], spelling))
            return &table[i];
    return NULL;
}

double pci_unit_to_si(const pci_unit *unit, double value) {
    return (value - unit->zero) * unit->times / unit->over + unit->zero_si;
}

/* UTF-8 sequences people type for units, and what they stand for. */
static const struct {
    const char *bytes, *ascii;
} typed[] = {
    {"\xC2\xB2", "2"},      {"\xC2\xB3", "3"},      {"\xC2\xB7", "."},     {"\xE2\x8B\x85", "."},
    {"\xC2\xB0", ""},       {"\xC2\xBA", ""},       {"\xC2\xB5", "u"},     {"\xCE\xBC", "u"},
    {"\xE2\x80\xB3", "\""}, {"\xE2\x80\x9D", "\""}, {"\xE2\x80\xB2", "'"}, {"\xE2\x80\x99", "'"},
    {"\xC2\xA0", " "},      {"\xE2\x80\xAF", " "},
};

static size_t ascii_of(const char *text, size_t n, const char **ascii) {
    for (size_t i = 0; i < sizeof typed / sizeof typed[0]; i++) {
        size_t length = strlen(typed[i].bytes);
        if (length <= n && memcmp(text, typed[i].bytes, length) == 0) {
            *ascii = typed[i].ascii;
            return length;
        }
    }
    return 0;
}

static bool binds(char c) {
    return c == '/' || c == '.';
}

/* Appends a character; spaces are held back until a letter follows that does not bind. */
static bool put(char *buffer, size_t *used, bool *space, char c) {
    if (pci_is_space(c)) {
        *space = true;
        return true;
    }
    if (*space && *used > 0 && !binds(c) && !binds(buffer[*used - 1])) {
        if (*used + 1 >= PCI_UNIT_TEXT_MOST)
            return false;
        buffer[(*used)++] = ' ';
    }
    *space = false;
    if (*used + 1 >= PCI_UNIT_TEXT_MOST)
        return false;
    buffer[(*used)++] = c;
    return true;
}

static void strip_degree_word(char *buffer) {
    size_t word = 0;
    for (; word < 3 && pci_lower(buffer[word]) == "deg"[word]; word++)
        ;
    if (word < 3)
        return;
    if (strncmp(buffer + word, "rees", 4) == 0)
        word += 4;
    while (buffer[word] == ' ' || buffer[word] == '.')
        word++;
    memmove(buffer, buffer + word, strlen(buffer + word) + 1);
}

bool pci_unit_normalize(const char *text, size_t n, char *buffer) {
    size_t used = 0;
    bool space = false;
    for (size_t i = 0; i < n;) {
        const char *ascii = NULL;
        size_t length = ascii_of(text + i, n - i, &ascii);
        if (length == 0 && !put(buffer, &used, &space, text[i]))
            return false;
        for (; ascii && *ascii; ascii++)
            if (!put(buffer, &used, &space, *ascii))
                return false;
        i += length ? length : 1;
    }
    if (used > 1 && buffer[used - 1] == '.') /* "in." */
        used--;
    buffer[used] = '\0';
    strip_degree_word(buffer);
    return true;
}

int pci_dimension_units(pc_dimension dimension, char *buffer, size_t size) {
    if (buffer && size > 0)
        buffer[0] = '\0';
    if ((int)dimension < 0 || dimension >= PC_DIMENSION_COUNT)
        return 0;
    if (dimension == PC_CLOCK)
        return snprintf(buffer, size, "hh:mm, hh:mm:ss, h:mm am, h:mm pm");
    size_t total = 0;
    for (size_t i = 0; i < UNITS; i++) {
        if (table[i].dimension != dimension || !(table[i].flags & PCI_UNIT_LISTED))
            continue;
        size_t room = total < size ? size - total : 0;
        total += (size_t)snprintf(room ? buffer + total : NULL, room, "%s%s", total ? ", " : "",
                                  table[i].spelling);
    }
    return (int)total;
}
