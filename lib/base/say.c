/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/say.h"

#include <math.h>
#include <stdarg.h>
#include <string.h>

#include "base/text.h"

#define M_PER_IN     0.0254
#define M2_PER_SQIN  (M_PER_IN * M_PER_IN)
#define M3_PER_FLOZ  29.5735295625e-6
#define M3_PER_FT3   0.028316846592
#define KG_PER_OZ    0.028349523125
#define KG_PER_LB    0.45359237
#define PA_PER_PSI   6894.757293168361
#define N_PER_LBF    4.4482216152605
#define FRACTION_OFF 0.015 /* nearer than a caster can measure a wall */

PC_PRINTF(1, 2) static pc_words words_of(const char *format, ...) {
    pc_words words;
    va_list args;
    va_start(args, format);
    pci_vformat(words.s, sizeof words.s, format, args);
    va_end(args);
    return words;
}

/* Digits after the point so that about three figures show. */
static int places(double value, int most) {
    double size = fabs(value);
    int n = size >= 99.95 ? 0 : size >= 9.995 ? 1 : size >= 0.9995 ? 2 : 3;
    return n < most ? n : most;
}

static pc_words say_inches(double in) {
    for (int den = 16; den <= 64; den *= 2) {
        double parts = round(in * den);
        if (!(parts >= 1 && parts < 1e9) || !(fabs(in * den - parts) <= FRACTION_OFF * in * den))
            continue;
        long whole = (long)parts / den, num = (long)parts % den, d = den;
        while (num > 0 && num % 2 == 0) {
            num /= 2;
            d /= 2;
        }
        if (num == 0)
            return words_of("%ld in", whole);
        return whole ? words_of("%ld-%ld/%ld in", whole, num, d) : words_of("%ld/%ld in", num, d);
    }
    return words_of("%.*f in", in < 0.1 ? 3 : 2, in);
}

static pc_words say_millimeters(double mm) {
    return words_of("%.*f mm", fabs(mm - round(mm)) < 0.005 ? 0 : mm < 10 ? 1 : 0, mm);
}

static pc_words say_grams(double kg) {
    double g = kg * 1e3;
    if (g >= 9999.5)
        return words_of("%.2f kg", kg);
    return words_of("%.*f g", g < 99.95 ? 1 : 0, g);
}

static pc_words say_mass_both(pc_units units, double kg) {
    pc_words grams = say_grams(kg);
    if (units != PC_US)
        return grams;
    if (kg >= 2 * KG_PER_LB)
        return words_of("%s (%.1f lb)", grams.s, kg / KG_PER_LB);
    return words_of("%s (%.*f oz)", grams.s, kg < 10 * KG_PER_OZ ? 2 : 1, kg / KG_PER_OZ);
}

/* Rounded first: what rounds to 0 has no sign. */
static pc_words say_fine(double degrees, const char *unit) {
    double tenths = round(degrees * 10) + 0.0;
    return words_of("%.*f %s", fmod(tenths, 10) == 0 ? 0 : 1, tenths / 10, unit);
}

static pc_words say_step(double degrees, const char *unit) {
    bool tenths = fabs(degrees) < 9.95 && fabs(degrees - round(degrees)) >= 0.05;
    return words_of("%.*f %s", tenths ? 1 : 0, tenths ? degrees : round(degrees) + 0.0, unit);
}

static pc_words say_temperature(pc_say_what what, pc_units units, double K) {
    const char *unit = units == PC_US ? "F" : "C";
    double step = units == PC_US ? 1.8 * K : K;
    if (what == PC_SAY_DEGREES_STEP)
        return say_step(step, unit);
    if (what == PC_SAY_SCATTER)
        return words_of("%.2g %s", step, unit);
    if (what == PC_SAY_DEGREES_FINE)
        return say_fine(pc_in_degrees(units, K), unit);
    return words_of("%.0f %s", round(pc_in_degrees(units, K)) + 0.0, unit);
}

