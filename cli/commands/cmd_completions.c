/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pourclock completions bash|zsh|fish: the shell completions, made from the option tables. With
 * the word "table" instead: one line an option, for the test that compares table, help, man page
 * and completions. */
#include "config.h"

#include <string.h>

#include "commands/command.h"
#include "commands/options.h"

typedef void visit_option(struct cli_output *out, const struct cli_command *command,
                          const struct cli_option *option);

static void each_option(struct cli_output *out, const struct cli_command *command,
                        visit_option *visit) {
    const struct cli_option *o;
    for (size_t i = 0; (o = cli_option_at(command, i)); i++)
        visit(out, command, o);
}

static void each_command(struct cli_output *out,
                         void (*visit)(struct cli_output *, const struct cli_command *)) {
    for (const struct cli_command *const *c = cli_commands; *c; c++)
        if (!(*c)->hidden)
            visit(out, *c);
}

/* Text inside a single-quoted string of a shell; fish takes \' and zsh and bash '\''. */
static void quoted(struct cli_output *out, const char *text, const char *quote) {
    for (; *text; text++)
        if (*text == '\'')
            out_text(out, quote);
        else
            out_bytes(out, text, 1);
}

/* bash */

static void bash_name(struct cli_output *out, const struct cli_command *command) {
    out_printf(out, " %s", command->name);
}

static void bash_option(struct cli_output *out, const struct cli_command *command,
                        const struct cli_option *o) {
    (void)command;
    out_printf(out, " --%s", o->name);
    if (o->letter)
        out_printf(out, " -%c", o->letter);
}

static void bash_value(struct cli_output *out, const struct cli_command *command,
                       const struct cli_option *o) {
    if (!o->value)
        return;
    out_printf(out, "        %s:--%s", command->name, o->name);
    if (o->letter)
        out_printf(out, "|%s:-%c", command->name, o->letter);
    if (o->kind == CLI_KIND_WORDS)
        out_printf(out, ") COMPREPLY=($(compgen -W '%s' -- \"$cur\")); return;;\n", o->words);
    else if (o->kind == CLI_KIND_FILE || o->kind == CLI_KIND_RESIN)
        out_text(out, ") COMPREPLY=($(compgen -f -- \"$cur\")); return;;\n");
    else
        out_text(out, ") return;;\n");
}

static void bash_values(struct cli_output *out, const struct cli_command *command) {
    each_option(out, command, bash_value);
}

static void bash_command(struct cli_output *out, const struct cli_command *command) {
    out_printf(out, "        %s) words='", command->name);
    each_option(out, command, bash_option);
    out_text(out, "';;\n");
}

static void bash(struct cli_output *out) {
    out_text(out, "# bash completion for pourclock: written by `pourclock completions bash`\n"
                  "_pourclock() {\n"
                  "    local cur=${COMP_WORDS[COMP_CWORD]} prev=${COMP_WORDS[COMP_CWORD-1]}\n"
                  "    local command=${COMP_WORDS[1]} words=\n"
                  "    if [ \"$COMP_CWORD\" -eq 1 ]; then\n"
                  "        COMPREPLY=($(compgen -W '");
    each_command(out, bash_name);
    out_text(out, " --help --version' -- \"$cur\"))\n        return\n    fi\n"
                  "    case $command:$prev in\n");
    each_command(out, bash_values);
    out_text(out, "    esac\n    case $command in\n");
    each_command(out, bash_command);
    out_text(out, "    esac\n"
                  "    case $cur in\n"
                  "        -*) COMPREPLY=($(compgen -W \"$words\" -- \"$cur\"));;\n"
                  "        *) COMPREPLY=($(compgen -f -- \"$cur\"));;\n"
                  "    esac\n}\n"
                  "complete -o filenames -F _pourclock pourclock\n");
}

/* zsh */

static void zsh_help(struct cli_output *out, const char *text) {
    for (; *text; text++) {
        if (strchr("[]:\\", *text))
            out_text(out, "\\");
        if (*text == '\'')
            out_text(out, "'\\''");
        else
            out_bytes(out, text, 1);
    }
}

static void zsh_spec(struct cli_output *out, const struct cli_option *o, const char *dashes,
                     const char *name, int name_length) {
    out_printf(out, " \\\n                '%s%s%.*s%s[", o->repeats ? "*" : "", dashes, name_length,
               name, o->value && dashes[1] ? "=" : "");
    zsh_help(out, o->help);
    out_text(out, "]");
    if (o->value) {
        out_printf(out, ":%s:", o->value);
        if (o->kind == CLI_KIND_WORDS)
            out_printf(out, "(%s)", o->words);
        else if (o->kind == CLI_KIND_FILE || o->kind == CLI_KIND_RESIN)
            out_text(out, "_files");
    }
    out_text(out, "'");
}

