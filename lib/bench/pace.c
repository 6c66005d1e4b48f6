/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How fast the resin cures today, from the gels that were seen. */
#include <math.h>
#include <stdlib.h>

#include "base/try.h"
#include "bench/replan.h"
#include "piece/piece_file.h"
#include "wall/layers.h"

#define GEL_SEEN_ERROR  0.05 /* of the time since its mix: felt through a glove (practice) */
#define PRIOR_ERROR     0.05 /* of a data sheet's time where margins are off (judgment) */
#define SURPRISE_ERRORS 3.0
#define LN_PACE_MOST    1.6 /* five times faster or slower: beyond it the mix itself is wrong */
#define STEPS_MOST      8

void pci_case_at_pace(const pc_piece *piece, const pc_schedule *plan, size_t part, double ln_s,
                      pci_case *c) {
    pci_case_scheduled(piece, plan, part, c);
    c->resin.cure.A1_per_s *= exp(ln_s);
    c->resin.cure.A2_per_s *= exp(ln_s);
    for (size_t i = 0; i < c->mix_count; i++) {
        c->mix[i].cure.A1_per_s *= exp(ln_s);
        c->mix[i].cure.A2_per_s *= exp(ln_s);
    }
}

pc_piece *pci_piece_on_clock(const pc_piece *piece, const pc_schedule *plan) {
    pc_piece *moved = malloc(sizeof *moved);
    if (moved == NULL)
        return NULL;
    *moved = *piece;
    moved->shop.start_clock_s = plan->start_clock_s;
    if (moved->shop.day_count > 0)
        pci_shop_settle(&moved->shop);
    return moved;
}

double pci_prior_error(const pc_piece *piece) {
    if (piece->resin.fit.known && piece->resin.fit.film_sd > 0.0)
        return piece->resin.fit.film_sd;
    /* The margin is the half-width of the 95 % interval. */
    return piece->margins.on && piece->margins.times > 0.0 ? piece->margins.times / 1.96
                                                           : PRIOR_ERROR;
}

pc_status pci_gel_at_pace(const pc_piece *piece, const pc_schedule *plan, const pc_actual *actual,
                          double ln_s, size_t part, size_t layer, double *gel_s) {
    pci_case paced;
    pci_run run;
    pci_case_at_pace(piece, plan, part, ln_s, &paced);
    pc_status status =
        pci_run_begin(&run, &paced, plan->part[part]->layer_count, actual->layer[part][0].mix_s);
    pci_layer_events events;
    for (size_t j = 0; status == PC_OK && j <= layer; j++) {
        const pc_actual_layer *was = &actual->layer[part][j];
        pc_layer happened = *plan->part[part]->layer[j];
        happened.mix_s = was->mix_s;
        status = pci_run_pour(&run, &happened, was->pour_end_s, NULL, NULL);
        if (status == PC_OK && j == layer)
            status = pci_run_gel(&run, &happened, &events);
    }
    if (status == PC_OK)
        *gel_s = events.gel_s;
    pci_run_end(&run);
    return status;
}

/* The pace at which this layer gels when it did: secant on the logarithm of its time. */
static pc_status pace_of_gel(const pc_piece *piece, const pc_schedule *plan,
                             const pc_actual *actual, size_t part, size_t layer, double *ln_s,
                             double *slope) {
    const pc_actual_layer *was = &actual->layer[part][layer];
    double wanted = log(was->gel_s - was->mix_s), x = 0.0, gel_s;
    *slope = -0.8;
    for (int step = 0; step < STEPS_MOST; step++) {
        PCI_TRY(pci_gel_at_pace(piece, plan, actual, x, part, layer, &gel_s));
        double off = log(gel_s - was->mix_s) - wanted;
        if (!isfinite(off))
            return PC_E_NUMERIC;
        if (fabs(off) < 1e-3)
            break;
        double before = x;
        x = fmax(-LN_PACE_MOST, fmin(LN_PACE_MOST, x - off / *slope));
        if (!(fabs(x - before) > 1e-6))
            break;
        double next_s;
        PCI_TRY(pci_gel_at_pace(piece, plan, actual, x, part, layer, &next_s));
        double measured = (log(next_s - was->mix_s) - log(gel_s - was->mix_s)) / (x - before);
        /* A gel inside the pour itself has no slope: keep the usual one. */
        if (measured < -0.05 && measured > -5.0)
            *slope = measured;
    }
    *ln_s = x;
    return PC_OK;
}

static bool seen(const pc_actual *actual, size_t part, size_t layer, double now_s) {
    const pc_actual_layer *was = &actual->layer[part][layer];
    for (size_t j = 0; j <= layer; j++)
        if (!(actual->layer[part][j].pour_end_s > actual->layer[part][j].mix_s))
            return false;
    return was->gel_s > was->mix_s && was->gel_s <= now_s + 1.0;
}

static pc_status estimate(const pc_piece *piece, const pc_schedule *plan, const pc_actual *actual,
                          double now_s, pc_pace *pace) {
    double prior = pci_prior_error(piece), weight = 0.0, sum = 0.0;
    *pace = (pc_pace){0.0, prior, 0, false};
    for (size_t p = 0; p < plan->part_count && p < piece->part_count; p++) {
        for (size_t j = 0; j < plan->part[p]->layer_count; j++) {
            double ln_s, slope;
            if (!seen(actual, p, j, now_s))
                continue;
            PCI_TRY(pace_of_gel(piece, plan, actual, p, j, &ln_s, &slope));
            double error = GEL_SEEN_ERROR / fabs(slope);
            weight += 1.0 / (error * error);
            sum += ln_s / (error * error);
            pace->observations++;
        }
    }
    if (pace->observations == 0)
        return PC_OK;
    double seen_mean = sum / weight, off = fabs(seen_mean);
    pace->surprising = off > SURPRISE_ERRORS * hypot(prior, sqrt(1.0 / weight));
    /* A data sheet that is plainly wrong for today gets no say. */
    double total = weight + (pace->surprising ? 0.0 : 1.0 / (prior * prior));
    pace->ln_s = sum / total;
    pace->ln_s_error = sqrt(1.0 / total);
    return PC_OK;
}

pc_status pc_pace_estimate(const pc_piece *piece, const pc_schedule *plan, const pc_actual *actual,
                           double now_s, pc_pace *pace) {
    if (piece == NULL || plan == NULL || actual == NULL || pace == NULL || isnan(now_s) ||
        !isfinite(plan->start_clock_s))
        return PC_E_ARGUMENT;
    pc_piece *moved = pci_piece_on_clock(piece, plan);
    if (moved == NULL)
        return PC_E_MEMORY;
    pc_status status = estimate(moved, plan, actual, now_s, pace);
    free(moved);
    return status;
}
