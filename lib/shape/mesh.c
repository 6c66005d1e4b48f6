/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/dimensions.h"
#include "base/text.h"
#include "base/try.h"
#include "input/whole_file.h"
#include "pourclock/quantity.h"
#include "shape/holes.h"
#include "shape/mesh_build.h"
#include "shape/mesh_shape.h"
#include "shape/survey.h"
#include "shape/vector.h"

#define ACROSS_MOST_M 1000.0
#define FAR_MOST_M    1e6
/* Castings that a shop turns: outside it another unit is looked for. */
#define LIKELY_LEAST_M 0.02
#define LIKELY_MOST_M  3.0
/* Corners this share of the box's diagonal apart are one in a mesh that is open without that. */
#define WELD_SHARE 1e-6
/* Of the longest side, where a unit is asked for. */
#define GUESS_LEAST_M 0.02
#define GUESS_MOST_M  2.5

static bool ends_in(const char *name, const char *ending) {
    size_t n = strlen(name), m = strlen(ending);
    return n >= m && pci_same_word(name + n - m, ending);
}

bool pci_names_unit(const char *path) {
    return ends_in(path, ".3mf");
}

/* First word of the text that is no comment, as a hint of the format. */
static bool looks_like_obj(const char *data, size_t size) {
    static const char *const words[] = {"v", "vn", "vt", "f", "o", "g", "s", "mtllib", "usemtl"};
    pci_scan s = {data, data + size, NULL, 0};
    while (pci_scan_line(&s)) {
        const char *word;
        size_t n;
        pci_scan_word(&s, &word, &n);
        if (word[0] == '#')
            continue;
        for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
            if (pci_word_is(word, n, words[i]))
                return true;
        return false;
    }
    return false;
}

/* "solid" with text after it: binary files may begin with that word too, but hold NULs. */
static bool looks_like_stl_text(const char *data, size_t size) {
    size_t look = size < 512 ? size : 512;
    pci_scan s = {data, data + size, NULL, 0};
    const char *word;
    size_t n;
    if (!pci_scan_line(&s) || !pci_scan_word(&s, &word, &n))
        return false;
    return pci_word_is(word, n, "solid") && !memchr(data, '\0', look);
}

static pc_status read_any(pci_builder *b, const char *data, size_t size) {
    if (size == 0)
        return pc_errors_add(b->errors, PC_E_SYNTAX, (pc_place){.file = b->name},
                             "is empty, expected a mesh (STL, OBJ, PLY or 3MF)");
    if (size >= 4 && !memcmp(data, "ply", 3) && (data[3] == '\n' || data[3] == '\r'))
        return pci_read_ply(b, data, size);
    if (size >= 4 && !memcmp(data, "PK\3\4", 4))
        return pci_read_3mf(b, data, size);
    if (pci_is_stl_binary(data, size))
        return pci_read_stl_binary(b, data, size);
    if (looks_like_stl_text(data, size))
        return pci_read_stl_text(b, data, size);
    if (ends_in(b->name, ".obj") || (!ends_in(b->name, ".stl") && looks_like_obj(data, size)))
        return pci_read_obj(b, data, size);
    if (ends_in(b->name, ".stl"))
        return pci_read_stl_binary(b, data, size);
    return pc_errors_add(b->errors, PC_E_SYNTAX, (pc_place){.file = b->name},
                         "is not a mesh in STL, OBJ, PLY or 3MF");
}

static double across(const pc_mesh_report *r) {
    double d[3];
    pci_minus(r->high_m, r->low_m, d);
    return pci_length(d);
}

pc_status pci_mesh_check_far(double far_m, double across_m, const char *name, pc_errors *errors) {
    if (!(far_m <= FAR_MOST_M))
        return pc_errors_add(errors, PC_E_VALUE, (pc_place){.file = name},
                             "has a corner above 1000 km away: is the unit right?");
    if (!(across_m <= ACROSS_MOST_M))
        return pc_errors_add(errors, PC_E_VALUE, (pc_place){.file = name},
                             "is %.4g m across, above 1 km: is the unit right?", across_m);
    return PC_OK;
}

