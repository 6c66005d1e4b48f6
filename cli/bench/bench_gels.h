/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The gels a log holds, as tests of the resin: of cups, and of first layers, which are films on the
 * bare mold. */
#ifndef PC_CLI_BENCH_BENCH_GELS_H
#define PC_CLI_BENCH_BENCH_GELS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "pourclock.h"

enum { BENCH_GELS_MOST = 64 };

/* Times in seconds from the batch's own mix; temperatures in C as the batch met them. */
struct bench_gel {
    bool film;
    double time_s, resin_C, air_C;
    double mass_g;                                        /* of a cup */
    double thick_mm, laid_s, mold_C, rubber_mm, shell_mm; /* of a film; shell NaN: none */
    const char *rubber, *shell;                           /* words in the events */
    int64_t wall_ms;                                      /* when it was felt */
};

/* Purpose:  the gels that stand. Given: events of a log in order.
 * Returned: how many are in gel. */
size_t bench_gels(const pc_event *const event[], size_t count,
                  struct bench_gel gel[BENCH_GELS_MOST]);

/* The word behind the head of a figure of the plan ("rubber silicone"); "none". */
const char *bench_kind_word(const pc_event *const event[], size_t count, const char *head);

/* Purpose:  offer to add the film gels of a session that has ended to the user's own tests, the CSV
 *           that the resin file names; without a yes nothing is written.
 * Given:    session's log, piece; typed: what was read of the input and not yet taken, a string.
 * Returned: false where stdout is gone, or the file could not be written, having said so. */
bool bench_offer_gels(const pc_log *log, const pc_piece *piece, const char *typed);

#endif
