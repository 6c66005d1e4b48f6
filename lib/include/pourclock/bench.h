/* SPDX-License-Identifier: GPL-3.0-or-later */
/* At the bench: the log of what really happened, and the plan for what is left. Nothing here
 * prints or reads a clock: times are handed in. */
#ifndef POURCLOCK_BENCH_H
#define POURCLOCK_BENCH_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "pourclock/errors.h"
#include "pourclock/export.h"
#include "pourclock/piece.h"
#include "pourclock/schedule.h"
#include "pourclock/status.h"
#include "pourclock/vocabulary.h"

PC_BEGIN_DECLS

/* X(name, word in the log). Numbers are not stored, words are: append freely. */
#define PC_EVENT_TABLE(X)                                                                          \
    X(PC_EVENT_START, "start")     /* the first mix; text: piece and resin */                      \
    X(PC_EVENT_PLAN, "plan")       /* one planned step; value: when, s; text: its word */          \
    X(PC_EVENT_SET, "set")         /* the wires of a part are set */                               \
    X(PC_EVENT_MIX, "mix")         /* A met B */                                                   \
    X(PC_EVENT_POUR, "pour")       /* the last of the batch is in */                               \
    X(PC_EVENT_TURN, "turn")       /* the mold turns */                                            \
    X(PC_EVENT_STOP, "stop")       /* it stands */                                                 \
    X(PC_EVENT_GEL, "gel")         /* the layer gelled; value: predicted then, s */                \
    X(PC_EVENT_CUP_GEL, "cup-gel") /* left-over in the cup gelled; value: its mass, g */           \
    X(PC_EVENT_DEMOLD, "demold")   /* out of the mold */                                           \
    X(PC_EVENT_LATE, "late")       /* the next step will be late; value: by, s */                  \
    X(PC_EVENT_DISCARD, "discard") /* the batch was thrown away: mix it anew */                    \
    X(PC_EVENT_NOTE, "note")                                                                       \
    X(PC_EVENT_UNDO, "undo")       /* value: number of the line taken back */                      \
    X(PC_EVENT_RESUME, "resume")   /* the clock was started again; value: gap, s */                \
    X(PC_EVENT_SUSPEND, "suspend") /* the machine slept; value: for, s */                          \
    X(PC_EVENT_CLOCK, "clock")     /* the clock on the wall was set; value: by, s */               \
    X(PC_EVENT_DAMAGE, "damage")   /* what was found wrong with the log */                         \
    X(PC_EVENT_END, "end")

typedef enum pc_event_kind {
#define PC_EVENT_ENUM_(name, word) name,
    PC_EVENT_TABLE(PC_EVENT_ENUM_)
#undef PC_EVENT_ENUM_
        PC_EVENT_KIND_COUNT
} pc_event_kind;

#define PC_EVENT_TEXT_SIZE 160

/* One line of the log. Times in milliseconds: elapsed since the log began (what the schedule runs
 * on), the machine's since it was started (counting sleep), and the clock on the wall since 1970.
 */
typedef struct pc_event {
    long number; /* from 1; given by pc_log_append */
    int64_t elapsed_ms, boot_ms, wall_ms;
    uint64_t boot; /* distinguishes one start of the machine from another */
    pc_event_kind kind;
    int part, layer; /* part from 0, layer's number from 1; -1, 0: none */
    double value;    /* to a thousandth; NaN: none */
    char text[PC_EVENT_TEXT_SIZE];
} pc_event;

/* A line that is not as it was written: it is left out, and kept in the file as it is. Or a gap:
 * the line counts, but numbers before it are missing. */
typedef struct pc_log_damage {
    long line; /* in the file, from 1 */
    bool gap;
    char text[96];
} pc_log_damage;

typedef struct pc_log pc_log;

/* Word of an event kind, "cup-gel"; "" outside the table. */
static inline const char *pc_event_word(pc_event_kind kind) {
    return pc_word(PC_WORDS_EVENT, (int)kind);
}

/* Purpose:  fingerprint of what a log belongs to: the piece, its resin, parts, mold and shop.
 * Returned: FNV-1a, 64 bits, of these inputs written to nine digits; 0 for NULL. */
PC_API uint64_t pc_piece_fingerprint(const pc_piece *piece);

