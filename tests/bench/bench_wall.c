/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The wall solver against SUNDIALS CVODE (BDF, banded, exact Jacobian) on the same cells: time at
 * equal error in the last layer's gel time, and how both scale. Nothing here is a test. */
#include "bench.h"
#include "reference.h"
#include "sheet/datum.h"

#include "wall/layers.h"
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { LAYERS_MOST = 8, SWEEP = 7, NODES_MOST = 40000 };

typedef struct job {
    const char *name;
    pc_family family;
    double gel_s; /* of 100 g at 23 C */
    int layers;
    double thickness_m[LAYERS_MOST], pour_s[LAYERS_MOST];
    double refine;
    pc_resin resin;
    size_t node_count;
    double *node_m;
} job;

typedef struct work {
    double error, time_s;
    long steps;
} work;

static const pc_cup_state fill = {298.15, 0.005};

static pci_wall_spec mold(const job *j, double tolerance) {
    pci_wall_spec spec = {.form = PC_SLAB,
                          .mold_count = 2,
                          .mold_thickness_m = {0.010, 0.008},
                          .mold_K = 296.15,
                          .air_K = 296.15,
                          .out_W_m2K = PC_OUTSIDE_W_M2K,
                          .refine = j->refine,
                          .tolerance = tolerance};
    pci_mold_material(PC_PLASTER, &spec.mold[0]);
    pci_mold_material(PC_SILICONE, &spec.mold[1]);
    return spec;
}

/* Gel time of the last layer. *wall, where wanted, is the caller's. */
static double run_ours(const job *j, double tolerance, pci_wall **keep) {
    pci_wall_spec spec = mold(j, tolerance);
    pci_wall *wall;
    double gel_s = NAN;
    pc_status status = pci_wall_new(&spec, 0.0, &wall);
    for (int i = 0; i < j->layers && status == PC_OK; i++) {
        status = pci_wall_advance(wall, j->pour_s[i]);
        if (status == PC_OK)
            status = pci_wall_pour(wall, &j->resin, j->thickness_m[i], &fill, NAN);
    }
    if (status == PC_OK)
        status = pci_wall_until_gel(wall, (size_t)j->layers - 1, 1e7, &gel_s);
    if (status != PC_OK)
        stop("pci_wall");
    if (keep)
        *keep = wall;
    else
        pci_wall_free(wall);
    return gel_s;
}

static double run_cvode(const job *j, double rtol, long *steps) {
    pci_wall_spec spec = mold(j, 0);
    ref_options options = {.rtol = rtol,
                           .jacobian = true,
                           .gel_only = true,
                           .mixed_contact = true,
                           .nodes_m = j->node_m,
                           .node_count = j->node_count};
    ref_wall *wall = ref_wall_new(&spec, 0.0, &options);
    double gel_s = NAN;
    int bad = wall == NULL;
    for (int i = 0; i < j->layers && !bad; i++)
        bad = (i > 0 && ref_wall_advance(wall, j->pour_s[i])) ||
              ref_wall_pour(wall, &j->resin, j->thickness_m[i], fill);
    if (bad || ref_wall_until_gel(wall, (size_t)j->layers - 1, 1e7, &gel_s))
        stop("CVODE");
    if (steps)
        *steps = ref_wall_steps(wall);
    ref_wall_free(wall);
    return gel_s;
}

/* Pours each layer when the one before has gelled, and takes over our cells. */
static void prepare(job *j) {
    pc_resin_defaults(j->family, &j->resin);
    j->resin.sheet.count = 1;
    j->resin.sheet.datum[0] = pci_datum_new(PC_DATUM_GEL);
    j->resin.sheet.datum[0].value = j->gel_s;
    j->resin.sheet.datum[0].spread = PCI_CUP_SPREAD;
    if (pc_resin_anchor(&j->resin, NULL) != PC_OK)
        stop("anchoring");
    int layers = j->layers;
    for (j->layers = 1; j->layers < layers; j->layers++)
        j->pour_s[j->layers] = ceil(run_ours(j, 1e-6, NULL)) + 30;
    pci_wall *wall;
    run_ours(j, 1e-4, &wall);
    double *x = malloc(NODES_MOST * sizeof *x);
    size_t points = pci_wall_profile(wall, NODES_MOST, x, NULL, NULL);
    if (!x || points > NODES_MOST)
        stop("profile");
    j->node_count = 0;
    for (size_t i = 0; i < points; i++)
        if (i == 0 || x[i] > x[i - 1])
            x[j->node_count++] = x[i];
    j->node_m = x;
    pci_wall_free(wall);
}

/* Best of enough runs to fill a tenth of a second. */
static double best_time(const job *j, double tolerance, int cvode) {
    double best = INFINITY, spent = 0;
    for (int i = 0; i < 3 || (spent < 0.1 && i < 200); i++) {
        double start = clock_s();
        if (cvode)
            run_cvode(j, tolerance, NULL);
        else
            run_ours(j, tolerance, NULL);
        double took = clock_s() - start;
        best = fmin(best, took);
        spent += took;
    }
    return best;
}

