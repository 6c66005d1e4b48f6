/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Piece files: the table of tests/data/piece-lines.txt, where keys land, single keys, checks. */
#include "unit.h"

#include <stdlib.h>
#include <unistd.h>

#include "base/try.h"
#include "film/film_sums.h"
#include "lines.h"
#include "piece/piece_file.h"
#include "pourclock/film.h"

static const char BASE[] = "[piece]\n"
                           "name = Otter, seated\n"
                           "resin = fast-urethane\n"
                           "units = us\n"
                           "[hollow body]\n"
                           "area = 210 sq in\n"
                           "wall = 3/16 in\n"
                           "pour_hole = 3/4 in\n"
                           "[solid plinth]\n"
                           "volume = 420 cm3\n"
                           "form = slab\n"
                           "[mold]\n"
                           "rubber = 3/8 in\n"
                           "shell = 8 mm\n"
                           "limit = 120 C\n"
                           "[turning]\n"
                           "method = machine\n"
                           "outer = 12 rpm\n"
                           "inner = 3 rpm\n"
                           "[shop]\n"
                           "temperature = 64 F\n"
                           "resin_temperature = 72 F\n"
                           "mix_time = 60 s\n"
                           "pour_time = 30 s\n"
                           "largest_mix = 500 g\n"
                           "cup_loss = 3 %\n"
                           "start = 09:00\n"
                           "[margins]\n"
                           "on = yes\n";

static void set_shelf(void) {
    setenv("POURCLOCK_SHELF", TEST_SRCDIR "/examples/resins", 1);
}

static pc_status parse(const char *text, pc_piece *piece, pc_errors *errors) {
    return pci_piece_parse("p.ini", text, strlen(text), piece, errors);
}

static void check_row(char *field[5], long line_of_table) {
    char text[4000];
    change_line(BASE, field[0], field[1], field[2], text, sizeof text);
    pc_piece piece;
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = parse(text, &piece, &errors);
    const char *why = errors.count ? errors.item[0].text : "";
    ck_assert_msg(!strcmp(pci_status_name(status), field[3]), "row %ld: [%s] %s = %s gave %s (%s)",
                  line_of_table, field[0], field[1], field[2], pci_status_name(status), why);
    bool told = false;
    for (size_t i = 0; i < errors.count; i++) {
        told = told || strstr(errors.item[i].text, field[4]);
        ck_assert_msg(errors.item[i].line > 0 || strcmp(errors.item[i].file, "p.ini") ||
                          !errors.item[i].section[0],
                      "row %ld has no line: %s", line_of_table, errors.item[i].text);
    }
    ck_assert_msg(told || status == PC_OK, "row %ld: [%s] %s = %s: \"%s\" lacks \"%s\"",
                  line_of_table, field[0], field[1], field[2], why, field[4]);
    ck_assert((status == PC_OK) == (errors.count == 0));
    pc_piece_free(&piece);
    pc_errors_free(&errors);
}

START_TEST(table_of_changed_lines) {
    set_shelf();
    FILE *file = open_table("data/piece-lines.txt");
    char line[400], *field[5];
    int rows = 0;
    for (long at = 1; fgets(line, sizeof line, file); at++) {
        if (!cut_row(line, field, 5))
            continue;
        check_row(field, at);
        rows++;
    }
    fclose(file);
    ck_assert_int_gt(rows, 80);
}
END_TEST

