/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Air traps, tips and necks: made shapes whose answers are known, and the merge tree against a
 * brute-force one on small random height fields. */
#include "make_mesh.h"
#include "unit.h"

#include "shape/mesh_shape.h"
#include "shape/sweep.h"

/* A box 60 x 60 x 40 with four posts of 12 mm on top, 10, 20, 30 and 25 mm tall. */
static const double post[4][3] = {{15, 15, 10}, {45, 15, 20}, {15, 45, 30}, {45, 45, 25}};

static double posts(const double p[3]) {
    double most = fmin(fmin(p[0], 60 - p[0]), fmin(p[1], 60 - p[1]));
    most = fmin(most, fmin(p[2], 40 - p[2]));
    for (int i = 0; i < 4; i++) {
        double d = fmin(6 - fabs(p[0] - post[i][0]), 6 - fabs(p[1] - post[i][1]));
        d = fmin(d, fmin(p[2] - 30, 40 + post[i][2] - p[2]));
        most = fmax(most, d);
    }
    return most;
}

static pc_mesh posts_mesh(void) {
    const double low[3] = {-1.3, -1.3, -1.3}, high[3] = {62, 62, 72};
    soup s = {0};
    soup_field(&s, posts, low, high, 1.0);
    return soup_mesh(&s);
}

static double pillar_top[2];

static double pillars(const double p[3]) {
    double most = fmin(fmin(p[0], 40 - p[0]), fmin(fmin(p[1], 20 - p[1]), fmin(p[2], 10 - p[2])));
    for (int i = 0; i < 2; i++) {
        double d = fmin(5 - fabs(p[0] - (i ? 30 : 10)), 5 - fabs(p[1] - 10));
        most = fmax(most, fmin(d, fmin(p[2] - 5, pillar_top[i] - p[2])));
    }
    return most;
}

START_TEST(posts_trap_air_above_the_shoulder) {
    pc_mesh mesh = posts_mesh();
    const double up[3] = {0, 0, 1};
    pc_traps traps;
    assert_ok(pc_mesh_traps(&mesh, up, NULL, 0.0, 0, &traps));
    /* The tallest post holds the vent; the others shut in what stands above the shoulder. */
    ck_assert_uint_eq(traps.count, 3);
    const double depth[3] = {25, 20, 10};
    for (int i = 0; i < 3; i++) {
        assert_near(traps.trap[i].depth_m * 1e3, depth[i], 1.0);
        assert_close(traps.trap[i].volume_m3 * 1e9, 144 * depth[i], 0.04);
        assert_near(traps.trap[i].at_m[2] * 1e3, 40 + depth[i], 0.5);
        ck_assert_int_eq(traps.trap[i].group, i);
    }
    assert_close(traps.trapped_m3 * 1e9, 144 * 55.0, 0.03);
    assert_near(traps.vent_m[0] * 1e3, 15, 1);
    assert_near(traps.vent_m[1] * 1e3, 45, 1);
    assert_near(traps.vent_m[2] * 1e3, 70, 0.5);
    pc_traps_free(&traps);
    /* From the highest trap to the next it is 30.4 mm, from there to the lowest 31.6 mm. */
    assert_ok(pc_mesh_traps(&mesh, up, NULL, 0.031, 0, &traps));
    ck_assert_uint_eq(traps.count, 3);
    for (int i = 0; i < 3; i++)
        ck_assert_int_eq(traps.trap[i].group, i < 2 ? 0 : 1);
    pc_traps_free(&traps);
    assert_ok(pc_mesh_traps(&mesh, up, NULL, 0.033, 0, &traps));
    ck_assert_uint_eq(traps.count, 3);
    for (int i = 0; i < 3; i++)
        ck_assert_int_eq(traps.trap[i].group, 0);
    pc_traps_free(&traps);
    pc_mesh_free(&mesh);
}
END_TEST

