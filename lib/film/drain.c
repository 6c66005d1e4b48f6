/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Drained layers: pour in, swirl, pour out at the minute that leaves the wanted film. */
#include <math.h>
#include <string.h>

#include "base/say.h"
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

pc_status pci_drain_when(const pc_turn_layer *layer, double drop_m, double poured_m3,
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
                             "%s poured in cannot leave %s on the wall: pour more",
                             pci_say_both(PC_SAY_VOLUME, poured_m3).s,
                             pci_say_both(PC_SAY_VOLUME, layer->volume_m3).s);
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
                             "poured out at once the resin gels before it has run down to %s: "
                             "it leaves %s. A thinner, warmer or slower resin, or a thicker "
                             "layer",
                             pci_say_both(PC_SAY_THICKNESS, layer->film_m).s,
                             pci_say_both(PC_SAY_THICKNESS, result->film_m).s);
    if (result->mu_out_Pa_s > PC_POUR_OUT_MOST_PA_S)
        return pc_errors_add(
            errors, PC_E_UNREACHED, (pc_place){.section = "turning", .key = "method"},
            "to leave %s it must be poured out when it is too thick to run out (%.3g Pa s, at "
            "most %.3g); a layer of this resin drained keeps %s at most: more and thinner "
            "layers",
            pci_say_both(PC_SAY_THICKNESS, layer->film_m).s, result->mu_out_Pa_s,
            PC_POUR_OUT_MOST_PA_S,
            pci_say_both(
                PC_SAY_THICKNESS,
                pci_drain_film_at(layer, drop_m, pci_mu_reach(history, PC_POUR_OUT_MOST_PA_S)))
                .s);
    if (history->gel_s - result->out_s < PC_POUR_OUT_LEAST_S)
        return pc_errors_add(errors, PC_E_UNREACHED,
                             (pc_place){.section = "turning", .key = "method"},
                             "to leave %s it must be poured out %s before it gels, too "
                             "late to run out: several thinner layers, or a slower resin",
                             pci_say_both(PC_SAY_THICKNESS, layer->film_m).s,
                             pc_say_duration(history->gel_s - result->out_s).s);
    return PC_OK;
}
