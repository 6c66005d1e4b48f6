/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Mesh files by path: surveyed in place and read whole, which must agree. */
#include "fuzz_bytes.h"
#include "fuzz_text.h"
#include "pourclock/mesh.h"
#include "pourclock/shape.h"
#include "shape/mesh_shape.h"

static const char path[] = "/dev/stdin";

bool fuzz_accepts(const uint8_t *data, size_t size) {
    pc_errors errors = PC_ERRORS_INIT;
    pc_mesh mesh;
    pc_shape shape = {0};
    double area = -1, volume = -1;
    int here = fuzz_text_enter(data, size);
    pc_status surveyed = pc_mesh_survey(path, "mm", &area, &volume, &errors);
    FUZZ_PROMISE(status_is_known(surveyed) && (surveyed == PC_OK) == (errors.count == 0));
    pc_status read = pc_mesh_read(path, "mm", &mesh, NULL);
    FUZZ_PROMISE(surveyed != PC_OK || (isfinite(area) && area > 0 && !(volume < 0)));
    if (surveyed == PC_OK && read == PC_OK && mesh.report.welded_m == 0 &&
        mesh.report.holes_closed == 0) {
        FUZZ_PROMISE(fabs(area - mesh.report.area_m2) <= 1e-6 * area);
        if (isfinite(volume) && mesh.report.closed)
            FUZZ_PROMISE(fabs(volume - mesh.report.volume_m3) <= 1e-6 * pow(area, 1.5));
    }
    if (read == PC_OK && !mesh.report.closed) {
        pc_status status = pc_mesh_close_rim(&mesh, NULL);
        FUZZ_PROMISE(status_is_known(status) && (status != PC_OK || mesh.rim_facets > 0));
    }
    fuzz_bytes b = {data, size};
    double most = take_number(&b, 1e-3, 0.02);
    if (read == PC_OK && size % 97 == 0 && mesh.facet_count < 50 && !(most < 1e-3)) {
        pc_status status = pci_shape_from_mesh(path, "mm", most, true, &shape, NULL);
        FUZZ_PROMISE(status_is_known(status) && (status != PC_OK || shape.area_m2 > 0));
    }
    fuzz_text_leave(here);
    pc_shape_free(&shape);
    pc_mesh_free(&mesh);
    pc_errors_free(&errors);
    return surveyed == PC_OK;
}

FUZZ_ENTRY
