/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "shape/band.h"

#include <stdlib.h>
#include <string.h>

#include "base/grow.h"
#include "base/try.h"
#include "shape/queue.h"
#include "shape/vector.h"

enum { PAD = 2, SIDE_MOST = 1 << 20, BLOCKS_EXTRA = 4096 };
/* Room for cells beyond those expected: blocks are not full. */
#define CELLS_OVER 32.0
#define NO_FACET   UINT32_MAX
/* Outside, depth counts up to half a cell, through which the surface passes. */
#define OUTSIDE_MOST 0.5
#define INSIDE_EXTRA 0.5
/* Below this mean area of a facet, in faces of a cell, the nearest is looked for around corners. */
#define FINE_FACETS 4.0

/* Where the first cell's center stands before the box: odd shares of a cell, so that corners and
 * edges of a model do not fall on lines of the grid. */
static const double shift[3] = {0.3719, 0.4127, 0.2918};

typedef struct growing {
    pci_band *band;
    pci_queue queue;
    size_t site_room;
} growing;

static bool set_box(pci_band *b, double h) {
    const pc_mesh_report *r = &b->mesh->report;
    double lines = 0.0;
    for (int a = 0; a < 3; a++) {
        double side = (r->high_m[a] - r->low_m[a]) / h + 2 * PAD + 2;
        if (!(side < SIDE_MOST))
            return false;
        b->n[a] = ((size_t)side + PCI_BLOCK_SIDE) / PCI_BLOCK_SIDE * PCI_BLOCK_SIDE;
        b->low[a] = r->low_m[a] - (PAD + shift[a]) * h;
    }
    for (size_t a = 0; a < 3; a++)
        lines = fmax(lines, (double)b->n[a] * (double)b->n[(a + 1) % 3]);
    b->h = h;
    return lines <= (double)PCI_BAND_LINES_MOST;
}

static pc_status count_corners(pci_band *b) {
    b->at = malloc((b->mesh->vertex_count + 1) * 3 * sizeof *b->at);
    if (!b->at)
        return PC_E_MEMORY;
    for (size_t v = 0; v < b->mesh->vertex_count; v++)
        for (size_t a = 0; a < 3; a++)
            b->at[3 * v + a] = (b->mesh->vertex[3 * v + a] - b->low[a]) / b->h;
    return PC_OK;
}

static size_t slot_of(const pci_band *b, const uint32_t place[3]) {
    uint64_t k = ((uint64_t)place[0] << 42 | (uint64_t)place[1] << 21 | place[2]) + 1;
    k *= 0x9E3779B97F4A7C15u;
    k = (k ^ (k >> 31)) * 0xBF58476D1CE4E5B9u;
    return (size_t)(k ^ (k >> 29)) & (b->slots - 1);
}

static size_t find_slot(const pci_band *b, const uint32_t place[3]) {
    size_t i = slot_of(b, place);
    while (b->slot[i] && memcmp(b->block[b->slot[i] - 1].place, place, 3 * sizeof *place) != 0)
        i = (i + 1) & (b->slots - 1);
    return i;
}

static bool grow_slots(pci_band *b) {
    size_t slots = b->slots ? 2 * b->slots : 1024;
    uint32_t *slot = calloc(slots, sizeof *slot);
    if (!slot)
        return false;
    free(b->slot);
    b->slot = slot;
    b->slots = slots;
    for (size_t k = 0; k < b->blocks; k++)
        b->slot[find_slot(b, b->block[k].place)] = (uint32_t)k + 1;
    return true;
}

/* What is inside, from the marks of the block's 64 columns. */
static void fill_block(const pci_band *b, pci_block *k) {
    size_t x0 = (size_t)k->place[0] * 8, y0 = (size_t)k->place[1] * 8;
    double z0 = (double)k->place[2] * 8.0;
    for (size_t y = 0; y < 8; y++)
        for (size_t x = 0; x < 8; x++) {
            size_t line = x0 + x + b->columns.nu * (y0 + y);
            size_t i = b->columns.start[line], end = b->columns.start[line + 1];
            int winding = 0;
            for (size_t z = 0; z < 8; z++) {
                for (; i < end && b->columns.mark[i].w < z0 + (double)z; i++)
                    winding = b->columns.mark[i].after;
                k->cell[x + 8 * (y + 8 * z)] =
                    (pci_cell){winding != 0 ? INFINITY : -INFINITY, NO_FACET};
            }
        }
}