START_TEST(keys_land_where_they_belong) {
    set_shelf();
    pc_piece p;
    assert_ok(parse(BASE, &p, NULL));
    ck_assert_str_eq(p.name, "Otter, seated");
    ck_assert_str_eq(p.resin.name, "Fast urethane");
    ck_assert_int_eq(p.units, PC_US);
    ck_assert_uint_eq(p.part_count, 2);
    ck_assert_str_eq(p.part[0].name, "hollow body");
    ck_assert_int_eq(p.part[0].kind, PC_HOLLOW);
    assert_close(p.part[0].shape.area_m2, 210 * 0.00064516, 1e-12);
    assert_close(p.part[0].wall_m, 0.0047625, 1e-12);
    assert_close(p.part[0].pour_hole_m, 0.01905, 1e-12);
    ck_assert(isnan(p.part[0].first_layer_m));
    ck_assert_str_eq(p.part[1].name, "plinth");
    ck_assert_int_eq(p.part[1].kind, PC_SOLID);
    ck_assert_int_eq(p.part[1].form, PC_SLAB);
    assert_close(p.part[1].volume_m3, 420e-6, 1e-12);
    assert_close(p.part[1].shape.volume_m3, 420e-6, 1e-12);
    assert_close(p.mold.rubber_m, 0.009525, 1e-12);
    assert_close(p.mold.shell_m, 0.008, 1e-12);
    assert_close(p.mold.limit_K, 393.15, 1e-12);
    assert_close(p.turning.outer_rad_s, 12 * RPM_RAD_S, 1e-12);
    assert_close(p.turning.inner_rad_s, 3 * RPM_RAD_S, 1e-12);
    assert_close(p.shop.air_K, 290.92777777778, 1e-12);
    assert_close(p.shop.resin_K, 295.37222222222, 1e-12);
    ck_assert(p.shop.resin_given && !p.shop.mold_given);
    ck_assert(p.shop.mold_K == p.shop.air_K);
    assert_close(p.shop.largest_mix_kg, 0.5, 1e-12);
    assert_close(p.shop.cup_loss, 0.03, 1e-12);
    assert_close(p.shop.start_clock_s, 32400.0, 1e-12);
    ck_assert(p.margins.on);
    pc_piece_free(&p);
    pc_piece_free(&p);
}
END_TEST

/* The parsed line replaces one of BASE; then one number of the piece is looked at. */
static pc_piece with(const char *section, const char *key, const char *value) {
    set_shelf();
    char text[4000];
    pc_piece p;
    pc_errors errors = PC_ERRORS_INIT;
    change_line(BASE, section, key, value, text, sizeof text);
    pc_status status = parse(text, &p, &errors);
    ck_assert_msg(status == PC_OK, "%s = %s: %s", key, value,
                  errors.count ? errors.item[0].text : "");
    return p;
}

START_TEST(turning_keys) {
    pc_piece p = with("turning", "inner_against", "floor");
    assert_close(p.turning.inner_rad_s, pci_turning_inner_relative(12 * RPM_RAD_S, 3 * RPM_RAD_S),
                 1e-12);
    ck_assert(p.turning.inner_absolute);
    pc_piece_free(&p);
    p = with("turning", "ratios", "4:1, 3 : 1,-2:1");
    ck_assert_uint_eq(p.turning.ratio_count, 3);
    assert_close(p.turning.ratio[0], 0.25, 1e-15);
    assert_close(p.turning.ratio[2], -0.5, 1e-15);
    pc_piece_free(&p);
    static const char hand[] = "[piece]\nresin = fast-urethane\n[hollow a]\narea = 900 cm2\n"
                               "wall = 3 mm\n[turning]\ntilts = up 10 s, left 1m30s\n"
                               "method = hand\n";
    assert_ok(parse(hand, &p, NULL));
    ck_assert_uint_eq(p.turning.tilt_count, 2);
    assert_close(p.turning.tilt[1].up[0], -1.0, 1e-15);
    assert_close(p.turning.tilt[1].hold_s, 90.0, 1e-15);
    pc_piece_free(&p);
    p = with("turning", "reverse_every", "5 min");
    assert_close(p.turning.reverse_every_s, 300.0, 1e-15);
    pc_piece_free(&p);
    p = with("mold", "shell_kind", "none");
    ck_assert(!p.mold.has_shell);
    pc_piece_free(&p);
}
END_TEST

