/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A command of the pourclock tool: its one option table, and what it is given when it runs.
 *
 * To add a command NAME:
 * 1. cli/cmd_NAME.c: a table of `struct cli_option` ended by CLI_OPTIONS_END (common options are
 *    not repeated there), a run function, and `const struct cli_command cmd_NAME = {...}`.
 * 2. cli/cli.am: the file's name in pourclock_SOURCES. cli/commands.c: one line in each of its two
 *    lists. That makes --help, the parsing and the completions.
 * 3. cli/man/pourclock-NAME.1 (every option of the table must stand in it, a test compares), its
 *    name in cli/cli.am; cases in tests/cli/NAME.case.
 *
 * A run function writes its answer into cli->out (output.h) and nothing to stdout itself; main
 * writes the answer whole when the exit code is CLI_DONE or CLI_LIMIT, and drops it otherwise.
 * It reports what is wrong through say.h and returns an exit code. */
#ifndef PC_CLI_COMMANDS_COMMAND_H
#define PC_CLI_COMMANDS_COMMAND_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock.h"
#include "print/output.h"

/* Exit codes. */
enum cli_exit {
    CLI_DONE = 0,
    CLI_LIMIT = 1,    /* no schedule meets the limits: printed all the same */
    CLI_USAGE = 2,    /* the command line is wrong */
    CLI_FILE = 3,     /* a file is wrong, or cannot be read or written */
    CLI_INTERNAL = 4, /* out of memory, a solver that did not converge */
};

/* What a value or an operand is, for the completions. */
enum cli_kind {
    CLI_KIND_NONE,
    CLI_KIND_FILE,
    CLI_KIND_WORDS,   /* one of `words`: checked when parsed */
    CLI_KIND_RESIN,   /* a name on the resin shelf, or a file */
    CLI_KIND_COMMAND, /* a command of this tool */
};

struct cli_option {
    const char *name;  /* without the dashes */
    char letter;       /* short form, or 0 */
    const char *value; /* name of its value in --help, such as "FILE"; NULL: a switch */
    const char *help;  /* one line, no full stop */
    enum cli_kind kind;
    const char *words;         /* CLI_KIND_WORDS: the values allowed, one blank between */
    bool repeats;              /* may be given more than once */
    const char *section, *key; /* piece key it overrides (piece_options.h), or NULL */
};

/* clang-format off */
#define CLI_OPTIONS_END { NULL, 0, NULL, NULL, CLI_KIND_NONE, NULL, false, NULL, NULL }
/* clang-format on */

/* Which of the common options a command takes besides -o, --color, --quiet, --help, --version. */
enum cli_takes {
    CLI_TAKES_JSON = 1,
    CLI_TAKES_CSV = 2,
    CLI_TAKES_UNITS = 4,
};

struct cli;

struct cli_command {
    const char *name;
    const char *operands; /* as in the usage line, "PIECE" or "[PIECE]"; "" for none */
    const char *summary;  /* one line, no full stop */
    const char *example;  /* one or more whole command lines, with line ends between */
    const char *about;    /* a paragraph or two for --help, lines ready to print; may be NULL */
    const struct cli_option *options;
    unsigned takes; /* of cli_takes */
    int operands_least, operands_most;
    enum cli_kind operand_kind;
    const char *operand_words; /* CLI_KIND_WORDS */
    bool hidden;               /* not in the list of commands */
    enum cli_exit (*run)(struct cli *cli);
};

/* An option as it was given. */
struct cli_given {
    const struct cli_option *option;
    const char *value; /* NULL for a switch */
};

/* One run of the tool. */
struct cli {
    const struct cli_command *command;
    size_t given_count;
    struct cli_given *given;
    int operand_count;
    const char **operand;
    bool json, csv, quiet, color;
    bool units_given;
    pc_units units;         /* where units_given */
    const char *write_path; /* -o, or NULL for stdout */
    struct cli_output out;
};

/* The commands, ended by NULL. */
extern const struct cli_command *const cli_commands[];

#endif
