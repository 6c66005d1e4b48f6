/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Air traps: a merge tree of the cavity, layer by layer from the top. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/try.h"
#include "pourclock/quantity.h"
#include "shape/pocket.h"
#include "shape/sweep.h"
#include "shape/vector.h"
#include "shape/voxels.h"

#define CELLS_TRAPS  ((size_t)2000000)
#define CELLS_SEARCH ((size_t)100000)
#define CELLS_BOUND  ((size_t)64000000)
enum { LEAST_DEPTH_CELLS = 2, DIRECTIONS = 128, DIRECTIONS_MOST = 4096, BEST = 4 };

static bool finite3(const double *x) {
    return isfinite(x[0]) && isfinite(x[1]) && isfinite(x[2]);
}

/* The inside cell nearest to a point, within two cells of it. */
static bool vent_cell(const pci_voxels *g, const double *vent_m, size_t cell[3]) {
    double c[3], best = 1e9;
    pci_voxels_cell(g, vent_m, c);
    for (int dz = -2; dz <= 2; dz++)
        for (int dy = -2; dy <= 2; dy++)
            for (int dx = -2; dx <= 2; dx++) {
                double p[3] = {floor(c[0] + 0.5) + dx, floor(c[1] + 0.5) + dy,
                               floor(c[2] + 0.5) + dz};
                double d[3];
                pci_minus(p, c, d);
                bool within = true;
                for (int a = 0; a < 3; a++)
                    within = within && p[a] >= 0.0 && p[a] < (double)g->n[a];
                if (!within || pci_dot(d, d) >= best ||
                    !g->inside[pci_voxels_at(g, (size_t)p[0], (size_t)p[1], (size_t)p[2])])
                    continue;
                best = pci_dot(d, d);
                for (int a = 0; a < 3; a++)
                    cell[a] = (size_t)p[a];
            }
    return best < 1e9;
}

/* The highest corner of the mesh over a pocket's top: finer than the cells. */
static void sharpen(const pc_mesh *mesh, const pci_voxels *g, const double top[3], double at_m[3]) {
    double best = top[2] - 0.5;
    pci_voxels_point(g, top, at_m);
    for (size_t v = 0; v < mesh->vertex_count; v++) {
        double c[3];
        pci_voxels_cell(g, mesh->vertex + 3 * v, c);
        if (c[2] > best && c[2] < top[2] + 1.5 && fabs(c[0] - top[0]) < 2.0 &&
            fabs(c[1] - top[1]) < 2.0) {
            best = c[2];
            memcpy(at_m, mesh->vertex + 3 * v, 3 * sizeof *at_m);
        }
    }
}

static int by_volume(const void *a, const void *b) {
    const pc_trap *s = a, *t = b;
    if (s->volume_m3 != t->volume_m3)
        return s->volume_m3 > t->volume_m3 ? -1 : 1;
    for (int i = 0; i < 3; i++)
        if (s->at_m[i] != t->at_m[i])
            return s->at_m[i] < t->at_m[i] ? -1 : 1;
    return 0;
}

/* Gives trap i and all that hang together with it one group: those reached wait in a list for their
 * own neighbors to be looked for. waiting: room for as many as there are traps. */
static void spread_group(pc_traps *t, size_t i, int group, double join_m, size_t *waiting) {
    size_t count = 0;
    t->trap[i].group = group;
    waiting[count++] = i;
    while (count > 0) {
        const pc_trap *from = &t->trap[waiting[--count]];
        for (size_t k = 0; k < t->count; k++) {
            double d[3];
            pci_minus(t->trap[k].at_m, from->at_m, d);
            if (t->trap[k].group >= 0 || !(pci_length(d) <= join_m))
                continue;
            t->trap[k].group = group;
            waiting[count++] = k;
        }
    }
}

/* A vent runs straight up through the rubber to the level of the highest corner; where another part
 * of the cavity lies above the trap it would open into that. */
