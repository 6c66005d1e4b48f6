/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Makes tests/data/reference_wall.txt, reference_cup.txt and reference_anchor.txt with the
 * independent solver. make_reference wall|cup|anchor > table Every wall case is run on 80 and 160
 * cells a slab (up to 2560 where those differ), then extrapolated; the change of the last doubling
 * is printed as a comment. */
#include "reference.h"

#include "wall/layers.h"
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { RESINS = 4, LAYERS = 3 };

typedef struct fixed_case {
    const char *name;
    pc_family family;
    pc_cure cure;
} fixed_case;

/* Invented resins of fixed constants. */
static const fixed_case sheets[RESINS] = {
    {"fast-urethane",
     PC_URETHANE,
     {2914799.60326, 54870, 0, 0, 0, 2, 256e3, 1800, 0.2, 0.707, 0.2429319585, 0.9, 0.8722696537}},
    {"slow-urethane",
     PC_URETHANE,
     {495977.690969, 54870, 0, 0, 0, 2, 256e3, 1800, 0.2, 0.707, 0.2524738352, 0.9, 0.7655904209}},
    {"casting-epoxy",
     PC_EPOXY,
     {58679.2450954, 54960, 5828.62236383, 44289, 0.39845, 1.5361, 460e3, 1900, 0.2, 0.577,
      0.09320362084, 0.72, 0.9446848803}},
    {"polyester",
     PC_POLYESTER,
     {1112875.40179, 60000, 66772524.1077, 60000, 1, 1.5, 375e3, 1900, 0.19, 0.08, 0.04490820675,
      0.8, 0.98}},
};

typedef struct mold_case {
    const char *name;
    size_t count;
    double thickness_m[2];
    pc_material material[2];
} mold_case;

static const mold_case molds[] = {
    {"standard", 2, {0.010, 0.008}, {{0.40, 1000, 1000}, {0.27, 1200, 1300}}},
    {"resin-shell", 2, {0.005, 0.012}, {{0.25, 1200, 1400}, {0.25, 1100, 1800}}},
    {"none", 0, {0, 0}, {{0, 0, 0}, {0, 0, 0}}},
};

typedef struct wall_case {
    int resin, mold;
    pc_form form;
    double radius_m;
    double mold_K, air_K, fill_K, fill_s; /* fill: state of the cup after fill_s */
    double in_W_m2K;
    int layers;
    double thickness_m[LAYERS];
} wall_case;

typedef struct wall_result {
    double pour_s[LAYERS];
    pci_layer_events events[LAYERS];
    double demold_s;
} wall_result;

static pc_resin resins[RESINS];

static int run_wall(const wall_case *c, pc_cup_state fill, size_t cells, const double *pour_s,
                    wall_result *out) {
    const mold_case *m = &molds[c->mold];
    pci_wall_spec spec = {.form = c->form,
                          .cavity_radius_m = c->radius_m,
                          .mold_count = m->count,
                          .mold_K = c->mold_K,
                          .out_W_m2K = 9,
                          .in_W_m2K = c->in_W_m2K,
                          .air_K = c->air_K};
    for (size_t i = 0; i < m->count; i++) {
        spec.mold_thickness_m[i] = m->thickness_m[i];
        spec.mold[i] = m->material[i];
    }
    /* Many cells are asked for where a cure front runs through a thick layer: then evenly. */
    const ref_options options = {
        .cells = cells, .grading = cells > 320 ? 1.5 : 3, .rtol = 1e-7, .jacobian = true};
    ref_wall *w = ref_wall_new(&spec, c->fill_s, &options);
    int bad = 0;
    double latest = 30 * 86400.0, gel;
    for (int j = 0; j < c->layers && !bad; j++) {
        /* Poured a minute after the layer before has gelled, on a whole second. */
        double at = j == 0 ? c->fill_s : pour_s ? pour_s[j] : ceil(gel) + 60;
        out->pour_s[j] = at;
        bad = (j > 0 && ref_wall_advance(w, at)) ||
              ref_wall_pour(w, &resins[c->resin], c->thickness_m[j], fill);
        if (!bad && (j + 1 < c->layers && !pour_s))
            bad = ref_wall_until_gel(w, (size_t)j, latest, &gel);
    }
    bad = bad || ref_wall_until_demold(w, latest, &out->demold_s);
    for (int j = 0; j < c->layers && !bad; j++) {
        double seen;
        bad = ref_wall_until_bond(w, (size_t)j, latest, &seen);
    }
    for (int j = 0; j < c->layers; j++)
        out->events[j] = ref_wall_events(w, (size_t)j);
    ref_wall_free(w);
    return bad;
}

