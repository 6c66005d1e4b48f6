/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lines of the log of the bench. */
#ifndef PCI_BENCH_EVENT_LINE_H
#define PCI_BENCH_EVENT_LINE_H

#include <sys/types.h>

#include "pourclock/bench.h"

/* Purpose:  write one event as a line of the log, with its CRC-32, and read one back.
 * Given:    event; piece: fingerprint; buffer of size bytes (PC_EVENT_LINE_SIZE is enough).
 *           pci_event_parse: length of the line without its line end.
 * Returned: the line's length with its line end, 0 where it does not fit or the event is not fit
 *           to be written. pci_event_parse: PC_OK, or PC_E_SYNTAX for a line that is not exactly as
 *           pci_event_format wrote it (why: a constant text of what is wrong, may be NULL).
 * Notes:    fields by tabs: number, elapsed, boot time, wall time, boot, piece, word, part, layer,
 *           value, text, CRC-32 (that of ISO 3309, of all bytes before it) after a "*". */
#define PC_EVENT_LINE_SIZE 1024
size_t pci_event_format(const pc_event *event, uint64_t piece, char *buffer, size_t size);
pc_status pci_event_parse(const char *line, size_t length, pc_event *event, uint64_t *piece,
                          const char **why);

/* How bytes reach the disk; for tests. Each as the system call of its name: -1 and errno. */
typedef struct pci_log_io {
    ssize_t (*write)(void *context, int fd, const void *data, size_t size);
    int (*sync)(void *context, int fd);
    int (*truncate)(void *context, int fd, off_t size);
    void *context;
} pci_log_io;

/* As pc_log_open, its bytes written by io. */
pc_status pci_log_open_by(const char *path, uint64_t piece, const pci_log_io *io, pc_log **log,
                          pc_errors *errors);

#endif
