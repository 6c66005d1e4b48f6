/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "commands/mesh_file.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "commands/options.h"
#include "print/message.h"

/* The question stands at the head of the library's message: "61 x 58 x 232: mm?". */
static bool ask_unit(const pc_errors *errors, char *unit, size_t size) {
    const char *text = errors->count > 0 ? errors->item[0].text : "";
    const char *end = strchr(text, '?'), *colon = strchr(text, ':');
    char line[32];
    if (!end || !colon || colon > end || !isatty(STDIN_FILENO) || !isatty(STDERR_FILENO))
        return false;
    fprintf(stderr, "%.*s [Enter: yes; or mm, cm, m, in, ft] ", (int)(end + 1 - text), text);
    fflush(stderr);
    if (!fgets(line, sizeof line, stdin))
        return false;
    line[strcspn(line, "\r\n")] = '\0';
    if (line[0] == '\0' || !strcmp(line, "y") || !strcmp(line, "yes"))
        snprintf(unit, size, "%.*s", (int)(end - colon - 2), colon + 2);
    else
        snprintf(unit, size, "%s", line);
    return true;
}

enum cli_exit cli_read_mesh(const struct cli *cli, const char *path, pc_mesh *mesh) {
    pc_errors errors = PC_ERRORS_INIT;
    const char *unit = cli_value(cli, "mesh-unit");
    char answer[32];
    pc_status status = pc_mesh_read(path, unit, mesh, &errors);
    if (status == PC_E_UNIT && !unit && strcmp(path, "-") != 0 &&
        ask_unit(&errors, answer, sizeof answer)) {
        pc_errors_free(&errors);
        status = pc_mesh_read(path, answer, mesh, &errors);
        if (status == PC_E_UNIT)
            return say_errors(status, &errors);
    }
    enum cli_exit code = say_errors(status, &errors);
    /* A unit that only the command line can give is a matter of usage. */
    return status == PC_E_UNIT && !unit ? CLI_USAGE : code;
}
