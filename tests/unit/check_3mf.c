/* SPDX-License-Identifier: GPL-3.0-or-later */
/* 3MF packages made here: units, items, components and transforms; and packages made to harm. */
#include "make_mesh.h"
#include "unit.h"

#include <zip.h>

#include "shape/mesh_shape.h"

#define RELATIONS                                                                                  \
    "<?xml version=\"1.0\"?><Relationships "                                                       \
    "xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\"><Relationship "        \
    "Target=\"/3D/model.model\" Id=\"r\" "                                                         \
    "Type=\"http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel\"/></Relationships>"
#define CORE       "xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\""
#define PRODUCTION "xmlns:p=\"http://schemas.microsoft.com/3dmanufacturing/production/2015/06\""
/* A right tetrahedron with legs of 1: a sixth of a cube. */
#define TETRA                                                                                      \
    "<mesh><vertices><vertex x=\"0\" y=\"0\" z=\"0\"/><vertex x=\"1\" y=\"0\" z=\"0\"/>"           \
    "<vertex x=\"0\" y=\"1\" z=\"0\"/><vertex x=\"0\" y=\"0\" z=\"1\"/></vertices><triangles>"     \
    "<triangle v1=\"0\" v2=\"2\" v3=\"1\"/><triangle v1=\"0\" v2=\"1\" v3=\"3\"/>"                 \
    "<triangle v1=\"0\" v2=\"3\" v3=\"2\"/><triangle v1=\"1\" v2=\"2\" "                           \
    "v3=\"3\"/></triangles></mesh>"
#define OBJECT "<object id=\"1\">" TETRA "</object>"

typedef struct package {
    char *data;
    size_t size;
} package;

/* A ZIP file of name and text pairs, ended by NULL. */
static package zip_up(const char *const *part, const char *password) {
    zip_error_t error;
    zip_source_t *sink = zip_source_buffer_create(NULL, 0, 0, &error);
    zip_t *zip = zip_open_from_source(sink, ZIP_TRUNCATE, &error);
    ck_assert_ptr_nonnull(zip);
    zip_source_keep(sink);
    for (; *part; part += 2) {
        zip_source_t *text = zip_source_buffer(zip, part[1], strlen(part[1]), 0);
        zip_int64_t i = zip_file_add(zip, part[0], text, ZIP_FL_ENC_UTF_8);
        ck_assert(i >= 0);
        if (password)
            ck_assert_int_eq(
                zip_file_set_encryption(zip, (zip_uint64_t)i, ZIP_EM_AES_256, password), 0);
    }
    ck_assert_int_eq(zip_close(zip), 0);
    ck_assert_int_eq(zip_source_open(sink), 0);
    zip_source_seek(sink, 0, SEEK_END);
    package p = {NULL, (size_t)zip_source_tell(sink)};
    zip_source_seek(sink, 0, SEEK_SET);
    p.data = malloc(p.size);
    ck_assert_ptr_nonnull(p.data);
    ck_assert_int_eq(zip_source_read(sink, p.data, p.size), (zip_int64_t)p.size);
    zip_source_close(sink);
    zip_source_free(sink);
    return p;
}

static pc_status read_package(const package *p, const char *unit, pc_mesh *mesh, char *why,
                              size_t size) {
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pci_mesh_parse(p->data, p->size, "made.3mf", unit, mesh, &errors);
    snprintf(why, size, "%s", errors.count > 0 ? errors.item[0].text : "");
    pc_errors_free(&errors);
    return status;
}

static pc_status read_model(const char *model, const char *unit, pc_mesh *mesh, char *why,
                            size_t size) {
    const char *const part[] = {"_rels/.rels", RELATIONS, "3D/model.model", model, NULL};
    package p = zip_up(part, NULL);
    pc_status status = read_package(&p, unit, mesh, why, size);
    free(p.data);
    return status;
}

