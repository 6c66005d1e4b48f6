/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Solids: published values, the integral of the support function as an independent way to the
 * integrated mean curvature, limits, and the shell volume's promises. */
#include "unit.h"

#include <stdio.h>
#include <string.h>

#include "pourclock/shape.h"
#include "shape/solid.h"

static pci_solid_kind kind_of(const char *word) {
#define KIND_OF(name, text, lengths, form)                                                         \
    if (!strcmp(word, text))                                                                       \
        return name;
    PCI_SOLID_TABLE(KIND_OF)
#undef KIND_OF
    return PCI_SOLID_KIND_COUNT;
}

static pc_shape shape_of(pci_solid_kind kind, const double *length) {
    pci_solid solid;
    pc_shape shape;
    assert_ok(pci_solid_measure(kind, length, &solid));
    pci_shape_of_solid(&solid, &shape);
    return shape;
}

/* In mm, mm2, mm3. */
static double published_value(const char *what, const pc_shape *s, const double *mm, double w) {
    double v = NAN;
    if (!strcmp(what, "area"))
        return s->area_m2 * 1e6;
    if (!strcmp(what, "volume"))
        return s->volume_m3 * 1e9;
    if (!strcmp(what, "curvature"))
        return s->mean_curvature_m * 1e3;
    if (!strcmp(what, "side"))
        return s->area_m2 * 1e6 - PI / 4 * (mm[0] * mm[0] + mm[1] * mm[1]);
    if (!strcmp(what, "grown"))
        return s->volume_m3 * 1e9 + s->area_m2 * 1e6 * w + s->mean_curvature_m * 1e3 * w * w +
               2 * PI / 3 * s->euler * w * w * w;
    if (!strcmp(what, "shell") && pc_shell_volume(s, w * 1e-3, &v) == PC_OK)
        return v * 1e9;
    return NAN;
}

START_TEST(published_values_are_met) {
    FILE *file = fopen(TEST_SRCDIR "/tests/published/geometry.txt", "r");
    ck_assert_ptr_nonnull(file);
    char line[512], what[32], word[32], lengths[64];
    int rows = 0;
    while (fgets(line, sizeof line, file)) {
        double mm[3] = {0}, wall, expected, tolerance;
        if (line[0] == '#')
            continue;
        ck_assert_int_eq(sscanf(line, "%31s | %31s | %63[^|] | %lf | %lf | %lf", what, word,
                                lengths, &wall, &expected, &tolerance),
                         6);
        sscanf(lengths, "%lf %lf %lf", &mm[0], &mm[1], &mm[2]);
        double m[3] = {mm[0] * 1e-3, mm[1] * 1e-3, mm[2] * 1e-3};
        pc_shape shape = shape_of(kind_of(word), m);
        double value = published_value(what, &shape, mm, wall);
        if (!(fabs(value - expected) <= tolerance))
            ck_abort_msg("%s of %s is %.12g: %s", what, word, value, line);
        rows++;
    }
    fclose(file);
    ck_assert_int_ge(rows, 12);
}
END_TEST

/* Support function: how far the solid reaches in direction u, from a point inside. */
static double support(pci_solid_kind kind, const double *d, const double *u) {
    double across = hypot(u[0], u[1]);
    switch (kind) {
    case PCI_S_SPHERE:
        return d[0] / 2;
    case PCI_S_ELLIPSOID:
        return 0.5 * sqrt(d[0] * d[0] * u[0] * u[0] + d[1] * d[1] * u[1] * u[1] +
                          d[2] * d[2] * u[2] * u[2]);
    case PCI_S_CYLINDER:
        return d[0] / 2 * across + d[1] / 2 * fabs(u[2]);
    case PCI_S_CONE:
        return fmax(d[0] / 2 * across, d[1] * u[2]);
    case PCI_S_FRUSTUM:
        return fmax(d[0] / 2 * across, d[1] / 2 * across + d[2] * u[2]);
    case PCI_S_BOX:
        return 0.5 * (d[0] * fabs(u[0]) + d[1] * fabs(u[1]) + d[2] * fabs(u[2]));
    default:
        return NAN;
    }
}

/* The mean curvature of a convex body is the integral of its support function over the unit
 * sphere (Minkowski): a way that shares nothing with the formulas under test. */