/* The number of the block at a place, made where there is none; false where memory fails. */
static bool give_block(pci_band *b, const uint32_t place[3], uint32_t *number) {
    if (2 * (b->blocks + 1) > b->slots && !grow_slots(b))
        return false;
    size_t i = find_slot(b, place);
    if (!b->slot[i]) {
        if (b->blocks >= b->blocks_most)
            return false;
        if (b->blocks == b->block_room) {
            size_t room = b->block_room ? b->block_room + b->block_room / 2 : 64;
            pci_block *more =
                room < UINT32_MAX / PCI_BLOCK_CELLS ? realloc(b->block, room * sizeof *more) : NULL;
            if (!more)
                return false;
            b->block = more;
            b->block_room = room;
        }
        pci_block *k = &b->block[b->blocks++];
        memcpy(k->place, place, sizeof k->place);
        memset(k->next, 0, sizeof k->next);
        fill_block(b, k);
        b->slot[i] = (uint32_t)b->blocks;
    }
    *number = b->slot[i] - 1;
    return true;
}

static bool give_cell(pci_band *b, const size_t place[3], uint32_t *cell) {
    uint32_t block[3], number;
    for (int a = 0; a < 3; a++)
        block[a] = (uint32_t)(place[a] / 8);
    if (!give_block(b, block, &number))
        return false;
    *cell = number * PCI_BLOCK_CELLS +
            (uint32_t)(place[0] % 8 + 8 * (place[1] % 8 + 8 * (place[2] % 8)));
    return true;
}

static const uint32_t stride[3] = {1, 8, 64};

/* The cell one step along; its block is made with `give`, else PCI_NO_CELL where there is none.
 * False where memory fails. */
static bool step_beside(pci_band *b, uint32_t cell, int side, bool give, uint32_t *to) {
    uint32_t in = cell % PCI_BLOCK_CELLS, number = cell / PCI_BLOCK_CELLS;
    uint32_t a = (uint32_t)side / 2, here = in / stride[a] % 8;
    bool up = side % 2 == 0;
    *to = PCI_NO_CELL;
    if (up ? here < 7 : here > 0) {
        *to = up ? cell + stride[a] : cell - stride[a];
        return true;
    }
    uint32_t next = b->block[number].next[side];
    if (!next) {
        uint32_t place[3];
        memcpy(place, b->block[number].place, sizeof place);
        if (up ? (size_t)place[a] * 8 + 8 >= b->n[a] : place[a] == 0)
            return true;
        place[a] += up ? 1u : UINT32_MAX;
        if (give) {
            if (!give_block(b, place, &next))
                return false;
            next++;
        } else {
            next = b->slot[find_slot(b, place)];
        }
        if (!next)
            return true;
        b->block[number].next[side] = next;
    }
    in = up ? in - 7 * stride[a] : in + 7 * stride[a];
    *to = (next - 1) * PCI_BLOCK_CELLS + in;
    return true;
}

void pci_band_place(const pci_band *b, uint32_t cell, size_t place[3]) {
    const pci_block *k = &b->block[cell / PCI_BLOCK_CELLS];
    for (size_t a = 0; a < 3; a++)
        place[a] = (size_t)k->place[a] * 8 + cell % PCI_BLOCK_CELLS / stride[a] % 8;
}

void pci_band_point(const pci_band *b, uint32_t cell, double at_m[3]) {
    size_t place[3];
    pci_band_place(b, cell, place);
    for (int a = 0; a < 3; a++)
        at_m[a] = b->low[a] + b->h * (double)place[a];
}

static void cell_center(const pci_band *b, uint32_t cell, double x[3]) {
    size_t place[3];
    pci_band_place(b, cell, place);
    for (int a = 0; a < 3; a++)
        x[a] = (double)place[a];
}

/* Whether a point of the surface lies between the inside and the outside, and not within another
 * part: of the eight cells around it one at least is outside. */
static bool is_visible(const pci_band *b, const double at[3]) {
    size_t low[3];
    for (size_t a = 0; a < 3; a++)
        low[a] = (size_t)fmin(fmax(at[a], 0.0), (double)(b->n[a] - 2));
    for (size_t i = 0; i < 8; i++)
        if (pci_lines_winding(&b->columns, low[0] + (i & 1), low[1] + (i >> 1 & 1),
                              (double)(low[2] + (i >> 2))) == 0)
            return true;
    return false;
}

static bool add_site(growing *g, const double at[3], uint32_t *source) {
    pci_band *b = g->band;
    double *more = pci_grown(b->site, b->sites, &g->site_room, 3 * sizeof *more);
    if (!more)
        return false;
    b->site = more;
    if (b->sites >= UINT32_MAX / 4)
        return false;
    memcpy(b->site + 3 * b->sites, at, 3 * sizeof *at);
    *source = (uint32_t)(b->mesh->facet_count + b->sites++);
    return true;
}

/* Distance from x to a source: a facet, or a site beyond the last facet's number. *source becomes
 * the nearer facet that the walk ends at; foot: the nearest point; most: what is known already. */
