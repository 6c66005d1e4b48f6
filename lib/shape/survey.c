/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "shape/survey.h"

#include <math.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

#include "base/try.h"
#include "shape/mesh_build.h"
#include "solve/threads.h"

enum { FACET = 50, HEADER = 84, CHUNK = 16384 };

/* Sums over a chunk of facets. Chunks are added up in order, so that the figures do not depend on
 * the threads. */
typedef struct chunk_sum {
    double area2, volume6; /* twice and six times */
    uint64_t edges;        /* 0 over the whole of a closed surface */
    float low[3], high[3];
} chunk_sum;

/* Facets are picked by what they are, so that one given twice is picked twice: all of a small file,
 * else about PICKED of them. */
enum { PICKED = 1 << 18 };

typedef struct survey {
    const char *data;
    size_t count, chunks;
    double origin[3];
    chunk_sum *sum;
    uint64_t *mark; /* of the facets picked */
    size_t room;
    uint64_t apart; /* one facet of so many is picked */
    atomic_size_t picked;
} survey;

static uint64_t corner_hash(const float x[3]) {
    uint32_t w[3];
    memcpy(w, x, sizeof w);
    uint64_t h = ((uint64_t)w[0] << 32 | w[1]) * 0x9E3779B97F4A7C15u;
    h = (h ^ (h >> 32) ^ w[2]) * 0xBF58476D1CE4E5B9u;
    return h ^ (h >> 29);
}

/* Odd in exchanging its ends: an edge met once in either direction adds nothing. The factor is
 * even and far from linear, so that different edges do not make up for each other. */
static uint64_t edge_hash(uint64_t a, uint64_t b) {
    uint64_t s = (a + b) * 0x94D049BB133111EBu;
    s = (s ^ (s >> 31)) * 0xD6E8FEB86659FD93u;
    return (a - b) * ((s ^ (s >> 32)) | 1);
}

static void pick_facet(survey *s, uint64_t mark) {
    uint64_t mixed = mark * 0x9E3779B97F4A7C15u;
    if (mark == 0 || (mixed >> 32) % s->apart != 0)
        return;
    size_t at = atomic_fetch_add_explicit(&s->picked, 1, memory_order_relaxed);
    if (at < s->room)
        s->mark[at] = mark;
}

static void add_facet(survey *s, size_t f, chunk_sum *sum) {
    float x[9];
    const char *p = s->data + HEADER + FACET * f + 12;
    for (int i = 0; i < 9; i++)
        x[i] = pci_le_float(p + 4 * i) + 0.0f; /* -0 becomes 0 */
    double a[3], u[3], v[3];
    for (int i = 0; i < 9; i++) {
        sum->low[i % 3] = x[i] < sum->low[i % 3] ? x[i] : sum->low[i % 3];
        sum->high[i % 3] = x[i] > sum->high[i % 3] ? x[i] : sum->high[i % 3];
    }
    for (int i = 0; i < 3; i++) {
        a[i] = (double)x[i] - s->origin[i];
        u[i] = (double)x[3 + i] - (double)x[i];
        v[i] = (double)x[6 + i] - (double)x[i];
    }
    double n[3] = {u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]};
    sum->area2 += sqrt(n[0] * n[0] + n[1] * n[1] + n[2] * n[2]);
    sum->volume6 += n[0] * a[0] + n[1] * a[1] + n[2] * a[2];
    uint64_t h[3] = {corner_hash(x), corner_hash(x + 3), corner_hash(x + 6)};
    uint64_t edges = edge_hash(h[0], h[1]) + edge_hash(h[1], h[2]) + edge_hash(h[2], h[0]);
    sum->edges += edges;
    pick_facet(s, edges); /* the same wherever it begins, another when it is turned round */
}

static const chunk_sum nothing = {
    0.0, 0.0, 0, {INFINITY, INFINITY, INFINITY}, {-INFINITY, -INFINITY, -INFINITY}};

