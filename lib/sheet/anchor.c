/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Anchoring the rate to the times a data sheet states. */
#include <math.h>

#include "base/try.h"
#include "resin/cup.h"
#include "resin/cure_rate.h"
#include "solve/root.h"

enum { FIT_ITERATIONS_MOST = 30 };
static const double LN_S_WIDTH = 1e-9;
/* Gel times need to lie this far apart in temperature before they say anything about E. */
static const double DISTINCT_K = 2.0;
/* The shift of E is looked for in these, so that the normal equations are well scaled. */
static const double E_UNIT_J_MOL = 1e4;

void pci_cure_rescale(pc_cure *cure, double ln_s, double E_shift_J_mol, double T_ref_K) {
    double scale = exp(ln_s + E_shift_J_mol / (PC_GAS_CONSTANT * T_ref_K));
    cure->A1_per_s *= scale;
    cure->A2_per_s *= scale;
    cure->E1_J_mol += E_shift_J_mol;
    cure->E2_J_mol += E_shift_J_mol;
}

struct target {
    const pc_resin *resin;
    double mass_kg, T_K, conversion, time_s;
};

/* ln of (time the cup takes / time wanted) with the rate multiplied by e^x: falls with x. */
static double lateness(double x, void *context) {
    const struct target *target = context;
    pc_resin trial = *target->resin;
    pci_cure_rescale(&trial.cure, x, 0.0, target->T_K);
    double time_s;
    pc_status status = pci_cup_conversion_time(&trial, target->mass_kg, target->T_K, target->T_K,
                                               target->conversion, &time_s);
    if (status == PC_E_UNREACHED)
        return 50.0; /* far too slow */
    return status == PC_OK && target->time_s > 0.0 ? log(time_s / target->time_s) : NAN;
}

/* Scales the rate so that a cup reaches a conversion at the time stated. */
static pc_status scale_to(pc_resin *resin, double mass_kg, double T_K, double conversion,
                          double time_s, double *ln_s) {
    struct target target = {resin, mass_kg, T_K, conversion, time_s};
    double isothermal_s;
    PCI_TRY(pci_cure_isothermal_time(&resin->cure, 0.0, conversion, T_K, &isothermal_s));
    if (!(isothermal_s > 0.0) || !isfinite(isothermal_s) || !(time_s > 0.0))
        return PC_E_NUMERIC;
    return pci_root_near(lateness, &target, log(isothermal_s / time_s) - 0.3, 0.3, LN_S_WIDTH,
                         ln_s);
}

static double temperature_spread(const pc_data_sheet *sheet) {
    double low = INFINITY, high = -INFINITY;
    for (size_t i = 0; i < sheet->gel_count; i++) {
        low = fmin(low, sheet->gel[i].T_K);
        high = fmax(high, sheet->gel[i].T_K);
    }
    return high - low;
}

bool pci_gel_times_tell_energy(const pc_data_sheet *sheet) {
    return temperature_spread(sheet) >= DISTINCT_K;
}

static double mean_temperature(const pc_data_sheet *sheet) {
    double sum = 0.0;
    for (size_t i = 0; i < sheet->gel_count; i++)
        sum += sheet->gel[i].T_K;
    return sum / (double)sheet->gel_count;
}

/* ln of (gel time computed / stated) for every pair the sheet gives. */
static pc_status gel_residuals(const pc_resin *resin, double ln_s, double E_shift_J_mol,
                               double T_ref_K, double residual[]) {
    pc_resin trial = *resin;
    pci_cure_rescale(&trial.cure, ln_s, E_shift_J_mol, T_ref_K);
    for (size_t i = 0; i < resin->sheet.gel_count; i++) {
        const pc_gel_time *gel = &resin->sheet.gel[i];
        double time_s;
        PCI_TRY(pci_cup_conversion_time(&trial, gel->mass_kg, gel->T_K, gel->T_K, trial.cure.a_gel,
                                        &time_s));
        residual[i] = log(time_s / gel->time_s);
    }
    return PC_OK;
}

/* One Gauss-Newton step of the least squares in (ln s, E shift in E_UNIT_J_MOL). */
static pc_status fit_step(const pc_resin *resin, double T_ref_K, double x[2], double *moved) {
    double r[PC_GEL_TIMES_MOST], r_s[PC_GEL_TIMES_MOST], r_E[PC_GEL_TIMES_MOST];
    const double d_s = 1e-4, d_E = 1e-4;
    pc_status status = gel_residuals(resin, x[0], x[1] * E_UNIT_J_MOL, T_ref_K, r);
    if (status == PC_OK)
        status = gel_residuals(resin, x[0] + d_s, x[1] * E_UNIT_J_MOL, T_ref_K, r_s);
    if (status == PC_OK)
        status = gel_residuals(resin, x[0], (x[1] + d_E) * E_UNIT_J_MOL, T_ref_K, r_E);
    if (status != PC_OK)
        return status;
    double ss = 0, sE = 0, EE = 0, sr = 0, Er = 0;
    for (size_t i = 0; i < resin->sheet.gel_count; i++) {
        double js = (r_s[i] - r[i]) / d_s, jE = (r_E[i] - r[i]) / d_E;
        ss += js * js;
        sE += js * jE;
        EE += jE * jE;
        sr += js * r[i];
        Er += jE * r[i];
    }
    double det = ss * EE - sE * sE;
    if (!(det > 1e-12 * ss * EE))
        return PC_E_NUMERIC;
    double step_s = -(EE * sr - sE * Er) / det, step_E = -(ss * Er - sE * sr) / det;
    x[0] += fmax(-2.0, fmin(2.0, step_s));
    x[1] += fmax(-2.0, fmin(2.0, step_E));
    *moved = fmax(fabs(step_s), fabs(step_E));
    return PC_OK;
}