/* Models that are read: their volume in m3. */
static const struct {
    const char *what, *model;
    double volume_m3;
    size_t components;
} good[] = {
    {"millimeters where no unit is stated",
     "<model " CORE "><resources>" OBJECT
     "</resources><build><item objectid=\"1\"/></build></model>",
     1e-9 / 6, 1},
    {"inches",
     "<model unit=\"inch\" " CORE "><resources>" OBJECT
     "</resources><build><item objectid=\"1\"/></build></model>",
     1.6387064e-5 / 6, 1},
    {"two items, one moved and twice as large",
     "<model unit=\"centimeter\" " CORE "><resources>" OBJECT
     "</resources><build><item objectid=\"1\"/><item objectid=\"1\" "
     "transform=\"2 0 0 0 2 0 0 0 2 5 5 5\"/></build></model>",
     9e-6 / 6, 2},
    {"components, one mirrored, of which no facet is inside out",
     "<model unit=\"meter\" " CORE "><resources>" OBJECT
     "<object id=\"7\"><components><component objectid=\"1\"/><component objectid=\"1\" "
     "transform=\"-1 0 0 0 1 0 0 0 1 -5 0 0\"/></components></object></resources>"
     "<build><item objectid=\"7\" transform=\"0 1 0 -1 0 0 0 0 1 0 0 9\"/></build></model>",
     2.0 / 6, 2},
    {"supports left out",
     "<model " CORE "><resources>" OBJECT "<object id=\"2\" type=\"support\">" TETRA
     "</object></resources><build><item objectid=\"1\"/><item objectid=\"2\" "
     "transform=\"1 0 0 0 1 0 0 0 1 9 9 9\"/></build></model>",
     1e-9 / 6, 1},
    {"objects that are not built left out",
     "<model " CORE "><resources>" OBJECT "<object id=\"2\">" TETRA
     "</object></resources><build><item objectid=\"2\"/></build></model>",
     1e-9 / 6, 1},
};

START_TEST(models_are_read) {
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        pc_mesh mesh;
        char why[600];
        ck_assert_msg(read_model(good[i].model, NULL, &mesh, why, sizeof why) == PC_OK, "%s: %s",
                      good[i].what, why);
        assert_close(mesh.report.volume_m3, good[i].volume_m3, 1e-9);
        ck_assert_uint_eq(mesh.report.components, good[i].components);
        ck_assert_uint_eq(mesh.report.inside_out + mesh.report.flipped, 0);
        ck_assert_str_eq(mesh.format, "3MF");
        pc_mesh_free(&mesh);
    }
}
END_TEST

/* A model in parts, as slicers write them; the other part has a unit of its own. */
START_TEST(objects_of_other_parts) {
    const char *const part[] = {
        "_rels/.rels",
        RELATIONS,
        "3D/model.model",
        "<model unit=\"millimeter\" " CORE " " PRODUCTION " requiredextensions=\"p\"><resources>"
        "<object id=\"1\"><components><component p:path=\"/3D/Objects/a.model\" objectid=\"4\"/>"
        "</components></object></resources><build><item objectid=\"1\"/></build></model>",
        "3D/Objects/a.model",
        "<model unit=\"inch\" " CORE "><resources><object id=\"4\">" TETRA
        "</object></resources><build/></model>",
        NULL};
    package p = zip_up(part, NULL);
    pc_mesh mesh;
    char why[600];
    ck_assert_msg(read_package(&p, NULL, &mesh, why, sizeof why) == PC_OK, "%s", why);
    assert_close(mesh.report.volume_m3, 1.6387064e-5 / 6, 1e-9);
    pc_mesh_free(&mesh);
    free(p.data);
}
END_TEST

