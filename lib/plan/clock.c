/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words of the steps and times of day. */
#include <math.h>
#include <stdio.h>

#include "pourclock/schedule.h"

const char *pc_step_word(pc_step_kind kind) {
    switch (kind) {
#define WORD_CASE(name, word)                                                                      \
    case name:                                                                                     \
        return word;
        PC_STEP_TABLE(WORD_CASE)
#undef WORD_CASE
    }
    return "";
}

void pc_clock_text(double clock_s, bool seconds, char *buffer, size_t size) {
    if (buffer == NULL || size == 0)
        return;
    /* NaN, infinity and times no schedule reaches have no clock. */
    if (!(fabs(clock_s) < 1e9)) {
        snprintf(buffer, size, "%s", seconds ? "--:--:--" : "--:--");
        return;
    }
    double unit_s = seconds ? 1.0 : 60.0;
    double whole_s = round(clock_s / unit_s) * unit_s;
    long day_s = (long)(whole_s - 86400.0 * floor(whole_s / 86400.0));
    int hour = (int)(day_s / 3600), minute = (int)(day_s / 60 % 60), second = (int)(day_s % 60);
    if (seconds)
        snprintf(buffer, size, "%02d:%02d:%02d", hour, minute, second);
    else
        snprintf(buffer, size, "%02d:%02d", hour, minute);
}

/* fmin passes over a NaN. */
double pc_bond_deadline(const pc_layer *layer) {
    return fmin(fmin(layer->closes_s, layer->closes_alone_s), layer->closes_early_s);
}
