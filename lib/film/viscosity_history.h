/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef PCI_FILM_VISCOSITY_HISTORY_H
#define PCI_FILM_VISCOSITY_HISTORY_H

#include "film/film_sums.h"
#include "pourclock/film.h"

/* As pci_mu_checked_at, of a history that has passed its check: steps of turning need not check it
 * again.
 */
double pci_mu_at(const pc_mu_history *history, double time_s);

/* d ln mu/dt at a time before gel, 1/s, of a history that has passed its check: of parabolas
 * through three points each, so that the points may lie far apart. */
double pci_mu_growth(const pc_mu_history *history, double time_s);

#endif
