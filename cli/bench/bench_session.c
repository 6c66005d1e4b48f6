/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench/bench_session.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "pourclock.h"

#define REPLAN_EVERY_MS 5000
#define JUMP_MS         2000 /* less is the clocks' own wander */
#define DEADLINE_WARN_S 30.0

void bench_say(struct bench_session *session, const char *format, ...) {
    va_list args;
    va_start(args, format);
    vsnprintf(session->message, sizeof session->message, format, args);
    va_end(args);
}

pc_words bench_step_clock(const struct bench_session *session, const pc_step *step) {
    bool cut =
        step->kind == PC_STEP_POUR || step->kind == PC_STEP_BRUSH || step->kind == PC_STEP_MIX;
    return pc_say_clock(session->now->start_clock_s, step->at_s, cut ? PC_CLOCK_BY : PC_CLOCK_FROM);
}

bool bench_session_started(const struct bench_session *session) {
    return session->first_mix_ms >= 0;
}

double bench_session_now(const struct bench_session *session) {
    if (!bench_session_started(session))
        return 0.0;
    return (double)(session->elapsed_ms - session->first_mix_ms) / 1000.0;
}

const pc_layer *bench_session_layer(const struct bench_session *session, const pc_step *step) {
    if (step == NULL || step->part >= session->now->part_count || step->layer < 1 ||
        (size_t)step->layer > session->now->part[step->part]->layer_count)
        return NULL;
    return session->now->part[step->part]->layer[step->layer - 1];
}

/* The second turn step of a layer says that it sets: nothing to be done and ticked. */
static bool says_it_sets(const pc_step *step, const pc_layer *layer) {
    return step->kind == PC_STEP_TURN && step->at_s > layer->pour_end_s + 0.5;
}

static bool step_done(const struct bench_session *session, const pc_step *step) {
    const pc_layer *layer = bench_session_layer(session, step);
    const pc_actual_layer *was =
        layer != NULL ? &session->actual.layer[step->part][step->layer - 1] : NULL;
    switch (step->kind) {
    case PC_STEP_SET:
        return isfinite(session->actual.set_s[step->part]) || isfinite(was->mix_s);
    case PC_STEP_MIX:
        return was != NULL && isfinite(was->mix_s);
    case PC_STEP_POUR:
    case PC_STEP_BRUSH:
        return was != NULL && isfinite(was->pour_end_s);
    case PC_STEP_WAIT: /* of no layer */
    case PC_STEP_TURN:
        return was == NULL || isfinite(was->turn_s) || isfinite(was->stop_s) ||
               says_it_sets(step, layer);
    case PC_STEP_STOP:
        return was != NULL && isfinite(was->stop_s);
    case PC_STEP_DEMOLD:
        return isfinite(session->actual.demold_s[step->part]);
    }
    return true;
}

const pc_step *bench_session_next(const struct bench_session *session, size_t index) {
    for (size_t i = 0; i < session->now->step_count; i++)
        if (!step_done(session, session->now->step[i]) && index-- == 0)
            return session->now->step[i];
    return NULL;
}

double bench_session_deadline(const struct bench_session *session, const pc_step *step) {
    const pc_layer *layer = bench_session_layer(session, step);
    if (layer == NULL)
        return NAN;
    if (step->kind == PC_STEP_MIX || step->kind == PC_STEP_POUR || step->kind == PC_STEP_BRUSH)
        return pc_pour_deadline(session->now->part[step->part], (size_t)layer->number - 1);
    if (step->kind == PC_STEP_STOP &&
        (size_t)layer->number < session->now->part[step->part]->layer_count)
        return pc_bond_deadline(layer);
    return NAN;
}

double bench_pace_percent(const struct bench_session *session) {
    return 100.0 * 1.96 * session->pace.ln_s_error; /* half a normal distribution's 95 % */
}

/* ---- the log ---- */

pc_event bench_event(const struct bench_session *session, pc_event_kind kind) {
    pc_event event;
    memset(&event, 0, sizeof event);
    event.elapsed_ms = session->elapsed_ms;
    event.boot_ms = session->time.boot_ms;
    event.wall_ms = session->time.wall_ms;
    event.boot = session->time.boot;
    event.kind = kind;
    event.part = -1;
    event.value = NAN;
    return event;
}

