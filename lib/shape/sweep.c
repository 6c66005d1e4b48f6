/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "shape/sweep.h"
#include "base/grow.h"
#include "base/try.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define NONE UINT32_MAX

/* A connected part of what lies above the present layer. */
typedef struct part {
    uint32_t up; /* union-find */
    size_t top_layer, cells, top_cells;
    double top_x, top_y; /* sums over the cells of its top layer */
    uint32_t top_cell;   /* of them, the one nearest to their middle */
    bool vented;
} part;

typedef struct state {
    const size_t *n;
    const uint8_t *inside;
    pci_sweep *sweep;
    part *part;
    size_t parts, part_room;
    uint32_t *above, *here; /* part of each cell: of the layer above, of this one */
    uint32_t *blob;         /* union-find of this layer's cells */
    uint32_t *blob_part;
} state;

static uint32_t part_root(state *s, uint32_t p) {
    while (s->part[p].up != p) {
        s->part[p].up = s->part[s->part[p].up].up;
        p = s->part[p].up;
    }
    return p;
}

static uint32_t blob_root(uint32_t *blob, uint32_t b) {
    while (blob[b] != b) {
        blob[b] = blob[blob[b]];
        b = blob[b];
    }
    return b;
}

static pc_status record(state *s, const part *p, size_t layer, bool to_vent) {
    pci_sweep *w = s->sweep;
    pci_pocket *more = pci_grown(w->pocket, w->count, &w->room, sizeof *more);
    if (!more)
        return PC_E_MEMORY;
    w->pocket = more;
    pci_pocket *k = &w->pocket[w->count++];
    k->top[0] = (double)(p->top_cell % s->n[0]);
    k->top[1] = (double)(p->top_cell / s->n[0]);
    k->top[2] = (double)p->top_layer;
    k->saddle = (double)layer;
    k->cells = p->cells;
    k->to_vent = to_vent;
    return PC_OK;
}

/* Which of two parts lives on: the vented, then the higher, then the larger. */
static bool elder(const part *a, const part *b) {
    if (a->vented != b->vented)
        return a->vented;
    if (a->top_layer != b->top_layer)
        return a->top_layer > b->top_layer;
    return a->cells >= b->cells;
}

static pc_status merge(state *s, uint32_t a, uint32_t b, size_t layer, uint32_t *kept) {
    uint32_t old = elder(&s->part[a], &s->part[b]) ? a : b, young = old == a ? b : a;
    *kept = old;
    if (old == young)
        return PC_OK;
    pc_status status = PC_OK;
    if (!s->part[young].vented)
        status = record(s, &s->part[young], layer, s->part[old].vented);
    s->part[young].up = old;
    s->part[old].cells += s->part[young].cells;
    return status;
}

static void join_blobs(state *s, const uint8_t *layer) {
    size_t nx = s->n[0], ny = s->n[1];
    for (size_t y = 0; y < ny; y++)
        for (size_t x = 0; x < nx; x++) {
            uint32_t i = (uint32_t)(x + nx * y);
            s->blob[i] = i;
            s->blob_part[i] = NONE;
            if (!layer[i])
                continue;
            if (x > 0 && layer[i - 1])
                s->blob[i] = blob_root(s->blob, i - 1);
            if (y > 0 && layer[i - nx]) {
                uint32_t a = blob_root(s->blob, i), b = blob_root(s->blob, i - (uint32_t)nx);
                s->blob[a > b ? a : b] = a > b ? b : a;
            }
        }
}

static pc_status join_above(state *s, const uint8_t *layer, size_t z) {
    for (size_t i = 0; i < s->n[0] * s->n[1]; i++) {
        if (!layer[i] || s->above[i] == NONE)
            continue;
        uint32_t *mine = &s->blob_part[blob_root(s->blob, (uint32_t)i)];
        uint32_t upper = part_root(s, s->above[i]);
        if (*mine == NONE) {
            *mine = upper;
            continue;
        }
        PCI_TRY(merge(s, part_root(s, *mine), upper, z, mine));
    }
    return PC_OK;
}

static pc_status new_part(state *s, size_t z, uint32_t *number) {
    part *more = pci_grown(s->part, s->parts, &s->part_room, sizeof *more);
    if (!more)
        return PC_E_MEMORY;
    s->part = more;
    *number = (uint32_t)s->parts++;
    s->part[*number] = (part){*number, z, 0, 0, 0.0, 0.0, NONE, false};
    return PC_OK;
}

