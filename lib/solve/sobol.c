/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/sobol.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_qrng.h>
#include <math.h>

#include "solve/guard.h"

enum { DIMENSIONS_MOST = 40 };

pc_status pci_sobol_normals(size_t n, size_t dimensions, double z[]) {
    if (n == 0 || dimensions == 0 || dimensions > DIMENSIONS_MOST || !z)
        return PC_E_ARGUMENT;
    pci_gsl_enter();
    gsl_qrng *sobol = gsl_qrng_alloc(gsl_qrng_sobol, (unsigned)dimensions);
    pc_status status = sobol ? PC_OK : PC_E_MEMORY;
    double point[DIMENSIONS_MOST] = {0.0};
    /* GSL's sequence begins after the point at zero, which is ours to put first. */
    for (size_t i = 0; i < n && status == PC_OK; i++) {
        if (i > 0)
            gsl_qrng_get(sobol, point);
        for (size_t d = 0; d < dimensions; d++) {
            double share = fmin(point[d] + 0.5 / (double)n, 1.0 - 0.25 / (double)n);
            z[i * dimensions + d] = gsl_cdf_ugaussian_Pinv(share);
        }
    }
    if (sobol)
        gsl_qrng_free(sobol);
    pci_gsl_leave();
    return status;
}