/* What happened, from the log and from what is still to be written to it. */
static void learn(struct bench_session *session) {
    size_t logged = pc_log_count(session->log), count = 0;
    const pc_event **events = malloc((logged + session->pending_count + 1) * sizeof *events);
    if (events == NULL)
        return;
    for (size_t i = 0; i < logged; i++)
        events[count++] = pc_log_event(session->log, i);
    for (size_t i = 0; i < session->pending_count; i++)
        events[count++] = &session->pending[i];
    pc_actual_from_events(events, count, &session->actual, &session->first_mix_ms);
    free(events);
    pc_pace pace;
    if (pc_pace_estimate(session->piece, session->plan, &session->actual,
                         bench_session_now(session), &pace) == PC_OK)
        session->pace = pace;
}

/* ---- the clock ---- */

/* Whole seconds, so that a text of the library and one made here cut at the same second. Between
 * midnight and midnight of the day of the first mix: what is tomorrow then says so for good. */
static double start_clock_of(const struct bench_session *session) {
    double start_s = bench_time_of_day(session->time.wall_ms);
    if (bench_session_started(session))
        start_s -= bench_session_now(session);
    else if (session->planned_start_ms > session->time.wall_ms)
        start_s = bench_time_of_day(session->planned_start_ms);
    start_s = floor(start_s + 1e-3); /* the readings are to a millisecond */
    return start_s - PC_DAY_S * floor(start_s / PC_DAY_S);
}

/* Sets the start where it has moved; true where it has. A start that has passed moves along with
 * the clock. */
static bool set_start(struct bench_session *session) {
    bool started = bench_session_started(session), fixes = started && !session->start_fixed;
    double start_s = start_clock_of(session);
    double off_s = fabs(remainder(start_s - session->plan->start_clock_s, PC_DAY_S));
    double least_s = fixes ? 0.5 : started ? JUMP_MS / 1000.0 : 1.0;
    session->start_fixed = started;
    if (off_s < least_s)
        return false;
    session->plan->start_clock_s = start_s;
    return true;
}

double bench_session_clock(const struct bench_session *session) {
    return bench_session_started(session) ? session->now->start_clock_s + bench_session_now(session)
                                          : bench_time_of_day(session->time.wall_ms);
}

static void replan(struct bench_session *session) {
    pc_schedule *fresh;
    session->replanned_ms = session->elapsed_ms;
    set_start(session);
    pc_status status = pc_replan(session->piece, session->plan, &session->actual,
                                 bench_session_now(session), &session->pace, &fresh);
    session->replan_failed = status != PC_OK;
    if (status == PC_OK) {
        if (session->now != session->plan)
            pc_schedule_free(session->now);
        session->now = fresh;
    }
}

/* A log that was moved, deleted or written over goes on in another file, and that is said. */
static void note_rewrite(struct bench_session *session) {
    const char *path = pc_log_path(session->log);
    if (pc_log_rewrites(session->log) == session->rewrites)
        return;
    session->rewrites = pc_log_rewrites(session->log);
    session->moved[0] = '\0';
    if (strcmp(path, session->path) == 0)
        bench_say(session, "The log was written again: %s.", pc_log_why(session->log));
    else
        snprintf(session->moved, sizeof session->moved,
                 "The log goes on in %.160s: %s. All of it is there; start again with --log and "
                 "that name.",
                 path, pc_log_why(session->log));
}

/* After every call that writes the log: what to say of it. */
static void judge_log(struct bench_session *session, pc_errors *errors) {
    session->taken = pc_log_taken(session->log);
    snprintf(session->unsaved, sizeof session->unsaved, "%.300s",
             errors->count > 0 ? errors->item[0].text : "");
    note_rewrite(session);
    pc_errors_free(errors);
}

static bool flush_pending(struct bench_session *session) {
    size_t written = 0;
    pc_errors errors = PC_ERRORS_INIT;
    while (written < session->pending_count &&
           pc_log_append(session->log, &session->pending[written], &errors) == PC_OK)
        written++;
    session->pending_count -= written;
    memmove(session->pending, session->pending + written,
            session->pending_count * sizeof session->pending[0]);
    judge_log(session, &errors);
    if (session->unsaved[0] != '\0')
        bench_say(session, "NOT SAVED: %.200s. It is kept here and tried again; do not quit.",
                  session->unsaved);
    return session->pending_count == 0;
}

/* The log is looked for under its name at every tick, not only when something is written. */
static void keep_log(struct bench_session *session) {
    pc_errors errors = PC_ERRORS_INIT;
    pc_log_keep(session->log, &errors);
    judge_log(session, &errors);
}