/* Time a sweep would take at an error, by the straight line between its points in log-log. */
static double time_at(const work *w, double error) {
    for (int i = 0; i + 1 < SWEEP; i++)
        if (w[i].error >= error && w[i + 1].error <= error) {
            double f = log(w[i].error / error) / log(w[i].error / w[i + 1].error);
            return w[i].time_s * pow(w[i + 1].time_s / w[i].time_s, f);
        }
    return error > w[0].error ? w[0].time_s : NAN;
}

static void sweep(job *j) {
    static const double ours_tol[SWEEP] = {2e-3, 5e-4, 1e-4, 4e-5, 1e-5, 2e-6, 4e-7};
    static const double cvode_tol[SWEEP] = {1e-3, 1e-4, 3e-5, 1e-5, 1e-6, 1e-7, 1e-8};
    work ours[SWEEP], cvode[SWEEP];
    double exact = run_cvode(j, 1e-11, NULL);
    printf("\n%s: %zu nodes, gel of the last layer %.3f s\n", j->name, j->node_count, exact);
    printf("  %-12s %10s %10s   %-12s %10s %10s %7s\n", "ours, tol", "error", "ms", "CVODE, rtol",
           "error", "ms", "steps");
    for (int i = 0; i < SWEEP; i++) {
        double span = exact - j->pour_s[j->layers - 1];
        ours[i].error = fabs(run_ours(j, ours_tol[i], NULL) - exact) / span + 1e-12;
        ours[i].time_s = best_time(j, ours_tol[i], 0);
        cvode[i].error = fabs(run_cvode(j, cvode_tol[i], &cvode[i].steps) - exact) / span + 1e-12;
        cvode[i].time_s = best_time(j, cvode_tol[i], 1);
        printf("  %-12.0e %10.1e %10.3f   %-12.0e %10.1e %10.3f %7ld\n", ours_tol[i], ours[i].error,
               1e3 * ours[i].time_s, cvode_tol[i], cvode[i].error, 1e3 * cvode[i].time_s,
               cvode[i].steps);
    }
    double at = cvode[3].error, same = time_at(ours, at);
    printf("  at the error of CVODE's rtol 1e-5 (%.1e): ours %.3f ms, CVODE %.3f ms, ratio %.3f\n",
           at, 1e3 * same, 1e3 * cvode[3].time_s, same / cvode[3].time_s);
    double theirs = time_at(cvode, ours[3].error);
    printf("  at the error of our default (%.1e): ours %.3f ms, CVODE %.3f ms, ratio %.3f\n",
           ours[3].error, 1e3 * ours[3].time_s, 1e3 * theirs, ours[3].time_s / theirs);
    free(j->node_m);
}

static void scaling_row(const char *what, double value, job *j) {
    prepare(j);
    double ours = best_time(j, 0, 0), cvode = best_time(j, 1e-5, 1);
    printf("  %-8s %4.0f %7zu %10.3f %10.3f %10.2f %7.3f\n", what, value, j->node_count, 1e3 * ours,
           1e3 * cvode, 1e6 * ours / (double)j->node_count, ours / cvode);
    free(j->node_m);
}

static void scaling(void) {
    printf("\nScaling (urethane, default settings against CVODE rtol 1e-5)\n");
    printf("  %-8s %4s %7s %10s %10s %10s %7s\n", "", "", "nodes", "ours ms", "CVODE ms", "us/node",
           "ratio");
    for (int refine = 1; refine <= 16; refine *= 2) {
        job j = {.family = PC_URETHANE,
                 .gel_s = 900,
                 .layers = 1,
                 .thickness_m = {0.003},
                 .refine = refine};
        scaling_row("refine", refine, &j);
    }
    for (int layers = 1; layers <= 6; layers++) {
        job j = {.family = PC_URETHANE, .gel_s = 900, .layers = layers, .refine = 1};
        for (int i = 0; i < layers; i++)
            j.thickness_m[i] = 0.0015;
        scaling_row("layers", layers, &j);
    }
}

int main(void) {
    job jobs[] = {
        {.name = "Urethane, one film of 3 mm",
         .family = PC_URETHANE,
         .gel_s = 900,
         .layers = 1,
         .thickness_m = {0.003},
         .refine = 1},
        {.name = "Urethane, three layers",
         .family = PC_URETHANE,
         .gel_s = 300,
         .layers = 3,
         .thickness_m = {0.0015, 0.002, 0.002},
         .refine = 1},
        {.name = "Epoxy, two layers of 3 mm",
         .family = PC_EPOXY,
         .gel_s = 2700,
         .layers = 2,
         .thickness_m = {0.003, 0.003},
         .refine = 1},
        {.name = "Polyester, one film of 4 mm",
         .family = PC_POLYESTER,
         .gel_s = 900,
         .layers = 1,
         .thickness_m = {0.004},
         .refine = 1},
    };
    printf("Wall: ours against SUNDIALS CVODE (BDF, banded, exact Jacobian), same cells\n");
    for (size_t i = 0; i < sizeof jobs / sizeof *jobs; i++) {
        prepare(&jobs[i]);
        sweep(&jobs[i]);
    }
    scaling();
    return 0;
}
