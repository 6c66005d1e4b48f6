/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The page: the schedule as one HTML file that runs the clock on a phone at the bench. */
#ifndef PC_CLI_DRAW_PAGE_H
#define PC_CLI_DRAW_PAGE_H

#include <jansson.h>
#include <stdint.h>

#include "commands/command.h"
#include "pourclock.h"

/* How the times of a layer, counted from its mix, move: d ln(time) / d ln(pace of the resin), and
 * d time / d end of the pour, both dimensionless. Worked out by planning again. */
typedef struct page_rate {
    double pace, late;
} page_rate;

typedef struct page_rates {
    page_rate pot, set, gel, closes;
} page_rates;

/* What a page is made of. */
typedef struct page_source {
    const pc_piece *piece;
    const pc_schedule *plan;
    const pc_cautions *cautions;
    const char *path; /* of the piece file; NULL or "-": none that could be checked */
    int64_t made_ms;  /* the clock on the wall now, since 1970 */
    page_rates (*rate)[PC_LAYERS_MOST]; /* of each part */
    page_rate demold[PC_PARTS_MOST];
    double pace_error; /* of ln(pace), before a gel was seen */
    bool rates_known;
    /* A casting under way (NULL: not begun): its log, what happened by it, its first mix. */
    const pc_log *log;
    const pc_actual *actual;
    const pc_pace *pace;
    int64_t first_mix_wall_ms;
} page_source;

/* Purpose:  find the rates by planning again: with a faster and a slower resin, and with late
 * pours. Given:    source with piece, plan and, where begun, actual and pace; rate to fill.
 * Returned: PC_OK with rates_known false where the plan cannot be run again; PC_E_MEMORY. */
pc_status page_find_rates(page_source *source);

/* Until when a batch may be poured by its pot life alone: the bond window of the layer below moves
 * on its own. */
double page_pot_deadline(const pc_layer *layer);

/* Purpose:  a text as words for the page's script: strings, and for each clock in it the time of
 *           the plan it says, {"at": NAME, "part": P, "layer": J} (both from 0), else {"after": S}
 *           from the first mix. Given: part, layer (its number; 0: the last) it is about. */
json_t *page_words(const pc_schedule *plan, const char *text, size_t part, int layer, bool *failed);

/* The data inside the page; NULL where memory ran out. */
json_t *page_data(const page_source *source);

/* Purpose:  make the page and write it: whole or not at all; "-": as the command's answer.
 * Given:    path; source but for its rates and the time it was made, which are filled in.
 * Returned: CLI_DONE; CLI_USAGE (another ending than .html), CLI_FILE, CLI_INTERNAL, having said
 *           why. */
enum cli_exit page_write(struct cli *cli, const char *path, page_source *source);

#endif
