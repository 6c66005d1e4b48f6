/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "pourclock/quantity.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/dimensions.h"
#include "base/text.h"
#include "base/try.h"
#include "base/units.h"

static const struct {
    const char *name, *example;
} dimensions[PC_DIMENSION_COUNT] = {
#define ROW(name, what, si, example) {what, example},
    PC_DIMENSION_TABLE(ROW)
#undef ROW
};

static bool known(pc_dimension dimension) {
    return (int)dimension >= 0 && dimension < PC_DIMENSION_COUNT;
}

const char *pci_dimension_name(pc_dimension dimension) {
    return known(dimension) ? dimensions[dimension].name : "";
}

const char *pci_dimension_example(pc_dimension dimension) {
    return known(dimension) ? dimensions[dimension].example : "";
}

/* Where a refusal is written. */
struct refusal {
    const char *whole; /* the text as given */
    pc_dimension dimension;
    char *why;
    size_t why_size;
};

PC_PRINTF(3, 4)
static pc_status refuse(const struct refusal *to, pc_status status, const char *format, ...) {
    if (!to->why || to->why_size == 0)
        return status;
    va_list args;
    va_start(args, format);
    pci_vformat(to->why, to->why_size, format, args);
    va_end(args);
    return status;
}

/* A value quoted in a message, cut to fit. */
struct quoted {
    char text[56];
};

static struct quoted quote(const char *text, size_t n) {
    struct quoted q;
    while (n > 0 && pci_is_space(text[n - 1]))
        n--;
    bool cut = n > sizeof q.text - 4;
    if (cut)
        n = sizeof q.text - 4;
    memcpy(q.text, text, n);
    memcpy(q.text + n, cut ? "..." : "", cut ? 4 : 1);
    return q;
}

static const char *skip_space(const char *p) {
    while (pci_is_space(*p))
        p++;
    return p;
}

static size_t trimmed_length(const char *p) {
    size_t n = strlen(p);
    while (n > 0 && pci_is_space(p[n - 1]))
        n--;
    return n;
}

static const char *article(pc_dimension dimension) {
    const char *name = pci_dimension_name(dimension);
    return *name && strchr("aeiou", *name) ? "an" : "a";
}

static pc_status refuse_number(const struct refusal *to, const char *p) {
    const char *example = pc_dimension_example(to->dimension);
    struct quoted q = quote(p, strlen(p));
    if (*p == '\0')
        return refuse(to, PC_E_VALUE, "no value here: write %s %s such as %s",
                      article(to->dimension), pci_dimension_name(to->dimension), example);
    return refuse(to, PC_E_VALUE, "\"%s\" is not a number: write %s %s such as %s", q.text,
                  article(to->dimension), pci_dimension_name(to->dimension), example);
}

/* Reads digits as a whole number; false where there are none, or absurdly many. */
static bool whole_number(const char **p, double *value) {
    const char *q = *p;
    double sum = 0.0;
    while (pci_is_digit(*q) && q - *p < 9)
        sum = 10.0 * sum + (*q++ - '0');
    if (q == *p || pci_is_digit(*q))
        return false;
    *p = q;
    *value = sum;
    return true;
}

/* Reads A/B at p; *over may come out 0. */
static bool fraction(const char **p, double *top, double *bottom) {
    const char *q = *p;
    if (!whole_number(&q, top) || *q != '/')
        return false;
    q++;
    if (!whole_number(&q, bottom))
        return false;
    *p = q;
    return true;
}

/* Reads "3", "2.5e-3", "3/16", "1 1/2" or "1-1/2". */
static pc_status number(const struct refusal *to, const char **p, double *value) {
    const char *start = *p, *digits_at = start + (*start == '-' || *start == '+'), *q = digits_at;
    double sign = *start == '-' ? -1.0 : 1.0, top, bottom, whole = 0.0;
    bool is_fraction = fraction(&q, &top, &bottom);
    if (!is_fraction) {
        q = digits_at;
        if (whole_number(&q, &whole) && (*q == '-' || pci_is_space(*q))) {
            q = *q == '-' ? q + 1 : skip_space(q);
            is_fraction = fraction(&q, &top, &bottom);
        }
    }
    if (is_fraction) {
        if (bottom == 0.0)
            return refuse(to, PC_E_VALUE, "\"%s\" divides by zero: check the fraction",
                          quote(start, (size_t)(q - start)).text);
        *p = q;
        *value = sign * (whole * bottom + top) / bottom;
        return PC_OK;
    }
    *value = pc_number_parse(start, p);
    if (*p == start)
        return refuse_number(to, start);
    if (!isfinite(*value))
        return refuse(to, PC_E_VALUE, "\"%s\" is too large for a number",
                      quote(start, (size_t)(*p - start)).text);
    if (**p == ',' && pci_is_digit((*p)[1]))
        return refuse(to, PC_E_VALUE,
                      "\"%s\" has a comma: the decimal point is \".\", and thousands are not "
                      "set apart",
                      quote(start, strlen(start)).text);
    return PC_OK;
}

