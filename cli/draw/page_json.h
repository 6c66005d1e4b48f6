/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Building the JSON inside the page: keys in the order they are put; NaN and infinity as null. */
#ifndef PC_CLI_DRAW_PAGE_JSON_H
#define PC_CLI_DRAW_PAGE_JSON_H

#include <jansson.h>
#include <stdbool.h>

/* Puts a value (its reference is taken) under a key. A value or object of NULL, as left by a lack
 * of memory, sets *failed and is otherwise harmless: check *failed once, at the end. */
void cj_put(json_t *object, const char *key, json_t *value, bool *failed);
void cj_push(json_t *array, json_t *value, bool *failed);

/* Shorthands of cj_put. Bytes of text that are not UTF-8 become '?'. */
void cj_put_number(json_t *object, const char *key, double value, bool *failed);
void cj_put_count(json_t *object, const char *key, long value, bool *failed);
void cj_put_text(json_t *object, const char *key, const char *text, bool *failed);
void cj_put_bool(json_t *object, const char *key, bool value, bool *failed);

json_t *cj_number(double value); /* null where not finite */
json_t *cj_text(const char *text);

#endif