static double extrapolated(double coarse, double fine) {
    return fine + (fine - coarse) / 3;
}

/* Largest relative change of a time from pour to event, and of a peak in units of 60 K. */
static double change(const wall_case *c, const wall_result *a, const wall_result *b) {
    double most = 0;
    for (int j = 0; j < c->layers; j++) {
        double t0 = a->pour_s[j];
        const pci_layer_events *e = &a->events[j], *f = &b->events[j];
        most = fmax(most, fabs(e->gel_s - f->gel_s) / (f->gel_s - t0 + 1e-9));
        most = fmax(most, fabs(e->first_gel_s - f->first_gel_s) / (f->first_gel_s - t0 + 1e-9));
        most = fmax(most, fabs(e->bond_close_s - f->bond_close_s) / (f->bond_close_s - t0));
        most = fmax(most, fabs(e->peak_K - f->peak_K) / 60);
    }
    return most;
}

static const char *form_word[] = {"slab", "cylinder", "sphere"};

static int print_wall(int number, const wall_case *c) {
    pc_cup_state fill;
    wall_result result[2];
    if (ref_cup_at(&resins[c->resin], 0.1, c->fill_K, c->air_K, c->fill_s, 1e-10, &fill))
        return -1;
    size_t cells = 80;
    if (run_wall(c, fill, cells, NULL, &result[0]))
        return -1;
    double moved = 1;
    while (moved > 2e-4 && cells < 2560) {
        cells *= 2;
        if (cells > 160)
            result[0] = result[1];
        if (run_wall(c, fill, cells, result[0].pour_s, &result[1]))
            return -1;
        moved = change(c, &result[0], &result[1]);
    }
    printf("# %zu cells a slab, last doubling moved it by %.1e\n", cells, moved);
    printf("wall %03d %s %s %s %.4g %.2f %.2f %.10g %.10g %.4g\n", number, sheets[c->resin].name,
           molds[c->mold].name, form_word[c->form], c->radius_m, c->mold_K, c->air_K, fill.T_K,
           fill.a, c->in_W_m2K);
    for (int j = 0; j < c->layers; j++) {
        const pci_layer_events *a = &result[0].events[j], *b = &result[1].events[j];
        printf("layer %.4g %.2f %.4f %.4f %.4f %.4f\n", c->thickness_m[j], result[1].pour_s[j],
               extrapolated(a->first_gel_s, b->first_gel_s), extrapolated(a->gel_s, b->gel_s),
               extrapolated(a->bond_close_s, b->bond_close_s), extrapolated(a->peak_K, b->peak_K));
    }
    printf("demold %.4f\n", extrapolated(result[0].demold_s, result[1].demold_s));
    fflush(stdout);
    return 0;
}

/* When the resin enters: a minute and a half, or half a pot life where that is shorter. */
static double fill_time(int resin, double T_K) {
    pc_cup_events e;
    ref_cup_run(&resins[resin], 0.1, T_K, T_K, 1e-8, &e);
    return fmin(90, floor(e.pot_life_s / 2));
}

