/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Mesh readers and measures: closed forms, every format, and what a bad file is told. */
#include "make_mesh.h"
#include "unit.h"

#include <stdio.h>
#include <unistd.h>

#include "shape/mesh_build.h"
#include "shape/mesh_shape.h"

static const double zero3[3] = {0, 0, 0}, box3[3] = {40, 50, 60};

static void ring50(double u, double v, double out[3]) {
    double r = 50 + 10 * cos(2 * PI * v);
    u = u >= 1 ? 0 : u;
    out[0] = r * cos(2 * PI * u);
    out[1] = r * sin(2 * PI * u);
    out[2] = 10 * sin(2 * PI * v);
}

START_TEST(closed_forms_are_met) {
    soup s = {0};
    soup_box(&s, zero3, box3, false);
    pc_mesh box = soup_mesh(&s);
    assert_close(box.report.area_m2 * 1e6, 14800.0, 1e-12);
    assert_close(box.report.volume_m3 * 1e9, 120000.0, 1e-12);
    assert_close(box.report.mean_curvature_m * 1e3, PI * 150, 1e-12);
    assert_near(box.report.euler, 2.0, 0);
    ck_assert(box.report.closed && box.report.flipped == 0 && box.report.components == 1);
    ck_assert_str_eq(box.format, "STL, binary");
    soup_surface(&s, ball50, 120, 240);
    pc_mesh ball = soup_mesh(&s);
    assert_close(ball.report.area_m2 * 1e6, 31415.92654, 5e-4);
    assert_close(ball.report.volume_m3 * 1e9, 523598.7756, 1e-3);
    assert_close(ball.report.mean_curvature_m * 1e3, 628.3185307, 1e-4);
    soup_surface(&s, ring50, 200, 100);
    pc_mesh ring = soup_mesh(&s);
    assert_close(ring.report.area_m2 * 1e6, 19739.21, 1e-3);
    assert_close(ring.report.volume_m3 * 1e9, 98696.04, 2e-3);
    assert_close(ring.report.mean_curvature_m * 1e3, 2 * PI * PI * 50, 2e-4);
    assert_near(ring.report.euler, 0.0, 0);
    pc_mesh_free(&box);
    pc_mesh_free(&ball);
    pc_mesh_free(&ring);
}
END_TEST

START_TEST(facets_are_given_out) {
    soup s = {0};
    soup_box(&s, zero3, box3, false);
    pc_mesh box = soup_mesh(&s);
    double area = 0, flux = 0, c[3], n[3], a;
    for (size_t f = 0; f < box.facet_count; f++) {
        assert_ok(pci_mesh_facet(&box, f, c, n, &a));
        area += a;
        flux += a * (c[0] * n[0] + c[1] * n[1] + c[2] * n[2]) / 3;
        assert_near(n[0] * n[0] + n[1] * n[1] + n[2] * n[2], 1.0, 1e-12);
    }
    assert_close(area, box.report.area_m2, 1e-12);
    assert_close(flux, box.report.volume_m3, 1e-12);
    assert_status(pci_mesh_facet(&box, 12, c, n, &a), PC_E_ARGUMENT);
    assert_status(pci_mesh_facet(NULL, 0, c, n, &a), PC_E_ARGUMENT);
    pc_mesh_free(&box);
}
END_TEST

START_TEST(an_open_mesh_keeps_its_area) {
    soup s = {0};
    soup_box(&s, zero3, box3, false);
    s.facets--;
    pc_mesh mesh = soup_mesh(&s);
    ck_assert(!mesh.report.closed && isnan(mesh.report.volume_m3));
    ck_assert_uint_eq(mesh.report.open_edges, 3);
    ck_assert_ptr_nonnull(strstr(mesh.report.why_no_volume, "3 edges have a facet on one side"));
    assert_close(mesh.report.area_m2 * 1e6, 14800 - 0.5 * 50 * 60, 1e-12);
    pc_shape shape;
    double v;
    assert_ok(pci_shape_of_mesh(&mesh, 0.005, &shape));
    ck_assert(!shape.closed && isnan(shape.volume_m3) && shape.shell.count == 0);
    assert_ok(pc_shell_volume(&shape, 0.005, &v));
    assert_close(v, shape.area_m2 * 0.005, 1e-12);
    pc_shape_free(&shape);
    pc_mesh_free(&mesh);
}
END_TEST

