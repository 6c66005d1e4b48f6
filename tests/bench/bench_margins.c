/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Margins, the warming grid and the fit of cup tests: bench_margins PIECE RESIN CSV. Nothing here
 * is a test. Each time is the least of a few runs, by the clock and by the processors, and a ratio
 * to the same piece planned once without margins in this run. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bench.h"
#include "pourclock.h"
#include "resin/cure_rate.h"

enum { RUNS = 5 };

struct timing {
    double clock_ms, cpu_ms;
};

typedef int (*job)(void *context);

static struct timing measure(job work, void *context) {
    struct timing least = {1e300, 1e300};
    for (int i = 0; i < RUNS; i++) {
        double started_s = clock_s(), started_cpu_s = cpu_s();
        if (!work(context))
            stop("a run");
        double clock_ms = 1e3 * (clock_s() - started_s), cpu_ms = 1e3 * (cpu_s() - started_cpu_s);
        least.clock_ms = clock_ms < least.clock_ms ? clock_ms : least.clock_ms;
        least.cpu_ms = cpu_ms < least.cpu_ms ? cpu_ms : least.cpu_ms;
    }
    return least;
}

static int plan(void *context) {
    pc_schedule *schedule;
    pc_status status = pc_schedule_make(context, &schedule, NULL);
    pc_schedule_free(schedule);
    return status == PC_OK;
}

static int read_piece(void *context) {
    pc_piece piece;
    pc_status status = pc_piece_read(context, &piece, NULL);
    pc_piece_free(&piece);
    return status == PC_OK;
}

/* A schedule is reading, which anchors the resin, and planning with its margins: what the planning
 * of the piece's layers with 64 samples takes beside the reading (goal: 30 ms more). */
static void bench_planning(char *path, pc_piece *piece) {
    enum { SAMPLES = 64 };
    struct timing read = measure(read_piece, path);
    piece->margins.on = true;
    piece->margins.samples = SAMPLES;
    struct timing planned = measure(plan, piece);
    printf("reading and anchoring %.1f ms, processors %.1f ms; planning %d layers with %d samples "
           "%.1f ms, processors %.1f ms more\n",
           read.clock_ms, read.cpu_ms, piece->part[0].layers_asked, SAMPLES, planned.clock_ms,
           planned.cpu_ms);
}

/* Margins cost what a plan with them takes more than one without. */
static struct timing bench_samples(pc_piece *piece) {
    piece->margins.on = false;
    struct timing plain = measure(plan, piece);
    printf("margins: %d layers; without margins %.1f ms, processors %.1f ms\n",
           piece->part[0].layers_asked, plain.clock_ms, plain.cpu_ms);
    printf("%8s %10s %10s %14s %12s\n", "samples", "ms", "cpu ms", "cpu us/sample", "plans' worth");
    piece->margins.on = true;
    for (int samples = 16; samples <= 1024; samples *= 2) {
        piece->margins.samples = samples;
        struct timing t = measure(plan, piece);
        double more_ms = t.cpu_ms - plain.cpu_ms;
        printf("%8d %10.1f %10.1f %14.0f %12.2f\n", samples, t.clock_ms - plain.clock_ms, more_ms,
               1e3 * more_ms / samples, more_ms / plain.cpu_ms);
    }
    piece->margins.on = false;
    return plain;
}

struct warming {
    pc_piece *piece;
    pc_warm_grid grid;
};

static int warm(void *context) {
    struct warming *w = context;
    pc_warm warm;
    pc_status status = pc_warm_run(w->piece, &w->grid, &warm, NULL);
    pc_warm_free(&warm);
    return status == PC_OK;
}

static void bench_warm(pc_piece *piece, const struct timing *plain) {
    struct warming w = {.piece = piece};
    printf("\nwarm: a grid of resins by molds, one room\n");
    printf("%8s %10s %10s %12s\n", "cells", "ms", "cpu ms", "plans' worth");
    for (size_t side = 3; side <= 12; side++) {
        if (side != 3 && side != 5 && side != 7 && side != 10 && side != 12)
            continue;
        memset(&w.grid, 0, sizeof w.grid);
        w.grid.resin_count = w.grid.mold_count = side;
        w.grid.room_count = 1;
        w.grid.room_K[0] = piece->shop.air_K;
        for (size_t i = 0; i < side; i++) {
            double share = (double)i / (double)(side - 1);
            w.grid.resin_K[i] = piece->shop.resin_K + 12.0 * share;
            w.grid.mold_K[i] = piece->shop.mold_K + 20.0 * share;
        }
        struct timing t = measure(warm, &w);
        printf("%8zu %10.1f %10.1f %12.2f\n", side * side, t.clock_ms, t.cpu_ms,
               t.cpu_ms / plain->cpu_ms);
    }
}

struct fitting {
    pc_tests tests;
    pc_resin resin;
};

static int fit(void *context) {
    struct fitting *f = context;
    pc_tests_fit fit;
    pc_status status = pc_tests_fit_run(&f->tests, &f->resin, NULL, &fit, NULL);
    pc_tests_fit_free(&fit);
    return status == PC_OK;
}

static int refuse(pc_errors *errors) {
    char text[900];
    for (size_t i = 0; i < errors->count; i++) {
        pc_error_format(&errors->item[i], text, sizeof text);
        fprintf(stderr, "bench_margins: %s\n", text);
    }
    pc_errors_free(errors);
    return EXIT_FAILURE;
}

int main(int argc, char **argv) {
    static pc_piece piece;
    struct fitting fitting;
    pc_errors errors = PC_ERRORS_INIT;
    if (argc != 4) {
        fprintf(stderr, "usage: bench_margins PIECE RESIN CSV\n");
        return EXIT_FAILURE;
    }
    if (pc_piece_read(argv[1], &piece, &errors) != PC_OK ||
        pci_resin_read(argv[2], &fitting.resin, &errors) != PC_OK ||
        pc_tests_read(argv[3], &fitting.tests, &errors) != PC_OK)
        return refuse(&errors);
    piece.part_count = 1;
    piece.part[0].layers_asked = 3;
    bench_planning(argv[1], &piece);
    struct timing plain = bench_samples(&piece);
    bench_warm(&piece, &plain);
    struct timing t = measure(fit, &fitting);
    printf("\ncuptest: fit of %zu tests %.1f ms, processors %.1f ms\n", fitting.tests.count,
           t.clock_ms, t.cpu_ms);
    pc_tests_free(&fitting.tests);
    pc_piece_free(&piece);
    return EXIT_SUCCESS;
}
