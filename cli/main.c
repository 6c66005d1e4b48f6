/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pourclock: finds the command, reads its options, runs it, writes its answer. */
#include "config.h"

#include <string.h>

#include "commands/command.h"
#include "commands/file_kind.h"
#include "commands/help.h"
#include "commands/options.h"
#include "print/message.h"
#include "print/output.h"

static enum cli_exit deliver(struct cli *cli, enum cli_exit code) {
    if (code != CLI_DONE && code != CLI_LIMIT)
        return code;
    if (cli->out.failed)
        return say_error(CLI_INTERNAL, "out of memory while the answer was put together");
    bool ok = cli->write_path ? out_to_file(cli->write_path, cli->out.data, cli->out.size)
                              : out_to_stdout(&cli->out);
    return ok ? code : CLI_FILE;
}

static enum cli_exit run_command(const struct cli_command *command, int argc, char **argv) {
    struct cli cli = {.command = command};
    enum cli_exit code = CLI_USAGE;
    switch (cli_options_parse(&cli, argc, argv)) {
    case CLI_ASKED_RUN:
        code = command->run(&cli);
        break;
    case CLI_ASKED_HELP:
        help_command(&cli.out, command);
        code = CLI_DONE;
        break;
    case CLI_ASKED_VERSION:
        help_version(&cli.out);
        code = CLI_DONE;
        break;
    case CLI_ASKED_WRONG:
        break;
    case CLI_ASKED_NO_MEMORY:
        code = CLI_INTERNAL;
        break;
    }
    code = deliver(&cli, code);
    out_free(&cli.out);
    cli_options_free(&cli);
    return code;
}

static enum cli_exit print_and_end(void (*print)(struct cli_output *)) {
    struct cli cli = {0};
    print(&cli.out);
    enum cli_exit code = deliver(&cli, CLI_DONE);
    out_free(&cli.out);
    return code;
}

static enum cli_exit run(int argc, char **argv) {
    if (argc < 2) {
        say_error(CLI_USAGE, "no command given; `pourclock --help` lists them, or try: "
                             "pourclock schedule PIECE");
        return CLI_USAGE;
    }
    const char *word = argv[1];
    if (strcmp(word, "--help") == 0 || strcmp(word, "-h") == 0)
        return print_and_end(help_tool);
    if (strcmp(word, "--version") == 0)
        return print_and_end(help_version);
    if (word[0] == '-')
        return say_error(CLI_USAGE, "%s: the command comes first: pourclock COMMAND [OPTION]...",
                         word);
    const struct cli_command *command = help_find(word);
    if (!command && cli_file_as_command(word))
        return CLI_USAGE;
    if (!command)
        return help_unknown(word);
    return run_command(command, argc - 2, argv + 2);
}

int main(int argc, char **argv) {
    out_guard_descriptors();
    return (int)run(argc, argv);
}
