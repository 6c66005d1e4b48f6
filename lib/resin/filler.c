/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "resin/filler.h"

#include <math.h>

#include "resin/unknowns.h"

static bool is_share(double share) {
    return share >= 0.0 && share <= 1.0;
}

double pci_mix_density(double share, double of_first_kg_m3, double of_second_kg_m3) {
    if (!is_share(share) || !(of_first_kg_m3 > 0.0) || !(of_second_kg_m3 > 0.0))
        return NAN;
    return 1.0 / ((1.0 - share) / of_first_kg_m3 + share / of_second_kg_m3);
}

double pci_mix_volume_share(double share, double of_first_kg_m3, double of_second_kg_m3) {
    return share / of_second_kg_m3 * pci_mix_density(share, of_first_kg_m3, of_second_kg_m3);
}

static bool is_packing(double phi, double phi_max) {
    return phi >= 0.0 && phi_max > 0.0 && phi_max < 1.0;
}

double pci_thickening(double phi, double phi_max) {
    if (!is_packing(phi, phi_max))
        return NAN;
    return phi < phi_max ? pow(1.0 - phi / phi_max, -PCI_EINSTEIN * phi_max) : INFINITY;
}

double pci_mix_conductivity(double k_W_mK, double filler_k_W_mK, double phi, double phi_max) {
    if (!is_packing(phi, phi_max) || !(phi <= phi_max) || !(k_W_mK > 0.0) || !(filler_k_W_mK > 0.0))
        return NAN;
    double ratio = filler_k_W_mK / k_W_mK, A = PCI_SPHERES_SHAPE_A;
    double B = (ratio - 1.0) / (ratio + A);
    double psi = 1.0 + phi * (1.0 - phi_max) / (phi_max * phi_max);
    return k_W_mK * (1.0 + A * B * phi) / (1.0 - B * psi * phi);
}

/* The error of the heat is an error of the resin's heat, per kg of the mix. */
static void scale_heat_error(pc_resin_fit *fit, double by) {
    for (size_t j = 0; j <= PCI_HEAT; j++)
        fit->factor[PCI_HEAT][j] *= by;
}

void pci_resin_unfill(pc_resin *resin) {
    const pc_fill *fill = &resin->fill;
    if (!(fill->parts > 0.0))
        return;
    scale_heat_error(&resin->fit, 1.0 / (1.0 - fill->share));
    resin->density_kg_m3 = fill->plain_density_kg_m3;
    resin->cure.cp_J_kgK = fill->plain_cp_J_kgK;
    resin->cure.k_W_mK = fill->plain_k_W_mK;
    resin->cure.heat_J_kg = fill->plain_heat_J_kg;
    resin->flow.mu_ref_Pa_s = fill->plain_mu_Pa_s;
    resin->share_a = fill->plain_a;
    resin->share_b = fill->plain_b;
    resin->gives_off.share = fill->plain_volatile;
    resin->fill = (pc_fill){.parts = 0.0};
}

static pc_fill plain_of(const pc_resin *resin, const pc_filler *filler, double parts) {
    return (pc_fill){.of = *filler,
                     .parts = parts,
                     .share = parts / (100.0 + parts),
                     .plain_density_kg_m3 = resin->density_kg_m3,
                     .plain_cp_J_kgK = resin->cure.cp_J_kgK,
                     .plain_k_W_mK = resin->cure.k_W_mK,
                     .plain_heat_J_kg = resin->cure.heat_J_kg,
                     .plain_mu_Pa_s = resin->flow.mu_ref_Pa_s,
                     .plain_a = resin->share_a,
                     .plain_b = resin->share_b,
                     .plain_volatile = resin->gives_off.share};
}

static double most_parts_of(const pc_filler *filler, double resin_kg_m3) {
    double phi = PCI_FILLED_MOST * filler->phi_max;
    return 100.0 * phi / (1.0 - phi) * filler->density_kg_m3 / resin_kg_m3;
}

pc_status pci_resin_fill(pc_resin *resin, const pc_filler *filler, double parts,
                         double *most_parts) {
    if (!resin || !filler || !(parts >= 0.0) || !(parts <= PCI_PARTS_MOST))
        return PC_E_ARGUMENT;
    pc_resin mix = *resin;
    pci_resin_unfill(&mix);
    if (parts == 0.0) {
        *resin = mix;
        return PC_OK;
    }
    if (!(filler->density_kg_m3 > 0.0) || !(filler->cp_J_kgK > 0.0) || !(filler->k_W_mK > 0.0) ||
        !(filler->phi_max > 0.0) || !(filler->phi_max < 1.0))
        return PC_E_ARGUMENT;
    pc_fill fill = plain_of(&mix, filler, parts);
    double most = most_parts_of(filler, mix.density_kg_m3), resin_share = 1.0 - fill.share;
    if (most_parts)
        *most_parts = most;
    if (!(parts <= most))
        return PC_E_LIMIT;
    fill.volume_share = pci_mix_volume_share(fill.share, mix.density_kg_m3, filler->density_kg_m3);
    mix.density_kg_m3 = pci_mix_density(fill.share, mix.density_kg_m3, filler->density_kg_m3);
    mix.cure.cp_J_kgK = resin_share * mix.cure.cp_J_kgK + fill.share * filler->cp_J_kgK;
    mix.cure.heat_J_kg *= resin_share;
    mix.cure.k_W_mK =
        pci_mix_conductivity(mix.cure.k_W_mK, filler->k_W_mK, fill.volume_share, filler->phi_max);
    mix.flow.mu_ref_Pa_s *= pci_thickening(fill.volume_share, filler->phi_max);
    mix.share_a *= resin_share;
    mix.share_b *= resin_share;
    mix.gives_off.share *= resin_share;
    scale_heat_error(&mix.fit, resin_share);
    mix.fill = fill;
    *resin = mix;
    return PC_OK;
}
