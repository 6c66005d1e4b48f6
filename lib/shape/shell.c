/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shell volume of a mesh from the depth of its cells. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/try.h"
#include "shape/mesh_shape.h"
#include "shape/opening.h"

enum { TABLE = 64 };
/* Cells of the band: about so many unless another number is asked for. */
#define CELLS_USUAL  120000.0
#define CELLS_FILLED 250000.0 /* where what fills solid is asked for as well */
#define CELLS_LEAST  3000.0
#define CELLS_MOST   100000000.0
/* Cells of depth, below which the mesh's own area counts (see mend_thin). */
#define THIN_CELLS 1.5

/* Share of a cell that lies deeper than d cells under a surface square to an axis. */
static double share(double d) {
    return d <= -0.5 ? 0.0 : d >= 0.5 ? 1.0 : d + 0.5;
}

/* Adds what a cell at depth d has of each wall's shell; walls in cells, rising. part[k]: what
 * begins to count from wall k on. */
static void add_cell(double d, size_t count, const double *wall, double *part) {
    double all = share(d), counted = 0.0;
    size_t low = 0, high = count; /* first wall that reaches into the cell */
    if (!(all > 0.0))
        return;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (wall[middle] > d - 0.5)
            high = middle;
        else
            low = middle + 1;
    }
    for (size_t k = low; k < count && counted < all; k++) {
        double now = all - share(d - wall[k]);
        part[k] += now - counted;
        counted = now;
    }
}

/* Volume between the surface and each wall, walls in m, rising. */
static pc_status shell_of(const pci_band *b, size_t count, const double *wall, double *volume) {
    double *part = calloc(2 * count, sizeof *part), *cells = part + count;
    if (!part)
        return PC_E_MEMORY;
    for (size_t k = 0; k < count; k++)
        cells[k] = wall[k] / b->h;
    for (size_t c = 0; c < b->blocks * PCI_BLOCK_CELLS; c++) {
        double d = pci_band_depth(b, (uint32_t)c);
        if (fabs(d) < (double)INFINITY)
            add_cell(d, count, cells, part);
    }
    double sum = 0.0;
    for (size_t k = 0; k < count; k++) {
        sum += part[k];
        volume[k] = sum * b->h * b->h * b->h;
    }
    free(part);
    return PC_OK;
}

/* Of the cavity, what no ball of radius w that fits inside it reaches. */
static pc_status filled_of(pci_band *b, double wall, double *filled) {
    float *beyond = malloc((b->blocks * PCI_BLOCK_CELLS + 1) * sizeof *beyond);
    pc_status status = beyond ? pci_band_open(b, wall / b->h, beyond) : PC_E_MEMORY;
    double sum = 0.0;
    for (size_t c = 0; c < b->blocks * PCI_BLOCK_CELLS && status == PC_OK; c++) {
        double d = pci_band_depth(b, (uint32_t)c);
        if (fabs(d) < (double)INFINITY)
            sum += fmax(share(d) + share((double)beyond[c]) - 1.0, 0.0); /* inside less in balls */
    }
    free(beyond);
    *filled = sum * b->h * b->h * b->h;
    return status;
}

/* Rising with the wall, never above the cavity's volume; walls in rising order. */
static void keep_promises(double most, size_t count, double *volume) {
    for (size_t k = 0; k < count; k++) {
        volume[k] = fmin(volume[k], most);
        if (k > 0)
            volume[k] = fmax(volume[k], volume[k - 1]);
    }
}

/* Walls too thin for the grid: the parabola that leaves 0 with the mesh's area as its slope and
 * meets the shell THIN_CELLS deep. */
static pc_status mend_thin(const pc_mesh *mesh, const pci_band *b, size_t count, const double *wall,
                           double *volume) {
    double deep = THIN_CELLS * b->h, at_deep, flat = mesh->report.area_m2 * deep;
    if (!(wall[0] < deep))
        return PC_OK;
    pc_status status = shell_of(b, 1, &deep, &at_deep);
    if (status != PC_OK || !(at_deep > 0.6 * flat)) /* else it would turn down before it is met */
        return status;
    for (size_t k = 0; k < count && wall[k] < deep; k++) {
        double x = wall[k] / deep;
        volume[k] = flat * x + (at_deep - flat) * x * x;
    }
    return PC_OK;
}

static pc_status shells_at(const pc_mesh *mesh, double h, double cells, size_t count,
                           const double *wall, pci_band *b, double *volume) {
    /* Two cells more than the wall, for mend_thin and for the balls of filled_of. */
    pc_status status = pci_band_make(mesh, h, wall[count - 1] + 2.0 * h, cells, b);
    if (status == PC_OK)
        status = shell_of(b, count, wall, volume);
    if (status == PC_OK)
        status = mend_thin(mesh, b, count, wall, volume);
    if (status == PC_OK)
        keep_promises(mesh->report.volume_m3, count, volume);
    return status;
}

/* A third of the greatest difference from cells of twice the side, for the error falls with their
 * square; of walls with less than a tenth of the thickest one's volume: a share of that tenth. */