/* Keeps an event and writes it. True when it is on the disk. */
bool bench_record(struct bench_session *session, pc_event *event) {
    if (session->pending_count == BENCH_PENDING_MOST) {
        bench_say(session, "NOT SAVED: too much waits to be written. Make room on the disk.");
        return false;
    }
    session->pending[session->pending_count++] = *event;
    bool saved = flush_pending(session);
    learn(session);
    replan(session);
    return saved;
}

static bool plan_line(struct bench_session *session, int part, int layer, double value,
                      const char *text) {
    pc_event event = bench_event(session, PC_EVENT_PLAN);
    event.part = part;
    event.layer = layer;
    event.value = value;
    snprintf(event.text, sizeof event.text, "%.100s", text);
    return pc_log_append(session->log, &event, NULL) == PC_OK;
}

static const char *mold_word(pc_mold_kind kind) {
    static const char *const words[] = {
#define MOLD_WORD(name, word, k, rho, cp) word,
        PC_MOLD_TABLE(MOLD_WORD)
#undef MOLD_WORD
    };
    return (unsigned)kind < PC_MOLD_KIND_COUNT ? words[kind] : "";
}

/* What a report needs to make cup tests of the gels: temperatures, K; mold and layers, mm; and for
 * its cautions, the resin's family. */
static bool record_shop(struct bench_session *session) {
    const pc_mold *mold = &session->piece->mold;
    char rubber[40], shell[40], family[40];
    snprintf(family, sizeof family, "family %s", pc_family_word(session->piece->resin.family));
    snprintf(rubber, sizeof rubber, "rubber %s", mold_word(mold->rubber_kind));
    snprintf(shell, sizeof shell, "shell %s", mold_word(mold->shell_kind));
    return plan_line(session, -1, 0, session->plan->resin_K, "resin_K") &&
           plan_line(session, -1, 0, session->plan->air_K, "air_K") &&
           plan_line(session, -1, 0, session->plan->mold_K, "mold_K") &&
           plan_line(session, -1, 0, session->plan->start_clock_s, "start_clock_s") &&
           plan_line(session, -1, 0, mold->rubber_m * 1e3, rubber) &&
           (!mold->has_shell || plan_line(session, -1, 0, mold->shell_m * 1e3, shell)) &&
           plan_line(session, -1, 0, 1.0, family);
}

/* A batch mixed at another hour than planned met another shop; a report's cup tests need to know.
 */
void bench_record_air(struct bench_session *session, const pc_event *mix) {
    const pc_shop *shop = &session->piece->shop;
    double air_K = pc_shop_air(shop, session->plan->start_clock_s + bench_session_now(session));
    double start_K = pc_shop_air(shop, session->plan->start_clock_s);
    const struct {
        const char *name;
        double value_K;
    } met[] = {{"air_K", air_K},
               {"resin_K", shop->resin_given ? shop->resin_K : air_K},
               {"mold_K", shop->mold_given ? shop->mold_K : start_K}};
    if (shop->day_count == 0)
        return;
    for (size_t i = 0; i < sizeof met / sizeof *met; i++) {
        if (session->pending_count == BENCH_PENDING_MOST)
            return;
        pc_event event = bench_event(session, PC_EVENT_PLAN);
        event.part = mix->part;
        event.layer = mix->layer;
        event.value = met[i].value_K;
        snprintf(event.text, sizeof event.text, "%s", met[i].name);
        session->pending[session->pending_count++] = event;
    }
    flush_pending(session);
}

static bool record_layers(struct bench_session *session) {
    bool good = true;
    for (size_t p = 0; p < session->plan->part_count; p++) {
        for (size_t j = 0; j < session->plan->part[p]->layer_count && good; j++) {
            const pc_layer *layer = session->plan->part[p]->layer[j];
            char text[80];
            snprintf(text, sizeof text, "gel %.60s", session->plan->part[p]->name);
            good = plan_line(session, (int)p, layer->number, layer->gel_s, text);
            if (good && j == 0 && session->plan->part[p]->kind == PC_HOLLOW)
                good = plan_line(session, (int)p, layer->number, layer->thickness_m * 1e3, "thick");
        }
    }
    return good;
}