START_TEST(mean_curvature_is_the_integral_of_the_support_function) {
    const struct {
        pci_solid_kind kind;
        double d[3];
    } rows[] = {{PCI_S_SPHERE, {0.1, 0, 0}},         {PCI_S_ELLIPSOID, {0.1, 0.2, 0.35}},
                {PCI_S_ELLIPSOID, {0.5, 0.1, 0.01}}, {PCI_S_CYLINDER, {0.06, 0.08, 0}},
                {PCI_S_CYLINDER, {0.2, 0.003, 0}},   {PCI_S_CONE, {0.08, 0.12, 0}},
                {PCI_S_CONE, {0.3, 0.01, 0}},        {PCI_S_FRUSTUM, {0.06, 0.04, 0.05}},
                {PCI_S_FRUSTUM, {0.04, 0.06, 0.05}}, {PCI_S_FRUSTUM, {0.04, 0.4, 0.02}},
                {PCI_S_BOX, {0.04, 0.05, 0.06}}};
    enum { N = 500 };
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        double sum = 0;
        for (int i = 0; i < N; i++)
            for (int j = 0; j < N; j++) {
                double z = -1 + (i + 0.5) * 2 / N, t = (j + 0.5) * 2 * PI / N;
                double s = sqrt(1 - z * z), u[3] = {s * cos(t), s * sin(t), z};
                sum += support(rows[r].kind, rows[r].d, u);
            }
        pc_shape shape = shape_of(rows[r].kind, rows[r].d);
        assert_close(shape.mean_curvature_m, sum * 4 * PI / N / N, 1e-4);
    }
}
END_TEST

START_TEST(ellipsoids_meet_sphere_and_spheroids) {
    const double ratio[] = {1e-3, 0.1, 0.5, 0.999999, 1 - 1e-9};
    for (size_t i = 0; i < sizeof ratio / sizeof ratio[0]; i++) {
        double q = ratio[i], e = sqrt((1 - q) * (1 + q));
        double prolate[3] = {2 * q, 2, 2 * q}, oblate[3] = {2, 2 * q, 2};
        pc_shape p = shape_of(PCI_S_ELLIPSOID, prolate), o = shape_of(PCI_S_ELLIPSOID, oblate);
        assert_close(p.area_m2, 2 * PI * q * (q + asin(e) / e), 1e-12);
        assert_close(p.mean_curvature_m, 2 * PI * (1 + q * q * atanh(e) / e), 1e-12);
        assert_close(o.area_m2, 2 * PI * (1 + q * q * atanh(e) / e), 1e-12);
        assert_close(o.mean_curvature_m, 2 * PI * (q + asin(e) / e), 1e-12);
    }
    double ball[3] = {0.1, 0.1, 0.1};
    pc_shape s = shape_of(PCI_S_ELLIPSOID, ball);
    assert_close(s.area_m2, PI * 0.01, 1e-14);
    assert_close(s.mean_curvature_m, 2 * PI * 0.1, 1e-14);
}
END_TEST

START_TEST(shell_keeps_its_promises) {
    const struct {
        pci_solid_kind kind;
        double d[3];
    } rows[] = {{PCI_S_SPHERE, {0.1, 0, 0}},       {PCI_S_ELLIPSOID, {0.5, 0.1, 0.01}},
                {PCI_S_CYLINDER, {0.2, 0.003, 0}}, {PCI_S_CONE, {0.3, 0.01, 0}},
                {PCI_S_BOX, {0.04, 0.05, 0.06}},   {PCI_S_BOX, {0.001, 0.5, 0.5}},
                {PCI_S_TORUS, {0.1, 0.02, 0}}};
    for (size_t r = 0; r < sizeof rows / sizeof rows[0]; r++) {
        pc_shape shape = shape_of(rows[r].kind, rows[r].d);
        double before = 0, v = -1;
        for (int i = 0; i <= 1000; i++) {
            assert_ok(pc_shell_volume(&shape, i * 1e-3, &v));
            ck_assert(v >= before && v <= shape.volume_m3);
            before = v;
        }
        assert_close(v, shape.volume_m3, 1e-9);
    }
}
END_TEST

/* Ring-shaped cavity: chi = 0, so that the cubic term is 0 and the shell exact. The
 * sphere's 4 pi/3 w^3 would be wrong here. */
START_TEST(torus_and_box_shells) {
    double ring[2] = {0.1, 0.02}, v;
    pc_shape torus = shape_of(PCI_S_TORUS, ring);
    assert_ok(pc_shell_volume(&torus, 0.003, &v));
    assert_close(v, 2 * PI * PI * 0.05 * (0.01 * 0.01 - 0.007 * 0.007), 1e-12);
    double sides[3] = {0.04, 0.05, 0.06}, w = 0.003;
    pc_shape box = shape_of(PCI_S_BOX, sides);
    assert_ok(pc_shell_volume(&box, w, &v));
    double exact = 0.04 * 0.05 * 0.06 - 0.034 * 0.044 * 0.054;
    double over = (4 - PI) * 0.15 * w * w - (8 - 4 * PI / 3) * w * w * w;
    assert_close(v, exact + over, 1e-12);
    assert_near(over / exact, 0.027, 0.0005);
}
END_TEST