/* A box 60 x 60 x 40 under a roof with two cones of 14 mm, 14 and 20 mm tall. */
static double cones_roof(double x, double y) {
    double low = 14 * (1 - hypot(x - 17, y - 23) / 7), tall = 20 * (1 - hypot(x - 42, y - 40) / 7);
    return 40 + fmax(0, fmax(low, tall));
}

static pc_mesh cones_mesh(void) {
    enum { N = 240 };
    const double step = 60.0 / N;
    soup s = {0};
    for (int i = 0; i < N; i++)
        for (int j = 0; j < N; j++) {
            double x0 = i * step, x1 = x0 + step, y0 = j * step, y1 = y0 + step;
            double a[3] = {x0, y0, cones_roof(x0, y0)}, b[3] = {x1, y0, cones_roof(x1, y0)};
            double c[3] = {x1, y1, cones_roof(x1, y1)}, d[3] = {x0, y1, cones_roof(x0, y1)};
            double e[3] = {x0, y0, 0}, f[3] = {x1, y0, 0}, g[3] = {x1, y1, 0}, h[3] = {x0, y1, 0};
            soup_quad(&s, a, b, c, d);
            soup_quad(&s, e, h, g, f);
            if (j == 0)
                soup_quad(&s, e, f, b, a);
            if (j == N - 1)
                soup_quad(&s, g, h, d, c);
            if (i == 0)
                soup_quad(&s, h, e, a, d);
            if (i == N - 1)
                soup_quad(&s, f, g, c, b);
        }
    return soup_mesh(&s);
}

/* Stated in the header: within 3 % for features of 10 cells and more; counted in cells alone they
 * were up to 9 % off. */
START_TEST(trapped_air_is_within_three_percent) {
    static const struct {
        size_t cells;
        double least_across; /* of the features, in cells */
    } grid[] = {{100000, 9}, {146000, 10}, {200000, 11}, {300000, 12}, {500000, 14}, {2000000, 20}};
    const double up[3] = {0, 0, 1};
    static const double tall[] = {2.5, 2, 1};
    pc_mesh cones = cones_mesh(), blocks = posts_mesh();
    ck_assert(cones.report.closed);
    for (size_t i = 0; i < sizeof grid / sizeof grid[0]; i++) {
        pc_traps traps;
        assert_ok(pc_mesh_traps(&cones, up, NULL, 0.0, grid[i].cells, &traps));
        ck_assert_uint_eq(traps.count, 1);
        ck_assert(14e-3 / traps.cell_m > grid[i].least_across);
        assert_close(traps.trap[0].volume_m3 * 1e9, PI * 49 * 14 / 3.0, 0.03);
        assert_close(traps.trap[0].depth_m * 1e3, 14.0, 0.03);
        assert_near(traps.trapped_m3, traps.trap[0].volume_m3, 1e-15);
        pc_traps_free(&traps);
        assert_ok(pc_mesh_traps(&blocks, up, NULL, 0.0, grid[i].cells, &traps));
        ck_assert_uint_eq(traps.count, 3);
        for (int k = 0; k < 3; k++)
            assert_close(traps.trap[k].volume_m3 * 1e9, 1440.0 * tall[k], 0.03);
        pc_traps_free(&traps);
    }
    pc_mesh_free(&cones);
    pc_mesh_free(&blocks);
}
END_TEST

/* 2: of two tops in one layer of cells the air left by the lower: the trap stood above the vent. */
START_TEST(bug_2_the_air_leaves_by_the_highest_top) {
    const double up[3] = {0, 0, 1};
    for (int i = 0; i < 2; i++) {
        soup s = {0};
        /* Two pillars on a slab, the second 0.2 mm taller or shorter, cells of 0.5 mm. */
        const double low[3] = {-1.3, -1.3, -1.3}, high[3] = {42, 22, 32};
        pillar_top[0] = 30.1;
        pillar_top[1] = i == 0 ? 29.9 : 30.3;
        soup_field(&s, pillars, low, high, 1.0);
        pc_mesh mesh = soup_mesh(&s);
        pc_traps traps;
        assert_ok(pc_mesh_traps(&mesh, up, NULL, 0.0, 0, &traps));
        ck_assert_uint_eq(traps.count, 1);
        ck_assert(traps.trap[0].at_m[2] < traps.vent_m[2]);
        assert_near(traps.trap[0].vent_run_m * 1e3, 0.2, 0.05);
        pc_traps_free(&traps);
        pc_mesh_free(&mesh);
    }
}
END_TEST

