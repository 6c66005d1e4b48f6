/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whole files in and out: read with a size limit, never hanging on a pipe or device; written whole
 * or not at all. */
#ifndef PCI_INPUT_FILE_H
#define PCI_INPUT_FILE_H

#include <stddef.h>

#include "pourclock/errors.h"

/* Bytes of a file; data[size] is a NUL the file does not hold. Free with pci_file_free. */
typedef struct pci_file_bytes {
    char *data;
    size_t size;
} pci_file_bytes;

/* The name a file goes by in messages: "standard input" for "-". */
const char *pci_file_label(const char *path);

/* Purpose:  read a whole regular file, or standard input for "-".
 * Given:    path; most: largest size allowed, bytes.
 * Returned: *bytes; PC_OK; PC_E_FILE (missing, not readable, a directory, a pipe or device),
 *           PC_E_SIZE, PC_E_MEMORY, PC_E_ARGUMENT (NULL), each with an error.
 * Notes:    of a file that is too large nothing, of standard input not more than `most` + 1 bytes
 *           is read. */
pc_status pci_file_read(const char *path, size_t most, pci_file_bytes *bytes, pc_errors *errors);
void pci_file_free(pci_file_bytes *bytes);

/* Purpose:  write all bytes to an open file, however many calls that takes.
 * Returned: 0, or the errno of the call that failed. */
int pci_write_all(int fd, const char *data, size_t size);

/* Purpose:  write a file whole or not at all: to a temporary file beside it, synced, then renamed.
 * Given:    path; data of size bytes. Returned: PC_OK, PC_E_FILE, PC_E_MEMORY, with an error.
 * Notes:    permissions of a file replaced are kept; a new one gets 0666 less the umask. A symbolic
 *           link is replaced by the file. After a failure the old file stands untouched. */
pc_status pci_file_write(const char *path, const char *data, size_t size, pc_errors *errors);

/* Purpose:  path of a name written in a file: itself when absolute, "-" or when beside is NULL,
 *           "-" or without a directory; else in the directory of `beside`.
 * Returned: false when it does not fit into buffer. */
int pci_path_beside(const char *name, const char *beside, char *buffer, size_t size);

#endif
