/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the bench shows: lines of plain text with a style each, fitted to any terminal. */
#ifndef PC_CLI_BENCH_BENCH_SCREEN_H
#define PC_CLI_BENCH_BENCH_SCREEN_H

#include <stddef.h>

#include "bench/bench_session.h"

#define BENCH_LINES_MOST  64
#define BENCH_COLUMN_MOST 240
#define BENCH_BYTES_MOST  (4 * BENCH_COLUMN_MOST) /* of a line: letters of up to four bytes */

enum bench_style { BENCH_PLAIN, BENCH_BOLD, BENCH_LOUD }; /* loud: inverse */

struct bench_line {
    char text[BENCH_BYTES_MOST + 1];
    enum bench_style style;
};

struct bench_screen {
    int columns, rows;
    size_t count;
    struct bench_line line[BENCH_LINES_MOST];
};

/* Purpose:  lay out the screen.
 * Given:    session; columns, rows: of the terminal (any number; taken as 10 to 240 and 4 to 64);
 *           prompt: what is being typed, or NULL.
 * Returned: *screen, no line longer than the columns, not more lines than rows; the most urgent
 *           ones are kept where there is no room. UTF-8 that pc_text_clean let through. */
void bench_screen_draw(const struct bench_session *session, int columns, int rows,
                       const char *prompt, struct bench_screen *screen);

/* One line that tells the step, for a log of lines: "TURN hollow body, layer 1". */
void bench_step_text(const struct bench_session *session, const pc_step *step, char *text,
                     size_t size);

#endif