static int groups_of(const pc_traps *t) {
    int groups = 0;
    for (size_t i = 0; i < t->count; i++)
        groups = t->trap[i].group >= groups ? t->trap[i].group + 1 : groups;
    return groups;
}

/* With its hole half way up the side the posts trap air whichever way is up. */
START_TEST(fewest_vents_are_no_more_than_those_of_the_least_air) {
    pc_mesh mesh = posts_mesh();
    const double hole[3] = {0.03, 0.0005, 0.02};
    for (int round = 0; round < 2; round++) {
        double join_m = round * 0.033, least[3], fewest[3];
        pc_traps a, b;
        assert_ok(pc_mesh_best_up(&mesh, hole, 64, least));
        assert_ok(pc_mesh_fewest_vents(&mesh, hole, join_m, 64, fewest));
        assert_ok(pc_mesh_traps(&mesh, least, hole, join_m, 0, &a));
        assert_ok(pc_mesh_traps(&mesh, fewest, hole, join_m, 0, &b));
        ck_assert_int_le(groups_of(&b), groups_of(&a));
        ck_assert(a.trapped_m3 <= b.trapped_m3 * 1.05 + 1e-9);
        pc_traps_free(&a);
        pc_traps_free(&b);
    }
    double up[3];
    assert_status(pc_mesh_fewest_vents(&mesh, hole, -1.0, 8, up), PC_E_ARGUMENT);
    assert_status(pc_mesh_fewest_vents(&mesh, hole, NAN, 8, up), PC_E_ARGUMENT);
    pc_mesh_free(&mesh);
}
END_TEST

START_TEST(upside_down_nothing_is_trapped) {
    pc_mesh mesh = posts_mesh();
    const double down[3] = {0, 0, -2};
    pc_traps traps;
    assert_ok(pc_mesh_traps(&mesh, down, NULL, 0.0, 0, &traps));
    ck_assert_uint_eq(traps.count, 0);
    assert_near(traps.trapped_m3, 0.0, 1e-12);
    assert_near(traps.up[2], -1.0, 1e-12);
    pc_traps_free(&traps);
    double best[3];
    assert_ok(pc_mesh_best_up(&mesh, NULL, 40, best));
    assert_ok(pc_mesh_traps(&mesh, best, NULL, 0.0, 0, &traps));
    ck_assert(traps.trapped_m3 < 2e-7);
    pc_traps_free(&traps);
    pc_mesh_free(&mesh);
}
END_TEST

/* Filled through a hole in the 20 mm post, all above the hole in the other posts is shut in, and
 * what stands above the hole in its own. */
START_TEST(a_low_hole_shuts_in_more) {
    pc_mesh mesh = posts_mesh();
    const double up[3] = {0, 0, 1}, hole[3] = {0.045, 0.015, 0.060};
    pc_traps traps;
    assert_ok(pc_mesh_traps(&mesh, up, hole, 0.0, 0, &traps));
    ck_assert_uint_eq(traps.count, 3);
    assert_close(traps.trapped_m3 * 1e9, 144 * 65.0, 0.04);
    assert_near(traps.trap[0].depth_m * 1e3, 30, 1.0);
    pc_traps_free(&traps);
    const double side[3] = {0.059, 0.030, 0.020};
    assert_ok(pc_mesh_traps(&mesh, up, side, 0.0, 0, &traps));
    /* Everything above the hole in the side is one pocket, with the lower posts within it. */
    assert_close(traps.trapped_m3 * 1e9, 60 * 60 * 20 + 144 * 85.0, 0.05);
    pc_traps_free(&traps);
    const double outside[3] = {0.2, 0, 0};
    assert_status(pc_mesh_traps(&mesh, up, outside, 0.0, 0, &traps), PC_E_VALUE);
    pc_mesh_free(&mesh);
}
END_TEST

