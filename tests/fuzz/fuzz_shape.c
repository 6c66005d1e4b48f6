/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shapes by text and by numbers, and what is asked of a mesh, with any numbers. */
#include "fuzz.h"
#include "fuzz_bytes.h"
#include "fuzz_json.h"
#include "pourclock.h"
#include "shape/mesh_shape.h"
#include "shape/solid.h"

static void shells(const pc_shape *shape, fuzz_bytes *b) {
    double thin = take_number(b, 1e-4, 0.02), thick = take_number(b, 1e-4, 0.02), v0, v1;
    pc_status s0 = pc_shell_volume(shape, thin, &v0), s1 = pc_shell_volume(shape, thick, &v1);
    FUZZ_PROMISE(s0 == PC_OK || s0 == PC_E_ARGUMENT);
    FUZZ_PROMISE(s0 != PC_OK || (v0 >= 0 && !(v0 > shape->volume_m3 * (1 + 1e-12))));
    if (s0 == PC_OK && s1 == PC_OK)
        FUZZ_PROMISE(thin <= thick ? v0 <= v1 * (1 + 1e-9) : v1 <= v0 * (1 + 1e-9));
}

static bool measured(fuzz_bytes *b) {
    pc_shape shape = {0};
    double area = take_number(b, 1e-3, 1), volume = take_number(b, 1e-5, 1e-2), foil = -1;
    pc_status status = pci_foil_area(take_number(b, 1e-3, 0.1), take_number(b, 1e-5, 1e-4),
                                     take_number(b, 1000, 9000), &foil);
    FUZZ_PROMISE(status == PC_OK ? foil > 0 && isfinite(foil) : status == PC_E_ARGUMENT);
    status = pc_foil_area(take_number(b, 1e-3, 0.1), take_number(b, 1e-5, 1e-4), "lead", &foil);
    FUZZ_PROMISE(status == PC_OK ? foil > 0 && isfinite(foil) : status == PC_E_ARGUMENT);
    status = pc_shape_flat(area, &shape);
    FUZZ_PROMISE(status == PC_OK || status == PC_E_ARGUMENT);
    if (status == PC_OK)
        shells(&shape, b);
    pc_shape_free(&shape);
    status = pc_shape_measured(area, volume, &shape);
    FUZZ_PROMISE(status_is_known(status));
    if (status == PC_OK)
        shells(&shape, b);
    pc_shape_free(&shape);
    return status == PC_OK;
}

static bool text(fuzz_bytes *b) {
    char words[300], why[160];
    size_t n = b->left < sizeof words - 1 ? b->left : sizeof words - 1;
    memcpy(words, b->at, n);
    words[n] = '\0';
    pc_shape shape = {0};
    pc_status status = pc_shape_parse(words, &shape, why, sizeof why);
    FUZZ_PROMISE(status == PC_OK ? shape.area_m2 > 0 && isfinite(shape.area_m2) : why[0] != '\0');
    FUZZ_PROMISE(status != PC_OK || (shape.volume_m3 > 0 && isfinite(shape.volume_m3)));
    if (status == PC_OK)
        shells(&shape, b);
    pc_shape_free(&shape);
    return status == PC_OK;
}

/* A table of shell volumes that need not be one. */
static bool table(fuzz_bytes *b) {
    double wall[4], volume[4], filled[4];
    pc_shape shape = {0};
    if (pc_shape_measured(0.1, 1e-3, &shape) != PC_OK)
        return false;
    shape.shell =
        (pc_shell_table){1 + take_byte(b) % 4, wall, volume, take_byte(b) & 1 ? filled : NULL};
    double w = 0, v = 0;
    for (size_t i = 0; i < 4; i++) {
        wall[i] = w += take_number(b, 1e-3, 5e-3);
        volume[i] = v += take_number(b, 1e-5, 3e-4);
        filled[i] = take_number(b, 0, 1e-4);
    }
    double out = -1;
    pc_status status = pc_shell_volume(&shape, take_number(b, 0, 0.02), &out);
    FUZZ_PROMISE(status == PC_OK || status == PC_E_ARGUMENT);
    return status == PC_OK;
}