/* Purpose:  open a log for a piece to go on with, or begin one.
 * Given:    path; piece: fingerprint.
 * Returned: *log, locked against a second writer, to be closed by pc_log_close; PC_OK; PC_E_FILE
 *           (cannot be opened, another clock has it), PC_E_SYNTAX (not a log), PC_E_VALUE (the log
 *           of another piece), PC_E_SIZE (over PC_LOG_MOST_BYTES), PC_E_MEMORY, each with an error.
 * Notes:    a torn last line, cut off by a crash while it was written and therefore never
 *           acknowledged, is dropped from the file and reported by pc_log_torn; a wrong line
 *           elsewhere stays in the file, is left out and named by pc_log_damages. */
#define PC_LOG_MOST_BYTES (4 * 1024 * 1024)
#define PC_LOG_READ       0 /* for a fingerprint: see pc_log_read */
PC_API pc_status pc_log_open(const char *path, uint64_t piece, pc_log **log, pc_errors *errors);

/* Purpose:  read a log without touching it (no lock; a torn tail is left out, not cut).
 * Returned: *log, for the functions below but pc_log_append; as pc_log_open. */
static inline pc_status pc_log_read(const char *path, pc_log **log, pc_errors *errors) {
    return pc_log_open(path, PC_LOG_READ, log, errors);
}

/* Purpose:  add one event; when this returns PC_OK it is on the disk, in a file that the log's name
 *           leads to.
 * Given:    log; event with everything but its number; NULL: as pc_log_keep.
 * Returned: event->number; PC_OK; PC_E_FILE with an error (disk full, ...): the event is not in
 *           the log, call again with it later; PC_E_ARGUMENT (a log that was only read, an event
 *           that cannot be written).
 * Notes:    a log that was moved, deleted, replaced or written over is dealt with as by
 *           pc_log_keep. */
PC_API pc_status pc_log_append(pc_log *log, pc_event *event, pc_errors *errors);

/* Purpose:  see that the log's name still leads to the file that is written, with all that was
 *           written; otherwise write every event again to a new file and go on there: under its
 *           own name where that is free, else NAME.2, NAME.3 ... Nothing is written over.
 * Returned: PC_OK: the events are under pc_log_path; pc_log_rewrites counts how many times they
 *           were written again, pc_log_why says why the last time. PC_E_FILE with an error: they
 *           cannot be written (call again later), or another clock has begun on the name
 *           (pc_log_taken: then this one must end); PC_E_ARGUMENT (a log that was only read). */
static inline pc_status pc_log_keep(pc_log *log, pc_errors *errors) {
    return pc_log_append(log, NULL, errors);
}

/* A log as it stands. */
typedef struct pc_log_state {
    const char *path; /* the file that is written or was read */
    uint64_t piece;   /* fingerprint of the piece it is of; 0: empty log */
    size_t count;
    const pc_event *event;
    size_t damage_count; /* wrong lines */
    const pc_log_damage *damage;
    size_t torn;     /* bytes of a torn tail */
    size_t rewrites; /* how many times the events were written again, */
    const char *why; /* and why the last time; "" for never */
    bool taken;      /* another clock has begun on the log's name */
} pc_log_state;

/* Purpose:  look at a log. Returned: its state, good until the next call that is given the log;
 *           an empty one for NULL. */
PC_API pc_log_state pc_log_look(const pc_log *log);

/* Purpose:  close a log; NULL is allowed. */
PC_API void pc_log_close(pc_log *log);

/* The same by name; the index-th is NULL past the end. */
static inline const char *pc_log_path(const pc_log *log) {
    return pc_log_look(log).path;
}
static inline uint64_t pc_log_piece(const pc_log *log) {
    return pc_log_look(log).piece;
}
static inline size_t pc_log_count(const pc_log *log) {
    return pc_log_look(log).count;
}
static inline const pc_event *pc_log_event(const pc_log *log, size_t index) {
    pc_log_state state = pc_log_look(log);
    return index < state.count ? &state.event[index] : NULL;
}
static inline size_t pc_log_damages(const pc_log *log) {
    return pc_log_look(log).damage_count;
}
static inline const pc_log_damage *pc_log_damage_at(const pc_log *log, size_t index) {
    pc_log_state state = pc_log_look(log);
    return index < state.damage_count ? &state.damage[index] : NULL;
}
static inline size_t pc_log_torn(const pc_log *log) {
    return pc_log_look(log).torn;
}
static inline size_t pc_log_rewrites(const pc_log *log) {
    return pc_log_look(log).rewrites;
}
static inline const char *pc_log_why(const pc_log *log) {
    return pc_log_look(log).why;
}
static inline bool pc_log_taken(const pc_log *log) {
    return pc_log_look(log).taken;
}

