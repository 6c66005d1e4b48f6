/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The accuracy promised (times 0.5 %, temperatures 0.3 K) against an independent fine-grid solver:
 * tests/data/reference_cup.txt and reference_wall.txt, made by tests/bench/make_reference. */
#include "unit.h"

#include <stdio.h>
#include <string.h>

#include "pourclock/resin.h"
#include "resin/cup.h"
#include "wall/layers.h"

enum { RESINS_MOST = 8, LAYERS_MOST = 4, LINE_MOST = 512 };

static const double TIME_SHARE = 0.005, TEMPERATURE_K = 0.3;

typedef struct table {
    FILE *file;
    char line[LINE_MOST];
    size_t resins;
    pc_resin resin[RESINS_MOST];
    int compared, missed;
    double worst_time, worst_K;
} table;

static void table_open(table *t, const char *name) {
    memset(t, 0, sizeof *t);
    char path[1024];
    snprintf(path, sizeof path, "%s/tests/data/%s", TEST_SRCDIR, name);
    t->file = fopen(path, "r");
    ck_assert_msg(t->file != NULL, "cannot read %s", path);
}

static void table_close(table *t, int least) {
    fclose(t->file);
    printf("%d values compared, worst time %.3f %%, worst temperature %.3f K\n", t->compared,
           100 * t->worst_time, t->worst_K);
    ck_assert_int_ge(t->compared, least);
    ck_assert_msg(t->missed == 0, "%d of %d values missed (listed above)", t->missed, t->compared);
}

static pc_resin *find(table *t, const char *name) {
    for (size_t i = 0; i < t->resins; i++)
        if (strcmp(t->resin[i].name, name) == 0)
            return &t->resin[i];
    ck_abort_msg("no resin %s in the table", name);
    return NULL;
}

static void read_resin(table *t) {
    char name[64], family[64];
    double v[14];
    int n =
        sscanf(t->line, "resin %63s %63s %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf %lf",
               name, family, &v[0], &v[1], &v[2], &v[3], &v[4], &v[5], &v[6], &v[7], &v[8], &v[9],
               &v[10], &v[11], &v[12], &v[13]);
    ck_assert_int_eq(n, 16);
    ck_assert_uint_lt(t->resins, RESINS_MOST);
    pc_resin *r = &t->resin[t->resins++];
    assert_ok(pc_resin_defaults((pc_family)pc_family_from_word(family), r));
    strcpy(r->name, name);
    r->density_kg_m3 = v[0];
    r->cure =
        (pc_cure){v[1], v[2], v[3], v[4], v[5], v[6], v[7], v[8], v[9], v[10], v[11], v[12], v[13]};
    r->flow.a_gel = r->cure.a_gel;
    r->demold_below_K = 318.15;
}

static void miss(table *t, const char *what, double got, double expected, double off) {
    t->missed++;
    fprintf(stderr, "%s: %s is %.6g, expected %.6g (off by %.3g): %.60s\n", "accuracy", what, got,
            expected, off, t->line);
}

/* Times count from when the resin entered. */
static void same_time(table *t, const char *what, double got, double expected, double from) {
    double off = fabs(got - expected) / (expected - from);
    t->compared++;
    if (isnan(got) && isnan(expected))
        return;
    if (!(off <= TIME_SHARE))
        miss(t, what, got, expected, off);
    t->worst_time = fmax(t->worst_time, off);
}

static void same_K(table *t, const char *what, double got, double expected) {
    double off = fabs(got - expected);
    t->compared++;
    if (!(off <= TEMPERATURE_K))
        miss(t, what, got, expected, off);
    t->worst_K = fmax(t->worst_K, off);
}

static void check_cup(table *t) {
    char name[64];
    double mass, T0, air, pot, gel, peak, at;
    int n = sscanf(t->line, "cup %63s %lf %lf %lf %lf %lf %lf %lf", name, &mass, &T0, &air, &pot,
                   &gel, &peak, &at);
    ck_assert_int_eq(n, 8);
    pc_cup_events e;
    assert_ok(pci_cup_run(find(t, name), mass, T0, air, &e));
    same_time(t, "pot life", e.pot_life_s, pot, 0);
    same_time(t, "cup gel", e.gel_s, gel, 0);
    same_K(t, "cup peak", e.peak_K, peak);
    pc_cup_state half;
    assert_ok(pci_cup_at(find(t, name), mass, T0, air, pot, &half));
    same_time(t, "a at the pot life", half.a, find(t, name)->cure.a_pot, 0);
}

START_TEST(cup_matches_the_reference) {
    table t;
    table_open(&t, "reference_cup.txt");
    while (fgets(t.line, sizeof t.line, t.file)) {
        if (strncmp(t.line, "resin ", 6) == 0)
            read_resin(&t);
        else if (strncmp(t.line, "cup ", 4) == 0)
            check_cup(&t);
        else
            ck_assert_msg(t.line[0] == '#', "cannot read: %s", t.line);
    }
    table_close(&t, 300);
}
END_TEST

