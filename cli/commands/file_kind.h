/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What kind of file an operand is, to say which command was meant. */
#ifndef PC_CLI_COMMANDS_FILE_KIND_H
#define PC_CLI_COMMANDS_FILE_KIND_H

#include "commands/command.h"

enum cli_file_kind {
    CLI_FILE_UNKNOWN, /* not there, not to be read, or none of these */
    CLI_FILE_PIECE,
    CLI_FILE_DAY,
    CLI_FILE_RESIN,
    CLI_FILE_SHOP,
    CLI_FILE_MESH,
    CLI_FILE_TESTS,
    CLI_FILE_LOG,
};

/* Purpose:  tell a file by its sections, else by its name. Reads its first 64 KiB at most, and
 *           nothing but a plain file. */
enum cli_file_kind cli_file_kind(const char *path);

/* Purpose:  refuse a file that is plainly of another kind, naming the command for it.
 * Returned: CLI_DONE (what was wanted, or not known); else CLI_FILE, having said so. */
enum cli_exit cli_expect_kind(const char *path, enum cli_file_kind wanted);

/* Purpose:  for a file given in place of a command. Returned: whether it was one, having said which
 *           command was meant. */
bool cli_file_as_command(const char *path);

#endif