static bool record_plan(struct bench_session *session) {
    pc_event event = bench_event(session, PC_EVENT_START);
    snprintf(event.text, sizeof event.text, "%s%.100s",
             bench_clock_is_real(session->clock) ? "" : "rehearsal: ", session->plan->piece);
    bool good = pc_log_append(session->log, &event, NULL) == PC_OK && record_shop(session);
    for (size_t i = 0; i < session->plan->step_count && good; i++) {
        const pc_step *step = session->plan->step[i];
        double at_s = step->at_s;
        /* "Poured" is pressed when the last of it is in. */
        if ((step->kind == PC_STEP_POUR || step->kind == PC_STEP_BRUSH) && step->layer > 0)
            at_s = session->plan->part[step->part]->layer[step->layer - 1]->pour_end_s;
        if (step->kind != PC_STEP_WAIT)
            good = plan_line(session, (int)step->part, step->layer, at_s, pc_step_word(step->kind));
    }
    return good && record_layers(session);
}

static void read_clock(struct bench_session *session) {
    bench_clock_read(session->clock, &session->time);
    int64_t elapsed_ms = pc_log_elapsed(session->log, session->time.boot, session->time.boot_ms,
                                        session->time.wall_ms, NULL);
    /* A reading never goes back, whatever the clocks do. */
    if (elapsed_ms > session->elapsed_ms)
        session->elapsed_ms = elapsed_ms;
}

static pc_status check_rehearsal(const struct bench_session *session, const char *path,
                                 pc_errors *errors) {
    const pc_event *first = pc_log_event(session->log, 0);
    bool rehearsed = first != NULL && strncmp(first->text, "rehearsal: ", 11) == 0;
    if (first == NULL || rehearsed != bench_clock_is_real(session->clock))
        return PC_OK;
    return pc_errors_add(errors, PC_E_VALUE, (pc_place){.file = path},
                         rehearsed ? "is the log of a rehearsal: name another with --log"
                                   : "is the log of a real run: rehearse with another --log");
}

static bool resume(struct bench_session *session) {
    bool restarted;
    const pc_event *last = pc_log_event(session->log, pc_log_count(session->log) - 1);
    int64_t gap_ms = pc_log_elapsed(session->log, session->time.boot, session->time.boot_ms,
                                    session->time.wall_ms, &restarted) -
                     last->elapsed_ms;
    session->ended = last->kind == PC_EVENT_END;
    pc_event event = bench_event(session, PC_EVENT_RESUME);
    event.value = (double)gap_ms / 1000.0;
    size_t wrong = pc_log_damages(session->log), torn = pc_log_torn(session->log);
    snprintf(event.text, sizeof event.text, "%swrong lines: %zu, torn bytes: %zu",
             restarted ? "machine restarted; " : "", wrong, torn);
    bool good = pc_log_append(session->log, &event, NULL) == PC_OK;
    bench_say(session, "Going on after %s.%s", pc_say_duration((double)gap_ms / 1000.0).s,
              restarted ? " The machine was restarted: the clock on the wall bridged the gap."
                        : "");
    size_t used = strlen(session->message);
    const pc_log_damage *damage = pc_log_damage_at(session->log, 0);
    if (wrong > 0 && damage->gap)
        snprintf(session->message + used, sizeof session->message - used,
                 " Before line %ld of the log there is a gap: %s.", damage->line, damage->text);
    else if (wrong > 0)
        snprintf(session->message + used, sizeof session->message - used,
                 " Line %ld of the log is wrong (%s): left out, and kept in the file.",
                 damage->line, damage->text);
    else if (torn > 0)
        snprintf(session->message + used, sizeof session->message - used,
                 " A last line cut off by a crash (%zu bytes) was dropped.", torn);
    return good;
}

pc_status bench_session_begin(struct bench_session *session, const pc_piece *piece,
                              pc_schedule *plan, const char *path, struct bench_clock *clock,
                              pc_errors *errors) {
    session->piece = piece;
    session->plan = session->now = plan;
    session->clock = clock;
    session->path = path;
    session->first_mix_ms = -1;
    pc_actual_init(&session->actual);
    pc_status status = pc_log_open(path, pc_piece_fingerprint(piece), &session->log, errors);
    if (status == PC_OK)
        status = check_rehearsal(session, path, errors);
    if (status != PC_OK)
        return status;
    read_clock(session);
    session->planned_start_ms =
        bench_planned_start(session->plan->start_clock_s, session->time.wall_ms);
    bool good = pc_log_count(session->log) == 0 ? record_plan(session) : resume(session);
    if (!good)
        return pc_errors_add(errors, PC_E_FILE, (pc_place){.file = path},
                             "cannot be written: make room on the disk, or name another with "
                             "--log");
    learn(session);
    replan(session);
    double late_s = (double)(session->time.wall_ms - session->planned_start_ms) / 1000.0;
    if (!bench_session_started(session) && late_s > 60.0)
        bench_say(session, "The planned start was %s ago: every time moves to a start now.",
                  pc_say_duration(late_s).s);
    return PC_OK;
}