/* Models that are refused, and a word of the reason. */
static const struct {
    const char *model;
    pc_status status;
    const char *why;
} bad[] = {
    {"<model " CORE "><resources>" OBJECT "</resources><build/></model>", PC_E_VALUE, "no item"},
    {"<model " CORE "><resources><object id=\"1\"/></resources><build><item objectid=\"1\"/>"
     "</build></model>",
     PC_E_VALUE, "no mesh"},
    {"<model " CORE "><resources/><build><item objectid=\"3\"/></build></model>", PC_E_SYNTAX,
     "missing"},
    {"<model unit=\"cubit\" " CORE "/>", PC_E_UNIT, "cubit"},
    {"<!DOCTYPE model [<!ENTITY a \"b\">]><model " CORE "/>", PC_E_SYNTAX, "document type"},
    {"<model " CORE "><resources><object id=\"1\"><components><component objectid=\"1\"/>"
     "</components></object></resources><build><item objectid=\"1\"/></build></model>",
     PC_E_SYNTAX, "of themselves"},
    {"<model " CORE "><resources>" OBJECT OBJECT "</resources><build><item objectid=\"1\"/></build>"
     "</model>",
     PC_E_SYNTAX, "one id"},
    {"<model xmlns:b=\"http://schemas.microsoft.com/3dmanufacturing/beamlattice/2017/02\" " CORE
     " requiredextensions=\"b\"/>",
     PC_E_SYNTAX, "beamlattice"},
    {"<model " CORE "><resources><object id=\"1\"><mesh><vertices><vertex x=\"nan\" y=\"0\" "
     "z=\"0\"/></vertices></mesh></object></resources></model>",
     PC_E_SYNTAX, "number"},
    {"<model " CORE "><resources><object id=\"1\"><mesh><triangles><triangle v1=\"0\" v2=\"1\" "
     "v3=\"2\"/></triangles></mesh></object></resources></model>",
     PC_E_SYNTAX, "does not have"},
    {"<model " CORE "><resources>" OBJECT "</resources><build><item objectid=\"1\" "
     "transform=\"1 0 0\"/></build></model>",
     PC_E_SYNTAX, "twelve"},
    {"<model " CORE "><resources>" OBJECT "</resources><build><item objectid=\"1\"/>", PC_E_SYNTAX,
     "no XML"},
};

START_TEST(models_are_refused) {
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        pc_mesh mesh;
        char why[600];
        pc_status status = read_model(bad[i].model, NULL, &mesh, why, sizeof why);
        ck_assert_msg(status == bad[i].status && strstr(why, bad[i].why), "%zu: %s", i, why);
        ck_assert_ptr_null(mesh.vertex);
    }
}
END_TEST

/* Each object has ten of the one before: 10^30 tetrahedra in a few kilobytes. */
START_TEST(copies_of_copies_are_bounded) {
    char *model = malloc(200000), *end = model;
    ck_assert_ptr_nonnull(model);
    end += sprintf(end, "<model " CORE "><resources>" OBJECT);
    for (int i = 2; i <= 31; i++) {
        end += sprintf(end, "<object id=\"%d\"><components>", i);
        for (int k = 0; k < 10; k++)
            end += sprintf(end, "<component objectid=\"%d\"/>", i - 1);
        end += sprintf(end, "</components></object>");
    }
    sprintf(end, "</resources><build><item objectid=\"31\"/></build></model>");
    pc_mesh mesh;
    char why[600];
    assert_status(read_model(model, NULL, &mesh, why, sizeof why), PC_E_SIZE);
    ck_assert_ptr_nonnull(strstr(why, "100000 places"));
    free(model);
}
END_TEST

