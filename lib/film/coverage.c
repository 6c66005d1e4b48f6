/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How the pool gets round: faced places, passes, gaps, dwell. */
#include <math.h>
#include <stdlib.h>

#include "base/try.h"
#include "film/cells.h"
#include "film/program.h"

#define PATH_MOST 250000 /* steps looked at; a machine closes within some thousands */

struct place_watch { /* one place */
    double x, y, z;
    double facing; /* largest cosine to the path */
    double first_s, last_s, longest_s, under_s;
    bool under;
};

struct path {
    double (*down)[3];
    double *time_s;
    size_t count;
    double end_s;
};

static void path_free(struct path *path) {
    free(path->down);
    free(path->time_s);
}

/* The path of gravity from 0 to end_s, in steps of at most `step` rad; to an earlier end_s where it
 * would take more steps than are looked at. */
static pc_status path_make(const struct pci_program *program, double end_s, double step,
                           struct path *path) {
    size_t room = 1024;
    *path = (struct path){malloc(room * sizeof *path->down), malloc(room * sizeof *path->time_s), 0,
                          end_s};
    for (double t = 0; path->down && path->time_s && t < end_s;
         t = pci_program_step(program, t, step).end_s) {
        if (path->count == PATH_MOST) {
            path->end_s = t;
            break;
        }
        if (path->count == room) {
            room *= 2;
            double(*down)[3] = realloc(path->down, room * sizeof *down);
            path->down = down ? down : path->down;
            double *time = realloc(path->time_s, room * sizeof *time);
            path->time_s = time ? time : path->time_s;
            if (!down || !time)
                return PC_E_MEMORY;
        }
        pci_program_down(program, t, path->down[path->count], NULL);
        path->time_s[path->count++] = t;
    }
    return path->down && path->time_s ? PC_OK : PC_E_MEMORY;
}

/* The pool comes over a place, or leaves it: a pass counts when it leaves. */
static void change_side(struct place_watch *w, double time_s) {
    w->under_s += w->under ? time_s : -time_s;
    if (w->under) {
        if (isnan(w->last_s))
            w->first_s = time_s;
        else
            w->longest_s = fmax(w->longest_s, time_s - w->last_s);
        w->last_s = time_s;
    }
    w->under = !w->under;
}

/* Follow one place along the path: its passes. */
static void follow(const struct path *path, double least_cosine, bool closed,
                   struct place_watch *w) {
    double facing = -1;
    w->first_s = w->last_s = NAN;
    for (size_t i = 0; i < path->count; i++) {
        const double *down = path->down[i];
        double c = w->x * down[0] + w->y * down[1] + w->z * down[2];
        facing = c > facing ? c : facing;
        if ((c >= least_cosine) != w->under)
            change_side(w, path->time_s[i]);
    }
    w->facing = facing;
    w->under_s += w->under ? path->end_s : 0;
    if (isnan(w->last_s)) { /* never left: always under it, or never, or still in its first pass */
        bool always = w->under_s >= path->end_s * (1 - 1e-9);
        w->longest_s = always ? 0 : w->under ? path->end_s : INFINITY;
        return;
    }
    double round = closed ? w->first_s + path->end_s - w->last_s
                          : fmax(w->first_s, w->under ? 0 : path->end_s - w->last_s);
    w->longest_s = fmax(w->longest_s, round);
}

static double nearest(const struct path *path, const double *at) {
    double best = -1;
    for (size_t i = 0; i < path->count; i++) {
        const double *d = path->down[i];
        double c = at[0] * d[0] + at[1] * d[1] + at[2] * d[2];
        best = c > best ? c : best;
    }
    return best;
}

/* Climb from a place to the middle of the hole in the path it lies in. */
static double widest(const struct path *path, double at[3], double reach) {
    double best = nearest(path, at);
    for (double step = reach; step > 1e-4; step /= 2)
        for (int k = 0; k < 8; k++) {
            double e1[3] = {-at[1], at[0], 0}, e2[3];
            double flat = hypot(at[0], at[1]);
            if (flat < 1e-6) {
                e1[0] = 1;
                e1[1] = 0;
                flat = 1;
            }
            for (int j = 0; j < 3; j++)
                e1[j] /= flat;
            e2[0] = at[1] * e1[2] - at[2] * e1[1];
            e2[1] = at[2] * e1[0] - at[0] * e1[2];
            e2[2] = at[0] * e1[1] - at[1] * e1[0];
            double go[3], size = 0;
            for (int j = 0; j < 3; j++) {
                go[j] = at[j] + step * (cos(k * PC_PI / 4) * e1[j] + sin(k * PC_PI / 4) * e2[j]);
                size += go[j] * go[j];
            }
            for (int j = 0; j < 3; j++)
                go[j] /= sqrt(size);
            double there = nearest(path, go);
            if (there < best) {
                best = there;
                for (int j = 0; j < 3; j++)
                    at[j] = go[j];
            }
        }
    return acos(fmax(-1, fmin(1, best)));
}

