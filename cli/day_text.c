/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "day_text.h"

#include <stdio.h>

void day_entry_text(char *text, size_t size, const pc_day *day, const pc_day_plan *plan,
                    const pc_day_entry *e) {
    const pc_day_casting *c = &plan->casting[e->casting];
    int n = snprintf(text, size, "%.80s, casting %d (mold %d): ", day->piece[c->piece].name,
                     c->copy, c->mold);
    size_t used = n > 0 && (size_t)n < size ? (size_t)n : size - 1;
    char *rest = text + used;
    size -= used;
    switch (e->what) {
    case PC_DAY_SETUP:
        snprintf(rest, size, "set up");
        break;
    case PC_DAY_POUR:
        snprintf(rest, size, "layer %d: mix and pour%s", e->layer,
                 c->station ? ", onto the machine" : "");
        break;
    case PC_DAY_STOP:
        snprintf(rest, size, "layer %d: stop or pour out", e->layer);
        break;
    case PC_DAY_DEMOLD:
        snprintf(rest, size, "demold");
        break;
    }
}
