/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Depth in the band against brute force; depth and shells of made meshes against closed forms. */
#include "make_mesh.h"
#include "unit.h"

#include "shape/band.h"
#include "shape/lines.h"
#include "shape/mesh_shape.h"
#include "shape/opening.h"
#include "shape/voxels.h"

static pc_mesh ball_mesh(int n) {
    soup s = {0};
    soup_surface(&s, ball50, n, 2 * n);
    return soup_mesh(&s);
}

static pc_mesh box_mesh(double a, double b, double c) {
    soup s = {0};
    const double low[3] = {0, 0, 0}, high[3] = {a, b, c};
    soup_box(&s, low, high, false);
    return soup_mesh(&s);
}

/* Every cell of the band has the distance of its nearest facet, by all facets tried. */
static void compare_depths(const pc_mesh *mesh, double h, double deepest_m) {
    pci_band b;
    assert_ok(pci_band_make(mesh, h, deepest_m, 1e6, &b));
    size_t seen = 0, exact = 0;
    for (uint32_t c = 0; c < b.blocks * PCI_BLOCK_CELLS; c++) {
        double depth = pci_band_depth(&b, c), least = INFINITY, x[3], foot[3];
        size_t place[3];
        int corner;
        if (isinf(depth))
            continue;
        pci_band_place(&b, c, place);
        for (int a = 0; a < 3; a++)
            x[a] = (double)place[a];
        for (size_t f = 0; f < mesh->facet_count; f++)
            least = fmin(least, pci_facet_distance2(b.at, mesh->facet + 3 * f, x, foot, &corner));
        ck_assert_msg(fabs(depth) > sqrt(least) - 1e-5 && fabs(depth) < 1.03 * sqrt(least) + 0.02,
                      "%zu facets: %.6f %.6f", mesh->facet_count, depth, sqrt(least));
        ck_assert(depth < b.deepest + 0.51 && depth > -0.51);
        exact += fabs(depth) < 1.0001 * sqrt(least) + 1e-5;
        seen++;
    }
    ck_assert_uint_gt(seen, 1000);
    ck_assert_msg((double)exact > 0.95 * (double)seen, "%zu of %zu", exact, seen);
    pci_band_free(&b);
}

START_TEST(depth_is_that_of_the_nearest_facet) {
    pc_mesh ball = ball_mesh(12), fine = ball_mesh(36), box = box_mesh(40, 50, 60);
    compare_depths(&ball, 0.004, 0.02);
    compare_depths(&fine, 0.006, 0.03);
    compare_depths(&box, 0.003, 0.012);
    pc_mesh_free(&ball);
    pc_mesh_free(&fine);
    pc_mesh_free(&box);
}
END_TEST

START_TEST(what_lies_inside_a_ball) {
    pc_mesh mesh = ball_mesh(80);
    pci_voxels g;
    const double up[3] = {1, 2, 3};
    for (int turned = 0; turned < 2; turned++) {
        assert_ok(pci_voxels_fill(&mesh, turned ? up : NULL, 0.002, 1000000, &g));
        for (size_t i = 0; i < g.cells; i++) {
            double cell[3] = {(double)(i % g.n[0]), (double)(i / g.n[0] % g.n[1]),
                              (double)(i / (g.n[0] * g.n[1]))},
                   at[3];
            pci_voxels_point(&g, cell, at);
            double r = sqrt(at[0] * at[0] + at[1] * at[1] + at[2] * at[2]);
            if (fabs(r - 0.05) > 1e-4)
                ck_assert_int_eq(g.inside[i], r < 0.05);
        }
        pci_voxels_free(&g);
    }
    pci_band b;
    assert_ok(pci_band_make(&mesh, 0.002, INFINITY, 1e6, &b));
    for (uint32_t c = 0; c < b.blocks * PCI_BLOCK_CELLS; c++) {
        double at[3];
        pci_band_point(&b, c, at);
        double r = sqrt(at[0] * at[0] + at[1] * at[1] + at[2] * at[2]);
        if (fabs(r - 0.05) > 1e-4)
            ck_assert_int_eq(pci_band_inside(&b, c), r < 0.05);
        if (r < 0.0499)
            assert_near(pci_band_depth(&b, c) * b.h, 0.05 - r, 5e-4);
    }
    pci_band_free(&b);
    pc_mesh_free(&mesh);
}
END_TEST

