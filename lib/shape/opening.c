/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "shape/opening.h"

#include <stdlib.h>

#include "base/grow.h"
#include "shape/queue.h"
#include "shape/vector.h"

/* A ball's center may be less deep than its radius by this, which facets of a smooth surface and
 * rounding make it. */
#define SLACK_CELLS 0.05
#define SLACK_SHARE 0.005
#define NO_BALL     UINT32_MAX

typedef struct opening {
    pci_band *band;
    double radius;
    float *beyond;
    uint32_t *ball; /* of each cell: which center */
    double *center; /* three numbers each, in cells */
    size_t centers, room;
    pci_queue queue;
} opening;

static void center_of(const pci_band *b, uint32_t cell, double x[3]) {
    size_t place[3];
    pci_band_place(b, cell, place);
    for (int a = 0; a < 3; a++)
        x[a] = (double)place[a];
}

static bool add_center(opening *o, const double at[3], uint32_t *ball) {
    double *more = pci_grown(o->center, o->centers, &o->room, 3 * sizeof *more);
    if (!more || o->centers >= NO_BALL)
        return false;
    o->center = more;
    for (size_t a = 0; a < 3; a++)
        o->center[3 * o->centers + a] = at[a];
    *ball = (uint32_t)o->centers++;
    return true;
}

/* The center of the ball that touches the surface at the foot of a cell; false where it does not
 * fit. */
static bool own_ball(const opening *o, uint32_t cell, double depth, double at[3]) {
    double x[3], foot[3];
    center_of(o->band, cell, x);
    pci_band_distance(o->band, cell, x, foot);
    if (!(fabs(depth) > 1e-6))
        return false;
    for (int a = 0; a < 3; a++)
        at[a] = foot[a] + (x[a] - foot[a]) * o->radius / depth;
    uint32_t there = pci_band_cell_at(o->band, at);
    if (there == PCI_NO_CELL)
        return false;
    double deep = pci_band_distance(o->band, there, at, foot);
    return deep < (double)INFINITY && deep >= o->radius * (1.0 - SLACK_SHARE) - SLACK_CELLS;
}

/* A cell's own ball where it fits, or the one it is the center of. */
static bool start_cell(opening *o, uint32_t cell) {
    double depth = pci_band_depth(o->band, cell), at[3];
    o->ball[cell] = NO_BALL;
    o->beyond[cell] = -INFINITY;
    if (!(fabs(depth) < (double)INFINITY))
        return true;
    bool fits = true;
    if (depth >= o->radius)
        center_of(o->band, cell, at);
    else
        fits = own_ball(o, cell, depth, at);
    if (!fits)
        o->beyond[cell] = INFINITY;
    return !fits || add_center(o, at, &o->ball[cell]);
}

static bool offer_ball(opening *o, uint32_t cell, uint32_t ball) {
    double x[3], d[3];
    center_of(o->band, cell, x);
    pci_minus(x, o->center + 3 * (size_t)ball, d);
    float beyond = (float)(pci_length(d) - o->radius);
    if (!(beyond < o->beyond[cell]))
        return true;
    o->beyond[cell] = beyond;
    o->ball[cell] = ball;
    return pci_queue_push(&o->queue, cell, (double)beyond + o->radius);
}

/* Offers a cell's ball to its neighbors that have none of their own. */
static bool hand_on(opening *o, uint32_t cell) {
    for (int side = 0; side < 6; side++) {
        uint32_t to = pci_band_beside(o->band, cell, side);
        if (to != PCI_NO_CELL && o->beyond[to] > -INFINITY && o->ball[to] != o->ball[cell] &&
            !offer_ball(o, to, o->ball[cell]))
            return false;
    }
    return true;
}

static bool spread_balls(opening *o) {
    uint32_t cell, cells = (uint32_t)(o->band->blocks * PCI_BLOCK_CELLS);
    size_t step;
    for (cell = 0; cell < cells; cell++)
        if (!start_cell(o, cell))
            return false;
    for (cell = 0; cell < cells; cell++)
        if (o->ball[cell] != NO_BALL && o->beyond[cell] == -INFINITY && !hand_on(o, cell))
            return false;
    while (pci_queue_pop(&o->queue, &cell, &step))
        if (pci_queue_step((double)o->beyond[cell] + o->radius) == step && !hand_on(o, cell))
            return false;
    return true;
}

pc_status pci_band_open(pci_band *band, double radius, float *beyond) {
    size_t cells = band->blocks * PCI_BLOCK_CELLS;
    opening o = {.band = band, .radius = radius, .beyond = beyond};
    o.ball = malloc((cells + 1) * sizeof *o.ball);
    bool done = o.ball && spread_balls(&o);
    free(o.ball);
    free(o.center);
    pci_queue_free(&o.queue);
    return done ? PC_OK : PC_E_MEMORY;
}
