/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A day's castings: several pieces and copies, so many pairs of hands, turning stations, molds that
 * are busy from first pour to demold, a working day with breaks.
 *
 * Each casting is a comb of hands-on jobs at fixed times after its start, as its own schedule says:
 * pot lives and bond windows hold because the comb is moved as a whole. Its demold waits until
 * hands are free; a mold is poured again once it is opened, cleaned and has rested. No two hands-on
 * jobs need more hands than there are, and none runs into a break. */
#ifndef POURCLOCK_DAY_H
#define POURCLOCK_DAY_H

#include <stdbool.h>
#include <stddef.h>
#include <string.h>

#include "pourclock/errors.h"
#include "pourclock/export.h"
#include "pourclock/piece.h"
#include "pourclock/safety.h"
#include "pourclock/schedule.h"
#include "pourclock/status.h"
#include "pourclock/vocabulary.h"

PC_BEGIN_DECLS

#define PC_DAY_PIECES_MOST   24
#define PC_DAY_CASTINGS_MOST 256
#define PC_DAY_DAYS_MOST     31 /* working days */

/* X(name, word in JSON) */
#define PC_DAY_DO_TABLE(X)                                                                         \
    X(PC_DAY_SETUP, "setup")                                                                       \
    X(PC_DAY_POUR, "pour")                                                                         \
    X(PC_DAY_STOP, "stop")                                                                         \
    X(PC_DAY_DEMOLD, "demold")

typedef enum pc_day_do {
#define PC_DAY_DO_ENUM_(name, word) name,
    PC_DAY_DO_TABLE(PC_DAY_DO_ENUM_)
#undef PC_DAY_DO_ENUM_
} pc_day_do;

typedef struct pc_day_break {
    double from_s, until_s; /* clock */
} pc_day_break;

/* A working day, its clock counted from midnight before the first day of the calendar. */
typedef struct pc_day_workday {
    int offset; /* days after the first */
    double from_s, until_s;
} pc_day_workday;

/* A piece of a day, as its files say. */
typedef struct pc_day_piece {
    const char *name;
    const pc_resin *resin; /* for its cautions; its name is "" where the piece was not read */
    int copies, molds;
    size_t mold_of; /* 1 + the piece whose molds it is poured in; 0: its own */
    double due_s;   /* clock, from midnight before the first day; NaN: none */
} pc_day_piece;

/* What is read of a day file, and behind it all that is planned of its pieces. Made by pc_day_read,
 * freed by pc_day_free; the library's, as a pc_schedule is. */
typedef struct pc_day {
    const char *name;
    double start_s, end_s; /* clock; at most 24 h */
    int days;              /* working days; 0 is 1 */
    int first[3];          /* year, month, day; year 0: no date, and every day is worked */
    int hands, stations;
    size_t break_count;
    const pc_day_break **rest;
    size_t piece_count;
    pc_day_piece **piece;
} pc_day;

typedef struct pc_day_casting {
    size_t piece, job;
    int copy, mold; /* from 1 */
    int station;    /* from 1; 0: none */
    double start_s; /* clock, first hands-on job */
    double station_from_s, station_until_s;
    double ready_s, demold_s; /* clock; demold_s NaN: stays overnight */
    double done_s;
    bool late; /* done after it is due */
} pc_day_casting;

typedef struct pc_day_entry {
    double from_s, until_s; /* clock */
    pc_day_do what;
    size_t casting, part;
    int layer, person; /* person from 1 */
    char text[256];    /* "otter, casting 1 (mold 1): layer 2: mix and pour" */
} pc_day_entry;

/* What becomes of a resin's kits on a working day on which something does. */
typedef struct pc_day_kit_use {
    size_t kit, workday;
    char resin[PC_NAME_SIZE];
    double used_kg;
    double discarded_kg; /* past its shelf life before the day's first batch */
    int opened;          /* new kits */
    double left_kg;      /* in the last one, at the end of the day */
    int use_by;          /* day after the first: the last of what is left; -1: any */
    char text[256];      /* "kits: Fast urethane: open 1 of 8000 g; 1519 g left at the end, to be
                            used by Sat 2027-01-16" */
} pc_day_kit_use;

/* What all castings of a day give off in the one shop. NaN where unknown or not stated. */
typedef struct pc_day_air {
    char name[64];   /* substance with the strictest limit; "": nothing with a figure */
    bool several;    /* others are counted in proportion to their own limits */
    double vapor_kg; /* estimate */
    double limit_fraction, mixing;
    double room_m3, ventilation_m3_s; /* the smallest that a piece states */
    double air_m3_s;                  /* estimate: fresh air to stay below the limit for ever */
    double highest_fraction, highest_clock_s; /* estimate, in the stated room */
} pc_day_air;

