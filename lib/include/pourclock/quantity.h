/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Quantities with units: text to SI on the way in, SI to text on the way out. SI everywhere else.
 * `.` is the decimal point whatever the locale. */
#ifndef POURCLOCK_QUANTITY_H
#define POURCLOCK_QUANTITY_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock/export.h"
#include "pourclock/status.h"
#include "pourclock/vocabulary.h"

PC_BEGIN_DECLS

#define PC_ZERO_CELSIUS_K 273.15
#define PC_PI             3.14159265358979323846 /* C11 has no name for it */
#define PC_RPM            (2.0 * PC_PI / 60.0)   /* in rad/s */
#define PC_DAY_S          86400.0

/* What quantities are shown in. */
typedef enum pc_units { PC_METRIC, PC_US } pc_units;

/* X(name, what a caster calls it, SI unit, example shown in messages) */
#define PC_DIMENSION_TABLE(X)                                                                      \
    X(PC_NUMBER, "number", "", "2.5")                                                              \
    X(PC_LENGTH, "length", "m", "3 mm, 3/16 in")                                                   \
    X(PC_AREA, "area", "m2", "900 cm2, 210 sq in")                                                 \
    X(PC_VOLUME, "volume", "m3", "420 cm3, 14 fl oz")                                              \
    X(PC_MASS, "mass", "kg", "500 g, 1.1 lb")                                                      \
    X(PC_TEMPERATURE, "temperature", "K", "18 C, 64 F")                                            \
    X(PC_TEMPERATURE_STEP, "temperature difference", "K", "1 C, 2 F")                              \
    X(PC_TIME, "time", "s", "90 s, 3m30s, 4 min")                                                  \
    X(PC_CLOCK, "clock time", "s after midnight", "09:00, 9:00 am")                                \
    X(PC_VISCOSITY, "viscosity", "Pa s", "120 mPa.s, 120 cps")                                     \
    X(PC_DENSITY, "density", "kg/m3", "1.05 g/cm3")                                                \
    X(PC_TURN_RATE, "turning speed", "rad/s", "12 rpm")                                            \
    X(PC_RATE, "rate", "1/s", "7.4e6 1/s")                                                         \
    X(PC_MOLAR_ENERGY, "molar energy", "J/mol", "54.87 kJ/mol")                                    \
    X(PC_SPECIFIC_ENERGY, "heat of reaction", "J/kg", "256 kJ/kg")                                 \
    X(PC_SPECIFIC_HEAT, "specific heat", "J/kgK", "1800 J/kg.K")                                   \
    X(PC_CONDUCTIVITY, "thermal conductivity", "W/mK", "0.2 W/m.K")                                \
    X(PC_HEAT_TRANSFER, "heat transfer coefficient", "W/m2K", "9 W/m2.K")                          \
    X(PC_AIR_FLOW, "air flow", "m3/s", "200 cfm, 340 m3/h")                                        \
    X(PC_VOLUME_SHARE, "concentration by volume", "fraction", "50 ppm")                            \
    X(PC_MASS_CONCENTRATION, "concentration by mass", "kg/m3", "215 mg/m3")                        \
    X(PC_SHARE, "share", "fraction", "3 %")                                                        \
    X(PC_MOLAR_MASS, "molar mass", "kg/mol", "104 g/mol")                                          \
    X(PC_FORCE, "force", "N", "50 N, 11 lbf")                                                      \
    X(PC_STRESS, "stress", "Pa", "250 MPa, 36 ksi")                                                \
    X(PC_SURFACE_TENSION, "surface tension", "N/m", "0.035 N/m, 35 mN/m")

typedef enum pc_dimension {
#define PC_DIMENSION_ENUM_(name, what, si, example) name,
    PC_DIMENSION_TABLE(PC_DIMENSION_ENUM_)
#undef PC_DIMENSION_ENUM_
        PC_DIMENSION_COUNT
} pc_dimension;

/* Purpose:  read one quantity, such as "3/16 in", "1-1/2 in", "3m30s", "64 F", "9:00 am".
 * Given:    text, NUL-terminated, white space around it allowed; dimension; why: buffer of
 *           why_size bytes for the reason of a refusal (may be NULL with size 0).
 * Returned: *si in the SI unit of the dimension (turning speed rad/s, clock s after midnight,
 *           share as a fraction); PC_OK, PC_E_ARGUMENT (NULL, or no such dimension), PC_E_UNIT
 *           (unit missing or of another dimension: why names the units it could be), PC_E_VALUE
 *           (not a number, NaN, infinite, fraction over zero, more after it, below 0 K).
 * Notes:    sign and size are the caller's to judge. *si is left alone after an error.
 *           "oz" is mass and "fl oz" volume. A number without unit is right for PC_NUMBER only. */
PC_API pc_status pc_quantity_parse(const char *text, pc_dimension dimension, double *si, char *why,
                                   size_t why_size);

/* Purpose:  example of a dimension, "3/16 in"; "" for a number outside the table. */
static inline const char *pc_dimension_example(pc_dimension dimension) {
    return pc_word(PC_WORDS_EXAMPLE, (int)dimension);
}

/* Purpose:  read a plain number in the C locale's spelling ("." as the decimal point) from the
 *           start of text, whatever the program's locale.
 * Given:    text; end: may be NULL.
 * Returned: the number; *end after it, or *end == text where there is none (then NaN is
 *           returned). "nan" and "inf" are not read as numbers. Overflow gives infinity. */
PC_API double pc_number_parse(const char *text, const char **end);

PC_END_DECLS

#endif
