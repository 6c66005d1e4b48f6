/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Mesh files at the edges of their formats: PLY, polygons, the survey of binary STL. */
#include "make_mesh.h"
#include "unit.h"

#include "shape/mesh_shape.h"
#include <stdio.h>
#include <sys/stat.h>
#include <unistd.h>

static const struct {
    const char *text;
    long line;
    const char *part;
} bad_ply[] = {
    {"ply\nformat ascii 1.0\nproperty float x\n", 3, "before any element"},
    {"ply\nformat ascii 1.0\nelement\n", 3, "without a name"},
    {"ply\nformat\n", 2, "without a name"},
    {"ply\nformat ascii 1.0\nelement vertex 1\nproperty\n", 4, "without a type"},
    {"ply\nformat ascii 1.0\nelement vertex 1\nproperty half x\n", 4, "unknown property type"},
    {"ply\nformat ascii 1.0\nelement vertex 1\nproperty float\n", 4, "without a name"},
    {"ply\nformat ascii 1.0\nelement face 1\nproperty list float int v\n", 4, "whole-number type"},
    {"ply\nformat ascii 1.0\nelement face 1\nproperty list uchar\n", 4, "a list without a type"},
    {"ply\nformat ascii 1.0\nelement face 1\nend_header\n", 4, "come before the vertices"},
    {"ply\nformat ascii 1.0\nelement vertex 1\nend_header\n", 4, "an element without properties"},
    {"ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\n"
     "property float z\nend_header\n",
     7, "no element \"face\""},
    {"ply\nelement vertex 0\nend_header\n", 3, "no \"format\" line"},
    {"ply\nformat ascii 1.0\nhello\n", 3, "unknown line in the header"},
    {"ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\n"
     "property float z\nelement face 1\nproperty list int int vertex_indices\nend_header\n"
     "1 2 3\n100001 0 0 0\n",
     11, "a list longer than 100000"},
    {"ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\n"
     "property float z\nelement face 1\nproperty list int int vertex_indices\nend_header\n"
     "1 2 3\n2 0 0\n",
     11, "fewer than three"}};

START_TEST(bad_ply_is_refused_with_the_place) {
    size_t i = (size_t)_i;
    pc_mesh mesh;
    pc_errors errors = PC_ERRORS_INIT;
    assert_status(
        pci_mesh_parse(bad_ply[i].text, strlen(bad_ply[i].text), "a.ply", "mm", &mesh, &errors),
        PC_E_SYNTAX);
    ck_assert_uint_eq(errors.count, 1);
    ck_assert_msg(strstr(errors.item[0].text, bad_ply[i].part), "%s: %s", bad_ply[i].text,
                  errors.item[0].text);
    ck_assert_int_eq(errors.item[0].line, bad_ply[i].line);
    pc_errors_free(&errors);
}
END_TEST

/* Headers of a PLY that list more than anyone has. */
START_TEST(endless_ply_headers_are_refused) {
    char text[4000];
    for (int what = 0; what < 2; what++) {
        size_t used = (size_t)sprintf(text, "ply\nformat ascii 1.0\nelement vertex 1\n");
        for (int i = 0; i < 40; i++)
            used +=
                (size_t)sprintf(text + used, what ? "property float p%d\n" : "element e%d 0\n", i);
        pc_mesh mesh;
        pc_errors errors = PC_ERRORS_INIT;
        assert_status(pci_mesh_parse(text, used, "a.ply", "mm", &mesh, &errors), PC_E_SYNTAX);
        ck_assert_ptr_nonnull(strstr(errors.item[0].text,
                                     what ? "more than 32 properties" : "more than 16 elements"));
        pc_errors_free(&errors);
    }
}
END_TEST

