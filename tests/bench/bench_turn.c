/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How long turning takes to judge: a layer on the sphere, a search, a mesh; and how it grows with
 * facets and with steps. The reference of the same run is one plain pass of the same cells and
 * steps that only asks which cells lie under the pool. Nothing here is a test. */
#include "bench.h"

#include "turning.h"

static struct thickening history;

/* Best of five, ms. */
static double judge_ms(const pc_turning *t, const pc_turn_layer *l, int fineness) {
    double best = INFINITY;
    for (int i = 0; i < 5; i++) {
        pc_turn_result r;
        double start = clock_s();
        if (pci_turn_judge(NULL, t, l, NULL, fineness, &r, NULL) != PC_OK)
            stop("pci_turn_judge");
        best = fmin(best, 1e3 * (clock_s() - start));
    }
    return best;
}

static double map_ms(size_t cells, const double (*corner)[3], size_t facets, int fineness) {
    double best = INFINITY;
    pc_turning t = machine(12, 12 * 0.6180339887);
    pc_turn_layer l = thickening_layer(&history, 1.5e-3, 0.12, 60, 330);
    for (int i = 0; i < 3; i++) {
        pc_map *map = NULL;
        double start = clock_s();
        pc_status status =
            corner ? pci_map_facets(facets, corner, 0, &map) : pci_map_sphere(0.065, cells, &map);
        if (status == PC_OK)
            status = pci_map_layer_add(map, &t, &l, NULL, fineness, NULL, NULL);
        if (status != PC_OK)
            stop("the map");
        best = fmin(best, 1e3 * (clock_s() - start));
        pc_map_free(map);
    }
    return best;
}

/* Cells times steps of nothing but "is it under the pool". */
static double reference_ms(size_t cells, size_t steps) {
    double *z = malloc(3 * cells * sizeof *z);
    size_t under = 0;
    if (!z)
        stop("memory");
    for (size_t i = 0; i < 3 * cells; i++)
        z[i] = sin((double)i);
    double start = clock_s();
    for (size_t k = 0; k < steps; k++) {
        double a = cos(0.07 * (double)k), b = sin(0.07 * (double)k), c = a * b;
        for (size_t i = 0; i < cells; i++)
            under += a * z[i] + b * z[cells + i] + c * z[2 * cells + i] > 0.7;
    }
    double ms = 1e3 * (clock_s() - start);
    if (under == 0)
        stop("the reference");
    free(z);
    return ms;
}

int main(void) {
    pc_turning two = machine(12, 3), golden = machine(12, 12 * 0.6180339887);
    pc_turning hand = {.method = PC_HAND};
    pc_turn_layer quick = thickening_layer(&history, 1.5e-3, 0.12, 60, 330);
    printf("Judging a layer on the sphere, ms (coarse as the plan does it; normal; fine)\n");
    printf("  machine 12/3      %7.2f %7.2f %7.2f\n", judge_ms(&two, &quick, 0),
           judge_ms(&two, &quick, 1), judge_ms(&two, &quick, 2));
    printf("  machine 12/7.4    %7.2f %7.2f %7.2f\n", judge_ms(&golden, &quick, 0),
           judge_ms(&golden, &quick, 1), judge_ms(&golden, &quick, 2));
    printf("  by hand           %7.2f %7.2f %7.2f\n", judge_ms(&hand, &quick, 0),
           judge_ms(&hand, &quick, 1), judge_ms(&hand, &quick, 2));
    pc_turning best;
    pc_turn_result r;
    double start = clock_s();
    if (pci_turn_search(NULL, &two, &quick, 0, &best, &r, NULL) != PC_OK)
        stop("pci_turn_search");
    printf("Search over ratios and speeds, ms %7.1f\n\n", 1e3 * (clock_s() - start));

    double unit = reference_ms(5000, 1000);
    printf("Wall maps, ms, and as a ratio to 1000 bare passes over 5000 cells (%.2f ms)\n", unit);
    double mesh_before = NAN, sphere_before = NAN;
    for (int times = 3; times <= 6; times++) {
        size_t facets;
        double(*corner)[3] = round_mesh(0.065, times, &facets);
        double ms = map_ms(0, (const double(*)[3])corner, facets, 1);
        double sphere = map_ms(facets, NULL, 0, 1);
        printf("  %6zu facets: mesh %8.1f (%5.1f), sphere of as many cells %8.1f (%5.1f)\n", facets,
               ms, ms / unit, sphere, sphere / unit);
        if (times > 3)
            printf("         four times the facets: mesh %.2f x the time, sphere %.2f x\n",
                   ms / mesh_before, sphere / sphere_before);
        mesh_before = ms;
        sphere_before = sphere;
        free(corner);
    }
    printf("Growth with steps, 5120 cells, ms: ");
    for (int fineness = 1; fineness <= 4; fineness *= 2)
        printf(" x%d %.1f", fineness, map_ms(5120, NULL, 0, fineness));
    printf("\n");
    return 0;
}
