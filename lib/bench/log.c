/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bench's log on disk: append-only, each line checked, on the disk before it counts. */
#include "config.h"

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
#include "bench/log_file.h"
#include "input/whole_file.h"

static ssize_t plain_write(void *context, int fd, const void *data, size_t size) {
    (void)context;
    return write(fd, data, size);
}

static int plain_sync(void *context, int fd) {
    (void)context;
#if HAVE_DECL_FDATASYNC
    return fdatasync(fd);
#else
    return fsync(fd);
#endif
}

static int plain_truncate(void *context, int fd, off_t size) {
    (void)context;
    return ftruncate(fd, size);
}

static const pci_log_io plain_io = {plain_write, plain_sync, plain_truncate, NULL};

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

static bool keep_damage(pc_log *log, long line, bool gap, const char *text) {
    pc_log_damage *bigger =
        grown(log->damage, log->damages, &log->damage_room, sizeof *log->damage);
    if (bigger == NULL)
        return false;
    log->damage = bigger;
    log->damage[log->damages].line = line;
    log->damage[log->damages].gap = gap;
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
        return keep_damage(log, at, false, why);
    if (log->count > 0 && piece != log->piece)
        return keep_damage(log, at, false, "it belongs to another piece");
    if (event.number <= log->number) {
        snprintf(text, sizeof text, "it repeats number %ld", event.number);
        return keep_damage(log, at, false, text);
    }
    if (event.number != log->number + 1) {
        long first = log->number + 1, last = event.number - 1;
        if (first == last)
            snprintf(text, sizeof text, "number %ld is missing: lost, or never saved", first);
        else
            snprintf(text, sizeof text, "numbers %ld to %ld are missing: lost, or never saved",
                     first, last);
        if (!keep_damage(log, at, true, text))
            return false;
    }
    log->piece = piece;
    log->number = event.number;
    return keep_event(log, &event);
}

/* The bytes after the last line end: a torn line, unless only its end is missing or wrong. */
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
    pci_log_keep_head(log, bytes.data, (size_t)log->size);
    pci_file_free(&bytes);
    if (!kept)
        return refuse(errors, PC_E_MEMORY, log->path, pc_status_text(PC_E_MEMORY));
    if (log->count == 0 && log->damages > 0)
        return refuse(errors, PC_E_SYNTAX, log->path,
                      "has no line of a bench log; name another file with --log");
    return PC_OK;
}

static pc_log *new_log(const char *path, const pci_log_io *io) {
    pc_log *log = calloc(1, sizeof *log);
    if (log == NULL)
        return NULL;
    log->fd = -1;
    log->why = "";
    log->io = io != NULL ? *io : plain_io;
    log->path = strdup(path);
    log->name = strdup(path);
    if (log->path == NULL || log->name == NULL) {
        pc_log_close(log);
        return NULL;
    }
    return log;
}

/* Opens and locks the file that the name leads to: between opening and locking it can be moved. */
static pc_status open_locked(pc_log *log, const char *path, pc_errors *errors) {
    for (int tries = 0; tries < 100; tries++) {
        struct stat own, named;
        log->fd = open(path, O_RDWR | O_CREAT | O_APPEND | O_CLOEXEC | O_NOCTTY, 0644);
        if (log->fd < 0)
            return refuse(errors, PC_E_FILE, path, strerror(errno));
        if (flock(log->fd, LOCK_EX | LOCK_NB) != 0)
            return refuse(errors, PC_E_FILE, path,
                          errno == EWOULDBLOCK ? "another clock is writing this log: close it first"
                                               : strerror(errno));
        if (fstat(log->fd, &own) == 0 && stat(path, &named) == 0 && own.st_dev == named.st_dev &&
            own.st_ino == named.st_ino)
            return PC_OK;
        close(log->fd);
        log->fd = -1;
    }
    return refuse(errors, PC_E_FILE, path, "is moved away again and again by another program");
}

/* It is not locked, and a torn tail is left out, not cut. */
static pc_status read_log(const char *path, pc_log **out, pc_errors *errors) {
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
        status = refuse(errors, PC_E_SYNTAX, path, "has no line of a bench log");
    if (status != PC_OK) {
        pc_log_close(log);
        return status;
    }
    *out = log;
    return PC_OK;
}

