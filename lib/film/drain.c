/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Drained layers: pour in, swirl, pour out at the minute that leaves the wanted film. */
#include <math.h>
#include <string.h>

#include "film/film_sums.h"
#include "pourclock/film.h"

static bool layer_is_sound(const pc_turn_layer *layer) {
    return layer && layer->density_kg_m3 > 0 && isfinite(layer->density_kg_m3) &&
           pci_mu_history_check(&layer->history) == PC_OK;
}

double pci_drain_film_at(const pc_turn_layer *layer, double drop_m, double out_s) {
    if (!layer_is_sound(layer) || !(drop_m > 0) || !isfinite(drop_m) || isnan(out_s))
        return NAN;
    const pc_mu_history *history = &layer->history;
    if (out_s >= history->gel_s)
        return INFINITY;
    double out = fmax(out_s, history->time_s[0]);
    return pci_drain_film(layer->density_kg_m3, drop_m,
                          pci_mu_fluidity(history, out, history->gel_s));
}

/* The later the pour-out, the less time to run off: the film rises with out_s. */
static double find_out(const pc_turn_layer *layer, double drop_m) {
    double low = layer->history.time_s[0], high = layer->history.gel_s;
    for (int i = 0; i < 100; i++) {
        double middle = low + (high - low) / 2;
        if (pci_drain_film_at(layer, drop_m, middle) < layer->film_m)
            low = middle;
        else
            high = middle;
    }
    return low;
}

/* Until then what is poured out runs out. */
static double latest_out(const pc_mu_history *history) {
    return fmax(history->time_s[0], fmin(pci_mu_reach(history, PC_POUR_OUT_MOST_PA_S),
                                         history->gel_s - PC_POUR_OUT_LEAST_S));
}

pc_status pc_drain_plan(const pc_turn_layer *layer, double drop_m, double poured_m3,
                        pc_drain_result *result, pc_errors *errors) {
    if (!result || !layer_is_sound(layer) || !(layer->film_m > 0) || !isfinite(layer->film_m) ||
        !(layer->volume_m3 > 0) || !isfinite(layer->volume_m3) || !(drop_m > 0) ||
        !isfinite(drop_m) || !(poured_m3 > 0) || !isfinite(poured_m3))
        return PC_E_ARGUMENT;
    const pc_mu_history *history = &layer->history;
    memset(result, 0, sizeof *result);
    result->gel_s = history->gel_s;
    if (poured_m3 < layer->volume_m3)
        return pc_errors_add(errors, PC_E_VALUE, PC_NOWHERE,
                             "%.4g ml poured in cannot leave %.4g ml on the wall: pour more",
                             poured_m3 * 1e6, layer->volume_m3 * 1e6);
    result->out_s = history->time_s[0];
    result->least_m = pci_drain_film_at(layer, drop_m, result->out_s);
    result->most_m = pci_drain_film_at(layer, drop_m, latest_out(history));
    result->film_m = result->least_m;
    bool too_thick = result->film_m > layer->film_m * (1 + 1e-9);
    if (!too_thick) {
        result->out_s = find_out(layer, drop_m);
        result->film_m = pci_drain_film_at(layer, drop_m, result->out_s);
    }
    result->mu_out_Pa_s = pci_mu_checked_at(history, result->out_s);
    result->edge_m = 1.5 * result->film_m;
    double kept = layer->volume_m3 * result->film_m / layer->film_m;
    result->surplus_m3 = fmax(0, poured_m3 - kept);
    if (too_thick)
        return pc_errors_add(errors, PC_E_UNREACHED,
                             (pc_place){.section = "turning", .key = "method"},
                             "poured out at once the resin gels before it has run down to %.3g mm: "
                             "it leaves %.3g mm. A thinner, warmer or slower resin, or a thicker "
                             "layer",
                             layer->film_m * 1e3, result->film_m * 1e3);
    if (result->mu_out_Pa_s > PC_POUR_OUT_MOST_PA_S)
        return pc_errors_add(
            errors, PC_E_UNREACHED, (pc_place){.section = "turning", .key = "method"},
            "to leave %.3g mm it must be poured out when it is too thick to run out (%.3g Pa s, at "
            "most %.3g); a layer of this resin drained keeps %.3g mm at most: more and thinner "
            "layers",
            layer->film_m * 1e3, result->mu_out_Pa_s, PC_POUR_OUT_MOST_PA_S,
            1e3 * pci_drain_film_at(layer, drop_m, pci_mu_reach(history, PC_POUR_OUT_MOST_PA_S)));
    if (history->gel_s - result->out_s < PC_POUR_OUT_LEAST_S)
        return pc_errors_add(errors, PC_E_UNREACHED,
                             (pc_place){.section = "turning", .key = "method"},
                             "to leave %.3g mm it must be poured out %.0f s before it gels, too "
                             "late to run out: several thinner layers, or a slower resin",
                             layer->film_m * 1e3, history->gel_s - result->out_s);
    return PC_OK;
}
