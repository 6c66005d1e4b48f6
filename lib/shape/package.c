/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "shape/package.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <zip.h>

#include "shape/mesh_build.h"

enum { CHUNK = 65536 };
/* A part may be this many times as long as it is compressed, or below the size that harms nobody.
 */
#define RATIO_MOST    200
#define HARMLESS_SIZE ((uint64_t)64 << 20)

struct pci_package {
    zip_t *zip;
    const char *name;
    pc_errors *errors;
    bool doctype;
};

static pc_status refuse(const pci_package *p, pc_status status, const char *path,
                        const char *what) {
    return pc_errors_add(p->errors, status, (pc_place){.file = p->name}, "%.100s: %s", path, what);
}

static pc_status no_zip(const char *name, pc_errors *errors, zip_error_t *error) {
    bool memory = zip_error_code_zip(error) == ZIP_ER_MEMORY;
    pc_status status =
        pc_errors_add(errors, memory ? PC_E_MEMORY : PC_E_SYNTAX, (pc_place){.file = name},
                      "is no ZIP file, or cut off: %s", zip_error_strerror(error));
    zip_error_fini(error);
    return status;
}

pc_status pci_package_open(const void *data, size_t size, const char *name, pc_errors *errors,
                           pci_package **package) {
    zip_error_t error;
    zip_error_init(&error);
    *package = calloc(1, sizeof **package);
    if (!*package)
        return pc_errors_add(errors, PC_E_MEMORY, (pc_place){.file = name}, "out of memory");
    zip_source_t *source = zip_source_buffer_create(data, size, 0, &error);
    zip_t *zip = source ? zip_open_from_source(source, ZIP_RDONLY, &error) : NULL;
    if (!zip) {
        zip_source_free(source);
        free(*package);
        *package = NULL;
        return no_zip(name, errors, &error);
    }
    zip_error_fini(&error);
    **package = (struct pci_package){zip, name, errors, false};
    if (zip_get_num_entries(zip, 0) <= PCI_PACKAGE_PARTS_MOST)
        return PC_OK;
    pci_package_close(*package);
    *package = NULL;
    return pc_errors_add(errors, PC_E_SIZE, (pc_place){.file = name},
                         "has more than %d parts: export the piece alone", PCI_PACKAGE_PARTS_MOST);
}

void pci_package_close(pci_package *package) {
    if (!package)
        return;
    zip_discard(package->zip);
    free(package);
}

static void XMLCALL see_doctype(void *context, const XML_Char *doctype, const XML_Char *system,
                                const XML_Char *public, int internal) {
    (void)doctype, (void)system, (void)public, (void)internal;
    XML_Parser parser = context;
    XML_StopParser(parser, XML_FALSE);
}

static pc_status bad_xml(const pci_package *p, const char *path, XML_Parser parser) {
    enum XML_Error code = XML_GetErrorCode(parser);
    if (code == XML_ERROR_NO_MEMORY)
        return refuse(p, PC_E_MEMORY, path, "out of memory");
    if (code == XML_ERROR_ABORTED)
        return refuse(p, PC_E_SYNTAX, path,
                      "has a document type declaration, which 3MF forbids: save it again");
    return pc_errors_add(p->errors, PC_E_SYNTAX, (pc_place){.file = p->name},
                         "%.100s: line %lu is no XML: %s", path,
                         (unsigned long)XML_GetCurrentLineNumber(parser), XML_ErrorString(code));
}

/* Reads a part to its end. */
static pc_status feed(pci_package *p, zip_file_t *file, const char *path, uint64_t size,
                      XML_Parser parser, const pc_status *stop) {
    uint64_t seen = 0;
    for (;;) {
        void *room = XML_GetBuffer(parser, CHUNK);
        if (!room)
            return refuse(p, PC_E_MEMORY, path, "out of memory");
        zip_int64_t n = zip_fread(file, room, CHUNK);
        if (n < 0)
            return refuse(p, PC_E_SYNTAX, path, "is damaged, or cut off");
        seen += (uint64_t)n;
        if (seen > size)
            return refuse(p, PC_E_SYNTAX, path, "is longer than the package says");
        enum XML_Status parsed = XML_ParseBuffer(parser, (int)n, n == 0);
        if (*stop != PC_OK)
            return *stop;
        if (parsed == XML_STATUS_ERROR)
            return bad_xml(p, path, parser);
        if (n == 0)
            return PC_OK;
    }
}

static pc_status check_size(const pci_package *p, const char *path, const zip_stat_t *part) {
    if (part->encryption_method != ZIP_EM_NONE)
        return refuse(p, PC_E_SYNTAX, path, "is encrypted: save it without a password");
    if (part->size > PCI_MESH_BYTES_MOST)
        return refuse(p, PC_E_SIZE, path, "is above 4 GB: thin the mesh out first");
    if (part->size > HARMLESS_SIZE && part->size / RATIO_MOST > part->comp_size)
        return refuse(p, PC_E_SIZE, path,
                      "is packed more than 200 times: no mesh is, so it is refused");
    return PC_OK;
}

pc_status pci_package_parse(pci_package *package, const char *path, XML_Parser parser,
                            const pc_status *stop) {
    zip_stat_t part;
    const char *within = path[0] == '/' ? path + 1 : path;
    if (zip_stat(package->zip, within, ZIP_FL_NOCASE, &part) != 0 ||
        (part.valid & (ZIP_STAT_SIZE | ZIP_STAT_COMP_SIZE | ZIP_STAT_INDEX)) !=
            (ZIP_STAT_SIZE | ZIP_STAT_COMP_SIZE | ZIP_STAT_INDEX))
        return refuse(package, PC_E_SYNTAX, path, "is missing from the package");
    pc_status status = check_size(package, path, &part);
    if (status != PC_OK)
        return status;
    zip_file_t *file = zip_fopen_index(package->zip, part.index, 0);
    if (!file)
        return refuse(package, PC_E_SYNTAX, path, zip_strerror(package->zip));
    XML_UseParserAsHandlerArg(parser);
    XML_SetDoctypeDeclHandler(parser, see_doctype, NULL);
    status = feed(package, file, path, part.size, parser, stop);
    zip_fclose(file);
    return status;
}