START_TEST(measured_areas) {
    set_shelf();
    pc_piece p;
    static const char foil[] =
        "[piece]\nresin = fast-urethane\n[hollow a]\nfoil_mass = 5.832 g\n"
        "foil_thickness = 16 um\nfoil_metal = aluminium\nwater_fill = 2 l\nwall = 4 mm\n";
    assert_ok(parse(foil, &p, NULL));
    assert_close(p.part[0].shape.area_m2, 0.135, 1e-12);
    assert_close(p.part[0].shape.volume_m3, 2e-3, 1e-12);
    pc_piece_free(&p);
    static const char ball[] = "[piece]\nresin = fast-urethane\n[hollow a]\nshape = sphere 100 mm\n"
                               "wall = 3 mm\n[solid b]\nshape = cylinder 40 mm x 120 mm\n";
    assert_ok(parse(ball, &p, NULL));
    assert_close(p.part[0].shape.area_m2, 0.0314159265358979, 1e-12);
    ck_assert_int_eq(p.part[1].form, PC_CYLINDER);
    assert_close(p.part[1].volume_m3, 150.79644737e-6, 1e-9);
    pc_piece_free(&p);
}
END_TEST

START_TEST(solid_volume_alone_is_judged_as_a_sphere) {
    set_shelf();
    pc_piece p;
    static const char text[] = "[piece]\nresin = fast-urethane\n[solid a]\nvolume = 420 cm3\n";
    assert_ok(parse(text, &p, NULL));
    double R = cbrt(3 * 420e-6 / (4 * PI));
    ck_assert_int_eq(p.part[0].form, PC_SPHERE);
    assert_close(3 * p.part[0].volume_m3 / p.part[0].shape.area_m2, R, 1e-9);
    pc_piece_free(&p);
}
END_TEST

START_TEST(single_keys_override) {
    set_shelf();
    pc_piece p;
    pc_errors errors = PC_ERRORS_INIT;
    assert_ok(parse(BASE, &p, NULL));
    assert_ok(pc_piece_set(&p, "hollow", "area", "300 sq in", &errors));
    assert_close(p.part[0].shape.area_m2, 300 * 0.00064516, 1e-12);
    assert_ok(pc_piece_set(&p, "hollow", "shape", "sphere 6 in", &errors));
    ck_assert(p.part[0].shape.volume_m3 > 0 && isnan(p.part[0].area_m2));
    assert_ok(pc_piece_set(&p, "shop", "temperature", "10 C", &errors));
    ck_assert(p.shop.mold_K == 283.15 && p.shop.resin_K != 283.15);
    assert_ok(pc_piece_set(&p, "piece", "resin", "slow-urethane", &errors));
    ck_assert_str_eq(p.resin.name, "Slow urethane");
    assert_ok(pc_piece_set(&p, "turning", "inner_against", "floor", &errors));
    assert_ok(pc_piece_set(&p, "turning", "outer", "10 rpm", &errors));
    assert_close(p.turning.inner_rad_s, pci_turning_inner_relative(10 * RPM_RAD_S, 3 * RPM_RAD_S),
                 1e-9);
    assert_ok(pc_piece_check(&p, &errors));
    ck_assert_uint_eq(errors.count, 0);
    assert_status(pc_piece_set(&p, "hollow", "wall", "3", &errors), PC_E_UNIT);
    ck_assert_str_eq(errors.item[0].file, "command line");
    assert_close(p.part[0].wall_m, 0.0047625, 1e-12);
    assert_status(pc_piece_set(&p, "hollow", "shape", "blob 3 mm", &errors), PC_E_VALUE);
    assert_status(pc_piece_set(&p, "hollow", "wal", "3 mm", &errors), PC_E_KEY);
    assert_status(pc_piece_set(&p, "hallow", "wall", "3 mm", &errors), PC_E_KEY);
    assert_status(pc_piece_set(&p, "piece", "resin", "none", &errors), PC_E_FILE);
    assert_status(pc_piece_set(NULL, "piece", "resin", "none", &errors), PC_E_ARGUMENT);
    pc_errors_free(&errors);
    pc_piece_free(&p);
}
END_TEST

