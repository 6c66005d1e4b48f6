/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/root.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_roots.h>
#include <math.h>

#include "solve/guard.h"

enum { ITERATIONS_MOST = 200 };

static pc_status brent(gsl_root_fsolver *solver, gsl_function *gf, double low, double high,
                       double absolute, double relative, double *x) {
    if (gsl_root_fsolver_set(solver, gf, low, high) != GSL_SUCCESS)
        return PC_E_NUMERIC;
    for (int i = 0; i < ITERATIONS_MOST; i++) {
        if (gsl_root_fsolver_iterate(solver) != GSL_SUCCESS)
            return PC_E_NUMERIC;
        double l = gsl_root_fsolver_x_lower(solver), h = gsl_root_fsolver_x_upper(solver);
        if (gsl_root_test_interval(l, h, absolute, relative) == GSL_SUCCESS) {
            *x = gsl_root_fsolver_root(solver);
            return isfinite(*x) ? PC_OK : PC_E_NUMERIC;
        }
    }
    return PC_E_NUMERIC;
}

pc_status pci_root(pci_function f, void *context, double low, double high, double absolute,
                   double relative, double *x) {
    double f_low = f(low, context), f_high = f(high, context);
    if (f_low == 0.0) {
        *x = low;
        return PC_OK;
    }
    if (f_high == 0.0) {
        *x = high;
        return PC_OK;
    }
    if (!(low < high) || !((f_low < 0.0 && f_high > 0.0) || (f_low > 0.0 && f_high < 0.0)))
        return PC_E_ARGUMENT;
    gsl_function gf = {f, context};
    pci_gsl_enter();
    gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
    pc_status status = PC_E_MEMORY;
    if (solver) {
        status = brent(solver, &gf, low, high, absolute, relative, x);
        gsl_root_fsolver_free(solver);
    }
    pci_gsl_leave();
    return status;
}
