/* SPDX-License-Identifier: GPL-3.0-or-later */
/* iniparser parses what the pre-scan let through. It wants a path, so the text goes to it through a
 * file in memory, or a temporary one where the system has no such; only its string getter is used.
 */
#include "input/ini.h"

#include <fcntl.h>
#include <iniparser/iniparser.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#include "base/text.h"
#include "base/try.h"
#include "input/file.h"
#include "input/ini_scan.h"

static pc_status refuse(const char *file, pc_status status, const char *text, pc_errors *errors) {
    return pc_errors_add(errors, status,
                         (pc_place){.file = file, .line = status == PC_E_SYNTAX ? 1 : 0}, "%s",
                         text);
}

static bool starts_with(const char *data, size_t size, const char *mark, size_t n) {
    return size >= n && memcmp(data, mark, n) == 0;
}

/* What makes the whole file unreadable, so that its lines need not be judged. */
static pc_status judge_bytes(const char *file, const char *data, size_t size, pc_errors *errors) {
    if (size == 0)
        return pc_errors_add(errors, PC_E_SYNTAX, (pc_place){.file = file},
                             "the file is empty: [section] and key = value lines were expected");
    if (size > PCI_INI_BYTES_MOST)
        return refuse(file, PC_E_SIZE, "more than 4 MB: too large for a file of this kind", errors);
    if (starts_with(data, size, "\xEF\xBB\xBF", 3))
        return refuse(file, PC_E_SYNTAX,
                      "the file starts with a byte order mark: save it as UTF-8 without one",
                      errors);
    if (starts_with(data, size, "\xFF\xFE", 2) || starts_with(data, size, "\xFE\xFF", 2))
        return refuse(file, PC_E_SYNTAX, "the file is UTF-16: save it as UTF-8", errors);
    if (memchr(data, '\0', size))
        return refuse(file, PC_E_SYNTAX,
                      "the file holds NUL bytes, so it is not text: is it the right file?", errors);
    return PC_OK;
}

/* By a file in memory, which has a name only where /proc is. NULL where there is none. */
static dictionary *load_from_memory(const char *plain, size_t size) {
    int fd = memfd_create("pourclock", MFD_CLOEXEC);
    dictionary *dict = NULL;
    char path[64];
    snprintf(path, sizeof path, "/proc/self/fd/%d", fd);
    if (fd >= 0 && pci_write_all(fd, plain, size) == 0 && access(path, R_OK) == 0)
        dict = iniparser_load(path);
    if (fd >= 0)
        close(fd);
    return dict;
}

/* By a temporary file that only its owner may read, gone before anything is made of it. */
static dictionary *load_from_disk(const char *plain, size_t size, const char *folder) {
    char path[1024];
    int n = snprintf(path, sizeof path, "%s/pourclock-XXXXXX", folder);
    int fd = n > 0 && (size_t)n < sizeof path ? mkstemp(path) : -1;
    if (fd < 0)
        return NULL;
    dictionary *dict = pci_write_all(fd, plain, size) == 0 ? iniparser_load(path) : NULL;
    close(fd);
    unlink(path);
    return dict;
}

static dictionary *load(const char *plain, size_t size) {
    dictionary *dict = load_from_memory(plain, size);
    const char *folder = getenv("TMPDIR");
    if (!dict && folder && *folder)
        dict = load_from_disk(plain, size, folder);
    return dict ? dict : load_from_disk(plain, size, "/tmp");
}

/* Every value must come out of iniparser as the pre-scan understood it. */
static pc_status compare(const pci_ini *ini, const dictionary *dict, pc_errors *errors) {
    pc_status status = PC_OK;
    for (size_t i = 0; i < ini->entry_count; i++) {
        const pci_ini_entry *e = &ini->entry[i];
        const char *section = ini->section[e->section].name;
        char name[PCI_INI_LINE_MOST];
        snprintf(name, sizeof name, "%s:%s", section, e->key);
        const char *value = iniparser_getstring(dict, name, NULL);
        if (!value || strcmp(value, e->value) != 0)
            status = pc_errors_add(errors, PC_E_SYNTAX,
                                   (pc_place){.file = ini->file,
                                              .line = e->line,
                                              .section = section,
                                              .key = e->key,
                                              .value = e->value},
                                   "this value cannot be read for certain: write it without "
                                   "quotes, = or unusual marks");
    }
    return status;
}

