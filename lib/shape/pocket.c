/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "shape/pocket.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/try.h"
#include "shape/vector.h"

#define PASSED_MOST ((size_t)20000000)

pc_status pci_pocket_room_make(const pc_mesh *mesh, const double up[3], pci_pocket_room *room) {
    size_t n = mesh->vertex_count + 1;
    *room = (pci_pocket_room){.mesh = mesh, .left = PASSED_MOST};
    PCI_TRY(pci_around_make(mesh, &room->around));
    room->height = malloc(n * sizeof *room->height);
    room->heap = malloc(n * sizeof *room->heap);
    room->passed = malloc(n * sizeof *room->passed);
    room->seen = calloc(n, sizeof *room->seen);
    if (!room->height || !room->heap || !room->passed || !room->seen)
        return PC_E_MEMORY;
    for (size_t v = 0; v < mesh->vertex_count; v++)
        room->height[v] = pci_dot(mesh->vertex + 3 * v, up);
    return PC_OK;
}

void pci_pocket_room_free(pci_pocket_room *room) {
    pci_around_free(&room->around);
    free(room->height);
    free(room->heap);
    free(room->passed);
    free(room->seen);
    memset(room, 0, sizeof *room);
}

uint32_t pci_pocket_climb(const pci_pocket_room *r, uint32_t corner) {
    for (uint32_t from = UINT32_MAX; from != corner;) {
        from = corner;
        for (size_t i = r->around.start[from]; i < r->around.start[from + 1]; i++)
            for (size_t c = 0; c < 3; c++) {
                uint32_t next = r->mesh->facet[3 * (size_t)r->around.facet[i] + c];
                if (r->height[next] > r->height[corner])
                    corner = next;
            }
    }
    return corner;
}

static void push(pci_pocket_room *r, size_t *count, uint32_t v) {
    size_t i = (*count)++;
    for (; i > 0 && r->height[r->heap[(i - 1) / 2]] < r->height[v]; i = (i - 1) / 2)
        r->heap[i] = r->heap[(i - 1) / 2];
    r->heap[i] = v;
}

static uint32_t pop(pci_pocket_room *r, size_t *count) {
    uint32_t top = r->heap[0], last = r->heap[--*count];
    size_t i = 0;
    for (size_t next; (next = 2 * i + 1) < *count; i = next) {
        if (next + 1 < *count && r->height[r->heap[next + 1]] > r->height[r->heap[next]])
            next++;
        if (!(r->height[r->heap[next]] > r->height[last]))
            break;
        r->heap[i] = r->heap[next];
    }
    r->heap[i] = last;
    return top;
}

static void push_neighbors(pci_pocket_room *r, size_t *count, uint32_t v) {
    for (size_t i = r->around.start[v]; i < r->around.start[v + 1]; i++) {
        const uint32_t *corner = r->mesh->facet + 3 * (size_t)r->around.facet[i];
        for (int c = 0; c < 3; c++) {
            if (r->seen[corner[c]] == r->pocket)
                continue;
            r->seen[corner[c]] = r->pocket;
            push(r, count, corner[c]);
        }
    }
}

/* Goes down from the top until something higher is met, or below `low`, or to `level` where that is
 * given; how many corners were passed above the saddle. */
static size_t walk_down(pci_pocket_room *r, uint32_t top, double low, double level, double *saddle,
                        bool *met) {
    size_t count = 0, passed = 0, above = 0;
    double least = INFINITY;
    r->pocket++;
    r->seen[top] = r->pocket;
    push(r, &count, top);
    *met = false;
    while (count > 0 && r->left > 0 && !*met) {
        uint32_t v = pop(r, &count);
        r->left--;
        if (r->height[v] > r->height[top]) {
            *met = isnan(level);
            break;
        }
        if (r->height[v] < least) {
            if (!isnan(level) && r->height[v] <= level) {
                *met = true;
                least = level;
                above = passed;
                break;
            }
            least = r->height[v];
            above = passed;
        }
        if (least < low)
            break;
        r->passed[passed++] = v;
        push_neighbors(r, &count, v);
    }
    *saddle = least;
    return above;
}

/* What the part of a facet above a height adds; up is outward for the roof of the air. */
static void add_facet(const pci_pocket_room *r, const uint32_t corner[3], const double up[3],
                      double saddle, double *volume, double *area) {
    double p[4][3];
    int n = 0;
    for (int c = 0; c < 3; c++) {
        uint32_t i = corner[c], j = corner[(c + 1) % 3];
        double hi = r->height[i] - saddle, hj = r->height[j] - saddle;
        const double *a = r->mesh->vertex + 3 * (size_t)i, *b = r->mesh->vertex + 3 * (size_t)j;
        if (hi > 0.0)
            memcpy(p[n++], a, sizeof p[0]);
        if ((hi > 0.0) != (hj > 0.0)) {
            for (int k = 0; k < 3; k++)
                p[n][k] = a[k] + hi / (hi - hj) * (b[k] - a[k]);
            n++;
        }
    }
    for (int k = 1; k + 1 < n; k++) {
        double u[3], v[3], cross[3];
        pci_minus(p[k], p[0], u);
        pci_minus(p[k + 1], p[0], v);
        pci_cross(u, v, cross);
        double mean =
            (pci_dot(p[0], up) + pci_dot(p[k], up) + pci_dot(p[k + 1], up)) / 3.0 - saddle;
        *volume += 0.5 * pci_dot(cross, up) * mean;
        *area += 0.5 * pci_length(cross);
    }
}

bool pci_pocket_measure(pci_pocket_room *r, const double up[3], uint32_t top, double low,
                        double high, double level, double *saddle, double *volume, double *area) {
    bool met;
    size_t above = walk_down(r, top, low, level, saddle, &met);
    *volume = *area = 0.0;
    if (!met || !(*saddle >= low) || !(*saddle <= high))
        return false;
    for (size_t k = 0; k < above; k++) {
        uint32_t v = r->passed[k];
        for (size_t i = r->around.start[v]; i < r->around.start[v + 1]; i++) {
            const uint32_t *corner = r->mesh->facet + 3 * (size_t)r->around.facet[i];
            uint32_t first = UINT32_MAX; /* each facet once: by its highest corner */
            for (int c = 0; c < 3; c++)
                if (r->height[corner[c]] > *saddle &&
                    (first == UINT32_MAX || r->height[corner[c]] > r->height[first] ||
                     (r->height[corner[c]] >= r->height[first] && corner[c] < first)))
                    first = corner[c];
            if (first == v)
                add_facet(r, corner, up, *saddle, volume, area);
        }
    }
    return true;
}