/* Cones on a slab, half angle 20 degrees, and blunt ones of 45 degrees between. */
static double comb(const double p[3]) {
    double most = fmin(fmin(p[0], 100 - p[0]), fmin(p[1], 40 - p[1]));
    most = fmin(most, fmin(p[2], 20 - p[2]));
    const double angle[3] = {20, 45, 20}, at[3] = {20, 50, 80};
    for (int i = 0; i < 3; i++) {
        double a = angle[i] * PI / 180, top = 20 + 8 / tan(a);
        double r = hypot(p[0] - at[i], p[1] - 20);
        most = fmax(most, fmin((top - p[2]) * sin(a) - r * cos(a), p[2] - 15));
    }
    return most;
}

START_TEST(sharp_cones_are_tips_and_blunt_ones_are_not) {
    const double low[3] = {-1.3, -1.3, -1.3}, high[3] = {102, 42, 46};
    soup s = {0};
    soup_field(&s, comb, low, high, 1.0);
    pc_mesh mesh = soup_mesh(&s);
    pc_narrows narrows;
    assert_ok(pc_mesh_narrows(&mesh, 0.0066, 0.0, 0, &narrows));
    ck_assert_uint_eq(narrows.tip_count, 2);
    double apex = 20 + 8 / tan(20 * PI / 180);
    for (int i = 0; i < 2; i++) {
        assert_near(narrows.tip[i].at_m[2] * 1e3, apex, 2.0);
        assert_near(fabs(narrows.tip[i].at_m[0] * 1e3 - 50), 30, 1.0);
        /* Ball of 3.3 in a cone: 3.3/sin 20 from the apex to its middle. */
        assert_near(narrows.tip[i].length_m * 1e3, 3.3 / sin(20 * PI / 180) - 3.3, 1.5);
        ck_assert(narrows.tip[i].width_m < 0.0066);
    }
    pc_narrows_free(&narrows);
    /* Neither a width of tips nor a wall of necks is asked for. */
    assert_ok(pc_mesh_narrows(&mesh, 0.0, 0.0, 0, &narrows));
    ck_assert_uint_eq(narrows.tip_count + narrows.neck_count, 0);
    pc_narrows_free(&narrows);
    pc_mesh_free(&mesh);
}
END_TEST

/* Two balls of 20 and 15 mm radius, 50 mm apart, joined by a rod of 4 mm radius. */
static double dumbbell(const double p[3]) {
    double a = 20 - sqrt(p[0] * p[0] + p[1] * p[1] + p[2] * p[2]);
    double b = 15 - sqrt((p[0] - 50) * (p[0] - 50) + p[1] * p[1] + p[2] * p[2]);
    double rod = fmin(4 - hypot(p[1], p[2]), fmin(p[0], 50 - p[0]));
    return fmax(fmax(a, b), rod);
}

START_TEST(a_neck_is_found_between_its_chambers) {
    const double low[3] = {-21.3, -21.3, -21.3}, high[3] = {67, 22, 22};
    soup s = {0};
    soup_field(&s, dumbbell, low, high, 1.0);
    pc_mesh mesh = soup_mesh(&s);
    pc_narrows narrows;
    assert_ok(pc_mesh_narrows(&mesh, 0.0, 0.003, 0, &narrows));
    ck_assert_uint_eq(narrows.neck_count, 1);
    assert_near(narrows.neck[0].width_m * 1e3, 8.0, 0.8);
    assert_near(narrows.neck[0].chamber_m[0] * 1e3, 40.0, 1.0);
    assert_near(narrows.neck[0].chamber_m[1] * 1e3, 30.0, 1.0);
    ck_assert(narrows.neck[0].at_m[0] > 0.019 && narrows.neck[0].at_m[0] < 0.036);
    pc_narrows_free(&narrows);
    /* Four walls of 1.5 mm pass through it. */
    assert_ok(pc_mesh_narrows(&mesh, 0.0, 0.0015, 0, &narrows));
    ck_assert_uint_eq(narrows.neck_count, 0);
    pc_narrows_free(&narrows);
    pc_mesh_free(&mesh);
}
END_TEST

