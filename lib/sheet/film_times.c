/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Gel and demold of a film with the band that the resin's uncertainty leaves; catalyst levels. */
#include <math.h>

#include "resin/cup.h"
#include "resin/filler.h"
#include "sheet/anchor.h"
#include "sheet/film_run.h"

/* A film, and its demold times kept in the order in which its gel times were asked for: one run of
 * a drawn resin gives both. */
struct film {
    double film_m, mass_kg, T_K;
    double demold_s[2 * PC_UNKNOWNS];
    size_t kept, taken;
};

static pc_status rough_gel(const pc_resin *resin, void *context, double *value) {
    struct film *f = context;
    pci_effort effort = {PCI_ROUGH, INFINITY};
    return pci_film_out(resin, f->film_m, f->mass_kg, f->T_K, &effort, value,
                        &f->demold_s[f->kept++]);
}

static pc_status kept_demold(const pc_resin *resin, void *context, double *value) {
    struct film *f = context;
    (void)resin;
    *value = f->demold_s[f->taken++];
    return PC_OK;
}

static double known(double time_s) {
    return isfinite(time_s) ? time_s : NAN;
}

pc_status pci_resin_film(const pc_resin *resin, double film_m, double mass_kg, double T_K,
                         bool band, pc_film_times *film) {
    if (!resin || !film)
        return PC_E_ARGUMENT;
    struct film what = {.film_m = film_m, .mass_kg = mass_kg, .T_K = T_K};
    pci_effort effort = {PCI_FINE, INFINITY};
    double gel_s, demold_s, gel_sd = NAN, demold_sd = NAN;
    pc_status status = pci_film_out(resin, film_m, mass_kg, T_K, &effort, &gel_s, &demold_s);
    if (status == PC_OK && band)
        status = pci_ln_sd(resin, rough_gel, &what, &gel_sd);
    if (status == PC_OK && band)
        status = pci_ln_sd(resin, kept_demold, &what, &demold_sd);
    if (status != PC_OK)
        return status;
    *film = (pc_film_times){
        known(gel_s),    known(gel_s * exp(-gel_sd)),       known(gel_s * exp(gel_sd)),
        known(demold_s), known(demold_s * exp(-demold_sd)), known(demold_s * exp(demold_sd))};
    return PC_OK;
}

pc_status pc_resin_times(const pc_resin *resin, double T_K, double mass_kg, double film_m,
                         pc_resin_row *row) {
    if (!resin || !row)
        return PC_E_ARGUMENT;
    pc_resin_row r = {.T_K = T_K,
                      .mass_kg = mass_kg,
                      .film_m = film_m > 0.0 ? film_m : NAN,
                      .film = {NAN, NAN, NAN, NAN, NAN, NAN}};
    pc_status status = pci_cup_run(resin, mass_kg, T_K, T_K, &r.cup);
    if (status == PC_OK && film_m != 0.0)
        status = pci_resin_film(resin, film_m, mass_kg, T_K, true, &r.film);
    if (status == PC_OK)
        *row = r;
    return status;
}

pc_status pc_resin_set_catalyst(pc_resin *resin, double level, pc_errors *errors) {
    if (!resin)
        return PC_E_ARGUMENT;
    const pc_catalyst *c = &resin->catalyst;
    if (!(c->at > 0.0))
        return pc_errors_add(
            errors, PC_E_ARGUMENT, (pc_place){.file = resin->path, .key = "catalyst"},
            "%s is not cured by a catalyst whose level can be chosen", resin->name);
    if (!(level >= c->low * (1.0 - 1e-9) && level <= c->high * (1.0 + 1e-9)))
        return pc_errors_add(errors, PC_E_VALUE, (pc_place){.key = "catalyst"},
                             "%.3g %% of catalyst is outside the range of %s, %.3g to %.3g %%: it "
                             "would cure through badly or run away; the data sheet says what it "
                             "bears (catalyst_range)",
                             100.0 * level, resin->name, 100.0 * c->low, 100.0 * c->high);
    pc_fill fill = resin->fill;
    pci_resin_unfill(resin);
    pci_cure_rescale(&resin->cure, c->power * log(level / c->level), 0.0, PC_SHEET_K);
    resin->catalyst.level = level;
    resin->share_b = level / (1.0 + level);
    resin->share_a = 1.0 - resin->share_b;
    return pci_resin_fill(resin, &fill.of, fill.parts, NULL);
}
