/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Figures as a caster reads them, in metric or US units. Values are SI; NaN prints as "-". */
#ifndef PC_CLI_PRINT_UNITS_H
#define PC_CLI_PRINT_UNITS_H

#include "pourclock.h"

/* C11 has no name for it, and the library's own is not public. */
#define CLI_PI            3.14159265358979323846
#define CLI_DEG_PER_RAD   (180.0 / CLI_PI)
#define CLI_RPM_PER_RAD_S (30.0 / CLI_PI)

/* A short text by value: units_mass(0.05).s */
struct cli_text {
    char s[48];
};

/* Wall, hole: "4.8 mm"; "3/16 in" to the nearest 1/16, 1/32 or 1/64 within 1.5 %, else "0.53 in".
 */
struct cli_text units_length(pc_units units, double m);
/* Layer, for a column: "1.50 mm", "0.059 in". */
struct cli_text units_thickness(pc_units units, double m);
struct cli_text units_area(pc_units units, double m2);   /* "1355 cm2", "210 sq in" */
struct cli_text units_volume(pc_units units, double m3); /* "420 ml", "14.2 fl oz" */

struct cli_text units_air_flow(pc_units units, double m3_s); /* "200 cfm", "340 m3/h" */

/* On the scale, grams in both: 0.1 g below 100 g, 1 g from there, kg from 10 kg. */
struct cli_text units_mass(double kg);
/* To buy: "742 g"; US "742 g (26.2 oz)", from 2 lb "1640 g (3.6 lb)". */
struct cli_text units_mass_both(pc_units units, double kg);

struct cli_text units_temperature(pc_units units, double K);       /* whole degrees, "18 C" */
struct cli_text units_temperature_fine(pc_units units, double K);  /* a tenth where not whole */
struct cli_text units_temperature_step(pc_units units, double dK); /* "5 C" as a difference */
/* Scatter, to two figures however small: "0.14 C". */
struct cli_text units_temperature_scatter(pc_units units, double dK);
/* The bare figure, for the axis of a graph. */
double units_in_degrees(pc_units units, double K);

/* Length of time: "45 s", "8 min", "3m20s", "1h25m"; for a column "0m45s", "8m00s", "1h25m". */
struct cli_text units_duration(double s);
struct cli_text units_duration_column(double s);

/* Time of day to the nearest second as steps say it, "09:04:10"; "+1d 00:10:00" from the next day
 * on. */
struct cli_text units_clock(double start_clock_s, double at_s);
/* The same to the minute, "09:04": up for what must not be early, else cut. */
struct cli_text units_clock_minute(double start_clock_s, double at_s, bool up);

/* "layer" of a hollow part, "pour" of a solid: words of the schedule's tables. */
const char *units_layer_word(pc_part_kind kind);

/* The whole second, from the first mix, at which a step is printed: what must not be done too late
 * is cut, what must not be done too early goes up, as in the words of the steps. */
double units_step_second(const pc_step *step);

#endif
