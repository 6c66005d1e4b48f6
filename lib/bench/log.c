/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bench's log on disk: append-only, each line checked, on the disk before it counts. */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/text.h"
#include "base/try.h"
#include "bench/event_line.h"
#include "input/whole_file.h"
#include "pourclock/bench.h"

struct pc_log {
    int fd; /* -1: only read */
    char path[256];
    uint64_t piece;
    pc_log_io io;
    off_t size;   /* of the good bytes; what is behind was never acknowledged */
    bool unended; /* bytes of a failed write could not be cut off: end their line first */
    long number;  /* of the last good line */
    size_t torn;
    size_t count, room;
    pc_event *event;
    size_t damages, damage_room;
    pc_log_damage *damage;
};

static ssize_t plain_write(void *context, int fd, const void *data, size_t size) {
    (void)context;
    return write(fd, data, size);
}

static int plain_sync(void *context, int fd) {
    (void)context;
    return fdatasync(fd);
}

static int plain_truncate(void *context, int fd, off_t size) {
    (void)context;
    return ftruncate(fd, size);
}

static const pc_log_io plain_io = {plain_write, plain_sync, plain_truncate, NULL};

static void *grown(void *items, size_t count, size_t *room, size_t each) {
    if (count < *room)
        return items;
    size_t wanted = *room > 0 ? *room * 2 : 64;
    void *bigger = realloc(items, wanted * each);
    if (bigger != NULL)
        *room = wanted;
    return bigger;
}

static bool keep_event(pc_log *log, const pc_event *event) {
    pc_event *bigger = grown(log->event, log->count, &log->room, sizeof *event);
    if (bigger == NULL)
        return false;
    log->event = bigger;
    log->event[log->count++] = *event;
    return true;
}

static bool keep_damage(pc_log *log, long line, const char *text) {
    pc_log_damage *bigger =
        grown(log->damage, log->damages, &log->damage_room, sizeof *log->damage);
    if (bigger == NULL)
        return false;
    log->damage = bigger;
    log->damage[log->damages].line = line;
    pci_copy_text(log->damage[log->damages++].text, sizeof log->damage->text, text);
    return true;
}

/* One whole line, without its end. */
static bool take_line(pc_log *log, const char *line, size_t length, long at) {
    pc_event event;
    uint64_t piece;
    const char *why = "";
    char text[96];
    if (length == 0)
        return true; /* ends the remains of a failed write */
    if (pci_event_parse(line, length, &event, &piece, &why) != PC_OK)
        return keep_damage(log, at, why);
    if (log->count > 0 && piece != log->piece)
        return keep_damage(log, at, "it belongs to another piece");
    if (event.number <= log->number) {
        snprintf(text, sizeof text, "it repeats number %ld", event.number);
        return keep_damage(log, at, text);
    }
    if (event.number != log->number + 1) {
        snprintf(text, sizeof text, "number %ld follows number %ld: what was between is lost",
                 event.number, log->number);
        if (!keep_damage(log, at, text))
            return false;
    }
    log->piece = piece;
    log->number = event.number;
    return keep_event(log, &event);
}

/* The bytes behind the last line end: a torn line, unless only its end is missing or wrong. */
static bool take_tail(pc_log *log, const char *tail, size_t length, long at, off_t before) {
    pc_event event;
    uint64_t piece;
    for (size_t cut = 0; cut <= 1 && cut < length; cut++) {
        if (pci_event_parse(tail, length - cut, &event, &piece, NULL) != PC_OK)
            continue;
        log->size = before + (off_t)(length - cut);
        log->unended = true;
        log->torn = cut;
        return take_line(log, tail, length - cut, at);
    }
    log->torn = length;
    log->size = before;
    return true;
}

static bool take_all(pc_log *log, const char *data, size_t size) {
    size_t start = 0;
    long line = 1;
    for (size_t i = 0; i < size; i++) {
        if (data[i] != '\n')
            continue;
        if (!take_line(log, data + start, i - start, line++))
            return false;
        start = i + 1;
    }
    log->size = (off_t)start;
    return start == size || take_tail(log, data + start, size - start, line, (off_t)start);
}