START_TEST(flat_and_measured_shapes) {
    pc_shape shape;
    double v, area;
    assert_ok(pc_shape_flat(0.135, &shape));
    assert_ok(pc_shell_volume(&shape, 0.005, &v));
    assert_close(v, 0.135 * 0.005, 1e-15);
    ck_assert(isnan(shape.volume_m3) && isnan(shape.form_radius_m) && !shape.closed);
    assert_close(4 * PI * shape.turn_radius_m * shape.turn_radius_m, 0.135, 1e-12);
    assert_ok(pc_shape_measured(0.135, 0.001, &shape));
    assert_ok(pc_shell_volume(&shape, 0.005, &v));
    assert_close(v, 0.135 * 0.005, 1e-15);
    assert_ok(pc_shell_volume(&shape, 0.05, &v));
    assert_close(v, 0.001, 1e-15);
    assert_status(pc_shape_measured(0.01, 0.001, &shape), PC_E_VALUE);
    /* 2.7 g/cm3, 16 um: 43.2 g a square metre. */
    assert_ok(pci_foil_area(0.0432, 16e-6, 2700, &area));
    assert_close(area, 1.0, 1e-12);
    pc_shape_free(&shape);
    pc_shape_free(&shape);
    pc_shape_free(NULL);
}
END_TEST

START_TEST(nan_and_nonsense_are_refused) {
    const double bad[] = {NAN, INFINITY, -INFINITY, -1, 0, 1e300, 1e-300};
    pc_shape shape;
    pci_solid solid;
    double v, area;
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        double b = bad[i], d[3] = {0.1, 0.1, b}, first[3] = {b, 0.1, 0.1};
        assert_status(pc_shape_flat(b, &shape), PC_E_ARGUMENT);
        assert_status(pci_solid_measure(PCI_S_SPHERE, first, &solid), PC_E_ARGUMENT);
        assert_status(pci_solid_measure(PCI_S_BOX, d, &solid), PC_E_ARGUMENT);
        assert_status(pci_solid_measure(PCI_S_TORUS, first, &solid), PC_E_ARGUMENT);
        if (!(b > 0 && b < 1))
            assert_status(pci_foil_area(0.01, b, 2700, &area), PC_E_ARGUMENT);
        assert_status(pci_foil_area(0.01, 16e-6, b, &area), PC_E_ARGUMENT);
        if (!(b > 0 && isfinite(b))) {
            assert_status(pci_foil_area(b, 16e-6, 2700, &area), PC_E_ARGUMENT);
            assert_status(pc_shape_measured(0.1, b, &shape), isnan(b) ? PC_OK : PC_E_ARGUMENT);
            assert_status(pc_shape_measured(b, 0.001, &shape), PC_E_ARGUMENT);
        }
        assert_ok(pc_shape_flat(0.1, &shape));
        if (!(b >= 0 && isfinite(b)))
            assert_status(pc_shell_volume(&shape, b, &v), PC_E_ARGUMENT);
        shape.area_m2 = b;
        if (!(b > 0 && isfinite(b)))
            assert_status(pc_shell_volume(&shape, 0.003, &v), PC_E_ARGUMENT);
    }
    assert_status(pc_shell_volume(&shape, NAN, &v), PC_E_ARGUMENT);
    double thin[2] = {0.1, 0.2};
    assert_status(pci_solid_measure(PCI_S_TORUS, thin, &solid), PC_E_ARGUMENT);
    assert_status(pci_solid_measure(PCI_SOLID_KIND_COUNT, thin, &solid), PC_E_ARGUMENT);
    assert_status(pc_shape_flat(0.1, NULL), PC_E_ARGUMENT);
    assert_status(pc_shell_volume(NULL, 0.1, &v), PC_E_ARGUMENT);
}
END_TEST

START_TEST(solids_are_read_from_text) {
    const struct {
        const char *text;
        double volume_cm3;
        pc_form form;
        double radius_mm;
    } rows[] = {{"sphere 100 mm", 523.5987756, PC_SPHERE, 50},
                {"  Sphere 10cm ", 523.5987756, PC_SPHERE, 50},
                {"box 40 x 50 x 60 mm", 120, PC_SLAB, NAN},
                {"box 40x50x6 cm", 12000, PC_SLAB, NAN},
                {"box 4 cm x 50 mm x 0.06 m", 120, PC_SLAB, NAN},
                {"box 4 cm \xC3\x97 50 mm X 60 mm", 120, PC_SLAB, NAN},
                {"cylinder 1 in x 1-1/2 in", 19.305555, PC_CYLINDER, 12.7},
                {"cone 60 mm x 100 mm", 94.24778, PC_SLAB, NAN},
                {"frustum 60 x 40 x 50 mm", 99.48377, PC_SLAB, NAN},
                {"torus 100 x 20 mm", 98.69604, PC_SLAB, NAN},
                {"ellipsoid 20 x 40 x 60 mm", 25.13274, PC_SLAB, NAN},
                {"box 40 x 50 x 60 mm + box 40 x 50 x 60 mm", 240, PC_SLAB, NAN},
                {"sphere 1e+2 mm + sphere 100 mm", 1047.197551, PC_SLAB, NAN}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        pc_shape shape;
        char why[200] = "";
        pc_status status = pc_shape_parse(rows[i].text, &shape, why, sizeof why);
        ck_assert_msg(status == PC_OK, "%s: %s", rows[i].text, why);
        assert_close(shape.volume_m3 * 1e6, rows[i].volume_cm3, 1e-6);
        ck_assert_int_eq(shape.form, rows[i].form);
        if (rows[i].form != PC_SLAB)
            assert_near(shape.form_radius_m * 1e3, rows[i].radius_mm, 1e-9);
        else
            ck_assert(isnan(shape.form_radius_m));
    }
}
END_TEST