/* A box with one corner anywhere, as an OBJ. */
static bool any_mesh(fuzz_bytes *b, pc_mesh *mesh) {
    char obj[2000];
    int n = 0;
    for (int i = 0; i < 8; i++) {
        double p[3];
        for (int k = 0; k < 3; k++)
            p[k] = i >> k & 1 ? 40 + take_byte(b) % 60 : take_byte(b) % 20;
        n += snprintf(obj + n, sizeof obj - (size_t)n, "v %g %g %g\n", p[0], p[1], p[2]);
    }
    snprintf(obj + n, sizeof obj - (size_t)n,
             "f 1 3 2\nf 2 3 4\nf 5 6 7\nf 6 8 7\nf 1 2 5\nf 2 6 5\nf 3 7 4\nf 4 7 8\n"
             "f 1 5 3\nf 3 5 7\nf 2 4 6\n%s",
             take_byte(b) % 8 ? "f 4 8 6\n" : "");
    return pci_mesh_parse(obj, strlen(obj), "box.obj", "mm", mesh, NULL) == PC_OK;
}

static pc_status ask(const pc_mesh *mesh, fuzz_bytes *b, const double *vent) {
    double up[3], wall[2] = {take_number(b, 1e-3, 0.02), take_number(b, 1e-3, 0.02)};
    for (int k = 0; k < 3; k++)
        up[k] = take_number(b, -1, 1);
    pc_traps traps = {0};
    pc_narrows narrows = {0};
    pc_status first = pc_mesh_traps(mesh, up, vent, take_number(b, 0, 0.05), 2000, &traps);
    pc_status second =
        pc_mesh_narrows(mesh, take_number(b, 0, 0.01), take_number(b, 0, 0.01), 2000, &narrows);
    FUZZ_PROMISE(status_is_known(first) && status_is_known(second));
    for (size_t i = 0; first == PC_OK && i < traps.count; i++)
        FUZZ_PROMISE(traps.trap[i].depth_m >= 0 && traps.trap[i].volume_m3 >= 0);
    char *ply = NULL;
    size_t size = 0;
    pc_status status = pc_mesh_colored(mesh, first == PC_OK ? &traps : NULL,
                                       second == PC_OK ? &narrows : NULL, &ply, &size);
    FUZZ_PROMISE(status != PC_OK || strlen(ply) == size);
    pc_text_free(ply);
    char *text = NULL;
    if (first == PC_OK && second == PC_OK)
        judge_json(pc_traps_json(&traps, NULL, &narrows, take_number(b, 0, 0.01), &text), &text);
    pc_area area = {.is_mesh = true, .report = mesh->report, .walls = 1};
    judge_json(pc_area_json(1 + take_byte(b) % 2, (pc_area[]){area, area}, &text), &text);
    pc_traps_free(&traps);
    pc_narrows_free(&narrows);
    double volume[2], filled[2], settled;
    status =
        pc_mesh_shell(mesh, take_byte(b) % 3, wall, 3000, volume, filled, &settled, NULL, NULL);
    FUZZ_PROMISE(status_is_known(status));
    if (take_byte(b) == 0) {
        FUZZ_PROMISE(status_is_known(pc_mesh_best_up(mesh, vent, take_byte(b) % 8, up)));
        FUZZ_PROMISE(status_is_known(pc_mesh_fewest_vents(mesh, vent, 0.01, 4, up)));
    }
    return first;
}

static bool meshes(fuzz_bytes *b) {
    pc_mesh mesh;
    bool good = any_mesh(b, &mesh);
    double vent[3], center[3], normal[3], area;
    for (int k = 0; k < 3; k++)
        vent[k] = take_number(b, 0, 0.1);
    size_t facet = take_size(b, 12);
    if (good) {
        pc_status status = pci_mesh_facet(&mesh, facet, center, normal, &area);
        FUZZ_PROMISE((status == PC_OK) == (facet < mesh.facet_count));
        good = ask(&mesh, b, take_byte(b) & 1 ? vent : NULL) == PC_OK;
        pc_shape shape = {0};
        double most = take_number(b, 1e-3, 0.02);
        if (take_byte(b) == 0 && !(most < 2e-3) && pci_shape_of_mesh(&mesh, most, &shape) == PC_OK)
            shells(&shape, b);
        pc_shape_free(&shape);
    }
    pc_mesh_free(&mesh);
    return good;
}

static bool (*const all[])(fuzz_bytes *) = {measured, text, table, text, meshes, text};

bool fuzz_accepts(const uint8_t *data, size_t size) {
    fuzz_bytes b = {data, size};
    return all[take_byte(&b) % (sizeof all / sizeof *all)](&b);
}

FUZZ_ENTRY