static int by_gap(const void *a, const void *b) {
    double x = ((const struct place_watch *)a)->longest_s,
           y = ((const struct place_watch *)b)->longest_s;
    return (x > y) - (x < y);
}

/* The longest gap of all but one place in a hundred: the very longest hangs on grazing passes. */
static void longest_gap(struct place_watch *watch, size_t n, pc_coverage *coverage) {
    qsort(watch, n, sizeof *watch, by_gap);
    const struct place_watch *w = &watch[n - 1 - n / 100];
    coverage->gap_s = w->longest_s;
    coverage->gap_at[0] = w->x;
    coverage->gap_at[1] = w->y;
    coverage->gap_at[2] = w->z;
}

static void gather(const struct path *path, const struct place_watch *watch, size_t n,
                   pc_coverage *coverage) {
    const struct place_watch *lonely = watch;
    double sum = 0;
    size_t passed = 0;
    coverage->dwell_least = INFINITY;
    for (size_t i = 0; i < n; i++) {
        const struct place_watch *w = &watch[i];
        double dwell = w->under_s / path->end_s;
        if (w->facing < lonely->facing)
            lonely = w;
        if (isfinite(w->longest_s)) {
            sum += w->longest_s;
            passed++;
        }
        coverage->dwell_least = fmin(coverage->dwell_least, dwell);
        coverage->dwell_most = fmax(coverage->dwell_most, dwell);
    }
    coverage->missed = 1 - (double)passed / (double)n;
    coverage->mean_gap_s = passed ? sum / (double)passed : INFINITY;
    double at[3] = {lonely->x, lonely->y, lonely->z};
    coverage->never_faced_rad = widest(path, at, 2 / sqrt((double)n));
    for (int k = 0; k < 3; k++)
        coverage->never_faced_at[k] = at[k];
}

/* Time-weighted mean squares of the components. */
static void squares(const struct path *path, double square[3]) {
    for (size_t i = 0; i < path->count; i++) {
        double next = i + 1 < path->count ? path->time_s[i + 1] : path->end_s;
        for (int k = 0; k < 3; k++)
            square[k] += path->down[i][k] * path->down[i][k] * (next - path->time_s[i]);
    }
    for (int k = 0; k < 3; k++)
        square[k] /= path->end_s;
}

pc_status pci_turning_coverage(const pc_turning *turning, int mount, double pool_rad,
                               double horizon_s, int fineness, pc_coverage *coverage) {
    if (!turning || !coverage || mount < 0 || !(pool_rad > 0) || !(pool_rad <= PC_PI + 1e-9) ||
        !(horizon_s > 0) || !isfinite(horizon_s) || fineness < 0 || fineness > 16 ||
        turning->method == PC_DRAIN)
        return PC_E_ARGUMENT;
    PCI_TRY(pci_turning_check(turning, NULL));
    struct pci_program program;
    pci_program_start(&program, turning, mount);
    *coverage = (pc_coverage){.pool_rad = pool_rad};
    coverage->closure_s =
        pci_turning_closure(turning, &coverage->closure_outer, &coverage->closure_inner);
    bool closed = coverage->closure_s <= horizon_s;
    coverage->horizon_s = closed ? coverage->closure_s : horizon_s;
    int fine = fineness > 0 ? fineness : 1;
    size_t n = fineness == 0 ? 300 : 1200 * (size_t)fine;
    double step = (fineness == 0 ? 7.5 : 4.0 / fine) * PC_PI / 180;
    struct path path;
    pc_status status = path_make(&program, coverage->horizon_s, step, &path);
    closed = closed && path.end_s == coverage->horizon_s;
    coverage->horizon_s = path.end_s;
    double *place = malloc(3 * n * sizeof *place);
    struct place_watch *watch = calloc(n, sizeof *watch);
    if (!place || !watch)
        status = PC_E_MEMORY;
    if (status == PC_OK) {
        pci_lattice(n, place, place + n, place + 2 * n);
        for (size_t i = 0; i < n; i++) {
            watch[i].x = place[i];
            watch[i].y = place[n + i];
            watch[i].z = place[2 * n + i];
            follow(&path, cos(pool_rad), closed, &watch[i]);
        }
        gather(&path, watch, n, coverage);
        longest_gap(watch, n, coverage);
        squares(&path, coverage->square);
        coverage->locks = isfinite(coverage->closure_s) && coverage->never_faced_rad > PC_LOCK_RAD;
    }
    path_free(&path);
    free(place);
    free(watch);
    return status;
}
