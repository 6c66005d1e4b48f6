/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "draw/page_json.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "pourclock.h"

void cj_put(json_t *object, const char *key, json_t *value, bool *failed) {
    if (json_object_set_new(object, key, value) != 0)
        *failed = true;
}

void cj_push(json_t *array, json_t *value, bool *failed) {
    if (json_array_append_new(array, value) != 0)
        *failed = true;
}

json_t *cj_number(double value) {
    return isfinite(value) ? json_real(value) : json_null();
}

json_t *cj_text(const char *text) {
    size_t size = strlen(text) + 1;
    char *copy = malloc(size);
    if (!copy)
        return NULL;
    pc_text_clean(text, copy, size);
    json_t *value = json_string(copy);
    free(copy);
    return value;
}

void cj_put_number(json_t *object, const char *key, double value, bool *failed) {
    cj_put(object, key, cj_number(value), failed);
}

void cj_put_count(json_t *object, const char *key, long value, bool *failed) {
    cj_put(object, key, json_integer(value), failed);
}

void cj_put_text(json_t *object, const char *key, const char *text, bool *failed) {
    cj_put(object, key, cj_text(text), failed);
}

void cj_put_bool(json_t *object, const char *key, bool value, bool *failed) {
    cj_put(object, key, json_boolean(value), failed);
}
