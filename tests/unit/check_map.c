/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The wall map: volume, convergence, symmetry, sphere against mesh, running down, levelling,
 * neighbors, judging, standstills, search. */
#include "unit.h"

#include <string.h>

#include "film/cells.h"
#include "film/film_sums.h"
#include "film/judge.h"
#include "turning.h"

static struct thickening history;

static pc_turn_layer usual(void) {
    return thickening_layer(&history, 1.5e-3, 0.12, 60, 330);
}

static double volume_of(const pc_map *map, double area_m2) {
    double sum = 0;
    for (size_t i = 0; i < pc_map_count(map); i++) {
        pc_map_cell cell;
        assert_ok(pc_map_cell_at(map, i, &cell));
        ck_assert(cell.film_m >= 0);
        sum += cell.film_m * cell.area_m2 / map->area_m2 * area_m2;
    }
    return sum;
}

START_TEST(volume_is_conserved) {
    pc_turning way[6] = {machine(12, 3),   machine(12, 12),     machine(7, 0),
                         machine(9, -4.1), {.method = PC_HAND}, machine(12, 3)};
    way[5].reverse_every_s = 11;
    pc_turn_stop stop = {150, 40};
    for (int i = 0; i < 6; i++)
        for (int k = 0; k < 2; k++) {
            pc_map *map = NULL;
            pc_spread s;
            pc_turn_layer l = usual();
            assert_ok(pci_map_sphere(0.065, 500, &map));
            assert_ok(pci_map_layer_add(map, &way[i], &l, k ? &stop : NULL, 1, &s, NULL));
            assert_close(volume_of(map, l.volume_m3 / l.film_m), l.volume_m3, 1e-9);
            assert_close(s.volume_m3, l.volume_m3, 1e-9);
            assert_close(s.mean_m, l.film_m, 1e-9);
            ck_assert(s.least_m <= s.thin_m && s.thin_m <= s.mean_m && s.mean_m <= s.thick_m &&
                      s.thick_m <= s.most_m);
            pc_map_free(map);
        }
}
END_TEST

/* Cells that are looked at patch by patch, and one by one. */
START_TEST(patches_change_nothing) {
    pc_turning way[] = {machine(12, 3), machine(7, 0), machine(9, -4.1), {.method = PC_HAND}};
    const size_t cells[] = {PC_MAP_CELLS_LEAST, 500, 517, 3000};
    for (int i = 0; i < 4; i++)
        for (int k = 0; k < 4; k++) {
            pc_map *by_patch = NULL, *by_cell = NULL;
            pc_turn_layer l = usual();
            assert_ok(pci_map_sphere(0.065, cells[k], &by_patch));
            assert_ok(pci_map_sphere(0.065, cells[k], &by_cell));
            pci_patches_free(by_cell->patches);
            by_cell->patches = NULL;
            assert_ok(pci_map_layer_add(by_patch, &way[i], &l, NULL, 1, NULL, NULL));
            assert_ok(pci_map_layer_add(by_cell, &way[i], &l, NULL, 1, NULL, NULL));
            for (size_t j = 0; j < cells[k]; j++)
                ck_assert_double_eq_tol(by_patch->film_m[j], by_cell->film_m[j], 1e-9 * l.film_m);
            pc_map_free(by_patch);
            pc_map_free(by_cell);
        }
}
END_TEST

START_TEST(thin_share_converges_in_cells_and_steps) {
    pc_turning t = machine(12, 3);
    pc_turn_layer l = usual();
    pc_turn_result fine, r;
    assert_ok(pci_turn_judge(NULL, &t, &l, NULL, 5, &fine, NULL));
    const double within[] = {0.02, 0.006, 0.003, 0.001};
    for (int i = 0; i < 4; i++) {
        assert_ok(pci_turn_judge(NULL, &t, &l, NULL, i, &r, NULL));
        assert_close(r.spread.thin_m, fine.spread.thin_m, within[i]);
        assert_close(r.spread.thick_m, fine.spread.thick_m, within[i]);
        assert_close(r.gap_s, fine.gap_s, 0.05);
    }
}
END_TEST

