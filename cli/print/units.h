/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The older names of pourclock/words.h. */
#ifndef PC_CLI_PRINT_UNITS_H
#define PC_CLI_PRINT_UNITS_H

#include "pourclock.h"

#define CLI_PI                               PC_PI
#define CLI_DEG_PER_RAD                      (180.0 / PC_PI)
#define CLI_RPM_PER_RAD_S                    (1.0 / PC_RPM)
#define cli_text                             pc_words
#define units_length                         pc_say_length
#define units_thickness                      pc_say_thickness
#define units_volume                         pc_say_volume
#define units_mass                           pc_say_mass
#define units_temperature                    pc_say_degrees
#define units_duration                       pc_say_duration
#define units_air_flow                       pc_say_air_flow
#define units_layer_word                     pc_layer_word
#define units_in_degrees                     pc_in_degrees
#define units_area(units, value)             pc_say(PC_SAY_AREA, units, value)
#define units_mass_both(units, value)        pc_say(PC_SAY_MASS_BOTH, units, value)
#define units_temperature_fine(units, value) pc_say(PC_SAY_DEGREES_FINE, units, value)
#define units_temperature_step(units, value) pc_say(PC_SAY_DEGREES_STEP, units, value)
#define units_duration_column(value)         pc_say(PC_SAY_DURATION_EVEN, PC_METRIC, value)
#define units_clock(start, value)            pc_say_clock(start, value, PC_CLOCK_NEAREST)

#endif
