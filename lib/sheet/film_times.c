/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A film of a resin on the reference mold. */
#include <math.h>

#include "base/try.h"
#include "pourclock/resin.h"
#include "sheet/anchor_demold.h"
#include "wall/layers.h"

static const double LATEST_S = 30.0 * 86400.0;

pc_status pc_resin_film(const pc_resin *resin, double mass_kg, double T_K, double film_m,
                        double *gel_s, double *demold_s) {
    if (!resin || !gel_s || !demold_s)
        return PC_E_ARGUMENT;
    *gel_s = *demold_s = NAN;
    pc_cup_events cup;
    pc_cup_state state;
    pci_wall_spec spec;
    pci_wall *wall = NULL;
    PCI_TRY(pc_cup_run(resin, mass_kg, T_K, T_K, &cup));
    double pour_s = 0.5 * cup.pot_life_s;
    if (!isfinite(pour_s))
        return PC_OK;
    PCI_TRY(pc_cup_at(resin, mass_kg, T_K, T_K, pour_s, &state));
    pci_reference_mold(T_K, &spec);
    PCI_TRY(pci_wall_new(&spec, pour_s, &wall));
    pc_status status = pci_wall_pour(wall, resin, film_m, &state, NAN);
    if (status == PC_OK)
        status = pci_wall_until_gel(wall, 0, LATEST_S, gel_s);
    if (status == PC_OK)
        status = pci_wall_until_demold(wall, LATEST_S, demold_s);
    pci_wall_free(wall);
    return status == PC_E_UNREACHED ? PC_OK : status;
}