START_TEST(shell_of_a_ball) {
    pc_mesh mesh = ball_mesh(100);
    const double wall[] = {0.010, 0.001, 0.003, 0.049, 0.060};
    double v[5], filled[5], settled;
    assert_ok(pc_mesh_shell(&mesh, 5, wall, 400000, v, filled, &settled, NULL, NULL));
    for (int k = 0; k < 3; k++)
        assert_close(v[k], 4 * PI / 3 * (1.25e-4 - pow(0.05 - wall[k], 3)), 0.003);
    assert_close(v[4], mesh.report.volume_m3, 1e-4);
    for (int k = 0; k < 4; k++)
        ck_assert(filled[k] < 0.002 * mesh.report.volume_m3);
    assert_close(filled[4], v[4], 1e-3);
    ck_assert(settled >= 0 && settled < 0.05);
    pc_mesh_free(&mesh);
}
END_TEST

/* What is told of shells as they become known. */
struct telling {
    const double *volume, *filled;
    size_t told;
    double volume_then[3], filled_then[3];
};

static void note_shell(size_t wall, void *context) {
    struct telling *t = context;
    ck_assert_uint_eq(wall, t->told);
    for (size_t k = 0; k < 3; k++)
        ck_assert_int_eq(isnan(t->filled[k]), k > wall);
    t->volume_then[wall] = t->volume[wall];
    t->filled_then[wall] = t->filled[wall];
    t->told++;
}

/* Told one by one, in the order asked for, each with its final values and none of the next. */
START_TEST(shells_are_told_as_they_become_known) {
    pc_mesh mesh = ball_mesh(40);
    const double wall[] = {0.010, 0.001, 0.003};
    double v[] = {NAN, NAN, NAN}, filled[] = {NAN, NAN, NAN};
    struct telling t = {.volume = v, .filled = filled};
    assert_ok(pc_mesh_shell(&mesh, 3, wall, 20000, v, filled, NULL, note_shell, &t));
    ck_assert_uint_eq(t.told, 3);
    for (size_t k = 0; k < 3; k++)
        ck_assert(t.volume_then[k] == v[k] && t.filled_then[k] == filled[k]);
    pc_mesh_free(&mesh);
}
END_TEST

/* Torus: the shell of its tube, 2 pi^2 R (r^2 - (r - w)^2). The seam closes bit by bit. */
static void torus(double u, double v, double out[3]) {
    double a = 2 * PI * (u >= 1 ? 0 : u), b = 2 * PI * v, ring = 50 + 15 * cos(b);
    out[0] = ring * cos(a);
    out[1] = ring * sin(a);
    out[2] = 15 * sin(b);
}

static void ellipsoid(double u, double v, double out[3]) {
    ball50(u, v, out);
    out[0] *= 0.8;
    out[2] *= 1.6;
}