static void zsh_option(struct cli_output *out, const struct cli_command *command,
                       const struct cli_option *o) {
    (void)command;
    zsh_spec(out, o, "--", o->name, (int)strlen(o->name));
    if (o->letter)
        zsh_spec(out, o, "-", &o->letter, 1);
}

static void zsh_command(struct cli_output *out, const struct cli_command *command) {
    out_printf(out, "        %s)\n            _arguments -s", command->name);
    each_option(out, command, zsh_option);
    if (command->operands_most > 0)
        out_printf(out, " \\\n                '*:%s:_files'", command->operands);
    out_text(out, ";;\n");
}

static void zsh_name(struct cli_output *out, const struct cli_command *command) {
    out_printf(out, "        '%s:", command->name);
    quoted(out, command->summary, "'\\''");
    out_text(out, "'\n");
}

static void zsh(struct cli_output *out) {
    out_text(out, "#compdef pourclock\n"
                  "# zsh completion for pourclock: written by `pourclock completions zsh`\n"
                  "_pourclock() {\n"
                  "    local -a commands\n"
                  "    commands=(\n");
    each_command(out, zsh_name);
    out_text(out, "    )\n"
                  "    if (( CURRENT == 2 )); then\n"
                  "        _describe command commands\n"
                  "        return\n"
                  "    fi\n"
                  "    local command=$words[2]\n"
                  "    shift words\n"
                  "    (( CURRENT-- ))\n"
                  "    case $command in\n");
    each_command(out, zsh_command);
    out_text(out, "    esac\n}\n_pourclock \"$@\"\n");
}

/* fish */

static void fish_option(struct cli_output *out, const struct cli_command *command,
                        const struct cli_option *o) {
    out_printf(out, "complete -c pourclock -n '__fish_seen_subcommand_from %s' -l %s",
               command->name, o->name);
    if (o->letter)
        out_printf(out, " -s %c", o->letter);
    if (o->kind == CLI_KIND_WORDS)
        out_printf(out, " -x -a '%s'", o->words);
    else if (o->value)
        out_text(out, o->kind == CLI_KIND_NONE ? " -x" : " -r -F");
    out_text(out, " -d '");
    quoted(out, o->help, "\\'");
    out_text(out, "'\n");
}

static void fish_command(struct cli_output *out, const struct cli_command *command) {
    out_printf(out, "complete -c pourclock -n __fish_use_subcommand -f -a %s -d '", command->name);
    quoted(out, command->summary, "\\'");
    out_text(out, "'\n");
    each_option(out, command, fish_option);
}

static void fish(struct cli_output *out) {
    out_text(out, "# fish completion for pourclock: written by `pourclock completions fish`\n");
    each_command(out, fish_command);
}

/* The plain table */

static void table_option(struct cli_output *out, const struct cli_command *command,
                         const struct cli_option *o) {
    const char *kind = o->section ? "piece" : "own";
    for (const struct cli_option *c = cli_common_options; c->name; c++)
        if (c == o)
            kind = "common";
    out_printf(out, "%s --%s %s %s\n", command->name, o->name, kind, o->value ? o->value : "-");
}

static void table_command(struct cli_output *out, const struct cli_command *command) {
    each_option(out, command, table_option);
}

static enum cli_exit run(struct cli *cli) {
    const char *shell = cli->operand[0];
    if (strcmp(shell, "bash") == 0)
        bash(&cli->out);
    else if (strcmp(shell, "zsh") == 0)
        zsh(&cli->out);
    else if (strcmp(shell, "fish") == 0)
        fish(&cli->out);
    else
        each_command(&cli->out, table_command);
    return CLI_DONE;
}

static const struct cli_option options[] = {CLI_OPTIONS_END};

const struct cli_command cmd_completions = {
    .name = "completions",
    .operands = "bash|zsh|fish",
    .summary = "Write the completions of a shell",
    .example = "pourclock completions bash > ~/.local/share/bash-completion/completions/pourclock",
    .options = options,
    .operands_least = 1,
    .operands_most = 1,
    .operand_kind = CLI_KIND_WORDS,
    .operand_words = "bash zsh fish table",
    .hidden = true,
    .run = run,
};
