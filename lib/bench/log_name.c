/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The log under its name: moved, deleted, replaced or written over, its events are written again.
 */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "bench/event_line.h"
#include "bench/log_file.h"

void pci_log_keep_head(pc_log *log, const char *data, size_t size) {
    log->head_size = size < PCI_LOG_HEAD ? size : PCI_LOG_HEAD;
    memcpy(log->head, data, log->head_size);
}

void pci_log_sync_folder(const char *path) {
    const char *slash = strrchr(path, '/');
    char *folder = slash == NULL   ? strdup(".")
                   : slash == path ? strdup("/")
                                   : strndup(path, (size_t)(slash - path));
    int fd = folder != NULL ? open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC) : -1;
    free(folder);
    if (fd >= 0) {
        (void)fsync(fd);
        close(fd);
    }
}

bool pci_log_write_all(pc_log *log, int fd, const char *data, size_t size, size_t *written) {
    *written = 0;
    while (*written < size) {
        ssize_t got = log->io.write(log->io.context, fd, data + *written, size - *written);
        if (got < 0 && errno == EINTR)
            continue;
        if (got <= 0) {
            if (got == 0)
                errno = ENOSPC;
            return false;
        }
        *written += (size_t)got;
    }
    return true;
}

static bool starts_the_same(const pc_log *log) {
    char head[PCI_LOG_HEAD];
    return pread(log->fd, head, log->head_size, 0) == (ssize_t)log->head_size &&
           memcmp(head, log->head, log->head_size) == 0;
}

enum loss { NAME_GONE, NAME_OTHER, FILE_CHANGED, NOTHING_LOST };

static const char *const loss_text[] = {
    [NAME_GONE] = "the file was moved or deleted",
    [NAME_OTHER] = "the name leads to another file now",
    [FILE_CHANGED] = "the file was cut short or written over by another program",
};

static enum loss find_loss(const pc_log *log) {
    struct stat named, own;
    if (stat(log->path, &named) != 0)
        return NAME_GONE;
    if (fstat(log->fd, &own) != 0 || named.st_dev != own.st_dev || named.st_ino != own.st_ino)
        return NAME_OTHER;
    return own.st_size < log->size || !starts_the_same(log) ? FILE_CHANGED : NOTHING_LOST;
}

/* A new file for the events, locked: the log's own name where it is free, else NAME.2 and so on. */
static int open_new(pc_log *log, char **path) {
    size_t size = strlen(log->name) + 8;
    int fd = -1;
    *path = malloc(size);
    if (*path == NULL)
        return -1;
    for (int n = 1; n <= PCI_LOG_NAMES && fd < 0; n++) {
        snprintf(*path, size, n == 1 ? "%s" : "%s.%d", log->name, n);
        fd = open(*path, O_RDWR | O_CREAT | O_EXCL | O_APPEND | O_CLOEXEC | O_NOCTTY, 0644);
        if (fd < 0 && errno != EEXIST)
            break;
    }
    if (fd >= 0 && flock(fd, LOCK_EX | LOCK_NB) == 0)
        return fd;
    if (fd >= 0)
        close(fd);
    int why = errno;
    free(*path);
    *path = NULL;
    errno = why;
    return -1;
}

static bool write_events(pc_log *log, int fd, const pc_event *last, off_t *size) {
    char line[PC_EVENT_LINE_SIZE];
    *size = 0;
    for (size_t i = 0; i < log->count + (last != NULL ? 1 : 0); i++) {
        const pc_event *event = i < log->count ? &log->event[i] : last;
        size_t length = pci_event_format(event, log->piece, line, sizeof line), written;
        if (length == 0 || !pci_log_write_all(log, fd, line, length, &written))
            return false;
        if (i == 0)
            pci_log_keep_head(log, line, length);
        *size += (off_t)length;
    }
    return log->io.sync(log->io.context, fd) == 0;
}

/* Whether somebody else has the name open as a log. */
static bool name_taken(const pc_log *log) {
    int fd = open(log->path, O_RDONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK);
    bool taken = fd >= 0 && flock(fd, LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK;
    if (fd >= 0)
        close(fd);
    return taken;
}

/* Every event, and one more where there is one, into a new file that the log goes on in. */
static pc_status write_again(pc_log *log, const pc_event *last, const char *why,
                             pc_errors *errors) {
    char *path, head[PCI_LOG_HEAD];
    size_t head_size = log->head_size;
    off_t size;
    memcpy(head, log->head, sizeof head);
    int fd = open_new(log, &path);
    if (fd >= 0 && write_events(log, fd, last, &size)) {
        pci_log_sync_folder(path);
        close(log->fd);
        free(log->path);
        log->fd = fd;
        log->path = path;
        log->size = size;
        log->unended = false;
        log->why = why;
        log->rewrites++;
        return PC_OK;
    }
    int reason = errno;
    memcpy(log->head, head, sizeof head);
    log->head_size = head_size;
    if (fd >= 0) {
        unlink(path);
        close(fd);
        free(path);
    }
    return pc_errors_add(errors, PC_E_FILE, (pc_place){.file = log->path},
                         "%s, and its events cannot be written again: %s", why, strerror(reason));
}

pc_status pci_log_keep(pc_log *log, const pc_event *last, pc_errors *errors) {
    enum loss loss = find_loss(log);
    if (loss == NOTHING_LOST && !log->taken)
        return PC_OK;
    pc_status status = PC_OK;
    if (!log->taken) {
        log->taken = loss == NAME_OTHER && name_taken(log);
        status = write_again(log, last, loss_text[loss], errors);
    }
    if (log->taken)
        return pc_errors_add(errors, PC_E_FILE, (pc_place){.file = log->name},
                             "another clock has begun on this name: this one ends%s%s",
                             status == PC_OK ? ", its events are in " : "",
                             status == PC_OK ? log->path : "");
    return status;
}
