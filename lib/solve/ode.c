/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/ode.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_odeiv2.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "solve/guard.h"
#include "solve/root.h"

struct pci_ode {
    pci_ode_rhs rhs;
    void *context;
    size_t n;
    double t, t_before, h;
    double y[PCI_ODE_MOST], y_before[PCI_ODE_MOST];
    gsl_odeiv2_system system;
    gsl_odeiv2_step *step;
    double absolute, relative; /* error a step may make */
};

/* GSL takes a NaN right-hand side for success, so it is refused here. */
static int checked_rhs(double t, const double y[], double dydt[], void *params) {
    struct pci_ode *ode = params;
    ode->rhs(t, y, dydt, ode->context);
    for (size_t i = 0; i < ode->n; i++)
        if (!isfinite(dydt[i]))
            return GSL_EBADFUNC;
    return GSL_SUCCESS;
}

pci_ode *pci_ode_begin(pci_ode_rhs rhs, void *context, size_t n, double t, const double y[],
                       double absolute, double relative, double first) {
    pci_ode *ode = calloc(1, sizeof *ode);
    if (!ode)
        return NULL;
    ode->rhs = rhs;
    ode->context = context;
    ode->n = n;
    ode->t = ode->t_before = t;
    ode->h = first;
    memcpy(ode->y, y, n * sizeof *y);
    memcpy(ode->y_before, y, n * sizeof *y);
    ode->system = (gsl_odeiv2_system){checked_rhs, NULL, n, ode};
    pci_gsl_enter();
    ode->absolute = absolute;
    ode->relative = relative;
    ode->step = gsl_odeiv2_step_alloc(gsl_odeiv2_step_rk8pd, n);
    if (ode->step)
        return ode;
    pci_ode_end(ode);
    return NULL;
}

/* Largest error of a component against what it may be; infinite where one is no number, which fmax
 * would pass over. */
static double error_ratio(const pci_ode *ode, const double y[], const double error[]) {
    double ratio = 0.0;
    for (size_t i = 0; i < ode->n; i++) {
        double own = fabs(error[i]) / (ode->absolute + ode->relative * fabs(y[i]));
        ratio = isnan(own) ? INFINITY : fmax(ratio, own);
    }
    return ratio;
}

/* GSL's stepper, but our own step control: its controls do not look at what their allocation
 * returned, and die when memory is out (GSL 2.7). */
static pc_status one_step(pci_ode *ode, double t_end) {
    enum { REJECTIONS_MOST = 100 };
    const double order = 8.0;
    for (int i = 0; i < REJECTIONS_MOST; i++) {
        double left = t_end - ode->t, y[PCI_ODE_MOST] = {0}, error[PCI_ODE_MOST] = {0};
        bool cut = !(ode->h < left);
        double h = cut ? left : ode->h;
        memcpy(y, ode->y, ode->n * sizeof y[0]);
        if (gsl_odeiv2_step_apply(ode->step, ode->t, h, y, error, NULL, NULL, &ode->system) !=
            GSL_SUCCESS)
            return PC_E_NUMERIC;
        double ratio = error_ratio(ode, y, error);
        if (ratio <= 1.0) {
            double next = h * fmin(5.0, 0.9 * pow(fmax(ratio, 1e-12), -1.0 / (order + 1.0)));
            ode->h = cut ? fmax(next, ode->h) : next;
            memcpy(ode->y, y, ode->n * sizeof y[0]);
            ode->t = cut ? t_end : ode->t + h;
            return PC_OK;
        }
        ode->h = h * (isfinite(ratio) ? fmax(0.2, 0.9 * pow(ratio, -1.0 / order)) : 0.2);
    }
    return PC_E_NUMERIC;
}

pc_status pci_ode_step(pci_ode *ode, double t_end) {
    ode->t_before = ode->t;
    memcpy(ode->y_before, ode->y, ode->n * sizeof ode->y[0]);
    pc_status status = one_step(ode, t_end);
    if (status != PC_OK || !(ode->t > ode->t_before))
        return PC_E_NUMERIC;
    for (size_t i = 0; i < ode->n; i++)
        if (!isfinite(ode->y[i]))
            return PC_E_NUMERIC;
    return PC_OK;
}

struct locate {
    pci_ode *ode;
    pci_ode_event event;
    gsl_odeiv2_step *step;
    double y[PCI_ODE_MOST];
};

/* The step again from its start, but only as long as h: as exact as the step itself. */
static double event_after(double h, void *context) {
    struct locate *l = context;
    const pci_ode *ode = l->ode;
    double error[PCI_ODE_MOST];
    memcpy(l->y, ode->y_before, sizeof l->y);
    if (h > 0.0) {
        gsl_odeiv2_step_reset(l->step);
        if (gsl_odeiv2_step_apply(l->step, ode->t_before, h, l->y, error, NULL, NULL,
                                  &ode->system) != GSL_SUCCESS)
            return NAN;
    }
    return l->event(ode->t_before + h, l->y, ode->context);
}

pc_status pci_ode_locate(pci_ode *ode, pci_ode_event event, double *t, double y[]) {
    struct locate l = {ode, event, gsl_odeiv2_step_alloc(gsl_odeiv2_step_rk8pd, ode->n), {0}};
    if (!l.step)
        return PC_E_MEMORY;
    double width = ode->t - ode->t_before, h = 0.0;
    pc_status status = pci_root(event_after, &l, 0.0, width, 1e-10 * width, 1e-12, &h);
    if (status == PC_OK) {
        event_after(h, &l);
        *t = ode->t_before + h;
        memcpy(y, l.y, ode->n * sizeof *y);
    }
    gsl_odeiv2_step_free(l.step);
    return status;
}

double pci_ode_time(const pci_ode *ode) {
    return ode->t;
}

const double *pci_ode_state(const pci_ode *ode) {
    return ode->y;
}

const double *pci_ode_before(const pci_ode *ode) {
    return ode->y_before;
}

void pci_ode_end(pci_ode *ode) {
    if (!ode)
        return;
    if (ode->step)
        gsl_odeiv2_step_free(ode->step);
    pci_gsl_leave();
    free(ode);
}