static void plan_vents(const pc_mesh *mesh, pc_traps *t) {
    double highest = -INFINITY;
    for (size_t v = 0; v < mesh->vertex_count; v++)
        highest = fmax(highest, pci_dot(mesh->vertex + 3 * v, t->up));
    for (size_t i = 0; i < t->count; i++) {
        pc_trap *trap = &t->trap[i];
        double from[3];
        trap->vent_run_m = fmax(highest - pci_dot(trap->at_m, t->up), 0.0);
        trap->vent_clear = true;
        for (int a = 0; a < 3; a++) /* from where the trap's own surface is past */
            from[a] = trap->at_m[a] + fmax(trap->depth_m * 0.1, t->cell_m) * t->up[a];
        for (size_t f = 0; f < mesh->facet_count && trap->vent_clear; f++)
            trap->vent_clear = !pci_ray_crosses(mesh, f, from, t->up);
    }
}

static pc_status group_traps(pc_traps *t, double join_m) {
    size_t *waiting = malloc((t->count + 1) * sizeof *waiting);
    int group = 0;
    if (!waiting)
        return PC_E_MEMORY;
    for (size_t i = 0; i < t->count; i++)
        t->trap[i].group = -1;
    for (size_t i = 0; i < t->count; i++)
        if (t->trap[i].group < 0)
            spread_group(t, i, group++, join_m, waiting);
    free(waiting);
    return PC_OK;
}

static uint32_t corner_at(const pc_mesh *mesh, const double at_m[3]) {
    double best = INFINITY;
    size_t nearest = 0;
    for (size_t v = 0; v < mesh->vertex_count; v++) {
        double d[3];
        pci_minus(mesh->vertex + 3 * v, at_m, d);
        if (pci_dot(d, d) < best) {
            best = pci_dot(d, d);
            nearest = v;
        }
    }
    return (uint32_t)nearest;
}

/* The saddle and the air above it from the mesh itself, where they agree with the cells to what
 * counting cells can err by; parts that overlap, or a hollow in the air, leave it at the cells. */
static void sharpen_trap(pci_pocket_room *room, const pci_voxels *g, const pci_pocket *p,
                         const double *vent_m, pc_trap *t) {
    double saddle, volume, area, level = NAN;
    double here = pci_dot(t->at_m, g->axis[2]) - t->depth_m,
           vent = vent_m ? pci_dot(vent_m, g->axis[2]) : NAN;
    if (p->to_vent && fabs(vent - here) <= 1.5 * g->h)
        level = vent; /* it joins at the hole itself */
    /* A tip can be too thin for a cell. */
    uint32_t corner = pci_pocket_climb(room, corner_at(room->mesh, t->at_m));
    if (!pci_pocket_measure(room, g->axis[2], corner, here - g->h, here + g->h, level, &saddle,
                            &volume, &area) ||
        !(fabs(volume - t->volume_m3) <= 0.75 * g->h * area))
        return;
    memcpy(t->at_m, room->mesh->vertex + 3 * (size_t)corner, sizeof t->at_m);
    t->depth_m = room->height[corner] - saddle;
    t->volume_m3 = volume;
}