START_TEST(packages_are_refused) {
    const char *const no_model[] = {"_rels/.rels", RELATIONS, NULL}, *const other[] = {"a.txt", "b",
                                                                                       NULL};
    const char *const whole[] = {"_rels/.rels", RELATIONS, "3D/model.model", "<model " CORE "/>",
                                 NULL};
    pc_mesh mesh;
    char why[600];
    package p = zip_up(no_model, NULL);
    assert_status(read_package(&p, NULL, &mesh, why, sizeof why), PC_E_SYNTAX);
    ck_assert_ptr_nonnull(strstr(why, "missing"));
    free(p.data);
    p = zip_up(other, NULL);
    assert_status(read_package(&p, NULL, &mesh, why, sizeof why), PC_E_SYNTAX);
    free(p.data);
    p = zip_up(whole, "otter");
    assert_status(read_package(&p, NULL, &mesh, why, sizeof why), PC_E_SYNTAX);
    ck_assert_ptr_nonnull(strstr(why, "encrypted"));
    for (size_t cut = 1; cut < p.size; cut += 7) { /* cut short anywhere */
        package part = {p.data, p.size - cut};
        ck_assert_int_ne(read_package(&part, NULL, &mesh, why, sizeof why), PC_OK);
    }
    free(p.data);
    /* 200 MB of blanks in some 200 kB. */
    char *blanks = malloc(200000001);
    ck_assert_ptr_nonnull(blanks);
    memset(blanks, ' ', 200000000);
    blanks[200000000] = '\0';
    const char *const bomb[] = {"_rels/.rels", RELATIONS, "3D/model.model", blanks, NULL};
    p = zip_up(bomb, NULL);
    ck_assert_uint_lt(p.size, 1000000);
    assert_status(read_package(&p, NULL, &mesh, why, sizeof why), PC_E_SIZE);
    free(p.data);
    free(blanks);
}
END_TEST

START_TEST(a_unit_that_disagrees_is_refused) {
    pc_mesh mesh;
    char why[600];
    assert_ok(read_model(good[0].model, "mm", &mesh, why, sizeof why));
    pc_mesh_free(&mesh);
    assert_status(read_model(good[0].model, "in", &mesh, why, sizeof why), PC_E_UNIT);
}
END_TEST

/* The otter as a 3MF file is the otter. */
START_TEST(the_otter_there_and_back) {
    pc_mesh otter, again;
    char why[600];
    assert_ok(pc_mesh_read(TEST_SRCDIR "/examples/otter.stl", "mm", &otter, NULL));
    char *text = malloc(100 * (otter.vertex_count + otter.facet_count) + 1000), *end = text;
    ck_assert_ptr_nonnull(text);
    end += sprintf(end, "<model unit=\"millimeter\" " CORE "><resources><object id=\"1\"><mesh>"
                        "<vertices>");
    for (size_t v = 0; v < otter.vertex_count; v++)
        end += sprintf(end, "<vertex x=\"%.9g\" y=\"%.9g\" z=\"%.9g\"/>", otter.vertex[3 * v] * 1e3,
                       otter.vertex[3 * v + 1] * 1e3, otter.vertex[3 * v + 2] * 1e3);
    end += sprintf(end, "</vertices><triangles>");
    for (size_t f = 0; f < otter.facet_count; f++)
        end += sprintf(end, "<triangle v1=\"%u\" v2=\"%u\" v3=\"%u\"/>", otter.facet[3 * f],
                       otter.facet[3 * f + 1], otter.facet[3 * f + 2]);
    sprintf(
        end,
        "</triangles></mesh></object></resources><build><item objectid=\"1\"/></build></model>");
    ck_assert_msg(read_model(text, NULL, &again, why, sizeof why) == PC_OK, "%s", why);
    ck_assert_uint_eq(again.facet_count, otter.facet_count);
    ck_assert_uint_eq(again.vertex_count, otter.vertex_count);
    assert_close(again.report.area_m2, otter.report.area_m2, 1e-7);
    assert_close(again.report.volume_m3, otter.report.volume_m3, 1e-7);
    free(text);
    pc_mesh_free(&otter);
    pc_mesh_free(&again);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("3mf");
    TCase *tcase = tcase_create("3mf");
    tcase_set_timeout(tcase, 240);
    tcase_add_test(tcase, models_are_read);
    tcase_add_test(tcase, objects_of_other_parts);
    tcase_add_test(tcase, models_are_refused);
    tcase_add_test(tcase, copies_of_copies_are_bounded);
    tcase_add_test(tcase, packages_are_refused);
    tcase_add_test(tcase, a_unit_that_disagrees_is_refused);
    tcase_add_test(tcase, the_otter_there_and_back);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