/* The mesh lies within its surface by about (step / 2)^2 / (2 R): below 0.1 % of these walls. */
START_TEST(shells_of_torus_and_ellipsoid) {
    soup t = {0}, e = {0};
    soup_surface(&t, torus, 300, 120);
    soup_surface(&e, ellipsoid, 150, 300);
    pc_mesh ring = soup_mesh(&t), egg = soup_mesh(&e);
    pc_shape shape;
    assert_ok(pc_shape_parse("ellipsoid 80 x 100 x 160 mm", &shape, NULL, 0));
    const double wall[] = {0.0005, 0.002, 0.005, 0.010};
    double v[4], exact;
    assert_ok(pc_mesh_shell(&ring, 4, wall, 0, v, NULL, NULL, NULL, NULL));
    for (int k = 0; k < 4; k++)
        assert_close(v[k], 2 * PI * PI * 0.05 * (2.25e-4 - pow(0.015 - wall[k], 2)), 0.003);
    assert_ok(pc_mesh_shell(&egg, 4, wall, 0, v, NULL, NULL, NULL, NULL));
    for (int k = 0; k < 4; k++) { /* convex and smooth: Steiner's formula is exact */
        assert_ok(pc_shell_volume(&shape, wall[k], &exact));
        assert_close(v[k], exact, 0.003);
    }
    pc_mesh_free(&ring);
    pc_mesh_free(&egg);
}
END_TEST

/* Sharp inner corners counted as they are, where Steiner's formula rounds them. */
START_TEST(shell_of_a_box) {
    pc_mesh mesh = box_mesh(40, 50, 60);
    const double wall[] = {0.001, 0.003, 0.005, 0.010, 0.019};
    double v[5], filled[5];
    assert_ok(pc_mesh_shell(&mesh, 5, wall, 400000, v, filled, NULL, NULL, NULL));
    for (int k = 0; k < 5; k++) {
        double w = wall[k] * 1e3;
        double exact = 120000 - (40 - 2 * w) * (50 - 2 * w) * (60 - 2 * w);
        assert_close(v[k] * 1e9, exact, 0.001);
        /* Not reached by the ball: (1 - pi/4) w^2 along the edges between corners, and
         * (8 - 4 pi/3) w^3 in all eight corners; cells of 0.3 mm count it coarsely. */
        double along = 4 * (150 - 6 * w);
        double fillet = (1 - PI / 4) * w * w * along + (8 - 4 * PI / 3) * w * w * w;
        assert_near(filled[k] * 1e9, fillet, 0.12 * fillet + 200);
    }
    pc_mesh_free(&mesh);
}
END_TEST

static double l_block(const double p[3]) {
    double leg = fmin(fmin(p[0], 20 - p[0]), fmin(p[1], 60 - p[1]));
    double foot = fmin(fmin(p[0], 60 - p[0]), fmin(p[1], 20 - p[1]));
    return fmin(fmax(leg, foot), fmin(p[2], 30 - p[2]));
}

/* Round the inner corner of an L the wall follows an arc: no Steiner formula knows it. */
START_TEST(shell_of_an_l_block) {
    const double low[3] = {-1.37, -1.37, -1.37}, high[3] = {62, 62, 32};
    soup s = {0};
    soup_field(&s, l_block, low, high, 0.8);
    pc_mesh mesh = soup_mesh(&s);
    const double wall = 0.004;
    double v, w = 4;
    assert_ok(pc_mesh_shell(&mesh, 1, &wall, 400000, &v, NULL, NULL, NULL, NULL));
    /* Hollow: an L of arms 20 - 2 w; at the inner corner the square w by w less a quarter disc
     * is kept by the wall's arc. */
    double hollow = (20 - 2 * w) * (60 - 2 * w) * 2 - (20 - 2 * w) * (20 - 2 * w);
    hollow += (1 - PI / 4) * w * w;
    assert_close(v * 1e9, (2000 * 30) - hollow * (30 - 2 * w), 0.005);
    pc_mesh_free(&mesh);
}
END_TEST

/* A fin of 3 mm on a block fills solid under a wall of 2 mm and counts once. */
static double finned(const double p[3]) {
    double block = fmin(fmin(fmin(p[0], 60 - p[0]), fmin(p[1], 60 - p[1])), fmin(p[2], 40 - p[2]));
    double fin = fmin(fmin(p[0] - 28.5, 31.5 - p[0]), fmin(p[1] - 10, 50 - p[1]));
    return fmax(block, fmin(fin, fmin(p[2] - 30, 65 - p[2])));
}

