/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An answer in JSON: there where it was given, and JSON. */
#ifndef TESTS_FUZZ_JSON_H
#define TESTS_FUZZ_JSON_H

#include <jansson.h>

#include "fuzz.h"
#include "pourclock.h"

static inline void judge_json(pc_status status, char **text) {
    FUZZ_PROMISE((status == PC_OK) == (*text != NULL));
    if (*text) {
        json_t *answer = json_loads(*text, JSON_REJECT_DUPLICATES, NULL);
        FUZZ_PROMISE(json_integer_value(json_object_get(answer, "format")) == 1);
        json_decref(answer);
    }
    pc_text_free(*text);
    *text = NULL;
}

#endif
