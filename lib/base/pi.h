/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The ratio of a circle's circumference to its diameter: M_PI is not in C11. */
#ifndef PCI_BASE_PI_H
#define PCI_BASE_PI_H

#define PCI_PI 3.14159265358979323846

#endif
