/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "shape/queue.h"

#include <stdlib.h>
#include <string.h>

#include "base/grow.h"

enum { STEPS_MOST = 65536 };

size_t pci_queue_step(double distance) {
    double step = distance * PCI_STEPS_A_CELL;
    return step < STEPS_MOST - 1 ? (step > 0.0 ? (size_t)step : 0) : STEPS_MOST - 1;
}

static bool grow_buckets(pci_queue *queue, size_t count) {
    pci_bucket *more = realloc(queue->bucket, count * sizeof *more);
    if (!more)
        return false;
    memset(more + queue->count, 0, (count - queue->count) * sizeof *more);
    queue->bucket = more;
    queue->count = count;
    return true;
}

bool pci_queue_push(pci_queue *queue, uint32_t cell, double distance) {
    size_t step = pci_queue_step(distance);
    if (step >= queue->count && !grow_buckets(queue, step + step / 2 + 16))
        return false;
    pci_bucket *b = &queue->bucket[step];
    uint32_t *more = pci_grown(b->cell, b->count, &b->room, sizeof *more);
    if (!more)
        return false;
    b->cell = more;
    b->cell[b->count++] = cell;
    if (step < queue->lowest)
        queue->lowest = step;
    return true;
}

bool pci_queue_pop(pci_queue *queue, uint32_t *cell, size_t *step) {
    while (queue->lowest < queue->count && queue->bucket[queue->lowest].count == 0)
        queue->lowest++;
    if (queue->lowest >= queue->count)
        return false;
    pci_bucket *b = &queue->bucket[queue->lowest];
    *cell = b->cell[--b->count];
    *step = queue->lowest;
    return true;
}

void pci_queue_free(pci_queue *queue) {
    for (size_t i = 0; i < queue->count; i++)
        free(queue->bucket[i].cell);
    free(queue->bucket);
    memset(queue, 0, sizeof *queue);
}