static pc_status refuse_foreign(const struct refusal *to, const char *unit, const pci_unit *other,
                                const char *units) {
    pc_dimension dimension = to->dimension;
    if (dimension == PC_VOLUME && other->dimension == PC_MASS && other->joins == 1)
        return refuse(to, PC_E_UNIT,
                      "\"%s\" is mass (16 to the pound): a volume in fluid ounces is written "
                      "\"fl oz\"; units of volume: %s",
                      unit, units);
    if (dimension == PC_MASS && other->dimension == PC_VOLUME)
        return refuse(to, PC_E_UNIT,
                      "\"%s\" is a unit of volume, a mass was expected: weigh it; units of mass: "
                      "%s",
                      unit, units);
    return refuse(to, PC_E_UNIT, "\"%s\" is a unit of %s, %s %s was expected: %s", unit,
                  pci_dimension_name(other->dimension), article(dimension),
                  pci_dimension_name(dimension), units);
}

static pc_status refuse_unit(const struct refusal *to, const char *p) {
    char units[160], unit[PCI_UNIT_TEXT_MOST];
    pci_dimension_units(to->dimension, units, sizeof units);
    const char *name = pci_dimension_name(to->dimension),
               *example = pc_dimension_example(to->dimension);
    if (*p == '\0')
        return refuse(to, PC_E_UNIT, "\"%s\" has no unit: write %s %s such as %s; units: %s",
                      quote(to->whole, strlen(to->whole)).text, article(to->dimension), name,
                      example, units);
    size_t n = trimmed_length(p), word = 0;
    if (pci_unit_normalize(p, n, unit)) {
        const pci_unit *other = pci_unit_elsewhere(to->dimension, unit);
        if (other)
            return refuse_foreign(to, unit, other, units);
    }
    while (word < n && !pci_is_space(p[word]))
        word++;
    if (word < n && pci_unit_normalize(p, word, unit) && pci_unit_find(to->dimension, unit))
        return refuse(to, PC_E_VALUE, "\"%s\" comes after the %s: leave it out",
                      quote(skip_space(p + word), strlen(skip_space(p + word))).text, name);
    return refuse(to, PC_E_UNIT, "\"%s\" is not a unit of %s; units: %s", quote(p, n).text, name,
                  units);
}

/* End of the unit of one link of a chain: letters and the marks ' and " up to the next digit. */
static size_t link_length(const char *p) {
    size_t n = 0;
    while (p[n] && !pci_is_digit(p[n]) && p[n] != '+' && p[n] != '-' && p[n] != ',')
        n++;
    while (n > 0 && pci_is_space(p[n - 1]))
        n--;
    return n;
}

/* Reads on in "1h30m", "5 ft 6 in", "2 lb 3 oz" once the first link does not end the text. */
static pc_status chain(const struct refusal *to, const char *p, double value, double *si) {
    double sum = 0.0;
    const pci_unit *before = NULL;
    for (const char *unit_at = skip_space(p);;) {
        char spelling[PCI_UNIT_TEXT_MOST];
        size_t n = link_length(unit_at);
        const pci_unit *unit = n > 0 && pci_unit_normalize(unit_at, n, spelling)
                                   ? pci_unit_find(to->dimension, spelling)
                                   : NULL;
        if (!unit || unit->joins == 0)
            return refuse_unit(to, unit_at);
        if (before && unit->joins >= before->joins)
            return refuse(to, PC_E_VALUE, "\"%s\" must go from the larger unit to the smaller",
                          quote(to->whole, strlen(to->whole)).text);
        if (before && !(value < unit->most))
            return refuse(to, PC_E_VALUE, "the %g in \"%s\" should be below %g", value,
                          quote(to->whole, strlen(to->whole)).text, unit->most);
        sum += pci_unit_to_si(unit, value);
        const char *next = skip_space(unit_at + n);
        if (*next == '\0')
            break;
        if (value != floor(value) || value < 0.0 || !pci_is_digit(*next))
            return refuse_unit(to, unit_at);
        before = unit;
        PCI_TRY(number(to, &next, &value));
        unit_at = skip_space(next);
        if (*unit_at == '\0')
            return refuse_unit(to, unit_at);
    }
    *si = sum;
    return PC_OK;
}

