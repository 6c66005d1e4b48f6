/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Closed forms of films, drainage and bubbles. */
#include "pourclock/film.h"

#include <math.h>

#include "base/range.h"
#include "film/film_sums.h"
#include "pourclock/resin.h"

/* Quotients are taken step by step: a product of small numbers may be 0 where none of them is. */

double pci_film_mu_set(double density_kg_m3, double film_m, double speed_rad_s, double radius_m) {
    if (!pci_positive(density_kg_m3) || !pci_positive(film_m) || !pci_positive(speed_rad_s) ||
        !pci_positive(radius_m))
        return NAN;
    return PC_RIMMING_MU * density_kg_m3 * PC_GRAVITY * film_m * film_m / speed_rad_s / radius_m;
}

double pci_froude(double speed_rad_s, double radius_m) {
    if (!isfinite(speed_rad_s) || !pci_positive(radius_m))
        return NAN;
    return speed_rad_s * speed_rad_s * radius_m / PC_GRAVITY;
}

double pci_drain_film(double density_kg_m3, double drop_m, double fluidity_per_Pa) {
    if (!pci_positive(density_kg_m3) || !pci_positive(drop_m) || !pci_positive(fluidity_per_Pa))
        return NAN;
    return 2.0 / 3.0 * sqrt(drop_m / (density_kg_m3 * PC_GRAVITY) / fluidity_per_Pa);
}

double pc_bubble_bore(double density_kg_m3, double surface_tension_N_m) {
    if (!pci_positive(density_kg_m3) || !pci_positive(surface_tension_N_m))
        return NAN;
    return 2 * sqrt(PC_BRETHERTON * surface_tension_N_m / (density_kg_m3 * PC_GRAVITY));
}

double pci_lip_time(double density_kg_m3, double mu_Pa_s, double volume_m3, double width_m,
                    double stream_m) {
    if (!pci_positive(density_kg_m3) || !(mu_Pa_s > 0.0) || !pci_positive(volume_m3) ||
        !pci_positive(width_m) || !pci_positive(stream_m))
        return NAN;
    return 3.0 * mu_Pa_s * volume_m3 / (density_kg_m3 * PC_GRAVITY * width_m) / stream_m /
           stream_m / stream_m;
}

double pci_bore_time(double density_kg_m3, double mu_Pa_s, double volume_m3, double bore_m) {
    if (!pci_positive(density_kg_m3) || !(mu_Pa_s > 0.0) || !pci_positive(volume_m3) ||
        !pci_positive(bore_m))
        return NAN;
    return 128.0 / PC_PI * mu_Pa_s * volume_m3 / (density_kg_m3 * PC_GRAVITY) / bore_m / bore_m /
           bore_m / bore_m;
}
