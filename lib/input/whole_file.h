/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whole files in and out: read with a size limit, never hanging on a pipe or device; written whole
 * or not at all. */
#ifndef PCI_INPUT_FILE_H
#define PCI_INPUT_FILE_H

#include <stddef.h>

#include "pourclock/file.h"

/* Bytes of a file; data[size] is a NUL that is not in the file. Free with pci_file_free. */
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
 *           is read. A file cut short meanwhile is what could be read of it. */
pc_status pci_file_read(const char *path, size_t most, pci_file_bytes *bytes, pc_errors *errors);

/* As pci_file_read, and from a pipe or a device as well, waiting for it. */
pc_status pci_file_read_any(const char *path, size_t most, pci_file_bytes *bytes,
                            pc_errors *errors);

/* As pci_file_read, of a file that is open, from where it is; path: for messages. */
pc_status pci_file_read_open(int fd, const char *path, size_t most, pci_file_bytes *bytes,
                             pc_errors *errors);
void pci_file_free(pci_file_bytes *bytes);

/* Purpose:  path of a name written in a file: itself when absolute, "-" or when beside is NULL,
 *           "-" or without a directory; else in the directory of `beside`.
 * Returned: false when it does not fit into buffer. */
int pci_path_beside(const char *name, const char *beside, char *buffer, size_t size);

#endif
