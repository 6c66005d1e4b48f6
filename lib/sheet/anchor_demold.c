/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Step 3 of anchoring: what conversion the stated demold time means, for which the wall is needed.
 * Steps 1, 2 and 4 are in lib/sheet/anchor.c. */
#include "sheet/anchor_demold.h"

#include <math.h>
#include <string.h>

#include "base/try.h"
#include "resin/cup.h"
#include "wall/bound.h"
#include "wall/layers.h"

static const double A_DEMOLD_MOST = 0.98;
static const double FILM_MOST_M = 0.1, DEMOLD_MOST_S = 30.0 * 86400.0;

/* How a film is run, and the node-steps it may take. A polyester film of 100 mm, which burns
 * through too, stays within the fine one's; the films of data sheets take a hundredth of that. */
typedef struct fineness {
    double refine, tolerance, work_most;
} fineness;
static const fineness FINE = {0.0, 0.0, 1.5e6}, COARSE = {0.05, 1e-3, 0.5e6};
static const double BURNED = 0.99; /* on a coarse grid: above A_DEMOLD_MOST on any */

void pci_reference_mold(double T_K, pci_wall_spec *spec) {
    memset(spec, 0, sizeof *spec);
    spec->mold_count = 2;
    spec->mold_thickness_m[0] = 10e-3;
    spec->mold_thickness_m[1] = 8e-3;
    pci_mold_material(PC_PLASTER, &spec->mold[0]);
    pci_mold_material(PC_SILICONE, &spec->mold[1]);
    spec->mold_K = spec->air_K = T_K;
    spec->out_W_m2K = PC_OUTSIDE_W_M2K;
}

/* The film from its pour at enter_s to the demold time. */
static pc_status film_run(const pc_resin *resin, double enter_s, const pc_cup_state *state,
                          const fineness *how, double *a_least, double *work) {
    pci_wall_spec spec;
    pci_reference_mold(resin->sheet.demold_T_K, &spec);
    spec.refine = how->refine;
    spec.tolerance = how->tolerance;
    pci_wall *wall;
    PCI_TRY(pci_wall_new(&spec, enter_s, &wall));
    pci_wall_bound_work(wall, how->work_most);
    pc_status status = pci_wall_pour(wall, resin, resin->sheet.demold_thickness_m, state, NAN);
    if (status == PC_OK)
        status = pci_wall_advance(wall, resin->sheet.demold_s);
    pci_layer_state layer;
    if (status == PC_OK)
        status = pci_wall_layer_state(wall, 0, &layer);
    if (status == PC_OK)
        *a_least = layer.a_least;
    *work += pci_wall_work(wall);
    pci_wall_free(wall);
    return status;
}

pc_status pci_film_conversion(const pc_resin *resin, double *a_least, double *work) {
    *work = 0.0;
    const pc_data_sheet *sheet = &resin->sheet;
    double T_K = sheet->demold_T_K, pot_life_s;
    pc_status status = pci_cup_conversion_time(resin, sheet->pot_life_mass_kg, T_K, T_K,
                                               resin->cure.a_pot, &pot_life_s);
    pc_cup_state state;
    double enter_s = 0.5 * pot_life_s;
    if (status == PC_OK)
        status = pc_cup_at(resin, sheet->pot_life_mass_kg, T_K, T_K, enter_s, &state);
    if (status != PC_OK)
        return status;
    if (!(sheet->demold_s > enter_s)) {
        *a_least = state.a;
        return PC_OK;
    }
    status = film_run(resin, enter_s, &state, &FINE, a_least, work);
    if (status != PC_E_NUMERIC)
        return status;
    /* Too thin a front to follow: but that it burned through is all there is to know. */
    status = film_run(resin, enter_s, &state, &COARSE, a_least, work);
    return status == PC_OK && !(*a_least >= BURNED) ? PC_E_NUMERIC : status;
}

static pc_status anchor_demold(pc_resin *resin, pc_errors *errors) {
    const pc_data_sheet *sheet = &resin->sheet;
    if (!(sheet->demold_thickness_m <= FILM_MOST_M && sheet->demold_s <= DEMOLD_MOST_S))
        return pc_errors_add(
            errors, PC_E_VALUE,
            (pc_place){.file = resin->path, .section = "resin", .key = "demold_time"},
            "a film of %.4g mm demolded after %.4g min: a data sheet's film is at "
            "most 100 mm thick and demolded within 30 days",
            1e3 * sheet->demold_thickness_m, sheet->demold_s / 60.0);
    double a, work;
    pc_status status = pci_film_conversion(resin, &a, &work);
    if (status == PC_E_NUMERIC)
        return pc_errors_add(
            errors, PC_E_VALUE,
            (pc_place){.file = resin->path, .section = "resin", .key = "demold_time"},
            "a film of %.4g mm of this resin burns through in a front too thin to tell how far it "
            "is at the demold time (E1 comes to %.0f kJ/mol): check demold_time, demold_thickness, "
            "demold_at, and gel_times, whose temperatures should lie 5 C or more apart",
            1e3 * sheet->demold_thickness_m, 1e-3 * resin->cure.E1_J_mol);
    if (status != PC_OK)
        return pc_errors_add(
            errors, status == PC_E_MEMORY ? status : PC_E_VALUE,
            (pc_place){.file = resin->path, .section = "resin", .key = "demold_time"},
            "the demold time cannot be worked out: check it, demold_thickness and "
            "demold_at against the data sheet");
    if (!(a > resin->cure.a_gel))
        return pc_errors_add(
            errors, PC_E_VALUE,
            (pc_place){.file = resin->path, .section = "resin", .key = "demold_time"},
            "a film of %.2g mm has not even gelled after this demold time (%.0f min): it is at "
            "%.2f of full cure, gel is at %.2f; check demold_time, demold_thickness and the gel "
            "time, which hold for a cup and not for a film",
            1e3 * sheet->demold_thickness_m, sheet->demold_s / 60.0, a, resin->cure.a_gel);
    resin->cure.a_demold = fmin(a, A_DEMOLD_MOST);
    return PC_OK;
}

pc_status pc_resin_anchor(pc_resin *resin, pc_errors *errors) {
    if (!resin)
        return PC_E_ARGUMENT;
    pc_resin trial = *resin;
    trial.flow.a_gel = trial.cure.a_gel;
    pc_status status = pci_anchor_rate(&trial, errors);
    bool stated = !isnan(trial.sheet.demold_s) && !trial.sheet.a_demold_given;
    if (status == PC_OK && stated && !trial.sheet.constants_given)
        status = anchor_demold(&trial, errors);
    if (status == PC_OK)
        *resin = trial;
    return status;
}