/* Turning the other way, or mirrored, changes nothing but the picture. */
START_TEST(mirror_images_come_out_alike) {
    pc_turning way[4] = {machine(12, 4.3), machine(-12, 4.3), machine(12, -4.3),
                         machine(-12, -4.3)};
    pc_turn_result r[4];
    pc_turn_layer l = usual();
    for (int i = 0; i < 4; i++) {
        assert_ok(pci_turn_judge(NULL, &way[i], &l, NULL, 2, &r[i], NULL));
        assert_close(r[i].spread.thin_m, r[0].spread.thin_m, 0.01);
        assert_close(r[i].spread.thick_m, r[0].spread.thick_m, 0.002);
    }
    /* and so does mounting the mold another way */
    for (int mount = 0; mount < 3; mount++) {
        l.mount = mount;
        assert_ok(pci_turn_judge(NULL, &way[0], &l, NULL, 2, &r[mount], NULL));
        assert_close(r[mount].spread.thin_m, r[0].spread.thin_m, 0.01);
    }
}
END_TEST

START_TEST(mesh_of_a_sphere_comes_out_as_the_sphere) {
    size_t facets;
    double(*corner)[3] = round_mesh(0.065, 4, &facets);
    ck_assert_uint_eq(facets, 5120);
    pc_turning way[3] = {machine(12, 3), machine(12, 12 * 0.618034), {.method = PC_HAND}};
    for (int i = 0; i < 3; i++) {
        pc_map *mesh = NULL, *sphere = NULL;
        pc_spread m, s;
        pc_turn_layer l = usual();
        assert_ok(pci_map_facets(facets, (const double(*)[3])corner, 0, &mesh));
        assert_ok(pci_map_sphere(0.065, 5000, &sphere));
        assert_close(mesh->volume_m3, sphere->volume_m3, 0.005);
        assert_close(mesh->radius_m, 0.065, 0.001);
        assert_ok(pci_map_layer_add(mesh, &way[i], &l, NULL, 1, &m, NULL));
        assert_ok(pci_map_layer_add(sphere, &way[i], &l, NULL, 1, &s, NULL));
        assert_close(m.thin_m, s.thin_m, 0.03);
        assert_close(m.mean_m, s.mean_m, 1e-9);
        assert_close(m.thick_m, s.thick_m, 0.01);
        pc_map_free(mesh);
        pc_map_free(sphere);
    }
    free(corner);
}
END_TEST

START_TEST(pool_level_in_a_mesh_holds_the_volume) {
    size_t facets;
    double(*corner)[3] = round_mesh(1, 4, &facets);
    pc_map *mesh = NULL;
    assert_ok(pci_map_facets(facets, (const double(*)[3])corner, 0, &mesh));
    double *depth = malloc(facets * sizeof *depth), down[3] = {0.36, -0.48, 0.8};
    for (size_t i = 0; i < facets; i++)
        depth[i] = mesh->x[i] * down[0] + mesh->y[i] * down[1] + mesh->z[i] * down[2];
    for (double fraction = 0.01; fraction < 1; fraction += 0.07) {
        double level = pci_pool_level(mesh, depth, down, fraction);
        assert_near(level, cos(pci_pool_angle(fraction * 4 * PI / 3, 1)), 0.001);
    }
    free(depth);
    free(corner);
    pc_map_free(mesh);
}
END_TEST

