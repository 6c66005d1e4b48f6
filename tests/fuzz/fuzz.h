/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A fuzz target: one function, and the libFuzzer entry point that calls it. */
#ifndef TESTS_FUZZ_H
#define TESTS_FUZZ_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

/* Whether the reader takes the bytes. Ends the program where a promise of the reader is broken. */
bool fuzz_accepts(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define FUZZ_ENTRY                                                                                 \
    int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {                                 \
        fuzz_accepts(data, size);                                                                  \
        return 0;                                                                                  \
    }

#define FUZZ_PROMISE(condition)                                                                    \
    do {                                                                                           \
        if (!(condition)) {                                                                        \
            fprintf(stderr, "%s:%d: broken: %s\n", __FILE__, __LINE__, #condition);                \
            abort();                                                                               \
        }                                                                                          \
    } while (0)

#endif
