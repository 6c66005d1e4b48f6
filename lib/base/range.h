/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Ranges that numbers given to the library must lie in. False for NaN, all of them. */
#ifndef PCI_BASE_RANGE_H
#define PCI_BASE_RANGE_H

#include <math.h>
#include <stdbool.h>

static inline bool pci_positive(double x) {
    return x > 0.0 && x < INFINITY;
}

static inline bool pci_not_negative(double x) {
    return x >= 0.0 && x < INFINITY;
}

static inline bool pci_within(double x, double least, double most) {
    return x >= least && x <= most;
}

#endif