/* Another unit that makes the piece as large as castings are. */
static void doubt_unit(pc_mesh *mesh) {
    static const char *const units[] = {"mm", "cm", "in", "m"};
    double size = across(&mesh->report);
    if (size >= LIKELY_LEAST_M && size <= LIKELY_MOST_M)
        return;
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        double m;
        if (pci_quantity_to_si(size / mesh->unit_m, units[i], PC_LENGTH, &m) != PC_OK)
            continue;
        if (m >= LIKELY_LEAST_M && m <= LIKELY_MOST_M) {
            pci_format(
                mesh->report.note, sizeof mesh->report.note,
                "the piece would be %.3g mm from corner to corner; if the mesh is in %s it is "
                "%.3g mm: check the mesh unit",
                size * 1e3, units[i], m * 1e3);
            return;
        }
    }
    pci_format(mesh->report.note, sizeof mesh->report.note,
               "the piece would be %.3g mm from corner to corner: check the mesh unit", size * 1e3);
}

/* Takes the corners and facets over from the builder, in m, and judges the mesh. */
static pc_status take_over(pci_builder *b, pc_mesh *mesh) {
    free(b->slot);
    b->slot = NULL;
    b->slots = 0;
    free(mesh->vertex);
    mesh->vertex = malloc((b->vertices + 1) * 3 * sizeof *mesh->vertex);
    uint32_t *number = malloc((b->vertices + 1) * sizeof *number);
    if (!mesh->vertex || !number) {
        free(number);
        return pc_errors_add(b->errors, PC_E_MEMORY, (pc_place){.file = b->name}, "out of memory");
    }
    for (size_t v = 0; v < b->vertices; v++)
        number[v] = UINT32_MAX;
    mesh->vertex_count = 0;
    for (size_t i = 0; i < 3 * b->facets; i++) {
        uint32_t v = b->facet[i];
        if (number[v] == UINT32_MAX) {
            number[v] = (uint32_t)mesh->vertex_count++;
            for (size_t a = 0; a < 3; a++)
                mesh->vertex[3 * (size_t)number[v] + a] =
                    b->vertex[3 * (size_t)v + a] * mesh->unit_m;
        }
    }
    for (size_t i = 0; i < 3 * b->facets; i++)
        b->facet[i] = number[b->facet[i]];
    free(number);
    mesh->facet = b->facet;
    mesh->facet_count = b->facets;
    pc_status status = pci_mesh_judge(mesh);
    if (status != PC_OK)
        pc_errors_add(b->errors, status, (pc_place){.file = b->name}, "out of memory");
    return status;
}

/* The mesh's corners by its own numbers, in the file's unit. */
static pc_status give_back(pci_builder *b, const pc_mesh *mesh) {
    free(b->vertex);
    b->vertices = mesh->vertex_count;
    b->vertex = malloc((b->vertices + 1) * 3 * sizeof *b->vertex);
    if (!b->vertex)
        return pc_errors_add(b->errors, PC_E_MEMORY, (pc_place){.file = b->name}, "out of memory");
    for (size_t i = 0; i < 3 * b->vertices; i++)
        b->vertex[i] = mesh->vertex[i] / mesh->unit_m;
    return PC_OK;
}

/* An open mesh is tried again with corners joined that are all but equal. */
static pc_status weld_again(pci_builder *b, pc_mesh *mesh) {
    double within = WELD_SHARE * across(&mesh->report) / mesh->unit_m;
    if (mesh->report.closed || mesh->report.open_edges == 0 || !(within > 0.0))
        return PC_OK;
    PCI_TRY(give_back(b, mesh));
    size_t open = mesh->report.open_edges, before = b->degenerate;
    PCI_TRY(pci_builder_weld(b, within));
    pc_status status = take_over(b, mesh);
    if (mesh->report.open_edges < open || b->degenerate > before)
        mesh->report.welded_m = within * mesh->unit_m;
    return status;
}

/* How many of the holes are small, which are the last ones; none where they are much together. */
static size_t count_small(const pci_holes *holes, double area_m2, double *sum_m2) {
    size_t small = 0;
    *sum_m2 = 0.0;
    for (size_t i = holes->count; i-- > 0;) {
        if (holes->hole[i].area_m2 > PCI_HOLE_SHARE * area_m2 ||
            holes->hole[i].corners > PCI_HOLE_CORNERS)
            break;
        *sum_m2 += holes->hole[i].area_m2;
        small++;
    }
    return *sum_m2 <= PCI_HOLES_SHARE * area_m2 ? small : 0;
}

