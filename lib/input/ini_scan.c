/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "input/ini_scan.h"

#include <stdarg.h>
#include <string.h>
#include <utf8proc.h>

#include "base/text.h"

struct scan {
    pci_ini *ini;
    pc_errors *errors;
    pc_status status; /* of the first error */
    long line;
    char section[PCI_INI_NAME_MOST + 1]; /* the present one; "" before the first */
    bool section_refused; /* its keys are skipped: reporting them too would hide the cause */
};

/* Part of a line. */
struct span {
    const char *at;
    size_t n;
};

PC_PRINTF(4, 5)
static void refuse(struct scan *scan, pc_status status, const char *key, const char *format, ...) {
    char text[300];
    va_list args;
    va_start(args, format);
    pci_vformat(text, sizeof text, format, args);
    va_end(args);
    pc_place place = {scan->ini->file, scan->line, scan->section, key, NULL};
    if (scan->section_refused)
        place.section = NULL;
    pc_errors_add(scan->errors, status, place, "%s", text);
    if (scan->status == PC_OK)
        scan->status = status;
}

static struct span trim(struct span s) {
    while (s.n > 0 && pci_is_space(s.at[0])) {
        s.at++;
        s.n--;
    }
    while (s.n > 0 && pci_is_space(s.at[s.n - 1]))
        s.n--;
    return s;
}

/* room: for s.n + 1 bytes */
static void copy(struct span s, char *room) {
    memcpy(room, s.at, s.n);
    room[s.n] = '\0';
}

static bool bytes_are_text(struct scan *scan, struct span line) {
    for (size_t i = 0; i < line.n;) {
        unsigned char c = (unsigned char)line.at[i];
        if ((c < 0x20 && c != '\t') || c == 0x7F) {
            refuse(scan, PC_E_SYNTAX, NULL,
                   "a control byte in this line: save the file as plain text");
            return false;
        }
        utf8proc_int32_t point;
        utf8proc_ssize_t length = utf8proc_iterate((const utf8proc_uint8_t *)line.at + i,
                                                   (utf8proc_ssize_t)(line.n - i), &point);
        if (length <= 0) {
            refuse(scan, PC_E_SYNTAX, NULL,
                   "a byte that is not UTF-8 in this line: save the file as UTF-8");
            return false;
        }
        i += (size_t)length;
    }
    return true;
}

/* Cuts an unquoted text at its comment. touching: a ; or # without white space before it. */
static struct span without_comment(struct span s, bool *touching) {
    *touching = false;
    for (size_t i = 0; i < s.n; i++) {
        if (s.at[i] != ';' && s.at[i] != '#')
            continue;
        if (i == 0 || pci_is_space(s.at[i - 1]))
            return trim((struct span){s.at, i});
        *touching = true;
    }
    return trim(s);
}

/* Names, values: what no output can show is refused. A tab is white space. */
static bool shows(struct span s) {
    char text[PCI_INI_LINE_MOST + 1];
    copy(s, text);
    for (char *c = text; *c; c++)
        if (*c == '\t')
            *c = ' ';
    return pci_text_shows(text);
}

static bool name_is_good(struct scan *scan, struct span name) {
    const char *text = NULL;
    if (name.n == 0)
        text = "a section needs a name between [ and ]";
    else if (name.n > PCI_INI_NAME_MOST)
        text = "the name of this section is longer than 95 bytes";
    else if (!shows(name))
        text = PCI_NOT_SHOWN;
    for (size_t i = 0; !text && i < name.n; i++)
        if (strchr(":[];#=\"\\", name.at[i]))
            text = "the name of a section may not contain any of : [ ] ; # = \" \\";
    if (text)
        refuse(scan, PC_E_SYNTAX, NULL, "%s", text);
    return !text;
}

/* Copy of a name with white space inside it to one space. */
static void squeeze(struct span s, char *text) {
    size_t used = 0;
    for (size_t i = 0; i < s.n; i++)
        if (!pci_is_space(s.at[i]))
            text[used++] = s.at[i];
        else if (!pci_is_space(s.at[i - 1])) /* trimmed: i > 0 */
            text[used++] = ' ';
    text[used] = '\0';
}

static void section(struct scan *scan, struct span line) {
    pci_ini *ini = scan->ini;
    scan->section_refused = true;
    const char *close = memchr(line.at, ']', line.n);
    if (!close) {
        refuse(scan, PC_E_SYNTAX, NULL, "a section is written [name]: the ] is missing");
        return;
    }
    struct span name = trim((struct span){line.at + 1, (size_t)(close - line.at) - 1});
    struct span rest = {close + 1, line.n - (size_t)(close + 1 - line.at)};
    bool touching;
    bool follows = rest.n > 0 && !pci_is_space(rest.at[0]);
    if (follows || without_comment(rest, &touching).n > 0 || touching) {
        refuse(scan, PC_E_SYNTAX, NULL, "only a comment may come after [name]");
        return;
    }
    if (!name_is_good(scan, name))
        return;
    if (ini->sections == PCI_INI_SECTIONS_MOST) {
        refuse(scan, PC_E_SIZE, NULL, "more than 200 sections: too many");
        return;
    }
    squeeze(name, scan->section);
    scan->section_refused = false;
    long twin = pci_ini_line(ini, scan->section, NULL);
    if (twin > 0)
        refuse(scan, PC_E_KEY, NULL,
               "this section is in line %ld already: put its keys together, or give it another "
               "name",
               twin);
    else if (!pci_ini_add(ini, scan->section, NULL, NULL, scan->line))
        refuse(scan, PC_E_MEMORY, NULL, "out of memory");
    else
        return;
    scan->section_refused = true;
}

