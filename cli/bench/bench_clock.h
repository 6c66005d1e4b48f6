/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The clocks the bench runs on. */
#ifndef PC_CLI_BENCH_BENCH_CLOCK_H
#define PC_CLI_BENCH_BENCH_CLOCK_H

#include <stdbool.h>
#include <stdint.h>

/* One reading. boot counts sleep, awake does not; both from the machine's start. */
struct bench_time {
    int64_t boot_ms, awake_ms, wall_ms;
    uint64_t boot;
};

struct bench_clock {
    double speed;               /* 1: real time; faster in a rehearsal */
    bool scripted;              /* stands still until bench_clock_set: for tests */
    struct bench_time base, at; /* where a rehearsal began; where a script stands */
};

/* Purpose:  start a clock. Given: speed >= 1.
 * Notes:    POURCLOCK_BENCH_CLOCK=WALL_SECONDS in the environment makes a scripted one, moved by
 *           "@SECONDS" in the input; the screen and the log then say that it is no real run. */
void bench_clock_start(struct bench_clock *clock, double speed);
void bench_clock_read(const struct bench_clock *clock, struct bench_time *time);
/* Moves a scripted clock to so many seconds from its start (backward is ignored). */
void bench_clock_set(struct bench_clock *clock, double seconds);
bool bench_clock_is_real(const struct bench_clock *clock);

/* Seconds after midnight, local time, of a wall clock reading. */
double bench_time_of_day(int64_t wall_ms);

/* How far local time is ahead of UTC then, s, in -43200 to 43200: it changes with summer time. */
double bench_zone(int64_t wall_ms);

/* Purpose:  when a start planned for a time of day is, beside the clock on the wall now.
 * Given:    start_clock_s after midnight; wall_ms.
 * Returned: ms since 1970: the next one where it is up to 6 h ahead, or later today up to 18 h;
 *           otherwise the last one: at 00:05, a start at 23:55 is ten minutes ago. */
int64_t bench_planned_start(double start_clock_s, int64_t wall_ms);

#endif
