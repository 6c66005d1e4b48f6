/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "print/units.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define M_PER_IN     0.0254
#define M2_PER_SQIN  (M_PER_IN * M_PER_IN)
#define M3_PER_FLOZ  29.5735295625e-6
#define KG_PER_OZ    0.028349523125
#define KG_PER_LB    0.45359237
#define F_PER_C      1.8
#define CFM_PER_M3_S 2118.880003
#define FRACTION_OFF 0.015 /* nearer than a caster can measure a wall */

static const struct cli_text unknown = {"-"};

#if defined(__GNUC__)
__attribute__((format(printf, 1, 2)))
#endif
static struct cli_text
text_of(const char *format, ...) {
    struct cli_text text;
    va_list args;
    va_start(args, format);
    vsnprintf(text.s, sizeof text.s, format, args);
    va_end(args);
    return text;
}

/* Digits behind the point so that about three figures show. */
static int places(double value, int most) {
    double size = fabs(value);
    int n = size >= 99.95 ? 0 : size >= 9.995 ? 1 : size >= 0.9995 ? 2 : 3;
    return n < most ? n : most;
}

static struct cli_text inches(double in) {
    for (int den = 16; den <= 64; den *= 2) {
        double parts = round(in * den);
        if (!(parts >= 1) || !(fabs(in * den - parts) <= FRACTION_OFF * in * den))
            continue;
        long whole = (long)parts / den, num = (long)parts % den, d = den;
        while (num > 0 && num % 2 == 0) {
            num /= 2;
            d /= 2;
        }
        if (num == 0)
            return text_of("%ld in", whole);
        return whole ? text_of("%ld-%ld/%ld in", whole, num, d) : text_of("%ld/%ld in", num, d);
    }
    return text_of("%.*f in", in < 0.1 ? 3 : 2, in);
}

struct cli_text units_length(pc_units units, double m) {
    if (!isfinite(m))
        return unknown;
    if (units == PC_US)
        return inches(m / M_PER_IN);
    double mm = m * 1e3;
    return text_of("%.*f mm", fabs(mm - round(mm)) < 0.005 ? 0 : mm < 10 ? 1 : 0, mm);
}

struct cli_text units_thickness(pc_units units, double m) {
    if (!isfinite(m))
        return unknown;
    return units == PC_US ? text_of("%.3f in", m / M_PER_IN) : text_of("%.2f mm", m * 1e3);
}

struct cli_text units_area(pc_units units, double m2) {
    if (!isfinite(m2))
        return unknown;
    double v = units == PC_US ? m2 / M2_PER_SQIN : m2 * 1e4;
    return text_of("%.*f %s", places(v, 1), v, units == PC_US ? "sq in" : "cm2");
}

struct cli_text units_volume(pc_units units, double m3) {
    if (!isfinite(m3))
        return unknown;
    double v = units == PC_US ? m3 / M3_PER_FLOZ : m3 * 1e6;
    return text_of("%.*f %s", places(v, 1), v, units == PC_US ? "fl oz" : "ml");
}

struct cli_text units_air_flow(pc_units units, double m3_s) {
    if (!isfinite(m3_s))
        return unknown;
    if (units == PC_US)
        return text_of("%.0f cfm", m3_s * CFM_PER_M3_S);
    return text_of("%.0f m3/h", m3_s * 3600.0);
}

struct cli_text units_mass(double kg) {
    if (!isfinite(kg))
        return unknown;
    double g = kg * 1e3;
    if (g >= 9999.5)
        return text_of("%.2f kg", kg);
    return text_of("%.*f g", g < 99.95 ? 1 : 0, g);
}

struct cli_text units_mass_both(pc_units units, double kg) {
    struct cli_text grams = units_mass(kg);
    if (units != PC_US || !isfinite(kg))
        return grams;
    if (kg >= 2 * KG_PER_LB)
        return text_of("%s (%.1f lb)", grams.s, kg / KG_PER_LB);
    return text_of("%s (%.*f oz)", grams.s, kg < 10 * KG_PER_OZ ? 2 : 1, kg / KG_PER_OZ);
}

double units_in_degrees(pc_units units, double K) {
    double C = K - PC_ZERO_CELSIUS_K;
    return units == PC_US ? C * F_PER_C + 32 : C;
}

