/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/whole_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/try.h"

enum { FIRST_BLOCK = 16384 };

const char *pci_file_label(const char *path) {
    return strcmp(path, "-") == 0 ? "standard input" : path;
}

void pci_file_free(pci_file_bytes *bytes) {
    if (!bytes)
        return;
    free(bytes->data);
    *bytes = (pci_file_bytes){NULL, 0};
}

static pc_status refuse(const char *path, pc_status status, const char *text, pc_errors *errors) {
    return pc_errors_add(errors, status, (pc_place){.file = pci_file_label(path)}, "%s", text);
}

/* GNU's strerror_r returns the text, in the buffer or not; that of POSIX (musl, macOS) a number. */
static inline const char *text_returned(const char *text, const char *buffer) {
    (void)buffer;
    return text;
}

static inline const char *text_filled(int code, const char *buffer) {
    return code == 0 ? buffer : "unknown error";
}

#define ERROR_TEXT(number, buffer)                                                                 \
    _Generic(strerror_r(0, buffer, sizeof(buffer)), int                                            \
             : text_filled, default                                                                \
             : text_returned)(strerror_r(number, buffer, sizeof(buffer)), buffer)

static pc_status refuse_system(const char *path, const char *doing, int number, pc_errors *errors) {
    char buffer[128] = "";
    return pc_errors_add(errors, PC_E_FILE, (pc_place){.file = pci_file_label(path)}, "%s: %s",
                         doing, ERROR_TEXT(number, buffer));
}

static pc_status too_large(const char *path, size_t most, pc_errors *errors) {
    return pc_errors_add(errors, PC_E_SIZE, (pc_place){.file = pci_file_label(path)},
                         "more than %zu bytes: too large for a file of this kind; is it the right "
                         "file?",
                         most);
}

/* Reads up to most + 1 bytes, so that one too many shows. */
static pc_status read_all(int fd, size_t most, size_t hint, pci_file_bytes *bytes, int *number) {
    size_t room = hint < most ? hint + 1 : most + 1, used = 0;
    if (room < FIRST_BLOCK)
        room = FIRST_BLOCK;
    char *data = malloc(room + 1);
    while (data) {
        size_t wanted = room - used < most + 1 - used ? room - used : most + 1 - used;
        ssize_t n = wanted > 0 ? read(fd, data + used, wanted) : 0;
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0) {
            *number = errno;
            free(data);
            return PC_E_FILE;
        }
        used += (size_t)n;
        if (n == 0 || used > most)
            break;
        if (used < room)
            continue;
        room *= 2;
        char *more = realloc(data, room + 1);
        if (!more)
            free(data);
        data = more;
    }
    if (!data)
        return PC_E_MEMORY;
    data[used] = '\0';
    *bytes = (pci_file_bytes){data, used};
    return used > most ? PC_E_SIZE : PC_OK;
}

static pc_status judge_kind(const char *path, const struct stat *info, bool any, size_t most,
                            pc_errors *errors) {
    if (S_ISDIR(info->st_mode))
        return refuse(path, PC_E_FILE, "is a directory, a file was expected", errors);
    if (!S_ISREG(info->st_mode) && !any)
        return refuse(path, PC_E_FILE,
                      "is a pipe or a device, a plain file was expected: to read from a pipe give "
                      "\"-\" and feed it to standard input",
                      errors);
    if (S_ISREG(info->st_mode) && info->st_size > 0 && (uintmax_t)info->st_size > most)
        return too_large(path, most, errors);
    return PC_OK;
}

static pc_status read_open(int fd, const char *path, bool any, size_t most, pci_file_bytes *bytes,
                           pc_errors *errors) {
    struct stat info;
    int number = 0;
    if (fstat(fd, &info) != 0)
        return refuse_system(path, "cannot be read", errno, errors);
    PCI_TRY(judge_kind(path, &info, any, most, errors));
    size_t hint = info.st_size > 0 && S_ISREG(info.st_mode) ? (size_t)info.st_size : 0;
    pc_status status = read_all(fd, most, hint, bytes, &number);
    if (status == PC_OK)
        return PC_OK;
    pci_file_free(bytes);
    if (status == PC_E_FILE)
        return refuse_system(path, "cannot be read", number, errors);
    if (status == PC_E_SIZE)
        return too_large(path, most, errors);
    return refuse(path, PC_E_MEMORY, "out of memory while reading it", errors);
}

static pc_status read_path(const char *path, bool any, size_t most, pci_file_bytes *bytes,
                           pc_errors *errors) {
    if (!path || !bytes)
        return PC_E_ARGUMENT;
    *bytes = (pci_file_bytes){NULL, 0};
    if (strcmp(path, "-") == 0)
        return read_open(STDIN_FILENO, path, true, most, bytes, errors);
    /* The open of a pipe must not wait for one to write where pipes are refused. */
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY | (any ? 0 : O_NONBLOCK));
    if (fd < 0)
        return refuse_system(path, "cannot be read", errno, errors);
    pc_status status = read_open(fd, path, any, most, bytes, errors);
    close(fd);
    return status;
}