static pc_status fill_holes(pci_builder *b, pc_mesh *mesh, const pci_holes *holes, size_t first,
                            size_t end) {
    PCI_TRY(give_back(b, mesh));
    pc_status status = PC_OK;
    for (size_t i = first; i < end && status == PC_OK; i++)
        status = pci_hole_fill(b, holes, &holes->hole[i]);
    mesh->facet = b->facet; /* it may have moved */
    return status == PC_OK ? take_over(b, mesh) : status;
}

/* Small holes of a scan are closed unasked, and reported. */
static pc_status close_small(pci_builder *b, pc_mesh *mesh) {
    pci_holes holes = {0};
    double sum_m2, welded_m = mesh->report.welded_m;
    if (mesh->report.closed || mesh->report.open_edges == 0)
        return PC_OK;
    pc_status status = pci_holes_find(mesh, &holes);
    size_t small = status == PC_OK ? count_small(&holes, mesh->report.area_m2, &sum_m2) : 0;
    if (small > 0)
        status = fill_holes(b, mesh, &holes, holes.count - small, holes.count);
    if (small > 0 && status == PC_OK) {
        mesh->report.holes_closed = small;
        mesh->report.holes_m2 = sum_m2;
        mesh->report.welded_m = welded_m;
    }
    pci_holes_free(&holes);
    return status;
}

/* The unit in which numbers of that size make a casting; the common ones first. */
static const char *guess_unit(double most) {
    static const char *const units[] = {"mm", "in", "cm", "m"};
    for (size_t i = 0; i < sizeof units / sizeof units[0]; i++) {
        double m;
        if (pci_quantity_to_si(most, units[i], PC_LENGTH, &m) == PC_OK && m >= GUESS_LEAST_M &&
            m <= GUESS_MOST_M)
            return units[i];
    }
    return "mm";
}

static pc_status ask_unit(const pci_builder *b) {
    double low[3] = {INFINITY, INFINITY, INFINITY}, size[3], most = 0.0;
    double high[3] = {-INFINITY, -INFINITY, -INFINITY};
    for (size_t i = 0; i < 3 * b->vertices; i++) {
        low[i % 3] = fmin(low[i % 3], b->vertex[i]);
        high[i % 3] = fmax(high[i % 3], b->vertex[i]);
    }
    for (int a = 0; a < 3; a++) {
        size[a] = b->vertices > 0 ? high[a] - low[a] : 0.0;
        most = fmax(most, size[a]);
    }
    const char *unit = guess_unit(most);
    return pc_errors_add(
        b->errors, PC_E_UNIT, (pc_place){.file = b->name},
        "%.3g x %.3g x %.3g: %s? The mesh names no unit: say --mesh-unit %s, in a piece file "
        "mesh_unit = %s (or mm, cm, m, in, ft)",
        size[0], size[1], size[2], unit, unit, unit);
}

/* The unit asked for, or the file's own; never one that is only likely. */
static pc_status settle_unit(const pci_builder *b, const char *unit, pc_mesh *mesh) {
    if (!(b->unit_m > 0.0))
        return unit ? PC_OK : ask_unit(b);
    if (unit && !(fabs(mesh->unit_m / b->unit_m - 1.0) <= 1e-9))
        return pc_errors_add(
            b->errors, PC_E_UNIT, (pc_place){.file = b->name, .key = "mesh_unit", .value = unit},
            "the file's own unit is %.6g mm: leave the mesh unit out", 1e3 * b->unit_m);
    mesh->unit_m = b->unit_m;
    return PC_OK;
}