static pc_status settled(const pc_mesh *mesh, double h, double cells, size_t count,
                         const double *wall, const double *fine, double *change) {
    double *coarse = malloc(count * sizeof *coarse);
    pci_band b;
    memset(&b, 0, sizeof b);
    pc_status status =
        coarse ? shells_at(mesh, 2.0 * h, cells, count, wall, &b, coarse) : PC_E_MEMORY;
    *change = 0.0;
    for (size_t k = 0; k < count && status == PC_OK; k++)
        *change = fmax(*change, fabs(fine[k] - coarse[k]) / 3.0 /
                                    fmax(fine[k], 0.1 * fine[count - 1] + 1e-300));
    pci_band_free(&b);
    free(coarse);
    return status;
}

static int compare_numbers(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;
    return x < y ? -1 : x > y;
}

static pc_status shell_and_filled(const pc_mesh *mesh, size_t count, const double *wall_m,
                                  double cells, double *volume_m3, double *filled_m3,
                                  double *change, pc_shell_found found, void *context) {
    double *sorted = malloc(2 * count * sizeof *sorted);
    if (!sorted)
        return PC_E_MEMORY;
    double *volume = sorted + count;
    memcpy(sorted, wall_m, count * sizeof *sorted);
    qsort(sorted, count, sizeof *sorted, compare_numbers);
    pci_band b;
    memset(&b, 0, sizeof b);
    double h = pci_band_cell(mesh, sorted[count - 1], cells);
    pc_status status = shells_at(mesh, h, cells, count, sorted, &b, volume);
    for (size_t k = 0; k < count && status == PC_OK; k++) {
        const double *at = bsearch(&wall_m[k], sorted, count, sizeof *sorted, compare_numbers);
        volume_m3[k] = volume[at - sorted];
        if (filled_m3) {
            status = filled_of(&b, wall_m[k], &filled_m3[k]);
            filled_m3[k] = fmin(filled_m3[k], volume_m3[k]);
        }
        if (found && status == PC_OK)
            found(k, context);
    }
    if (status == PC_OK && change)
        status = settled(mesh, b.h, cells, count, sorted, volume, change);
    pci_band_free(&b);
    free(sorted);
    return status;
}

pc_status pc_mesh_shell(const pc_mesh *mesh, size_t count, const double *wall_m, size_t cells,
                        double *volume_m3, double *filled_m3, double *settled_within,
                        pc_shell_found found, void *context) {
    if (!mesh || !mesh->report.closed || !wall_m || !volume_m3 || count == 0 || count > 4096 ||
        !(mesh->report.volume_m3 > 0.0))
        return PC_E_ARGUMENT;
    for (size_t k = 0; k < count; k++)
        if (!(wall_m[k] > 0.0 && isfinite(wall_m[k])))
            return PC_E_ARGUMENT;
    double usual = filled_m3 ? CELLS_FILLED : CELLS_USUAL;
    double about = cells == 0 ? usual : fmin(fmax((double)cells, CELLS_LEAST), CELLS_MOST);
    return shell_and_filled(mesh, count, wall_m, about, volume_m3, filled_m3, settled_within, found,
                            context);
}

static pc_status make_table(const pc_mesh *mesh, double wall_most_m, pc_shell_table *t) {
    t->wall_m = calloc(TABLE + 1, sizeof *t->wall_m);
    t->volume_m3 = calloc(TABLE + 1, sizeof *t->volume_m3);
    if (!t->wall_m || !t->volume_m3)
        return PC_E_MEMORY;
    /* Closer together where walls are thin. */
    for (size_t k = 1; k <= TABLE; k++) {
        double x = (double)k / TABLE;
        t->wall_m[k] = wall_most_m * 0.5 * (x + x * x);
    }
    t->wall_m[TABLE] = wall_most_m;
    t->count = TABLE + 1;
    return pc_mesh_shell(mesh, TABLE, t->wall_m + 1, 0, t->volume_m3 + 1, NULL, NULL, NULL, NULL);
}

pc_status pci_shape_of_mesh(const pc_mesh *mesh, double wall_most_m, pc_shape *shape) {
    if (!mesh || !shape || !(wall_most_m > 0.0 && isfinite(wall_most_m)))
        return PC_E_ARGUMENT;
    pc_status status = pc_shape_flat(mesh->report.area_m2, shape);
    if (status != PC_OK || !mesh->report.closed)
        return status;
    shape->closed = true;
    shape->volume_m3 = mesh->report.volume_m3;
    shape->mean_curvature_m = mesh->report.mean_curvature_m;
    shape->euler = mesh->report.euler;
    status = make_table(mesh, wall_most_m, &shape->shell);
    if (status != PC_OK)
        pc_shape_free(shape);
    return status;
}

pc_status pci_shape_from_mesh(const char *path, const char *unit, double wall_most_m, bool rim,
                              pc_shape *shape, pc_errors *errors) {
    if (!shape)
        return PC_E_ARGUMENT;
    memset(shape, 0, sizeof *shape);
    pc_mesh mesh;
    PCI_TRY(pc_mesh_read(path, unit, &mesh, errors));
    pc_status status = rim && !mesh.report.closed ? pc_mesh_close_rim(&mesh, NULL) : PC_OK;
    if (status == PC_OK || status == PC_E_VALUE) /* several openings: by its area alone */
        status = pci_shape_of_mesh(&mesh, wall_most_m, shape);
    if (status != PC_OK)
        pc_errors_add(errors, status, (pc_place){.file = path}, "%s",
                      status == PC_E_ARGUMENT ? "the wall or the mesh's area is out of range"
                                              : pc_status_text(status));
    pc_mesh_free(&mesh);
    return status;
}
