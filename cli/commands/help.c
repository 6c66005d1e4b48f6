/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "commands/help.h"

#include <stdio.h>
#include <string.h>

#include "commands/options.h"
#include "print/message.h"

const struct cli_command *help_find(const char *name) {
    for (const struct cli_command *const *c = cli_commands; *c; c++)
        if (strcmp((*c)->name, name) == 0)
            return *c;
    return NULL;
}

enum cli_exit help_unknown(const char *name) {
    enum { COMMANDS_MOST = 32 };
    const char *names[COMMANDS_MOST + 1];
    size_t n = 0;
    for (const struct cli_command *const *c = cli_commands; *c && n < COMMANDS_MOST; c++)
        if (!(*c)->hidden)
            names[n++] = (*c)->name;
    names[n] = NULL;
    const char *near = pc_nearest_word(name, names);
    if (near)
        return say_error(CLI_USAGE, "there is no command %s; did you mean %s?", name, near);
    return say_error(CLI_USAGE, "there is no command %s; `pourclock --help` lists them", name);
}

/* Each line of an example, indented. */
static void indented(struct cli_output *out, const char *text) {
    while (*text) {
        size_t n = strcspn(text, "\n");
        out_printf(out, "  %.*s\n", (int)n, text);
        text += n + (text[n] == '\n');
    }
}

void help_tool(struct cli_output *out) {
    out_text(out, "Example:\n  pourclock schedule otter.ini\n\n"
                  "Usage: pourclock COMMAND [OPTION]... [FILE]\n\n"
                  "Timed pour-and-turn schedules for hollow castings in resin.\n\nCommands:\n");
    for (const struct cli_command *const *c = cli_commands; *c; c++)
        if (!(*c)->hidden)
            out_printf(out, "  %-12s %s\n", (*c)->name, (*c)->summary);
    out_text(out, "\n`pourclock COMMAND --help` shows a command's options; "
                  "pourclock(1) is the manual.\n"
                  "Follow the resin maker's safety data sheet and local codes.\n");
}

static void option_line(struct cli_output *out, const struct cli_option *o) {
    enum { HELP_COLUMN = 26, WIDTH = 92 };
    char left[64];
    int n = snprintf(left, sizeof left, "  %c%c%c --%s%s%s", o->letter ? '-' : ' ',
                     o->letter ? o->letter : ' ', o->letter ? ',' : ' ', o->name,
                     o->value ? " " : "", o->value ? o->value : "");
    if (n >= HELP_COLUMN)
        out_printf(out, "%s\n%*s", left, HELP_COLUMN, "");
    else
        out_printf(out, "%-*s", HELP_COLUMN, left);
    char help[256];
    bool words = o->kind == CLI_KIND_WORDS;
    snprintf(help, sizeof help, "%s%s%s", o->help, words ? ": " : "", words ? o->words : "");
    out_wrapped(out, help, HELP_COLUMN, WIDTH);
}

/* A command's own options come first, then those of every command, then the piece's keys. */
static void option_group(struct cli_output *out, const struct cli_command *command,
                         const char *title, enum cli_option_group group) {
    const struct cli_option *o;
    bool any = false;
    for (size_t i = 0; (o = cli_option_at(command, i)); i++) {
        if (cli_option_group(o) != group)
            continue;
        out_text(out, any ? "" : title);
        option_line(out, o);
        any = true;
    }
}

void help_command(struct cli_output *out, const struct cli_command *command) {
    out_text(out, "Example:\n");
    indented(out, command->example);
    out_printf(out, "\nUsage: pourclock %s [OPTION]...%s%s\n\n%s.\n", command->name,
               command->operands[0] ? " " : "", command->operands, command->summary);
    if (command->about)
        out_printf(out, "%s\n", command->about);
    option_group(out, command, "\nOptions:\n", CLI_GROUP_OWN);
    option_group(out, command, "\nCommon options:\n", CLI_GROUP_COMMON);
    option_group(out, command, "\nKeys of the piece, instead of its file's:\n", CLI_GROUP_PIECE);
    out_text(out, "\nExit status: 0 done; 1 no schedule meets the limits; 2 wrong usage;\n"
                  "3 a file is wrong or cannot be read or written; 4 internal error.\n");
    if (!command->hidden)
        out_printf(out, "Manual: pourclock-%s(1)\n", command->name);
}

void help_version(struct cli_output *out) {
    out_printf(out,
               "pourclock %s\n"
#ifndef HAVE_CAIRO
               "Built without cairo: no drawings.\n"
#endif
#ifndef HAVE_QRENCODE
               "Built without libqrencode: no code square on the sheet.\n"
#endif
#ifndef HAVE_LIBICAL
               "Built without libical: no calendars.\n"
#endif
               "License GPL-3.0-or-later. There is NO WARRANTY, to the extent permitted by law.\n"
               "What is wrong goes to " PACKAGE_BUGREPORT ".\n",
               pc_version());
}
