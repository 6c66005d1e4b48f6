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

void ref_family(pc_family family, pc_resin *resin) {
    static const pc_cure cure[] = {
        {7.398e6, 54870, 0, 0, 0, 2, 256e3, 1800, 0.20, 0.707, 0.6 * 0.707, 0.90, 0.85},
        {35982, 54960, 3574.1, 44289, 0.39845, 1.5361, 460e3, 1900, 0.20, 0.577, 0.6 * 0.577, 0.72,
         0.72},
        {1e6, 60000, 60e6, 60000, 1, 1.5, 375e3, 1900, 0.19, 0.08, 0.6 * 0.08, 0.80, 0.70},
    };
    memset(resin, 0, sizeof *resin);
    resin->family = family;
    resin->density_kg_m3 = 1100;
    resin->peak_limit_K = 353.15;
    resin->demold_below_K = 318.15;
    resin->cure = cure[family];
    resin->sheet.pot_life_s = resin->sheet.demold_s = NAN;
}

static void scale(pc_cure *c, const pc_cure *from, double ln_s, double shift) {
    *c = *from;
    c->A1_per_s *= exp(ln_s);
    c->A2_per_s *= exp(ln_s);
    c->E1_J_mol += shift;
    c->E2_J_mol += shift;
}

/* ln of the scale at which the cup of mass and T passes a at time_s, for a shift of E. */
static double scale_for(const pc_resin *base, double mass, double T, double time_s, bool gel,
                        double shift) {
    pc_resin trial = *base;
    double centre = shift / (PC_GAS_CONSTANT * T), lo = centre - 8, hi = centre + 8;
    for (int i = 0; i < 52; i++) {
        double mid = (lo + hi) / 2;
        scale(&trial.cure, &base->cure, mid, shift);
        pc_cup_state state;
        int too_fast = ref_cup_at(&trial, mass, T, T, time_s, 1e-10, &state);
        *(too_fast || state.a >= (gel ? base->cure.a_gel : base->cure.a_pot) ? &hi : &lo) = mid;
    }
    return (lo + hi) / 2;
}

static int anchor_demold(pc_resin *resin) {
    const pc_data_sheet *sheet = &resin->sheet;
    double T = sheet->demold_T_K;
    pci_wall_spec spec = {.form = PC_SLAB,
                          .mold_count = 2,
                          .mold_thickness_m = {0.010, 0.008},
                          .mold = {{0.40, 1000, 1000}, {0.27, 1200, 1300}},
                          .mold_K = T,
                          .out_W_m2K = 9,
                          .air_K = T};
    double mass = sheet->pot_life_mass_kg;
    pc_cup_events cup_events;
    pc_cup_state fill;
    if (ref_cup_run(resin, mass, T, T, 1e-9, &cup_events))
        return -1;
    double half = cup_events.pot_life_s / 2;
    if (ref_cup_at(resin, mass, T, T, half, 1e-9, &fill))
        return -1;
    ref_options options = {.cells = 160, .grading = 3, .rtol = 1e-8, .jacobian = true};
    ref_wall *w = ref_wall_new(&spec, half, &options);
    int bad = ref_wall_pour(w, resin, sheet->demold_thickness_m, fill) ||
              ref_wall_advance(w, sheet->demold_s);
    resin->cure.a_demold = fmin(0.98, ref_wall_least_a(w, 0));
    ref_wall_free(w);
    return bad || resin->cure.a_demold <= resin->cure.a_gel ? -1 : 0;
}

int ref_anchor(pc_resin *resin) {
    const pc_data_sheet *sheet = &resin->sheet;
    pc_resin base = *resin;
    double ln_s, shift = 0;
    if (sheet->gel_count >= 2) { /* the shift at which both gel times ask for one scale */
        double lo = -40e3, hi = 60e3;
        for (int i = 0; i < 45; i++) {
            double mid = (lo + hi) / 2, s[2];
            for (int g = 0; g < 2; g++)
                s[g] = scale_for(&base, sheet->gel[g].mass_kg, sheet->gel[g].T_K,
                                 sheet->gel[g].time_s, true, mid);
            /* colder needs more when E is too high */
            double excess = sheet->gel[0].T_K < sheet->gel[1].T_K ? s[0] - s[1] : s[1] - s[0];
            *(excess > 0 ? &hi : &lo) = mid;
        }
        shift = (lo + hi) / 2;
    }
    if (sheet->gel_count > 0)
        ln_s = scale_for(&base, sheet->gel[0].mass_kg, sheet->gel[0].T_K, sheet->gel[0].time_s,
                         true, shift);
    else
        ln_s = scale_for(&base, sheet->pot_life_mass_kg, sheet->pot_life_T_K, sheet->pot_life_s,
                         false, 0);
    scale(&resin->cure, &base.cure, ln_s, shift);
    if (sheet->gel_count > 0 && !isnan(sheet->pot_life_s)) {
        pc_cup_state state;
        if (ref_cup_at(resin, sheet->pot_life_mass_kg, sheet->pot_life_T_K, sheet->pot_life_T_K,
                       sheet->pot_life_s, 1e-10, &state))
            return -1;
        resin->cure.a_pot = state.a;
    }
    return isnan(sheet->demold_s) ? 0 : anchor_demold(resin);
}
