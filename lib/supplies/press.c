/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A wall pressed by a thumb: shallow spherical shell, flat plate, and the wall either asks for. */
#include <math.h>

#include "base/range.h"
#include "pourclock/quantity.h"
#include "supplies/strength.h"

#define EULER_GAMMA 0.57721566490153286061
#define KELVIN_MOST 8.0 /* beyond it ker' and kei' are below 1e-3 and fade */
#define WALL_MOST_M 0.05
#define SAG_SHARE   0.25 /* deflection allowed, of the wall: well inside the linear range */

/* Derivatives of the Kelvin functions ker and kei for 0 < x <= KELVIN_MOST, from the power series
 * of Abramowitz & Stegun 9.9.10 to 9.9.12, differentiated term by term. */
static void kelvin_slopes(double x, double *ker1, double *kei1) {
    double q = x * x / 4, ber = 0, bei = 0, ber1 = 0, bei1 = 0, s1 = 0, r1 = 0;
    double term = 1, harmonic = 0; /* q^k/k!^2, 1 + 1/2 + ... + 1/k = psi(k+1) + gamma */
    for (int k = 0; k <= 60; k++) {
        if (k > 0) {
            term *= q / ((double)k * k);
            harmonic += 1.0 / k;
        }
        double sign = (k / 2) % 2 == 0 ? 1 : -1, slope = 2 * k * term / x;
        double psi = harmonic - EULER_GAMMA;
        if (k % 2 == 0) {
            ber += sign * term;
            ber1 += sign * slope;
            s1 += sign * psi * slope;
        } else {
            bei += sign * term;
            bei1 += sign * slope;
            r1 += sign * psi * slope;
        }
    }
    double ln = log(x / 2);
    *ker1 = -ln * ber1 - ber / x + PC_PI / 4 * bei1 + s1;
    *kei1 = -ln * bei1 - bei / x - PC_PI / 4 * ber1 + r1;
}

static bool press_arguments(double force_N, double radius_m, double wall_m, double patch_m,
                            double E_Pa, double poisson) {
    return force_N >= 0 && force_N < INFINITY && pci_positive(radius_m) && pci_positive(wall_m) &&
           pci_positive(patch_m) && pci_positive(E_Pa) && poisson >= 0 && poisson < 0.5;
}

/* Numbers so far apart that the answer is none are outside the range. */
static pc_status give(double sag_m, double stress, double *deflection_m, double *stress_Pa) {
    if (!(sag_m < INFINITY && stress < INFINITY))
        return PC_E_ARGUMENT;
    if (deflection_m)
        *deflection_m = sag_m;
    if (stress_Pa)
        *stress_Pa = stress;
    return PC_OK;
}

pc_status pci_shell_press(double force_N, double radius_m, double wall_m, double patch_m,
                          double E_Pa, double poisson, double *deflection_m, double *stress_Pa) {
    if (!press_arguments(force_N, radius_m, wall_m, patch_m, E_Pa, poisson))
        return PC_E_ARGUMENT;
    double side = 1 - poisson * poisson;
    double mu = patch_m * sqrt(sqrt(12 * side)) / sqrt(radius_m) / sqrt(wall_m);
    double ker1 = 0, kei1 = 0;
    /* Below 0.02 the series cancels; the sag no longer changes, and the stress is that of 0.02. */
    double x = fmin(fmax(mu, 0.02), 1e100);
    if (x <= KELVIN_MOST)
        kelvin_slopes(x, &ker1, &kei1);
    /* Membrane stress is E w/(2 R) in each direction: half of A. */
    double A = sqrt(12.0) / PC_PI * (1 + x * ker1) / (x * x);
    double B = 3 / PC_PI * kei1 / x;
    double per_wall2 = force_N / wall_m / wall_m;
    return give(A * sqrt(side) * per_wall2 * radius_m / E_Pa,
                per_wall2 * (0.5 * A * sqrt(side) + fabs(B) * (1 + poisson)), deflection_m,
                stress_Pa);
}

pc_status pci_plate_press(double force_N, double radius_m, double wall_m, double patch_m,
                          double E_Pa, double poisson, double *deflection_m, double *stress_Pa) {
    if (!press_arguments(force_N, radius_m, wall_m, patch_m, E_Pa, poisson) ||
        !(patch_m < radius_m))
        return PC_E_ARGUMENT;
    double r = patch_m;
    if (r < 0.5 * wall_m)
        r = sqrt(1.6 * r * r + wall_m * wall_m) - 0.675 * wall_m;
    double edge = 3 * force_N / (2 * PC_PI) / wall_m / wall_m;
    double bent = 12 * (1 - poisson * poisson) * force_N * radius_m * radius_m / (16 * PC_PI);
    return give(bent / E_Pa / wall_m / wall_m / wall_m,
                r > 0 ? edge * fmax(1, (1 + poisson) * log(radius_m / r)) : NAN, deflection_m,
                stress_Pa);
}

pc_status pci_wall_for_press(bool flat, double force_N, double radius_m, double patch_m,
                             double E_Pa, double poisson, double strength_Pa, double factor,
                             double *wall_m) {
    if (!wall_m || !pci_positive(strength_Pa) || !pci_positive(factor) || !pci_positive(force_N) ||
        !press_arguments(force_N, radius_m, WALL_MOST_M, patch_m, E_Pa, poisson) ||
        (flat && !(patch_m < radius_m)))
        return PC_E_ARGUMENT;
    double low = 1e-5, high = WALL_MOST_M;
    for (int i = 0; i < 60; i++) {
        double wall = i == 0 ? high : 0.5 * (low + high), sag = NAN, stress = NAN;
        (flat ? pci_plate_press : pci_shell_press)(force_N, radius_m, wall, patch_m, E_Pa, poisson,
                                                   &sag, &stress);
        bool holds = stress * factor <= strength_Pa && sag <= SAG_SHARE * wall;
        if (i == 0) {
            if (!holds)
                return PC_E_UNREACHED;
            continue;
        }
        if (holds)
            high = wall;
        else
            low = wall;
    }
    *wall_m = high;
    return PC_OK;
}
