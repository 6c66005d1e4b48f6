/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Turning programs: where gravity points in the mold's frame. */
#include "film/program.h"

#include <math.h>
#include <string.h>

#include "film/film_sums.h"
#include "shape/vector.h"

#define CLOSURE_MOST 64 /* whole numbers of a closing ratio */

static pc_status check_tilts(const pc_turning *turning, pc_errors *errors) {
    if (turning->tilt_count > PC_TILTS_MOST)
        return pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = "turning", .key = "tilts"},
                             "at most %d tilts are taken", PC_TILTS_MOST);
    for (size_t i = 0; i < turning->tilt_count; i++) {
        double size = pci_length(turning->tilt[i].up), hold = turning->tilt[i].hold_s;
        if (!(size > 1e-9) || !isfinite(size))
            return pc_errors_add(errors, PC_E_VALUE,
                                 (pc_place){.section = "turning", .key = "tilts"},
                                 "tilt %zu points nowhere: give the direction that is up, such as "
                                 "\"0 0 1\"",
                                 i + 1);
        if (!(hold >= 0) || !(hold <= PC_DAY_S))
            return pc_errors_add(
                errors, PC_E_VALUE, (pc_place){.section = "turning", .key = "tilts"},
                "tilt %zu is held for a time that is not between 0 s and a day", i + 1);
    }
    if (!(pci_film_speed(turning) > 0))
        return pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = "turning", .key = "tilts"},
                             "all tilts are the same, so the mold never turns: give tilts that "
                             "bring every side down");
    return PC_OK;
}

pc_status pci_turning_check(const pc_turning *turning, pc_errors *errors) {
    if (!turning)
        return PC_E_ARGUMENT;
    if (turning->method == PC_DRAIN)
        return PC_OK;
    if (turning->method == PC_HAND)
        return check_tilts(turning, errors);
    double outer = fabs(turning->outer_rad_s), inner = fabs(turning->inner_rad_s);
    if (!(outer < 1e4) || !(inner < 1e4))
        return pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = "turning", .key = "outer"},
                             "a speed is not a number or absurdly high: give it in rpm");
    if (outer == 0 && inner == 0)
        return pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = "turning", .key = "outer"},
                             "both speeds are zero, so the resin stays a pool: give the outer axis "
                             "a speed, such as 12 rpm");
    if (outer == 0)
        return pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = "turning", .key = "outer"},
                             "the outer axis stands still, so the inner one only spins the mold "
                             "upright and the resin stays at the bottom: turn the outer axis, and "
                             "the inner one or not");
    if (turning->reverse_every_s <= 0)
        return pc_errors_add(errors, PC_E_VALUE,
                             (pc_place){.section = "turning", .key = "reverse_every"},
                             "the time between reversals must be above zero");
    return PC_OK;
}

static double closure_of(const pc_turning *turning, double *outer_turns, double *inner_turns) {
    double outer = fabs(turning->outer_rad_s), inner = fabs(turning->inner_rad_s);
    double turn_s = 2 * PC_PI / outer;
    for (int q = 1; q <= CLOSURE_MOST; q++) {
        double p = inner / outer * q, whole = round(p);
        if (whole <= CLOSURE_MOST && fabs(p - whole) <= 1e-9 * (1 + p)) {
            *outer_turns = q;
            *inner_turns = whole;
            return q * turn_s;
        }
    }
    return INFINITY;
}

double pci_turning_closure(const pc_turning *turning, double *outer_turns, double *inner_turns) {
    double outer = NAN, inner = NAN, closure;
    if (!turning)
        return NAN;
    if (turning->method == PC_DRAIN) {
        closure = 0;
    } else if (pci_turning_check(turning, NULL) != PC_OK) {
        closure = NAN;
    } else if (turning->method == PC_HAND) {
        pc_tilt tilt[PC_TILTS_MOST];
        pci_turning_tilts(turning, tilt, &closure);
    } else {
        closure = closure_of(turning, &outer, &inner);
        /* There and back again is a closed path, however short. */
        if (turning->reverse_every_s > 0 && isfinite(turning->reverse_every_s) &&
            2 * turning->reverse_every_s < closure) {
            closure = 2 * turning->reverse_every_s;
            outer = turning->reverse_every_s * fabs(turning->outer_rad_s) / (2 * PC_PI);
            inner = turning->reverse_every_s * fabs(turning->inner_rad_s) / (2 * PC_PI);
        }
    }
    if (outer_turns)
        *outer_turns = outer;
    if (inner_turns)
        *inner_turns = inner;
    return closure;
}