/* Brute force: for each cell that is a top (no cell of its connected set at or above its layer is
 * higher), the pocket cut off above each layer, found by flooding afresh at every layer. */
enum { BN = 7 };
static uint8_t field[BN * BN * BN];

static size_t flood_count(const size_t *n, size_t from, size_t layer, uint8_t *seen, size_t *top) {
    size_t stack[BN * BN * BN], depth = 0, count = 0;
    stack[depth++] = from;
    seen[from] = 1;
    while (depth > 0) {
        size_t i = stack[--depth], x = i % n[0], y = i / n[0] % n[1], z = i / (n[0] * n[1]);
        count++;
        *top = z > *top ? z : *top;
        for (int f = 0; f < 6; f++) {
            size_t c[3] = {x, y, z}, a = (size_t)f / 2;
            if (f % 2 ? c[a] + 1 >= n[a] : c[a] == 0)
                continue;
            c[a] += f % 2 ? 1 : (size_t)-1;
            size_t j = c[0] + n[0] * (c[1] + n[1] * c[2]);
            if (c[2] >= layer && field[j] && !seen[j]) {
                seen[j] = 1;
                stack[depth++] = j;
            }
        }
    }
    return count;
}

/* Cells cut off from the vent at the moment each layer is reached, as they are first cut off. */
static size_t brute_trapped(const size_t *n, size_t vent) {
    /* A cell at height z is trapped when the highest layer that connects it to the vent lies below
     * it: the path must go down. */
    size_t trapped = 0, cells = n[0] * n[1] * n[2], vent_z = vent / (n[0] * n[1]);
    for (size_t i = 0; i < cells; i++) {
        if (!field[i])
            continue;
        size_t z = i / (n[0] * n[1]), saddle = SIZE_MAX;
        for (size_t layer = z < vent_z ? z : vent_z; layer + 1 > 0; layer--) {
            uint8_t seen[BN * BN * BN] = {0};
            size_t top = 0;
            flood_count(n, vent, layer, seen, &top);
            if (seen[i]) {
                saddle = layer;
                break;
            }
        }
        trapped += saddle != SIZE_MAX && saddle < z;
    }
    return trapped;
}

START_TEST(merge_tree_agrees_with_brute_force) {
    const size_t n[3] = {BN, BN, BN};
    uint32_t seed = 12345;
    for (int round = 0; round < 120; round++) {
        for (size_t i = 0; i < BN * BN * BN; i++) {
            seed = seed * 1664525u + 1013904223u;
            field[i] = (seed >> 16) % 100 < 62;
        }
        size_t vent[3], at;
        do {
            for (int a = 0; a < 3; a++) {
                seed = seed * 1664525u + 1013904223u;
                vent[a] = (seed >> 16) % BN;
            }
            at = vent[0] + BN * (vent[1] + BN * vent[2]);
        } while (!field[at]);
        pci_sweep sweep;
        assert_ok(pci_sweep_down(n, field, vent, &sweep));
        size_t trapped = 0;
        for (size_t i = 0; i < sweep.count; i++)
            trapped += sweep.pocket[i].to_vent ? sweep.pocket[i].cells : 0;
        ck_assert_uint_eq(trapped, brute_trapped(n, at));
        pci_sweep_free(&sweep);
    }
}
END_TEST