static pc_status take_pockets(const pc_mesh *mesh, const pci_voxels *g, const pci_sweep *s,
                              const double *vent_m, pc_traps *traps) {
    pci_pocket_room room = {0};
    bool overlaps = mesh->report.overlap_m3 > 0.0;
    traps->trap = calloc(s->count + 1, sizeof *traps->trap);
    if (!traps->trap)
        return PC_E_MEMORY;
    pc_status status = s->count > 0 ? pci_pocket_room_make(mesh, g->axis[2], &room) : PC_OK;
    double cell_m3 = g->h * g->h * g->h;
    for (size_t i = 0; i < s->count && status == PC_OK; i++) {
        const pci_pocket *p = &s->pocket[i];
        if (p->top[2] - p->saddle < LEAST_DEPTH_CELLS)
            continue;
        pc_trap *t = &traps->trap[traps->count++];
        double saddle[3] = {p->top[0], p->top[1], p->saddle + 0.5}, saddle_m[3];
        sharpen(mesh, g, p->top, t->at_m);
        pci_voxels_point(g, saddle, saddle_m);
        pci_minus(t->at_m, saddle_m, saddle);
        t->depth_m = pci_dot(saddle, g->axis[2]);
        t->volume_m3 = (double)p->cells * cell_m3;
        if (!overlaps)
            sharpen_trap(&room, g, p, vent_m, t);
        traps->trapped_m3 += p->to_vent ? t->volume_m3 : 0.0;
    }
    pci_pocket_room_free(&room);
    qsort(traps->trap, traps->count, sizeof *traps->trap, by_volume);
    return status;
}

static pc_status sweep_mesh(const pc_mesh *mesh, const double *up, const double *vent_m,
                            size_t most_cells, pci_voxels *g, pci_sweep *s) {
    size_t vent[3];
    memset(s, 0, sizeof *s);
    double size[3];
    pci_minus(mesh->report.high_m, mesh->report.low_m, size);
    PCI_TRY(pci_voxels_fill(mesh, up, pci_length(size) / 4000.0, most_cells, g));
    if (vent_m && !vent_cell(g, vent_m, vent))
        return PC_E_VALUE;
    return pci_sweep_down(g->n, g->inside, vent_m ? vent : NULL, s);
}

/* Which pocket's top lies above the vent's, though both are in one layer of cells; the count: none.
 */
static size_t higher_pocket(const pc_mesh *mesh, const pci_voxels *g, const pci_sweep *s) {
    double at_m[3];
    size_t found = s->count;
    sharpen(mesh, g, s->highest, at_m);
    double highest = pci_dot(at_m, g->axis[2]) + 1e-9 * g->h;
    for (size_t i = 0; i < s->count; i++) {
        if (s->pocket[i].top[2] < s->highest[2])
            continue;
        sharpen(mesh, g, s->pocket[i].top, at_m);
        if (!(pci_dot(at_m, g->axis[2]) > highest))
            continue;
        highest = pci_dot(at_m, g->axis[2]);
        found = i;
    }
    return found;
}

/* Without a vent the air leaves by the highest point of all: where two parts end in one layer of
 * cells, the corners of the mesh say which is higher. */
static pc_status settle_highest(const pc_mesh *mesh, const pci_voxels *g, pci_sweep *s) {
    size_t i = higher_pocket(mesh, g, s);
    if (i == s->count)
        return PC_OK;
    size_t vent[3];
    for (int a = 0; a < 3; a++)
        vent[a] = (size_t)s->pocket[i].top[a];
    pci_sweep_free(s);
    pc_status status = pci_sweep_down(g->n, g->inside, vent, s);
    for (int a = 0; a < 3; a++)
        s->highest[a] = (double)vent[a];
    return status;
}

static pc_status check(const pc_mesh *mesh, const double *vent_m) {
    if (!mesh || !mesh->report.closed || (vent_m && !finite3(vent_m)))
        return PC_E_ARGUMENT;
    return PC_OK;
}

/* One vent serves a group: as long as the longest of it. */
static void sum_vents(pc_traps *t) {
    for (size_t i = 0; i < t->count; i++) {
        double longest_m = t->trap[i].vent_run_m;
        bool first = true;
        for (size_t k = 0; k < t->count; k++) {
            if (t->trap[k].group != t->trap[i].group)
                continue;
            first = first && k >= i;
            longest_m = fmax(longest_m, t->trap[k].vent_run_m);
        }
        t->vents_m += first ? longest_m : 0.0;
        t->groups += first;
    }
}