/* Two or more temperatures fix the activation energy too. */
static pc_status fit_gel_times(pc_resin *resin) {
    const pc_data_sheet *sheet = &resin->sheet;
    double T_ref_K = mean_temperature(sheet), x[2] = {0.0, 0.0}, moved = INFINITY;
    pc_status status = scale_to(resin, sheet->gel[0].mass_kg, sheet->gel[0].T_K, resin->cure.a_gel,
                                sheet->gel[0].time_s, &x[0]);
    for (int i = 0; status == PC_OK && moved > 1e-8; i++)
        status = i < FIT_ITERATIONS_MOST ? fit_step(resin, T_ref_K, x, &moved) : PC_E_NUMERIC;
    if (status == PC_OK)
        pci_cure_rescale(&resin->cure, x[0], x[1] * E_UNIT_J_MOL, T_ref_K);
    return status;
}

static pc_status fit_failed(pc_errors *errors, const pc_resin *resin, const char *key) {
    return pc_errors_add(errors, PC_E_VALUE,
                         (pc_place){.file = resin->path, .section = "resin", .key = key},
                         "no rate of the %s family fits these times: check the minutes, the "
                         "temperatures and the masses against the data sheet",
                         pc_family_word(resin->family));
}

/* Gel times at one temperature (or nearly): the scale alone, their mean in ln s. */
static pc_status scale_to_gel(pc_resin *resin) {
    const pc_data_sheet *sheet = &resin->sheet;
    double sum = 0.0;
    for (size_t i = 0; i < sheet->gel_count; i++) {
        const pc_gel_time *gel = &sheet->gel[i];
        double ln_s;
        PCI_TRY(scale_to(resin, gel->mass_kg, gel->T_K, resin->cure.a_gel, gel->time_s, &ln_s));
        sum += ln_s;
    }
    pci_cure_rescale(&resin->cure, sum / (double)sheet->gel_count, 0.0, sheet->gel[0].T_K);
    return PC_OK;
}

static pc_status a_pot_from_sheet(pc_resin *resin, pc_errors *errors) {
    const pc_data_sheet *sheet = &resin->sheet;
    pc_cup_state state;
    pc_status status = pc_cup_at(resin, sheet->pot_life_mass_kg, sheet->pot_life_T_K,
                                 sheet->pot_life_T_K, sheet->pot_life_s, &state);
    if (status != PC_OK)
        return fit_failed(errors, resin, "pot_life");
    if (!(state.a < resin->cure.a_gel))
        return pc_errors_add(errors, PC_E_VALUE,
                             (pc_place){.file = resin->path, .section = "resin", .key = "pot_life"},
                             "at this pot life (%.0f s) a cup of %.0f g has gelled already: the "
                             "pot life must be shorter than the gel time; check both, and the "
                             "masses they hold for",
                             sheet->pot_life_s, 1e3 * sheet->pot_life_mass_kg);
    resin->cure.a_pot = state.a;
    return PC_OK;
}

static pc_status no_times(pc_errors *errors, const pc_resin *resin) {
    return pc_errors_add(errors, PC_E_KEY,
                         (pc_place){.file = resin->path, .section = "resin", .key = "pot_life"},
                         "no pot_life, gel_time or gel_times, and no A1 and E1 in [cure]: give one "
                         "of them from the data sheet, such as pot_life = 5 min");
}

static pc_status anchor_to_gel(pc_resin *resin, pc_errors *errors) {
    if ((pci_gel_times_tell_energy(&resin->sheet) ? fit_gel_times(resin) : scale_to_gel(resin)) !=
        PC_OK)
        return fit_failed(errors, resin, "gel_time");
    const pc_cure *cure = &resin->cure;
    if (!(cure->E1_J_mol > 0.0) || (cure->A2_per_s > 0.0 && !(cure->E2_J_mol > 0.0)))
        return pc_errors_add(
            errors, PC_E_VALUE,
            (pc_place){.file = resin->path, .section = "resin", .key = "gel_times"},
            "the resin would gel later when warmer: check which time belongs to "
            "which temperature");
    return PC_OK;
}

pc_status pci_anchor_rate(pc_resin *resin, pc_errors *errors) {
    const pc_data_sheet *sheet = &resin->sheet;
    if (sheet->constants_given) /* full constants override the sheet */
        return PC_OK;
    bool pot_stated = !isnan(sheet->pot_life_s);
    if (sheet->gel_count > 0) {
        PCI_TRY(anchor_to_gel(resin, errors));
        return pot_stated && !sheet->a_pot_given ? a_pot_from_sheet(resin, errors) : PC_OK;
    }
    if (!pot_stated)
        return no_times(errors, resin);
    double ln_s;
    if (scale_to(resin, sheet->pot_life_mass_kg, sheet->pot_life_T_K, resin->cure.a_pot,
                 sheet->pot_life_s, &ln_s) != PC_OK)
        return fit_failed(errors, resin, "pot_life");
    pci_cure_rescale(&resin->cure, ln_s, 0.0, sheet->pot_life_T_K);
    return PC_OK;
}
