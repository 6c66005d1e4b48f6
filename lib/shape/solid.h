/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Closed forms of the plain solids: area, volume, integrated mean curvature, Euler
 * characteristic. Lengths in m. */
#ifndef PCI_SHAPE_SOLID_H
#define PCI_SHAPE_SOLID_H

#include "pourclock/shape.h"

/* Axes and sides of a solid from 1 um to 1 km. */
#define PCI_SOLID_LEAST_M 1e-6
#define PCI_SOLID_MOST_M  1e3

/* X(name, word, number of lengths, how it is written) */
#define PCI_SOLID_TABLE(X)                                                                         \
    X(PCI_S_SPHERE, "sphere", 1, "sphere D")                                                       \
    X(PCI_S_ELLIPSOID, "ellipsoid", 3, "ellipsoid A x B x C")                                      \
    X(PCI_S_CYLINDER, "cylinder", 2, "cylinder D x H")                                             \
    X(PCI_S_CONE, "cone", 2, "cone D x H")                                                         \
    X(PCI_S_FRUSTUM, "frustum", 3, "frustum D1 x D2 x H")                                          \
    X(PCI_S_BOX, "box", 3, "box A x B x C")                                                        \
    X(PCI_S_TORUS, "torus", 2, "torus D x d")

typedef enum pci_solid_kind {
#define PCI_SOLID_ENUM_(name, word, lengths, form) name,
    PCI_SOLID_TABLE(PCI_SOLID_ENUM_)
#undef PCI_SOLID_ENUM_
        PCI_SOLID_KIND_COUNT
} pci_solid_kind;

typedef struct pci_solid {
    double area_m2, volume_m3, mean_curvature_m, euler;
} pci_solid;

/* Purpose:  measures of one solid.
 * Given:    kind; length[]: as many as the table says, full diameters and axes, each within
 *           PCI_SOLID_LEAST_M..PCI_SOLID_MOST_M; a torus with D, the diameter of the circle its
 *           tube is centerd on, not below d, the tube's own.
 * Returned: *solid; PC_OK, PC_E_ARGUMENT, PC_E_NUMERIC.
 * Notes:    the integrated mean curvature takes in the edges, each half its outer angle times its
 *           length: cylinder pi H + pi^2 R, box pi (A + B + C).
 * Source:   ellipsoid: Carlson's R_G, DLMF 19.16.3, 19.21.10, 19.33.1 (the mean curvature is the
 *           integral of the support function, Minkowski). The others: elementary. */
pc_status pci_solid_measure(pci_solid_kind kind, const double *length, pci_solid *solid);

/* Fills *shape with a measured solid, without table or form. */
void pci_shape_of_solid(const pci_solid *solid, pc_shape *shape);

/* As pc_foil_area, of a metal by its density, 500 to 25000 kg/m3. */
pc_status pci_foil_area(double foil_kg, double foil_m, double density_kg_m3, double *area_m2);

#endif
