/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The numbers that the searches draw from: the same of a seed on every machine. */
#ifndef TESTS_SPLITMIX_H
#define TESTS_SPLITMIX_H

#include <stdint.h>

/* splitmix64 (Steele, Lea, Flood 2014), from memory. */
static inline uint64_t splitmix(uint64_t *state) {
    uint64_t z = *state += 0x9E3779B97F4A7C15u;
    z = (z ^ z >> 30) * 0xBF58476D1CE4E5B9u;
    z = (z ^ z >> 27) * 0x94D049BB133111EBu;
    return z ^ z >> 31;
}

#endif
