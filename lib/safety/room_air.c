/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Batches that give off vapor in one room, all together: the exact solution, step by step. */
#include <math.h>
#include <stdlib.h>

#include "base/range.h"
#include "pourclock/safety.h"
#include "safety/air_sums.h"

/* The rate of all batches changes here. */
typedef struct change {
    double at_s, kg_s;
} change;

static int by_time(const void *a, const void *b) {
    double x = ((const change *)a)->at_s, y = ((const change *)b)->at_s;
    return (x > y) - (x < y);
}

static bool batches_are_good(const pc_air_batch *batch, size_t count) {
    if (!batch && count > 0)
        return false;
    for (size_t i = 0; i < count; i++)
        if (!isfinite(batch[i].from_s) || !(batch[i].to_s > batch[i].from_s) ||
            !(batch[i].to_s < INFINITY) || !pci_not_negative(batch[i].vapor_kg))
            return false;
    return true;
}

/* Every start and end by time; NULL without memory. The caller frees. */
static change *changes_of(const pc_air_batch *batch, size_t count) {
    change *list = calloc(2 * count + 1, sizeof *list);
    for (size_t i = 0; list && i < count; i++) {
        double kg_s = batch[i].vapor_kg / (batch[i].to_s - batch[i].from_s);
        list[2 * i] = (change){batch[i].from_s, kg_s};
        list[2 * i + 1] = (change){batch[i].to_s, -kg_s};
    }
    if (list)
        qsort(list, 2 * count, sizeof *list, by_time);
    return list;
}

pc_status pci_air_rate(const pc_air_batch *batch, size_t count, double *rate_kg_s, double *at_s) {
    if (!batches_are_good(batch, count))
        return PC_E_ARGUMENT;
    change *list = changes_of(batch, count);
    if (!list)
        return PC_E_MEMORY;
    double rate = 0, most = 0, when = NAN;
    for (size_t i = 0; i < 2 * count; i++) {
        rate += list[i].kg_s;
        bool last_of_its_time = i + 1 == 2 * count || list[i + 1].at_s > list[i].at_s;
        if (last_of_its_time && rate > most) {
            most = rate;
            when = list[i].at_s;
        }
    }
    free(list);
    if (rate_kg_s)
        *rate_kg_s = most;
    if (at_s)
        *at_s = when;
    return PC_OK;
}

pc_status pci_room_highest(const pc_air_batch *batch, size_t count, double m3_per_kg,
                           double room_m3, double air_m3_s, double mixing, double *highest,
                           double *at_s) {
    if (!batches_are_good(batch, count) || !pci_positive(m3_per_kg) || !pci_positive(room_m3) ||
        !pci_not_negative(air_m3_s) || !(mixing >= 1 && mixing < INFINITY))
        return PC_E_ARGUMENT;
    change *list = changes_of(batch, count);
    if (!list)
        return PC_E_MEMORY;
    double changes_per_s = air_m3_s / mixing / room_m3, rate = 0, now = 0, most = 0, when = NAN;
    for (size_t i = 0; i < 2 * count; i++) {
        /* Between changes the concentration tends to one value: it is highest at an end. */
        double span_s = i > 0 ? list[i].at_s - list[i - 1].at_s : 0;
        double x = changes_per_s * span_s, share = x > 0 ? -expm1(-x) / x : 1;
        now = now * exp(-x) + fmax(rate, 0) * m3_per_kg / room_m3 * span_s * share;
        if (now > most) {
            most = now;
            when = list[i].at_s;
        }
        rate += list[i].kg_s;
    }
    free(list);
    if (highest)
        *highest = fmin(most, 1);
    if (at_s)
        *at_s = when;
    return PC_OK;
}
