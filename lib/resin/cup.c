/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The mixing cup, lumped: m cp dT/dt = m H da/dt - h A (T - T_air), A = 1.5 pi D^2, with D the
 * width of a cup as deep as it is wide: D = (4 m/(rho pi))^(1/3). */
#include "resin/cup.h"

#include <math.h>

#include "base/try.h"
#include "pourclock/quantity.h"
#include "resin/cure_rate.h"
#include "solve/ode.h"

enum { TEMPERATURE = 0, CURE = 1, STEPS_MOST = 20000 };
static const double LONGEST_S = 30.0 * PC_DAY_S;
static const double TOLERANCE = 1e-9;
static const double QUICK_TOLERANCE = 1e-6;

void pci_cure_rescale(pc_cure *cure, double ln_s, double E_shift_J_mol, double T_ref_K) {
    double scale = exp(ln_s + E_shift_J_mol / (PC_GAS_CONSTANT * T_ref_K));
    cure->A1_per_s *= scale;
    cure->A2_per_s *= scale;
    cure->E1_J_mol += E_shift_J_mol;
    cure->E2_J_mol += E_shift_J_mol;
}

struct cup {
    pci_rate rate;
    double rise_K;        /* H/cp */
    double cooling_per_s; /* h A/(m cp) */
    double air_K;
    double wanted; /* conversion looked for */
};

static void cup_rhs(double t, const double y[], double dydt[], void *context) {
    (void)t;
    const struct cup *cup = context;
    double rate = pci_rate_at(&cup->rate, y[CURE], y[TEMPERATURE]);
    dydt[CURE] = rate;
    dydt[TEMPERATURE] = cup->rise_K * rate - cup->cooling_per_s * (y[TEMPERATURE] - cup->air_K);
}

static double conversion_reached(double t, const double y[], void *context) {
    (void)t;
    return y[CURE] - ((const struct cup *)context)->wanted;
}

static double warming(double t, const double y[], void *context) {
    double dydt[2];
    cup_rhs(t, y, dydt, context);
    return dydt[TEMPERATURE];
}

static bool sane_temperature(double T_K) {
    return T_K >= PC_CURE_TEMPERATURE_MIN_K && T_K <= PC_CURE_TEMPERATURE_MAX_K;
}

static bool sane(const pc_resin *resin, double mass_kg, double T0_K, double air_K) {
    return resin && mass_kg > 0.0 && mass_kg < 1e6 && sane_temperature(T0_K) &&
           sane_temperature(air_K) && resin->density_kg_m3 > 0.0 && resin->cure.cp_J_kgK > 0.0;
}

static void cup_prepare(const pc_resin *resin, double mass_kg, double air_K, struct cup *cup) {
    pci_rate_prepare(&resin->cure, &cup->rate);
    double D_m = cbrt(4.0 * mass_kg / (resin->density_kg_m3 * PC_PI));
    double area_m2 = 1.5 * PC_PI * D_m * D_m;
    cup->rise_K = resin->cure.heat_J_kg / resin->cure.cp_J_kgK;
    cup->cooling_per_s = PC_CUP_LOSS_W_M2K * area_m2 / (mass_kg * resin->cure.cp_J_kgK);
    cup->air_K = air_K;
}

/* A first step well inside both time scales; GSL's control grows it from there. */
static pci_ode *cup_begin_from(struct cup *cup, double T0_K, double a0, double tolerance) {
    double y[2] = {T0_K, a0};
    double rate = pci_rate_at(&cup->rate, fmax(1e-3, a0), T0_K);
    double first = 1e-3 / (rate + cup->cooling_per_s + 1e-9);
    return pci_ode_begin(cup_rhs, cup, 2, 0.0, y, tolerance, tolerance, first);
}

static pci_ode *cup_begin_to(struct cup *cup, double T0_K, double tolerance) {
    return cup_begin_from(cup, T0_K, 0.0, tolerance);
}

static pc_status conversion_time(struct cup *cup, double T0_K, double tolerance, double *time_s) {
    pci_ode *ode = cup_begin_to(cup, T0_K, tolerance);
    if (!ode)
        return PC_E_MEMORY;
    pc_status status = PC_E_UNREACHED;
    for (int i = 0; i < STEPS_MOST && pci_ode_time(ode) < LONGEST_S; i++) {
        pc_status stepped = pci_ode_step(ode, LONGEST_S);
        if (stepped != PC_OK) {
            status = stepped;
            break;
        }
        if (pci_ode_state(ode)[CURE] >= cup->wanted) {
            double y[2];
            status = pci_ode_locate(ode, conversion_reached, time_s, y);
            break;
        }
    }
    pci_ode_end(ode);
    return status;
}

