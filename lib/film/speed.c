/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Speeds and tilt cycles of the ways of turning a mold. */
#include "pourclock/film.h"

#include <math.h>
#include <string.h>

#include "film/film_sums.h"
#include "pourclock/quantity.h"

/* A closed walk over the twelve quarter turns between neighboring faces of a box: every edge of
 * the octahedron of up-directions once. */
static const double hand_cycle[12][3] = {
    {0, 0, 1},  {1, 0, 0},  {0, 1, 0},  {0, 0, 1},  {-1, 0, 0}, {0, 1, 0},
    {0, 0, -1}, {-1, 0, 0}, {0, -1, 0}, {0, 0, -1}, {1, 0, 0},  {0, -1, 0},
};

/* Angle between two tilts, 0 for a zero vector. */
static double tilt_angle(const double *a, const double *b) {
    double dot = a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    double cross[3] = {a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2],
                       a[0] * b[1] - a[1] * b[0]};
    return atan2(sqrt(cross[0] * cross[0] + cross[1] * cross[1] + cross[2] * cross[2]), dot);
}

/* Path of a cycle, rad, and its period: holds plus moves at the speed of hands. */
static double cycle_path(const pc_tilt *tilt, size_t count, double *period_s) {
    double path = 0, hold = 0;
    for (size_t i = 0; i < count; i++) {
        path += count > 1 ? tilt_angle(tilt[i].up, tilt[(i + 1) % count].up) : 0;
        hold += tilt[i].hold_s;
    }
    *period_s = hold + path / PC_HAND_MOVE_RAD_S;
    return path;
}

size_t pci_turning_tilts(const pc_turning *turning, pc_tilt *tilt, double *period_s) {
    if (!tilt)
        return 0;
    size_t count = turning ? turning->tilt_count : 0;
    if (count > PC_TILTS_MOST)
        count = PC_TILTS_MOST;
    if (count > 0) {
        memcpy(tilt, turning->tilt, count * sizeof *tilt);
    } else {
        count = sizeof hand_cycle / sizeof hand_cycle[0];
        for (size_t i = 0; i < count; i++) {
            memcpy(tilt[i].up, hand_cycle[i], sizeof tilt[i].up);
            tilt[i].hold_s = PC_HAND_HOLD_S;
        }
    }
    double period = 0;
    cycle_path(tilt, count, &period);
    if (period_s)
        *period_s = period;
    return count;
}

double pci_film_speed(const pc_turning *turning) {
    if (!turning)
        return NAN;
    if (turning->method == PC_MACHINE)
        return hypot(turning->outer_rad_s, turning->inner_rad_s);
    pc_tilt tilt[PC_TILTS_MOST];
    double period;
    size_t count = pci_turning_tilts(turning, tilt, NULL);
    double path = cycle_path(tilt, count, &period);
    return period > 0 ? path / period : isnan(period) ? NAN : 0;
}

double pci_turning_slower(const pc_turning *turning) {
    if (!turning)
        return NAN;
    if (turning->method == PC_MACHINE) {
        double outer = fabs(turning->outer_rad_s), inner = fabs(turning->inner_rad_s);
        if (isnan(outer) || isnan(inner))
            return NAN;
        /* The inner axis alone only spins the mold upright: it turns nothing over. */
        if (outer == 0 || inner == 0)
            return outer;
        return inner < outer ? inner : outer;
    }
    pc_tilt tilt[PC_TILTS_MOST];
    double period;
    size_t count = pci_turning_tilts(turning, tilt, NULL);
    double path = cycle_path(tilt, count, &period);
    return path > 0 ? 2 * PC_PI / period : isnan(path) || isnan(period) ? NAN : 0;
}

double pci_turning_turns(const pc_turning *turning, double t0_s, double t1_s) {
    if (!turning || turning->method == PC_DRAIN || !(t1_s >= t0_s) || isinf(t0_s))
        return NAN;
    return pci_turning_slower(turning) * (t1_s - t0_s) / (2 * PC_PI);
}

double pci_turning_inner_relative(double outer_rad_s, double inner_floor_rad_s) {
    return inner_floor_rad_s - outer_rad_s;
}
