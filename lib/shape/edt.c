/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "shape/edt.h"

#include <math.h>
#include <stdlib.h>

#include "solve/threads.h"

/* Lines along y and z are taken BLOCK at a time, so that whole cache lines are moved. */
enum { BLOCK = 16, SIDE = PCI_VOXELS_SIDE_MOST };

typedef struct edt {
    const size_t *n;
    float *value;
    int axis;
} edt;

/* Working space of one thread. */
typedef struct workspace {
    float value[BLOCK][SIDE];
    int seed[SIDE];
    double cut[SIDE + 1], f[SIDE];
} workspace;

/* Lower envelope of the parabolas (x - u)^2 + line[u], and its value at each cell. */
static void power_line(workspace *w, float *line, int n) {
    int q = -1;
    for (int u = 0; u < n; u++) {
        double f = (double)line[u];
        if (!(f < (double)INFINITY))
            continue;
        w->f[u] = f + (double)u * u;
        double start = -INFINITY;
        while (q >= 0) {
            int s = w->seed[q];
            start = (w->f[u] - w->f[s]) / (2.0 * (u - s));
            if (start > w->cut[q])
                break;
            q--;
        }
        q++;
        w->seed[q] = u;
        w->cut[q] = q == 0 ? -INFINITY : start;
    }
    if (q < 0)
        return;
    int last = q;
    q = 0;
    for (int u = 0; u < n; u++) {
        while (q < last && w->cut[q + 1] < u)
            q++;
        int s = w->seed[q];
        line[u] = (float)(w->f[s] - (double)s * s + (double)(u - s) * (u - s));
    }
}

static pc_status power_along(size_t other, void *context) {
    const edt *e = context;
    workspace *w = malloc(sizeof *w);
    if (!w)
        return PC_E_MEMORY;
    size_t nx = e->n[0], ny = e->n[1], n = e->n[e->axis];
    size_t base = e->axis == 2 ? nx * other : nx * ny * other;
    size_t step = e->axis == 1 ? nx : nx * ny;
    for (size_t y = 0; e->axis == 0 && y < ny; y++)
        power_line(w, e->value + base + nx * y, (int)nx);
    for (size_t x0 = 0; e->axis != 0 && x0 < nx; x0 += BLOCK) {
        size_t wide = nx - x0 < BLOCK ? nx - x0 : BLOCK;
        for (size_t u = 0; u < n; u++)
            for (size_t b = 0; b < wide; b++)
                w->value[b][u] = e->value[base + step * u + x0 + b];
        for (size_t b = 0; b < wide; b++)
            power_line(w, w->value[b], (int)n);
        for (size_t u = 0; u < n; u++)
            for (size_t b = 0; b < wide; b++)
                e->value[base + step * u + x0 + b] = w->value[b][u];
    }
    free(w);
    return PC_OK;
}

pc_status pci_edt_power_along(const size_t n[3], int axis, float *value) {
    edt e = {n, value, axis};
    return pci_in_threads(power_along, &e, axis == 2 ? n[1] : n[2]);
}

pc_status pci_edt_power(const size_t n[3], float *value) {
    pc_status status = PC_OK;
    for (int axis = 0; axis < 3 && status == PC_OK; axis++)
        status = pci_edt_power_along(n, axis, value);
    return status;
}