START_TEST(colored_ply_reads_back) {
    pc_mesh mesh = posts_mesh(), again;
    const double up[3] = {0, 0, 1};
    pc_traps traps;
    char *text;
    size_t size;
    assert_ok(pc_mesh_traps(&mesh, up, NULL, 0.0, 200000, &traps));
    assert_ok(pc_mesh_colored(&mesh, &traps, NULL, &text, &size));
    ck_assert_uint_eq(strlen(text), size);
    ck_assert_ptr_nonnull(strstr(text, " 213 94 0\n"));
    ck_assert_ptr_nonnull(strstr(text, " 153 153 153\n"));
    assert_ok(pci_mesh_parse(text, size, "again.ply", "mm", &again, NULL));
    ck_assert_uint_eq(again.facet_count, mesh.facet_count);
    assert_close(again.report.volume_m3, mesh.report.volume_m3, 1e-6);
    pc_text_free(text);
    pc_traps_free(&traps);
    pc_mesh_free(&again);
    pc_mesh_free(&mesh);
}
END_TEST

/* A chamber of 200 mm with a filling tube of 5 mm on top, 60 mm tall. */
static pc_mesh tube_mesh(void) {
    soup s = {0};
    soup_box(&s, (const double[3]){0, 0, 0}, (const double[3]){200, 200, 200}, false);
    soup_box(&s, (const double[3]){97, 88, 190}, (const double[3]){102, 93, 260}, false);
    return soup_mesh(&s);
}

/* Bug 1 of the best way up: the search runs on coarse grids, in which a narrow passage shows turned
 * one way and not another; where one of them missed the vent the whole search ended with "the vent
 * lies outside the cavity". A vent that none of them meets still does. */
START_TEST(bug_1_a_narrow_vent_ends_no_search) {
    pc_mesh mesh = tube_mesh();
    const double vent[3] = {0.0995, 0.0905, 0.258}, outside[3] = {0.3, 0.3, 0.3};
    double best[3] = {NAN, NAN, NAN};
    assert_ok(pc_mesh_best_up(&mesh, vent, 40, best));
    assert_near(best[0] * best[0] + best[1] * best[1] + best[2] * best[2], 1.0, 1e-9);
    ck_assert_double_gt(best[2], 0.5);
    assert_status(pc_mesh_best_up(&mesh, outside, 8, best), PC_E_VALUE);
    pc_mesh_free(&mesh);
}
END_TEST

/* A plate with posts in a row and one apart: what hangs together is one group, through others too,
 * and nothing is where no distance joins. */
START_TEST(groups_hang_together_through_their_neighbors) {
    soup s = {0};
    const double at[5] = {10, 30, 50, 70, 130}, tall[5] = {40, 22, 24, 26, 20};
    soup_box(&s, (const double[3]){0, 0, 0}, (const double[3]){150, 40, 20}, false);
    for (int i = 0; i < 5; i++)
        soup_box(&s, (const double[3]){at[i] - 4, 16, 15},
                 (const double[3]){at[i] + 4, 24, tall[i] + 10}, false);
    pc_mesh mesh = soup_mesh(&s);
    const double up[3] = {0, 0, 1};
    pc_traps traps;
    assert_ok(pc_mesh_traps(&mesh, up, NULL, 0.025, 0, &traps));
    ck_assert_uint_eq(traps.count, 4); /* the tallest holds the vent */
    for (size_t i = 0; i < traps.count; i++)
        ck_assert_int_eq(traps.trap[i].group, traps.trap[i].at_m[0] > 0.1);
    pc_traps_free(&traps);
    assert_ok(pc_mesh_traps(&mesh, up, NULL, 0.001, 0, &traps));
    for (size_t i = 0; i < traps.count; i++)
        ck_assert_int_eq(traps.trap[i].group, (int)i);
    pc_traps_free(&traps);
    pc_mesh_free(&mesh);
}
END_TEST

/* Four posts alike and a taller one in the middle: of traps of one size the places decide, so that
 * the list is the same every time. */