/* Purpose:  time since the log began, now.
 * Given:    boot, boot_ms, wall_ms: the machine's start and clocks now.
 * Returned: milliseconds, never less than the last line's. After a restart of the machine the
 *           clock on the wall bridges the gap. *restarted (may be NULL) says so. */
PC_API int64_t pc_log_elapsed(const pc_log *log, uint64_t boot, int64_t boot_ms, int64_t wall_ms,
                              bool *restarted);

/* What happened to a layer, in seconds from the first mix; NaN: not yet. */
typedef struct pc_actual_layer {
    double mix_s, pour_end_s, turn_s, stop_s, gel_s, late_s;
    int discarded; /* batches thrown away */
} pc_actual_layer;

typedef struct pc_actual {
    pc_actual_layer layer[PC_PARTS_MOST][PC_LAYERS_MOST];
    double set_s[PC_PARTS_MOST]; /* its wires are set */
    double demold_s[PC_PARTS_MOST];
    double demold_late_s[PC_PARTS_MOST]; /* late by so much, as reported */
} pc_actual;

/* How fast the resin cures against its data sheet: exp(ln_s) times, with its standard error. */
typedef struct pc_pace {
    double ln_s, ln_s_error;
    int observations;
    bool surprising; /* further off than the spread allows: something is not as stated */
} pc_pace;

/* Purpose:  what happened, from the lines of a log (those taken back left out).
 * Given:    events in order. Returned: *actual, with times from the first mix; *first_mix_ms: the
 *           elapsed time of the first mix, -1 where it has not happened. */
PC_API void pc_actual_from_events(const pc_event *const *events, size_t count, pc_actual *actual,
                                  int64_t *first_mix_ms);

/* Purpose:  nothing has happened yet. */
static inline void pc_actual_init(pc_actual *actual) {
    int64_t first_mix_ms;
    pc_actual_from_events(NULL, 0, actual, &first_mix_ms);
}

/* Purpose:  plan what is left from what happened.
 * Given:    piece; plan: the schedule made of it, whose start_clock_s is the clock of the work in
 *           hand: where the first mix was, or is to be, at another time than planned, set it first.
 *           Every text is on that clock and so is the shop's air; actual; now_s from the first mix:
 *           what has not happened by then happens now at the earliest; pace: as estimated by
 * pc_pace_estimate (NULL: the data sheet's). Returned: *replan, a schedule of the same layers and
 * masses with every time anew, and warnings of what has gone wrong with the remedy (codes
 * "pot-life", "bond-window", "peak"); to be freed by pc_schedule_free; PC_OK, PC_E_ARGUMENT,
 * PC_E_MEMORY, PC_E_NUMERIC. */
PC_API pc_status pc_replan(const pc_piece *piece, const pc_schedule *plan, const pc_actual *actual,
                           double now_s, const pc_pace *pace, pc_schedule **replan);

/* Purpose:  estimate the resin's pace from the gels that were seen.
 * Given:    as pc_replan. Each gel gives the pace that reproduces it, known to 5 % (a gel is felt,
 *           not measured: practice); the data sheet is known to piece->margins.times or the fit's
 *           own error; both weighed by their precision. A gel more than 3 errors off the data
 *           sheet overrules it and is called surprising.
 * Returned: *pace; PC_OK, PC_E_ARGUMENT, PC_E_MEMORY, PC_E_NUMERIC. */
PC_API pc_status pc_pace_estimate(const pc_piece *piece, const pc_schedule *plan,
                                  const pc_actual *actual, double now_s, pc_pace *pace);

/* Purpose:  CRC-32 of ISO 3309 (as in Ethernet and PNG). */
PC_API uint32_t pc_crc32(const void *data, size_t size);

PC_END_DECLS

#endif
