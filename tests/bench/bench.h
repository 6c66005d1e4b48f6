/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the benches share. */
#ifndef TESTS_BENCH_H
#define TESTS_BENCH_H

#include <stdio.h>
#include <stdlib.h>
#include <time.h>

static inline double seconds_of(clockid_t clock) {
    struct timespec t;
    clock_gettime(clock, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* By the wall: what a user waits. */
static inline double clock_s(void) {
    return seconds_of(CLOCK_MONOTONIC);
}

/* By the processors, which other work on the machine disturbs less. */
static inline double cpu_s(void) {
    return seconds_of(CLOCK_PROCESS_CPUTIME_ID);
}

static inline int by_size(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static inline void stop(const char *what) {
    fprintf(stderr, "bench: %s failed\n", what);
    exit(EXIT_FAILURE);
}

#endif
