/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The colors of a wall map, whether it is drawn or written as a mesh. */
#include "draw/map.h"

#include <math.h>

double map_range(const pc_spread *spread) {
    double off = fmax(spread->mean_m - spread->thin_m, spread->thick_m - spread->mean_m);
    double share = off / spread->mean_m;
    return share < 0.1 ? 0.1 : share < 0.25 ? 0.25 : share < 0.5 ? 0.5 : 1;
}

void map_color(double ratio, double range, double rgb[3]) {
    static const double thin[3] = {0.835, 0.369, 0}, even[3] = {0.97, 0.97, 0.95},
                        thick[3] = {0, 0.447, 0.698}, bare[3] = {0.25, 0.05, 0.02};
    bool is_bare = !(ratio >= MAP_BARE); /* a film that is not known too */
    double t = is_bare ? 1 : fmin(1, fabs(ratio - 1) / range);
    const double *to = is_bare ? bare : ratio < 1 ? thin : thick;
    for (int k = 0; k < 3; k++)
        rgb[k] = even[k] + t * (to[k] - even[k]);
}

/* A fifth of the range on either side is near the mean, three fifths far from it. */
static const double band_end[MAP_BANDS] = {NAN, -0.6, -0.2, 0.2, 0.6, INFINITY};

double map_band_end(size_t band, double range) {
    return 1.0 + range * band_end[band];
}

size_t map_band(double ratio, double range) {
    size_t band = 1;
    if (!(ratio >= MAP_BARE))
        return MAP_BAND_BARE;
    while (band + 1 < MAP_BANDS && ratio >= map_band_end(band, range))
        band++;
    return band;
}