static pc_status refuse(pc_errors *errors, pc_status status, const char *path, const char *text) {
    return pc_errors_add(errors, status, (pc_place){.file = path}, "%s", text);
}

static pc_status load(pc_log *log, int fd, pc_errors *errors) {
    pci_file_bytes bytes;
    PCI_TRY(pci_file_read_open(fd, log->path, PC_LOG_MOST_BYTES, &bytes, errors));
    bool kept = take_all(log, bytes.data, bytes.size);
    pci_file_free(&bytes);
    if (!kept)
        return refuse(errors, PC_E_MEMORY, log->path, pc_status_text(PC_E_MEMORY));
    if (log->count == 0 && log->damages > 0)
        return refuse(errors, PC_E_SYNTAX, log->path,
                      "has no line of a bench log; name another file with --log");
    return PC_OK;
}

static pc_log *new_log(const char *path, const pc_log_io *io) {
    pc_log *log = calloc(1, sizeof *log);
    if (log == NULL)
        return NULL;
    log->fd = -1;
    log->io = io != NULL ? *io : plain_io;
    pci_copy_text(log->path, sizeof log->path, path);
    return log;
}

/* A new file is on the disk only once its folder is. Folders that refuse are let be. */
static void sync_folder(const char *path) {
    char folder[512];
    const char *slash = strrchr(path, '/');
    if (slash == NULL)
        snprintf(folder, sizeof folder, ".");
    else
        snprintf(folder, sizeof folder, "%.*s", slash == path ? 1 : (int)(slash - path), path);
    int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd >= 0) {
        (void)fsync(fd);
        close(fd);
    }
}

static pc_status open_locked(pc_log *log, const char *path, pc_errors *errors) {
    log->fd = open(path, O_RDWR | O_CREAT | O_APPEND | O_CLOEXEC | O_NOCTTY, 0644);
    if (log->fd < 0)
        return refuse(errors, PC_E_FILE, path, strerror(errno));
    if (flock(log->fd, LOCK_EX | LOCK_NB) != 0)
        return refuse(errors, PC_E_FILE, path,
                      errno == EWOULDBLOCK ? "another clock is writing this log: close it first"
                                           : strerror(errno));
    return PC_OK;
}

pc_status pc_log_open(const char *path, uint64_t piece, const pc_log_io *io, pc_log **out,
                      pc_errors *errors) {
    if (path == NULL || out == NULL)
        return PC_E_ARGUMENT;
    pc_log *log = new_log(path, io);
    if (log == NULL)
        return refuse(errors, PC_E_MEMORY, path, pc_status_text(PC_E_MEMORY));
    pc_status status = open_locked(log, path, errors);
    if (status == PC_OK)
        status = load(log, log->fd, errors);
    if (status == PC_OK && log->count > 0 && log->piece != piece)
        status = refuse(errors, PC_E_VALUE, path,
                        "is the log of another piece, or the piece file was changed since: name a "
                        "new file with --log, or put the piece file back");
    if (status != PC_OK) {
        pc_log_close(log);
        return status;
    }
    log->piece = piece;
    if (log->torn > 0 && log->io.truncate(log->io.context, log->fd, log->size) != 0)
        log->unended = true;
    if (log->count == 0)
        sync_folder(path);
    *out = log;
    return PC_OK;
}

pc_status pc_log_read(const char *path, pc_log **out, pc_errors *errors) {
    if (path == NULL || out == NULL)
        return PC_E_ARGUMENT;
    pc_log *log = new_log(path, NULL);
    if (log == NULL)
        return refuse(errors, PC_E_MEMORY, path, pc_status_text(PC_E_MEMORY));
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY | O_NONBLOCK);
    pc_status status =
        fd < 0 ? refuse(errors, PC_E_FILE, path, strerror(errno)) : load(log, fd, errors);
    if (fd >= 0)
        close(fd);
    if (status == PC_OK && log->count == 0)
        status = refuse(errors, PC_E_SYNTAX, path, "holds no line of a bench log");
    if (status != PC_OK) {
        pc_log_close(log);
        return status;
    }
    *out = log;
    return PC_OK;
}

