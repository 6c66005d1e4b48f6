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

/* Given: turning that passes pc_turning_check, or a drained one. */
void pci_program_start(struct pci_program *program, const pc_turning *turning, int mount);

/* Unit vector down and its rate of turning in the mold's frame, rad/s, at a time >= 0. */
void pci_program_down(const struct pci_program *program, double time_s, double down[3],
                      double *rate_rad_s);

/* The next step from time_s: gravity moves by no more than `most_rad`, or holds. */
struct pci_step pci_program_step(const struct pci_program *program, double time_s, double most_rad);

#endif
