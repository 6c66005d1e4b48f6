/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include <math.h>
#include <stdlib.h>

#include "draw/map.h"
#include "print/message.h"

/* Of a facet, or of the facets round a vertex: their area, and the resin on it. */
struct coat {
    double area_m2, volume_m3;
};

static void add(struct coat *coat, double area_m2, double film_m) {
    coat->area_m2 += area_m2;
    coat->volume_m3 += film_m * area_m2;
}

static double mean_m(const struct coat *coat) {
    return coat->area_m2 > 0 ? coat->volume_m3 / coat->area_m2 : 0;
}

static int byte_of(double share) {
    return (int)lround(255 * fmax(0, fmin(1, share)));
}

static void put_color(struct cli_output *out, double film_m, const pc_spread *spread) {
    double rgb[3];
    map_color(film_m / spread->mean_m, map_range(spread), rgb);
    out_printf(out, " %d %d %d", byte_of(rgb[0]), byte_of(rgb[1]), byte_of(rgb[2]));
}

static void gather(const struct map_view *view, const pc_mesh *mesh, struct coat *facet,
                   struct coat *vertex) {
    for (size_t i = 0; i < pc_map_count(view->map); i++) {
        pc_map_cell cell;
        pc_map_cell_at(view->map, i, &cell);
        double film_m = view->last_only ? cell.film_m : cell.sum_m;
        add(&facet[cell.facet], cell.area_m2, film_m);
        for (size_t k = 0; k < 3; k++)
            add(&vertex[mesh->facet[3 * cell.facet + k]], cell.area_m2, film_m);
    }
}

static void write_ply(const struct map_view *view, const pc_mesh *mesh, const struct coat *facet,
                      const struct coat *vertex, struct cli_output *out) {
    static const char *const colors = "property uchar red\nproperty uchar green\n"
                                      "property uchar blue\nproperty float thickness_mm\n";
    out_printf(out,
               "ply\nformat ascii 1.0\ncomment wall thickness; lengths in mm\n"
               "element vertex %zu\nproperty float x\nproperty float y\nproperty float z\n%s"
               "element face %zu\nproperty list uchar int vertex_indices\n%send_header\n",
               mesh->vertex_count, colors, mesh->facet_count, colors);
    for (size_t i = 0; i < mesh->vertex_count; i++) {
        const double *p = &mesh->vertex[3 * i];
        out_printf(out, "%.6g %.6g %.6g", 1e3 * p[0], 1e3 * p[1], 1e3 * p[2]);
        put_color(out, mean_m(&vertex[i]), &view->spread);
        out_printf(out, " %.5g\n", 1e3 * mean_m(&vertex[i]));
    }
    for (size_t i = 0; i < mesh->facet_count; i++) {
        const uint32_t *v = &mesh->facet[3 * i];
        out_printf(out, "3 %lu %lu %lu", (unsigned long)v[0], (unsigned long)v[1],
                   (unsigned long)v[2]);
        put_color(out, mean_m(&facet[i]), &view->spread);
        out_printf(out, " %.5g\n", 1e3 * mean_m(&facet[i]));
    }
}

enum cli_exit map_ply(const struct map_view *view, const pc_mesh *mesh, struct cli_output *out) {
    struct coat *facet = calloc(mesh->facet_count, sizeof *facet);
    struct coat *vertex = calloc(mesh->vertex_count, sizeof *vertex);
    bool ready = facet && vertex;
    if (ready) {
        gather(view, mesh, facet, vertex);
        write_ply(view, mesh, facet, vertex, out);
    }
    free(facet);
    free(vertex);
    return ready ? CLI_DONE : say_error(CLI_INTERNAL, "out of memory");
}
