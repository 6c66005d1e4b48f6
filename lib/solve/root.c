/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/root.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_roots.h>
#include <math.h>

#include "solve/guard.h"

enum { ITERATIONS_MOST = 200, WIDENINGS_MOST = 40, INTERVALS_MOST = 200 };

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

pc_status pci_root_near(pci_function f, void *context, double guess, double step, double absolute,
                        double *x) {
    double low = guess - step, high = guess + step;
    double f_low = f(low, context), f_high = f(high, context);
    for (int i = 0; i < WIDENINGS_MOST && f_low * f_high > 0.0; i++) {
        step *= 2.0;
        /* A monotone function has its root on the side where it is smaller. */
        if (fabs(f_low) < fabs(f_high)) {
            high = low;
            f_high = f_low;
            low -= step;
            f_low = f(low, context);
        } else {
            low = high;
            f_low = f_high;
            high += step;
            f_high = f(high, context);
        }
    }
    return pci_root(f, context, low, high, absolute, 0.0, x);
}

pc_status pci_integrate(pci_function f, void *context, double a, double b, double relative,
                        double *value) {
    gsl_function gf = {f, context};
    pci_gsl_enter();
    gsl_integration_workspace *space = gsl_integration_workspace_alloc(INTERVALS_MOST);
    pc_status status = PC_E_MEMORY;
    if (space) {
        double error;
        int code = gsl_integration_qag(&gf, a, b, 0.0, relative, INTERVALS_MOST, GSL_INTEG_GAUSS31,
                                       space, value, &error);
        status = code == GSL_SUCCESS && isfinite(*value) ? PC_OK : PC_E_NUMERIC;
        gsl_integration_workspace_free(space);
    }
    pci_gsl_leave();
    return status;
}