/* A box of twelve triangles is cut into cells, and every cell knows its facet. */
START_TEST(large_facets_are_cut_into_cells) {
    const int face[12][3] = {{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4},
                             {2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}};
    double corner[36][3];
    for (size_t i = 0; i < 36; i++) {
        int v = face[i / 3][i % 3];
        corner[i][0] = 0.08 * (v & 1);
        corner[i][1] = 0.10 * (v >> 1 & 1);
        corner[i][2] = 0.12 * (v >> 2);
    }
    pc_map *map = NULL;
    assert_ok(pci_map_facets(12, (const double(*)[3])corner, 1500, &map));
    assert_close(map->volume_m3, 0.08 * 0.10 * 0.12, 1e-12);
    assert_close(map->area_m2, 2 * (0.08 * 0.10 + 0.08 * 0.12 + 0.10 * 0.12), 1e-12);
    ck_assert_uint_gt(pc_map_count(map), 1500);
    double area[12] = {0};
    for (size_t i = 0; i < pc_map_count(map); i++) {
        pc_map_cell cell;
        assert_ok(pc_map_cell_at(map, i, &cell));
        ck_assert_uint_lt(cell.facet, 12);
        area[cell.facet] += cell.area_m2;
    }
    for (int i = 0; i < 12; i++)
        assert_close(area[i], i < 4 ? 0.004 : i < 8 ? 0.0048 : 0.006, 1e-9);
    pc_turn_layer l = usual();
    pc_turning t = machine(12, 3);
    pc_spread s;
    l.volume_m3 = l.film_m * map->area_m2;
    l.radius_m = NAN;
    assert_ok(pci_map_layer_add(map, &t, &l, NULL, 1, &s, NULL));
    assert_close(volume_of(map, map->area_m2), l.volume_m3, 1e-9);
    ck_assert(s.thin_m > 0.5 * l.film_m);
    pc_map_free(map);
    /* the same box open at the top, or inside out, holds no pool */
    assert_status(pci_map_facets(10, (const double(*)[3])corner, 0, &map), PC_E_VALUE);
    for (size_t i = 0; i < 12; i++)
        for (int k = 0; k < 3; k++) {
            double keep = corner[3 * i][k];
            corner[3 * i][k] = corner[3 * i + 1][k];
            corner[3 * i + 1][k] = keep;
        }
    assert_status(pci_map_facets(12, (const double(*)[3])corner, 0, &map), PC_E_VALUE);
    corner[7][1] = NAN;
    assert_status(pci_map_facets(12, (const double(*)[3])corner, 0, &map), PC_E_VALUE);
}
END_TEST

START_TEST(remounts_even_the_sum_of_layers) {
    double thin[2];
    for (int remount = 0; remount < 2; remount++) {
        pc_map *map = NULL;
        pc_spread s;
        assert_ok(pci_map_sphere(0.065, 1500, &map));
        pc_turning t = machine(12, 3);
        double laid = 0;
        for (int layer = 0; layer < 3; layer++) {
            pc_turn_layer l = usual();
            l.mount = remount ? layer : 0;
            assert_ok(pci_map_layer_add(map, &t, &l, NULL, 1, NULL, NULL));
            laid += l.volume_m3;
        }
        assert_ok(pci_map_spread(map, &s));
        assert_close(s.volume_m3, laid, 1e-9);
        assert_close(s.mean_m, 4.5e-3, 1e-9);
        thin[remount] = s.thin_m;
        pc_map_free(map);
    }
    ck_assert(thin[1] > thin[0]);
}
END_TEST

static double wave(const pc_map *map, int degree, size_t i) {
    double z = map->z[i];
    return degree == 1   ? z
           : degree == 2 ? 1.5 * z * z - 0.5
                         : (35 * pow(z, 4) - 30 * z * z + 3) / 8;
}

