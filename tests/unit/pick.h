/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers by chance, the same ones every time: set pick_state first. */
#ifndef TESTS_PICK_H
#define TESTS_PICK_H

#include <stdint.h>

static uint32_t pick_state;

/* How many of `all` cases by chance: a tenth where sanitizers make each take ten times as long. */
static inline int draws(int all) {
#ifdef __SANITIZE_ADDRESS__
    return all < 10 ? 1 : all / 10;
#else
    return all;
#endif
}

static inline int pick(int low, int high) {
    pick_state = pick_state * 1664525u + 1013904223u;
    return low + (int)((pick_state >> 8) % (uint32_t)(high - low + 1));
}

#endif
