/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "shape/solid.h"

#include <gsl/gsl_sf_ellint.h>
#include <math.h>

#include "pourclock/quantity.h"
#include "solve/guard.h"

static void swap(double *a, double *b) {
    double t = *a;
    *a = *b;
    *b = t;
}

/* Carlson's R_G(x, y, z), symmetric. With z the middle argument every term of DLMF 19.21.10 is
 * positive, so near-spheres lose no digits to cancellation (Legendre's form does). */
static double carlson_rg(double x, double y, double z) {
    if (x < y)
        swap(&x, &y);
    if (z > x)
        swap(&z, &x);
    if (z < y)
        swap(&z, &y);
    gsl_sf_result rf, rd;
    pci_gsl_enter();
    int failed = gsl_sf_ellint_RF_e(x, y, z, GSL_PREC_DOUBLE, &rf) ||
                 gsl_sf_ellint_RD_e(x, y, z, GSL_PREC_DOUBLE, &rd);
    pci_gsl_leave();
    if (failed)
        return NAN;
    return 0.5 * (z * rf.val + (x - z) * (z - y) * rd.val / 3.0 + sqrt(x * y / z));
}

static void ellipsoid(double a, double b, double c, pci_solid *s) {
    s->volume_m3 = 4.0 * PC_PI / 3.0 * a * b * c;
    /* Scaled by the middle size so that no product leaves the range of a double. */
    double scale = cbrt(a * b * c);
    double p = a / scale, q = b / scale, r = c / scale;
    s->area_m2 =
        4.0 * PC_PI * scale * scale * carlson_rg(p * p * q * q, p * p * r * r, q * q * r * r);
    s->mean_curvature_m = 4.0 * PC_PI * scale * carlson_rg(p * p, q * q, r * r);
}

/* Radii R1 and R2 at the ends, one of which may be 0 (cone). */
static void frustum(double R1, double R2, double H, pci_solid *s) {
    double slant = hypot(H, R1 - R2);
    s->volume_m3 = PC_PI * H / 3.0 * (R1 * R1 + R1 * R2 + R2 * R2);
    s->area_m2 = PC_PI * (R1 * R1 + R2 * R2 + (R1 + R2) * slant);
    /* Side: pi H whatever the slope. Rims: half of the outer angle times 2 pi R. */
    s->mean_curvature_m =
        PC_PI * (H + R1 * (PC_PI - atan2(H, R1 - R2)) + R2 * (PC_PI - atan2(H, R2 - R1)));
}

static void box(double a, double b, double c, pci_solid *s) {
    s->volume_m3 = a * b * c;
    s->area_m2 = 2.0 * (a * b + b * c + c * a);
    s->mean_curvature_m = PC_PI * (a + b + c);
}

static int lengths_of(pci_solid_kind kind) {
    switch (kind) {
#define LENGTHS_CASE(name, word, lengths, form)                                                    \
    case name:                                                                                     \
        return lengths;
        PCI_SOLID_TABLE(LENGTHS_CASE)
#undef LENGTHS_CASE
    case PCI_SOLID_KIND_COUNT:
        break;
    }
    return 0;
}

pc_status pci_solid_measure(pci_solid_kind kind, const double *length, pci_solid *s) {
    int count = lengths_of(kind);
    if (!length || !s || count == 0)
        return PC_E_ARGUMENT;
    double h[3] = {0.0, 0.0, 0.0}; /* half lengths */
    for (int i = 0; i < count; i++) {
        if (!(length[i] >= PCI_SOLID_LEAST_M && length[i] <= PCI_SOLID_MOST_M))
            return PC_E_ARGUMENT;
        h[i] = 0.5 * length[i];
    }
    s->euler = 2.0;
    switch (kind) {
    case PCI_S_SPHERE:
        s->volume_m3 = 4.0 * PC_PI / 3.0 * h[0] * h[0] * h[0];
        s->area_m2 = 4.0 * PC_PI * h[0] * h[0];
        s->mean_curvature_m = 4.0 * PC_PI * h[0];
        break;
    case PCI_S_ELLIPSOID:
        ellipsoid(h[0], h[1], h[2], s);
        break;
    case PCI_S_CYLINDER:
        frustum(h[0], h[0], length[1], s);
        break;
    case PCI_S_CONE:
        frustum(h[0], 0.0, length[1], s);
        break;
    case PCI_S_FRUSTUM:
        frustum(h[0], h[1], length[2], s);
        break;
    case PCI_S_BOX:
        box(length[0], length[1], length[2], s);
        break;
    case PCI_S_TORUS:
        if (h[1] > h[0])
            return PC_E_ARGUMENT;
        s->volume_m3 = 2.0 * PC_PI * PC_PI * h[0] * h[1] * h[1];
        s->area_m2 = 4.0 * PC_PI * PC_PI * h[0] * h[1];
        s->mean_curvature_m = 2.0 * PC_PI * PC_PI * h[0];
        s->euler = 0.0;
        break;
    case PCI_SOLID_KIND_COUNT:
        return PC_E_ARGUMENT;
    }
    if (!(isfinite(s->area_m2) && isfinite(s->volume_m3) && isfinite(s->mean_curvature_m)))
        return PC_E_NUMERIC;
    return PC_OK;
}