START_TEST(fins_that_fill_solid_are_counted_once) {
    const double low[3] = {-1.37, -1.37, -1.37}, high[3] = {62, 62, 67};
    soup s = {0};
    soup_field(&s, finned, low, high, 0.7);
    pc_mesh mesh = soup_mesh(&s);
    const double wall = 0.002;
    double v, filled, block = 60 * 60 * 40 - 56.0 * 56 * 36, fin = 3 * 40 * 25.0;
    assert_ok(pc_mesh_shell(&mesh, 1, &wall, 600000, &v, &filled, NULL, NULL, NULL));
    assert_close(v * 1e9, block + fin, 0.015);
    ck_assert(filled * 1e9 > 0.9 * fin && filled * 1e9 < 1.35 * fin);
    ck_assert(mesh.report.area_m2 * 1e6 * 2 > v * 1e9 + 0.8 * fin); /* S w would count it twice */
    pc_mesh_free(&mesh);
}
END_TEST

START_TEST(a_table_gives_the_layers) {
    pc_mesh mesh = ball_mesh(100);
    pc_shape shape;
    assert_ok(pci_shape_of_mesh(&mesh, 0.006, &shape));
    ck_assert(shape.closed && shape.shell.count > 10);
    assert_close(shape.volume_m3, mesh.report.volume_m3, 1e-15);
    double before = -1, v;
    for (int i = 0; i <= 600; i++) {
        double w = i * 1e-5;
        assert_ok(pc_shell_volume(&shape, w, &v));
        ck_assert(v >= before);
        before = v;
        assert_near(v, 4 * PI / 3 * (1.25e-4 - pow(0.05 - w, 3)), 0.006 * v + 2e-8);
    }
    assert_status(pc_shell_volume(&shape, 0.007, &v), PC_E_ARGUMENT);
    pc_shape_free(&shape);
    const double bad[] = {0, -1, NAN, INFINITY};
    for (int i = 0; i < 4; i++) {
        assert_status(pci_shape_of_mesh(&mesh, bad[i], &shape), PC_E_ARGUMENT);
        assert_status(pc_mesh_shell(&mesh, 1, &bad[i], 0, &v, NULL, NULL, NULL, NULL),
                      PC_E_ARGUMENT);
    }
    pc_mesh_free(&mesh);
}
END_TEST

/* Two balls that overlap by half: what lies in both is one cavity. */
START_TEST(overlapping_parts_count_once) {
    soup s = {0};
    const double low[3] = {0, 0, 0}, high[3] = {40, 40, 40}, low2[3] = {20, 5, 5},
                 high2[3] = {60, 35, 35};
    soup_box(&s, low, high, false);
    soup_box(&s, low2, high2, false);
    pc_mesh mesh = soup_mesh(&s);
    const double wall = 0.1;
    double v;
    assert_ok(pc_mesh_shell(&mesh, 1, &wall, 400000, &v, NULL, NULL, NULL, NULL));
    assert_close(v * 1e9, 64000 + 20 * 900.0, 0.002);
    pc_mesh_free(&mesh);
}
END_TEST

/* Two hundred boxes, half of them inside out and all but as large: their volumes cancel, so that
 * the cells expected are few. The grid grows coarser instead of eating the memory. */
START_TEST(volumes_that_cancel_cost_no_memory) {
    soup s = {0};
    for (int i = 0; i < 100; i++) {
        double x = 50.0 * i;
        soup_box(&s, (const double[3]){x, 0, 0}, (const double[3]){x + 40, 40, 40}, false);
        soup_box(&s, (const double[3]){x + 45, 0, 0}, (const double[3]){x + 84.99, 40, 40}, true);
    }
    pc_mesh mesh = soup_mesh(&s);
    pci_band b;
    assert_ok(pci_band_make(&mesh, 1e-4, INFINITY, 3000, &b));
    ck_assert_uint_le(b.blocks, b.blocks_most);
    ck_assert_double_gt(b.h, 1e-4);
    pci_band_free(&b);
    pc_mesh_free(&mesh);
}
END_TEST

