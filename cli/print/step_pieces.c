/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "print/step_pieces.h"

#include <math.h>
#include <string.h>

#include "pourclock.h"

enum { TIMES = 8 };

static double safe(double early_s, double nominal_s) {
    return isnan(early_s) ? nominal_s : early_s;
}

static struct step_word named(const char *name, double at_s, bool up) {
    double whole_s = up ? ceil(at_s - 1e-6) : floor(at_s + 1e-6);
    return (struct step_word){NULL, 0, name, whole_s, up};
}

/* The times a step of a part or layer may name; false where there are none. */
static bool name_times(const pc_schedule *plan, const pc_step *step, struct step_word time[TIMES]) {
    const pc_part_plan *part = plan->part[step->part];
    size_t j = step->layer > 0 ? (size_t)step->layer - 1 : part->layer_count - 1;
    if (part->layer_count == 0 || j >= part->layer_count)
        return false;
    const pc_layer *layer = part->layer[j];
    time[0] = named("deadline", pc_pour_deadline(part, j), false);
    time[1] = named("stop", layer->stop_s, true);
    time[2] = named("set", safe(layer->set_early_s, layer->set_s), false);
    time[3] = named("drain", layer->drain_s, false);
    time[4] = named("closes", pc_bond_deadline(layer), false);
    time[6] = named("gel", layer->gel_s, true);
    time[7] =
        named("mix", j + 1 < part->layer_count ? part->layer[j + 1]->mix_s : (double)NAN, true);
    time[5] = named("demold", safe(part->demold_late_s, part->demold_s), true);
    return true;
}

/* The time that is written at text, by its length there; NULL: none. */
static const struct step_word *time_at(const pc_schedule *plan, const char *text,
                                       const struct step_word time[TIMES], size_t *length) {
    for (size_t k = 0; k < TIMES; k++) {
        pc_words clock = pc_say_clock(plan->start_clock_s, time[k].at_s, PC_CLOCK_NEAREST);
        *length = strlen(clock.s);
        if (isfinite(time[k].at_s) && strncmp(text, clock.s, *length) == 0)
            return &time[k];
    }
    return NULL;
}

size_t step_words(const pc_schedule *plan, const pc_step *step,
                  struct step_word word[STEP_WORDS_MOST]) {
    struct step_word time[TIMES];
    size_t count = 0;
    const char *from = step->text, *at = from;
    bool any = name_times(plan, step, time);
    while (any && *at != '\0' && count + 2 < STEP_WORDS_MOST) {
        size_t length;
        const struct step_word *found = time_at(plan, at, time, &length);
        if (!found) {
            at++;
            continue;
        }
        if (at > from)
            word[count++] = (struct step_word){from, (size_t)(at - from), NULL, NAN, false};
        word[count] = *found;
        word[count].text = at;
        word[count++].length = length;
        at += length;
        from = at;
    }
    if (*from != '\0')
        word[count++] = (struct step_word){from, strlen(from), NULL, NAN, false};
    return count;
}