START_TEST(a_piece_from_options_alone) {
    set_shelf();
    pc_piece p;
    pc_errors errors = PC_ERRORS_INIT;
    pc_piece_defaults(&p);
    assert_status(pc_piece_check(&p, &errors), PC_E_KEY);
    ck_assert_uint_eq(errors.count, 2); /* no resin, no part */
    assert_ok(pc_piece_set(&p, "hollow", "wall", "3/16 in", &errors));
    assert_ok(pc_piece_set(&p, "hollow", "area", "210sqin", &errors));
    assert_ok(pc_piece_set(&p, "piece", "resin", "fast-urethane", &errors));
    assert_ok(pc_piece_set(&p, "shop", "temperature", "64F", &errors));
    assert_ok(pc_piece_check(&p, &errors));
    ck_assert_uint_eq(p.part_count, 1);
    p.part[0].wall_m = NAN;
    ck_assert_int_ne(pc_piece_check(&p, NULL), PC_OK);
    p.part[0].wall_m = 3e-3;
    p.shop.air_K = NAN;
    ck_assert_int_ne(pc_piece_check(&p, NULL), PC_OK);
    p.shop.air_K = 290.0;
    p.shop.largest_mix_kg = NAN;
    ck_assert_int_ne(pc_piece_check(&p, NULL), PC_OK);
    p.shop.largest_mix_kg = 1.0;
    p.turning.outer_rad_s = NAN;
    ck_assert_int_ne(pc_piece_check(&p, NULL), PC_OK);
    ck_assert_int_ne(pc_piece_check(NULL, NULL), PC_OK);
    pc_errors_free(&errors);
    pc_piece_free(&p);
}
END_TEST

static void write_text(const char *path, const char *text) {
    FILE *file = fopen(path, "w");
    ck_assert_ptr_nonnull(file);
    fputs(text, file);
    ck_assert_int_eq(fclose(file), 0);
}

START_TEST(day_of_temperatures) {
    set_shelf();
    char folder[] = "/tmp/pourclock-check-XXXXXX", path[64], day[64];
    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/p.ini", folder);
    snprintf(day, sizeof day, "%s/day.csv", folder);
    write_text(path, "[piece]\nresin = fast-urethane\n[hollow a]\narea = 900 cm2\nwall = 3 mm\n"
                     "[shop]\ntemperatures = day.csv\nstart = 10:30\n");
    write_text(day, "clock,temperature\n09:00,10 C\n12:00,16 C\n");
    pc_piece p;
    pc_errors errors = PC_ERRORS_INIT;
    assert_ok(pc_piece_read(path, &p, &errors));
    ck_assert_uint_eq(p.shop.day_count, 2);
    assert_close(p.shop.air_K, 286.15, 1e-12);
    assert_close(p.shop.mold_K, 286.15, 1e-12);
    pc_piece_free(&p);
    write_text(day, "clock,temperature\n12:00,64 C\n09:00,16\n");
    ck_assert_int_ne(pc_piece_read(path, &p, &errors), PC_OK);
    ck_assert_uint_eq(errors.count, 3);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "was 64 F meant?"));
    ck_assert_ptr_nonnull(strstr(errors.item[1].text, "go forward"));
    ck_assert_int_eq(errors.item[1].line, 3);
    pc_piece_free(&p);
    pc_errors_free(&errors);
    unlink(path);
    unlink(day);
    rmdir(folder);
}
END_TEST

/* A cube of 100 mm edge as a text STL. */
static void write_cube(const char *path) {
    static const int face[12][3] = {{0, 2, 1}, {0, 3, 2}, {4, 5, 6}, {4, 6, 7},
                                    {0, 1, 5}, {0, 5, 4}, {1, 2, 6}, {1, 6, 5},
                                    {2, 3, 7}, {2, 7, 6}, {3, 0, 4}, {3, 4, 7}};
    static const int corner[8][3] = {{0, 0, 0}, {1, 0, 0}, {1, 1, 0}, {0, 1, 0},
                                     {0, 0, 1}, {1, 0, 1}, {1, 1, 1}, {0, 1, 1}};
    FILE *file = fopen(path, "w");
    ck_assert_ptr_nonnull(file);
    fputs("solid cube\n", file);
    for (int f = 0; f < 12; f++) {
        fputs("facet normal 0 0 0\nouter loop\n", file);
        for (int v = 0; v < 3; v++) {
            const int *at = corner[face[f][v]];
            fprintf(file, "vertex %d %d %d\n", 100 * at[0], 100 * at[1], 100 * at[2]);
        }
        fputs("endloop\nendfacet\n", file);
    }
    fputs("endsolid cube\n", file);
    ck_assert_int_eq(fclose(file), 0);
}

