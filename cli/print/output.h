/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answer of a command: collected in memory, then written whole to stdout or to a file. */
#ifndef PC_CLI_PRINT_OUTPUT_H
#define PC_CLI_PRINT_OUTPUT_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock.h"

struct cli_output {
    char *data;
    size_t size, capacity;
    bool failed; /* memory ran out: nothing will be written */
    bool color;
};

/* Styles, written only where out->color. */
enum cli_style { CLI_PLAIN, CLI_BOLD, CLI_DIM, CLI_WARN, CLI_STOP, CLI_GOOD };

/* Bytes as they are. Everything else below goes through pc_text_clean, line by line. */
void out_bytes(struct cli_output *out, const void *data, size_t size);
void out_text(struct cli_output *out, const char *text);
void out_printf(struct cli_output *out, const char *format, ...) PC_PRINTF(2, 3);
/* A name in a column: padded to `width`, cut with "..." where it is wider than `most` (above 3). */
void out_column(struct cli_output *out, const char *text, size_t width, size_t most);
void out_style(struct cli_output *out, enum cli_style style);
/* The same in bold. */
void out_bold(struct cli_output *out, const char *format, ...) PC_PRINTF(2, 3);
/* A heading on a line of its own, an empty line before it. */
void out_title(struct cli_output *out, const char *text);

/* Text broken at blanks to lines of at most `width` columns: the first line goes on where the
 * output stands (after `indent` columns), the others are indented by as many blanks. Ends the line.
 */
void out_wrapped(struct cli_output *out, const char *text, int indent, int width);

/* An answer in JSON as the library hands it out, and a line end; frees the text. Not OK: marked as
 * failed. */
void out_json(struct cli_output *out, pc_status status, char **text);

/* One CSV field, quoted where RFC 4180 asks for it. NaN is an empty field. */
void out_csv_text(struct cli_output *out, const char *text);
void out_csv_number(struct cli_output *out, double value);

/* The last fields of a CSV line, a comma before each, and its end. */
void out_csv_numbers(struct cli_output *out, const double *value, size_t count);

void out_free(struct cli_output *out);

/* Writes the answer, which has not failed, to stdout, flushed and closed, each checked. Says what
 * went wrong on stderr and returns false. */
bool out_to_stdout(struct cli_output *out);

/* Writes what there is of the answer to stdout already, and goes on with an empty one. False where
 * it cannot: nothing is lost then, and the end will say why. */
bool out_show(struct cli_output *out);

/* Writes bytes to a file, whole or not at all: a temporary file beside it, synced, then renamed. A
 * device or a pipe is written straight. Says what went wrong on stderr and returns false. */
bool out_to_file(const char *path, const void *data, size_t size);

/* Writes every byte to a descriptor, whatever interrupts; false, with errno, where it cannot. */
bool out_write_all(int fd, const void *data, size_t size);

/* Whether a file's name ends so (".svg") and is more than that. */
bool out_is_named(const char *path, const char *ending);

/* Keeps file descriptors 0 to 2 taken, so that no file opened later is mistaken for a closed
 * stdout. Call first. */
void out_guard_descriptors(void);

#endif