/* Amplitude of a wave after levelling: one implicit step of (2/3) l^2 (l+1)^2. */
START_TEST(surface_tension_levels_waves_by_degree) {
    const double strength = 0.1;
    for (int degree = 2; degree <= 4; degree += 2) {
        pc_map *map = NULL;
        assert_ok(pci_map_sphere(1, 3000, &map));
        double up = 0, norm = 0, sum = 0, before = 0;
        for (size_t i = 0; i < map->count; i++) {
            map->film_m[i] = 1 + 0.1 * wave(map, degree, i);
            before += map->film_m[i] * map->share[i];
        }
        assert_ok(pci_level(map, strength));
        for (size_t i = 0; i < map->count; i++) {
            up += (map->film_m[i] - 1) * wave(map, degree, i);
            norm += wave(map, degree, i) * wave(map, degree, i);
            sum += map->film_m[i] * map->share[i];
        }
        double l2 = degree * (degree + 1);
        double expected = 1 / (1 + strength / 8 * 2 / 3 * l2 * l2);
        assert_near(sum, before, 1e-12);
        assert_near(up / norm / 0.1, expected, 0.02);
        /* never more than the law itself levels */
        ck_assert(up / norm / 0.1 > exp(-strength * l2 * (l2 - 2)));
        pc_map_free(map);
    }
}
END_TEST

/* Bug 2: conjugate gradients on the operator of order 4 gave up on fine maps: what was left of the
 * noise on 20 000 cells was more than twice what the law leaves. Degree l has 2 l + 1 of the
 * cells' waves, and each is left 1/(1 + strength/8 (2/3) l^2 (l + 1)^2) of what it was. */
START_TEST(surface_tension_levels_fine_maps_too) {
    const double strength = 0.1;
    const size_t n = 20000;
    pc_map *map = NULL;
    assert_ok(pci_map_sphere(1, n, &map));
    unsigned random = 1;
    double mean = 0, before = 0, after = 0, expected = 0;
    for (size_t i = 0; i < n; i++) {
        random = random * 1664525u + 1013904223u;
        map->film_m[i] = 1 + 0.2 * ((double)(random >> 16 & 0xffff) / 65536 - 0.5);
        mean += map->film_m[i] / (double)n;
    }
    for (size_t i = 0; i < n; i++)
        before += pow(map->film_m[i] - mean, 2);
    assert_ok(pci_level(map, strength));
    for (size_t i = 0; i < n; i++)
        after += pow(map->film_m[i] - mean, 2);
    for (int l = 1; (l + 1) * (l + 1) < (int)n; l++)
        expected += (2 * l + 1) / pow(1 + strength / 12 * l * l * (l + 1) * (l + 1), 2);
    assert_close(sqrt(after / before), sqrt(expected / (double)n), 0.2);
    pc_map_free(map);
}
END_TEST

/* Bug 3: boxes as wide as the widest cell made the search for neighbors quadratic on a mesh with a
 * fine part; they go by the size of the cells now. Against every pair looked at. */
START_TEST(neighbors_of_uneven_cells_are_all_found) {
    enum { N = 900 };
    static bool expected[N][N];
    pc_map *map = NULL;
    size_t count = 0;
    assert_ok(pci_map_sphere(1, N, &map));
    for (size_t i = 0; i < N; i++) /* a third crowded round the pole, of a hundred sizes */
        if (i < N / 3)
            map->share[i] = exp(-10.0 * (double)(i % 100) / 100) / N;
    for (size_t i = 0; i < N / 3; i++) {
        map->x[i] *= map->share[i] * N;
        map->y[i] *= map->share[i] * N;
    }
    for (size_t i = 0; i < N; i++)
        for (size_t j = 0; j < i; j++) {
            double d[3] = {map->x[i] - map->x[j], map->y[i] - map->y[j], map->z[i] - map->z[j]};
            double apart = sqrt(d[0] * d[0] + d[1] * d[1] + d[2] * d[2]);
            expected[i][j] =
                apart < 1.9 * sqrt(2 * PI * (map->share[i] + map->share[j])) &&
                map->x[i] * map->x[j] + map->y[i] * map->y[j] + map->z[i] * map->z[j] > 0;
            count += expected[i][j];
        }
    assert_ok(pci_map_pairs(map));
    ck_assert_uint_eq(map->pair_count, count);
    for (size_t k = 0; k < count; k++) {
        size_t i = map->pair[k].i, j = map->pair[k].j;
        bool *is = i > j ? &expected[i][j] : &expected[j][i];
        ck_assert(*is); /* and once only */
        *is = false;
    }
    pc_map_free(map);
}
END_TEST

