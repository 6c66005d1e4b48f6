/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers out of a fuzzer's bytes: any double there is, and often a plausible one, so that a solver
 * is reached and not only the judge before it. Out of bytes, everything is 0 or the middle. */
#ifndef TESTS_FUZZ_BYTES_H
#define TESTS_FUZZ_BYTES_H

#include <float.h>
#include <math.h>
#include <string.h>

#include "base/try.h"
#include "fuzz.h"
#include "pourclock/status.h"

typedef struct fuzz_bytes {
    const uint8_t *at;
    size_t left;
} fuzz_bytes;

static inline unsigned take_byte(fuzz_bytes *b) {
    if (b->left == 0)
        return 0x80;
    b->left--;
    return *b->at++;
}

static inline unsigned take_pair(fuzz_bytes *b) {
    unsigned high = take_byte(b);
    return high << 8 | take_byte(b);
}

/* 0 to below n. */
static inline size_t take_below(fuzz_bytes *b, size_t n) {
    return take_pair(b) % n;
}

static inline double take_raw(fuzz_bytes *b) {
    uint64_t bits = 0;
    for (int i = 0; i < 8; i++)
        bits = bits << 8 | take_byte(b);
    double value;
    memcpy(&value, &bits, sizeof value);
    return value;
}

/* Mostly low..high; one in eight a number on the edge of what there is, or any bits. */
static inline double take_number(fuzz_bytes *b, double low, double high) {
    const double edge[] = {NAN,     INFINITY, -INFINITY, 0.0,         -0.0,   DBL_MIN, 5e-324,
                           DBL_MAX, -DBL_MAX, -1.0,      DBL_EPSILON, 1e-300, 1e300,   1.0};
    unsigned tag = take_byte(b);
    if (tag < sizeof edge / sizeof *edge)
        return edge[tag];
    if (tag == 14)
        return low;
    if (tag == 15)
        return high;
    if (tag < 32)
        return take_raw(b);
    return low + (high - low) * take_pair(b) / 65535.0;
}

static inline size_t take_size(fuzz_bytes *b, size_t most) {
    const size_t edge[] = {0, 1, 2, most, most + 1};
    unsigned tag = take_byte(b);
    return tag < sizeof edge / sizeof *edge ? edge[tag] : take_pair(b) % (most + 1);
}

/* A few of a record's numbers changed: by a factor from 1/4 to 4, or as take_number. */
static inline void take_changes(fuzz_bytes *b, size_t count, double *const *field) {
    for (size_t changes = take_byte(b) % 4; changes > 0; changes--) {
        double *one = field[take_byte(b) % count];
        double low = *one / 4, high = *one * 4;
        *one = isfinite(low) && isfinite(high) ? take_number(b, low, high) : take_number(b, 0, 1e3);
    }
}

static inline bool status_is_known(pc_status status) {
    return strcmp(pci_status_name(status), "PC_?") != 0 &&
           strcmp(pc_status_text(status), "unknown status") != 0;
}

#endif
