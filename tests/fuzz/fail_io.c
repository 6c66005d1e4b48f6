/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Loaded in front of the C library, lets the N-th call that reaches a file fail, N from the
 * environment variable FAIL_IO_AT, in the way FAIL_IO_HOW names: an errno as a number, "intr" (a
 * read or write that was interrupted and may be tried again) or "short" (one that moves a single
 * byte). FAIL_IO_NEVER names a function that always fails with ENOSYS, or is "proc": there is no
 * /proc. When the process ends it appends to the file named by FAIL_IO_COUNT how many such calls
 * there were. Only the calls of pourclock, of its library and of iniparser are counted: fonts and
 * locales that others look for may be missing. */
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static long count;

static bool is_ours(const void *from) {
    Dl_info info;
    return dladdr(from, &info) != 0 && info.dli_fname &&
           (strstr(info.dli_fname, "pourclock") || strstr(info.dli_fname, "libiniparser"));
}

/* How this call fails: 0 not, -1 short, else the errno. */
static int failing(const void *from, const char *name, bool moves) {
    const char *never = getenv("FAIL_IO_NEVER"), *at = getenv("FAIL_IO_AT");
    const char *how = getenv("FAIL_IO_HOW");
    if (!is_ours(from))
        return 0;
    if (never && strcmp(never, name) == 0)
        return ENOSYS;
    bool soft = how && (how[0] == 'i' || how[0] == 's');
    if (soft && !moves)
        return 0;
    if (++count != (at ? strtol(at, NULL, 10) : 0) || !how)
        return 0;
    return how[0] == 'i' ? EINTR : how[0] == 's' ? -1 : atoi(how);
}

/* Declares next, the C library's own. */
#define NEXT(type, name, ...)                                                                      \
    type (*next)(__VA_ARGS__);                                                                     \
    void *symbol_ = dlsym(RTLD_NEXT, name);                                                        \
    memcpy(&next, &symbol_, sizeof next)

#define FAIL_OR(name, moves, failure)                                                              \
    int how_ = failing(__builtin_return_address(0), name, moves);                                  \
    if (how_ > 0) {                                                                                \
        errno = how_;                                                                              \
        return failure;                                                                            \
    }

static mode_t mode_of(int flags, va_list args) {
    return flags & O_CREAT ? (mode_t)va_arg(args, unsigned) : 0;
}

int open(const char *path, int flags, ...) {
    NEXT(int, "open", const char *, int, ...);
    FAIL_OR("open", false, -1)
    va_list args;
    va_start(args, flags);
    mode_t mode = mode_of(flags, args);
    va_end(args);
    return next(path, flags, mode);
}

int open64(const char *path, int flags, ...) {
    NEXT(int, "open64", const char *, int, ...);
    FAIL_OR("open", false, -1)
    va_list args;
    va_start(args, flags);
    mode_t mode = mode_of(flags, args);
    va_end(args);
    return next(path, flags, mode);
}

FILE *fopen(const char *path, const char *mode) {
    NEXT(FILE *, "fopen", const char *, const char *);
    FAIL_OR("fopen", false, NULL)
    return next(path, mode);
}

ssize_t read(int fd, void *data, size_t size) {
    NEXT(ssize_t, "read", int, void *, size_t);
    FAIL_OR("read", true, -1)
    return next(fd, data, how_ < 0 && size > 1 ? 1 : size);
}

ssize_t write(int fd, const void *data, size_t size) {
    NEXT(ssize_t, "write", int, const void *, size_t);
    FAIL_OR("write", true, -1)
    return next(fd, data, how_ < 0 && size > 1 ? 1 : size);
}

/* Closed all the same, as Linux does it. */
int close(int fd) {
    NEXT(int, "close", int);
    int how = failing(__builtin_return_address(0), "close", false), closed = next(fd);
    if (how <= 0)
        return closed;
    errno = how;
    return -1;
}

int fsync(int fd) {
    NEXT(int, "fsync", int);
    FAIL_OR("fsync", false, -1)
    return next(fd);
}

int fdatasync(int fd) {
    NEXT(int, "fdatasync", int);
    FAIL_OR("fdatasync", false, -1)
    return next(fd);
}

int rename(const char *from, const char *to) {
    NEXT(int, "rename", const char *, const char *);
    FAIL_OR("rename", false, -1)
    return next(from, to);
}

int ftruncate(int fd, off_t size) {
    NEXT(int, "ftruncate", int, off_t);
    FAIL_OR("ftruncate", false, -1)
    return next(fd, size);
}

int fchmod(int fd, mode_t mode) {
    NEXT(int, "fchmod", int, mode_t);
    FAIL_OR("fchmod", false, -1)
    return next(fd, mode);
}

int fstat(int fd, struct stat *info) {
    NEXT(int, "fstat", int, struct stat *);
    FAIL_OR("fstat", false, -1)
    return next(fd, info);
}

int access(const char *path, int mode) {
    NEXT(int, "access", const char *, int);
    const char *never = getenv("FAIL_IO_NEVER");
    if (never && strcmp(never, "proc") == 0 && strncmp(path, "/proc/", 6) == 0) {
        errno = ENOENT;
        return -1;
    }
    FAIL_OR("access", false, -1)
    return next(path, mode);
}

int mkstemp(char *name) {
    NEXT(int, "mkstemp", char *);
    FAIL_OR("mkstemp", false, -1)
    return next(name);
}

int memfd_create(const char *name, unsigned flags) {
    NEXT(int, "memfd_create", const char *, unsigned);
    FAIL_OR("memfd_create", false, -1)
    return next(name, flags);
}

__attribute__((destructor)) static void report(void) {
    const char *path = getenv("FAIL_IO_COUNT");
    FILE *(*plain)(const char *, const char *);
    void *symbol = dlsym(RTLD_NEXT, "fopen");
    memcpy(&plain, &symbol, sizeof plain);
    FILE *file = path ? plain(path, "a") : NULL;
    if (file) {
        fprintf(file, "%ld\n", count);
        fclose(file);
    }
}
