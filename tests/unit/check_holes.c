/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Open meshes: small holes closed and told, an opening taken as the rim. */
#include "make_mesh.h"
#include "unit.h"

static const double zero3[3] = {0, 0, 0}, box3[3] = {40, 50, 60};

/* The soup without some of its facets. */
static pc_mesh without(const soup *s, const size_t *gone, size_t count) {
    soup left = {0};
    for (size_t f = 0; f < s->facets; f++) {
        bool is = false;
        for (size_t k = 0; k < count; k++)
            is = is || gone[k] == f;
        if (!is)
            soup_facet(&left, s->x + 9 * f, s->x + 9 * f + 3, s->x + 9 * f + 6);
    }
    return soup_mesh(&left);
}

START_TEST(small_holes_are_closed_and_told) {
    soup s = {0};
    const size_t gone[] = {500, 3000, 3001, 6000};
    soup_surface(&s, ball50, 60, 120);
    pc_mesh holed = without(&s, gone, 4), whole = soup_mesh(&s);
    ck_assert(whole.report.closed && whole.report.holes_closed == 0);
    ck_assert(holed.report.closed);
    ck_assert_uint_eq(holed.report.holes_closed, 3); /* two of them side by side */
    ck_assert(holed.report.holes_m2 > 0 && holed.report.holes_m2 < 0.001 * whole.report.area_m2);
    assert_close(holed.report.volume_m3, whole.report.volume_m3, 1e-4);
    assert_close(holed.report.area_m2, whole.report.area_m2, 1e-4);
    assert_near(holed.report.euler, 2, 0);
    pc_mesh_free(&holed);
    pc_mesh_free(&whole);
}
END_TEST

/* A box without its lid: five walls of the shell, counted by hand. */
START_TEST(an_opening_is_taken_as_the_rim) {
    soup s = {0};
    soup_box(&s, zero3, box3, false);
    size_t lid[2] = {0}, found = 0;
    for (size_t f = 0; f < s.facets; f++)
        if (s.x[9 * f + 2] > 59 && s.x[9 * f + 5] > 59 && s.x[9 * f + 8] > 59)
            lid[found++] = f;
    ck_assert_uint_eq(found, 2);
    pc_mesh box = without(&s, lid, 2);
    free(s.x);
    s = (soup){0};
    ck_assert(!box.report.closed && box.report.holes_closed == 0);
    assert_ok(pc_mesh_close_rim(&box, NULL));
    ck_assert(box.report.closed && box.rim_facets == 2);
    assert_close(box.report.rim_m2 * 1e6, 2000.0, 1e-9);
    assert_close(box.report.rim_across_m * 1e3, 50.0, 1e-9);
    assert_close(box.report.area_m2 * 1e6, 12800.0, 1e-9);
    assert_close(box.report.volume_m3 * 1e9, 120000.0, 1e-9);
    double wall = 0.004, shell;
    assert_ok(pc_mesh_shell(&box, 1, &wall, 0, &shell, NULL, NULL, NULL, NULL));
    assert_close(shell * 1e9, 120000.0 - 32 * 42 * 56, 5e-3);
    pc_errors errors = PC_ERRORS_INIT;
    assert_status(pc_mesh_close_rim(&box, &errors), PC_E_VALUE);
    ck_assert(errors.count == 1 && strstr(errors.item[0].text, "the mesh is closed"));
    pc_errors_free(&errors);
    pc_mesh_free(&box);
    soup_box(&s, zero3, box3, false);
    const size_t two[] = {0, 1, 2, 3};
    pc_mesh tube = without(&s, two, 4);
    free(s.x);
    assert_status(pc_mesh_close_rim(&tube, &errors), PC_E_VALUE);
    ck_assert(errors.count == 1 && strstr(errors.item[0].text, "has 2 openings"));
    ck_assert(tube.facet_count == 8 && !tube.report.closed);
    pc_errors_free(&errors);
    pc_mesh_free(&tube);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("holes");
    TCase *tcase = tcase_create("holes");
    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, small_holes_are_closed_and_told);
    tcase_add_test(tcase, an_opening_is_taken_as_the_rim);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