static pc_status parse_plain(const pci_ini *ini, const char *plain, size_t size,
                             pc_errors *errors) {
    dictionary *dict = load(plain, size);
    if (!dict)
        return refuse(ini->file, PC_E_FILE,
                      "cannot be parsed: there is neither memory for it nor a folder for temporary "
                      "files (TMPDIR, /tmp) with room in it",
                      errors);
    pc_status status = compare(ini, dict, errors);
    iniparser_freedict(dict);
    return status;
}

pc_status pci_ini_parse(const char *file, const char *data, size_t size, pci_ini **ini,
                        pc_errors *errors) {
    *ini = NULL;
    pc_status status = judge_bytes(file, data, size, errors);
    if (status != PC_OK)
        return status;
    pci_ini *made = calloc(1, sizeof *made);
    char *plain = malloc(size + 8 * (size_t)(PCI_INI_ENTRIES_MOST + PCI_INI_SECTIONS_MOST) + 1);
    size_t plain_size = 0;
    if (!made || !plain) {
        status = refuse(file, PC_E_MEMORY, "out of memory", errors);
    } else {
        pci_copy_text(made->file, sizeof made->file, file);
        status = pci_ini_scan(made, data, size, plain, &plain_size, errors);
        if (status == PC_OK && made->section_count == 0)
            status = pc_errors_add(errors, PC_E_SYNTAX, (pc_place){.file = file},
                                   "no [section] in this file: is it the right one?");
        if (status == PC_OK)
            status = parse_plain(made, plain, plain_size, errors);
    }
    free(plain);
    if (status == PC_OK)
        *ini = made;
    else
        pci_ini_free(made);
    return status;
}

pc_status pci_ini_read(const char *path, pci_ini **ini, pc_errors *errors) {
    *ini = NULL;
    pci_file_bytes bytes;
    PCI_TRY(pci_file_read(path, PCI_INI_BYTES_MOST, &bytes, errors));
    pc_status status = pci_ini_parse(pci_file_label(path), bytes.data, bytes.size, ini, errors);
    pci_file_free(&bytes);
    return status;
}

void pci_ini_free(pci_ini *ini) {
    if (!ini)
        return;
    for (size_t i = 0; i < ini->section_count; i++)
        free(ini->section[i].name);
    for (size_t i = 0; i < ini->entry_count; i++) {
        free(ini->entry[i].key);
        free(ini->entry[i].value);
    }
    free(ini);
}

long pci_ini_section_named(const pci_ini *ini, const char *name) {
    for (size_t i = 0; i < ini->section_count; i++)
        if (pci_same_word(ini->section[i].name, name))
            return (long)i;
    return -1;
}

const pci_ini_entry *pci_ini_get(pci_ini *ini, size_t section, const char *key) {
    for (size_t i = 0; i < ini->entry_count; i++) {
        pci_ini_entry *e = &ini->entry[i];
        if (e->section == section && pci_same_word(e->key, key)) {
            e->used = true;
            return e;
        }
    }
    return NULL;
}

/* "a, b, c" of a NULL-ended list, cut with "..." to fit. */
static void join(const char *const *list, char *buffer, size_t size) {
    char all[1024] = "";
    size_t used = 0;
    for (; *list && used < sizeof all; list++) {
        int n = snprintf(all + used, sizeof all - used, "%s%s", used ? ", " : "", *list);
        used += n > 0 ? (size_t)n : 0;
    }
    pci_copy_text(buffer, size, all);
}

pc_status pci_ini_unused(const pci_ini *ini, size_t section, const char *const *known,
                         pc_errors *errors) {
    pc_status status = PC_OK;
    for (size_t i = 0; i < ini->entry_count; i++) {
        const pci_ini_entry *e = &ini->entry[i];
        if (e->section != section || e->used)
            continue;
        const char *near = pci_nearest_word(e->key, known);
        char list[400];
        join(known, list, sizeof list);
        status =
            pc_errors_add(errors, PC_E_KEY,
                          (pc_place){.file = ini->file,
                                     .line = e->line,
                                     .section = ini->section[section].name,
                                     .key = e->key,
                                     .value = e->value},
                          near ? "no such key: did you mean %s?" : "no such key; the keys are %s",
                          near ? near : list);
    }
    return status;
}

pc_status pci_ini_unknown_section(const pci_ini *ini, size_t section, const char *const *known,
                                  pc_errors *errors) {
    const char *name = ini->section[section].name, *near = pci_nearest_word(name, known);
    char list[400];
    join(known, list, sizeof list);
    return pc_errors_add(
        errors, PC_E_KEY,
        (pc_place){.file = ini->file, .line = ini->section[section].line, .section = name},
        near ? "no such section: did you mean [%s]?" : "no such section; the sections are %s",
        near ? near : list);
}
