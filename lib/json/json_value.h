/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Building JSON, format 1: keys in the order they are put; NaN and infinity as null. */
#ifndef PCI_JSON_JSON_VALUE_H
#define PCI_JSON_JSON_VALUE_H

#include <jansson.h>
#include <stdbool.h>

#include "pourclock/json.h"
#include "pourclock/quantity.h"
#include "pourclock/resin.h"
#include "pourclock/safety.h"
#include "pourclock/words.h"

/* Puts a value (its reference is taken) under a key. A value or object of NULL, as left by a lack
 * of memory, sets *failed and is otherwise harmless: check *failed once, at the end. */
void pci_json_put(json_t *object, const char *key, json_t *value, bool *failed);
void pci_json_push(json_t *array, json_t *value, bool *failed);

/* Shorthands of pci_json_put. Texts go through pc_text_clean. */
void pci_json_number(json_t *object, const char *key, double value, bool *failed);
void pci_json_known(json_t *object, const char *key, double value, bool *failed); /* or no key */
void pci_json_count(json_t *object, const char *key, long value, bool *failed);
void pci_json_text(json_t *object, const char *key, const char *text, bool *failed);
void pci_json_bool(json_t *object, const char *key, bool value, bool *failed);

json_t *pci_json_real(double value); /* null where not finite */
json_t *pci_json_string(const char *text);

/* The texts of cautions, most important first. */
json_t *pci_json_cautions(const pc_cautions *cautions, bool *failed);

/* Puts the cautions of a resin under "cautions". */
void pci_json_resin_cautions(json_t *object, const pc_resin *resin, pc_units units, bool *failed);

/* Ends an answer: drops the object and hands out its text. Returned: PC_OK; PC_E_MEMORY, with *text
 * NULL, on `failed` too. */
pc_status pci_json_finish(json_t *object, bool failed, char **text);

#endif