static bool write_all(pc_log *log, const char *data, size_t size, size_t *written) {
    *written = 0;
    while (*written < size) {
        ssize_t got = log->io.write(log->io.context, log->fd, data + *written, size - *written);
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

pc_status pc_log_append(pc_log *log, pc_event *event, pc_errors *errors) {
    char line[PC_EVENT_LINE_SIZE + 1] = "\n";
    if (log == NULL || event == NULL || log->fd < 0)
        return PC_E_ARGUMENT;
    pc_event numbered = *event;
    numbered.number = log->number + 1;
    size_t lead = log->unended ? 1 : 0, written = 0;
    size_t length = pci_event_format(&numbered, log->piece, line + lead, PC_EVENT_LINE_SIZE);
    if (length == 0)
        return PC_E_ARGUMENT;
    /* Room first: what is on the disk must not be lost for want of memory. */
    pc_event *bigger = grown(log->event, log->count, &log->room, sizeof *bigger);
    if (bigger == NULL)
        return refuse(errors, PC_E_MEMORY, log->path, pc_status_text(PC_E_MEMORY));
    log->event = bigger;
    if (!write_all(log, line, lead + length, &written) ||
        log->io.sync(log->io.context, log->fd) != 0) {
        int why = errno;
        /* Cut off what was written, or end its line before the next: the line was not
         * acknowledged, and after a failed sync the disk may hold it or not. Its number is then
         * used up, lest the reader take it for the next one. */
        if (written > 0 && log->io.truncate(log->io.context, log->fd, log->size) != 0) {
            log->unended = true;
            log->number = numbered.number;
        }
        return refuse(errors, PC_E_FILE, log->path, strerror(why));
    }
    struct stat st;
    log->size = fstat(log->fd, &st) == 0 ? st.st_size : log->size + (off_t)(lead + length);
    log->unended = false;
    log->number = numbered.number;
    *event = numbered;
    log->event[log->count++] = numbered;
    return PC_OK;
}

void pc_log_close(pc_log *log) {
    if (log == NULL)
        return;
    if (log->fd >= 0)
        close(log->fd);
    free(log->event);
    free(log->damage);
    free(log);
}

size_t pc_log_count(const pc_log *log) {
    return log != NULL ? log->count : 0;
}

const pc_event *pc_log_event(const pc_log *log, size_t index) {
    return log != NULL && index < log->count ? &log->event[index] : NULL;
}

size_t pc_log_damages(const pc_log *log) {
    return log != NULL ? log->damages : 0;
}

const pc_log_damage *pc_log_damage_at(const pc_log *log, size_t index) {
    return log != NULL && index < log->damages ? &log->damage[index] : NULL;
}

size_t pc_log_torn(const pc_log *log) {
    return log != NULL ? log->torn : 0;
}

uint64_t pc_log_piece(const pc_log *log) {
    return log != NULL && log->count > 0 ? log->piece : 0;
}

/* later - earlier where that is more than 0, at most most. */
static int64_t gap_of(int64_t later, int64_t earlier, int64_t most) {
    if (later <= earlier)
        return 0;
    uint64_t gap = (uint64_t)later - (uint64_t)earlier;
    return gap < (uint64_t)most ? (int64_t)gap : most;
}

int64_t pc_log_elapsed(const pc_log *log, uint64_t boot, int64_t boot_ms, int64_t wall_ms,
                       bool *restarted) {
    if (restarted != NULL)
        *restarted = false;
    if (log == NULL || log->count == 0)
        return 0;
    const pc_event *last = &log->event[log->count - 1];
    bool other = last->boot != boot || boot_ms < last->boot_ms;
    if (restarted != NULL)
        *restarted = other;
    int64_t most = INT64_MAX - last->elapsed_ms;
    return last->elapsed_ms +
           (other ? gap_of(wall_ms, last->wall_ms, most) : gap_of(boot_ms, last->boot_ms, most));
}
