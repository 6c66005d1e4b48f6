/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench/bench_clock.h"

#include "pourclock.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "print/fnv.h"

static int64_t read_ms(clockid_t id) {
    struct timespec at;
    if (clock_gettime(id, &at) != 0)
        return 0;
    return (int64_t)at.tv_sec * 1000 + at.tv_nsec / 1000000;
}

/* Tells one start of the machine from another; 0 where the system does not say. */
static uint64_t boot_number(void) {
    char text[64] = "";
    FILE *file = fopen("/proc/sys/kernel/random/boot_id", "re");
    if (file == NULL)
        return 0;
    if (fgets(text, sizeof text, file) == NULL)
        text[0] = '\0';
    fclose(file);
    size_t length = strcspn(text, "\n");
    return length > 0 ? fnv_1a(FNV_START, text, length) : 0;
}

static void read_real(struct bench_time *time) {
#ifdef CLOCK_BOOTTIME
    time->boot_ms = read_ms(CLOCK_BOOTTIME);
#else
    time->boot_ms = read_ms(CLOCK_MONOTONIC);
#endif
    time->awake_ms = read_ms(CLOCK_MONOTONIC);
    time->wall_ms = read_ms(CLOCK_REALTIME);
}

void bench_clock_start(struct bench_clock *clock, double speed) {
    memset(clock, 0, sizeof *clock);
    clock->speed = speed;
    const char *script = getenv("POURCLOCK_BENCH_CLOCK");
    if (script != NULL && script[0] != '\0') {
        clock->scripted = true;
        clock->base.wall_ms = (int64_t)strtoll(script, NULL, 10) * 1000;
        clock->base.boot_ms = clock->base.awake_ms = 1000000;
        clock->base.boot = 1;
        clock->at = clock->base;
        return;
    }
    read_real(&clock->base);
    clock->base.boot = boot_number();
}

void bench_clock_read(const struct bench_clock *clock, struct bench_time *time) {
    if (clock->scripted) {
        *time = clock->at;
        return;
    }
    read_real(time);
    time->boot = clock->base.boot;
    if (clock->speed > 1.0) {
        const struct bench_time *base = &clock->base;
        time->boot_ms =
            base->boot_ms + (int64_t)((double)(time->boot_ms - base->boot_ms) * clock->speed);
        time->awake_ms =
            base->awake_ms + (int64_t)((double)(time->awake_ms - base->awake_ms) * clock->speed);
        time->wall_ms =
            base->wall_ms + (int64_t)((double)(time->wall_ms - base->wall_ms) * clock->speed);
    }
}

void bench_clock_set(struct bench_clock *clock, double seconds) {
    int64_t ms = (int64_t)(seconds * 1000.0);
    if (!clock->scripted || clock->base.boot_ms + ms < clock->at.boot_ms)
        return;
    clock->at.boot_ms = clock->base.boot_ms + ms;
    clock->at.awake_ms = clock->base.awake_ms + ms;
    clock->at.wall_ms = clock->base.wall_ms + ms;
}

bool bench_clock_is_real(const struct bench_clock *clock) {
    return !clock->scripted && !(clock->speed > 1.0);
}

double bench_time_of_day(int64_t wall_ms) {
    time_t seconds = (time_t)(wall_ms / 1000);
    struct tm local;
    if (localtime_r(&seconds, &local) == NULL)
        return 0.0;
    return local.tm_hour * 3600.0 + local.tm_min * 60.0 + local.tm_sec +
           (double)(wall_ms % 1000) / 1000.0;
}

double bench_zone(int64_t wall_ms) {
    double utc_s = fmod((double)(wall_ms / 1000), PC_DAY_S) + (double)(wall_ms % 1000) / 1000.0;
    return remainder(bench_time_of_day(wall_ms) - utc_s, PC_DAY_S);
}

int64_t bench_planned_start(double start_clock_s, int64_t wall_ms) {
    double now_s = bench_time_of_day(wall_ms), ahead_s = start_clock_s - now_s;
    bool today = ahead_s >= 0.0 && ahead_s <= 18.0 * 3600.0;
    double next_s = ahead_s < 0.0 ? ahead_s + PC_DAY_S : ahead_s;
    if (!today)
        ahead_s = next_s <= 6.0 * 3600.0 ? next_s : next_s - PC_DAY_S;
    return wall_ms + (int64_t)(ahead_s * 1000.0);
}
