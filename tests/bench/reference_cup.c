/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cup, family constants and anchoring of the independent reference solver: see reference.h. */
#include "reference.h"

#include <cvode/cvode.h>
#include <math.h>
#include <nvector/nvector_serial.h>
#include <string.h>
#include <sunlinsol/sunlinsol_band.h>
#include <sunmatrix/sunmatrix_band.h>

#include "../unit/pi.h"
#include "wall/layers.h"

#define MONTH (30 * 86400.0)

typedef struct cup {
    const pc_cure *cure;
    double rise_K, loss_per_s, air_K;
    SUNContext context;
    N_Vector y, past;
    SUNMatrix matrix;
    SUNLinearSolver linear;
    void *cvode;
} cup;

static int right_side(realtype t, N_Vector y, N_Vector ydot, void *data) {
    (void)t;
    const cup *c = data;
    const double *v = N_VGetArrayPointer(y);
    double *d = N_VGetArrayPointer(ydot);
    d[1] = ref_rate(c->cure, v[1], v[0]);
    d[0] = c->rise_K * d[1] - c->loss_per_s * (v[0] - c->air_K);
    return isfinite(d[0]) ? 0 : 1;
}

static int cup_open(cup *c, const pc_resin *resin, double mass, double T0, double air,
                    double rtol) {
    memset(c, 0, sizeof *c);
    double D = cbrt(4 * mass / (resin->density_kg_m3 * PI));
    c->cure = &resin->cure;
    c->rise_K = resin->cure.heat_J_kg / resin->cure.cp_J_kgK;
    c->loss_per_s = 8.0 * 1.5 * PI * D * D / (mass * resin->cure.cp_J_kgK);
    c->air_K = air;
    if (SUNContext_Create(NULL, &c->context))
        return -1;
    c->y = N_VNew_Serial(2, c->context);
    c->past = N_VClone(c->y);
    N_Vector tol = N_VClone(c->y);
    N_VGetArrayPointer(c->y)[0] = T0;
    N_VGetArrayPointer(c->y)[1] = 0;
    N_VGetArrayPointer(tol)[0] = 100 * rtol;
    N_VGetArrayPointer(tol)[1] = rtol;
    c->matrix = SUNBandMatrix(2, 1, 1, c->context);
    c->linear = SUNLinSol_Band(c->y, c->matrix, c->context);
    c->cvode = CVodeCreate(CV_BDF, c->context);
    int bad = CVodeInit(c->cvode, right_side, 0, c->y) || CVodeSVtolerances(c->cvode, rtol, tol) ||
              CVodeSetUserData(c->cvode, c) ||
              CVodeSetLinearSolver(c->cvode, c->linear, c->matrix) ||
              CVodeSetMaxNumSteps(c->cvode, 10000000);
    N_VDestroy(tol);
    return bad ? -1 : 0;
}

static void cup_close(cup *c) {
    CVodeFree(&c->cvode);
    SUNLinSolFree(c->linear);
    SUNMatDestroy(c->matrix);
    N_VDestroy(c->y);
    N_VDestroy(c->past);
    SUNContext_Free(&c->context);
}

static double passed(cup *c, double lo, double hi, double a) {
    for (int i = 0; i < 60; i++) {
        double mid = (lo + hi) / 2;
        if (CVodeGetDky(c->cvode, mid, 0, c->past))
            return NAN;
        *(N_VGetArrayPointer(c->past)[1] >= a ? &hi : &lo) = mid;
    }
    return hi;
}

static double sample(cup *c, double t) {
    return CVodeGetDky(c->cvode, t, 0, c->past) ? NAN : N_VGetArrayPointer(c->past)[0];
}

int ref_cup_run(const pc_resin *resin, double mass, double T0, double air, double rtol,
                pc_cup_events *e) {
    cup c;
    int bad = cup_open(&c, resin, mass, T0, air, rtol);
    *e = (pc_cup_events){NAN, NAN, T0, 0};
    const double *v = N_VGetArrayPointer(c.y);
    for (double t = 0; !bad && t < MONTH;) {
        if (CVode(c.cvode, MONTH, c.y, &t, CV_ONE_STEP) < 0) {
            bad = -1;
            break;
        }
        double step = 0;
        CVodeGetLastStep(c.cvode, &step);
        if (isnan(e->pot_life_s) && v[1] >= c.cure->a_pot)
            e->pot_life_s = passed(&c, t - step, t, c.cure->a_pot);
        if (isnan(e->gel_s) && v[1] >= c.cure->a_gel)
            e->gel_s = passed(&c, t - step, t, c.cure->a_gel);
        for (int i = 7; i >= 0; i--) {
            double at = t - step * i / 8, T = sample(&c, at);
            if (T > e->peak_K) {
                e->peak_K = T;
                e->peak_s = at;
            }
        }
        if (!isnan(e->gel_s) && v[0] < e->peak_K - 0.01)
            break;
    }
    cup_close(&c);
    return bad;
}

int ref_cup_at(const pc_resin *resin, double mass, double T0, double air, double time_s,
               double rtol, pc_cup_state *state) {
    cup c;
    int bad = cup_open(&c, resin, mass, T0, air, rtol);
    double t = 0;
    if (!bad && time_s > 0) {
        CVodeSetStopTime(c.cvode, time_s);
        bad = CVode(c.cvode, time_s, c.y, &t, CV_NORMAL) < 0;
    }
    state->T_K = N_VGetArrayPointer(c.y)[0];
    state->a = N_VGetArrayPointer(c.y)[1];
    cup_close(&c);
    return bad ? -1 : 0;
}
