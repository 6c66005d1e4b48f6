/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "commands/options.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "print/message.h"

/* clang-format off */
const struct cli_option cli_common_options[] = {
    {"json", 0, NULL, "answer as JSON, format 1, SI units", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"csv", 0, NULL, "answer as a CSV table, SI units", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"units", 0, "U", "print in these units", CLI_KIND_WORDS, "us metric", false, NULL, NULL},
    {"output", 'o', "FILE", "write to FILE, whole or not at all", CLI_KIND_FILE, NULL, false, NULL, NULL},
    {"color", 0, "WHEN", "when to color, NO_COLOR is heeded", CLI_KIND_WORDS, "auto always never", false, NULL, NULL},
    {"quiet", 'q', NULL, "no notes on standard error", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"help", 'h', NULL, "show this help", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"version", 0, NULL, "show the version", CLI_KIND_NONE, NULL, false, NULL, NULL},
    CLI_OPTIONS_END,
};
/* clang-format on */

static bool taken(const struct cli_command *command, const struct cli_option *option) {
    if (strcmp(option->name, "json") == 0)
        return command->takes & CLI_TAKES_JSON;
    if (strcmp(option->name, "csv") == 0)
        return command->takes & CLI_TAKES_CSV;
    if (strcmp(option->name, "units") == 0)
        return command->takes & CLI_TAKES_UNITS;
    return true;
}

const struct cli_option *cli_option_at(const struct cli_command *command, size_t index) {
    for (const struct cli_option *o = command->options; o && o->name; o++)
        if (index-- == 0)
            return o;
    for (const struct cli_option *o = cli_common_options; o->name; o++)
        if (taken(command, o) && index-- == 0)
            return o;
    return NULL;
}

enum cli_option_group cli_option_group(const struct cli_option *option) {
    size_t common = sizeof cli_common_options / sizeof cli_common_options[0];
    if (option >= cli_common_options && option < cli_common_options + common)
        return CLI_GROUP_COMMON;
    return option->section ? CLI_GROUP_PIECE : CLI_GROUP_OWN;
}

static const struct cli_option *find_long(const struct cli_command *command, const char *name,
                                          size_t length) {
    const struct cli_option *o;
    for (size_t i = 0; (o = cli_option_at(command, i)); i++)
        if (strlen(o->name) == length && strncmp(o->name, name, length) == 0)
            return o;
    return NULL;
}

static const struct cli_option *find_short(const struct cli_command *command, char letter) {
    const struct cli_option *o;
    for (size_t i = 0; (o = cli_option_at(command, i)); i++)
        if (o->letter == letter)
            return o;
    return NULL;
}

static enum cli_exit say_unknown(const struct cli_command *command, const char *name,
                                 size_t length) {
    enum { OPTIONS_MOST = 96 };
    const char *names[OPTIONS_MOST + 1];
    size_t n = 0;
    const struct cli_option *o;
    for (; n < OPTIONS_MOST && (o = cli_option_at(command, n)); n++)
        names[n] = o->name;
    names[n] = NULL;
    char word[64];
    snprintf(word, sizeof word, "%.*s", (int)length, name);
    const char *near = pc_nearest_word(word, names);
    if (near)
        return say_error(CLI_USAGE, "%s has no option --%s; did you mean --%s?", command->name,
                         word, near);
    return say_error(CLI_USAGE, "%s has no option --%s; `pourclock %s --help` lists them",
                     command->name, word, command->name);
}

static bool word_allowed(const char *words, const char *value) {
    size_t length = strlen(value);
    for (const char *w = words; *w;) {
        size_t n = strcspn(w, " ");
        if (n == length && strncmp(w, value, n) == 0)
            return true;
        w += n + (w[n] == ' ');
    }
    return false;
}

static enum cli_exit take(struct cli *cli, const struct cli_option *option, const char *value) {
    if (!option->repeats && cli_has(cli, option->name))
        return say_error(CLI_USAGE, "--%s is given twice", option->name);
    if (option->kind == CLI_KIND_WORDS && !word_allowed(option->words, value))
        return say_error(CLI_USAGE, "--%s %s: expected one of: %s", option->name, value,
                         option->words);
    if (value && value[0] == '\0')
        return say_error(CLI_USAGE, "--%s has an empty value", option->name);
    cli->given[cli->given_count++] = (struct cli_given){option, value};
    return CLI_DONE;
}

/* One word that starts with "--". Moves *i past a value that stands in the next word. */
static enum cli_exit take_long(struct cli *cli, int argc, char **argv, int *i) {
    const char *name = argv[*i] + 2;
    size_t length = strcspn(name, "=");
    const struct cli_option *option = find_long(cli->command, name, length);
    if (!option)
        return say_unknown(cli->command, name, length);
    const char *value = name[length] == '=' ? name + length + 1 : NULL;
    if (!option->value && value)
        return say_error(CLI_USAGE, "--%s takes no value", option->name);
    if (option->value && !value) {
        if (*i + 1 >= argc)
            return say_error(CLI_USAGE, "--%s needs a value: --%s %s", option->name, option->name,
                             option->value);
        value = argv[++*i];
    }
    return take(cli, option, value);
}

/* One word such as "-q" or "-oFILE". */
static enum cli_exit take_short(struct cli *cli, int argc, char **argv, int *i) {
    for (const char *c = argv[*i] + 1; *c; c++) {
        const struct cli_option *option = find_short(cli->command, *c);
        if (!option) {
            say_error(CLI_USAGE, "%s has no option -%c; `pourclock %s --help` lists them",
                      cli->command->name, *c, cli->command->name);
            return false;
        }
        if (!option->value) {
            if (take(cli, option, NULL) != CLI_DONE)
                return CLI_USAGE;
            continue;
        }
        if (c[1])
            return take(cli, option, c + 1);
        if (*i + 1 >= argc)
            return say_error(CLI_USAGE, "-%c needs a value: -%c %s", *c, *c, option->value);
        return take(cli, option, argv[++*i]);
    }
    return CLI_DONE;
}

