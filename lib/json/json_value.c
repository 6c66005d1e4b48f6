/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "json/json_value.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "pourclock/plain_text.h"

void pci_json_put(json_t *object, const char *key, json_t *value, bool *failed) {
    if (json_object_set_new(object, key, value) != 0)
        *failed = true;
}

void pci_json_push(json_t *array, json_t *value, bool *failed) {
    if (json_array_append_new(array, value) != 0)
        *failed = true;
}

json_t *pci_json_real(double value) {
    return isfinite(value) ? json_real(value) : json_null();
}

json_t *pci_json_string(const char *text) {
    size_t size = strlen(text) + 1;
    char *copy = malloc(size);
    if (!copy)
        return NULL;
    pc_text_clean(text, copy, size);
    json_t *value = json_string(copy);
    free(copy);
    return value;
}

void pci_json_number(json_t *object, const char *key, double value, bool *failed) {
    pci_json_put(object, key, pci_json_real(value), failed);
}

void pci_json_known(json_t *object, const char *key, double value, bool *failed) {
    if (isfinite(value))
        pci_json_number(object, key, value, failed);
}

void pci_json_count(json_t *object, const char *key, long value, bool *failed) {
    pci_json_put(object, key, json_integer(value), failed);
}

void pci_json_text(json_t *object, const char *key, const char *text, bool *failed) {
    pci_json_put(object, key, pci_json_string(text), failed);
}

void pci_json_bool(json_t *object, const char *key, bool value, bool *failed) {
    pci_json_put(object, key, json_boolean(value), failed);
}

json_t *pci_json_cautions(const pc_cautions *cautions, bool *failed) {
    json_t *list = json_array();
    for (size_t i = 0; i < cautions->count; i++)
        pci_json_push(list, pci_json_string(cautions->item[i].text), failed);
    return list;
}

void pci_json_resin_cautions(json_t *object, const pc_resin *resin, pc_units units, bool *failed) {
    pc_cautions cautions;
    if (pc_cautions_of_resin(resin, units, &cautions) != PC_OK)
        *failed = true;
    pci_json_put(object, "cautions", pci_json_cautions(&cautions, failed), failed);
    pc_cautions_free(&cautions);
}

pc_status pci_json_finish(json_t *object, bool failed, char **text) {
    /* Ten digits: more than the model is good for, and the same on every machine. */
    *text = failed ? NULL : json_dumps(object, JSON_INDENT(2) | JSON_REAL_PRECISION(10));
    json_decref(object);
    return *text ? PC_OK : PC_E_MEMORY;
}
