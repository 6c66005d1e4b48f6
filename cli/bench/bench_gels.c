/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench/bench_gels.h"

#include <math.h>
#include <string.h>

/* A log's events with what they come to. */
struct history {
    const pc_event *const *event;
    size_t count;
    pc_actual actual;
    int64_t first_mix_ms;
};

static bool undone(const struct history *h, size_t index) {
    for (size_t k = index + 1; k < h->count; k++)
        if (h->event[k]->kind == PC_EVENT_UNDO &&
            h->event[k]->value == (double)h->event[index]->number)
            return true;
    return false;
}

/* A figure of the plan by the head of its name: temperatures in K, mold and layers in mm. */
static double plan_value(const struct history *h, const char *name, int part) {
    for (size_t i = 0; i < h->count; i++)
        if (h->event[i]->kind == PC_EVENT_PLAN && h->event[i]->part == part &&
            strncmp(h->event[i]->text, name, strlen(name)) == 0)
            return h->event[i]->value;
    return NAN;
}

/* A temperature, C, as the batch of a layer met it: the last one recorded with its mix, else that
 * of the plan. */
static double batch_C(const struct history *h, const char *name, const pc_event *of) {
    for (size_t i = h->count; i-- > 0;) {
        const pc_event *event = h->event[i];
        if (event->kind == PC_EVENT_PLAN && event->part == of->part && event->layer == of->layer &&
            strcmp(event->text, name) == 0)
            return event->value - PC_ZERO_CELSIUS_K;
    }
    return plan_value(h, name, -1) - PC_ZERO_CELSIUS_K;
}

const char *bench_kind_word(const pc_event *const event[], size_t count, const char *head) {
    for (size_t i = 0; i < count; i++)
        if (event[i]->kind == PC_EVENT_PLAN && event[i]->part < 0 &&
            strncmp(event[i]->text, head, strlen(head)) == 0)
            return event[i]->text + strlen(head);
    return "none";
}

/* The first layer on the bare mold is a film test of its own. */
static bool film_gel(const struct history *h, const pc_event *event, const pc_actual_layer *was,
                     struct bench_gel *gel) {
    gel->film = true;
    gel->time_s = was->gel_s - was->mix_s;
    gel->laid_s = was->pour_end_s - was->mix_s;
    gel->thick_mm = plan_value(h, "thick", event->part);
    gel->mold_C = batch_C(h, "mold_K", event);
    gel->rubber_mm = plan_value(h, "rubber ", -1);
    gel->shell_mm = plan_value(h, "shell ", -1);
    gel->rubber = bench_kind_word(h->event, h->count, "rubber ");
    gel->shell = bench_kind_word(h->event, h->count, "shell ");
    return event->layer == 1 && was->gel_s > was->pour_end_s && isfinite(gel->thick_mm);
}

static bool cup_gel(const struct history *h, const pc_event *event, const pc_actual_layer *was,
                    struct bench_gel *gel) {
    double at_s = (double)(event->elapsed_ms - h->first_mix_ms) / 1000.0;
    gel->film = false;
    gel->time_s = at_s - was->mix_s;
    gel->mass_g = event->value;
    return at_s > was->mix_s;
}

size_t bench_gels(const pc_event *const event[], size_t count,
                  struct bench_gel gel[BENCH_GELS_MOST]) {
    struct history h = {.event = event, .count = count};
    size_t found = 0;
    pc_actual_from_events(event, count, &h.actual, &h.first_mix_ms);
    for (size_t i = 0; i < count && found < BENCH_GELS_MOST; i++) {
        const pc_event *e = event[i];
        bool cup = e->kind == PC_EVENT_CUP_GEL;
        if ((!cup && e->kind != PC_EVENT_GEL) || e->part < 0 || e->layer < 1 || undone(&h, i))
            continue;
        const pc_actual_layer *was = &h.actual.layer[e->part][e->layer - 1];
        struct bench_gel *g = &gel[found];
        memset(g, 0, sizeof *g);
        g->resin_C = batch_C(&h, "resin_K", e);
        g->air_C = batch_C(&h, "air_K", e);
        g->wall_ms = e->wall_ms;
        found += cup ? cup_gel(&h, e, was, g) : film_gel(&h, e, was, g);
    }
    return found;
}
