/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A resin with a filler stirred in: the mix cures as its resin does, and is heavier or lighter,
 * thicker, and less hot, than it. */
#ifndef PCI_RESIN_FILLER_H
#define PCI_RESIN_FILLER_H

#include "pourclock/resin.h"

#define PCI_EINSTEIN 2.5 /* intrinsic viscosity of spheres: Einstein 1906 */
#define PCI_FILLED_MOST                                                                            \
    0.95 /* of the densest packing: above it a mix is a damp powder (judgment) */
#define PCI_PARTS_MOST      2000.0
#define PCI_SPHERES_SHAPE_A 1.5 /* Lewis & Nielsen's A of spheres */

/* Purpose:  density of a mix of two whose volumes add, kg/m3.
 * Given:    share of the second by mass, 0 to 1; densities > 0. Returned: NaN outside. */
double pci_mix_density(double share, double of_first_kg_m3, double of_second_kg_m3);

/* Purpose:  share by volume of the second, from its share by mass. As above. */
double pci_mix_volume_share(double share, double of_first_kg_m3, double of_second_kg_m3);

/* Purpose:  how many times thicker than its liquid a suspension is.
 * Given:    phi: share of solids by volume, 0 <= phi < phi_max < 1.
 * Returned: (1 - phi/phi_max)^(-2.5 phi_max); infinity from phi_max on; NaN outside.
 * Source:   Krieger & Dougherty, Trans. Soc. Rheol. 3 (1959) 137. */
double pci_thickening(double phi, double phi_max);

/* Purpose:  conductivity of a liquid with spheres in it, W/(m K).
 * Given:    k of both > 0; phi and phi_max as above.
 * Returned: k (1 + A B phi)/(1 - B psi phi), B = (kf/k - 1)/(kf/k + A), psi = 1 + phi (1 -
 *           phi_max)/phi_max^2; NaN outside.
 * Source:   Nielsen, Ind. Eng. Chem. Fundam. 13 (1974) 17, after Lewis & Nielsen (from memory). */
double pci_mix_conductivity(double k_W_mK, double filler_k_W_mK, double phi, double phi_max);

/* Purpose:  stir a filler into a resin, in place of one that is in it.
 * Given:    filler with its numbers; parts by mass to 100 of A and B, 0 to PCI_PARTS_MOST; 0: take
 *           the filler out.
 * Returned: *resin: density, cp, heat, k and viscosity of the mix, its shares of A, B and filler;
 *           PC_OK; PC_E_ARGUMENT; PC_E_LIMIT: more filler than the resin wets (PCI_FILLED_MOST):
 *           then *resin is as it was and *most_parts (may be NULL) is what it wets. */
pc_status pci_resin_fill(pc_resin *resin, const pc_filler *filler, double parts,
                         double *most_parts);

/* Purpose:  the resin without its filler, as it was before pci_resin_fill. */
void pci_resin_unfill(pc_resin *resin);

#endif