/* Bug 1: between two bare neighbors the steepest step was divided by no film at all; the sanitizers
 * found it on the lower half of this map. */
START_TEST(steep_steps_run_out_and_gentle_ones_stay) {
    pc_map *map = NULL;
    assert_ok(pci_map_sphere(1, 2000, &map));
    for (size_t i = 0; i < map->count; i++)
        map->film_m[i] = sqrt(1 + 0.5 * map->z[i]); /* slope of h^2 is 0.5 at most */
    double before = map->film_m[100];
    assert_ok(pci_even(map, 0.8));
    assert_near(map->film_m[100], before, 0);
    for (size_t i = 0; i < map->count; i++)
        map->film_m[i] = map->z[i] > 0 ? 2 : 0; /* a step of 4 */
    assert_ok(pci_even(map, 4));
    double sum = 0;
    for (size_t i = 0; i < map->count; i++)
        sum += map->film_m[i] * map->share[i];
    assert_near(sum, 1, 1e-9);
    for (size_t k = 0; k < map->pair_count; k++) {
        double a = map->film_m[map->pair[k].i], b = map->film_m[map->pair[k].j];
        ck_assert(fabs(a * a - b * b) <= 4 * map->pair[k].distance * 1.1 + 0.02);
    }
    pc_map_free(map);
}
END_TEST

/* P/(2 tau) is what the map shows while the passes are short against tau. */
START_TEST(map_agrees_with_the_rule_of_the_gap) {
    pc_turning t = machine(12, 12 * 0.6180339887);
    for (double tau = 60; tau < 1000; tau *= 2) {
        pc_turn_result r;
        pc_turn_layer l = thickening_layer(&history, 1.5e-3, 0.05, tau, 60 + 8 * tau);
        assert_ok(pci_turn_judge(NULL, &t, &l, NULL, 1, &r, NULL));
        assert_close(r.tau_s, tau, 1e-9);
        double spread = (r.spread.thick_m - r.spread.thin_m) / r.spread.mean_m;
        ck_assert_msg(spread < 3 * r.unevenness + 0.1, "tau %g: spread %g, P/2tau %g", tau, spread,
                      r.unevenness);
        assert_close(r.unevenness, r.gap_s / (2 * tau), 1e-9);
    }
}
END_TEST

START_TEST(slower_thickening_and_more_axes_are_more_even) {
    pc_turn_result quick, slow, one;
    pc_turning t = machine(12, 3);
    pc_turn_layer l = thickening_layer(&history, 1.5e-3, 0.12, 15, 120);
    assert_ok(pci_turn_judge(NULL, &t, &l, NULL, 1, &quick, NULL));
    l = thickening_layer(&history, 1.5e-3, 0.12, 120, 900);
    assert_ok(pci_turn_judge(NULL, &t, &l, NULL, 1, &slow, NULL));
    ck_assert(slow.spread.thin_m > quick.spread.thin_m);
    ck_assert(slow.turns > quick.turns && slow.unevenness < quick.unevenness);
    t.inner_rad_s = 0;
    assert_ok(pci_turn_judge(NULL, &t, &l, NULL, 1, &one, NULL));
    ck_assert(one.spread.bare > 0.02 && one.locks && isinf(one.unevenness));
}
END_TEST

