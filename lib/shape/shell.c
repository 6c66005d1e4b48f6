/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Shell volume of a mesh from the depth of its cells. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/try.h"
#include "shape/edt.h"
#include "shape/mesh_shape.h"
#include "shape/voxels.h"
#include "solve/threads.h"

enum { TABLE = 64, START_CELLS_A_WALL = 2 };
#define CELLS_MOST  ((size_t)16000000)
#define CELLS_LEAST ((size_t)30000)
#define CELLS_START ((size_t)150000)
#define SETTLED     0.01

/* Share of a cell that lies deeper than d cells under a surface square to an axis. */
static double share(double d) {
    return d <= -0.5 ? 0.0 : d >= 0.5 ? 1.0 : d + 0.5;
}

/* Sums over one layer of cells, for walls in rising order: part[k] is what begins to count from
 * wall k on. */
typedef struct summing {
    const pci_voxels *g;
    size_t count;
    const double *wall; /* in cells */
    double *part;       /* count a layer */
} summing;

static pc_status sum_layer(size_t z, void *context) {
    const summing *s = context;
    const float *depth = s->g->depth + s->g->n[0] * s->g->n[1] * z;
    double *part = s->part + s->count * z;
    for (size_t i = 0; i < s->g->n[0] * s->g->n[1]; i++) {
        double d = (double)depth[i], all = share(d);
        if (!(all > 0.0))
            continue;
        size_t low = 0, high = s->count; /* first wall that reaches into the cell */
        while (low < high) {
            size_t middle = (low + high) / 2;
            if (s->wall[middle] > d - 0.5)
                high = middle;
            else
                low = middle + 1;
        }
        double counted = 0.0;
        for (size_t k = low; k < s->count && counted < all; k++) {
            double now = all - share(d - s->wall[k]);
            part[k] += now - counted;
            counted = now;
        }
    }
    return PC_OK;
}

/* Volume between the surface and each wall, walls in rising order. */
static pc_status shell_of(const pci_voxels *g, size_t count, const double *wall, double *volume) {
    double *part = calloc(count * (g->n[2] + 1), sizeof *part);
    if (!part)
        return PC_E_MEMORY;
    double *cells = part + count * g->n[2];
    for (size_t k = 0; k < count; k++)
        cells[k] = wall[k] / g->h;
    summing s = {g, count, cells, part};
    pc_status status = pci_in_threads(sum_layer, &s, g->n[2]);
    double sum = 0.0;
    for (size_t k = 0; k < count && status == PC_OK; k++) {
        for (size_t z = 0; z < g->n[2]; z++)
            sum += part[count * z + k];
        volume[k] = sum * g->h * g->h * g->h;
    }
    free(part);
    return status;
}

/* Of the cavity, what no ball of radius w that fits inside it reaches: the balls about the cells
 * at least w deep, each as large as fits, and the power distance to them. */
static pc_status filled_of(const pci_voxels *g, double wall, double *filled) {
    double w = wall / g->h;
    float *power = malloc(g->cells * sizeof *power);
    if (!power)
        return PC_E_MEMORY;
    for (size_t i = 0; i < g->cells; i++)
        power[i] = (double)g->depth[i] >= w ? -g->depth[i] * g->depth[i] : INFINITY;
    pc_status status = pci_edt_power(g->n, power);
    double sum = 0.0;
    for (size_t i = 0; i < g->cells && status == PC_OK; i++) {
        if (!(g->depth[i] > -0.5f))
            continue;
        /* Distance beyond the ball's surface; the lattice of centres leaves up to 0.4 of a cell
         * of that at a flat wall, which does not count. */
        double p = (double)power[i], beyond = sqrt(fmax(p + w * w, 0.0)) - w;
        double part = !isfinite(p) ? 1.0 : beyond <= 0.4 ? 0.0 : fmin(beyond, 1.0);
        sum += part * share((double)g->depth[i]);
    }
    free(power);
    *filled = sum * g->h * g->h * g->h;
    return status;
}