static bool key_is_good(struct scan *scan, struct span key) {
    bool good = key.n > 0 && key.n <= PCI_INI_KEY_MOST;
    for (size_t i = 0; good && i < key.n; i++) {
        char c = pci_lower(key.at[i]);
        good = (c >= 'a' && c <= 'z') || pci_is_digit(c) || c == '_';
    }
    if (!good)
        refuse(scan, PC_E_SYNTAX, NULL,
               "a key is written with letters, digits and _ (at most 63), then = and its value");
    return good;
}

/* Value of a line after the =, without quotes and comment; false when it was refused. */
static bool value_of(struct scan *scan, const char *key, struct span text, struct span *value) {
    text = trim(text);
    bool touching = false;
    bool quoted = text.n > 0 && (text.at[0] == '"' || text.at[0] == '\'');
    if (quoted) {
        const char *close = memchr(text.at + 1, text.at[0], text.n - 1);
        struct span rest = {NULL, 0};
        if (close)
            rest = (struct span){close + 1, text.n - (size_t)(close + 1 - text.at)};
        bool follows = rest.n > 0 && !pci_is_space(rest.at[0]);
        if (!close || follows || without_comment(rest, &touching).n > 0 || touching) {
            refuse(scan, PC_E_SYNTAX, key,
                   close ? "only a comment may come after a value in quotes"
                         : "the value opens with a quote that is not closed");
            return false;
        }
        *value = trim((struct span){text.at + 1, (size_t)(close - text.at) - 1});
    } else {
        *value = without_comment(text, &touching);
    }
    const char *wrong = NULL;
    if (touching)
        wrong = "a ; or # touches the value: put white space before a comment, or the value in "
                "\"quotes\" when it belongs to it";
    else if (value->n == 0)
        wrong = "no value after \"=\": add one or delete the line";
    else if (value->at[value->n - 1] == '\\')
        wrong = "the value ends in a backslash: a value is one line";
    else if (!shows(*value))
        wrong = PCI_NOT_SHOWN;
    if (wrong)
        refuse(scan, PC_E_SYNTAX, key, "%s", wrong);
    return !wrong;
}

static void keep(struct scan *scan, const char *key, struct span value) {
    char text[PCI_INI_LINE_MOST + 1];
    pci_ini *ini = scan->ini;
    long twin = pci_ini_line(ini, scan->section, key);
    copy(value, text);
    if (twin > 0)
        refuse(scan, PC_E_KEY, key, "this key is in line %ld already: keep one of them", twin);
    else if (ini->entries == PCI_INI_ENTRIES_MOST)
        refuse(scan, PC_E_SIZE, key, "more than 2000 keys: too many");
    else if (!pci_ini_add(ini, scan->section, key, text, scan->line))
        refuse(scan, PC_E_MEMORY, key, "out of memory");
}

static void entry(struct scan *scan, struct span line) {
    const char *equals = memchr(line.at, '=', line.n);
    if (!equals) {
        refuse(scan, PC_E_SYNTAX, NULL,
               "neither [section] nor key = value: a comment starts with ; or #");
        return;
    }
    struct span name = trim((struct span){line.at, (size_t)(equals - line.at)});
    struct span rest = {equals + 1, line.n - (size_t)(equals + 1 - line.at)}, value;
    if (!key_is_good(scan, name))
        return;
    char key[PCI_INI_KEY_MOST + 1];
    copy(name, key);
    for (char *p = key; *p; p++)
        *p = pci_lower(*p);
    if (!scan->section[0] && !scan->section_refused)
        refuse(scan, PC_E_SYNTAX, key, "this key is before the first [section]");
    else if (value_of(scan, key, rest, &value) && !scan->section_refused)
        keep(scan, key, value);
}

static void one_line(struct scan *scan, struct span line) {
    if (line.n > 0 && line.at[line.n - 1] == '\r')
        line.n--;
    if (line.n > PCI_INI_LINE_MOST) {
        refuse(scan, PC_E_SIZE, NULL, "this line is longer than 1000 bytes");
        return;
    }
    if (!bytes_are_text(scan, line))
        return;
    line = trim(line);
    if (line.n == 0 || line.at[0] == ';' || line.at[0] == '#')
        return;
    if (line.at[line.n - 1] == '\\') {
        refuse(scan, PC_E_SYNTAX, NULL,
               "the line ends in a backslash: entries are one line each, put it on one");
        return;
    }
    if (line.at[0] == '[')
        section(scan, line);
    else
        entry(scan, line);
}

pc_status pci_ini_scan(pci_ini *ini, const char *data, size_t size, pc_errors *errors) {
    struct scan scan = {.ini = ini, .errors = errors, .status = PC_OK};
    for (size_t at = 0; at < size;) {
        const char *end = memchr(data + at, '\n', size - at);
        size_t n = end ? (size_t)(end - data) - at : size - at;
        scan.line++;
        one_line(&scan, (struct span){data + at, n});
        at += n + (end != NULL);
    }
    return scan.status;
}