pc_status pci_cup_conversion_time(const pc_resin *resin, double mass_kg, double T0_K, double air_K,
                                  double wanted, double *time_s) {
    if (!sane(resin, mass_kg, T0_K, air_K) || !(wanted > 0.0) || !(wanted < 1.0))
        return PC_E_ARGUMENT;
    struct cup cup = {.wanted = wanted};
    cup_prepare(resin, mass_kg, air_K, &cup);
    return conversion_time(&cup, T0_K, TOLERANCE, time_s);
}

static pc_status note_conversion(pci_ode *ode, struct cup *cup, double wanted, double *time_s) {
    if (!isnan(*time_s) || pci_ode_state(ode)[CURE] < wanted)
        return PC_OK;
    double y[2];
    cup->wanted = wanted;
    return pci_ode_locate(ode, conversion_reached, time_s, y);
}

static pc_status note_peak(pci_ode *ode, struct cup *cup, pc_cup_events *events) {
    double t = pci_ode_time(ode);
    const double *now = pci_ode_state(ode);
    double y[2] = {now[TEMPERATURE], now[CURE]};
    double before = warming(0.0, pci_ode_before(ode), cup), after = warming(0.0, now, cup);
    if (before > 0.0 && after < 0.0) {
        PCI_TRY(pci_ode_locate(ode, warming, &t, y));
    }
    if (y[TEMPERATURE] > events->peak_K) {
        events->peak_K = y[TEMPERATURE];
        events->peak_s = t;
    }
    return PC_OK;
}

/* What is left to react cannot lift the cup above the peak it has had. */
static bool peak_is_past(const pci_ode *ode, const struct cup *cup, const pc_cup_events *found) {
    const double *y = pci_ode_state(ode);
    double reachable_K = fmax(y[TEMPERATURE], cup->air_K) + (1.0 - y[CURE]) * cup->rise_K;
    return reachable_K <= found->peak_K + 1e-6 || y[CURE] > 0.99999;
}

pc_status pci_cup_run(const pc_resin *resin, double mass_kg, double T0_K, double air_K,
                      pc_cup_events *events) {
    return pci_cup_run_from(resin, mass_kg, &(pc_cup_state){.T_K = T0_K, .a = 0.0}, air_K, events);
}

pc_status pci_cup_run_from(const pc_resin *resin, double mass_kg, const pc_cup_state *state,
                           double air_K, pc_cup_events *events) {
    if (!events || !state || !sane(resin, mass_kg, state->T_K, air_K) ||
        !(state->a >= 0.0 && state->a <= 1.0))
        return PC_E_ARGUMENT;
    const pc_cure *cure = &resin->cure;
    struct cup cup = {.wanted = cure->a_gel};
    cup_prepare(resin, mass_kg, air_K, &cup);
    pci_ode *ode = cup_begin_from(&cup, state->T_K, state->a, TOLERANCE);
    if (!ode)
        return PC_E_MEMORY;
    pc_cup_events found = {NAN, NAN, state->T_K, 0.0};
    if (state->a > 0.0 && state->a >= cure->a_pot)
        found.pot_life_s = 0.0;
    if (state->a > 0.0 && state->a >= cure->a_gel)
        found.gel_s = 0.0;
    pc_status status = PC_OK;
    for (int i = 0; i < STEPS_MOST && pci_ode_time(ode) < LONGEST_S && status == PC_OK; i++) {
        status = pci_ode_step(ode, LONGEST_S);
        if (status == PC_OK)
            status = note_conversion(ode, &cup, cure->a_pot, &found.pot_life_s);
        if (status == PC_OK)
            status = note_conversion(ode, &cup, cure->a_gel, &found.gel_s);
        if (status == PC_OK)
            status = note_peak(ode, &cup, &found);
        if (!isnan(found.gel_s) && !isnan(found.pot_life_s) && peak_is_past(ode, &cup, &found))
            break;
    }
    pci_ode_end(ode);
    if (status == PC_OK)
        *events = found;
    return status;
}

