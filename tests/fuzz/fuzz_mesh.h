/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a mesh reader promises, whatever the bytes. */
#ifndef TESTS_FUZZ_MESH_H
#define TESTS_FUZZ_MESH_H

#include <math.h>

#include "fuzz.h"
#include "pourclock/mesh.h"
#include "shape/mesh_shape.h"

static inline void fuzz_closed_mesh(const pc_mesh *mesh) {
    const double up[3] = {0.0, 0.0, 1.0}, wall = 0.002;
    double volume, filled;
    pc_traps traps;
    pc_status status = pc_mesh_traps(mesh, up, NULL, 0.0, 1000, &traps);
    FUZZ_PROMISE(status == PC_OK || status == PC_E_MEMORY);
    pc_traps_free(&traps);
    status = pc_mesh_shell(mesh, 1, &wall, 30000, &volume, &filled, NULL, NULL, NULL);
    if (status == PC_OK) {
        FUZZ_PROMISE(volume >= 0.0 && volume <= mesh->report.volume_m3);
        FUZZ_PROMISE(filled >= 0.0 && filled <= volume);
    }
}

static inline bool fuzz_mesh(const uint8_t *data, size_t size, const char *name) {
    pc_mesh mesh;
    pc_errors errors = PC_ERRORS_INIT;
    bool named = pci_names_unit(name); /* a package, which may hold more than it is long */
    pc_status status = pci_mesh_parse(data, size, name, named ? NULL : "mm", &mesh, &errors);
    FUZZ_PROMISE((status == PC_OK) == (errors.count == 0));
    if (status == PC_OK) {
        const pc_mesh_report *r = &mesh.report;
        FUZZ_PROMISE(isfinite(r->area_m2) && r->area_m2 > 0.0);
        FUZZ_PROMISE(r->closed ? r->volume_m3 > 0.0 && isfinite(r->volume_m3)
                               : isnan(r->volume_m3) && r->why_no_volume[0] != 0);
        FUZZ_PROMISE(mesh.facet_count > 0 && (named || mesh.facet_count <= size));
        for (size_t i = 0; i < 3 * mesh.facet_count; i++)
            FUZZ_PROMISE(mesh.facet[i] < mesh.vertex_count);
        for (size_t i = 0; i < 3 * mesh.vertex_count; i++)
            FUZZ_PROMISE(isfinite(mesh.vertex[i]));
        if (r->closed && mesh.facet_count < 200)
            fuzz_closed_mesh(&mesh);
    } else {
        FUZZ_PROMISE(!mesh.vertex && !mesh.facet);
    }
    pc_mesh_free(&mesh);
    pc_errors_free(&errors);
    return status == PC_OK;
}

#endif
