/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A queue of cells by their distance, in steps of a part of a cell. */
#ifndef PCI_SHAPE_QUEUE_H
#define PCI_SHAPE_QUEUE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { PCI_STEPS_A_CELL = 2 };

typedef struct pci_bucket {
    uint32_t *cell;
    size_t count, room;
} pci_bucket;

typedef struct pci_queue {
    pci_bucket *bucket;
    size_t count;  /* of buckets */
    size_t lowest; /* that may hold a cell */
} pci_queue;

/* The step a distance falls in; what is beyond the last step, in the last. */
size_t pci_queue_step(double distance);

/* False where memory fails. */
bool pci_queue_push(pci_queue *queue, uint32_t cell, double distance);

/* One of the nearest cells and its step; false when the queue is empty. */
bool pci_queue_pop(pci_queue *queue, uint32_t *cell, size_t *step);

void pci_queue_free(pci_queue *queue);

#endif
