/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "shape/parallel.h"

#include <pthread.h>
#include <stdatomic.h>
#include <unistd.h>

enum { THREADS_MOST = 4 };

typedef struct share {
    size_t count;
    void (*task)(void *context, size_t i);
    void *context;
    atomic_size_t next;
} share;

static void *work(void *given) {
    share *s = given;
    for (size_t i; (i = atomic_fetch_add(&s->next, 1)) < s->count;)
        s->task(s->context, i);
    return NULL;
}

void pci_parallel(size_t count, void (*task)(void *context, size_t i), void *context) {
    share s = {count, task, context, 0};
    pthread_t thread[THREADS_MOST];
    long cores = sysconf(_SC_NPROCESSORS_ONLN);
    size_t most = cores > THREADS_MOST ? THREADS_MOST : cores > 1 ? (size_t)cores : 1;
    size_t started = 0;
    while (started + 1 < most && started + 1 < count &&
           pthread_create(&thread[started], NULL, work, &s) == 0)
        started++;
    work(&s);
    for (size_t t = 0; t < started; t++)
        pthread_join(thread[t], NULL);
}
