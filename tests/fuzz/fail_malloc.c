/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Loaded in front of the C library, lets the N-th allocation of the process fail, N from the
 * environment variable FAIL_MALLOC_AT. When the process ends it appends to the file named by
 * FAIL_MALLOC_COUNT how many allocations there were. Those before main, of the loader and of
 * libraries starting up, are let through and not counted. */
#include <dlfcn.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static void *(*next_malloc)(size_t);
static void *(*next_calloc)(size_t, size_t);
static void *(*next_realloc)(void *, size_t);
static long count, fail_at;
static bool ready, in_main;
/* dlsym itself allocates before next_calloc is known. */
static char early[4096];
static size_t early_used;

static void find(void) {
    if (ready)
        return;
    ready = true;
    void *symbol = dlsym(RTLD_NEXT, "malloc");
    memcpy(&next_malloc, &symbol, sizeof symbol);
    symbol = dlsym(RTLD_NEXT, "calloc");
    memcpy(&next_calloc, &symbol, sizeof symbol);
    symbol = dlsym(RTLD_NEXT, "realloc");
    memcpy(&next_realloc, &symbol, sizeof symbol);
    const char *at = getenv("FAIL_MALLOC_AT");
    fail_at = at ? strtol(at, NULL, 10) : 0;
}

static bool fails(void) {
    if (!in_main)
        return false;
    long now = __atomic_add_fetch(&count, 1, __ATOMIC_RELAXED);
    return fail_at > 0 && now == fail_at;
}

void *malloc(size_t size) {
    find();
    return fails() ? NULL : next_malloc(size);
}

void *calloc(size_t n, size_t size) {
    find();
    if (!next_calloc) {
        void *p = early + early_used;
        early_used += (n * size + 15) / 16 * 16;
        return early_used <= sizeof early ? p : NULL;
    }
    return fails() ? NULL : next_calloc(n, size);
}

void *realloc(void *p, size_t size) {
    find();
    return fails() ? NULL : next_realloc(p, size);
}

typedef int (*program)(int, char **, char **);
typedef int (*starter)(program, int, char **, void (*)(void), void (*)(void), void (*)(void),
                       void *);

int __libc_start_main(program run, int argc, char **argv, void (*init)(void), void (*fini)(void),
                      void (*rtld_fini)(void), void *stack_end) {
    starter next;
    void *symbol = dlsym(RTLD_NEXT, "__libc_start_main");
    memcpy(&next, &symbol, sizeof symbol);
    find();
    in_main = true;
    return next(run, argc, argv, init, fini, rtld_fini, stack_end);
}

__attribute__((destructor)) static void report(void) {
    const char *path = getenv("FAIL_MALLOC_COUNT");
    if (!path)
        return;
    char line[32];
    int n = snprintf(line, sizeof line, "%ld\n", count);
    int fd = open(path, O_WRONLY | O_CREAT | O_APPEND, 0600);
    if (fd >= 0) {
        ssize_t written = write(fd, line, (size_t)n);
        (void)written;
        close(fd);
    }
}