pc_status pc_mesh_traps(const pc_mesh *mesh, const double up[3], const double *vent_m,
                        double join_m, size_t most_cells, pc_traps *traps) {
    if (!traps)
        return PC_E_ARGUMENT;
    memset(traps, 0, sizeof *traps);
    if (check(mesh, vent_m) != PC_OK || !up || !finite3(up) || !(pci_length(up) > 1e-9) ||
        !(pci_length(up) < 1e9) || !(join_m >= 0.0))
        return PC_E_ARGUMENT;
    if (most_cells == 0)
        most_cells = CELLS_TRAPS;
    most_cells = most_cells > CELLS_BOUND ? CELLS_BOUND : most_cells < 1000 ? 1000 : most_cells;
    pci_voxels g;
    pci_sweep s;
    pc_status status = sweep_mesh(mesh, up, vent_m, most_cells, &g, &s);
    if (status == PC_OK && !vent_m)
        status = settle_highest(mesh, &g, &s);
    if (status == PC_OK)
        status = take_pockets(mesh, &g, &s, vent_m, traps);
    if (status == PC_OK)
        status = group_traps(traps, join_m);
    if (status == PC_OK) {
        memcpy(traps->up, g.axis[2], sizeof traps->up);
        traps->cell_m = g.h;
        if (vent_m)
            memcpy(traps->vent_m, vent_m, sizeof traps->vent_m);
        else
            sharpen(mesh, &g, s.highest, traps->vent_m);
        plan_vents(mesh, traps);
        sum_vents(traps);
    }
    pci_sweep_free(&s);
    pci_voxels_free(&g);
    if (status != PC_OK)
        pc_traps_free(traps);
    return status;
}

void pc_traps_free(pc_traps *traps) {
    if (!traps)
        return;
    free(traps->trap);
    memset(traps, 0, sizeof *traps);
}

/* A way up, on a coarse grid: the air it shuts in, m3, and the vents that let it out. Both are more
 * than any where the hole lies in a passage that is too narrow for this grid as it is turned. */
typedef struct candidate {
    double up[3], volume, run_m;
    size_t vents;
} candidate;

typedef struct up_search {
    const pc_mesh *mesh;
    const double *vent_m;
    bool fewest;   /* vents, instead of the least air */
    double join_m; /* of groups that share a vent */
} up_search;

/* How many vents the pockets take, one for each group, and the length of all of them. */
static pc_status count_vents(const up_search *u, const pci_voxels *g, const pci_sweep *s,
                             candidate *c) {
    pc_traps t = {.trap = calloc(s->count + 1, sizeof *t.trap)};
    if (!t.trap)
        return PC_E_MEMORY;
    for (size_t i = 0; i < s->count; i++) {
        const pci_pocket *p = &s->pocket[i];
        if (p->top[2] - p->saddle < LEAST_DEPTH_CELLS)
            continue;
        pci_voxels_point(g, p->top, t.trap[t.count].at_m);
        t.trap[t.count++].vent_run_m = (s->highest[2] - p->top[2]) * g->h;
    }
    pc_status status = group_traps(&t, u->join_m);
    for (size_t i = 0; i < t.count && status == PC_OK; i++) {
        double longest = 0.0;
        if (t.trap[i].group != (int)c->vents)
            continue;
        for (size_t k = i; k < t.count; k++)
            if (t.trap[k].group == (int)c->vents)
                longest = fmax(longest, t.trap[k].vent_run_m);
        c->run_m += longest;
        c->vents++;
    }
    free(t.trap);
    return status;
}

static pc_status judge_up(const up_search *u, candidate *c) {
    pci_voxels g;
    pci_sweep s;
    pc_status status = sweep_mesh(u->mesh, c->up, u->vent_m, CELLS_SEARCH, &g, &s);
    c->volume = c->run_m = 0.0;
    c->vents = 0;
    for (size_t i = 0; i < s.count && status == PC_OK; i++)
        if (s.pocket[i].to_vent && s.pocket[i].top[2] - s.pocket[i].saddle >= 1.0)
            c->volume += (double)s.pocket[i].cells * g.h * g.h * g.h;
    if (status == PC_OK && u->fewest)
        status = count_vents(u, &g, &s, c);
    pci_sweep_free(&s);
    pci_voxels_free(&g);
    if (status != PC_E_VALUE)
        return status;
    c->volume = c->run_m = INFINITY;
    c->vents = SIZE_MAX;
    return PC_OK;
}

