/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Distance transforms against brute force; depth and shells of made meshes against closed forms. */
#include "make_mesh.h"
#include "unit.h"

#include "shape/edt.h"
#include "shape/mesh_shape.h"
#include "shape/voxels.h"

static uint32_t seed = 1;

static double chance(void) {
    seed = seed * 1664525u + 1013904223u;
    return (double)(seed >> 8) / 16777216.0;
}

START_TEST(power_transform_agrees_with_brute_force) {
    for (int round = 0; round < 30; round++) {
        size_t n[3] = {(size_t)(1 + 12 * chance()), (size_t)(1 + 20 * chance()),
                       (size_t)(1 + 9 * chance())};
        size_t cells = n[0] * n[1] * n[2];
        float *value = malloc(cells * sizeof *value), *start = malloc(cells * sizeof *start);
        ck_assert(value && start);
        for (size_t i = 0; i < cells; i++) {
            double r = 4 * chance();
            /* Plain seeds in one round, balls of all sizes in the next, empty in the tenth. */
            start[i] =
                chance() < 0.1 && round % 10 != 9 ? (float)(round % 2 ? -r * r : 0) : INFINITY;
            value[i] = start[i];
        }
        assert_ok(pci_edt_power(n, value));
        for (size_t i = 0; i < cells; i++) {
            double least = INFINITY;
            for (size_t j = 0; j < cells; j++) {
                double dx = (double)(i % n[0]) - (double)(j % n[0]);
                double dy = (double)(i / n[0] % n[1]) - (double)(j / n[0] % n[1]);
                double dz = (double)(i / (n[0] * n[1])) - (double)(j / (n[0] * n[1]));
                least = fmin(least, dx * dx + dy * dy + dz * dz + (double)start[j]);
            }
            if (isinf(least))
                ck_assert(isinf(value[i]));
            else
                assert_near((double)value[i], least, 1e-4);
        }
        free(value);
        free(start);
    }
}
END_TEST

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

START_TEST(depth_in_a_ball_is_the_radius_less_the_distance) {
    pc_mesh mesh = ball_mesh(80);
    pci_voxels g;
    const double up[3] = {1, 2, 3};
    for (int turned = 0; turned < 2; turned++) {
        assert_ok(pci_voxels_fill(&mesh, turned ? up : NULL, 0.002, 1000000, &g));
        assert_ok(pci_voxels_depth(&mesh, &g));
        for (size_t i = 0; i < g.cells; i++) {
            double cell[3] = {(double)(i % g.n[0]), (double)(i / g.n[0] % g.n[1]),
                              (double)(i / (g.n[0] * g.n[1]))},
                   at[3];
            pci_voxels_point(&g, cell, at);
            double r = sqrt(at[0] * at[0] + at[1] * at[1] + at[2] * at[2]);
            if (fabs(r - 0.05) > 1e-4)
                ck_assert_int_eq(g.inside[i], r < 0.05);
            /* Beside the foot of the perpendicular by up to 0.75 of a cell. */
            double depth = fabs((double)g.depth[i]) * g.h, flat = fabs(0.05 - r);
            ck_assert(depth > flat - 1e-4 && depth < hypot(flat, 0.75 * g.h) + 1e-4);
        }
        pci_voxels_free(&g);
    }
    pc_mesh_free(&mesh);
}
END_TEST

START_TEST(shell_of_a_ball) {
    pc_mesh mesh = ball_mesh(100);
    const double wall[] = {0.010, 0.001, 0.003, 0.049, 0.060};
    double v[5], filled[5], settled;
    assert_ok(pc_mesh_shell(&mesh, 5, wall, 3000000, v, filled, &settled));
    for (int k = 0; k < 3; k++)
        assert_close(v[k], 4 * PI / 3 * (1.25e-4 - pow(0.05 - wall[k], 3)), 0.006);
    assert_close(v[4], mesh.report.volume_m3, 1e-4);
    for (int k = 0; k < 4; k++)
        ck_assert(filled[k] < 0.002 * mesh.report.volume_m3);
    assert_close(filled[4], v[4], 1e-3);
    ck_assert(settled >= 0 && settled < 0.05);
    pc_mesh_free(&mesh);
}
END_TEST

/* Sharp inner corners counted as they are, where Steiner's formula rounds them. */
START_TEST(shell_of_a_box) {
    pc_mesh mesh = box_mesh(40, 50, 60);
    const double wall[] = {0.001, 0.003, 0.005, 0.010, 0.019};
    double v[5], filled[5];
    assert_ok(pc_mesh_shell(&mesh, 5, wall, 3000000, v, filled, NULL));
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
    assert_ok(pc_mesh_shell(&mesh, 1, &wall, 3000000, &v, NULL, NULL));
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
    assert_ok(pc_mesh_shell(&mesh, 1, &wall, 6000000, &v, &filled, NULL));
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
        assert_status(pc_mesh_shell(&mesh, 1, &bad[i], 0, &v, NULL, NULL), PC_E_ARGUMENT);
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
    assert_ok(pc_mesh_shell(&mesh, 1, &wall, 1000000, &v, NULL, NULL));
    assert_close(v * 1e9, 64000 + 20 * 900.0, 0.0005);
    pc_mesh_free(&mesh);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("voxel");
    TCase *tcase = tcase_create("voxel");
    tcase_set_timeout(tcase, 240);
    tcase_add_test(tcase, power_transform_agrees_with_brute_force);
    tcase_add_test(tcase, depth_in_a_ball_is_the_radius_less_the_distance);
    tcase_add_test(tcase, shell_of_a_ball);
    tcase_add_test(tcase, shell_of_a_box);
    tcase_add_test(tcase, shell_of_an_l_block);
    tcase_add_test(tcase, fins_that_fill_solid_are_counted_once);
    tcase_add_test(tcase, a_table_gives_the_layers);
    tcase_add_test(tcase, overlapping_parts_count_once);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