static int walls(void) {
    static const double film[] = {0.0005, 0.001, 0.0015, 0.003, 0.006, 0.012, 0.025};
    static const double shop[] = {278.15, 288.15, 296.15, 308.15};
    int number = 0, bad = 0;
    for (int r = 0; r < RESINS; r++)
        for (int f = 0; f < 7; f++)
            for (int T = 0; T < 4; T++) { /* one layer; slow and fast urethane share the work */
                if (r == 1 && (f + T) % 2)
                    continue;
                bad |= print_wall(++number, &(wall_case){r,
                                                         0,
                                                         PC_SLAB,
                                                         0,
                                                         shop[T],
                                                         shop[T],
                                                         shop[T],
                                                         fill_time(r, shop[T]),
                                                         0,
                                                         1,
                                                         {film[f], 0, 0}});
            }
    for (int r = 0; r < RESINS; r++) /* two and three layers */
        for (int f = 1; f < 5; f++)
            for (int n = 2; n <= 3; n++) {
                double T = shop[(r + f + n) % 4], d = film[f];
                if (r == 3) { /* the heat of one polyester layer sets off the next: thin and cold */
                    T = shop[(f + n) % 2];
                    d = 0.0005 + 0.00025 * f;
                }
                bad |= print_wall(++number, &(wall_case){r,
                                                         0,
                                                         PC_SLAB,
                                                         0,
                                                         T,
                                                         T,
                                                         T,
                                                         fill_time(r, T),
                                                         0,
                                                         n,
                                                         {fmin(d, 0.0015), d, n == 3 ? d : 0}});
            }
    for (int r = 0; r < RESINS; r++) /* solids, and hollow cylinders and spheres */
        for (int form = 1; form < 3; form++)
            for (int s = 0; s < 4; s++) {
                static const double radius[] = {0.006, 0.0125, 0.025, 0.040};
                double T = shop[(r + s) % 3 + 1];
                wall_case c = {r,
                               0,
                               (pc_form)form,
                               radius[s],
                               T,
                               T,
                               T,
                               fill_time(r, T),
                               0,
                               1,
                               {s == 3 ? 0.003 : radius[s], 0, 0}};
                if (s == 3) {
                    c.layers = 2;
                    c.thickness_m[1] = 0.004;
                }
                bad |= print_wall(++number, &c);
            }
    for (int r = 0; r < RESINS; r++) /* warm mold, warm resin, other molds, open inside, bare */
        for (int v = 0; v < 4; v++) {
            wall_case c = {r, 0, PC_SLAB, 0, 288.15, 288.15, 288.15, 60, 0, 2, {0.0015, 0.003, 0}};
            c.mold_K = v == 0 ? 318.15 : 288.15;
            c.fill_K = v == 1 ? 303.15 : 288.15;
            c.mold = v == 2 ? 1 : v == 3 ? 2 : 0;
            c.in_W_m2K = v == 3 ? 9 : 0;
            bad |= print_wall(++number, &c);
        }
    return bad;
}

static int cups(void) {
    static const double mass[] = {0.02, 0.1, 0.5, 2, 10};
    static const double shop[] = {278.15, 288.15, 296.15, 308.15};
    int bad = 0;
    for (int r = 0; r < RESINS; r++)
        for (int m = 0; m < 5; m++)
            for (int T = 0; T < 4; T++) {
                double T0 = shop[T] + (m == 2 ? 6 : 0); /* resin warmer than the air */
                pc_cup_events e;
                bad |= ref_cup_run(&resins[r], mass[m], T0, shop[T], 1e-10, &e);
                printf("cup %s %g %.2f %.2f %.6f %.6f %.6f %.4f\n", sheets[r].name, mass[m], T0,
                       shop[T], e.pot_life_s, e.gel_s, e.peak_K, e.peak_s);
            }
    return bad;
}

/* Invented data sheets: pot life, gel, demold and its thickness in mm, film gel, peak, peak time; 0
 * where silent. */
static const struct {
    pc_family family;
    double pot_s, gel_s, demold_s, demold_mm, film_s, peak_K, peak_s;
} anchored[] = {
    {PC_URETHANE, 180, 0, 1200, 0, 0, 0, 0},    {PC_URETHANE, 420, 0, 1800, 3, 0, 0, 0},
    {PC_URETHANE, 1200, 1500, 0, 0, 0, 0, 0},   {PC_URETHANE, 150, 0, 0, 0, 540, 365, 0},
    {PC_EPOXY, 2100, 0, 50400, 0, 10800, 0, 0}, {PC_EPOXY, 600, 720, 0, 0, 0, 0, 0},
    {PC_EPOXY, 5400, 0, 86400, 6, 0, 0, 0},     {PC_POLYESTER, 0, 900, 0, 0, 0, 428, 1920},
    {PC_POLYESTER, 540, 0, 5400, 0, 0, 0, 0},
};