static void start_hand(struct pci_program *program, const pc_turning *turning) {
    program->tilt_count = pci_turning_tilts(turning, program->tilt, &program->period_s);
    for (size_t i = 0; i < program->tilt_count; i++) {
        double size = pci_length(program->tilt[i].up);
        for (int k = 0; k < 3; k++)
            program->tilt[i].up[k] /= size;
    }
    for (size_t i = 0; i < program->tilt_count; i++) {
        const double *a = program->tilt[i].up, *b = program->tilt[(i + 1) % program->tilt_count].up;
        double *axis = program->axis[i];
        pci_cross(a, b, axis);
        program->angle[i] = atan2(pci_length(axis), pci_dot(a, b));
        if (pci_length(axis) < 1e-9) { /* upside down: any way round, always the same one */
            double other[3] = {fabs(a[0]) < 0.6, !(fabs(a[0]) < 0.6), 0};
            pci_cross(a, other, axis);
        }
        double size = pci_length(axis);
        for (int k = 0; k < 3; k++)
            axis[k] /= size;
        program->move_s[i] = program->angle[i] / PC_HAND_MOVE_RAD_S;
    }
}

void pci_program_start(struct pci_program *program, const pc_turning *turning, int mount) {
    memset(program, 0, sizeof *program);
    program->method = turning->method;
    program->mount = mount >= 0 ? mount % 3 : 0;
    program->closure_s = pci_turning_closure(turning, NULL, NULL);
    if (turning->method == PC_HAND)
        start_hand(program, turning);
    if (turning->method != PC_MACHINE)
        return;
    program->outer = turning->outer_rad_s;
    program->inner = turning->inner_rad_s;
    program->reverse_s = turning->reverse_every_s > 0 && isfinite(turning->reverse_every_s)
                             ? turning->reverse_every_s
                             : 0;
    program->period_s = 2 * PC_PI / fmax(fabs(program->outer), fabs(program->inner));
}

/* Where a hand cycle is: index of the tilt, seconds into its hold and move. */
static size_t hand_place(const struct pci_program *program, double time_s, double *into_s) {
    double t = fmod(time_s, program->period_s);
    size_t i = 0;
    for (; i + 1 < program->tilt_count; i++) {
        double span = program->tilt[i].hold_s + program->move_s[i];
        if (t < span)
            break;
        t -= span;
    }
    *into_s = t;
    return i;
}

static void hand_down(const struct pci_program *program, double time_s, double *down,
                      double *rate) {
    double t;
    size_t i = hand_place(program, time_s, &t);
    const double *up = program->tilt[i].up, *axis = program->axis[i];
    double moved = t - program->tilt[i].hold_s, side[3];
    bool moves = moved > 0 && program->move_s[i] > 0;
    double angle = moves ? fmin(moved * PC_HAND_MOVE_RAD_S, program->angle[i]) : 0;
    pci_cross(axis, up, side);
    for (int k = 0; k < 3; k++)
        down[k] = -(up[k] * cos(angle) + side[k] * sin(angle));
    *rate = moves ? PC_HAND_MOVE_RAD_S : 0;
}

static void machine_down(const struct pci_program *program, double time_s, double *down,
                         double *rate) {
    double s = time_s;
    if (program->reverse_s > 0) {
        double t = fmod(time_s, 2 * program->reverse_s);
        s = t <= program->reverse_s ? t : 2 * program->reverse_s - t;
    }
    double phi = program->outer * s, psi = program->inner * s;
    down[0] = -sin(phi) * sin(psi);
    down[1] = -sin(phi) * cos(psi);
    down[2] = -cos(phi);
    *rate = hypot(program->outer, program->inner * sin(phi));
}

/* From the cradle's frame to the mold's: the inner axis along z, y, x, by quarter turns. */
static void mount(int times, double *v) {
    double x = v[0], y = v[1], z = v[2];
    if (times == 1) { /* a quarter turn about x */
        v[1] = z;
        v[2] = -y;
    } else if (times == 2) { /* and another about z */
        v[0] = z;
        v[1] = -x;
        v[2] = -y;
    }
}

void pci_program_down(const struct pci_program *program, double time_s, double down[3],
                      double *rate_rad_s) {
    double rate = 0;
    if (program->method == PC_MACHINE)
        machine_down(program, time_s, down, &rate);
    else if (program->method == PC_HAND)
        hand_down(program, time_s, down, &rate);
    else
        memcpy(down, (double[3]){0, 0, -1}, 3 * sizeof *down);
    mount(program->mount, down);
    if (rate_rad_s)
        *rate_rad_s = rate;
}

struct pci_step pci_program_step(const struct pci_program *program, double time_s,
                                 double most_rad) {
    if (program->method == PC_MACHINE)
        return (struct pci_step){time_s + most_rad / hypot(program->outer, program->inner), false};
    double into;
    size_t i = hand_place(program, time_s, &into);
    double hold = program->tilt[i].hold_s, start = time_s - into;
    /* A remainder below rounding must not be taken for a step. */
    if (into < hold - 1e-9 * program->period_s)
        return (struct pci_step){start + hold, true};
    size_t steps = (size_t)ceil(program->angle[i] / most_rad);
    double step = steps ? program->move_s[i] / (double)steps : 0;
    double end = start + hold + program->move_s[i];
    double next = time_s + step;
    if (!(next < end - 1e-3 * step))
        next = end + 1e-9 * program->period_s;
    return (struct pci_step){next, false};
}