static pc_words say_time(double s, bool even) {
    const char *sign = s <= -0.5 ? "-" : ""; /* what rounds to 0 s has none */
    if (fabs(s) > 1e9)
        return words_of("-");
    long whole = lround(fabs(s)), minutes = lround(fabs(s) / 60);
    if (whole < 60 && !even)
        return words_of("%s%ld s", sign, whole);
    if (whole < 3600)
        return whole % 60 || even ? words_of("%s%ldm%02lds", sign, whole / 60, whole % 60)
                                  : words_of("%s%ld min", sign, whole / 60);
    return minutes % 60 || even ? words_of("%s%ldh%02ldm", sign, minutes / 60, minutes % 60)
                                : words_of("%s%ld h", sign, minutes / 60);
}

pc_words pc_say(pc_say_what what, pc_units units, double value) {
    bool us = units == PC_US;
    double area = us ? value / M2_PER_SQIN : value * 1e4;
    double volume = us ? value / M3_PER_FLOZ : value * 1e6;
    if (!isfinite(value))
        return words_of("-");
    switch (what) {
    case PC_SAY_LENGTH:
        return us ? say_inches(value / M_PER_IN) : say_millimeters(value * 1e3);
    case PC_SAY_THICKNESS:
        return us ? words_of("%.3f in", value / M_PER_IN) : words_of("%.2f mm", value * 1e3);
    case PC_SAY_AREA:
        return words_of("%.*f %s", places(area, 1), area, us ? "sq in" : "cm2");
    case PC_SAY_VOLUME:
        return words_of("%.*f %s", places(volume, 1), volume, us ? "fl oz" : "ml");
    case PC_SAY_ROOM:
        return us ? words_of("%.0f ft3", value / M3_PER_FT3) : words_of("%.0f m3", value);
    case PC_SAY_MASS:
        return say_grams(value);
    case PC_SAY_MASS_BOTH:
        return say_mass_both(units, value);
    case PC_SAY_OUNCES:
        return words_of("%.*f oz", places(value / KG_PER_OZ, 2), value / KG_PER_OZ);
    case PC_SAY_STRESS:
        return us ? words_of("%.0f psi", value / PA_PER_PSI)
                  : words_of("%.*f MPa", places(value / 1e6, 1), value / 1e6);
    case PC_SAY_FORCE:
        return us ? words_of("%.*f lbf", places(value / N_PER_LBF, 1), value / N_PER_LBF)
                  : words_of("%.0f N", value);
    case PC_SAY_DEGREES:
    case PC_SAY_DEGREES_FINE:
    case PC_SAY_DEGREES_STEP:
    case PC_SAY_SCATTER:
        return say_temperature(what, units, value);
    case PC_SAY_DURATION:
    case PC_SAY_DURATION_EVEN:
        return say_time(value, what == PC_SAY_DURATION_EVEN);
    case PC_SAY_AIR_FLOW:
        return us ? words_of("%.0f cfm", value * 60.0 / M3_PER_FT3)
                  : words_of("%.0f m3/h", value * 3600.0);
    case PC_SAY_RPM:
        return words_of("%.3g rpm", fabs(value) / PC_RPM);
    }
    return words_of("-");
}

pc_words pci_say_both(pc_say_what what, double value) {
    return words_of("%s (%s)", pc_say(what, PC_METRIC, value).s, pc_say(what, PC_US, value).s);
}

pc_words pc_say_clock(double start_clock_s, double time_s, int style) {
    double unit_s = style & PC_CLOCK_MINUTE ? 60.0 : 1.0;
    if (!(fabs(start_clock_s + time_s) < 1e9))
        return words_of("-");
    double s = start_clock_s + time_s;
    if (style & PC_CLOCK_BY)
        s = floor(s / unit_s + 1e-6) * unit_s;
    else if (style & PC_CLOCK_FROM)
        s = ceil(s / unit_s - 1e-6) * unit_s;
    else
        s = round(s / unit_s) * unit_s;
    long day = (long)floor(s / PC_DAY_S), rest = (long)(s - PC_DAY_S * (double)day);
    pc_words words = {""};
    if (day != 0 && !(style & PC_CLOCK_BARE))
        words = words_of("%+ldd ", day);
    size_t used = strlen(words.s);
    int length = pci_format(words.s + used, sizeof words.s - used, "%02ld:%02ld:%02ld", rest / 3600,
                            rest / 60 % 60, rest % 60);
    if (style & PC_CLOCK_MINUTE)
        words.s[used + (size_t)length - 3] = '\0';
    return words;
}