static pc_status build(pci_builder *b, const char *data, size_t size, const char *unit,
                       pc_mesh *mesh) {
    PCI_TRY(read_any(b, data, size));
    if (b->facets == 0)
        return pc_errors_add(b->errors, PC_E_VALUE, (pc_place){.file = b->name},
                             "has no facet with three different corners");
    PCI_TRY(settle_unit(b, unit, mesh));
    PCI_TRY(pci_builder_drop_doubles(b));
    double far = 0.0;
    for (size_t i = 0; i < 3 * b->vertices; i++)
        far = fmax(far, fabs(b->vertex[i]));
    PCI_TRY(pci_mesh_check_far(far * mesh->unit_m, 0.0, b->name, b->errors));
    pc_status status = take_over(b, mesh);
    if (status == PC_OK)
        status = weld_again(b, mesh);
    if (status == PC_OK)
        status = close_small(b, mesh);
    if (status != PC_OK)
        return status;
    pc_mesh_report *r = &mesh->report;
    if (mesh->facet_count == 0 || !(r->area_m2 > 0.0))
        return pc_errors_add(b->errors, PC_E_VALUE, (pc_place){.file = b->name},
                             "has no area: every facet is a line or a point");
    PCI_TRY(pci_mesh_check_far(0.0, across(r), b->name, b->errors));
    r->degenerate += b->degenerate;
    r->trailing_bytes = b->trailing_bytes;
    r->doubled = b->doubled;
    mesh->format = b->format;
    doubt_unit(mesh);
    return PC_OK;
}

pc_status pci_mesh_parse(const void *data, size_t size, const char *name, const char *unit,
                         pc_mesh *mesh, pc_errors *errors) {
    if (!mesh)
        return PC_E_ARGUMENT;
    memset(mesh, 0, sizeof *mesh);
    if ((!data && size > 0) || !name)
        return PC_E_ARGUMENT;
    if (unit && pci_quantity_to_si(1.0, unit, PC_LENGTH, &mesh->unit_m) != PC_OK)
        return pc_errors_add(errors, PC_E_UNIT,
                             (pc_place){.file = name, .key = "mesh_unit", .value = unit},
                             "needs the length unit of the mesh: mm, cm, m, in or ft");
    if (size > PCI_MESH_BYTES_MOST)
        return pc_errors_add(errors, PC_E_SIZE, (pc_place){.file = name},
                             "is above 4 GB: thin the mesh out first");
    pci_builder b = {0};
    b.name = name;
    b.errors = errors;
    pc_status status = build(&b, data, size, unit, mesh);
    if (mesh->facet)
        b.facet = NULL;
    pci_builder_free(&b);
    if (status != PC_OK)
        pc_mesh_free(mesh);
    return status;
}

pc_status pc_mesh_read(const char *path, const char *unit, pc_mesh *mesh, pc_errors *errors) {
    if (!mesh)
        return PC_E_ARGUMENT;
    memset(mesh, 0, sizeof *mesh);
    if (!path)
        return PC_E_ARGUMENT;
    pci_file_bytes bytes;
    PCI_TRY(pci_file_read_any(path, PCI_MESH_BYTES_MOST, &bytes, errors));
    pc_status status =
        pci_mesh_parse(bytes.data, bytes.size, pci_file_label(path), unit, mesh, errors);
    pci_file_free(&bytes);
    return status;
}

static pc_status refuse_rim(pc_errors *errors, const char *text) {
    return pc_errors_add(errors, PC_E_VALUE, PC_NOWHERE, "%s", text);
}

/* The opening is the first hole, the only one left. */
static pc_status lay_rim(pc_mesh *mesh, const pci_holes *holes, pc_errors *errors) {
    const pc_mesh_report before = mesh->report;
    size_t facets = mesh->facet_count;
    pci_builder b = {.name = "the mesh",
                     .errors = errors,
                     .facet = mesh->facet,
                     .facets = facets,
                     .facet_room = facets};
    pc_status status = fill_holes(&b, mesh, holes, 0, 1);
    b.facet = NULL; /* the mesh's */
    pci_builder_free(&b);
    if (status != PC_OK && status != PC_E_VALUE) /* its numbers are half changed */
        pc_mesh_free(mesh);
    if (status != PC_OK)
        return status;
    pc_mesh_report *r = &mesh->report;
    mesh->rim_facets = mesh->facet_count - facets;
    r->rim_m2 = holes->hole[0].area_m2;
    r->rim_across_m = holes->hole[0].across_m;
    r->area_m2 = before.area_m2;
    r->degenerate = before.degenerate;
    r->trailing_bytes = before.trailing_bytes;
    r->doubled = before.doubled;
    r->welded_m = before.welded_m;
    r->holes_closed = before.holes_closed;
    r->holes_m2 = before.holes_m2;
    memcpy(r->note, before.note, sizeof r->note);
    return PC_OK;
}

