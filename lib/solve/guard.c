/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/guard.h"

#include <gsl/gsl_errno.h>
#include <pthread.h>

/* The only mutable state of the library, and it mirrors one of GSL's own: without the count a
 * thread that leaves would switch aborting on under another that is still inside. */
static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static unsigned inside;
static gsl_error_handler_t *callers_handler;

void pci_gsl_enter(void) {
    pthread_mutex_lock(&lock);
    if (inside++ == 0)
        callers_handler = gsl_set_error_handler_off();
    pthread_mutex_unlock(&lock);
}

void pci_gsl_leave(void) {
    pthread_mutex_lock(&lock);
    if (--inside == 0)
        gsl_set_error_handler(callers_handler);
    pthread_mutex_unlock(&lock);
}