START_TEST(mesh_beside_the_piece) {
    set_shelf();
    char folder[] = "/tmp/pourclock-check-XXXXXX", path[64], mesh[64];
    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/p.ini", folder);
    snprintf(mesh, sizeof mesh, "%s/cube.stl", folder);
    write_cube(mesh);
    write_text(path, "[piece]\nresin = fast-urethane\n[hollow a]\nmesh = cube.stl\nmesh_unit = mm\n"
                     "wall = 4 mm\n[solid b]\nmesh = cube.stl\nmesh_unit = mm\n");
    pc_piece p;
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pc_piece_read(path, &p, &errors);
    ck_assert_msg(status == PC_OK, "%s", errors.count ? errors.item[0].text : "");
    assert_close(p.part[0].shape.area_m2, 0.06, 1e-6);
    ck_assert_str_eq(p.part[0].mesh_path, mesh);
    double volume_m3;
    assert_ok(pc_shell_volume(&p.part[0].shape, 4e-3, &volume_m3));
    assert_close(volume_m3, 1e-3 - 0.092 * 0.092 * 0.092, 0.002);
    assert_close(p.part[1].volume_m3, 1e-3, 1e-6);
    /* a thicker wall needs a longer table */
    assert_ok(pc_piece_set(&p, "hollow", "wall", "20 mm", &errors));
    assert_ok(pc_shell_volume(&p.part[0].shape, 20e-3, &volume_m3));
    assert_close(volume_m3, 1e-3 - 0.06 * 0.06 * 0.06, 0.002);
    assert_status(pc_piece_set(&p, "hollow", "wall", "49.9 mm", &errors), PC_OK);
    assert_status(pc_piece_check(&p, &errors), PC_E_VALUE);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "more than half the piece"));
    /* from the command line a path starts where the user stands, unit and path in either order */
    pc_piece q;
    pc_piece_defaults(&q);
    assert_ok(pc_piece_set(&q, "hollow", "wall", "4 mm", &errors));
    assert_ok(pc_piece_set(&q, "hollow", "mesh", mesh, &errors));
    assert_ok(pc_piece_set(&q, "hollow", "mesh_unit", "mm", &errors));
    assert_close(q.part[0].shape.area_m2, 0.06, 1e-6);
    pc_piece_free(&q);
    pc_piece_free(&p);
    pc_errors_free(&errors);
    unlink(mesh);
    ck_assert_int_eq(pc_piece_read(path, &p, &errors), PC_E_FILE);
    pc_piece_free(&p);
    pc_errors_free(&errors);
    unlink(path);
    rmdir(folder);
}
END_TEST

/* Parts whose area and volume are stated twice, half, or not to be had: section and lines, and what
 * is said. */
