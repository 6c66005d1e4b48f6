/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A film running down the inside of a sphere that stands still.
 *
 * Thin film, no surface tension: dh/ds + (g rho/R) 1/sin(q) d/dq (sin^2 q h^3/3) = 0, s = int
 * dt/mu. Along dq/ds = (rho g/R) sin(q) h^2 it keeps h sin^(2/3) q, so a film that was h0
 * everywhere is at q h/h0 = (sin q0/sin q)^(2/3),   I(q) = I(q0) + k sin^(4/3) q0,   k = rho g h0^2
 * s/R, with I(q) = int_0^q sin^(1/3). At the top h/h0 = 1/sqrt(1 + 4 k/3). Derived here. */
#include "film/cells.h"

#include <math.h>

#include "film/program.h"

#define RUN_DECADE 7.0 /* table entries a decade */

/* Of int_0^q sin^(1/3), with q = u^3 so that it is smooth; 0 where rounding goes beyond pi. */
static double run_integrand(double u) {
    return 3 * u * u * cbrt(fmax(0, sin(u * u * u)));
}

static double run_of(int i) {
    return PCI_SAG_RUN_LEAST * pow(10, i / RUN_DECADE);
}

/* One row of the table: follow the film from where it was to where it is. Angles rise with the
 * start until the first one overtakes: beyond it the film is thick and nothing is taken away. */
static void sag_row(double run, const double *angle, const double *integral, int fine,
                    double *left) {
    int next = 1;
    double last_q = 0, last_left = 1 / sqrt(1 + 4 * run / 3);
    left[0] = last_left;
    int at = 0;
    for (int i = 1; i < fine && next < PCI_SAG_ANGLES; i++) {
        double q0 = angle[i], s = sin(q0), goal = integral[i] + run * s * cbrt(s);
        while (at < fine && integral[at + 1] < goal)
            at++;
        if (at >= fine)
            break;
        double u = (goal - integral[at]) / (integral[at + 1] - integral[at]);
        double q = angle[at] + u * (angle[at + 1] - angle[at]), ratio = s / fmax(sin(q), 1e-12);
        double here = fmin(1, cbrt(ratio * ratio));
        if (q <= last_q)
            break;
        for (; next < PCI_SAG_ANGLES && PC_PI * next / (PCI_SAG_ANGLES - 1) <= q; next++) {
            double v = (PC_PI * next / (PCI_SAG_ANGLES - 1) - last_q) / (q - last_q);
            left[next] = last_left + v * (here - last_left);
        }
        last_q = q;
        last_left = here;
    }
    for (; next < PCI_SAG_ANGLES; next++)
        left[next] = 1;
}

/* The integral up to each angle, from one to the next: equal steps of run_integral's u. */
void pci_sag_make(struct pci_sag *sag) {
    enum { FINE = 512 };
    double angle[FINE + 1], integral[FINE + 1], step = cbrt(PC_PI) / FINE, before = 0;
    angle[0] = integral[0] = 0;
    for (int i = 1; i <= FINE; i++) { /* close to the top where films come from after long runs */
        double u = i * step, here = run_integrand(u);
        angle[i] = fmin(u * u * u, PC_PI);
        integral[i] =
            integral[i - 1] + (before + 4 * run_integrand(u - step / 2) + here) * step / 6;
        before = here;
    }
    for (int i = 0; i < PCI_SAG_RUNS; i++)
        sag_row(run_of(i), angle, integral, FINE, sag->left[i]);
    sag->ready = true;
}

double pci_sag(struct pci_sag *sag, double theta, double run) {
    if (!(run > PCI_SAG_RUN_LEAST))
        return isnan(run) ? NAN : 1;
    if (!sag->ready)
        pci_sag_make(sag);
    double r = RUN_DECADE * log10(run / PCI_SAG_RUN_LEAST);
    double a = theta / PC_PI * (PCI_SAG_ANGLES - 1);
    double scale = 1;
    if (r > PCI_SAG_RUNS - 1.001) { /* far run: films fall as one over the root */
        scale = sqrt(run_of(PCI_SAG_RUNS - 1) / run);
        r = PCI_SAG_RUNS - 1.001;
    }
    size_t i = (size_t)r, j = (size_t)fmin(fmax(a, 0), PCI_SAG_ANGLES - 1.001);
    double u = r - (double)i, v = fmin(a - (double)j, 1);
    double low = sag->left[i][j] * (1 - v) + sag->left[i][j + 1] * v;
    double high = sag->left[i + 1][j] * (1 - v) + sag->left[i + 1][j + 1] * v;
    return scale * (low * (1 - u) + high * u);
}
