/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An open log, and its file under its name: shared by the log's reading and writing. */
#ifndef PCI_BENCH_LOG_FILE_H
#define PCI_BENCH_LOG_FILE_H

#include <sys/types.h>

#include "bench/event_line.h"

enum { PCI_LOG_HEAD = 64, PCI_LOG_NAMES = 99 };

struct pc_log {
    int fd;            /* -1: only read */
    char *path, *name; /* the file that is written; the name it was asked for */
    uint64_t piece;
    pci_log_io io;
    off_t size;              /* of the good bytes; what is after them was never acknowledged */
    char head[PCI_LOG_HEAD]; /* how the file begins */
    size_t head_size;
    const char *why; /* the events were written again the last time */
    size_t rewrites;
    bool taken;
    bool unended; /* bytes of a failed write could not be cut off: end their line first */
    long number;  /* of the last good line */
    size_t torn;
    size_t count, room;
    pc_event *event;
    size_t damages, damage_room;
    pc_log_damage *damage;
};

/* Remembers how the file begins, to notice when another program writes over it. */
void pci_log_keep_head(pc_log *log, const char *data, size_t size);

/* Writes every byte through the log's io; false with errno. *written: how many were. */
bool pci_log_write_all(pc_log *log, int fd, const char *data, size_t size, size_t *written);

/* A new file is on the disk only once its folder is. Folders that refuse are let be. */
void pci_log_sync_folder(const char *path);

/* Purpose:  as pc_log_keep, of a log that is written.
 * Given:    last: an event that was just written and is not yet in memory, or NULL.
 * Returned: where the events were written again, log->rewrites has grown. */
pc_status pci_log_keep(pc_log *log, const pc_event *last, pc_errors *errors);

#endif