static void turn_facet(soup *s, size_t f) {
    for (size_t a = 0; a < 3; a++) {
        double t = s->x[9 * f + 3 + a];
        s->x[9 * f + 3 + a] = s->x[9 * f + 6 + a];
        s->x[9 * f + 6 + a] = t;
    }
}

START_TEST(flipped_and_inside_out_facets_are_turned) {
    soup s = {0};
    soup_box(&s, zero3, box3, false);
    turn_facet(&s, 3);
    turn_facet(&s, 7);
    pc_mesh mesh = soup_mesh(&s);
    ck_assert_uint_eq(mesh.report.flipped, 2);
    assert_close(mesh.report.volume_m3 * 1e9, 120000.0, 1e-12);
    pc_mesh_free(&mesh);
    soup_box(&s, zero3, box3, true);
    mesh = soup_mesh(&s);
    ck_assert_uint_eq(mesh.report.inside_out, 1);
    assert_close(mesh.report.volume_m3 * 1e9, 120000.0, 1e-12);
    assert_close(mesh.report.mean_curvature_m * 1e3, PI * 150, 1e-12);
    pc_mesh_free(&mesh);
}
END_TEST

START_TEST(hollows_and_neighbors_are_told_apart) {
    const double low[3] = {10, 10, 10}, high[3] = {20, 20, 20}, far[3] = {100, 0, 0},
                 far2[3] = {110, 10, 10};
    soup s = {0};
    soup_box(&s, zero3, box3, false);
    soup_box(&s, low, high, true);
    pc_mesh mesh = soup_mesh(&s);
    ck_assert_uint_eq(mesh.report.components, 2);
    ck_assert_uint_eq(mesh.report.inside_out, 0);
    assert_close(mesh.report.volume_m3 * 1e9, 119000.0, 1e-12);
    pc_mesh_free(&mesh);
    soup_box(&s, zero3, box3, false);
    soup_box(&s, far, far2, true);
    mesh = soup_mesh(&s);
    ck_assert_uint_eq(mesh.report.inside_out, 1);
    assert_close(mesh.report.volume_m3 * 1e9, 121000.0, 1e-12);
    pc_mesh_free(&mesh);
}
END_TEST

START_TEST(nearly_equal_corners_are_welded) {
    soup s = {0};
    soup_box(&s, zero3, box3, false);
    for (size_t i = 0; i < 9 * s.facets; i++)
        s.x[i] += 1e-5 * (double)(i % 7);
    pc_mesh mesh = soup_mesh(&s);
    ck_assert(mesh.report.closed && mesh.report.welded_m > 0);
    assert_close(mesh.report.volume_m3 * 1e9, 120000.0, 1e-5);
    pc_mesh_free(&mesh);
}
END_TEST

START_TEST(degenerate_facets_are_counted) {
    soup s = {0};
    soup_box(&s, zero3, box3, false);
    soup_facet(&s, zero3, zero3, box3);
    soup_facet(&s, zero3, zero3, zero3);
    pc_mesh mesh = soup_mesh(&s);
    ck_assert_uint_eq(mesh.report.degenerate, 2);
    ck_assert_uint_eq(mesh.report.facets, 12);
    ck_assert(mesh.report.closed);
    pc_mesh_free(&mesh);
}
END_TEST

/* Bug 1 of the survey: a file that is no mesh had an area and a volume of 0 m, as a mesh that was
 * read has; only those of a wrong binary STL were NaN. */
START_TEST(bug_1_a_survey_that_fails_has_no_figures) {
    static const char *const text[] = {"solid x\nfacet\n", "v 0 0\n", ""};
    for (size_t i = 0; i < sizeof text / sizeof text[0]; i++) {
        char path[] = "/tmp/pourclock-check-XXXXXX";
        int fd = mkstemp(path);
        ck_assert_int_ge(fd, 0);
        ck_assert_int_eq(write(fd, text[i], strlen(text[i])), (ssize_t)strlen(text[i]));
        close(fd);
        double area = 1.0, volume = 1.0;
        assert_status(pc_mesh_survey(path, "mm", &area, &volume, NULL), PC_E_SYNTAX);
        ck_assert(isnan(area) && isnan(volume));
        unlink(path);
        area = volume = 1.0;
        assert_status(pc_mesh_survey(path, "mm", &area, &volume, NULL), PC_E_FILE);
        ck_assert(isnan(area) && isnan(volume));
        assert_status(pc_mesh_survey(path, "furlong", &area, &volume, NULL), PC_E_UNIT);
    }
    double area, volume;
    assert_status(pc_mesh_survey(NULL, "mm", &area, &volume, NULL), PC_E_ARGUMENT);
}
END_TEST