void bench_session_end(struct bench_session *session) {
    if (session->now != session->plan)
        pc_schedule_free(session->now);
    pc_log_close(session->log);
    session->log = NULL;
}

/* ---- alarms ---- */

/* How many alarms are new: 1 or 0. */
static int raise_alarm(struct bench_session *session, const char *key, const char *text,
                       const char *remedy) {
    struct bench_alarm *alarm = NULL;
    for (size_t i = 0; i < session->alarm_count; i++)
        if (strcmp(session->alarm[i].key, key) == 0)
            alarm = &session->alarm[i];
    bool fresh = alarm == NULL;
    if (fresh) {
        /* Full: raised at the next tick, when those whose cause is gone have made room. To put one
         * out that holds would make it ring anew at every tick. */
        if (session->alarm_count == BENCH_ALARMS_MOST)
            return 0;
        alarm = &session->alarm[session->alarm_count++];
        memset(alarm, 0, sizeof *alarm);
        snprintf(alarm->key, sizeof alarm->key, "%s", key);
    }
    snprintf(alarm->text, sizeof alarm->text, "%s", text);
    snprintf(alarm->remedy, sizeof alarm->remedy, "%s", remedy);
    alarm->there = true;
    return fresh;
}

static int raise_steps(struct bench_session *session) {
    const pc_step *next = bench_session_next(session, 0);
    double now_s = bench_session_now(session);
    char key[64], text[320];
    int fresh = 0;
    if (next == NULL || !bench_session_started(session))
        return 0;
    if (next->at_s <= now_s + 0.5) {
        snprintf(key, sizeof key, "due %d %zu %d", (int)next->kind, next->part, next->layer);
        snprintf(text, sizeof text, "NOW: %s", next->text);
        fresh += raise_alarm(session, key, text, "");
    }
    double deadline_s = bench_session_deadline(session, next);
    if ((next->kind == PC_STEP_POUR || next->kind == PC_STEP_BRUSH) &&
        deadline_s - now_s < DEADLINE_WARN_S) {
        snprintf(key, sizeof key, "by %zu %d", next->part, next->layer);
        snprintf(text, sizeof text, "ALL IN BY %s",
                 pc_say_by(session->now->start_clock_s, deadline_s).s);
        fresh += raise_alarm(session, key, text, "");
    }
    /* Setting: nothing to tick, but the moment not to stop turning. */
    for (size_t i = 0; i < session->now->step_count; i++) {
        const pc_step *step = session->now->step[i];
        const pc_layer *layer = bench_session_layer(session, step);
        if (layer == NULL || !says_it_sets(step, layer) || step->at_s > now_s ||
            now_s > layer->stop_s ||
            isfinite(session->actual.layer[step->part][step->layer - 1].stop_s) ||
            isfinite(session->actual.layer[step->part][step->layer - 1].gel_s))
            continue;
        snprintf(key, sizeof key, "set %zu %d", step->part, step->layer);
        fresh += raise_alarm(session, key, step->text, "");
    }
    return fresh;
}

/* Summer time that begins or ends before the last demold: said ahead, since until then every time
 * is on the clock of now. */
static int raise_zone(struct bench_session *session) {
    double left_s = fmax(session->now->demold_s, session->now->demold_late_s); /* fmax drops NaN */
    if (!bench_session_started(session) || session->ended || !isfinite(left_s))
        return 0;
    left_s -= bench_session_now(session);
    int64_t end_ms = session->time.wall_ms + (int64_t)(1000.0 * fmax(left_s, 0.0));
    double zone = remainder(bench_zone(end_ms) - bench_zone(session->time.wall_ms), PC_DAY_S);
    char text[320];
    if (fabs(zone) < 1.0)
        return 0;
    snprintf(text, sizeof text, "Clocks go %s %s before this is over.",
             zone > 0.0 ? "forward" : "back", pc_say_duration(fabs(zone)).s);
    return raise_alarm(session, "zone", text,
                       "Until then every time here is on the clock of now; then all move at once. "
                       "Go by the time left.");
}