/* Made by pc_day_make, freed by pc_day_plan_free; the library's, as a pc_schedule is. */
typedef struct pc_day_plan {
    size_t asked, count; /* castings asked for; placed */
    bool fits;           /* all of them */
    bool proven;         /* it is at its bound: more castings fit nowhere, or not sooner */
    size_t count_bound;  /* no plan has more castings than this */
    double finish_s;     /* clock; NaN for none */
    size_t late_count;   /* castings done after they are due */
    size_t workday_count;
    pc_day_workday **workday;
    double bound_s;           /* where fits: no plan finishes earlier */
    pc_day_casting **casting; /* by start */
    size_t entry_count;
    pc_day_entry **entry; /* by time */
    size_t kit_use_count;
    pc_day_kit_use **kit_use; /* by day */
    pc_day_air *air;
    size_t give_count;
    char give[8][240]; /* does not fit: the least that must give, each planned */
} pc_day_plan;

/* Word of a job, "pour"; "" outside the table. */
static inline const char *pc_day_do_word(pc_day_do what) {
    return pc_word(PC_WORDS_DAY_DO, (int)what);
}

/* Whether a piece is the first of its resin: pieces of one resin have its cautions once. */
static inline bool pc_day_first_of_resin(const pc_day *day, size_t piece) {
    const char *name = day->piece[piece]->resin->name;
    for (size_t i = 0; i < piece; i++)
        if (strcmp(day->piece[i]->resin->name, name) == 0)
            return false;
    return name[0] != '\0';
}

/* Purpose:  read a day file, and read and plan every piece it names, over the defaults of a shop
 *           file (NULL, and pc_day_read: none).
 * Returned: *day, to be freed; PC_OK, where the schedule of a piece does not hold, too; the first
 *           error's status with every wrong line in errors: *day is NULL. */
PC_API pc_status pc_day_read_in_shop(const char *shop, const char *path, pc_day **day,
                                     pc_errors *errors);
static inline pc_status pc_day_read(const char *path, pc_day **day, pc_errors *errors) {
    return pc_day_read_in_shop(NULL, path, day, errors);
}

/* Purpose:  the most castings, and of those plans the earliest finish.
 * Returned: *plan, to be freed; PC_OK: if not all fit, or some are late, too: then give says what
 *           must give; PC_E_VALUE and others with errors, PC_E_MEMORY: *plan is NULL.
 * Notes:    castings in many orders, each at the first place it fits on whole minutes, improved by
 *           moves. bound_s and count_bound are what no plan can beat; the plan is proven if it is
 *           at them. Of plans of 8 to 24 castings whose best is known it ends within 0.5 % of it
 *           in the mean (tests/bench/bench_day.c). */
PC_API pc_status pc_day_make(const pc_day *day, pc_day_plan **plan, pc_errors *errors);

/* Purpose:  the day of a clock time: "Mon 2026-12-07", "Day 2" if no date is given, "" if there is
 *           but one. Given: text of size > 0. */
PC_API void pc_day_date_text(char *text, size_t size, const pc_day *day, double clock_s);

/* A resin to weigh on a working day, one a name. */
typedef struct pc_day_resin {
    const char *name; /* of the day's piece */
    double part_a_kg, part_b_kg, filler_kg;
    int batches;
} pc_day_resin;

/* Purpose:  the resins to weigh on a working day.
 * Given:    resin: room for PC_DAY_PIECES_MOST. Returned: how many. */
PC_API size_t pc_day_weigh(const pc_day *day, const pc_day_plan *plan,
                           const pc_day_workday *workday, pc_day_resin *resin);

/* What a number of castings needs. */
#define PC_DAY_CHANGES_MOST 40

typedef struct pc_day_change {
    char text[120];
    bool meets;      /* the date, with this change alone */
    double finish_s; /* clock; NaN: not within PC_DAY_DAYS_MOST working days */
    int workdays;    /* begun by then */
    double saved_s;  /* working time less than without it */
} pc_day_change;

typedef struct pc_day_need {
    int castings;
    double date_s;  /* clock by which all are to be done: the last working day ends */
    double bound_s; /* no plan of the days as they are is done before it */
    size_t change_count;
    pc_day_change change[PC_DAY_CHANGES_MOST]; /* [0]: as it is; then one change each */
    size_t remedy_count;
    char remedy[8][248]; /* the date is not met as it is: single changes that meet it, else pairs */
} pc_day_need;

/* Purpose:  the fewest working days for a number of castings, and what one change would save.
 * Given:    day as read; castings: 1 to PC_DAY_CASTINGS_MOST, shared out to the pieces as their
 *           copies are. Pieces that have a path are planned again in a warmer shop, and in faster
 *           resins of their family on the shelf.
 * Returned: *need; PC_OK; PC_E_VALUE and others with errors; PC_E_MEMORY. */
PC_API pc_status pc_day_need_of(const pc_day *day, int castings, pc_day_need *need,
                                pc_errors *errors);

/* Purpose:  free a day and a plan of it; each may be NULL. */
PC_API void pc_day_free(pc_day *day, pc_day_plan *plan);
static inline void pc_day_plan_free(pc_day_plan *plan) {
    pc_day_free(NULL, plan);
}

PC_END_DECLS

#endif
