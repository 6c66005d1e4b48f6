/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/ini.h"

#include <iniparser/iniparser.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "input/ini_scan.h"
#include "input/whole_file.h"

enum { NAME_SIZE = PCI_INI_NAME_MOST + PCI_INI_KEY_MOST + 2 };

pci_ini *pci_ini_new(const char *file) {
    pci_ini *ini = calloc(1, sizeof *ini);
    if (!ini)
        return NULL;
    pci_copy_text(ini->file, sizeof ini->file, file);
    ini->value = dictionary_new(0);
    ini->line = dictionary_new(0);
    if (ini->value && ini->line)
        return ini;
    pci_ini_free(ini);
    return NULL;
}

void pci_ini_free(pci_ini *ini) {
    if (!ini)
        return;
    if (ini->value)
        dictionary_del(ini->value);
    if (ini->line)
        dictionary_del(ini->line);
    free(ini);
}

/* The dictionary's name of an entry. iniparser_getstring would fold it by the locale. */
static const char *entry_name(const char *section, const char *key, char name[NAME_SIZE]) {
    snprintf(name, NAME_SIZE, "%s%s%s", section, key ? ":" : "", key ? key : "");
    for (char *p = name; *p; p++)
        *p = pci_lower(*p);
    return name;
}

/* iniparser 4.1 does not say when it could not copy a string: look whether it is there. */
static bool set(dictionary *d, const char *name, const char *value) {
    return dictionary_set(d, name, value) == 0 && dictionary_get(d, name, NULL) != NULL;
}

bool pci_ini_add(pci_ini *ini, const char *section, const char *key, const char *value, long line) {
    char name[NAME_SIZE], number[24];
    entry_name(section, key, name);
    snprintf(number, sizeof number, "%ld", line);
    *(key ? &ini->entries : &ini->sections) += 1;
    return set(ini->value, name, key ? value : section) && set(ini->line, name, number);
}

const char *pci_ini_section(const pci_ini *ini, size_t number) {
    return dictionary_get(ini->value, iniparser_getsecname(ini->value, (int)number), "");
}

long pci_ini_line(const pci_ini *ini, const char *section, const char *key) {
    char name[NAME_SIZE];
    return strtol(dictionary_get(ini->line, entry_name(section, key, name), "0"), NULL, 10);
}

const char *pci_ini_value(const pci_ini *ini, const char *section, const char *key) {
    char name[NAME_SIZE];
    return dictionary_get(ini->value, entry_name(section, key, name), NULL);
}

pci_at pci_ini_at(const pci_ini *ini, const char *section, const char *key, pc_errors *errors) {
    long line = pci_ini_line(ini, section, key);
    return (pci_at){ini->file, line > 0 ? line : pci_ini_line(ini, section, NULL), section,
                    key,       key ? pci_ini_value(ini, section, key) : NULL,      errors};
}

static pc_status refuse(const char *file, pc_status status, long line, const char *text,
                        pc_errors *errors) {
    return pc_errors_add(errors, status, (pc_place){.file = file, .line = line}, "%s", text);
}

static bool starts_with(const char *data, size_t size, const char *mark, size_t n) {
    return size >= n && memcmp(data, mark, n) == 0;
}

/* What makes the whole file unreadable, so that its lines need not be judged. */
static pc_status judge_bytes(const char *file, const char *data, size_t size, pc_errors *errors) {
    if (size == 0)
        return refuse(file, PC_E_SYNTAX, 0,
                      "the file is empty: [section] and key = value lines were expected", errors);
    if (size > PCI_INI_BYTES_MOST)
        return refuse(file, PC_E_SIZE, 0, "more than 4 MB: too large for a file of this kind",
                      errors);
    if (starts_with(data, size, "\xEF\xBB\xBF", 3))
        return refuse(file, PC_E_SYNTAX, 1,
                      "the file starts with a byte order mark: save it as UTF-8 without one",
                      errors);
    if (starts_with(data, size, "\xFF\xFE", 2) || starts_with(data, size, "\xFE\xFF", 2))
        return refuse(file, PC_E_SYNTAX, 1, "the file is UTF-16: save it as UTF-8", errors);
    if (memchr(data, '\0', size))
        return refuse(file, PC_E_SYNTAX, 1,
                      "the file has NUL bytes, so it is not text: is it the right file?", errors);
    return PC_OK;
}