pc_status pci_file_read(const char *path, size_t most, pci_file_bytes *bytes, pc_errors *errors) {
    return read_path(path, false, most, bytes, errors);
}

pc_status pci_file_read_any(const char *path, size_t most, pci_file_bytes *bytes,
                            pc_errors *errors) {
    return read_path(path, true, most, bytes, errors);
}

pc_status pci_file_read_open(int fd, const char *path, size_t most, pci_file_bytes *bytes,
                             pc_errors *errors) {
    *bytes = (pci_file_bytes){NULL, 0};
    return read_open(fd, path, false, most, bytes, errors);
}

/* Returns 0, or the errno of the call that failed. */
static int write_all(int fd, const char *data, size_t size) {
    while (size > 0) {
        ssize_t n = write(fd, data, size);
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            return errno;
        data += n;
        size -= (size_t)n;
    }
    return 0;
}

static int write_and_close(int fd, const char *data, size_t size, bool synced) {
    int number = write_all(fd, data, size);
    if (!number && synced && fsync(fd) != 0)
        number = errno;
    if (close(fd) != 0 && !number)
        number = errno;
    return number;
}

/* A fresh temporary file beside path. mkstemp would make it 0600; open obeys the umask. */
static int open_beside(const char *path, char *name, size_t size) {
    for (unsigned attempt = 0; attempt < 1000; attempt++) {
        snprintf(name, size, "%s.%ld-%u.tmp", path, (long)getpid(), attempt);
        int fd = open(name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0666);
        if (fd >= 0 || errno != EEXIST)
            return fd;
    }
    return -1;
}

/* old: the file replaced, which keeps its permissions; NULL where there is none. Returns an errno.
 */
static int replace(const char *path, const struct stat *old, const char *data, size_t size) {
    size_t room = strlen(path) + 64;
    char *name = malloc(room);
    if (!name)
        return ENOMEM;
    int fd = open_beside(path, name, room), number = fd < 0 ? errno : 0;
    if (fd >= 0) {
        int refused = old && fchmod(fd, old->st_mode & 07777) != 0 ? errno : 0;
        number = write_and_close(fd, data, size, true);
        number = number ? number : refused;
        if (!number && rename(name, path) != 0)
            number = errno;
        if (number)
            unlink(name);
    }
    free(name);
    return number;
}

/* What a chain of links that leads to no file yet names; NULL where that is not to be found. */
static char *follow_links(const char *path) {
    char *name = strdup(path), target[4096];
    struct stat st;
    for (int links = 0; name && lstat(name, &st) == 0 && S_ISLNK(st.st_mode); links++) {
        ssize_t n = links < 40 ? readlink(name, target, sizeof target - 1) : -1;
        const char *slash = strrchr(name, '/');
        size_t folder = n > 0 && target[0] != '/' && slash ? (size_t)(slash - name) + 1 : 0;
        char *next = n > 0 ? malloc(folder + (size_t)n + 1) : NULL;
        if (next) {
            memcpy(next, name, folder);
            memcpy(next + folder, target, (size_t)n);
            next[folder + (size_t)n] = '\0';
        }
        free(name);
        name = next;
    }
    return name;
}

pc_status pc_file_write(const char *path, const void *data, size_t size, pc_errors *errors) {
    if (!path || !*path || (!data && size > 0))
        return PC_E_ARGUMENT;
    struct stat old;
    bool there = stat(path, &old) == 0;
    int number = 0;
    if (there && S_ISDIR(old.st_mode)) {
        number = EISDIR;
    } else if (there && !S_ISREG(old.st_mode)) {
        int fd = open(path, O_WRONLY | O_CLOEXEC | O_NOCTTY);
        number = fd < 0 ? errno : write_and_close(fd, data, size, false);
    } else {
        /* A link is followed, so that what it points to is replaced and the link stays. */
        char *real = there ? realpath(path, NULL) : follow_links(path);
        number = !real ? errno : replace(real, there ? &old : NULL, data, size);
        free(real);
    }
    if (number == ENOMEM)
        return refuse(path, PC_E_MEMORY, "out of memory", errors);
    return number ? refuse_system(path, "cannot be written", number, errors) : PC_OK;
}

int pci_path_beside(const char *name, const char *beside, char *buffer, size_t size) {
    const char *slash = beside && strcmp(beside, "-") != 0 ? strrchr(beside, '/') : NULL;
    bool plain = name[0] == '/' || strcmp(name, "-") == 0 || !slash;
    int directory = plain ? 0 : (int)(slash - beside) + 1;
    int n = snprintf(buffer, size, "%.*s%s", directory, plain ? "" : beside, name);
    return n >= 0 && (size_t)n < size;
}