/* Signed bytes as coordinates, and a list beside the faces' own that is passed over. */
START_TEST(ply_lists_that_are_not_faces_are_passed_over) {
    static const char head[] = "ply\nformat binary_little_endian 1.0\nelement vertex 4\n"
                               "property char x\nproperty char y\nproperty char z\n"
                               "property list uchar short near\nelement face 4\n"
                               "property list uchar uchar vertex_index\nend_header\n";
    static const signed char at[4][3] = {{-5, 0, 0}, {5, 0, 0}, {-5, 10, 0}, {-5, 0, 10}};
    static const unsigned char face[4][3] = {{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {0, 3, 2}};
    char data[600];
    size_t n = sizeof head - 1;
    memcpy(data, head, n);
    for (int i = 0; i < 4; i++) {
        memcpy(data + n, at[i], 3);
        memcpy(data + n + 3, "\2abcd", 5); /* two shorts */
        n += 8;
    }
    for (int i = 0; i < 4; i++) {
        data[n] = 3;
        memcpy(data + n + 1, face[i], 3);
        n += 4;
    }
    pc_mesh mesh;
    assert_ok(pci_mesh_parse(data, n, "t.ply", "mm", &mesh, NULL));
    assert_close(mesh.report.volume_m3 * 1e9, 1000.0 / 6, 1e-9);
    assert_near(mesh.report.low_m[0], -0.005, 1e-12);
    pc_mesh_free(&mesh);
}
END_TEST

/* A star of a thousand points and one: too many to be cut. A hundred are. */
START_TEST(a_star_is_cut_up_to_a_thousand_corners) {
    for (int round = 0; round < 2; round++) {
        int corners = round ? 1002 : 200;
        char *text = malloc(200 * (size_t)corners);
        ck_assert_ptr_nonnull(text);
        size_t used = 0;
        for (int i = 0; i < corners; i++) {
            double turn = 2.0 * PI * i / corners, r = i % 2 ? 50.0 : 100.0;
            used += (size_t)sprintf(text + used, "v %.9f %.9f 0\n", r * cos(turn), r * sin(turn));
        }
        used += (size_t)sprintf(text + used, "f");
        for (int i = 1; i <= corners; i++)
            used += (size_t)sprintf(text + used, " %d", i);
        pc_mesh mesh;
        pc_errors errors = PC_ERRORS_INIT;
        pc_status status = pci_mesh_parse(text, used, "star.obj", "mm", &mesh, &errors);
        if (round) {
            ck_assert_int_eq(status, PC_E_VALUE);
            ck_assert_ptr_nonnull(strstr(errors.item[0].text, "a polygon of 1002 corners"));
        } else { /* half the product of the radii and the sine between them, for each corner */
            ck_assert_int_eq(status, PC_OK);
            double sine = sin(2.0 * PI / corners);
            assert_close(mesh.report.area_m2 * 1e6, 0.5 * corners * 5000.0 * sine, 1e-7);
        }
        pc_mesh_free(&mesh);
        pc_errors_free(&errors);
        free(text);
    }
}
END_TEST

static void survey_gives(const char *data, size_t size, pc_status expected) {
    char path[] = "/tmp/pourclock-check-XXXXXX";
    int fd = mkstemp(path);
    ck_assert_int_ge(fd, 0);
    ck_assert_int_eq(write(fd, data, size), (ssize_t)size);
    close(fd);
    double area = 1.0, volume = 1.0;
    assert_status(pc_mesh_survey(path, "mm", &area, &volume, NULL), expected);
    ck_assert(isnan(area) == (expected != PC_OK));
    unlink(path);
}

/* Binary STL with nothing, a line, a NaN in it; and one of more facets than a thread takes. */
START_TEST(surveys_refuse_what_has_no_area) {
    char data[84 + 50] = {0};
    survey_gives(data, 84, PC_E_VALUE);
    data[80] = 1;
    survey_gives(data, sizeof data, PC_E_VALUE);
    float nan_value = NAN;
    put_little(data + 84 + 12, &nan_value, 4);
    survey_gives(data, sizeof data, PC_E_SYNTAX);
    soup s = {0};
    soup_surface(&s, ball50, 150, 150);
    ck_assert_uint_gt(s.facets, 2 * 16384);
    size_t size;
    char *ball = soup_stl(&s, &size);
    survey_gives(ball, size, PC_OK);
    free(ball);
    free(s.x);
}
END_TEST

/* An open sheet one facet of which is so small that its corners are one: it is dropped. */
START_TEST(facets_within_a_weld_are_dropped) {
    static const char text[] = "v 0 0 0\nv 100 0 0\nv 100 100 0\nv 0 100 0\nv 100 1e-5 0\n"
                               "f 1 2 3\nf 1 3 4\nf 2 5 3\n";
    pc_mesh mesh;
    assert_ok(pci_mesh_parse(text, sizeof text - 1, "s.obj", "mm", &mesh, NULL));
    ck_assert_uint_eq(mesh.facet_count, 2);
    ck_assert_uint_ge(mesh.report.degenerate, 1);
    ck_assert_double_gt(mesh.report.welded_m, 0.0);
    assert_close(mesh.report.area_m2, 0.01, 1e-9);
    pc_mesh_free(&mesh);
}
END_TEST

/* A piece that is of no likely size in any unit. */
START_TEST(no_unit_makes_it_likely) {
    static const char text[] = "v 0 0 0\nv 1e-6 0 0\nv 0 1e-6 0\nv 0 0 1e-6\n"
                               "f 1 3 2\nf 1 2 4\nf 2 3 4\nf 1 4 3\n";
    pc_mesh mesh;
    assert_ok(pci_mesh_parse(text, sizeof text - 1, "t.obj", "m", &mesh, NULL));
    ck_assert_ptr_nonnull(strstr(mesh.report.note, "check the mesh unit"));
    ck_assert_ptr_null(strstr(mesh.report.note, "if the mesh is in"));
    pc_mesh_free(&mesh);
}
END_TEST

/* A mesh through a pipe with a name, as a shell makes one of another program's output, with a
 * number of more digits than a double holds. */
START_TEST(a_mesh_comes_through_a_pipe) {
    static const char text[] =
        "v 0 0 0\nv 10.000000000000000000000 0 0\nv 0 10 0\nv 0 0 10\n"
        "v 12345678901234567890123 0 0\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 1 4 3\n";
    char folder[] = "/tmp/pourclock-check-XXXXXX", path[64];
    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/pipe.obj", folder);
    ck_assert_int_eq(mkfifo(path, 0600), 0);
    if (fork() == 0) {
        FILE *file = fopen(path, "w");
        if (file) {
            fputs(text, file);
            fclose(file);
        }
        _exit(0);
    }
    pc_mesh mesh;
    pc_errors errors = PC_ERRORS_INIT;
    assert_status(pc_mesh_read(path, "mm", &mesh, &errors), PC_E_VALUE);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "above 1000 km away"));
    pc_errors_free(&errors);
    unlink(path);
    rmdir(folder);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("mesh formats");
    TCase *tcase = tcase_create("mesh formats");
    tcase_set_timeout(tcase, 60);
    tcase_add_loop_test(tcase, bad_ply_is_refused_with_the_place, 0,
                        sizeof bad_ply / sizeof bad_ply[0]);
    tcase_add_test(tcase, endless_ply_headers_are_refused);
    tcase_add_test(tcase, ply_lists_that_are_not_faces_are_passed_over);
    tcase_add_test(tcase, a_star_is_cut_up_to_a_thousand_corners);
    tcase_add_test(tcase, surveys_refuse_what_has_no_area);
    tcase_add_test(tcase, facets_within_a_weld_are_dropped);
    tcase_add_test(tcase, no_unit_makes_it_likely);
    tcase_add_test(tcase, a_mesh_comes_through_a_pipe);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
