/* SPDX-License-Identifier: GPL-3.0-or-later */
/* FNV-1a of 64 bits: a number for a text, the same on every machine; not for secrets. */
#ifndef PC_CLI_PRINT_FNV_H
#define PC_CLI_PRINT_FNV_H

#include <stddef.h>
#include <stdint.h>

#define FNV_START 14695981039346656037ULL

static inline uint64_t fnv_1a(uint64_t hash, const void *data, size_t size) {
    const unsigned char *at = data;
    for (size_t i = 0; i < size; i++)
        hash = (hash ^ at[i]) * 1099511628211ULL;
    return hash;
}

#endif
