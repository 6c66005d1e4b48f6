/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuzz.h"

#include <math.h>
#include <string.h>

#include "pourclock/quantity.h"

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
    const char *end;
    pc_number_parse(text, &end);
    FUZZ_PROMISE(end >= text && end <= text + strlen(text));
    free(text);
    return any;
}

FUZZ_ENTRY