START_TEST(traps_of_one_size_come_in_the_order_of_their_places) {
    soup s = {0};
    soup_box(&s, (const double[3]){0, 0, 0}, (const double[3]){64, 64, 20}, false);
    for (int i = 0; i < 5; i++) {
        double x = i == 4 ? 32 : i % 2 ? 48 : 16, y = i == 4 ? 32 : i / 2 ? 48 : 16;
        soup_box(&s, (const double[3]){x - 4, y - 4, 16},
                 (const double[3]){x + 4, y + 4, i == 4 ? 44 : 32}, false);
    }
    pc_mesh mesh = soup_mesh(&s);
    const double up[3] = {0, 0, 1};
    pc_traps traps, again;
    assert_ok(pc_mesh_traps(&mesh, up, NULL, 0.0, 100000, &traps));
    assert_ok(pc_mesh_traps(&mesh, up, NULL, 0.0, 100000, &again));
    ck_assert_uint_eq(traps.count, 4);
    for (size_t i = 0; i < traps.count; i++) {
        ck_assert(traps.trap[i].at_m[0] == again.trap[i].at_m[0]);
        ck_assert(i == 0 || traps.trap[i].volume_m3 <= traps.trap[i - 1].volume_m3);
        bool alike = i > 0 && traps.trap[i].volume_m3 == traps.trap[i - 1].volume_m3;
        ck_assert(!alike || traps.trap[i].at_m[0] >= traps.trap[i - 1].at_m[0]);
    }
    pc_traps_free(&traps);
    pc_traps_free(&again);
    pc_mesh_free(&mesh);
}
END_TEST

/* Tips orange, necks sky blue, the rest gray: two chambers joined by a rod, with a spike. */
START_TEST(tips_and_necks_are_colored) {
    soup s = {0};
    soup_box(&s, (const double[3]){0, 0, 0}, (const double[3]){30, 30, 30}, false);
    soup_box(&s, (const double[3]){70, 0, 0}, (const double[3]){100, 30, 30}, false);
    soup_box(&s, (const double[3]){25, 12, 12}, (const double[3]){75, 18, 18}, false);
    soup_box(&s, (const double[3]){14, 14, 25}, (const double[3]){16, 16, 60}, false);
    pc_mesh mesh = soup_mesh(&s);
    pc_narrows narrows;
    assert_ok(pc_mesh_narrows(&mesh, 0.0045, 0.003, 0, &narrows));
    ck_assert_uint_ge(narrows.tip_count, 1);
    ck_assert_uint_ge(narrows.neck_count, 1);
    assert_near(narrows.tip[0].at_m[2] * 1e3, 60, 2.0);
    assert_near(narrows.neck[0].width_m * 1e3, 6, 1.0);
    char *text;
    size_t size;
    assert_ok(pc_mesh_colored(&mesh, NULL, &narrows, &text, &size));
    ck_assert_ptr_nonnull(strstr(text, " 230 159 0\n"));
    ck_assert_ptr_nonnull(strstr(text, " 153 153 153\n"));
    pc_text_free(text);
    pc_narrows_free(&narrows);
    assert_ok(pc_mesh_narrows(&mesh, 0.0, 0.0, 0, &narrows)); /* nothing asked for */
    ck_assert_uint_eq(narrows.tip_count + narrows.neck_count, 0);
    pc_narrows_free(&narrows);
    assert_status(pc_mesh_colored(NULL, NULL, NULL, &text, &size), PC_E_ARGUMENT);
    pc_mesh_free(&mesh);
}
END_TEST

