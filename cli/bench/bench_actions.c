/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the keys do. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "bench/bench_session.h"
#include "pourclock.h"

static const char *part_name(const struct bench_session *session, size_t part) {
    return part < session->now->part_count ? session->now->part[part]->name : "";
}

/* Mixed or poured although the layer below has neither been seen to gel nor should have. */
static bool pours_on_soft(const struct bench_session *session, const pc_step *step) {
    if ((step->kind != PC_STEP_POUR && step->kind != PC_STEP_BRUSH) || step->layer < 2)
        return false;
    const pc_actual_layer *below = &session->actual.layer[step->part][step->layer - 2];
    return isnan(below->gel_s) && bench_session_now(session) <
                                      session->now->part[step->part]->layer[step->layer - 2]->gel_s;
}

bool bench_done(struct bench_session *session) {
    static const pc_event_kind kinds[] = {
        [PC_STEP_SET] = PC_EVENT_SET,   [PC_STEP_MIX] = PC_EVENT_MIX,
        [PC_STEP_POUR] = PC_EVENT_POUR, [PC_STEP_BRUSH] = PC_EVENT_POUR,
        [PC_STEP_TURN] = PC_EVENT_TURN, [PC_STEP_STOP] = PC_EVENT_STOP,
        [PC_STEP_WAIT] = PC_EVENT_NOTE, [PC_STEP_DEMOLD] = PC_EVENT_DEMOLD};
    const pc_step *next = bench_session_next(session, 0);
    if (next == NULL) {
        bench_say(session, "Nothing is left to do.");
        return false;
    }
    pc_event event = bench_event(session, kinds[next->kind]);
    event.part = (int)next->part;
    event.layer = next->layer;
    char what[160];
    bool soft = pours_on_soft(session, next);
    if (next->layer > 0 && next->part < session->now->part_count)
        snprintf(what, sizeof what, "%s, %.80s, %s %d", pc_step_word(next->kind),
                 part_name(session, next->part),
                 pc_layer_word(session->now->part[next->part]->kind), next->layer);
    else
        snprintf(what, sizeof what, "%s, %.80s", pc_step_word(next->kind),
                 part_name(session, next->part));
    bench_acknowledge(session);
    if (!bench_record(session, &event))
        return false;
    if (event.kind == PC_EVENT_MIX)
        bench_record_air(session, &event);
    bench_say(session, "Saved: %s.", what);
    if (soft)
        bench_say(session,
                  "Saved: %s. The layer below has not gelled by the plan: test it with a gloved "
                  "finger before pouring.",
                  what);
    if (bench_session_next(session, 0) == NULL) {
        pc_event end = bench_event(session, PC_EVENT_END);
        session->ended = bench_record(session, &end);
        bench_say(session,
                  "Done: everything is out of the mold. pourclock bench --report shows how it "
                  "went.");
    }
    return true;
}

/* Of the layers poured that have not gelled, the one that should about now. */
static bool find_gelling(const struct bench_session *session, int *part, int *layer) {
    double now_s = bench_session_now(session), nearest_s = INFINITY;
    for (size_t p = 0; p < session->now->part_count; p++) {
        for (size_t j = 0; j < session->now->part[p]->layer_count; j++) {
            const pc_actual_layer *was = &session->actual.layer[p][j];
            double off_s = fabs(session->now->part[p]->layer[j]->gel_s - now_s);
            if (isfinite(was->pour_end_s) && isnan(was->gel_s) && off_s < nearest_s) {
                nearest_s = off_s;
                *part = (int)p;
                *layer = (int)j + 1;
            }
        }
    }
    return isfinite(nearest_s);
}

bool bench_gelled(struct bench_session *session) {
    pc_event event = bench_event(session, PC_EVENT_GEL);
    if (!find_gelling(session, &event.part, &event.layer)) {
        bench_say(session, "No poured layer is waiting to gel.");
        return false;
    }
    const pc_layer *layer = session->now->part[event.part]->layer[event.layer - 1];
    double off_s = bench_session_now(session) - layer->gel_s;
    event.value = layer->gel_s;
    if (!bench_record(session, &event))
        return false;
    double factor = exp(session->pace.ln_s);
    bench_say(session,
              "Saved: %s %d gelled %s %s than computed. Planning on %.2f times the data "
              "sheet's speed, give or take %.0f %%.",
              pc_layer_word(session->now->part[event.part]->kind), event.layer,
              pc_say_duration(fabs(off_s)).s, off_s < 0.0 ? "earlier" : "later", factor,
              bench_pace_percent(session));
    return true;
}

