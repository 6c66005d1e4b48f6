/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A package as it is, where the bytes begin as one; else the bytes are the model of a package. */
#include <zip.h>

#include "fuzz.h"
#include "fuzz_mesh.h"

#define RELATIONS                                                                                  \
    "<Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\">"       \
    "<Relationship Target=\"/3D/m.model\" Id=\"r\" "                                               \
    "Type=\"http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel\"/></Relationships>"

static bool add_part(zip_t *zip, const char *name, const void *data, size_t size) {
    zip_source_t *text = zip_source_buffer(zip, data, size, 0);
    zip_int64_t i = text ? zip_file_add(zip, name, text, ZIP_FL_ENC_UTF_8) : -1;
    return i >= 0 && zip_set_file_compression(zip, (zip_uint64_t)i, ZIP_CM_STORE, 0) == 0;
}

/* The package in memory; NULL where memory fails. */
static zip_source_t *wrap(const uint8_t *data, size_t size) {
    zip_error_t error;
    zip_error_init(&error);
    zip_source_t *sink = zip_source_buffer_create(NULL, 0, 0, &error);
    zip_t *zip = sink ? zip_open_from_source(sink, ZIP_TRUNCATE, &error) : NULL;
    FUZZ_PROMISE(zip != NULL);
    zip_source_keep(sink);
    FUZZ_PROMISE(add_part(zip, "_rels/.rels", RELATIONS, sizeof RELATIONS - 1));
    FUZZ_PROMISE(add_part(zip, "3D/m.model", data, size));
    FUZZ_PROMISE(zip_close(zip) == 0 && zip_source_open(sink) == 0);
    zip_error_fini(&error);
    return sink;
}

bool fuzz_accepts(const uint8_t *data, size_t size) {
    if (size >= 2 && data[0] == 'P' && data[1] == 'K')
        return fuzz_mesh(data, size, "fuzz.3mf");
    zip_source_t *sink = wrap(data, size);
    zip_source_seek(sink, 0, SEEK_END);
    size_t whole = (size_t)zip_source_tell(sink);
    zip_source_seek(sink, 0, SEEK_SET);
    uint8_t *package = malloc(whole);
    FUZZ_PROMISE(package && zip_source_read(sink, package, whole) == (zip_int64_t)whole);
    zip_source_close(sink);
    zip_source_free(sink);
    bool accepted = fuzz_mesh(package, whole, "fuzz.3mf");
    free(package);
    return accepted;
}

FUZZ_ENTRY