/* A pool that never gets round before gel stays a lump. */
START_TEST(what_gels_as_a_pool_is_a_lump) {
    struct thickening h;
    pc_turning t = machine(0.2, 0.1);
    pc_turn_layer l = thickening_layer(&h, 1.5e-3, 0.1, 1e4, 90); /* 30 s, a tenth of a turn */
    pc_turn_result r;
    assert_ok(pci_turn_judge(NULL, &t, &l, NULL, 1, &r, NULL));
    ck_assert(r.spread.lump_m3 > 0.3 * l.volume_m3 && r.spread.bare > 0.3);
    assert_close(r.spread.volume_m3, l.volume_m3, 1e-9);
    assert_near(r.turns, 0.1 / 60 * (r.gel_s - r.set_s), 1e-9);
}
END_TEST

START_TEST(longer_standstills_are_worse) {
    pc_turning t = machine(12, 3);
    pc_turn_layer l = usual();
    pc_turn_result r;
    assert_ok(pci_turn_judge(NULL, &t, &l, NULL, 1, &r, NULL));
    pc_turn_interruption item[4] = {{.for_s = 1}, {.for_s = 10}, {.for_s = 30}, {.for_s = 60}};
    assert_ok(pci_turn_interrupt(NULL, &t, &l, 1, 4, item));
    double last = r.spread.thin_m * 1.02;
    for (int i = 0; i < 4; i++) {
        ck_assert_msg(item[i].thin_m < last, "%g s: %g", item[i].for_s, item[i].thin_m);
        ck_assert(item[i].from_s >= r.from_s && item[i].from_s <= r.to_s);
        last = item[i].thin_m;
    }
    /* before the window a standstill is painted over */
    pc_turn_result early;
    pc_turn_stop stop = {70, 20};
    assert_ok(pci_turn_judge(NULL, &t, &l, &stop, 1, &early, NULL));
    assert_close(early.spread.thin_m, r.spread.thin_m, 0.002);
    /* after to_s it does nothing to speak of */
    stop = (pc_turn_stop){r.to_s, 1e6};
    assert_ok(pci_turn_judge(NULL, &t, &l, &stop, 1, &early, NULL));
    ck_assert(early.spread.thin_m > 0.97 * r.spread.thin_m);
    item[0].for_s = NAN;
    assert_status(pci_turn_interrupt(NULL, &t, &l, 1, 1, item), PC_E_ARGUMENT);
}
END_TEST

START_TEST(search_finds_a_program_within_the_machine) {
    pc_turning t = machine(12, 12), best;
    pc_turn_layer l = usual();
    pc_turn_result before, r;
    t.slowest_rad_s = 2 * RPM_RAD_S;
    t.fastest_rad_s = 20 * RPM_RAD_S;
    assert_ok(pci_turn_judge(NULL, &t, &l, NULL, 0, &before, NULL));
    assert_ok(pci_turn_search(NULL, &t, &l, 0, &best, &r, NULL));
    ck_assert(r.spread.thin_m > before.spread.thin_m && r.spread.thin_m > 0.85 * l.film_m);
    ck_assert(best.outer_rad_s <= 20.01 * RPM_RAD_S && best.inner_rad_s >= 1.99 * RPM_RAD_S);
    ck_assert(r.froude <= PC_FROUDE_MOST * 1.001 && !r.locks);
    t.ratio_count = 2; /* gears: one locks */
    t.ratio[0] = 1;
    t.ratio[1] = 0.25;
    assert_ok(pci_turn_search(NULL, &t, &l, 0, &best, &r, NULL));
    assert_close(best.inner_rad_s / best.outer_rad_s, 0.25, 1e-12);
}
END_TEST

