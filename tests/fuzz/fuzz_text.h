/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A fuzzer's bytes on standard input, in a file without a name, for readers that take a path: they
 * read "-". Paths inside the bytes start in tests/fuzz/beside. */
#ifndef TESTS_FUZZ_TEXT_H
#define TESTS_FUZZ_TEXT_H

#include <fcntl.h>
#include <unistd.h>

#include "fuzz.h"

/* The folder to go back to afterwards. */
static inline int fuzz_text_enter(const uint8_t *data, size_t size) {
    static int file = -1, here = -1, beside = -1;
    if (file < 0) {
        char name[] = "/tmp/fuzz-XXXXXX";
        file = mkstemp(name);
        FUZZ_PROMISE(file >= 0 && unlink(name) == 0);
        here = open(".", O_RDONLY | O_DIRECTORY);
        beside = open(TEST_SRCDIR "/tests/fuzz/beside", O_RDONLY | O_DIRECTORY);
        FUZZ_PROMISE(here >= 0 && beside >= 0 && dup2(file, STDIN_FILENO) == STDIN_FILENO);
    }
    FUZZ_PROMISE(ftruncate(file, 0) == 0 && pwrite(file, data, size, 0) == (ssize_t)size);
    FUZZ_PROMISE(lseek(STDIN_FILENO, 0, SEEK_SET) == 0 && fchdir(beside) == 0);
    return here;
}

static inline void fuzz_text_leave(int here) {
    FUZZ_PROMISE(fchdir(here) == 0);
}

#endif
