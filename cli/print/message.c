/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "print/message.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { MESSAGE_MOST = 2048 };

/* A file name or a value may hold anything: what a terminal would obey is shown as '?'. */
static void write_line(const char *prefix, const char *text) {
    char line[MESSAGE_MOST];
    pc_text_clean(text, line, sizeof line);
    fprintf(stderr, "%s%s\n", prefix, line);
}

PC_PRINTF(1, 0) static void say(const char *format, va_list args) {
    char text[MESSAGE_MOST];
    vsnprintf(text, sizeof text, format, args);
    write_line("pourclock: ", text);
}

enum cli_exit say_error(enum cli_exit code, const char *format, ...) {
    va_list args;
    va_start(args, format);
    say(format, args);
    va_end(args);
    return code;
}

void say_note(const struct cli *cli, const char *format, ...) {
    if (cli && cli->quiet)
        return;
    va_list args;
    va_start(args, format);
    say(format, args);
    va_end(args);
}

enum cli_exit say_exit_of(pc_status status) {
    switch (status) {
    case PC_OK:
        return CLI_DONE;
    case PC_E_LIMIT:
        return CLI_LIMIT;
    case PC_E_FILE:
    case PC_E_SYNTAX:
    case PC_E_KEY:
    case PC_E_VALUE:
    case PC_E_UNIT:
    case PC_E_SIZE:
        return CLI_FILE;
    case PC_E_MEMORY:
    case PC_E_ARGUMENT:
    case PC_E_NUMERIC:
    case PC_E_UNREACHED:
        return CLI_INTERNAL;
    }
    return CLI_INTERNAL;
}

enum cli_exit say_errors(pc_status status, pc_errors *errors) {
    if (status == PC_OK) {
        pc_errors_free(errors);
        return CLI_DONE;
    }
    bool from_command_line = errors && errors->count > 0;
    for (size_t i = 0; errors && i < errors->count; i++) {
        char text[MESSAGE_MOST];
        pc_error_format(&errors->item[i], text, sizeof text);
        write_line("pourclock: ", text);
        /* A file that an option names is a file all the same. */
        if (strcmp(errors->item[i].file, "command line") != 0 ||
            errors->item[i].status == PC_E_FILE)
            from_command_line = false;
    }
    if (errors && errors->dropped > 0)
        say_error(CLI_FILE, "%zu more errors are not shown", errors->dropped);
    if ((!errors || errors->count == 0))
        say_error(CLI_INTERNAL, "%s", pc_status_text(status));
    pc_errors_free(errors);
    return from_command_line ? CLI_USAGE : say_exit_of(status);
}
