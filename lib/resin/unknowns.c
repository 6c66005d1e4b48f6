/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "resin/unknowns.h"

#include <math.h>

/* The next layer bonds until some way past gel, whatever conversion gel comes at (judgment). */
static const double BOND_PAST_GEL = 0.2;

static double logit(double share) {
    return log(share / (1.0 - share));
}

static double share_of(double x) {
    return 1.0 / (1.0 + exp(-x));
}

void pci_unknowns_of(const pc_cure *base, double theta[PC_UNKNOWNS]) {
    double RT = PC_GAS_CONSTANT * PC_SHEET_K;
    theta[PCI_LN_K1] = log(base->A1_per_s) - base->E1_J_mol / RT;
    theta[PCI_ENERGY] = base->E1_J_mol;
    theta[PCI_HEAT] = base->heat_J_kg;
    theta[PCI_GEL] = logit(base->a_gel);
    theta[PCI_POT] = logit(base->a_pot / base->a_gel);
    theta[PCI_DEMOLD] = logit((base->a_demold - base->a_gel) / (1.0 - base->a_gel));
    theta[PCI_AUTO] =
        base->A2_per_s > 0.0 ? log(base->A2_per_s) - base->E2_J_mol / RT - theta[PCI_LN_K1] : 0.0;
}

void pci_cure_of_unknowns(const pc_cure *base, const double theta[PC_UNKNOWNS], pc_cure *cure) {
    double RT = PC_GAS_CONSTANT * PC_SHEET_K;
    *cure = *base;
    cure->E1_J_mol = theta[PCI_ENERGY];
    cure->A1_per_s = exp(theta[PCI_LN_K1] + cure->E1_J_mol / RT);
    if (base->A2_per_s > 0.0) {
        cure->E2_J_mol = base->E2_J_mol + theta[PCI_ENERGY] - base->E1_J_mol;
        cure->A2_per_s = exp(theta[PCI_LN_K1] + theta[PCI_AUTO] + cure->E2_J_mol / RT);
    }
    cure->heat_J_kg = theta[PCI_HEAT];
    cure->a_gel = share_of(theta[PCI_GEL]);
    cure->a_pot = cure->a_gel * share_of(theta[PCI_POT]);
    cure->a_demold = cure->a_gel + (1.0 - cure->a_gel) * share_of(theta[PCI_DEMOLD]);
    cure->a_bond = fmax(base->a_bond, cure->a_gel + BOND_PAST_GEL * (1.0 - cure->a_gel));
}

/* A draw far out in a tail stays a resin. */
static double keep(double x, double least, double most) {
    return fmax(least, fmin(most, x));
}

void pci_resin_draw(const pc_resin *resin, const double z[PC_UNKNOWNS], pc_resin *drawn) {
    *drawn = *resin;
    if (!resin->fit.known)
        return;
    double theta[PC_UNKNOWNS];
    pci_unknowns_of(&resin->cure, theta);
    for (int i = 0; i < PC_UNKNOWNS; i++)
        for (int j = 0; j <= i; j++)
            theta[i] += resin->fit.factor[i][j] * z[j];
    theta[PCI_ENERGY] = keep(theta[PCI_ENERGY], 0.2 * resin->cure.E1_J_mol, 3e5);
    theta[PCI_HEAT] = keep(theta[PCI_HEAT], 0.1 * resin->cure.heat_J_kg, 2e6);
    theta[PCI_DEMOLD] = fmin(theta[PCI_DEMOLD], 6.0);
    pci_cure_of_unknowns(&resin->cure, theta, &drawn->cure);
    drawn->flow.a_gel = drawn->cure.a_gel;
}