START_TEST(survey_agrees_with_the_mesh) {
    soup s = {0};
    soup_surface(&s, ball50, 60, 120);
    for (int round = 0; round < 3; round++) {
        size_t size;
        char *data = soup_stl(&s, &size), path[] = "/tmp/pourclock-check-XXXXXX";
        int fd = mkstemp(path);
        ck_assert_int_ge(fd, 0);
        ck_assert_int_eq(write(fd, data, size), (ssize_t)size);
        close(fd);
        double area, volume;
        assert_ok(pc_mesh_survey(path, "mm", &area, &volume, NULL));
        pc_mesh mesh;
        assert_ok(pc_mesh_read(path, "mm", &mesh, NULL));
        assert_close(area, mesh.report.area_m2 - mesh.report.holes_m2, 1e-6);
        if (round == 0)
            assert_close(volume, mesh.report.volume_m3, 1e-12);
        else /* a facet the wrong way round, then missing */
            ck_assert(isnan(volume));
        pc_mesh_free(&mesh);
        unlink(path);
        free(data);
        if (round == 0)
            turn_facet(&s, 100);
        else
            s.facets--;
    }
    free(s.x);
}
END_TEST

/* The same tetrahedron (0, 10 mm: volume 1000/6 mm3) in every format and manner. */
START_TEST(every_format_is_read) {
    const struct {
        const char *name, *text;
    } rows[] = {
        {"t.obj", "# made here\r\nv 0 0 0\r\nv 10 0 0\r\nv 0 10 0\r\nv 0 0 10\r\n\r\nvn 0 0 1\r\n"
                  "f 1 3 2\r\nf 1 2 4\r\nf 2/1 3/1/1 4//1\r\nf -4 -1 -2 # back\r\n"},
        {"t.txt", "o thing\nV 0 0 0\nV 1e1 0 0\nV +0 10.0 -0\nV 0 0 .1E+2\nF 1 3 2\nF 1 2 4\n"
                  "F 2 3 4\nF 1 4 3"},
        {"t.stl", "solid made\n facet normal 0 0 0\n outer loop\n vertex 0 0 0\n vertex 0 10 0\n"
                  " vertex 10 0 0\n endloop\n endfacet\nFACET NORMAL 0 0 0\nOUTER LOOP\n"
                  "VERTEX 0 0 0\nVERTEX 10 0 0\nVERTEX 0 0 10\nENDLOOP\nENDFACET\n"
                  "facet normal nan nan nan\r\nouter loop\r\nvertex 10 0 0\r\nvertex 0 10 0\r\n"
                  "vertex 0 0 10\r\nendloop\r\nendfacet\r\nfacet normal 0 0 0\nouter loop\n"
                  "vertex 0 0 0\nvertex 0 0 10\nvertex 0 10 0\nendloop\nendfacet\nendsolid made"},
        {"t.ply", "ply\nformat ascii 1.0\ncomment made here\nelement vertex 4\n"
                  "property float x\nproperty float y\nproperty float z\nproperty uchar red\n"
                  "element face 4\nproperty uchar flags\nproperty list uchar int vertex_indices\n"
                  "end_header\n0 0 0 9\n10 0 0 9\n0 10 0 9\n0 0 10 9\n0 3 0 2 1\n0 3 0 1 3\n"
                  "0 3 1 2 3\n0 3 0 3 2\n"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        pc_mesh mesh;
        pc_errors errors = PC_ERRORS_INIT;
        pc_status status =
            pci_mesh_parse(rows[i].text, strlen(rows[i].text), rows[i].name, "mm", &mesh, &errors);
        ck_assert_msg(status == PC_OK, "%s: %s", rows[i].name,
                      errors.count ? errors.item[0].text : "?");
        assert_close(mesh.report.volume_m3 * 1e9, 1000.0 / 6, 1e-9);
        ck_assert_uint_eq(mesh.facet_count, 4);
        pc_mesh_free(&mesh);
    }
}
END_TEST

START_TEST(binary_ply_is_read) {
    char data[600] = "ply\nformat binary_little_endian 1.0\nelement vertex 4\nproperty double x\n"
                     "property float y\nproperty short z\nelement face 4\n"
                     "property list uchar uint vertex_index\nend_header\n";
    size_t n = strlen(data);
    const double x[4] = {0, 10, 0, 0};
    const float y[4] = {0, 0, 10, 0};
    const int16_t z[4] = {0, 0, 0, 10};
    const uint32_t face[4][3] = {{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {0, 3, 2}};
    for (int i = 0; i < 4; i++) {
        put_little(data + n, &x[i], 8);
        put_little(data + n + 8, &y[i], 4);
        put_little(data + n + 12, &z[i], 2);
        n += 14;
    }
    for (int i = 0; i < 4; i++) {
        data[n] = 3;
        for (size_t k = 0; k < 3; k++)
            put_little(data + n + 1 + 4 * k, &face[i][k], 4);
        n += 13;
    }
    pc_mesh mesh;
    assert_ok(pci_mesh_parse(data, n + 5, "t.ply", "cm", &mesh, NULL));
    assert_close(mesh.report.volume_m3 * 1e6, 1000.0 / 6, 1e-9);
    ck_assert_uint_eq(mesh.report.trailing_bytes, 5);
    ck_assert_str_eq(mesh.format, "PLY, binary");
    pc_mesh_free(&mesh);
    for (size_t cut = 0; cut < n; cut++) /* cut off anywhere: an error, never a mesh */
        ck_assert(pci_mesh_parse(data, cut, "t.ply", "cm", &mesh, NULL) != PC_OK);
}
END_TEST

/* An L-shaped face: a fan from its first corner would spill over the notch. */
START_TEST(polygons_that_are_not_convex_are_cut_right) {
    const char *text = "v 10 10 0\nv 10 20 0\nv 0 20 0\nv 0 0 0\nv 20 0 0\nv 20 10 0\n"
                       "v 10 10 5\nv 10 20 5\nv 0 20 5\nv 0 0 5\nv 20 0 5\nv 20 10 5\n"
                       "f 6 5 4 3 2 1\nf 7 8 9 10 11 12\nf 1 2 8 7\nf 2 3 9 8\nf 3 4 10 9\n"
                       "f 4 5 11 10\nf 5 6 12 11\nf 6 1 7 12\n";
    pc_mesh mesh;
    assert_ok(pci_mesh_parse(text, strlen(text), "l.obj", "mm", &mesh, NULL));
    assert_close(mesh.report.volume_m3 * 1e9, 1500.0, 1e-9);
    assert_close(mesh.report.area_m2 * 1e6, 2 * 300 + 80 * 5.0, 1e-9);
    ck_assert(mesh.report.closed);
    pc_mesh_free(&mesh);
}
END_TEST

START_TEST(bad_files_are_refused_with_the_place) {
    const struct {
        const char *name, *text;
        long line;
        const char *part;
    } rows[] = {
        {"a.obj", "", 0, "is empty"},
        {"a.obj", "v 0 0 0\nv 1 0\n", 2, "v X Y Z"},
        {"a.obj", "v 0 0 0\nv nan 0 0\n", 2, "three numbers"},
        {"a.obj", "v 0 0 0\nv 1e999 0 0\n", 2, "three numbers"},
        {"a.obj", "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 4\n", 4, "corner 4 is out of range"},
        {"a.obj", "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 -4\n", 4, "out of range"},
        {"a.obj", "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 0\n", 4, "expected corners"},
        {"a.obj", "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2\n", 4, "fewer than three"},
        {"a.obj", "v 0 0 0\nv 1 0 0\n", 0, "no facet"},
        {"a.obj", "v 0 0 0\nv 1 0 0\nv 2 0 0\nf 1 2 3\n", 0, "no area"},
        {"a.stl", "solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0\n", 4, "vertex X Y Z"},
        {"a.stl", "solid x\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nendloop\nendfacet\n", 6,
         "without three corners"},
        {"a.stl", "solid x\nvertex 0 0 0\n", 2, "outside a facet"},
        {"a.stl", "solid x\nhello\n", 2, "expected a line"},
        {"a.stl", "solid x\nfacet normal 0 0 1\n", 2, "cut off"},
        {"a.stl", "not a mesh", 0, "at least 84"},
        {"a.dat", "not a mesh", 0, "is not a mesh"},
        {"a.ply", "ply\nformat ascii 1.0\n", 2, "cut off"},
        {"a.ply", "ply\nformat binary_middle_endian 1.0\n", 2, "unknown PLY format"},
        {"a.ply", "ply\nformat ascii 1.0\nelement vertex -1\n", 3, "whole number"},
        {"a.ply", "ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nend_header\n", 5,
         "x, y and z"},
        {"a.ply",
         "ply\nformat ascii 1.0\nelement vertex 999999999999\nproperty float x\nproperty float y\n"
         "property float z\nelement face 1\nproperty list uchar int vertex_indices\nend_header\n"
         "1 2 3\n",
         10, "cut off"},
        {"a.ply",
         "ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\n"
         "property float z\nelement face 1\nproperty list uchar int vertex_indices\nend_header\n"
         "1 2 3\n3 0 0 7\n",
         11, "out of range"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        pc_mesh mesh;
        pc_errors errors = PC_ERRORS_INIT;
        ck_assert_msg(pci_mesh_parse(rows[i].text, strlen(rows[i].text), rows[i].name, "mm", &mesh,
                                     &errors) != PC_OK,
                      "%s", rows[i].text);
        ck_assert_uint_eq(errors.count, 1);
        ck_assert_msg(strstr(errors.item[0].text, rows[i].part), "%s: %s", rows[i].text,
                      errors.item[0].text);
        ck_assert_int_eq(errors.item[0].line, rows[i].line);
        ck_assert_str_eq(errors.item[0].file, rows[i].name);
        ck_assert_ptr_null(mesh.vertex);
        pc_errors_free(&errors);
    }
}
END_TEST

START_TEST(bad_binary_stl_is_refused) {
    soup s = {0};
    soup_box(&s, zero3, box3, false);
    size_t size;
    char *data = soup_stl(&s, &size);
    pc_mesh mesh;
    assert_ok(pci_mesh_parse(data, size, "b.stl", "mm", &mesh, NULL));
    pc_mesh_free(&mesh);
    for (size_t cut = 0; cut < size; cut += 7)
        ck_assert(pci_mesh_parse(data, cut, "b.stl", "mm", &mesh, NULL) != PC_OK);
    uint32_t huge = 0xFFFFFFFFu, fewer = 12;
    put_little(data + 80, &huge, 4);
    assert_status(pci_mesh_parse(data, size, "b.stl", "mm", &mesh, NULL), PC_E_SYNTAX);
    put_little(data + 80, &fewer, 4);
    float nan_value = NAN, far = 1e38f;
    put_little(data + 84 + 12, &nan_value, 4);
    assert_status(pci_mesh_parse(data, size, "b.stl", "mm", &mesh, NULL), PC_E_SYNTAX);
    put_little(data + 84 + 12, &far, 4);
    assert_status(pci_mesh_parse(data, size, "b.stl", "mm", &mesh, NULL), PC_E_VALUE);
    free(data);
    free(s.x);
}
END_TEST

START_TEST(units_are_needed_and_doubted) {
    soup s = {0};
    soup_box(&s, zero3, box3, false);
    size_t size;
    char *data = soup_stl(&s, &size);
    pc_mesh mesh;
    const char *bad[] = {NULL, "", "kg", "mmm", "7"};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        assert_status(pci_mesh_parse(data, size, "b.stl", bad[i], &mesh, NULL), PC_E_UNIT);
    assert_ok(pci_mesh_parse(data, size, "b.stl", "mm", &mesh, NULL));
    ck_assert_str_eq(mesh.report.note, "");
    pc_mesh_free(&mesh);
    assert_ok(pci_mesh_parse(data, size, "b.stl", "m", &mesh, NULL));
    ck_assert_ptr_nonnull(strstr(mesh.report.note, "if the mesh is in mm it is"));
    pc_mesh_free(&mesh);
    assert_ok(pci_mesh_parse(data, size, "b.stl", "in", &mesh, NULL));
    assert_close(mesh.report.volume_m3, 120000 * pow(0.0254, 3), 1e-12);
    pc_mesh_free(&mesh);
    free(data);
    free(s.x);
    pc_errors errors = PC_ERRORS_INIT;
    assert_status(pc_mesh_read("/nonexistent/x.stl", "mm", &mesh, &errors), PC_E_FILE);
    assert_status(pc_mesh_read("/tmp", "mm", &mesh, &errors), PC_E_FILE);
    ck_assert_uint_eq(errors.count, 2);
    pc_errors_free(&errors);
}
END_TEST

START_TEST(numbers_are_read_as_the_c_library_does) {
    const char *good[] = {"0",        "-0",
                          "1",        "-12.5",
                          "+.5",      "5.",
                          "1e3",      "1E-3",
                          "0.1",      "3.14159",
                          "1e-320",   "123456789012345",
                          "1e22",     "1e-22",
                          "1e300",    "000001",
                          "0.000001", "17976931348623157e292",
                          "1e+05",    "2.2250738585072014e-308"};
    const char *bad[] = {"",    "-",   ".",    "e5",  "1e",    "1e+",
                         "nan", "inf", "0x10", "1,5", "1e400", "1 "};
    double v;
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        ck_assert_msg(pci_word_number(good[i], strlen(good[i]), &v), "%s", good[i]);
        double c = strtod(good[i], NULL);
        assert_near(v, c, 4e-16 * fabs(c) + 1e-322);
    }
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        ck_assert_msg(!pci_word_number(bad[i], strlen(bad[i]), &v), "%s", bad[i]);
}
END_TEST

/* Second opinion, where that tool is installed: ADMesh's volume of the same file. */
START_TEST(admesh_agrees) {
    if (system("command -v admesh >/dev/null 2>&1") != 0) {
        puts("admesh is not here: its volume is not compared");
        return;
    }
    soup s = {0};
    soup_surface(&s, ring50, 60, 30);
    size_t size;
    char *data = soup_stl(&s, &size), path[] = "/tmp/pourclock-check-XXXXXX", line[300];
    int fd = mkstemp(path);
    ck_assert_int_ge(fd, 0);
    ck_assert_int_eq(write(fd, data, size), (ssize_t)size);
    close(fd);
    pc_mesh mesh = soup_mesh(&s);
    snprintf(line, sizeof line, "admesh %s 2>/dev/null", path);
    FILE *out = popen(line, "r");
    ck_assert_ptr_nonnull(out);
    double volume = NAN;
    while (fgets(line, sizeof line, out)) {
        const char *at = strstr(line, "Volume");
        if (at && (at = strchr(at, ':')))
            sscanf(at + 1, "%lf", &volume);
    }
    pclose(out);
    unlink(path);
    assert_close(mesh.report.volume_m3 * 1e9, volume, 1e-5);
    pc_mesh_free(&mesh);
    free(data);
}
END_TEST

/* The example mesh is what its program makes, to the byte. */
START_TEST(the_otter_is_reproduced) {
    ck_assert_int_eq(
        system(TEST_BUILDDIR "/examples/otter_mesh | cmp - " TEST_SRCDIR "/examples/otter.stl"), 0);
    pc_mesh mesh;
    assert_ok(pc_mesh_read(TEST_SRCDIR "/examples/otter.stl", "mm", &mesh, NULL));
    ck_assert(mesh.report.closed && mesh.report.components == 1 && mesh.report.flipped == 0);
    assert_near(mesh.report.euler, 2.0, 0);
    assert_close(mesh.report.area_m2, 0.1356, 4e-4); /* regression */
    pc_mesh_free(&mesh);
}
END_TEST

/* Each facet of a box given twice: half of them count, and the box has its own area and volume. */
START_TEST(facets_given_twice_count_once) {
    soup s = {0};
    const double low[3] = {0, 0, 0}, high[3] = {10, 20, 30};
    soup_box(&s, low, high, false);
    soup_box(&s, low, high, false);
    pc_mesh mesh = soup_mesh(&s);
    ck_assert_uint_eq(mesh.report.doubled, 12);
    ck_assert_uint_eq(mesh.facet_count, 12);
    assert_close(mesh.report.area_m2, 2200e-6, 1e-9);
    assert_close(mesh.report.volume_m3, 6000e-9, 1e-9);
    pc_mesh_free(&mesh);
}
END_TEST

/* A box within a box: facing inward it is a hollow; facing outward, as scans and exports have it,
 * it is solid already and counts once. */
START_TEST(nested_shells_are_told_from_overlapping_ones) {
    const double low[3] = {0, 0, 0}, high[3] = {30, 30, 30}, a[3] = {10, 10, 10},
                 b[3] = {20, 20, 20};
    for (int inward = 0; inward < 2; inward++) {
        soup s = {0};
        soup_box(&s, low, high, false);
        soup_box(&s, a, b, inward);
        pc_mesh mesh = soup_mesh(&s);
        ck_assert_uint_eq(mesh.report.hollows, (size_t)inward);
        assert_close(mesh.report.volume_m3, inward ? 26000e-9 : 27000e-9, 0.002);
        assert_close(mesh.report.area_m2, inward ? 6000e-6 : 5400e-6, 0.002);
        assert_near(mesh.report.overlap_m3, inward ? 0 : 1000e-9, 20e-9);
        pc_mesh_free(&mesh);
    }
}
END_TEST

/* Two balls of 50 mm, 60 mm apart: they share two caps of 20 mm, pi h^2 (R - h/3) each. */
static void second_ball(double u, double v, double out[3]) {
    ball50(u, v, out);
    out[0] += 60;
}

START_TEST(balls_that_overlap_count_once) {
    soup s = {0};
    soup_surface(&s, ball50, 100, 200);
    soup_surface(&s, second_ball, 100, 200);
    pc_mesh mesh = soup_mesh(&s);
    double ball = 4 * PI / 3 * 125000, cap = PI * 400 * (50 - 20 / 3.0), area = 4 * PI * 2500;
    assert_close(mesh.report.volume_m3 * 1e9, 2 * ball - 2 * cap, 0.003);
    assert_close(mesh.report.overlap_m3 * 1e9, 2 * cap, 0.01);
    assert_close(mesh.report.area_m2 * 1e6, 2 * area - 2 * (2 * PI * 50 * 20), 0.003);
    pc_mesh_free(&mesh);
}
END_TEST

/* The count in the head of an STL says 4, the file has room for 5. */
START_TEST(a_count_that_lies_says_which) {
    soup s = {0};
    soup_box(&s, (const double[3]){0, 0, 0}, (const double[3]){1, 1, 1}, false);
    char data[84 + 50 * 12] = "box";
    data[80] = 11;
    for (int f = 0; f < 12; f++)
        for (int k = 0; k < 9; k++) {
            float x = (float)s.x[9 * f + k];
            memcpy(data + 84 + 50 * f + 12 + 4 * k, &x, 4);
        }
    pc_mesh mesh;
    pc_errors errors = PC_ERRORS_INIT;
    assert_status(pci_mesh_parse(data, sizeof data, "a.stl", "mm", &mesh, &errors), PC_E_SYNTAX);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "11 facets and has room for 12"));
    pc_errors_free(&errors);
    free(s.x);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("mesh");
    TCase *tcase = tcase_create("mesh");
    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, closed_forms_are_met);
    tcase_add_test(tcase, facets_are_given_out);
    tcase_add_test(tcase, an_open_mesh_keeps_its_area);
    tcase_add_test(tcase, flipped_and_inside_out_facets_are_turned);
    tcase_add_test(tcase, hollows_and_neighbors_are_told_apart);
    tcase_add_test(tcase, nearly_equal_corners_are_welded);
    tcase_add_test(tcase, degenerate_facets_are_counted);
    tcase_add_test(tcase, survey_agrees_with_the_mesh);
    tcase_add_test(tcase, bug_1_a_survey_that_fails_has_no_figures);
    tcase_add_test(tcase, every_format_is_read);
    tcase_add_test(tcase, binary_ply_is_read);
    tcase_add_test(tcase, polygons_that_are_not_convex_are_cut_right);
    tcase_add_test(tcase, bad_files_are_refused_with_the_place);
    tcase_add_test(tcase, bad_binary_stl_is_refused);
    tcase_add_test(tcase, units_are_needed_and_doubted);
    tcase_add_test(tcase, numbers_are_read_as_the_c_library_does);
    tcase_add_test(tcase, admesh_agrees);
    tcase_add_test(tcase, the_otter_is_reproduced);
    tcase_add_test(tcase, facets_given_twice_count_once);
    tcase_add_test(tcase, nested_shells_are_told_from_overlapping_ones);
    tcase_add_test(tcase, balls_that_overlap_count_once);
    tcase_add_test(tcase, a_count_that_lies_says_which);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