typedef struct wall_case {
    char wall_line[LINE_MOST], resin[64];
    pci_wall_spec spec;
    pc_cup_state fill;
    int layers;
    double thickness_m[LAYERS_MOST], pour_s[LAYERS_MOST];
    pci_layer_events expected[LAYERS_MOST];
} wall_case;

static void set_mold(pci_wall_spec *spec, const char *name) {
    spec->mold_count = 2;
    if (strcmp(name, "none") == 0) {
        spec->mold_count = 0;
    } else if (strcmp(name, "standard") == 0) {
        spec->mold_thickness_m[0] = 0.010;
        spec->mold_thickness_m[1] = 0.008;
        assert_ok(pci_mold_material(PC_PLASTER, &spec->mold[0]));
        assert_ok(pci_mold_material(PC_SILICONE, &spec->mold[1]));
    } else {
        ck_assert_str_eq(name, "resin-shell");
        spec->mold_thickness_m[0] = 0.005;
        spec->mold_thickness_m[1] = 0.012;
        assert_ok(pci_mold_material(PC_RESIN_SHELL, &spec->mold[0]));
        assert_ok(pci_mold_material(PC_URETHANE_RUBBER, &spec->mold[1]));
    }
}

static void read_wall(const char *line, wall_case *c) {
    char mold[64], form[64];
    int number;
    memset(c, 0, sizeof *c);
    strcpy(c->wall_line, line);
    int n = sscanf(line, "wall %d %63s %63s %63s %lf %lf %lf %lf %lf %lf", &number, c->resin, mold,
                   form, &c->spec.cavity_radius_m, &c->spec.mold_K, &c->spec.air_K, &c->fill.T_K,
                   &c->fill.a, &c->spec.in_W_m2K);
    ck_assert_int_eq(n, 10);
    c->spec.form = form[0] == 'c' ? PC_CYLINDER : strcmp(form, "sphere") == 0 ? PC_SPHERE : PC_SLAB;
    c->spec.out_W_m2K = PC_OUTSIDE_W_M2K;
    set_mold(&c->spec, mold);
}

static void read_layer(const char *line, wall_case *c) {
    ck_assert_int_lt(c->layers, LAYERS_MOST);
    pci_layer_events *e = &c->expected[c->layers];
    int n = sscanf(line, "layer %lf %lf %lf %lf %lf %lf", &c->thickness_m[c->layers],
                   &c->pour_s[c->layers], &e->first_gel_s, &e->gel_s, &e->bond_close_s, &e->peak_K);
    ck_assert_int_eq(n, 6);
    c->layers++;
}

static void check_wall(table *t, const wall_case *c, double demold_s) {
    pci_wall *wall = NULL;
    const pc_resin *resin = find(t, c->resin);
    strcpy(t->line, c->wall_line);
    assert_ok(pci_wall_new(&c->spec, c->pour_s[0], &wall));
    for (int j = 0; j < c->layers; j++) {
        assert_ok(pci_wall_advance(wall, c->pour_s[j]));
        assert_ok(pci_wall_pour(wall, resin, c->thickness_m[j], &c->fill, NAN));
    }
    double seen, last = c->pour_s[c->layers - 1], latest = 30 * 86400.0;
    assert_ok(pci_wall_until_demold(wall, latest, &seen));
    same_time(t, "demold", seen, demold_s, last);
    for (int j = 0; j < c->layers; j++)
        assert_ok(pci_wall_until_bond(wall, (size_t)j, latest, &seen));
    for (int j = 0; j < c->layers; j++) {
        pci_layer_events e;
        const pci_layer_events *x = &c->expected[j];
        assert_ok(pci_wall_events(wall, (size_t)j, &e));
        same_time(t, "first gel", e.first_gel_s, x->first_gel_s, c->pour_s[j]);
        same_time(t, "gel", e.gel_s, x->gel_s, c->pour_s[j]);
        same_time(t, "bond close", e.bond_close_s, x->bond_close_s, c->pour_s[j]);
        same_K(t, "peak", e.peak_K, x->peak_K);
    }
    pci_wall_free(wall);
}

/* Regression 1: the mold's elements widened by a fifth each, which put the bond of a 3 mm urethane
 * film at 35 C 0.6 % late and its neighbors' peaks 0.31 K low. They widen by an eighth now. */
START_TEST(wall_matches_the_reference) {
    table t;
    wall_case c = {0};
    double demold_s;
    table_open(&t, "reference_wall.txt");
    while (fgets(t.line, sizeof t.line, t.file)) {
        if (strncmp(t.line, "resin ", 6) == 0)
            read_resin(&t);
        else if (strncmp(t.line, "wall ", 5) == 0)
            read_wall(t.line, &c);
        else if (strncmp(t.line, "layer ", 6) == 0)
            read_layer(t.line, &c);
        else if (sscanf(t.line, "demold %lf", &demold_s) == 1)
            check_wall(&t, &c, demold_s);
        else
            ck_assert_msg(t.line[0] == '#', "cannot read: %s", t.line);
    }
    table_close(&t, 900);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("accuracy");
    TCase *tcase = tcase_create("accuracy");
    tcase_set_timeout(tcase, 120);
    tcase_add_test(tcase, cup_matches_the_reference);
    tcase_add_test(tcase, wall_matches_the_reference);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
