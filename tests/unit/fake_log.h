/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A log in a file of its own, and what the tests of logs do with it. */
#ifndef TESTS_FAKE_LOG_H
#define TESTS_FAKE_LOG_H

#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "pourclock/bench.h"
#include "unit.h"

#define PIECE 0x0123456789abcdefULL

static char path[64];

static inline void make_path(void) {
    snprintf(path, sizeof path, "/tmp/pourclock-log-XXXXXX");
    int fd = mkstemp(path);
    ck_assert_int_ge(fd, 0);
    close(fd);
}

static inline void drop_path(void) {
    unlink(path);
}

static inline pc_event event_of(pc_event_kind kind, int64_t elapsed_ms, const char *text) {
    pc_event event = {0};
    event.elapsed_ms = elapsed_ms;
    event.boot_ms = 5000000 + elapsed_ms;
    event.wall_ms = 1764072000000 + elapsed_ms;
    event.boot = 0xfeedULL;
    event.kind = kind;
    event.part = 0;
    event.layer = 1;
    event.value = NAN;
    snprintf(event.text, sizeof event.text, "%s", text);
    return event;
}

/* Writes n events through a log; returns how many were acknowledged. */
static inline int write_events(pc_log *log, int n) {
    int acknowledged = 0;
    for (int i = 0; i < n; i++) {
        char text[48];
        snprintf(text, sizeof text, "event %d\tof\nthe \\ day", i + 1);
        pc_event event = event_of(i % 2 ? PC_EVENT_MIX : PC_EVENT_NOTE, 1000 * (i + 1), text);
        event.value = i % 3 ? NAN : 0.125 * i;
        acknowledged += pc_log_append(log, &event, NULL) == PC_OK;
    }
    return acknowledged;
}

static inline char *slurp(size_t *size) {
    FILE *file = fopen(path, "rb");
    ck_assert_ptr_nonnull(file);
    char *data = calloc(1, 1 << 20);
    ck_assert_ptr_nonnull(data);
    *size = fread(data, 1, 1 << 20, file);
    fclose(file);
    return data;
}

static inline void spill(const char *data, size_t size) {
    FILE *file = fopen(path, "wb");
    ck_assert_ptr_nonnull(file);
    ck_assert_uint_eq(fwrite(data, 1, size, file), size);
    ck_assert_int_eq(fclose(file), 0);
}

#endif