static void add(pc_data_sheet *sheet, pc_datum_kind kind, double value, double spread,
                double thickness_m) {
    if (value > 0)
        sheet->datum[sheet->count++] = (pc_datum){.kind = kind,
                                                  .value = value,
                                                  .spread = spread,
                                                  .mass_kg = 0.1,
                                                  .T_K = 296.15,
                                                  .thickness_m = thickness_m,
                                                  .catalyst = NAN};
}

static int anchors(void) {
    int bad = 0;
    printf(
        "# family pot_s gel_s demold_s demold_mm film_s peak_K peak_s -> film gel of 1.5 mm at 23 "
        "C, s; sd of its logarithm\n");
    for (size_t i = 0; i < sizeof anchored / sizeof *anchored; i++) {
        double mm = anchored[i].demold_mm, film_s, film_sd;
        pc_resin r = {.family = anchored[i].family, .density_kg_m3 = 1100};
        add(&r.sheet, PC_DATUM_POT_LIFE, anchored[i].pot_s, 0.10, NAN);
        add(&r.sheet, PC_DATUM_GEL, anchored[i].gel_s, 0.10, NAN);
        add(&r.sheet, PC_DATUM_DEMOLD, anchored[i].demold_s, mm > 0 ? 0.20 : 0.35,
            mm > 0 ? 1e-3 * mm : NAN);
        add(&r.sheet, PC_DATUM_FILM_GEL, anchored[i].film_s, 0.15, 1.5e-3);
        add(&r.sheet, PC_DATUM_PEAK, anchored[i].peak_K, 8, NAN);
        add(&r.sheet, PC_DATUM_PEAK_TIME, anchored[i].peak_s, 0.20, NAN);
        bad |= ref_anchor(&r, &film_s, &film_sd);
        printf("%s %g %g %g %g %g %g %g %.6g %.5g\n", pc_family_word(r.family), anchored[i].pot_s,
               anchored[i].gel_s, anchored[i].demold_s, mm, anchored[i].film_s, anchored[i].peak_K,
               anchored[i].peak_s, film_s, film_sd);
    }
    return bad;
}

static void print_resin(int r) {
    const pc_cure *c = &resins[r].cure;
    printf("resin %s %s %.6g %.12g %.10g %.12g %.10g %.6g %.6g %.8g %.6g %.6g %.6g %.10g %.6g "
           "%.10g\n",
           sheets[r].name, pc_family_word(resins[r].family), resins[r].density_kg_m3, c->A1_per_s,
           c->E1_J_mol, c->A2_per_s, c->E2_J_mol, c->m, c->n, c->heat_J_kg, c->cp_J_kgK, c->k_W_mK,
           c->a_gel, c->a_pot, c->a_bond, c->a_demold);
}

int main(int argc, char **argv) {
    const char *table = argc == 2 ? argv[1] : "";
    int wall = strcmp(table, "wall") == 0, anchor = strcmp(table, "anchor") == 0;
    if (!wall && !anchor && strcmp(table, "cup") != 0) {
        fputs("usage: make_reference wall|cup|anchor > table\n", stderr);
        return 2;
    }
    printf(
        "# SPDX-License-Identifier: GPL-3.0-or-later\n"
        "# Regression values by an independent solver (tests/bench/reference.c, SUNDIALS CVODE),\n"
        "# not a published source. Made by tests/bench/make_reference; see "
        "tests/data/README.md.\n");
    if (anchor)
        return anchors();
    printf("# resin: name family density A1 E1 A2 E2 m n heat cp k a_gel a_pot a_bond a_demold\n");
    int bad = 0;
    for (int r = 0; r < RESINS; r++) {
        pc_resin *x = &resins[r];
        *x = (pc_resin){.family = sheets[r].family, .density_kg_m3 = 1100};
        x->peak_limit_K = 353.15;
        x->demold_below_K = 318.15;
        x->cure = sheets[r].cure;
        print_resin(r);
    }
    if (wall) {
        printf("# wall: number resin mold form radius_m mold_K air_K fill_K fill_a in_W_m2K\n"
               "# layer: thickness_m pour_s first_gel_s gel_s bond_close_s peak_K\n"
               "# demold: demold_s, every layer\n");
        bad |= walls();
    } else {
        printf("# cup: resin mass_kg resin_K air_K pot_life_s gel_s peak_K peak_s\n");
        bad |= cups();
    }
    return bad ? 1 : 0;
}
