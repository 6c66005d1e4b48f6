/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "commands/file_kind.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>

#include "print/message.h"

enum { HEAD_BYTES = 65536, LINE_BYTES = 1024 };

static const struct {
    const char *name, *command;
} kinds[] = {
    [CLI_FILE_PIECE] = {"a piece file", "pourclock schedule"},
    [CLI_FILE_DAY] = {"a day file", "pourclock day"},
    [CLI_FILE_RESIN] = {"a resin file", "pourclock resin"},
    [CLI_FILE_SHOP] = {"a shop file", NULL},
    [CLI_FILE_MESH] = {"a mesh", "pourclock area --mesh-unit mm"},
    [CLI_FILE_TESTS] = {"a table", "pourclock cuptest"},
    [CLI_FILE_LOG] = {"a log of the bench", "pourclock bench --report"},
};

static bool begins(const char *line, const char *section) {
    return strncasecmp(line, section, strlen(section)) == 0;
}

static enum cli_file_kind kind_of_section(const char *line) {
    if (begins(line, "[casting ") || begins(line, "[day]"))
        return CLI_FILE_DAY;
    if (begins(line, "[resin]"))
        return CLI_FILE_RESIN;
    if (begins(line, "[hollow") || begins(line, "[solid"))
        return CLI_FILE_PIECE;
    if (begins(line, "[mold]") || begins(line, "[shop]") || begins(line, "[turning]"))
        return CLI_FILE_SHOP;
    return CLI_FILE_UNKNOWN;
}

/* By the first section that tells; a shop's sections are a piece's too. */
static enum cli_file_kind kind_by_sections(FILE *file) {
    enum cli_file_kind kind = CLI_FILE_UNKNOWN;
    char line[LINE_BYTES];
    size_t read = 0;
    while (read < HEAD_BYTES && fgets(line, sizeof line, file) != NULL) {
        read += strlen(line) + 1;
        enum cli_file_kind named = kind_of_section(line + strspn(line, " \t"));
        if (named != CLI_FILE_UNKNOWN && named != CLI_FILE_SHOP)
            return named;
        if (named == CLI_FILE_SHOP)
            kind = named;
    }
    return kind;
}

static enum cli_file_kind kind_by_name(const char *path) {
    static const struct {
        const char *ending;
        enum cli_file_kind kind;
    } endings[] = {{".stl", CLI_FILE_MESH},
                   {".obj", CLI_FILE_MESH},
                   {".ply", CLI_FILE_MESH},
                   {".csv", CLI_FILE_TESTS},
                   {".log", CLI_FILE_LOG}};
    size_t length = strlen(path);
    for (size_t i = 0; i < sizeof endings / sizeof *endings; i++)
        if (length > 4 && strcasecmp(path + length - 4, endings[i].ending) == 0)
            return endings[i].kind;
    return CLI_FILE_UNKNOWN;
}

enum cli_file_kind cli_file_kind(const char *path) {
    struct stat st;
    if (stat(path, &st) != 0 || !S_ISREG(st.st_mode))
        return CLI_FILE_UNKNOWN;
    enum cli_file_kind kind = kind_by_name(path);
    FILE *file = kind == CLI_FILE_UNKNOWN ? fopen(path, "rb") : NULL;
    if (file == NULL)
        return kind;
    kind = kind_by_sections(file);
    fclose(file);
    return kind;
}

enum cli_exit cli_expect_kind(const char *path, enum cli_file_kind wanted) {
    enum cli_file_kind kind = cli_file_kind(path);
    bool piece_without_part = wanted == CLI_FILE_PIECE && kind == CLI_FILE_SHOP;
    if (kind == CLI_FILE_UNKNOWN || kind == wanted || piece_without_part)
        return CLI_DONE;
    if (kinds[kind].command == NULL)
        return say_error(CLI_FILE, "%s is %s, not %s", path, kinds[kind].name, kinds[wanted].name);
    return say_error(CLI_FILE, "%s is %s, not %s: %s %s", path, kinds[kind].name,
                     kinds[wanted].name, kinds[kind].command, path);
}

bool cli_file_as_command(const char *path) {
    enum cli_file_kind kind = cli_file_kind(path);
    if (kind == CLI_FILE_UNKNOWN || kinds[kind].command == NULL)
        return false;
    say_error(CLI_USAGE, "%s is %s: the command comes first: %s %s", path, kinds[kind].name,
              kinds[kind].command, path);
    return true;
}
