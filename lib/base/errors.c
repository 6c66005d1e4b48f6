/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "pourclock/errors.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"

static pc_error *make_room(pc_errors *errors) {
    if (errors->count >= PC_ERRORS_MOST)
        return NULL;
    if (errors->count == errors->capacity) {
        size_t capacity = errors->capacity ? 2 * errors->capacity : 4;
        pc_error *item = realloc(errors->item, capacity * sizeof *item);
        if (!item)
            return NULL;
        errors->item = item;
        errors->capacity = capacity;
    }
    return &errors->item[errors->count++];
}

pc_status pc_errors_add(pc_errors *errors, pc_status status, pc_place place, const char *format,
                        ...) {
    if (!errors)
        return status;
    pc_error *e = make_room(errors);
    if (!e) {
        errors->dropped++;
        return status;
    }
    memset(e, 0, sizeof *e);
    e->status = status;
    e->line = place.line;
    pci_text_clean_copy(e->file, sizeof e->file, place.file);
    pci_text_clean_copy(e->section, sizeof e->section, place.section);
    pci_text_clean_copy(e->key, sizeof e->key, place.key);
    pci_text_clean_copy(e->value, sizeof e->value, place.value);
    va_list args;
    va_start(args, format);
    char text[2 * sizeof e->text];
    pci_vformat(text, sizeof text, format, args);
    va_end(args);
    pci_text_clean_copy(e->text, sizeof e->text, text);
    return status;
}

int pc_error_format(const pc_error *error, char *buffer, size_t size) {
    char where[400] = "";
    if (!buffer)
        size = 0;
    if (!error)
        return snprintf(buffer, size, "%s", "");
    if (error->file[0] && error->line > 0)
        snprintf(where, sizeof where, "%s:%ld: ", error->file, error->line);
    else if (error->file[0])
        snprintf(where, sizeof where, "%s: ", error->file);
    char what[200] = "";
    if (error->section[0] && error->key[0])
        snprintf(what, sizeof what, "[%s] %s: ", error->section, error->key);
    else if (error->section[0])
        snprintf(what, sizeof what, "[%s]: ", error->section);
    else if (error->key[0])
        snprintf(what, sizeof what, "%s: ", error->key);
    return snprintf(buffer, size, "%s%s%s", where, what, error->text);
}

void pc_errors_free(pc_errors *errors) {
    if (!errors)
        return;
    free(errors->item);
    *errors = (pc_errors)PC_ERRORS_INIT;
}

const char *pc_nearest_word(const char *word, const char *const *list) {
    return word && list ? pci_nearest_word(word, list) : NULL;
}