pc_status pci_ini_parse(const char *file, const char *data, size_t size, pci_ini **ini,
                        pc_errors *errors) {
    *ini = NULL;
    PCI_TRY(judge_bytes(file, data, size, errors));
    pci_ini *made = pci_ini_new(file);
    if (!made)
        return refuse(file, PC_E_MEMORY, 0, "out of memory", errors);
    pc_status status = pci_ini_scan(made, data, size, errors);
    if (status == PC_OK && made->sections == 0)
        status =
            refuse(file, PC_E_SYNTAX, 0, "no [section] in this file: is it the right one?", errors);
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

/* The first of a list that begins with a word and goes on: "demold" is short for demold_time. */
static const char *longer_word(const char *word, const char *const *list) {
    size_t n = strlen(word);
    for (; n >= 3 && *list; list++)
        if (strncmp(*list, word, n) == 0 && (*list)[n] == '_')
            return *list;
    return NULL;
}

static pc_status unknown(pci_at at, const char *word, const char *const *known, bool section) {
    const char *near = longer_word(word, known);
    if (!near)
        near = pci_nearest_word(word, known);
    char list[400];
    join(known, list, sizeof list);
    pc_place place = {at.file, at.line, at.section, at.key, at.value};
    const char *kind = section ? "section" : "key";
    if (near)
        return pc_errors_add(at.errors, PC_E_KEY, place, "no such %s: did you mean %s%s%s?", kind,
                             section ? "[" : "", near, section ? "]" : "");
    return pc_errors_add(at.errors, PC_E_KEY, place, "no such %s; the %ss are %s", kind, kind,
                         list);
}

static bool is_in(const char *word, const char *const *list) {
    while (*list && !pci_same_word(*list, word))
        list++;
    return *list != NULL;
}

pc_status pci_ini_unknown_keys(const pci_ini *ini, const char *section, const char *const *known,
                               pc_errors *errors) {
    pc_status status = PC_OK;
    char start[NAME_SIZE];
    size_t n = strlen(entry_name(section, "", start));
    for (size_t i = 0; i < (size_t)ini->value->size; i++) { /* signed in iniparser 4.1 alone */
        const char *name = ini->value->key[i];
        if (name && strncmp(name, start, n) == 0 && !is_in(name + n, known))
            status = unknown(pci_ini_at(ini, section, name + n, errors), name + n, known, false);
    }
    return status;
}

pc_status pci_ini_unknown_section(const pci_ini *ini, const char *section, const char *const *known,
                                  pc_errors *errors) {
    return unknown(pci_ini_at(ini, section, NULL, errors), section, known, true);
}

/* Whether this release of iniparser writes values in quotes: 4.1 does not, 4.2 does. */
static bool writer_quotes(void) {
    dictionary *d = dictionary_new(0);
    char text[128] = "";
    FILE *stream = fmemopen(text, sizeof text, "w");
    if (d && stream && set(d, "a", "a") && set(d, "a:b", "c"))
        iniparser_dumpsection_ini(d, "a", stream);
    if (stream)
        fclose(stream);
    if (d)
        dictionary_del(d);
    return strchr(text, '"') != NULL;
}

bool pci_ini_put(pci_ini *ini, const char *section, const char *key, const char *value) {
    char line[PCI_INI_LINE_MOST];
    bool quotes = strpbrk(value, ";#") || *value == '\'' || *value == '"';
    const char *mark = quotes && !writer_quotes() ? "\"" : "";
    if (pci_ini_line(ini, section, NULL) == 0 && !pci_ini_add(ini, section, NULL, NULL, 1))
        return false;
    snprintf(line, sizeof line, "%.900s", value);
    for (char *p = line; *p; p++)
        if (*p == '"')
            *p = '\'';
    char whole[sizeof line + 2];
    snprintf(whole, sizeof whole, "%s%s%s", mark, line, mark);
    return pci_ini_add(ini, section, key, whole, 1);
}

pc_status pci_ini_write(const pci_ini *ini, const char *comment, const char *path,
                        pc_errors *errors) {
    char *text = NULL;
    size_t size = 0;
    FILE *stream = open_memstream(&text, &size);
    if (!stream)
        return refuse(path, PC_E_MEMORY, 0, "out of memory", errors);
    fprintf(stream, "; %s\n", comment);
    for (size_t s = 0; s < ini->sections; s++)
        iniparser_dumpsection_ini(ini->value, iniparser_getsecname(ini->value, (int)s), stream);
    bool lost = ferror(stream) != 0;
    pc_status status = PC_E_MEMORY;
    if (fclose(stream) != 0 || lost)
        refuse(path, status, 0, "out of memory", errors);
    else
        status = pc_file_write(path, text, size, errors);
    free(text);
    return status;
}