static bool color_wanted(const struct cli *cli) {
    const char *when = cli_value(cli, "color");
    if (when && strcmp(when, "auto") != 0)
        return strcmp(when, "always") == 0;
    const char *no_color = getenv("NO_COLOR");
    const char *term = getenv("TERM");
    if ((no_color && no_color[0]) || !term || strcmp(term, "dumb") == 0)
        return false;
    return !cli->write_path && isatty(STDOUT_FILENO) == 1;
}

static enum cli_exit settle(struct cli *cli) {
    cli->json = cli_has(cli, "json");
    cli->csv = cli_has(cli, "csv");
    cli->quiet = cli_has(cli, "quiet");
    cli->write_path = cli_value(cli, "output");
    if (cli->write_path && strcmp(cli->write_path, "-") == 0)
        cli->write_path = NULL;
    const char *units = cli_value(cli, "units");
    cli->units_given = units != NULL;
    cli->units = units && strcmp(units, "us") == 0 ? PC_US : PC_METRIC;
    cli->color = color_wanted(cli) && !cli->json && !cli->csv;
    cli->out.color = cli->color;
    const struct cli_command *command = cli->command;
    if (cli->json && cli->csv)
        return say_error(CLI_USAGE, "--json and --csv exclude each other");
    if (cli->operand_count < command->operands_least) {
        say_error(CLI_USAGE, "%s needs %s; try `pourclock %s --help`", command->name,
                  command->operands, command->name);
        return false;
    }
    if (cli->operand_count > command->operands_most)
        return say_error(CLI_USAGE, "%s: one word too many: %s", command->name,
                         cli->operand[command->operands_most]);
    for (int i = 0; command->operand_kind == CLI_KIND_WORDS && i < cli->operand_count; i++)
        if (!word_allowed(command->operand_words, cli->operand[i]))
            return say_error(CLI_USAGE, "%s %s: expected one of: %s", command->name,
                             cli->operand[i], command->operand_words);
    return CLI_DONE;
}

enum cli_asked cli_options_parse(struct cli *cli, int argc, char **argv) {
    size_t options = 0;
    while (cli_option_at(cli->command, options))
        options++;
    /* A word gives one option, or several switches, none of which may be given twice. */
    cli->given = calloc((size_t)argc + options, sizeof *cli->given);
    cli->operand = calloc((size_t)argc + 1, sizeof *cli->operand);
    if (!cli->given || !cli->operand) {
        say_error(CLI_INTERNAL, "out of memory");
        return CLI_ASKED_NO_MEMORY;
    }
    bool options_end = false;
    for (int i = 0; i < argc; i++) {
        const char *word = argv[i];
        enum cli_exit code = CLI_DONE;
        if (options_end || word[0] != '-' || word[1] == '\0')
            cli->operand[cli->operand_count++] = word;
        else if (strcmp(word, "--") == 0)
            options_end = true;
        else if (word[1] == '-')
            code = take_long(cli, argc, argv, &i);
        else
            code = take_short(cli, argc, argv, &i);
        if (code != CLI_DONE)
            return CLI_ASKED_WRONG;
        if (cli_has(cli, "help"))
            return CLI_ASKED_HELP;
        if (cli_has(cli, "version"))
            return CLI_ASKED_VERSION;
    }
    return settle(cli) == CLI_DONE ? CLI_ASKED_RUN : CLI_ASKED_WRONG;
}

void cli_options_free(struct cli *cli) {
    free(cli->given);
    free(cli->operand);
    cli->given = NULL;
    cli->operand = NULL;
}

const char *cli_value_at(const struct cli *cli, const char *name, size_t index) {
    for (size_t i = 0; i < cli->given_count; i++)
        if (strcmp(cli->given[i].option->name, name) == 0 && index-- == 0)
            return cli->given[i].value;
    return NULL;
}

bool cli_has(const struct cli *cli, const char *name) {
    return cli_value_count(cli, name) > 0;
}

const char *cli_value(const struct cli *cli, const char *name) {
    size_t n = cli_value_count(cli, name);
    return n ? cli_value_at(cli, name, n - 1) : NULL;
}

size_t cli_value_count(const struct cli *cli, const char *name) {
    size_t n = 0;
    for (size_t i = 0; i < cli->given_count; i++)
        n += strcmp(cli->given[i].option->name, name) == 0;
    return n;
}

pc_units cli_units(const struct cli *cli, pc_units piece_units) {
    return cli->units_given ? cli->units : piece_units;
}

enum cli_exit cli_deliver(struct cli *cli, const char *path, const void *data, size_t size) {
    if (strcmp(path, "-") != 0)
        return out_to_file(path, data, size) ? CLI_DONE : CLI_FILE;
    out_free(&cli->out);
    out_bytes(&cli->out, data, size);
    return cli->out.failed ? say_error(CLI_INTERNAL, "out of memory") : CLI_DONE;
}

enum cli_exit cli_one_answer(const struct cli *cli, const char *const *names) {
    const char *first = NULL;
    for (; *names; names++) {
        const char *value = cli_value(cli, *names);
        if (!value || strcmp(value, "-") != 0)
            continue;
        if (first)
            return say_error(CLI_USAGE, "--%s - and --%s - both want standard output", first,
                             *names);
        first = *names;
    }
    return CLI_DONE;
}
