/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Loaded in front of the C library, lets the N-th allocation of the process fail, N from the
 * environment variable FAIL_MALLOC_AT. When the process ends it appends to the file named by
 * FAIL_MALLOC_COUNT how many allocations there were, and how many of them were never freed. Those
 * before main, of the loader and of libraries starting up, are let through and not counted; so are
 * those of libraries that do not look whether theirs succeeded (iniparser's dictionary, fontconfig
 * with its expat, cairo with pixman and freetype, libical: found by this sweep), where nobody else
 * can help. */
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static void *(*next_malloc)(size_t);
static void *(*next_calloc)(size_t, size_t);
static void *(*next_realloc)(void *, size_t);
static int (*next_memalign)(void **, size_t, size_t);
static void (*next_free)(void *);
static long count, live, fail_at;
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
    symbol = dlsym(RTLD_NEXT, "posix_memalign");
    memcpy(&next_memalign, &symbol, sizeof symbol);
    symbol = dlsym(RTLD_NEXT, "free");
    memcpy(&next_free, &symbol, sizeof symbol);
    const char *at = getenv("FAIL_MALLOC_AT");
    fail_at = at ? strtol(at, NULL, 10) : 0;
}

static const char *const careless[] = {"libiniparser", "libfontconfig", "libexpat",   "libical",
                                       "libcairo",     "libpixman",     "libfreetype"};

/* Whether the code at `from` checks its allocations. One page of code is of one library. */
static bool checks_its_own(const void *from) {
    enum { PAGES = 1024 };
    static uintptr_t page[PAGES];
    static bool answer[PAGES];
    uintptr_t here = (uintptr_t)from >> 12;
    size_t slot = here % PAGES;
    if (__atomic_load_n(&page[slot], __ATOMIC_ACQUIRE) == here)
        return answer[slot];
    Dl_info info;
    bool good = true;
    if (dladdr(from, &info) != 0 && info.dli_fname)
        for (size_t i = 0; i < sizeof careless / sizeof *careless; i++)
            good = good && !strstr(info.dli_fname, careless[i]);
    answer[slot] = good;
    __atomic_store_n(&page[slot], here, __ATOMIC_RELEASE);
    return good;
}

static bool fails(const void *from) {
    if (!in_main || !checks_its_own(from))
        return false;
    long now = __atomic_add_fetch(&count, 1, __ATOMIC_RELAXED);
    if (fail_at <= 0 || now != fail_at)
        return false;
    errno = ENOMEM;
    return true;
}

static void *given(void *p) {
    if (in_main && p)
        __atomic_add_fetch(&live, 1, __ATOMIC_RELAXED);
    return p;
}

void *malloc(size_t size) {
    find();
    return fails(__builtin_return_address(0)) ? NULL : given(next_malloc(size));
}

void *calloc(size_t n, size_t size) {
    find();
    if (!next_calloc) {
        void *p = early + early_used;
        early_used += (n * size + 15) / 16 * 16;
        return early_used <= sizeof early ? p : NULL;
    }
    return fails(__builtin_return_address(0)) ? NULL : given(next_calloc(n, size));
}

void *realloc(void *p, size_t size) {
    find();
    if (fails(__builtin_return_address(0)))
        return NULL;
    return p ? next_realloc(p, size) : given(next_realloc(p, size));
}

/* The C library's own would hide who asked. */
char *strndup(const char *text, size_t most) {
    find();
    size_t size = strnlen(text, most);
    char *copy = fails(__builtin_return_address(0)) ? NULL : given(next_malloc(size + 1));
    if (copy) {
        memcpy(copy, text, size);
        copy[size] = '\0';
    }
    return copy;
}

char *strdup(const char *text) {
    find();
    size_t size = strlen(text) + 1;
    char *copy = fails(__builtin_return_address(0)) ? NULL : given(next_malloc(size));
    return copy ? memcpy(copy, text, size) : NULL;
}

int posix_memalign(void **p, size_t alignment, size_t size) {
    find();
    if (fails(__builtin_return_address(0)))
        return ENOMEM;
    int status = next_memalign(p, alignment, size);
    given(status == 0 ? *p : NULL);
    return status;
}

void free(void *p) {
    find();
    if (!p || ((char *)p >= early && (char *)p < early + sizeof early))
        return;
    if (in_main)
        __atomic_sub_fetch(&live, 1, __ATOMIC_RELAXED);
    next_free(p);
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
    char line[48];
    int n = snprintf(line, sizeof line, "%ld %ld\n", count, live);
    int fd = open(path, O_WRONLY | O_CREAT | O_APPEND, 0600);
    if (fd >= 0) {
        ssize_t written = write(fd, line, (size_t)n);
        (void)written;
        close(fd);
    }
}