static pc_status trace(struct cup *cup, double T0_K, double tolerance, size_t n,
                       const double *time_s, pc_cup_state *state) {
    pci_ode *ode = cup_begin_to(cup, T0_K, tolerance);
    if (!ode)
        return PC_E_MEMORY;
    pc_status status = PC_OK;
    for (size_t i = 0; i < n && status == PC_OK; i++) {
        for (int k = 0; pci_ode_time(ode) < time_s[i] && status == PC_OK; k++)
            status = k < STEPS_MOST ? pci_ode_step(ode, time_s[i]) : PC_E_NUMERIC;
        state[i].T_K = pci_ode_state(ode)[TEMPERATURE];
        state[i].a = fmin(1.0, fmax(0.0, pci_ode_state(ode)[CURE]));
    }
    pci_ode_end(ode);
    return status;
}

pc_status pci_cup_trace(const pc_resin *resin, double mass_kg, double T0_K, double air_K, size_t n,
                        const double *time_s, pc_cup_state *state) {
    if (!state || !time_s || !sane(resin, mass_kg, T0_K, air_K))
        return PC_E_ARGUMENT;
    for (size_t i = 0; i < n; i++)
        if (!(time_s[i] >= (i ? time_s[i - 1] : 0.0)) || time_s[i] > LONGEST_S)
            return PC_E_ARGUMENT;
    struct cup cup = {.wanted = resin->cure.a_gel};
    cup_prepare(resin, mass_kg, air_K, &cup);
    return trace(&cup, T0_K, TOLERANCE, n, time_s, state);
}

pc_status pci_cup_at(const pc_resin *resin, double mass_kg, double T0_K, double air_K,
                     double time_s, pc_cup_state *state) {
    return pci_cup_trace(resin, mass_kg, T0_K, air_K, 1, &time_s, state);
}

pc_status pci_cup_part_way(const pc_resin *resin, double mass_kg, double T0_K, double air_K,
                           double wanted, double share, double *time_s, pc_cup_state *state) {
    double whole_s;
    if (!sane(resin, mass_kg, T0_K, air_K) || !(wanted > 0.0) || !(wanted < 1.0) ||
        !(share >= 0.0) || !(share <= 1.0))
        return PC_E_ARGUMENT;
    struct cup cup = {.wanted = wanted};
    cup_prepare(resin, mass_kg, air_K, &cup);
    PCI_TRY(conversion_time(&cup, T0_K, QUICK_TOLERANCE, &whole_s));
    *time_s = share * whole_s;
    return trace(&cup, T0_K, QUICK_TOLERANCE, 1, time_s, state);
}

static pc_status meet_step(pci_ode *ode, struct cup *cup, int i, double end_s, double *wanted_s) {
    pc_status status = i < STEPS_MOST ? pci_ode_step(ode, end_s) : PC_E_NUMERIC;
    return status == PC_OK ? note_conversion(ode, cup, cup->wanted, wanted_s) : status;
}

pc_status pci_cup_meet(const pc_resin *resin, double mass_kg, double T0_K, double air_K,
                       double time_s, double wanted, pc_cup_state *state, double *wanted_s) {
    if (!sane(resin, mass_kg, T0_K, air_K) || !(time_s >= 0.0) || time_s > LONGEST_S ||
        !(wanted > 0.0) || !(wanted < 1.0))
        return PC_E_ARGUMENT;
    struct cup cup = {.wanted = wanted};
    cup_prepare(resin, mass_kg, air_K, &cup);
    pci_ode *ode = cup_begin_to(&cup, T0_K, QUICK_TOLERANCE);
    if (!ode)
        return PC_E_MEMORY;
    pc_status status = PC_OK;
    *wanted_s = NAN;
    for (int i = 0; status == PC_OK && pci_ode_time(ode) < time_s; i++)
        status = meet_step(ode, &cup, i, time_s, wanted_s);
    state->T_K = pci_ode_state(ode)[TEMPERATURE];
    state->a = fmin(1.0, fmax(0.0, pci_ode_state(ode)[CURE]));
    for (int i = 0; status == PC_OK && isnan(*wanted_s) && pci_ode_time(ode) < LONGEST_S; i++)
        status = meet_step(ode, &cup, i, LONGEST_S, wanted_s);
    pci_ode_end(ode);
    return status;
}