pc_status pc_log_open(const char *path, uint64_t piece, pc_log **out, pc_errors *errors) {
    if (piece == PC_LOG_READ)
        return read_log(path, out, errors);
    return pci_log_open_by(path, piece, NULL, out, errors);
}

pc_status pci_log_open_by(const char *path, uint64_t piece, const pci_log_io *io, pc_log **out,
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
        pci_log_sync_folder(path);
    *out = log;
    return PC_OK;
}

/* Cuts off what was written of an event, or ends its line before the next: it was not acknowledged,
 * and after a failed sync the disk may hold it or not. Its number is then used up, lest the reader
 * take it for the next one. */
static void take_back(pc_log *log, long number) {
    struct stat st;
    bool shorter = fstat(log->fd, &st) == 0 && st.st_size <= log->size;
    if (shorter || log->io.truncate(log->io.context, log->fd, log->size) == 0)
        return;
    log->unended = true;
    log->number = number;
}

static pc_status write_event(pc_log *log, const pc_event *event, pc_errors *errors) {
    char line[PC_EVENT_LINE_SIZE + 1] = "\n";
    size_t lead = log->unended ? 1 : 0, written = 0, rewrites = log->rewrites;
    size_t length = pci_event_format(event, log->piece, line + lead, PC_EVENT_LINE_SIZE);
    if (length == 0)
        return PC_E_ARGUMENT;
    if (!pci_log_write_all(log, log->fd, line, lead + length, &written) ||
        log->io.sync(log->io.context, log->fd) != 0) {
        int why = errno;
        if (written > 0)
            take_back(log, event->number);
        return refuse(errors, PC_E_FILE, log->path, strerror(why));
    }
    char head[PCI_LOG_HEAD];
    ssize_t got = log->head_size == 0 ? pread(log->fd, head, sizeof head, 0) : 0;
    if (got > 0)
        pci_log_keep_head(log, head, (size_t)got);
    pc_status status = pci_log_keep(log, event, errors);
    if (log->rewrites > rewrites)
        return status; /* the new file has it */
    struct stat st;
    if (status != PC_OK)
        take_back(log, event->number);
    else
        log->size = fstat(log->fd, &st) == 0 ? st.st_size : log->size + (off_t)(lead + length);
    return status;
}

pc_status pc_log_append(pc_log *log, pc_event *event, pc_errors *errors) {
    if (log == NULL || log->fd < 0)
        return PC_E_ARGUMENT;
    if (event == NULL)
        return pci_log_keep(log, NULL, errors);
    if (log->taken)
        return refuse(errors, PC_E_FILE, log->name, "another clock has begun on this name");
    pc_event numbered = *event;
    numbered.number = log->number + 1;
    /* Room first: what is on the disk must not be lost for want of memory. */
    pc_event *bigger = grown(log->event, log->count, &log->room, sizeof *bigger);
    if (bigger == NULL)
        return refuse(errors, PC_E_MEMORY, log->path, pc_status_text(PC_E_MEMORY));
    log->event = bigger;
    size_t rewrites = log->rewrites;
    pc_status status = write_event(log, &numbered, errors);
    if (status != PC_OK && log->rewrites == rewrites)
        return status;
    log->unended = false;
    log->number = numbered.number;
    *event = numbered;
    log->event[log->count++] = numbered;
    return status;
}

pc_log_state pc_log_look(const pc_log *log) {
    if (log == NULL)
        return (pc_log_state){.path = "", .why = ""};
    return (pc_log_state){.path = log->path,
                          .piece = log->count > 0 ? log->piece : 0,
                          .count = log->count,
                          .event = log->event,
                          .damage_count = log->damages,
                          .damage = log->damage,
                          .torn = log->torn,
                          .rewrites = log->rewrites,
                          .why = log->why,
                          .taken = log->taken};
}

void pc_log_close(pc_log *log) {
    if (log == NULL)
        return;
    if (log->fd >= 0)
        close(log->fd);
    free(log->event);
    free(log->damage);
    free(log->path);
    free(log->name);
    free(log);
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
