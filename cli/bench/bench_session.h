/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A casting under way: the plan, the log, what has happened, what comes next. No terminal here. */
#ifndef PC_CLI_BENCH_BENCH_SESSION_H
#define PC_CLI_BENCH_BENCH_SESSION_H

#include "bench/bench_clock.h"
#include "pourclock.h"

#define BENCH_ALARMS_MOST   64
#define BENCH_WARNINGS_MOST 40 /* of the alarms: a plan's warnings leave room for what is due */
#define BENCH_PENDING_MOST  64

/* Something that must be heard. It rings until it is acknowledged. */
struct bench_alarm {
    char key[64]; /* the same cause has the same key: it rings once */
    char text[320], remedy[320];
    bool acknowledged, there; /* there: its cause still holds */
};

struct bench_session {
    const pc_piece *piece;
    /* As planned, and as it is now. Both are on the session's clock: plan.start_clock_s is set by
     * set_start alone, and now is made anew at once, so that no text keeps a time that has moved.
     */
    pc_schedule *plan; /* the caller's */
    pc_schedule *now;  /* plan itself until it could be made anew */
    pc_log *log;
    const char *path; /* of the log, as asked for; the caller's */
    struct bench_clock *clock;
    struct bench_time time;
    pc_actual actual;
    pc_pace pace;
    int64_t elapsed_ms, first_mix_ms; /* first_mix_ms: -1 before it */
    int64_t replanned_ms;
    int64_t planned_start_ms; /* on the wall, since 1970 */
    /* To notice a clock that was set, a sleep, summer time. */
    int64_t wall_offset_ms, sleep_offset_ms;
    double zone_s;
    bool offsets_known, ended, replan_failed;
    bool taken;        /* another clock has begun on the log's name: this one must end */
    size_t rewrites;   /* of the log, as said so far */
    char moved[320];   /* why and where the log goes on under another name; "": it does not */
    char unsaved[320]; /* why the log cannot be written; "": it can */
    bool start_fixed;  /* the first mix has set the start */
    /* Events that could not be written yet: kept, tried again with every tick, and shown. */
    size_t pending_count;
    pc_event pending[BENCH_PENDING_MOST];
    size_t alarm_count;
    struct bench_alarm alarm[BENCH_ALARMS_MOST];
    char message[320]; /* of the last key or happening */
};

/* Purpose:  begin or go on with a casting.
 * Given:    session zeroed; piece; plan, which is moved to the session's clock; path of the log;
 * clock, started; all kept until bench_session_end. Returned: PC_OK (session->message tells what
 * was found), or the log's status with an error. */
pc_status bench_session_begin(struct bench_session *session, const pc_piece *piece,
                              pc_schedule *plan, const char *path, struct bench_clock *clock,
                              pc_errors *errors);
void bench_session_end(struct bench_session *session);

/* Reads the clock, writes what is pending, plans anew where needed, raises alarms. Returns how many
 * new alarms there are. */
int bench_session_tick(struct bench_session *session);

/* Seconds from the first mix; before it, 0. */
double bench_session_now(const struct bench_session *session);
bool bench_session_started(const struct bench_session *session);

/* How far off the pace seen today may be, %, 19 times in 20. */
double bench_pace_percent(const struct bench_session *session);

/* The index-th step not done yet (0: the next), or NULL. Its layer, or NULL. */
const pc_step *bench_session_next(const struct bench_session *session, size_t index);
const pc_layer *bench_session_layer(const struct bench_session *session, const pc_step *step);

/* Deadline of a step, s from the first mix: pour-by of a mix or pour, bond window of a stop; NaN.
 */
double bench_session_deadline(const struct bench_session *session, const pc_step *step);

/* The clock's head: of the first mix plus the time since; before it, the clock on the wall. */
double bench_session_clock(const struct bench_session *session);

/* Time of day of a step; a first mix that waits for the caster is due now at the earliest. */
pc_words bench_step_clock(const struct bench_session *session, const pc_step *step);

/* For the keys: the last message; an event at the present time; keeping and writing one (true: it
 * is on the disk). */
void bench_say(struct bench_session *session, const char *format, ...) PC_PRINTF(2, 3);
pc_event bench_event(const struct bench_session *session, pc_event_kind kind);
bool bench_record(struct bench_session *session, pc_event *event);

/* After a mix was recorded: the shop it met, for the report's cup tests. */
void bench_record_air(struct bench_session *session, const pc_event *mix);

/* Keys. Each sets session->message, and is on the disk when it returns true. */
bool bench_done(struct bench_session *session);
bool bench_gelled(struct bench_session *session);
bool bench_cup_gelled(struct bench_session *session, double mass_g);
bool bench_late(struct bench_session *session, double by_s);
bool bench_thrown_away(struct bench_session *session);
bool bench_note(struct bench_session *session, const char *text);
bool bench_undo(struct bench_session *session);
void bench_pause(struct bench_session *session);
void bench_acknowledge(struct bench_session *session);

/* Whether every alarm was acknowledged. */
bool bench_quiet(const struct bench_session *session);

#endif