/* Three chambers in a row: of two necks the narrower comes first. */
START_TEST(necks_come_narrowest_first) {
    soup s = {0};
    for (int i = 0; i < 3; i++)
        soup_box(&s, (const double[3]){60.0 * i, 0, 0}, (const double[3]){60.0 * i + 30, 30, 30},
                 false);
    soup_box(&s, (const double[3]){25, 11, 11}, (const double[3]){65, 19, 19}, false);
    soup_box(&s, (const double[3]){85, 12, 12}, (const double[3]){125, 18, 18}, false);
    pc_mesh mesh = soup_mesh(&s);
    pc_narrows narrows;
    assert_ok(pc_mesh_narrows(&mesh, 0.0, 0.003, 0, &narrows));
    ck_assert_uint_eq(narrows.neck_count, 2);
    assert_near(narrows.neck[0].width_m * 1e3, 6, 1.0);
    assert_near(narrows.neck[1].width_m * 1e3, 8, 1.0);
    assert_near(narrows.neck[0].chamber_m[0] * 1e3, 30, 2.0);
    ck_assert_double_gt(narrows.neck[0].at_m[0], 0.08);
    pc_narrows_free(&narrows);
    pc_mesh_free(&mesh);
}
END_TEST

START_TEST(nonsense_is_refused) {
    const double low[3] = {0, 0, 0}, high[3] = {10, 10, 10}, up[3] = {0, 0, 1};
    soup s = {0};
    soup_box(&s, low, high, false);
    pc_mesh mesh = soup_mesh(&s), open;
    memset(&open, 0, sizeof open);
    pc_traps traps;
    pc_narrows narrows;
    const double bad[][3] = {{0, 0, 0}, {NAN, 0, 1}, {0, INFINITY, 1}, {1e300, 0, 0}};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        double best[3];
        assert_status(pc_mesh_traps(&mesh, bad[i], NULL, 0, 0, &traps), PC_E_ARGUMENT);
        if (i == 1 || i == 2) {
            assert_status(pc_mesh_traps(&mesh, up, bad[i], 0, 0, &traps), PC_E_ARGUMENT);
            assert_status(pc_mesh_best_up(&mesh, bad[i], 8, best), PC_E_ARGUMENT);
        }
    }
    assert_status(pc_mesh_traps(&mesh, up, NULL, NAN, 0, &traps), PC_E_ARGUMENT);
    assert_status(pc_mesh_traps(&open, up, NULL, 0, 0, &traps), PC_E_ARGUMENT);
    assert_status(pc_mesh_narrows(&mesh, NAN, 0, 0, &narrows), PC_E_ARGUMENT);
    assert_status(pc_mesh_narrows(&mesh, 0.001, -1, 0, &narrows), PC_E_ARGUMENT);
    assert_status(pc_mesh_narrows(NULL, 0.001, 0, 0, &narrows), PC_E_ARGUMENT);
    pc_traps_free(NULL);
    pc_narrows_free(NULL);
    pc_mesh_free(&mesh);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("traps");
    TCase *tcase = tcase_create("traps");
    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, posts_trap_air_above_the_shoulder);
    tcase_add_test(tcase, trapped_air_is_within_three_percent);
    tcase_add_test(tcase, bug_2_the_air_leaves_by_the_highest_top);
    tcase_add_test(tcase, fewest_vents_are_no_more_than_those_of_the_least_air);
    tcase_add_test(tcase, upside_down_nothing_is_trapped);
    tcase_add_test(tcase, a_low_hole_shuts_in_more);
    tcase_add_test(tcase, sharp_cones_are_tips_and_blunt_ones_are_not);
    tcase_add_test(tcase, a_neck_is_found_between_its_chambers);
    tcase_add_test(tcase, merge_tree_agrees_with_brute_force);
    tcase_add_test(tcase, colored_ply_reads_back);
    tcase_add_test(tcase, traps_of_one_size_come_in_the_order_of_their_places);
    tcase_add_test(tcase, tips_and_necks_are_colored);
    tcase_add_test(tcase, necks_come_narrowest_first);
    tcase_add_test(tcase, bug_1_a_narrow_vent_ends_no_search);
    tcase_add_test(tcase, groups_hang_together_through_their_neighbors);
    tcase_add_test(tcase, nonsense_is_refused);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
