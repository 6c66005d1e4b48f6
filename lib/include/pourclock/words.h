/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Quantities in words, as a caster reads them: the one place that does so, for the steps, the
 * warnings, the tables, the drawings and the errors. */
#ifndef POURCLOCK_WORDS_H
#define POURCLOCK_WORDS_H

#include "pourclock/quantity.h"

PC_BEGIN_DECLS

/* A short text by value: pc_say_mass(0.05).s */
typedef struct pc_words {
    char s[32];
} pc_words;

/* What a figure is, and how finely it is said. */
typedef enum pc_say_what {
    PC_SAY_LENGTH,    /* wall, hole: "4.8 mm"; "3/16 in", a fraction within 1.5 %, or "0.53 in" */
    PC_SAY_THICKNESS, /* of a layer: "1.50 mm", "0.059 in" */
    PC_SAY_AREA,      /* "1355 cm2", "210 sq in" */
    PC_SAY_VOLUME,    /* "420 ml", "14.2 fl oz" */
    PC_SAY_ROOM,      /* volume of a room: "60 m3", "2119 ft3" */
    PC_SAY_MASS,      /* on the scale, grams in both: "45.4 g", "742 g", "12.50 kg" */
    PC_SAY_MASS_BOTH, /* to buy: "742 g"; US "742 g (26.2 oz)", "1640 g (3.6 lb)" */
    PC_SAY_OUNCES,    /* "3.24 oz", whatever the units */
    PC_SAY_STRESS,    /* "12.3 MPa", "1784 psi" */
    PC_SAY_FORCE,     /* "50 N", "11.2 lbf" */
    PC_SAY_DEGREES,   /* whole ones, "18 C", "64 F" */
    PC_SAY_DEGREES_FINE,  /* with a tenth where not whole, "17.8 C" */
    PC_SAY_DEGREES_STEP,  /* a difference, "5 C", "9 F" */
    PC_SAY_SCATTER,       /* of temperatures, to two figures however small: "0.14 C" */
    PC_SAY_DURATION,      /* "45 s", "8 min", "3m20s", "1h25m" */
    PC_SAY_DURATION_EVEN, /* for a column: "0m45s", "8m00s", "1h25m" */
    PC_SAY_AIR_FLOW,      /* "340 m3/h", "200 cfm" */
    PC_SAY_RPM            /* of rad/s, without its sign: "12 rpm" */
} pc_say_what;

/* Purpose:  a quantity in words.
 * Given:    what it is; units; its value in SI.
 * Returned: the words, with "." as the decimal point whatever the locale; "-" for a value that is
 *           not finite, or for a `what` outside the list. */
PC_API pc_words pc_say(pc_say_what what, pc_units units, double value);

enum {
    PC_CLOCK_NEAREST = 0,
    PC_CLOCK_BY = 1,     /* a deadline: cut, so that it is never later than it is */
    PC_CLOCK_FROM = 2,   /* not before: rounded up, so that it is never earlier than it is */
    PC_CLOCK_MINUTE = 4, /* "09:04", else "09:04:10" */
    PC_CLOCK_BARE = 8    /* without the day that stands before a clock of another day, "+1d " */
};

/* Purpose:  the clock of a time, "09:04:10"; "+1d 00:10:00" from the next day on.
 * Given:    start_clock_s after midnight; time_s from there; style: the above, joined by |.
 * Returned: the clock; "-" where it is not finite, or 1e9 s away. */
PC_API pc_words pc_say_clock(double start_clock_s, double time_s, int style);

/* The same by name. */
static inline pc_words pc_say_length(pc_units units, double length_m) {
    return pc_say(PC_SAY_LENGTH, units, length_m);
}
static inline pc_words pc_say_thickness(pc_units units, double thickness_m) {
    return pc_say(PC_SAY_THICKNESS, units, thickness_m);
}
static inline pc_words pc_say_volume(pc_units units, double volume_m3) {
    return pc_say(PC_SAY_VOLUME, units, volume_m3);
}
static inline pc_words pc_say_mass(double mass_kg) {
    return pc_say(PC_SAY_MASS, PC_METRIC, mass_kg);
}
static inline pc_words pc_say_ounces(double mass_kg) {
    return pc_say(PC_SAY_OUNCES, PC_US, mass_kg);
}
static inline pc_words pc_say_mass_both(pc_units units, double mass_kg) {
    return pc_say(PC_SAY_MASS_BOTH, units, mass_kg);
}
static inline pc_words pc_say_degrees(pc_units units, double T_K) {
    return pc_say(PC_SAY_DEGREES, units, T_K);
}
static inline pc_words pc_say_duration(double time_s) {
    return pc_say(PC_SAY_DURATION, PC_METRIC, time_s);
}
static inline pc_words pc_say_air_flow(pc_units units, double flow_m3_s) {
    return pc_say(PC_SAY_AIR_FLOW, units, flow_m3_s);
}
static inline pc_words pc_say_rpm(double rate_rad_s) {
    return pc_say(PC_SAY_RPM, PC_METRIC, rate_rad_s);
}
static inline pc_words pc_say_by(double start_clock_s, double time_s) {
    return pc_say_clock(start_clock_s, time_s, PC_CLOCK_BY);
}
static inline pc_words pc_say_from(double start_clock_s, double time_s) {
    return pc_say_clock(start_clock_s, time_s, PC_CLOCK_FROM);
}

/* The bare figure in degrees, for the axis of a graph. */
static inline double pc_in_degrees(pc_units units, double T_K) {
    double C = T_K - PC_ZERO_CELSIUS_K;
    return units == PC_US ? 1.8 * C + 32.0 : C;
}

PC_END_DECLS

#endif
