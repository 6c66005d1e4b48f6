/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Anchoring a resin to its data sheet, against the same fit by another program
 * (reference_anchor.c on SUNDIALS CVODE) in the same run. Nothing here is a test. The sheets are
 * those of tests/data/reference_anchor.txt: bench_anchor TABLE [once], where once leaves the
 * reference out, for profilers. */
#include "bench.h"
#include "reference.h"
#include "sheet/datum.h"

#include <math.h>
#include <string.h>

enum { KINDS = 6, RUNS = 9 };

static void add(pc_resin *resin, pc_datum_kind kind, double value, double thickness_m) {
    pc_datum *datum = &resin->sheet.datum[resin->sheet.count];
    if (!(value > 0.0))
        return;
    *datum = pci_datum_new(kind);
    datum->value = value;
    if (thickness_m > 0.0)
        datum->thickness_m = thickness_m;
    datum->spread = pci_datum_spread(datum);
    resin->sheet.count++;
}

/* One sheet of the table; false for a line that is none. */
static bool read_sheet(const char *line, pc_resin *resin) {
    static const pc_datum_kind kind[KINDS] = {PC_DATUM_POT_LIFE, PC_DATUM_GEL,  PC_DATUM_DEMOLD,
                                              PC_DATUM_FILM_GEL, PC_DATUM_PEAK, PC_DATUM_PEAK_TIME};
    char family[32];
    double v[KINDS], demold_mm;
    if (line[0] == '#' || sscanf(line, "%31s %lf %lf %lf %lf %lf %lf %lf", family, &v[0], &v[1],
                                 &v[2], &demold_mm, &v[3], &v[4], &v[5]) != 8)
        return false;
    if (pc_resin_defaults((pc_family)pc_family_from_word(family), resin) != PC_OK)
        stop("the table");
    for (int k = 0; k < KINDS; k++)
        add(resin, kind[k], v[k], kind[k] == PC_DATUM_DEMOLD ? 1e-3 * demold_mm : 0.0);
    return true;
}

/* Middle of RUNS, processor time, ms. */
static double time_ours(const pc_resin *sheet) {
    double took[RUNS];
    for (int i = 0; i < RUNS; i++) {
        pc_resin resin = *sheet;
        double start = cpu_s();
        if (pc_resin_anchor(&resin, NULL) != PC_OK)
            stop("anchoring");
        took[i] = 1e3 * (cpu_s() - start);
    }
    qsort(took, RUNS, sizeof *took, by_size);
    return took[RUNS / 2];
}

static double time_reference(const pc_resin *sheet) {
    pc_resin resin = *sheet;
    double film_s, film_sd, start = cpu_s();
    if (ref_anchor(&resin, &film_s, &film_sd))
        stop("the reference");
    return 1e3 * (cpu_s() - start);
}

int main(int argc, char **argv) {
    char line[512];
    pc_resin resin;
    FILE *table = argc > 1 ? fopen(argv[1], "r") : NULL;
    bool once = argc > 2 && strcmp(argv[2], "once") == 0;
    double slowest_ms = 0.0;
    if (!table)
        stop("opening the table of sheets (bench_anchor TABLE [once])");
    if (!once)
        printf("Anchoring a sheet: ours against Gauss-Newton on CVODE (goal: under 50 ms)\n"
               "  %8s %12s %7s  %s\n",
               "ours ms", "reference ms", "ratio", "family; pot, gel, demold, film, peak");
    while (fgets(line, sizeof line, table)) {
        if (!read_sheet(line, &resin))
            continue;
        if (once) {
            if (pc_resin_anchor(&resin, NULL) != PC_OK)
                stop("anchoring");
            continue;
        }
        double ours = time_ours(&resin), reference = time_reference(&resin);
        slowest_ms = fmax(slowest_ms, ours);
        printf("  %8.1f %12.0f %7.3f  %s", ours, reference, ours / reference, line);
    }
    if (!once)
        printf("  slowest %.1f ms\n", slowest_ms);
    fclose(table);
    return 0;
}