pc_status pc_mesh_close_rim(pc_mesh *mesh, pc_errors *errors) {
    if (!mesh || mesh->facet_count == 0)
        return PC_E_ARGUMENT;
    if (mesh->report.closed)
        return refuse_rim(errors, "the mesh is closed, so it has no rim to leave open");
    pci_holes holes;
    pc_status status = pci_holes_find(mesh, &holes);
    if (status == PC_OK && holes.count == 0)
        status = refuse_rim(errors, "the mesh's open edges make no ring: repair it first");
    else if (status == PC_OK && holes.count > 1)
        status = pc_errors_add(
            errors, PC_E_VALUE, PC_NOWHERE,
            "the mesh has %zu openings; only one can be the rim: close the others", holes.count);
    else if (status == PC_OK && holes.hole[0].corners > PCI_RIM_CORNERS)
        status = refuse_rim(errors, "the rim has too many corners: thin the mesh out there");
    if (status == PC_OK)
        status = lay_rim(mesh, &holes, errors);
    pci_holes_free(&holes);
    return status;
}

void pc_mesh_free(pc_mesh *mesh) {
    if (!mesh)
        return;
    free(mesh->vertex);
    free(mesh->facet);
    memset(mesh, 0, sizeof *mesh);
}

pc_status pci_mesh_facet(const pc_mesh *mesh, size_t index, double centroid_m[3], double normal[3],
                         double *area_m2) {
    if (!mesh || index >= mesh->facet_count)
        return PC_E_ARGUMENT;
    double n[3];
    pci_facet_vector(mesh, index, n);
    double twice = pci_length(n);
    for (size_t a = 0; a < 3; a++) {
        if (centroid_m)
            centroid_m[a] = (pci_corner(mesh, index, 0)[a] + pci_corner(mesh, index, 1)[a] +
                             pci_corner(mesh, index, 2)[a]) /
                            3.0;
        if (normal)
            normal[a] = twice > 0.0 ? n[a] / twice : 0.0;
    }
    if (area_m2)
        *area_m2 = 0.5 * twice;
    return PC_OK;
}

pc_status pc_mesh_survey(const char *path, const char *unit, double *area_m2, double *volume_m3,
                         pc_errors *errors) {
    double unit_m = 1.0;
    if (!path || !area_m2 || !volume_m3)
        return PC_E_ARGUMENT;
    if (unit && pci_quantity_to_si(1.0, unit, PC_LENGTH, &unit_m) != PC_OK)
        return pc_errors_add(errors, PC_E_UNIT,
                             (pc_place){.file = path, .key = "mesh_unit", .value = unit},
                             "needs the length unit of the mesh: mm, cm, m, in or ft");
    *area_m2 = *volume_m3 = NAN;
    pci_file_bytes bytes;
    PCI_TRY(pci_file_read_any(path, PCI_MESH_BYTES_MOST, &bytes, errors));
    const char *name = pci_file_label(path);
    pc_status status = PC_OK;
    bool whole = !unit || !pci_is_stl_binary(bytes.data, bytes.size);
    if (!whole) {
        status = pci_survey_stl(bytes.data, bytes.size, unit_m, name, area_m2, volume_m3, &whole,
                                errors);
        *area_m2 *= unit_m * unit_m;
        *volume_m3 *= unit_m * unit_m * unit_m;
    }
    if (status == PC_OK && whole) { /* another format, or facets given twice, which count once */
        pc_mesh mesh;
        status = pci_mesh_parse(bytes.data, bytes.size, name, unit, &mesh, errors);
        if (status == PC_OK) {
            *area_m2 = mesh.report.area_m2;
            *volume_m3 = mesh.report.volume_m3;
        }
        pc_mesh_free(&mesh);
    }
    pci_file_free(&bytes);
    return status;
}
