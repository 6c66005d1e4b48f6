/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A turning program made ready: gravity in the mold's frame step by step. */
#ifndef PCI_FILM_PROGRAM_H
#define PCI_FILM_PROGRAM_H

#include "pourclock/film.h"
#include "pourclock/quantity.h"

struct pci_program {
    pc_method method;
    double outer, inner; /* rad/s */
    double reverse_s;    /* 0: never */
    int mount;           /* 0, 1, 2 */
    double closure_s;    /* infinity: never */
    double period_s;     /* one turn of the faster axis, or one hand cycle */
    size_t tilt_count;
    pc_tilt tilt[PC_TILTS_MOST];   /* unit vectors */
    double move_s[PC_TILTS_MOST];  /* from tilt i to the next */
    double axis[PC_TILTS_MOST][3]; /* unit, across the way of that move */
    double angle[PC_TILTS_MOST];
};

/* One step of a program. */
struct pci_step {
    double end_s;
    bool hold; /* a hand holds still until end_s */
};

/* Given: turning that passes pci_turning_check, or a drained one. */
void pci_program_start(struct pci_program *program, const pc_turning *turning, int mount);

/* Unit vector down and its rate of turning in the mold's frame, rad/s, at a time >= 0. */
void pci_program_down(const struct pci_program *program, double time_s, double down[3],
                      double *rate_rad_s);

/* The next step from time_s: gravity moves by no more than `most_rad`, or holds. */
struct pci_step pci_program_step(const struct pci_program *program, double time_s, double most_rad);

/* Purpose:  judge a way of turning: finite speeds, something that moves, tilts that point somewhere
 *           and take time.
 * Returned: PC_OK; PC_E_VALUE with errors that name the key and the fix. */
pc_status pci_turning_check(const pc_turning *turning, pc_errors *errors);

/* Purpose:  time after which the path of gravity repeats itself, s.
 * Returned: the time (turns of each axis, where asked for, may be NULL); infinity for a ratio that
 *           is no ratio of whole numbers up to 64; 0 when nothing moves; NaN for a bad turning. */
double pci_turning_closure(const pc_turning *turning, double *outer_turns, double *inner_turns);

/* Purpose:  coverage of the sphere by a pool of half angle pool_rad.
 * Given:    turning, mount as above; pool_rad in (0, pi]; horizon_s > 0: time looked at when the
 *           path does not close sooner; fineness: 1 normal, 2 and more finer, 0 coarse.
 * Returned: *coverage; PC_OK, PC_E_ARGUMENT, PC_E_VALUE (see pci_turning_check), PC_E_MEMORY. */
pc_status pci_turning_coverage(const pc_turning *turning, int mount, double pool_rad,
                               double horizon_s, int fineness, pc_coverage *coverage);

#endif