static double step_in_degrees(pc_units units, double dK) {
    return units == PC_US ? dK * F_PER_C : dK;
}

static const char *degree_name(pc_units units) {
    return units == PC_US ? "F" : "C";
}

struct cli_text units_temperature(pc_units units, double K) {
    if (!isfinite(K))
        return unknown;
    return text_of("%.0f %s", round(units_in_degrees(units, K)) + 0.0, degree_name(units));
}

struct cli_text units_temperature_fine(pc_units units, double K) {
    if (!isfinite(K))
        return unknown;
    double tenths = round(units_in_degrees(units, K) * 10) + 0.0;
    return text_of("%.*f %s", fmod(tenths, 10) == 0 ? 0 : 1, tenths / 10, degree_name(units));
}

struct cli_text units_temperature_step(pc_units units, double dK) {
    if (!isfinite(dK))
        return unknown;
    double v = step_in_degrees(units, dK);
    bool tenths = fabs(v) < 9.95 && fabs(v - round(v)) >= 0.05;
    return text_of("%.*f %s", tenths ? 1 : 0, tenths ? v : round(v) + 0.0, degree_name(units));
}

struct cli_text units_temperature_scatter(pc_units units, double dK) {
    if (!isfinite(dK))
        return unknown;
    return text_of("%.2g %s", step_in_degrees(units, dK), degree_name(units));
}

/* What rounds to 0 s has no sign. */
static const char *sign_of(double s) {
    return s <= -0.5 ? "-" : "";
}

struct cli_text units_duration(double s) {
    if (!isfinite(s) || fabs(s) > 1e9)
        return unknown;
    const char *sign = sign_of(s);
    long whole = lround(fabs(s));
    if (whole < 60)
        return text_of("%s%ld s", sign, whole);
    if (whole < 3600)
        return whole % 60 ? text_of("%s%ldm%02lds", sign, whole / 60, whole % 60)
                          : text_of("%s%ld min", sign, whole / 60);
    long minutes = lround(fabs(s) / 60);
    return minutes % 60 ? text_of("%s%ldh%02ldm", sign, minutes / 60, minutes % 60)
                        : text_of("%s%ld h", sign, minutes / 60);
}

struct cli_text units_duration_column(double s) {
    if (!isfinite(s) || fabs(s) > 1e9)
        return unknown;
    const char *sign = sign_of(s);
    long whole = lround(fabs(s));
    if (whole < 3600)
        return text_of("%s%ldm%02lds", sign, whole / 60, whole % 60);
    long minutes = lround(fabs(s) / 60);
    return text_of("%s%ldh%02ldm", sign, minutes / 60, minutes % 60);
}

struct cli_text units_clock(double start_clock_s, double at_s) {
    double s = round(start_clock_s + at_s);
    if (!(fabs(s) < 1e9))
        return unknown;
    long day = (long)floor(s / 86400), rest = (long)(s - 86400.0 * (double)day);
    long h = rest / 3600, m = rest / 60 % 60, sec = rest % 60;
    if (day == 0)
        return text_of("%02ld:%02ld:%02ld", h, m, sec);
    return text_of("%+ldd %02ld:%02ld:%02ld", day, h, m, sec);
}

struct cli_text units_clock_minute(double start_clock_s, double at_s, bool up) {
    double minutes = (start_clock_s + at_s) / 60.0;
    double whole = up ? ceil(minutes - 1e-6) : floor(minutes + 1e-6);
    struct cli_text text = units_clock(0.0, whole * 60.0);
    size_t length = strlen(text.s);
    if (length > 3 && isfinite(whole))
        text.s[length - 3] = '\0'; /* its ":00" */
    return text;
}

const char *units_layer_word(pc_part_kind kind) {
    return kind == PC_SOLID ? "pour" : "layer";
}

double units_step_second(const pc_step *step) {
    switch (step->kind) {
    case PC_STEP_STOP:
    case PC_STEP_DEMOLD:
    case PC_STEP_WAIT:
        return ceil(step->at_s - 1e-6);
    case PC_STEP_TURN:
        return floor(step->at_s + 1e-6);
    case PC_STEP_MIX:
    case PC_STEP_POUR:
        break;
    }
    return step->at_s;
}
