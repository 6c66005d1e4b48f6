/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "pourclock/piece.h"

/* Share of the way from one time of day to another, round midnight. */
static double air_between(const pc_day_point *from, const pc_day_point *to, double clock_s) {
    double span_s = fmod(to->clock_s - from->clock_s + PC_DAY_S, PC_DAY_S);
    double into_s = fmod(clock_s - from->clock_s + PC_DAY_S, PC_DAY_S);
    return span_s > 0.0 ? from->T_K + (to->T_K - from->T_K) * into_s / span_s : from->T_K;
}

double pci_cup_mix_time(const pc_shop *shop, double cup_kg) {
    if (!shop || !(cup_kg > 0.0) || !isfinite(cup_kg))
        return NAN;
    if (!isnan(shop->mix_time_s))
        return shop->mix_time_s;
    return PC_MIX_LEAST_S * fmax(1.0, sqrt(cup_kg) / sqrt(PC_MIX_SMALL_KG));
}

double pc_shop_air(const pc_shop *shop, double clock_s) {
    if (!shop || !isfinite(clock_s))
        return NAN;
    size_t n = shop->day_count;
    if (n == 0)
        return shop->air_K;
    double day_s = fmod(clock_s, PC_DAY_S);
    if (day_s < 0.0)
        day_s += PC_DAY_S;
    for (size_t i = 0; i < n; i++)
        if (day_s < shop->day[i].clock_s)
            return air_between(&shop->day[(i + n - 1) % n], &shop->day[i], day_s);
    return air_between(&shop->day[n - 1], &shop->day[0], day_s);
}
