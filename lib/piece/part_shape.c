/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A part's shape from the one way in which its area, and its volume, are stated. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/say.h"
#include "piece/piece_file.h"
#include "pourclock/quantity.h"
#include "shape/mesh_shape.h"
#include "shape/solid.h"

/* A mesh's shell table reaches a little beyond the wall, so that margins may thicken it. */
static const double TABLE_BEYOND = 1.25;
static const double TABLE_LEAST_M = 5e-3;

struct sources {
    const char *key[5];
    size_t count;
};

static void list_sources(const pc_part *part, struct sources *s) {
    s->count = 0;
    if (!isnan(part->area_m2) && part->kind == PC_HOLLOW)
        s->key[s->count++] = "area";
    if (!isnan(part->volume_m3) && part->kind == PC_SOLID)
        s->key[s->count++] = "volume";
    if (part->shape_text[0])
        s->key[s->count++] = "shape";
    if (part->mesh_path[0])
        s->key[s->count++] = "mesh";
    if (!isnan(part->foil_kg))
        s->key[s->count++] = "foil_mass";
}

static pc_status one_source(const pc_part *part, const pci_at *at, struct sources *s) {
    list_sources(part, s);
    pci_at here = *at;
    const char *what = part->kind == PC_HOLLOW ? "area" : "volume";
    if (s->count == 0) {
        here.key = what;
        return pci_refuse(&here, PC_E_KEY, "the %s is missing: give one of %s", what,
                          part->kind == PC_HOLLOW
                              ? "area = 210 sq in, shape, mesh, or foil_mass with foil_thickness"
                              : "volume = 420 cm3, shape, or mesh");
    }
    if (s->count > 1) {
        here.key = s->key[s->count - 1];
        return pci_refuse(&here, PC_E_KEY,
                          "both %s and %s state the %s: drop one of them, best %s, and keep what "
                          "you measured best",
                          s->key[0], s->key[1], what, s->key[0]);
    }
    return PC_OK;
}

static pc_status foil(const pc_part *part, const pci_at *at, double *area_m2) {
    pci_at here = *at;
    here.key = "foil_mass";
    if (isnan(part->foil_m) || isnan(part->foil_density_kg_m3))
        return pci_refuse(&here, PC_E_KEY,
                          "an area by foil needs foil_thickness and foil_metal (or foil_density) "
                          "beside foil_mass");
    pc_status status =
        pci_foil_area(part->foil_kg, part->foil_m, part->foil_density_kg_m3, area_m2);
    if (status == PC_OK && !(*area_m2 >= 1e-6 && *area_m2 <= 1e4))
        status = PC_E_VALUE;
    if (status != PC_OK)
        return pci_refuse(&here, status, "this foil covers %.3g m2: check its mass and thickness",
                          part->foil_kg / (part->foil_m * part->foil_density_kg_m3));
    return PC_OK;
}

/* From area alone, or area and the water the cavity holds. */
static pc_status measured(const pc_part *part, const pci_at *at, const char *key, double area_m2,
                          pc_shape *shape) {
    pci_at here = *at;
    here.key = key;
    pc_status status = isnan(part->water_fill_m3)
                           ? pc_shape_flat(area_m2, shape)
                           : pc_shape_measured(area_m2, part->water_fill_m3, shape);
    if (status == PC_E_VALUE)
        return pci_refuse(&here, status,
                          "no body of %s holds %s of water: check the area, water_fill "
                          "and their units",
                          pci_say_both(PC_SAY_AREA, area_m2).s,
                          pci_say_both(PC_SAY_VOLUME, part->water_fill_m3).s);
    return status == PC_OK ? PC_OK : pci_refuse(&here, status, "the area cannot be used");
}

static pc_status from_text(const pc_part *part, const pci_at *at, pc_shape *shape) {
    char why[300];
    pci_at here = *at;
    here.key = "shape";
    here.value = part->shape_text;
    pc_status status = pc_shape_parse(part->shape_text, shape, why, sizeof why);
    return status == PC_OK ? PC_OK : pci_refuse(&here, status, "%s", why);
}

static pc_status from_mesh(const pc_part *part, const pci_at *at, pc_shape *shape) {
    double most_m = fmax(TABLE_LEAST_M, TABLE_BEYOND * (isnan(part->wall_m) ? 0.0 : part->wall_m));
    return pci_shape_from_mesh(part->mesh_path, part->mesh_unit[0] ? part->mesh_unit : NULL, most_m,
                               part->kind == PC_HOLLOW, shape, at->errors);
}