static pc_status add_chunk(size_t c, void *context) {
    survey *s = context;
    size_t end = (c + 1) * CHUNK < s->count ? (c + 1) * CHUNK : s->count;
    chunk_sum sum = nothing;
    for (size_t f = c * CHUNK; f < end; f++)
        add_facet(s, f, &sum);
    s->sum[c] = sum;
    return PC_OK;
}

/* Whether a facet was picked twice. */
static pc_status find_doubles(const survey *s, bool *doubled) {
    size_t count = atomic_load(&s->picked), slots = 1024;
    count = count < s->room ? count : s->room;
    while (slots < 2 * count)
        slots *= 2;
    uint64_t *slot = calloc(slots, sizeof *slot);
    if (!slot)
        return PC_E_MEMORY;
    *doubled = false;
    for (size_t k = 0; k < count && !*doubled; k++) {
        size_t i = (size_t)(s->mark[k] * 0xBF58476D1CE4E5B9u >> 20) & (slots - 1);
        while (slot[i] && slot[i] != s->mark[k])
            i = (i + 1) & (slots - 1);
        *doubled = slot[i] != 0;
        slot[i] = s->mark[k];
    }
    free(slot);
    return PC_OK;
}

static pc_status survey_facets(survey *s, bool *doubled) {
    s->chunks = (s->count + CHUNK - 1) / CHUNK;
    s->apart = s->count / PICKED + 1;
    s->room = s->count < 2 * PICKED ? s->count : 2 * PICKED;
    s->sum = malloc(s->chunks * sizeof *s->sum);
    s->mark = malloc(s->room * sizeof *s->mark);
    pc_status status = s->sum && s->mark ? PC_OK : PC_E_MEMORY;
    if (status == PC_OK)
        status = pci_in_threads(add_chunk, s, s->chunks);
    if (status == PC_OK)
        status = find_doubles(s, doubled);
    free(s->mark);
    return status;
}

pc_status pci_survey_stl(const char *data, size_t size, double unit_m, const char *name,
                         double *area, double *volume, bool *doubled, pc_errors *errors) {
    survey s = {.data = data, .count = (size - HEADER) / FACET};
    if (s.count == 0)
        return pc_errors_add(errors, PC_E_VALUE, (pc_place){.file = name}, "has no facet");
    for (int i = 0; i < 3; i++)
        s.origin[i] = (double)pci_le_float(data + HEADER + 12 + 4 * i);
    pc_status status = survey_facets(&s, doubled);
    chunk_sum all = nothing;
    for (size_t c = 0; status == PC_OK && c < s.chunks; c++) {
        all.area2 += s.sum[c].area2;
        all.volume6 += s.sum[c].volume6;
        all.edges += s.sum[c].edges;
        for (int a = 0; a < 3; a++) {
            all.low[a] = fminf(all.low[a], s.sum[c].low[a]);
            all.high[a] = fmaxf(all.high[a], s.sum[c].high[a]);
        }
    }
    free(s.sum);
    if (status != PC_OK)
        return pc_errors_add(errors, status, (pc_place){.file = name}, "out of memory");
    if (!isfinite(all.area2) || !isfinite(all.volume6))
        return pc_errors_add(errors, PC_E_SYNTAX, (pc_place){.file = name},
                             "has a coordinate that is no number");
    if (!(all.area2 > 0.0))
        return pc_errors_add(errors, PC_E_VALUE, (pc_place){.file = name}, "has no area");
    double side[3], far = 0.0;
    for (int a = 0; a < 3; a++) {
        side[a] = ((double)all.high[a] - (double)all.low[a]) * unit_m;
        far = fmax(far, fmax(fabs((double)all.low[a]), fabs((double)all.high[a])) * unit_m);
    }
    PCI_TRY(pci_mesh_check_far(far, sqrt(side[0] * side[0] + side[1] * side[1] + side[2] * side[2]),
                               name, errors));
    *area = 0.5 * all.area2;
    *volume = all.edges == 0 ? fabs(all.volume6) / 6.0 : NAN;
    return PC_OK;
}