START_TEST(judging_on_one_sphere_changes_nothing) {
    pc_map *sphere = NULL;
    assert_ok(pci_judge_sphere(0, &sphere));
    for (int i = 0; i < 3; i++) {
        pc_turning t = machine(12, 3 + i);
        pc_turn_layer l = thickening_layer(&history, 0.001 + 0.0005 * i, 1, 60, 600);
        pc_turn_stop stop = {300, 30};
        pc_turn_result own, shared;
        pc_spread spread;
        assert_ok(pci_turn_judge(NULL, &t, &l, i == 2 ? &stop : NULL, 0, &own, NULL));
        assert_ok(pci_turn_judge(sphere, &t, &l, i == 2 ? &stop : NULL, 0, &shared, NULL));
        assert_near(shared.spread.thin_m, own.spread.thin_m, 0);
        assert_near(shared.spread.lump_m3, own.spread.lump_m3, 0);
        ck_assert(shared.gap_s == own.gap_s);
        assert_ok(pci_turn_spread(sphere, &t, &l, 1, &spread, NULL)); /* of another fineness */
        assert_ok(pci_turn_judge(NULL, &t, &l, NULL, 1, &own, NULL));
        assert_near(spread.thin_m, own.spread.thin_m, 0);
    }
    pc_map_free(sphere);
}
END_TEST

START_TEST(search_says_what_the_machine_cannot) {
    pc_turning t = machine(12, 3), best;
    pc_turn_layer l = usual();
    pc_turn_result r;
    pc_errors errors = PC_ERRORS_INIT;
    t.slowest_rad_s = 40 * RPM_RAD_S;
    t.fastest_rad_s = 90 * RPM_RAD_S;
    assert_status(pci_turn_search(NULL, &t, &l, 0, &best, &r, &errors), PC_E_VALUE);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "throws the resin outward"));
    pc_errors_free(&errors);
    t.slowest_rad_s = 10 * RPM_RAD_S;
    t.fastest_rad_s = 5 * RPM_RAD_S;
    assert_status(pci_turn_search(NULL, &t, &l, 0, &best, &r, &errors), PC_E_VALUE);
    pc_errors_free(&errors);
    t.fastest_rad_s = 12 * RPM_RAD_S;
    t.ratio_count = 1;
    t.ratio[0] = 0.1;
    assert_status(pci_turn_search(NULL, &t, &l, 0, &best, &r, &errors), PC_E_VALUE);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "gear ratio"));
    pc_errors_free(&errors);
    t.method = PC_HAND;
    assert_status(pci_turn_search(NULL, &t, &l, 0, &best, &r, NULL), PC_E_ARGUMENT);
}
END_TEST

START_TEST(bad_layers_get_clear_answers) {
    pc_turning t = machine(12, 3);
    pc_turn_result r;
    pc_errors errors = PC_ERRORS_INIT;
    pc_turn_layer l = usual();
    l.film_m = 0.03; /* more than a third of the radius: no such cavity */
    l.volume_m3 = 4 * PI * 0.065 * 0.065 * 0.03;
    assert_status(pci_turn_judge(NULL, &t, &l, NULL, 0, &r, &errors), PC_E_VALUE);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "more resin than a cavity"));
    pc_errors_free(&errors);
    l = usual();
    l.history.gel_s = 50;
    assert_status(pci_turn_judge(NULL, &t, &l, NULL, 0, &r, &errors), PC_E_ARGUMENT);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "gelled before its pour"));
    pc_errors_free(&errors);
    l = usual();
    pc_turning still = machine(0, 0);
    assert_status(pci_turn_judge(NULL, &still, &l, NULL, 0, &r, &errors), PC_E_VALUE);
    pc_errors_free(&errors);
    pc_map *map = NULL;
    assert_ok(pci_map_sphere(0.02, 100, &map));
    pc_spread s = {.thin_m = 7};
    l.film_m = NAN;
    assert_status(pci_map_layer_add(map, &t, &l, NULL, 0, &s, &errors), PC_E_VALUE);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "the cavity still"));
    assert_near(s.thin_m, 7, 0);
    pc_errors_free(&errors);
    pc_map_free(map);
    const double bad[] = {NAN, -1, 0, INFINITY};
    for (int i = 0; i < 4; i++) {
        l = usual();
        l.film_m = bad[i];
        assert_status(pci_turn_judge(NULL, &t, &l, NULL, 0, &r, NULL), PC_E_ARGUMENT);
        l = usual();
        l.volume_m3 = bad[i];
        assert_status(pci_turn_judge(NULL, &t, &l, NULL, 0, &r, NULL), PC_E_ARGUMENT);
        l = usual();
        l.radius_m = bad[i];
        assert_status(pci_turn_judge(NULL, &t, &l, NULL, 0, &r, NULL), PC_E_ARGUMENT);
        l = usual();
        l.density_kg_m3 = bad[i];
        assert_status(pci_turn_judge(NULL, &t, &l, NULL, 0, &r, NULL), PC_E_ARGUMENT);
        assert_status(pci_map_sphere(bad[i], 100, &map), PC_E_ARGUMENT);
    }
    pc_turn_stop stop = {NAN, 1};
    l = usual();
    assert_status(pci_turn_judge(NULL, &t, &l, &stop, 0, &r, NULL), PC_E_ARGUMENT);
    pc_turning drain = {.method = PC_DRAIN};
    assert_status(pci_turn_judge(NULL, &drain, &l, NULL, 0, &r, NULL), PC_E_ARGUMENT);
    assert_status(pci_map_sphere(0.1, 3, &map), PC_E_ARGUMENT);
    pc_map_cell cell;
    assert_status(pc_map_cell_at(NULL, 0, &cell), PC_E_ARGUMENT);
    pc_map_free(NULL);
}
END_TEST