/* 1 of the grid: lines were laid by the surface that bounds the inside; two thousand parts through
 * one another have a hundred times as much, and the crossings took 3.8 GB of memory (22 GB of more
 * parts). */
START_TEST(bug_1_crossings_are_bounded) {
    enum { PARTS = 400 };
    soup s = {0};
    uint32_t state = 7;
    for (int i = 0; i < PARTS; i++) {
        double p[4][3];
        for (int k = 0; k < 12; k++) {
            state = state * 1664525u + 1013904223u;
            p[k / 3][k % 3] = 500.0 * (state >> 8) / 16777216.0;
        }
        soup_facet(&s, p[0], p[1], p[2]);
        soup_facet(&s, p[0], p[2], p[3]);
        soup_facet(&s, p[0], p[3], p[1]);
        soup_facet(&s, p[1], p[3], p[2]);
    }
    pc_mesh mesh = soup_mesh(&s);
    double gross = 0.0, least = pci_lines_cell(&mesh, 1e-6, PCI_CROSSINGS_MOST), wall = 0.003,
           shell;
    for (size_t f = 0; f < mesh.facet_count; f++) {
        double area;
        assert_ok(pci_mesh_facet(&mesh, f, NULL, NULL, &area));
        gross += area;
    }
    ck_assert_uint_eq(mesh.report.components, PARTS);
    ck_assert(gross > 3 * mesh.report.area_m2);
    assert_close(1.5 * gross / (least * least), PCI_CROSSINGS_MOST, 1e-9);
    assert_near(pci_lines_cell(&mesh, 1.0, PCI_CROSSINGS_MOST), 1.0, 0.0);
    /* All crossings along one axis are about a third of them. */
    double *at = malloc(3 * mesh.vertex_count * sizeof *at);
    size_t n[3];
    for (size_t i = 0; i < 3 * mesh.vertex_count; i++)
        at[i] = mesh.vertex[i] / least + 0.37;
    for (int a = 0; a < 3; a++)
        n[a] = (size_t)(0.5 / least) + 3;
    pci_lines lines;
    assert_ok(pci_lines_file(&mesh, at, n, 2, &lines));
    ck_assert((double)lines.start[lines.nu * lines.nv] < PCI_CROSSINGS_MOST);
    ck_assert((double)lines.start[lines.nu * lines.nv] > PCI_CROSSINGS_MOST / 10);
    pci_lines_free(&lines);
    free(at);
    assert_ok(pc_mesh_shell(&mesh, 1, &wall, 0, &shell, NULL, NULL, NULL, NULL));
    ck_assert(shell > 0.0 && shell <= mesh.report.volume_m3);
    pc_mesh_free(&mesh);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("voxel");
    TCase *tcase = tcase_create("voxel");
    tcase_set_timeout(tcase, 240);
    tcase_add_test(tcase, bug_1_crossings_are_bounded);
    tcase_add_test(tcase, depth_is_that_of_the_nearest_facet);
    tcase_add_test(tcase, what_lies_inside_a_ball);
    tcase_add_test(tcase, shell_of_a_ball);
    tcase_add_test(tcase, shells_are_told_as_they_become_known);
    tcase_add_test(tcase, shells_of_torus_and_ellipsoid);
    tcase_add_test(tcase, shell_of_a_box);
    tcase_add_test(tcase, shell_of_an_l_block);
    tcase_add_test(tcase, fins_that_fill_solid_are_counted_once);
    tcase_add_test(tcase, a_table_gives_the_layers);
    tcase_add_test(tcase, overlapping_parts_count_once);
    tcase_add_test(tcase, volumes_that_cancel_cost_no_memory);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