static int raise_alarms(struct bench_session *session) {
    char key[64];
    int fresh = 0;
    for (size_t i = 0; i < session->alarm_count; i++)
        session->alarm[i].there = false;
    for (size_t i = 0; i < session->now->warning_count && i < BENCH_WARNINGS_MOST; i++) {
        const pc_warning *warning = session->now->warning[i];
        /* Clocks in the text may move from tick to tick: the cause is its code, layer and head. */
        snprintf(key, sizeof key, "%.20s %zu %d %.11s", warning->code, warning->part,
                 warning->layer, warning->text);
        fresh += raise_alarm(session, key, warning->text, warning->remedy);
    }
    fresh += raise_steps(session) + raise_zone(session);
    if (session->pending_count > 0)
        fresh += raise_alarm(session, "disk", "NOT SAVED on the disk.",
                             "Make room; it is tried again every moment. Do not quit.");
    else if (session->unsaved[0] != '\0')
        fresh += raise_alarm(session, "disk", "NOT SAVED under its name.", session->unsaved);
    if (session->moved[0] != '\0')
        fresh += raise_alarm(session, "moved", session->moved, "");
    if (session->pace.surprising)
        fresh += raise_alarm(session, "pace",
                             "The resin gels far off its data sheet: check ratio, scale and "
                             "temperatures.",
                             "The rest is planned on what was seen.");
    size_t kept = 0;
    for (size_t i = 0; i < session->alarm_count; i++)
        if (session->alarm[i].there)
            session->alarm[kept++] = session->alarm[i];
    session->alarm_count = kept;
    return fresh;
}

bool bench_quiet(const struct bench_session *session) {
    for (size_t i = 0; i < session->alarm_count; i++)
        if (!session->alarm[i].acknowledged)
            return false;
    return true;
}

void bench_acknowledge(struct bench_session *session) {
    for (size_t i = 0; i < session->alarm_count; i++)
        session->alarm[i].acknowledged = true;
}

static void notice_jumps(struct bench_session *session) {
    int64_t sleep_ms = session->time.boot_ms - session->time.awake_ms;
    int64_t wall_ms = session->time.wall_ms - session->time.boot_ms;
    int64_t slept = sleep_ms - session->sleep_offset_ms, set = wall_ms - session->wall_offset_ms;
    double zone_s = bench_zone(session->time.wall_ms);
    double zone = remainder(zone_s - session->zone_s, PC_DAY_S);
    session->zone_s = zone_s;
    bool known = session->offsets_known;
    session->offsets_known = true;
    session->sleep_offset_ms = sleep_ms;
    session->wall_offset_ms = wall_ms;
    if (known && slept > JUMP_MS) {
        pc_event event = bench_event(session, PC_EVENT_SUSPEND);
        event.value = (double)slept / 1000.0;
        bench_record(session, &event);
        bench_say(session, "The machine slept for %s; the resin did not. The plan has caught up.",
                  pc_say_duration(event.value).s);
    }
    if (known && (set > JUMP_MS || set < -JUMP_MS)) {
        pc_event event = bench_event(session, PC_EVENT_CLOCK);
        event.value = (double)set / 1000.0;
        bench_record(session, &event);
        bench_say(
            session,
            "The clock on the wall was set %s %s; the schedule runs on regardless, every time "
            "of it is on the new clock.",
            pc_say_duration(fabs(event.value)).s, set > 0 ? "forward" : "back");
    }
    if (known && fabs(zone) >= 1.0) {
        pc_event event = bench_event(session, PC_EVENT_CLOCK);
        event.value = zone;
        snprintf(event.text, sizeof event.text, "zone");
        bench_record(session, &event);
        bench_say(session, "Clocks went %s %s here: every time has moved with them.",
                  zone > 0 ? "forward" : "back", pc_say_duration(fabs(zone)).s);
    }
}

int bench_session_tick(struct bench_session *session) {
    read_clock(session);
    notice_jumps(session);
    if (session->pending_count == 0)
        keep_log(session);
    else if (flush_pending(session))
        bench_say(session, "Saved: everything is on the disk again.");
    if (set_start(session))
        replan(session);
    const pc_step *next = bench_session_next(session, 0);
    bool overdue = next != NULL && next->at_s < bench_session_now(session);
    if (((overdue && bench_session_started(session)) || session->replan_failed) &&
        session->elapsed_ms - session->replanned_ms >= REPLAN_EVERY_MS)
        replan(session);
    return raise_alarms(session);
}
