/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "plan/layer_film.h"

#include <math.h>

#include "base/text.h"
#include "base/try.h"
#include "film/judge.h"
#include "pourclock/film.h"
#include "wall/layers.h"

enum { HISTORY_POINTS = 32 };

typedef struct history {
    double time_s[HISTORY_POINTS], mu_Pa_s[HISTORY_POINTS];
    size_t count;
} history;

/* Viscosity from pour to gel, closer together toward gel, where it climbs. */
static pc_status record(pci_wall *poured, const pc_layer *layer, history *h) {
    double span_s = layer->gel_s - layer->pour_end_s;
    h->count = 0;
    for (int i = 0; i < HISTORY_POINTS; i++) {
        double left = 1.0 - (double)i / HISTORY_POINTS;
        double t_s = layer->pour_end_s + span_s * (1.0 - left * left);
        double mu_Pa_s;
        PCI_TRY(pci_wall_viscosity_at(poured, (size_t)layer->number - 1, t_s,
                                      fmax(layer->gel_s, t_s), &mu_Pa_s));
        if (!isfinite(mu_Pa_s))
            break; /* part of it has gelled: the history runs on to gel by itself */
        h->time_s[h->count] = t_s;
        h->mu_Pa_s[h->count++] = mu_Pa_s;
    }
    return PC_OK;
}

static void note(pc_layer *layer, const pc_errors *errors, pc_status status) {
    pci_copy_text(layer->film_note, sizeof layer->film_note,
                  errors->count > 0 ? errors->item[0].text : pc_status_text(status));
}

/* Of it only how thin it is. */
static pc_status thin_of(const pci_case *c, const pc_turn_layer *film, pc_layer *layer) {
    pc_spread spread;
    pc_status status =
        pci_turn_spread(c->sphere, &c->piece->turning, film, PCI_FILM_FINENESS, &spread, NULL);
    if (status == PC_OK)
        layer->thin_m = spread.thin_m;
    return status == PC_E_MEMORY ? status : PC_OK;
}

static pc_status turned(const pci_case *c, const pc_turn_layer *film, double set_ln_mu_per_s,
                        pc_layer *layer) {
    const pc_turning *turning = &c->piece->turning;
    pc_errors errors = PC_ERRORS_INIT;
    pc_turn_result r;
    pc_status status =
        pci_turn_judge(c->sphere, turning, film, NULL, PCI_FILM_FINENESS, &r, &errors);
    if (status == PC_OK) {
        /* Of the wall's own slope at set: the points of the history lie far apart. */
        if (isfinite(r.gap_s))
            layer->unevenness = r.gap_s / 2 * fmax(0.0, set_ln_mu_per_s);
        layer->thin_m = r.spread.thin_m;
        layer->mean_m = r.spread.mean_m;
        layer->thick_m = r.spread.thick_m;
        layer->lump_m3 = r.spread.lump_m3;
        /* Hands cannot be said to lock: nobody tilts alike twice. */
        layer->locks = r.locks && turning->method == PC_MACHINE;
    } else {
        note(layer, &errors, status);
    }
    pc_errors_free(&errors);
    return status == PC_E_MEMORY ? status : PC_OK;
}

pc_status pci_layer_film(const pci_case *c, pci_wall *poured, double set_ln_mu_per_s,
                         pc_layer *layer) {
    history h;
    PCI_TRY(record(poured, layer, &h));
    if (h.count == 0) {
        pci_copy_text(layer->film_note, sizeof layer->film_note, "it has gelled before it is in");
        return PC_OK;
    }
    pc_turn_layer film = {.density_kg_m3 = pci_case_mix(c, layer->number)->density_kg_m3,
                          .film_m = layer->thickness_m,
                          .volume_m3 = layer->volume_m3,
                          .radius_m = c->part->shape.turn_radius_m,
                          .mount = c->piece->turning.remount ? layer->number - 1 : 0,
                          .history = {h.count, h.time_s, h.mu_Pa_s, layer->gel_s}};
    return c->limits_only ? thin_of(c, &film, layer) : turned(c, &film, set_ln_mu_per_s, layer);
}