/* A solid of which the volume alone is known: the sphere of that volume has the least face to cool
 * by, so heat is judged on the safe side unless the area is stated as well. */
static pc_status from_volume(const pc_part *part, const pci_at *at, pc_shape *shape) {
    double least_m2 = cbrt(36.0 * PC_PI * part->volume_m3 * part->volume_m3);
    double area_m2 = isnan(part->area_m2) ? least_m2 : part->area_m2;
    pci_at here = *at;
    here.key = "area";
    if (area_m2 < 0.999 * least_m2)
        return pci_refuse(&here, PC_E_VALUE,
                          "a body of this volume has at least %s: check area and volume",
                          pci_say_both(PC_SAY_AREA, least_m2).s);
    pc_status status = pc_shape_flat(area_m2, shape);
    if (status != PC_OK)
        return pci_refuse(&here, status, "the area cannot be used");
    shape->volume_m3 = part->volume_m3;
    return PC_OK;
}

static pc_status solid_volume(pc_part *part, const pci_at *at) {
    pci_at here = *at;
    here.key = "mesh";
    if (!(part->shape.volume_m3 > 0.0))
        return pci_refuse(&here, PC_E_VALUE,
                          "the mesh is open, so it has no volume: close it, or state volume");
    part->volume_m3 = part->shape.volume_m3;
    return PC_OK;
}

static pc_status judge_company(const pc_part *part, const pci_at *at, const char *source) {
    pci_at here = *at;
    bool by_area = strcmp(source, "area") == 0 || strcmp(source, "foil_mass") == 0;
    here.key = "water_fill";
    if (!isnan(part->water_fill_m3) && !by_area)
        return pci_refuse(&here, PC_E_KEY, "%s gives the volume already: drop water_fill", source);
    here.key = "mesh_unit";
    if (part->mesh_unit[0] && !part->mesh_path[0])
        return pci_refuse(&here, PC_E_KEY, "mesh_unit without mesh: drop it, or add mesh = FILE");
    here.key = "foil_thickness";
    if ((!isnan(part->foil_m) || !isnan(part->foil_density_kg_m3)) && isnan(part->foil_kg))
        return pci_refuse(&here, PC_E_KEY, "foil keys without foil_mass: drop them, or weigh it");
    here.key = "area";
    if (part->kind == PC_SOLID && !isnan(part->area_m2) && strcmp(source, "volume") != 0)
        return pci_refuse(&here, PC_E_KEY, "%s gives the area already: drop area", source);
    return PC_OK;
}

pc_status pci_part_shape(pc_part *part, const pci_at *at) {
    struct sources sources;
    pc_status status = one_source(part, at, &sources);
    if (status == PC_OK)
        status = judge_company(part, at, sources.key[0]);
    if (status != PC_OK)
        return status;
    const char *source = sources.key[0];
    double area_m2 = part->area_m2;
    pc_shape shape;
    memset(&shape, 0, sizeof shape);
    if (strcmp(source, "shape") == 0)
        status = from_text(part, at, &shape);
    else if (strcmp(source, "mesh") == 0)
        status = from_mesh(part, at, &shape);
    else if (strcmp(source, "volume") == 0)
        status = from_volume(part, at, &shape);
    else {
        if (strcmp(source, "foil_mass") == 0)
            status = foil(part, at, &area_m2);
        if (status == PC_OK)
            status = measured(part, at, source, area_m2, &shape);
    }
    if (status != PC_OK)
        return status;
    pc_shape_free(&part->shape);
    part->shape = shape;
    return part->kind == PC_SOLID ? solid_volume(part, at) : PC_OK;
}

double pci_runs_m3(int count, double bore_m, double length_m) {
    return count > 0 ? count * PC_PI / 4.0 * bore_m * bore_m * length_m : 0.0;
}

double pci_trim_m3(const pc_part *part) {
    if (part->kind != PC_SOLID)
        return 0.0;
    return pci_runs_m3(part->sprues, part->sprue_bore_m, part->sprue_length_m) +
           pci_runs_m3(part->vents, part->vent_bore_m, part->vent_length_m);
}