START_TEST(statements_of_a_shape_are_judged) {
    static const struct {
        const char *part;
        pc_status status;
        const char *words;
    } row[] = {
        {"[hollow a]\nwall = 3 mm\nfoil_mass = 10 g\n", PC_E_KEY, "needs foil_thickness"},
        {"[hollow a]\nwall = 3 mm\nfoil_mass = 10 g\nfoil_thickness = 16 um\n"
         "foil_metal = aluminium\n",
         PC_OK, ""},
        {"[hollow a]\nwall = 3 mm\nfoil_mass = 1000 kg\nfoil_thickness = 0.01 um\n"
         "foil_metal = aluminium\n",
         PC_E_VALUE, "this foil covers"},
        {"[hollow a]\nwall = 3 mm\nshape = sphere 10 cm\nwater_fill = 500 ml\n", PC_E_KEY,
         "shape gives the volume already"},
        {"[hollow a]\nwall = 3 mm\nmesh = a.stl\n", PC_E_FILE, "cannot be"},
        {"[hollow a]\nwall = 3 mm\n", PC_E_KEY, "the area is missing"},
        {"[hollow a]\narea = 300 cm2\n", PC_E_KEY, "the wall is missing"},
        {"[solid a]\nshape = sphere 10 cm\narea = 300 cm2\n", PC_E_KEY,
         "shape gives the area already"},
        {"[solid a]\nshape = sphere 10 pints\n", PC_E_UNIT, "sphere: "},
    };
    set_shelf();
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        char text[600];
        snprintf(text, sizeof text, "[piece]\nname = A\nresin = fast-urethane\n%s", row[i].part);
        pc_piece piece;
        pc_errors errors = PC_ERRORS_INIT;
        pc_status status = parse(text, &piece, &errors);
        ck_assert_msg(status == row[i].status, "row %zu gave %s: %s", i, pci_status_name(status),
                      errors.count ? errors.item[0].text : "");
        ck_assert_msg(status == PC_OK || strstr(errors.item[0].text, row[i].words) != NULL,
                      "row %zu: \"%s\" lacks \"%s\"", i, errors.count ? errors.item[0].text : "",
                      row[i].words);
        pc_piece_free(&piece);
        pc_errors_free(&errors);
    }
}
END_TEST

/* An open mesh has an area and no volume: a wall may be planned of it, a solid not. */
START_TEST(an_open_mesh_is_no_solid) {
    char mesh[] = "/tmp/pourclock-check-XXXXXX", text[400];
    int fd = mkstemp(mesh);
    ck_assert_int_ge(fd, 0);
    FILE *file = fdopen(fd, "w");
    ck_assert_ptr_nonnull(file);
    fputs("v 0 0 0\nv 300 0 0\nv 0 300 0\nv 0 0 300\nf 1 3 2\nf 1 2 4\nf 2 3 4\n", file);
    fclose(file);
    set_shelf();
    static const char *const part[] = {"[solid a]\n", "[hollow a]\nwall = 3 mm\n"};
    for (size_t i = 0; i < 2; i++) {
        snprintf(text, sizeof text,
                 "[piece]\nname = A\nresin = fast-urethane\n%smesh = %s\nmesh_unit = mm\n", part[i],
                 mesh);
        pc_piece piece;
        pc_errors errors = PC_ERRORS_INIT;
        assert_status(parse(text, &piece, &errors), i == 0 ? PC_E_VALUE : PC_OK);
        ck_assert(i > 0 || strstr(errors.item[0].text, "the mesh is open") != NULL);
        pc_piece_free(&piece);
        pc_errors_free(&errors);
    }
    unlink(mesh);
}
END_TEST

static void expect_fault(const pc_piece *piece, const char *words) {
    pc_errors errors = PC_ERRORS_INIT;
    bool said = false;
    ck_assert(pc_piece_check(piece, &errors) != PC_OK);
    for (size_t i = 0; i < errors.count; i++)
        said = said || strstr(errors.item[i].text, words) != NULL;
    ck_assert_msg(said, "\"%s\" is not said, but \"%s\"", words, errors.item[0].text);
    pc_errors_free(&errors);
}