static double distance_to(const pci_band *b, const double x[3], double most, uint32_t *source,
                          double foot[3]) {
    if ((size_t)*source < b->mesh->facet_count)
        return sqrt(pci_walk_nearer(b->mesh, &b->around, b->at, x, most * most, source, foot));
    double d[3];
    memcpy(foot, b->site + 3 * (*source - b->mesh->facet_count), 3 * sizeof *foot);
    pci_minus(x, foot, d);
    return pci_length(d);
}

/* The foot of the facet nearest to x is hidden: the point nearest to the cell before, which is not,
 * stands for it. */
static pc_status offer_site(growing *g, uint32_t from, const double x[3], double most,
                            uint32_t *source, double *distance) {
    pci_band *b = g->band;
    double y[3], foot[3], d[3];
    uint32_t old = pci_band_at(b, from)->facet;
    cell_center(b, from, y);
    distance_to(b, y, INFINITY, &old, foot);
    pci_minus(x, foot, d);
    *distance = pci_length(d);
    return *distance < most && !add_site(g, foot, source) ? PC_E_MEMORY : PC_OK;
}

/* Takes a source over into a cell if it is nearer than what is known there. from: the cell that
 * hands it on, PCI_NO_CELL at the surface. */
static pc_status offer(growing *g, uint32_t cell, uint32_t source, uint32_t from) {
    pci_band *b = g->band;
    pci_cell *c = pci_band_at(b, cell);
    double x[3], foot[3], most = (double)fabsf(c->depth);
    cell_center(b, cell, x);
    double d = distance_to(b, x, most, &source, foot);
    if (b->overlaps && (size_t)source < b->mesh->facet_count && !is_visible(b, foot)) {
        if (from == PCI_NO_CELL)
            return PC_OK;
        PCI_TRY(offer_site(g, from, x, most, &source, &d));
    }
    float rounded = (float)d;
    if (!(rounded < fabsf(c->depth))) /* as stored, or two facets alike would go on for ever */
        return PC_OK;
    bool inside = c->depth >= 0.0f;
    if (d > (inside ? b->deepest + INSIDE_EXTRA : OUTSIDE_MOST))
        return PC_OK;
    *c = (pci_cell){inside ? rounded : -rounded, source};
    return pci_queue_push(&g->queue, cell, d) ? PC_OK : PC_E_MEMORY;
}

/* Whether a mark of a line is surface of the cavity: inside on one side of it alone. */
static bool is_surface(const pci_lines *l, size_t line, size_t i, bool *hidden) {
    int before = i > l->start[line] ? l->mark[i - 1].after : 0, after = l->mark[i].after;
    *hidden = before != 0 && after != 0;
    return (before != 0) != (after != 0);
}

static bool any_hidden(const pci_lines *l) {
    for (size_t line = 0; line < l->nu * l->nv; line++)
        for (size_t i = l->start[line]; i < l->start[line + 1]; i++) {
            bool hidden;
            is_surface(l, line, i, &hidden);
            if (hidden)
                return true;
        }
    return false;
}

/* The cells on both sides of each crossing of the surface. */
static pc_status seed_lines(growing *g, const pci_lines *l) {
    pci_band *b = g->band;
    size_t iw = (size_t)l->axis, iu = (iw + 1) % 3, iv = (iw + 2) % 3;
    for (size_t line = 0; line < l->nu * l->nv; line++)
        for (size_t i = l->start[line]; i < l->start[line + 1]; i++) {
            bool hidden;
            if (!is_surface(l, line, i, &hidden) ||
                l->mark[i].facet >= b->mesh->facet_count - b->mesh->rim_facets)
                continue;
            size_t place[3], first = (size_t)fmin(fmax(l->mark[i].w, 0.0), (double)(b->n[iw] - 2));
            place[iu] = line % l->nu;
            place[iv] = line / l->nu;
            for (size_t side = 0; side < 2; side++) {
                uint32_t cell;
                place[iw] = first + side;
                if (!give_cell(b, place, &cell))
                    return PC_E_MEMORY;
                PCI_TRY(offer(g, cell, l->mark[i].facet, PCI_NO_CELL));
            }
        }
    return PC_OK;
}

/* Hands the nearest facet on from cell to cell, the shallowest first. */
static pc_status grow(growing *g) {
    pci_band *b = g->band;
    uint32_t cell, to;
    size_t step;
    while (pci_queue_pop(&g->queue, &cell, &step)) {
        pci_cell here = *pci_band_at(b, cell);
        if (pci_queue_step((double)fabsf(here.depth)) != step)
            continue; /* reached nearer since */
        float done = (float)step / PCI_STEPS_A_CELL;
        for (int side = 0; side < 6; side++) {
            if (!step_beside(b, cell, side, true, &to))
                return PC_E_MEMORY;
            if (to == PCI_NO_CELL)
                continue;
            pci_cell there = *pci_band_at(b, to);
            if (there.facet == here.facet || fabsf(there.depth) < done ||
                (there.depth < 0.0f && fabsf(here.depth) > 1.5f))
                continue;
            PCI_TRY(offer(g, to, here.facet, cell));
        }
    }
    return PC_OK;
}

