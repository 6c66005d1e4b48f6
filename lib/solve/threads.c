/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/threads.h"

#include <pthread.h>
#include <stdatomic.h>
#include <unistd.h>

enum { THREADS_MOST = 16 };

struct share {
    pci_work work;
    void *context;
    size_t n;
    atomic_size_t next;
    pthread_mutex_t lock; /* of what follows */
    size_t failed;        /* first item that failed, n: none */
    pc_status status;
};

static void *run_share(void *argument) {
    struct share *share = argument;
    for (;;) {
        size_t i = atomic_fetch_add(&share->next, 1);
        if (i >= share->n)
            return NULL;
        pc_status status = share->work(i, share->context);
        if (status == PC_OK)
            continue;
        pthread_mutex_lock(&share->lock);
        if (i < share->failed) {
            share->failed = i;
            share->status = status;
        }
        pthread_mutex_unlock(&share->lock);
    }
}

static size_t thread_count(size_t n) {
    long processors = sysconf(_SC_NPROCESSORS_ONLN);
    size_t most = processors < 1              ? 1
                  : processors > THREADS_MOST ? THREADS_MOST
                                              : (size_t)processors;
    return n < most ? n : most;
}

pc_status pci_in_threads(pci_work work, void *context, size_t n) {
    struct share share = {.work = work, .context = context, .n = n, .failed = n, .status = PC_OK};
    atomic_init(&share.next, 0);
    if (pthread_mutex_init(&share.lock, NULL) != 0)
        return PC_E_MEMORY;
    pthread_t thread[THREADS_MOST];
    size_t wanted = thread_count(n), started = 0;
    while (started + 1 < wanted && pthread_create(&thread[started], NULL, run_share, &share) == 0)
        started++;
    run_share(&share);
    for (size_t i = 0; i < started; i++)
        pthread_join(thread[i], NULL);
    pthread_mutex_destroy(&share.lock);
    return share.status;
}
