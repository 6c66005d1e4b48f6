/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuzz.h"

#include <math.h>
#include <string.h>

#include "base/text.h"
#include "pourclock/errors.h"
#include "pourclock/plain_text.h"
#include "pourclock/quantity.h"
#include "pourclock/resin.h"

/* Whatever the words, an error about them fits its room, and no word is made up. */
static void words(const char *text, size_t size) {
    static const char *const list[] = {"wall", "first_layer", "pour_hole", NULL};
    const char *near = pc_nearest_word(text, list);
    FUZZ_PROMISE(!near || near == list[0] || near == list[1] || near == list[2]);
    int family = pc_family_from_word(text);
    FUZZ_PROMISE(family >= -1 && family < PC_FAMILY_COUNT);
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pc_errors_add(
        &errors, PC_E_VALUE,
        (pc_place){.file = text, .line = (long)size, .section = text, .key = text, .value = text},
        "%s", text);
    FUZZ_PROMISE(status == PC_E_VALUE && errors.count == 1);
    char buffer[64];
    size_t room = size % sizeof buffer;
    int length = pc_error_format(&errors.item[0], buffer, room);
    FUZZ_PROMISE(length >= 0 && (room == 0 || memchr(buffer, '\0', room)));
    pc_errors_free(&errors);
}

/* Cleaned, any bytes are text: no wider than it is long, in every size of buffer, to any width. */
static void show(const char *text, size_t size) {
    char *clean = malloc(size + 1);
    if (!clean)
        return;
    size_t room = 1 + size / 2;
    FUZZ_PROMISE(pc_text_clean(text, clean, room) < room && pci_text_shows(clean));
    size_t length = pc_text_clean(text, clean, size + 1);
    FUZZ_PROMISE(length == strlen(clean) && length <= strlen(text) && pci_text_shows(clean));
    FUZZ_PROMISE(!pci_text_shows(text) || !strcmp(text, clean));
    size_t width = pc_text_width(clean), fits = pc_text_fit(clean, width / 2);
    FUZZ_PROMISE(width <= length && fits <= length && pc_text_fit(clean, width) == length);
    clean[fits] = '\0';
    FUZZ_PROMISE(pc_text_width(clean) <= width / 2 && pci_text_shows(clean));
    free(clean);
}

/* Taken when it is a quantity of any dimension. */
bool fuzz_accepts(const uint8_t *data, size_t size) {
    char *text = malloc(size + 1);
    if (!text)
        return false;
    memcpy(text, data, size);
    text[size] = '\0';
    bool any = false;
    for (int d = 0; d < PC_DIMENSION_COUNT; d++) {
        char why[200];
        double si = -1.25;
        pc_status status = pc_quantity_parse(text, (pc_dimension)d, &si, why, sizeof why);
        FUZZ_PROMISE(status == PC_OK || status == PC_E_UNIT || status == PC_E_VALUE);
        FUZZ_PROMISE(status == PC_OK ? isfinite(si) && !why[0] : si == -1.25 && why[0]);
        FUZZ_PROMISE(d != PC_TEMPERATURE || status != PC_OK || si >= 0.0);
        FUZZ_PROMISE(memchr(why, '\0', sizeof why) != NULL);
        any = any || status == PC_OK;
    }
    words(text, size);
    show(text, size);
    const char *end;
    pc_number_parse(text, &end);
    FUZZ_PROMISE(end >= text && end <= text + strlen(text));
    free(text);
    return any;
}

FUZZ_ENTRY