bool bench_cup_gelled(struct bench_session *session, double mass_g) {
    pc_event event = bench_event(session, PC_EVENT_CUP_GEL);
    double latest_s = -INFINITY;
    if (!(mass_g > 0.0 && mass_g < 1e5)) {
        bench_say(session, "How many grams were left in the cup? A number above 0.");
        return false;
    }
    for (size_t p = 0; p < session->now->part_count; p++)
        for (size_t j = 0; j < session->now->part[p]->layer_count; j++)
            if (session->actual.layer[p][j].mix_s > latest_s) {
                latest_s = session->actual.layer[p][j].mix_s;
                event.part = (int)p;
                event.layer = (int)j + 1;
            }
    if (!isfinite(latest_s)) {
        bench_say(session, "No batch has been mixed yet.");
        return false;
    }
    event.value = mass_g;
    if (!bench_record(session, &event))
        return false;
    bench_say(session, "Saved: %.0f g in the cup gelled %s after its mix.", mass_g,
              pc_say_duration(bench_session_now(session) - latest_s).s);
    return true;
}

bool bench_late(struct bench_session *session, double by_s) {
    if (!(by_s > 0.0 && by_s <= 7.0 * PC_DAY_S)) {
        bench_say(session, "Late by how much? Such as 5 min or 90 s.");
        return false;
    }
    for (size_t i = 0;; i++) {
        const pc_step *step = bench_session_next(session, i);
        if (step == NULL) {
            bench_say(session, "No mix is left that could be late.");
            return false;
        }
        if (step->kind != PC_STEP_MIX && step->kind != PC_STEP_DEMOLD)
            continue;
        pc_event event = bench_event(session, PC_EVENT_LATE);
        event.part = (int)step->part;
        event.layer = step->layer;
        event.value = by_s;
        if (!bench_record(session, &event))
            return false;
        bench_say(session, "Saved: the next %s is late by %s; what follows has moved.",
                  event.layer > 0 ? "mix" : "demold", pc_say_duration(by_s).s);
        return true;
    }
}

bool bench_thrown_away(struct bench_session *session) {
    for (size_t p = 0; p < session->now->part_count; p++) {
        for (size_t j = 0; j < session->now->part[p]->layer_count; j++) {
            const pc_actual_layer *was = &session->actual.layer[p][j];
            if (!isfinite(was->mix_s) || isfinite(was->pour_end_s))
                continue;
            pc_event event = bench_event(session, PC_EVENT_DISCARD);
            event.part = (int)p;
            event.layer = (int)j + 1;
            if (!bench_record(session, &event))
                return false;
            bench_say(session, "Saved: batch of %s %d thrown away. Mix a fresh one.",
                      pc_layer_word(session->now->part[p]->kind), event.layer);
            return true;
        }
    }
    bench_say(session, "No mixed batch is waiting to be poured.");
    return false;
}

bool bench_note(struct bench_session *session, const char *text) {
    pc_event event = bench_event(session, PC_EVENT_NOTE);
    char clean[1024];
    pc_text_clean(text, clean, sizeof clean);
    bool cut = pc_text_clean(clean, event.text, sizeof event.text) < strlen(clean);
    if (event.text[0] == '\0' || !bench_record(session, &event))
        return false;
    if (cut)
        bench_say(session, "Saved: note, but only as far as \"%s\": put the rest into another.",
                  event.text);
    else
        bench_say(session, "Saved: note.");
    return true;
}

/* Whether an event is one a key made and can take back, and has not been taken back. */
static bool can_undo(const struct bench_session *session, size_t index) {
    const pc_event *event = pc_log_event(session->log, index);
    static const pc_event_kind kinds[] = {
        PC_EVENT_SET, PC_EVENT_MIX,     PC_EVENT_POUR, PC_EVENT_TURN,    PC_EVENT_STOP,
        PC_EVENT_GEL, PC_EVENT_CUP_GEL, PC_EVENT_LATE, PC_EVENT_DISCARD, PC_EVENT_DEMOLD};
    bool undoable = false;
    for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++)
        undoable |= event->kind == kinds[k];
    for (size_t i = index + 1; i < pc_log_count(session->log) && undoable; i++) {
        const pc_event *later = pc_log_event(session->log, i);
        undoable = later->kind != PC_EVENT_UNDO || later->value != (double)event->number;
    }
    return undoable;
}

bool bench_undo(struct bench_session *session) {
    for (size_t i = pc_log_count(session->log); i-- > 0;) {
        if (!can_undo(session, i))
            continue;
        const char *word = pc_event_word(pc_log_event(session->log, i)->kind);
        pc_event event = bench_event(session, PC_EVENT_UNDO);
        event.value = (double)pc_log_event(session->log, i)->number;
        if (!bench_record(session, &event))
            return false;
        session->ended = false;
        bench_say(session, "Saved: the last \"%s\" is taken back (its line stays in the log).",
                  word);
        return true;
    }
    bench_say(session, "There is nothing to take back.");
    return false;
}

void bench_pause(struct bench_session *session) {
    bench_say(session, "Resin does not pause, so the clock cannot. Say how late you are with l.");
}
