/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "day_text.h"

#include <stdio.h>

/* Setting up is one job with the first mix, which must not begin before it is done. */
static void pour_text(char *text, size_t size, const pc_day *day, const pc_day_casting *c,
                      const pc_day_entry *e) {
    const char *onto = c->station ? ", onto the machine" : "";
    char mix[16];
    if (day->setup_s > 0.0 && e->from_s <= c->start_s) {
        pc_clock_text(c->start_s + day->setup_s, true, mix, sizeof mix);
        snprintf(text, size, "set up; layer %d: mix at %s and pour%s", e->layer, mix, onto);
    } else {
        snprintf(text, size, "layer %d: mix and pour%s", e->layer, onto);
    }
}

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
        pour_text(rest, size, day, c, e);
        break;
    case PC_DAY_STOP:
        snprintf(rest, size, "layer %d: stop or pour out", e->layer);
        break;
    case PC_DAY_DEMOLD:
        snprintf(rest, size, "demold");
        break;
    }
}