/* A piece that no file was read for is judged as one that was: one number spoilt at a time. */
START_TEST(a_piece_made_by_hand_is_judged) {
    set_shelf();
    pc_piece p;
    assert_ok(parse(BASE, &p, NULL));
    const struct {
        double *number, bad;
        const char *words;
    } row[] = {
        {&p.part[0].shape.area_m2, NAN, "the area is missing"},
        {&p.part[0].wall_m, 0.6, "at most 500 mm"},
        {&p.part[0].wall_m, -1.0, "at most 500 mm"},
        {&p.part[1].volume_m3, NAN, "the volume is missing"},
        {&p.turning.slowest_rad_s, 30.0, "the slowest speed is above the fastest"},
        {&p.shop.air_K, NAN, "a shop is at"},
        {&p.shop.resin_K, 400.0, "a resin to be mixed is at"},
        {&p.shop.mold_K, NAN, "a mold to be filled is at"},
        {&p.shop.mix_time_s, -1.0, "0 or more seconds"},
        {&p.shop.mix_time_s, INFINITY, "0 or more seconds"},
        {&p.shop.pour_time_s, INFINITY, "0 or more seconds"},
        {&p.shop.largest_mix_kg, NAN, "must be more than 0 g"},
        {&p.shop.cup_loss, NAN, "keeps 0 to 50 %"},
        {&p.mold.limit_K, 280.0, "hotter than its limit before"},
        {&p.part[0].shape.turn_radius_m, NAN, "its shape's numbers"},
        {&p.resin.density_kg_m3, NAN, "a resin has 0.3 to 5"},
    };
    p.turning.fastest_rad_s = 20.0 * RPM_RAD_S;
    assert_ok(pc_piece_check(&p, NULL));
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        double kept = *row[i].number;
        *row[i].number = row[i].bad;
        expect_fault(&p, row[i].words);
        *row[i].number = kept;
    }
    p.shop.day_count = 2;
    p.shop.day[0] = (pc_day_point){3600.0, 290.0};
    p.shop.day[1] = (pc_day_point){3600.0, 290.0};
    expect_fault(&p, "a day's clock goes forward");
    p.shop.day[1].clock_s = NAN;
    expect_fault(&p, "a day's clock goes forward");
    p.shop.day_count = 0;
    p.turning.outer_rad_s = p.turning.inner_rad_s = 0.0;
    expect_fault(&p, "nothing turns");
    p.turning.outer_rad_s = 12 * RPM_RAD_S;
    size_t parts = p.part_count;
    p.part_count = PC_PARTS_MOST + 1;
    expect_fault(&p, "more than 16 parts");
    p.part_count = parts;
    assert_ok(pc_piece_check(&p, NULL));
    assert_status(pc_piece_check(NULL, NULL), PC_E_ARGUMENT);
    pc_piece_free(&p);
}
END_TEST

START_TEST(all_wrong_lines_come_by_line) {
    set_shelf();
    static const char text[] = "[piece]\nresin = none\nunits = yards\n[hollow a]\narea = 3\n"
                               "wall = -3 mm\nwal = 3 mm\n[shop]\ntemperature = 64 C\n"
                               "[shap]\nx = 1\n";
    pc_piece p;
    pc_errors errors = PC_ERRORS_INIT;
    ck_assert_int_ne(parse(text, &p, &errors), PC_OK);
    static const long lines[] = {2, 3, 5, 6, 7, 9, 10};
    ck_assert_uint_eq(errors.count, 7);
    for (size_t i = 0; i < 7; i++)
        ck_assert_int_eq(errors.item[i].line, lines[i]);
    char shown[700];
    pc_error_format(&errors.item[5], shown, sizeof shown);
    ck_assert_str_eq(shown, "p.ini:9: [shop] temperature: \"64 C\" is too hot for a shop: was 64 F "
                            "meant?");
    pc_piece_free(&p);
    pc_errors_free(&errors);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("piece");
    TCase *tcase = tcase_create("piece");
    tcase_set_timeout(tcase, 60);
    tcase_add_test(tcase, table_of_changed_lines);
    tcase_add_test(tcase, keys_land_where_they_belong);
    tcase_add_test(tcase, turning_keys);
    tcase_add_test(tcase, measured_areas);
    tcase_add_test(tcase, solid_volume_alone_is_judged_as_a_sphere);
    tcase_add_test(tcase, single_keys_override);
    tcase_add_test(tcase, a_piece_from_options_alone);
    tcase_add_test(tcase, day_of_temperatures);
    tcase_add_test(tcase, mesh_beside_the_piece);
    tcase_add_test(tcase, statements_of_a_shape_are_judged);
    tcase_add_test(tcase, an_open_mesh_is_no_solid);
    tcase_add_test(tcase, a_piece_made_by_hand_is_judged);
    tcase_add_test(tcase, all_wrong_lines_come_by_line);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