/* Gives every cell its part; parts that begin here get the middle of their top layer. */
static pc_status settle_layer(state *s, const uint8_t *layer, size_t z) {
    size_t nx = s->n[0], count = nx * s->n[1];
    for (size_t i = 0; i < count; i++) {
        s->here[i] = NONE;
        if (!layer[i])
            continue;
        uint32_t *p = &s->blob_part[blob_root(s->blob, (uint32_t)i)];
        if (*p == NONE) {
            PCI_TRY(new_part(s, z, p));
        }
        s->here[i] = part_root(s, *p);
        part *t = &s->part[s->here[i]];
        t->cells++;
        if (t->top_layer == z) {
            t->top_cells++;
            t->top_x += (double)(i % nx);
            t->top_y += (double)(i / nx);
        }
    }
    for (size_t i = 0; i < count; i++) {
        if (s->here[i] == NONE || s->part[s->here[i]].top_layer != z)
            continue;
        part *t = &s->part[s->here[i]];
        double cx = t->top_x / (double)t->top_cells, cy = t->top_y / (double)t->top_cells;
        double d = hypot((double)(i % nx) - cx, (double)(i / nx) - cy);
        if (t->top_cell == NONE ||
            d < hypot((double)(t->top_cell % nx) - cx, (double)(t->top_cell / nx) - cy))
            t->top_cell = (uint32_t)i;
    }
    return PC_OK;
}

/* The vent lies in this layer: what its part holds above is shut in; from here down it is open. */
static pc_status open_vent(state *s, const size_t *vent, size_t z) {
    size_t i = vent[0] + s->n[0] * vent[1];
    uint32_t p = s->blob_part[blob_root(s->blob, (uint32_t)i)];
    if (p == NONE)
        return PC_OK; /* settle_layer makes it; vented there */
    p = part_root(s, p);
    pc_status status = s->part[p].cells > 0 ? record(s, &s->part[p], z, true) : PC_OK;
    s->part[p].vented = true;
    return status;
}

static pc_status sweep_layer(state *s, const size_t *vent, size_t z) {
    const uint8_t *layer = s->inside + s->n[0] * s->n[1] * z;
    join_blobs(s, layer);
    pc_status status = join_above(s, layer, z);
    if (status == PC_OK && vent && vent[2] == z)
        status = open_vent(s, vent, z);
    if (status == PC_OK)
        status = settle_layer(s, layer, z);
    if (status == PC_OK && vent && vent[2] == z)
        s->part[s->here[vent[0] + s->n[0] * vent[1]]].vented = true;
    uint32_t *t = s->above;
    s->above = s->here;
    s->here = t;
    return status;
}

/* Without a vent given the highest part has it; parts never joined to that one have their own. */
static void mark_highest(state *s) {
    part *p = &s->part[0];
    s->sweep->highest[0] = (double)(p->top_cell % s->n[0]);
    s->sweep->highest[1] = (double)(p->top_cell / s->n[0]);
    s->sweep->highest[2] = (double)p->top_layer;
}

pc_status pci_sweep_down(const size_t n[3], const uint8_t *inside, const size_t *vent,
                         pci_sweep *sweep) {
    memset(sweep, 0, sizeof *sweep);
    size_t count = n[0] * n[1];
    uint32_t *room = malloc(4 * count * sizeof *room);
    if (!room)
        return PC_E_MEMORY;
    state s = {
        n, inside, sweep, NULL, 0, 0, room, room + count, room + 2 * count, room + 3 * count};
    for (size_t i = 0; i < count; i++)
        s.above[i] = NONE;
    pc_status status = PC_OK;
    for (size_t z = n[2]; z-- > 0 && status == PC_OK;) {
        bool first = s.parts == 0;
        status = sweep_layer(&s, vent, z);
        if (status == PC_OK && first && s.parts > 0) {
            mark_highest(&s);
            if (!vent)
                s.part[0].vented = true;
        }
    }
    free(room);
    free(s.part);
    return status;
}

void pci_sweep_free(pci_sweep *sweep) {
    free(sweep->pocket);
    memset(sweep, 0, sizeof *sweep);
}
