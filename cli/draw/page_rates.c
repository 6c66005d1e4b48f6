/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a page may do without the solver: how every time answers to the resin's pace and to a late
 * pour, found here by planning again. */
#include "config.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "draw/page.h"

/* A step to both sides that is small against what happens (a factor of 2), large against the
 * solver's own error (0.5 %). */
#define LN_STEP    0.15
#define LATE_SHARE 0.5  /* of what is to spare before the pot life's deadline */
#define LATE_LEAST 5.0  /* s */
#define RATE_MOST  5.0  /* beyond it a rate is noise */
#define USUAL_PACE -0.8 /* of a film that loses its heat (as pc_pace_estimate starts from) */

/* The plan run again: as it is, with a faster resin, a slower one, with one pour late. */
enum { AS_IS, FAST, SLOW, LATE, RUNS };

struct runs {
    pc_schedule *plan[RUNS];
};

static double late_by(const pc_layer *layer) {
    double spare_s = layer->pour_by_s - layer->pour_end_s;
    return spare_s > 2.0 * LATE_LEAST ? LATE_SHARE * spare_s : LATE_LEAST;
}

static pc_status run_at(const page_source *source, const pc_schedule *plan, const pc_actual *actual,
                        double ln_step, pc_schedule **run) {
    double known_ln_s = source->pace != NULL ? source->pace->ln_s : 0.0;
    pc_pace pace = {known_ln_s + ln_step, source->pace_error, 0, false};
    return pc_replan(source->piece, plan, actual, 0.0, &pace, run);
}

/* A time of each run, counted from the layer's own mix there. */
static double pace_of(const double from_mix_s[RUNS]) {
    double pace = log(from_mix_s[FAST] / from_mix_s[SLOW]) / (2.0 * LN_STEP);
    return fabs(pace) <= RATE_MOST ? pace : USUAL_PACE;
}

static double late_of(const double from_mix_s[RUNS], const double end_s[RUNS]) {
    double later_s = end_s[LATE] - end_s[AS_IS]; /* 0: its pour is over already */
    double late = fabs(later_s) > 0.0 ? (from_mix_s[LATE] - from_mix_s[AS_IS]) / later_s : 0.0;
    return fabs(late) <= RATE_MOST ? late : 0.0;
}

enum field { POT, SET, GEL, CLOSES, END };

static double field_of(const pc_layer *layer, enum field field) {
    switch (field) {
    case POT:
        return layer->pot_life_s;
    case SET:
        return layer->set_s - layer->mix_s;
    case GEL:
        return layer->gel_s - layer->mix_s;
    case CLOSES:
        return layer->closes_alone_s - layer->mix_s;
    case END:
        return layer->pour_end_s - layer->mix_s;
    }
    return NAN;
}

static page_rate layer_rate(const struct runs *runs, size_t part, size_t layer, enum field field) {
    double from_mix_s[RUNS], end_s[RUNS];
    for (int i = 0; i < RUNS; i++) {
        const pc_layer *run = runs->plan[i]->part[part]->layer[layer];
        from_mix_s[i] = field_of(run, field);
        end_s[i] = field_of(run, END);
    }
    return (page_rate){pace_of(from_mix_s), late_of(from_mix_s, end_s)};
}

static page_rate demold_rate(const struct runs *runs, size_t part) {
    double from_mix_s[RUNS], end_s[RUNS];
    for (int i = 0; i < RUNS; i++) {
        const pc_part_plan *plan = runs->plan[i]->part[part];
        const pc_layer *last = plan->layer[plan->layer_count - 1];
        from_mix_s[i] = plan->demold_s - last->mix_s;
        end_s[i] = field_of(last, END);
    }
    return (page_rate){pace_of(from_mix_s), late_of(from_mix_s, end_s)};
}

/* One layer poured late, the others as they are. */
static pc_status find_layer(page_source *source, const pc_actual *actual, struct runs *runs,
                            size_t part, size_t layer) {
    size_t count = source->plan->part[part]->layer_count;
    pc_layer *planned = source->plan->part[part]->layer[layer];
    double in_time_s = planned->pour_end_s;
    planned->pour_end_s += late_by(planned);
    pc_status status = run_at(source, source->plan, actual, 0.0, &runs->plan[LATE]);
    planned->pour_end_s = in_time_s;
    if (status != PC_OK)
        return status;
    source->rate[part][layer] =
        (page_rates){layer_rate(runs, part, layer, POT), layer_rate(runs, part, layer, SET),
                     layer_rate(runs, part, layer, GEL), layer_rate(runs, part, layer, CLOSES)};
    if (layer + 1 == count)
        source->demold[part] = demold_rate(runs, part);
    pc_schedule_free(runs->plan[LATE]);
    runs->plan[LATE] = NULL;
    return PC_OK;
}

static pc_status find_all(page_source *source, const pc_actual *actual, struct runs *runs) {
    static const double step[] = {[AS_IS] = 0.0, [FAST] = LN_STEP, [SLOW] = -LN_STEP};
    pc_status status = PC_OK;
    for (int i = AS_IS; i < LATE && status == PC_OK; i++)
        status = run_at(source, source->plan, actual, step[i], &runs->plan[i]);
    for (size_t p = 0; p < source->plan->part_count; p++)
        for (size_t j = 0; j < source->plan->part[p]->layer_count && status == PC_OK; j++)
            status = find_layer(source, actual, runs, p, j);
    return status;
}

pc_status page_find_rates(page_source *source) {
    struct runs *runs = calloc(1, sizeof *runs);
    pc_actual *nothing = calloc(1, sizeof *nothing);
    pc_status status = PC_E_MEMORY;
    source->rates_known = false;
    if (runs != NULL && nothing != NULL) {
        pc_actual_init(nothing);
        pc_pace pace = {0};
        status = pc_pace_estimate(source->piece, source->plan, nothing, 0.0, &pace);
        source->pace_error = source->pace != NULL ? source->pace->ln_s_error : pace.ln_s_error;
    }
    if (status == PC_OK)
        status = find_all(source, source->actual != NULL ? source->actual : nothing, runs);
    source->rates_known = status == PC_OK;
    for (int i = 0; runs != NULL && i < RUNS; i++)
        pc_schedule_free(runs->plan[i]);
    free(nothing);
    free(runs);
    return status == PC_E_MEMORY ? status : PC_OK;
}