/* Absolute zero, with room for the rounding of -459.67 F. */
static pc_status finish(const struct refusal *to, double si, double *result) {
    if (to->dimension == PC_TEMPERATURE && si < 0.0) {
        if (si < -1e-9)
            return refuse(to, PC_E_VALUE, "\"%s\" is below absolute zero",
                          quote(to->whole, strlen(to->whole)).text);
        si = 0.0;
    }
    if (!isfinite(si))
        return refuse(to, PC_E_VALUE, "\"%s\" is too large",
                      quote(to->whole, strlen(to->whole)).text);
    *result = si;
    return PC_OK;
}

static pc_status with_unit(const struct refusal *to, const char *p, double value, double *result) {
    p = skip_space(p);
    char spelling[PCI_UNIT_TEXT_MOST];
    const pci_unit *unit = NULL;
    if (*p && pci_unit_normalize(p, trimmed_length(p), spelling))
        unit = pci_unit_find(to->dimension, spelling);
    if (unit)
        return finish(to, pci_unit_to_si(unit, value), result);
    if (to->dimension == PC_TIME && *p == ':')
        return refuse(to, PC_E_UNIT, "\"%s\" looks like a clock: write a time such as %s",
                      quote(to->whole, strlen(to->whole)).text, pc_dimension_example(PC_TIME));
    double si = 0.0;
    pc_status status = chain(to, p, value, &si);
    return status == PC_OK ? finish(to, si, result) : status;
}

static bool two_digits(const char **p, double *value) {
    if (!pci_is_digit((*p)[0]) || !pci_is_digit((*p)[1]) || pci_is_digit((*p)[2]))
        return false;
    *value = 10 * ((*p)[0] - '0') + ((*p)[1] - '0');
    *p += 2;
    return true;
}

/* 0: neither, 1: am, 2: pm; -1: something else stands there. */
static int half_of_day(const char *p) {
    char word[8];
    size_t used = 0;
    for (p = skip_space(p); *p && used + 1 < sizeof word; p++)
        if (*p != '.' && !pci_is_space(*p))
            word[used++] = pci_lower(*p);
    word[used] = '\0';
    if (*p)
        return -1;
    return !word[0] ? 0 : !strcmp(word, "am") ? 1 : !strcmp(word, "pm") ? 2 : -1;
}

static pc_status clock_time(const struct refusal *to, const char *p, double *result) {
    double hour, minute = 0.0, second = 0.0;
    const char *start = p;
    bool good = whole_number(&p, &hour) && p - start <= 2, colon = *p == ':';
    if (good && colon) {
        p++;
        good = two_digits(&p, &minute) && minute < 60.0;
    }
    if (good && colon && *p == ':') {
        p++;
        good = two_digits(&p, &second) && second < 60.0;
    }
    int half = good ? half_of_day(p) : -1;
    good = good && half >= 0 && (colon || half > 0);
    good = good && (half == 0 ? hour < 24.0 : hour >= 1.0 && hour <= 12.0);
    if (!good)
        return refuse(to, PC_E_VALUE,
                      "\"%s\" is not a time of day: write it such as 09:00, 9:00 am",
                      quote(start, strlen(start)).text);
    if (half > 0)
        hour = (hour == 12.0 ? 0.0 : hour) + (half == 2 ? 12.0 : 0.0);
    *result = 3600.0 * hour + 60.0 * minute + second;
    return PC_OK;
}

pc_status pc_quantity_parse(const char *text, pc_dimension dimension, double *si, char *why,
                            size_t why_size) {
    if (why && why_size > 0)
        why[0] = '\0';
    if (!text || !si || !known(dimension))
        return PC_E_ARGUMENT;
    const char *p = skip_space(text);
    struct refusal to = {p, dimension, why, why_size};
    if (dimension == PC_CLOCK)
        return clock_time(&to, p, si);
    double value;
    PCI_TRY(number(&to, &p, &value));
    if (dimension != PC_NUMBER)
        return with_unit(&to, p, value, si);
    p = skip_space(p);
    if (*p)
        return refuse(&to, PC_E_VALUE, "\"%s\" comes after the number: leave it out",
                      quote(p, strlen(p)).text);
    *si = value;
    return PC_OK;
}

pc_status pci_quantity_to_si(double value, const char *unit, pc_dimension dimension, double *si) {
    if (!si || !known(dimension))
        return PC_E_ARGUMENT;
    const pci_unit *found = NULL;
    if (dimension != PC_NUMBER || (unit && *skip_space(unit))) {
        char spelling[PCI_UNIT_TEXT_MOST];
        if (!unit)
            return PC_E_ARGUMENT;
        if (pci_unit_normalize(unit, strlen(unit), spelling))
            found = pci_unit_find(dimension, spelling);
        if (!found)
            return PC_E_UNIT;
    }
    if (!isfinite(value))
        return PC_E_VALUE;
    struct refusal silent = {"", dimension, NULL, 0};
    return finish(&silent, found ? pci_unit_to_si(found, value) : value, si);
}