/* Hours of turning are leapt over, and come out as if turned through. */
START_TEST(leaps_change_nothing) {
    struct thickening h;
    pc_turning t = machine(12, 3);
    pc_turn_layer l = thickening_layer(&h, 1.5e-3, 0.1, 4000, 40000);
    pc_turn_result slow, r;
    assert_ok(pci_turn_judge(NULL, &t, &l, NULL, 0, &r, NULL));
    assert_ok(pci_turn_judge(NULL, &t, &l, NULL, 3, &slow, NULL));
    assert_close(r.spread.thin_m, slow.spread.thin_m, 0.04);
    ck_assert(r.spread.thin_m > 0.9 * l.film_m);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("map");
    TCase *tcase = tcase_create("map");
    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, volume_is_conserved);
    tcase_add_test(tcase, patches_change_nothing);
    tcase_add_test(tcase, thin_share_converges_in_cells_and_steps);
    tcase_add_test(tcase, mirror_images_come_out_alike);
    tcase_add_test(tcase, mesh_of_a_sphere_comes_out_as_the_sphere);
    tcase_add_test(tcase, pool_level_in_a_mesh_holds_the_volume);
    tcase_add_test(tcase, large_facets_are_cut_into_cells);
    tcase_add_test(tcase, remounts_even_the_sum_of_layers);
    tcase_add_test(tcase, surface_tension_levels_waves_by_degree);
    tcase_add_test(tcase, surface_tension_levels_fine_maps_too);
    tcase_add_test(tcase, neighbors_of_uneven_cells_are_all_found);
    tcase_add_test(tcase, steep_steps_run_out_and_gentle_ones_stay);
    tcase_add_test(tcase, map_agrees_with_the_rule_of_the_gap);
    tcase_add_test(tcase, slower_thickening_and_more_axes_are_more_even);
    tcase_add_test(tcase, what_gels_as_a_pool_is_a_lump);
    tcase_add_test(tcase, longer_standstills_are_worse);
    tcase_add_test(tcase, search_finds_a_program_within_the_machine);
    tcase_add_test(tcase, judging_on_one_sphere_changes_nothing);
    tcase_add_test(tcase, search_says_what_the_machine_cannot);
    tcase_add_test(tcase, bad_layers_get_clear_answers);
    tcase_add_test(tcase, leaps_change_nothing);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