static pc_status at_resolution(const pc_mesh *mesh, size_t count, const double *wall, double h,
                               size_t most_cells, pci_voxels *g, double *volume) {
    pc_status status = pci_voxels_fill(mesh, NULL, h, most_cells, g);
    if (status == PC_OK)
        status = pci_voxels_depth(mesh, g);
    if (status == PC_OK)
        status = shell_of(g, count, wall, volume);
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

/* The error falls with h^2 (see pci_voxels_depth), so a third of the last step is still to come.
 * Returns the greatest relative share of that (of walls with less than a tenth of the thickest
 * one's volume: a share of that tenth). */
static double extrapolate(size_t count, const double *coarse, double *fine) {
    double most = 0.0;
    for (size_t k = 0; k < count; k++) {
        double more = (fine[k] - coarse[k]) / 3.0;
        most = fmax(most, fabs(more) / fmax(fabs(fine[k]), 0.1 * fabs(fine[count - 1]) + 1e-300));
        fine[k] += more;
    }
    return most;
}

static double first_cell(const pc_mesh *mesh, size_t count, const double *wall) {
    double size = 1.0, most = 0.0;
    for (int a = 0; a < 3; a++)
        size *= fmax(mesh->report.high_m[a] - mesh->report.low_m[a], 1e-9);
    for (size_t k = 0; k < count; k++)
        most = fmax(most, wall[k]);
    return fmin(most / START_CELLS_A_WALL, cbrt(size / (double)CELLS_START));
}

/* Halves the cells until what extrapolation adds is within SETTLED, or the bound is met. */
static pc_status refine(const pc_mesh *mesh, size_t count, const double *wall, size_t most_cells,
                        pci_voxels *g, double *volume, double *change) {
    double *coarse = malloc((count + 1) * sizeof *coarse);
    double *fine = malloc((count + 1) * sizeof *fine);
    pc_status status = coarse && fine ? PC_OK : PC_E_MEMORY;
    *change = INFINITY;
    if (status == PC_OK)
        status = at_resolution(mesh, count, wall, first_cell(mesh, count, wall), most_cells / 8, g,
                               fine);
    while (status == PC_OK && *change > SETTLED && 8 * g->cells <= most_cells + most_cells / 4) {
        double h = g->h / 2;
        memcpy(coarse, fine, count * sizeof *fine);
        pci_voxels_free(g);
        status = at_resolution(mesh, count, wall, h, most_cells + most_cells / 4, g, fine);
        memcpy(volume, fine, count * sizeof *fine);
        *change = extrapolate(count, coarse, volume);
    }
    free(coarse);
    free(fine);
    return status;
}

/* Walls below four cells, which the grid is too coarse for: the parabola that leaves 0 with the
 * mesh's area as its slope and meets the shell four cells deep. */
static pc_status mend_thin(const pc_mesh *mesh, const pci_voxels *g, size_t count,
                           const double *wall, double *volume) {
    double deep = 4.0 * g->h, at_deep, flat = mesh->report.area_m2 * deep;
    if (!(wall[0] < deep))
        return PC_OK;
    pc_status status = shell_of(g, 1, &deep, &at_deep);
    if (status != PC_OK || !(at_deep > 0.6 * flat)) /* else it would turn down before it is met */
        return status;
    for (size_t k = 0; k < count && wall[k] < deep; k++) {
        double x = wall[k] / deep;
        volume[k] = flat * x + (at_deep - flat) * x * x;
    }
    return PC_OK;
}

static int compare_numbers(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;
    return x < y ? -1 : x > y;
}

static pc_status shell_and_filled(const pc_mesh *mesh, size_t count, const double *wall_m,
                                  size_t most_cells, double *volume_m3, double *filled_m3,
                                  double *change) {
    double *sorted = malloc(2 * count * sizeof *sorted);
    if (!sorted)
        return PC_E_MEMORY;
    double *volume = sorted + count;
    memcpy(sorted, wall_m, count * sizeof *sorted);
    qsort(sorted, count, sizeof *sorted, compare_numbers);
    pci_voxels g;
    memset(&g, 0, sizeof g);
    pc_status status = refine(mesh, count, sorted, most_cells, &g, volume, change);
    if (status == PC_OK)
        status = mend_thin(mesh, &g, count, sorted, volume);
    if (status == PC_OK)
        keep_promises(mesh->report.volume_m3, count, volume);
    for (size_t k = 0; k < count && status == PC_OK; k++) {
        const double *at = bsearch(&wall_m[k], sorted, count, sizeof *sorted, compare_numbers);
        volume_m3[k] = volume[at - sorted];
        if (!filled_m3)
            continue;
        status = filled_of(&g, wall_m[k], &filled_m3[k]);
        filled_m3[k] = fmin(filled_m3[k], volume_m3[k]);
    }
    pci_voxels_free(&g);
    free(sorted);
    return status;
}

pc_status pc_mesh_shell(const pc_mesh *mesh, size_t count, const double *wall_m, size_t most_cells,
                        double *volume_m3, double *filled_m3, double *settled_within) {
    if (!mesh || !mesh->report.closed || !wall_m || !volume_m3 || count == 0 || count > 4096 ||
        !(mesh->report.volume_m3 > 0.0))
        return PC_E_ARGUMENT;
    for (size_t k = 0; k < count; k++)
        if (!(wall_m[k] > 0.0 && isfinite(wall_m[k])))
            return PC_E_ARGUMENT;
    if (most_cells == 0 || most_cells > 16 * CELLS_MOST)
        most_cells = CELLS_MOST;
    if (most_cells < CELLS_LEAST)
        most_cells = CELLS_LEAST;
    double change;
    pc_status status =
        shell_and_filled(mesh, count, wall_m, most_cells, volume_m3, filled_m3, &change);
    if (status == PC_OK && settled_within)
        *settled_within = change;
    return status;
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
    return pc_mesh_shell(mesh, TABLE, t->wall_m + 1, 0, t->volume_m3 + 1, NULL, NULL);
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

pc_status pci_shape_from_mesh(const char *path, const char *unit, double wall_most_m,
                              pc_shape *shape, pc_errors *errors) {
    if (!shape)
        return PC_E_ARGUMENT;
    memset(shape, 0, sizeof *shape);
    pc_mesh mesh;
    PCI_TRY(pc_mesh_read(path, unit, &mesh, errors));
    pc_status status = pci_shape_of_mesh(&mesh, wall_most_m, shape);
    if (status != PC_OK)
        pc_errors_add(errors, status, (pc_place){.file = path}, "%s",
                      status == PC_E_ARGUMENT ? "the wall or the mesh's area is out of range"
                                              : pc_status_text(status));
    pc_mesh_free(&mesh);
    return status;
}
