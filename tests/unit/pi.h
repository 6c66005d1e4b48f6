/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pi, which C11 has no name for and the library keeps to itself, and the speed of one turn a
 * minute. */
#ifndef TESTS_PI_H
#define TESTS_PI_H

#define PI        3.14159265358979323846
#define RPM_RAD_S (2 * PI / 60)

#endif
