/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a data sheet leaves unknown of a resin, as seven numbers that may take any value, and what
 * is known of them before any sheet: the priors of the families. */
#ifndef PCI_RESIN_UNKNOWNS_H
#define PCI_RESIN_UNKNOWNS_H

#include "pourclock/resin.h"

/* theta, in this order. The logits keep 0 < a_pot < a_gel < a_demold < 1. */
enum {
    PCI_LN_K1,  /* ln of k1 at 23 C, 1/s */
    PCI_ENERGY, /* E1, J/mol; E2 keeps its distance from it */
    PCI_HEAT,   /* J/kg */
    PCI_GEL,    /* logit a_gel */
    PCI_POT,    /* logit a_pot/a_gel */
    PCI_DEMOLD, /* logit (a_demold - a_gel)/(1 - a_gel) */
    PCI_AUTO    /* ln of k2/k1 at 23 C */
};

/* Mean and standard deviation of each; a deviation of 0: fixed. PCI_LN_K1 has no mean before the
 * first datum of a sheet is looked at. */
typedef struct pci_prior {
    double mean[PC_UNKNOWNS], sd[PC_UNKNOWNS];
} pci_prior;

/* Purpose:  the prior of a family. Given: family within the table. */
const pci_prior *pci_family_prior(pc_family family);

/* Purpose:  a cure as unknowns, and back. What the unknowns leave alone (m, n, cp, k, E2 - E1,
 *           a_bond, unless a_gel comes near it) is taken from base.
 * Given:    base: a sound cure (A1 > 0; conversions that rise). */
void pci_unknowns_of(const pc_cure *base, double theta[PC_UNKNOWNS]);
void pci_cure_of_unknowns(const pc_cure *base, const double theta[PC_UNKNOWNS], pc_cure *cure);

/* Purpose:  a resin with its unknowns drawn from what the fit leaves open.
 * Given:    z: independent standard normals. Returned: *drawn; the resin itself where nothing is
 *           known of its error. */
void pci_resin_draw(const pc_resin *resin, const double z[PC_UNKNOWNS], pc_resin *drawn);

#endif