static pc_status seed_and_grow(pci_band *b) {
    growing g = {.band = b};
    pci_lines across[2] = {{0}, {0}};
    pc_status status = PC_OK;
    for (int a = 0; a < 2 && status == PC_OK; a++)
        status = pci_lines_file(b->mesh, b->at, b->n, a, &across[a]);
    if (status == PC_OK)
        b->overlaps = any_hidden(&b->columns) || any_hidden(&across[0]) || any_hidden(&across[1]);
    for (int a = 0; a < 3 && status == PC_OK; a++)
        status = seed_lines(&g, a < 2 ? &across[a] : &b->columns);
    pci_lines_free(&across[0]);
    pci_lines_free(&across[1]);
    if (status == PC_OK)
        status = grow(&g);
    pci_queue_free(&g.queue);
    return status;
}

static pc_status make_once(pci_band *b) {
    pc_status status = count_corners(b);
    if (status == PC_OK)
        status = pci_lines_file(b->mesh, b->at, b->n, 2, &b->columns);
    double faces = b->mesh->report.area_m2 / (b->h * b->h);
    if (status == PC_OK && faces < FINE_FACETS * (double)b->mesh->facet_count)
        status = pci_around_make(b->mesh, &b->around);
    if (status == PC_OK)
        status = seed_and_grow(b);
    return status;
}

pc_status pci_band_make(const pc_mesh *mesh, double h, double deepest_m, double cells,
                        pci_band *band) {
    memset(band, 0, sizeof *band);
    h = pci_lines_cell(mesh, h, fmax(PCI_CROSSINGS_MOST, 8.0 * cells));
    for (;; h *= 1.5) {
        band->mesh = mesh;
        while (!set_box(band, h))
            h *= 1.02;
        band->deepest = deepest_m / h;
        band->blocks_most = BLOCKS_EXTRA + (size_t)(CELLS_OVER * cells / PCI_BLOCK_CELLS);
        pc_status status = make_once(band);
        if (status != PC_E_MEMORY || band->blocks < band->blocks_most)
            return status;
        pci_band_free(band); /* area and volume said nothing of so many cells: coarser */
    }
}

void pci_band_free(pci_band *band) {
    free(band->block);
    free(band->slot);
    free(band->at);
    free(band->site);
    pci_lines_free(&band->columns);
    pci_around_free(&band->around);
    memset(band, 0, sizeof *band);
}

double pci_band_cell(const pc_mesh *mesh, double deepest_m, double cells) {
    double area = mesh->report.area_m2, volume = mesh->report.volume_m3;
    double deep = fmin(area * fmin(deepest_m, 1e6), volume), low = 1e-9, high = 1e3;
    for (int i = 0; i < 100; i++) {
        double h = sqrt(low * high);
        if (deep / (h * h * h) + 2.0 * area / (h * h) > cells)
            low = h;
        else
            high = h;
    }
    return high;
}

uint32_t pci_band_beside(pci_band *band, uint32_t cell, int side) {
    uint32_t to;
    step_beside(band, cell, side, false, &to);
    return to;
}

uint32_t pci_band_near(pci_band *band, uint32_t cell, const int step[3]) {
    for (int a = 0; a < 3 && cell != PCI_NO_CELL; a++)
        if (step[a] != 0)
            cell = pci_band_beside(band, cell, 2 * a + (step[a] < 0));
    return cell;
}

uint32_t pci_band_cell_at(const pci_band *band, const double at[3]) {
    uint32_t block[3], in = 0;
    for (size_t a = 0; a < 3; a++) {
        if (!(at[a] >= 0.0 && at[a] < (double)(band->n[a] - 1)))
            return PCI_NO_CELL;
        uint32_t i = (uint32_t)(at[a] + 0.5);
        block[a] = i / 8;
        in += i % 8 * stride[a];
    }
    uint32_t number = band->slots > 0 ? band->slot[find_slot(band, block)] : 0;
    return number ? (number - 1) * PCI_BLOCK_CELLS + in : PCI_NO_CELL;
}

double pci_band_distance(const pci_band *b, uint32_t cell, const double at[3], double foot[3]) {
    uint32_t source = pci_band_at(b, cell)->facet;
    if (source == NO_FACET)
        return INFINITY;
    return distance_to(b, at, INFINITY, &source, foot);
}