START_TEST(wrong_solids_are_refused_with_the_fix) {
    const struct {
        const char *text, *part;
    } rows[] = {{"", "expected a solid"},
                {"spere 3 mm", "did you mean sphere"},
                {"teapot 3 mm", "expected sphere"},
                {"sphere 3", "unit"},
                {"sphere", "1 length"},
                {"sphere 3 mm x 4 mm", "1 length:"},
                {"box 3 x 4 mm", "3 lengths"},
                {"box 3 x x 4 mm", "3 lengths"},
                {"box 3 mm x 4 g x 5 mm", "box:"},
                {"sphere -3 mm", "not between"},
                {"sphere 0 mm", "not between"},
                {"sphere nan mm", "sphere:"},
                {"sphere 1e9 m", "not between"},
                {"torus 20 mm x 100 mm", "d is above D"},
                {"sphere 3 mm +", "expected a solid"},
                {"+ sphere 3 mm", "expected a solid"},
                {"box 1/0 x 2 x 3 mm", "box:"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        pc_shape shape;
        char why[200] = "";
        ck_assert_msg(pc_shape_parse(rows[i].text, &shape, why, sizeof why) != PC_OK, "%s",
                      rows[i].text);
        ck_assert_msg(strstr(why, rows[i].part), "%s: %s", rows[i].text, why);
        ck_assert(pc_shape_parse(rows[i].text, &shape, NULL, 0) != PC_OK);
    }
    char text[3000];
    memset(text, 'x', sizeof text - 1);
    text[sizeof text - 1] = 0;
    pc_shape shape;
    assert_status(pc_shape_parse(text, &shape, NULL, 0), PC_E_VALUE);
    assert_status(pc_shape_parse(NULL, &shape, NULL, 0), PC_E_ARGUMENT);
}
END_TEST

/* Bug 1 of the shape: a shell table with two equal walls was divided by their difference; foil of
 * 1e308 kg had an infinite area and said done. */
START_TEST(bug_1_tables_that_do_not_rise) {
    double wall[] = {0, 2e-3, 2e-3}, volume[] = {0, 1e-4, 2e-4}, v = -1, area = -1;
    pc_shape shape;
    assert_ok(pc_shape_measured(0.1, 1e-3, &shape));
    shape.shell = (pc_shell_table){3, wall, volume, NULL};
    assert_ok(pc_shell_volume(&shape, 1e-3, &v));
    assert_near(v, 5e-5, 1e-12);
    wall[1] = 0;
    wall[2] = 0;
    shape.shell.count = 3;
    assert_ok(pc_shell_volume(&shape, 0, &v));
    double twice[] = {1e-3, 1e-3, 2e-3};
    shape.shell.wall_m = twice;
    assert_status(pc_shell_volume(&shape, 0.5e-3, &v), PC_E_ARGUMENT);
    assert_status(pci_foil_area(1e308, 1e-5, 2700, &area), PC_E_ARGUMENT);
    assert_near(area, -1, 0);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("shape");
    TCase *tcase = tcase_create("solids");
    tcase_add_test(tcase, published_values_are_met);
    tcase_add_test(tcase, mean_curvature_is_the_integral_of_the_support_function);
    tcase_add_test(tcase, ellipsoids_meet_sphere_and_spheroids);
    tcase_add_test(tcase, shell_keeps_its_promises);
    tcase_add_test(tcase, torus_and_box_shells);
    tcase_add_test(tcase, flat_and_measured_shapes);
    tcase_add_test(tcase, nan_and_nonsense_are_refused);
    tcase_add_test(tcase, solids_are_read_from_text);
    tcase_add_test(tcase, wrong_solids_are_refused_with_the_fix);
    tcase_add_test(tcase, bug_1_tables_that_do_not_rise);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