static bool better_up(const up_search *u, const candidate *a, const candidate *b) {
    if (u->fewest && a->vents != b->vents)
        return a->vents < b->vents;
    if (u->fewest && a->run_m != b->run_m)
        return a->run_m < b->run_m;
    return a->volume < b->volume;
}

static void keep_best(const up_search *u, candidate best[BEST], const candidate *c) {
    for (int i = 0; i < BEST; i++) {
        if (!better_up(u, c, &best[i]))
            continue;
        memmove(best + i + 1, best + i, (size_t)(BEST - 1 - i) * sizeof *best);
        best[i] = *c;
        return;
    }
}

/* Steps to six sides, halved from round to round; the first is about half the way between two of
 * the directions tried by default. */
static pc_status improve(const up_search *u, candidate *c) {
    enum { ROUNDS = 4 };
    double step = 0.12;
    for (int round = 0; round < ROUNDS && (u->fewest ? c->vents > 0 : c->volume > 0.0);
         round++, step /= 2.0) {
        for (int side = 0; side < 6; side++) {
            candidate try = *c;
            try.up[side % 3] += side < 3 ? step : -step;
            double length = pci_length(try.up);
            for (int a = 0; a < 3; a++)
                try.up[a] /= length;
            PCI_TRY(judge_up(u, &try));
            if (better_up(u, &try, c))
                *c = try;
        }
    }
    return PC_OK;
}

/* The six ways along the axes, then a spiral over the sphere. */
static void direction_of(size_t i, size_t directions, double up[3]) {
    double z = 1.0 - 2.0 * ((double)i - 6.0 + 0.5) / ((double)directions + 1.0);
    double turn = ((double)i - 6.0) * PC_PI * (3.0 - sqrt(5.0));
    if (i < 6) {
        up[(i / 2 + 2) % 3] = i % 2 ? -1.0 : 1.0;
        return;
    }
    up[0] = sqrt(1.0 - z * z) * cos(turn);
    up[1] = sqrt(1.0 - z * z) * sin(turn);
    up[2] = z;
}

static pc_status find_up(const up_search *u, size_t directions, double up[3]) {
    if (check(u->mesh, u->vent_m) != PC_OK || !up || !(u->join_m >= 0.0))
        return PC_E_ARGUMENT;
    if (directions == 0)
        directions = DIRECTIONS;
    if (directions > DIRECTIONS_MOST)
        directions = DIRECTIONS_MOST;
    candidate best[BEST];
    for (int i = 0; i < BEST; i++)
        best[i] = (candidate){{0.0, 0.0, 1.0}, INFINITY, INFINITY, SIZE_MAX};
    for (size_t i = 0; i <= directions + 6; i++) {
        candidate c = {.up = {0.0, 0.0, 0.0}};
        direction_of(i, directions, c.up);
        PCI_TRY(judge_up(u, &c));
        keep_best(u, best, &c);
    }
    for (int i = 0; i < BEST; i++) {
        PCI_TRY(improve(u, &best[i]));
        if (better_up(u, &best[i], &best[0]))
            best[0] = best[i];
    }
    if (!isfinite(best[0].volume))
        return PC_E_VALUE; /* the vent is nowhere inside, whichever way the grid is turned */
    memcpy(up, best[0].up, sizeof best[0].up);
    return PC_OK;
}

pc_status pc_mesh_way_up(const pc_mesh *mesh, const double *vent_m, bool fewest, double join_m,
                         size_t directions, double up[3]) {
    return find_up(&(up_search){mesh, vent_m, fewest, join_m}, directions, up);
}
