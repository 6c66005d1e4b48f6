/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "commands/piece_options.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "commands/file_kind.h"
#include "commands/options.h"
#include "print/message.h"

/* The unit of a mesh is set behind the mesh, in whatever order they were given. */
static void overlay(const struct cli *cli, bool mesh_unit, pc_piece *piece, pc_errors *errors,
                    pc_status *status) {
    for (size_t i = 0; i < cli->given_count; i++) {
        const struct cli_option *o = cli->given[i].option;
        if (!o->section || (strcmp(o->key, "mesh_unit") == 0) != mesh_unit)
            continue;
        pc_status got = pc_piece_set(piece, o->section, o->key, cli->given[i].value, errors);
        if (*status == PC_OK)
            *status = got;
    }
}

/* A quick use needs these three; one message names all that lack. */
static enum cli_exit say_missing(const struct cli *cli) {
    bool extent = cli_has(cli, "area") || cli_has(cli, "shape") || cli_has(cli, "mesh");
    if (extent && cli_has(cli, "wall") && cli_has(cli, "resin"))
        return CLI_DONE;
    return say_error(CLI_USAGE,
                     "%s needs a piece file, or at least --area A --wall D --resin RESIN, such as: "
                     "pourclock %s --area 210sqin --wall 3/16in --resin fast-urethane --shop 64F",
                     cli->command->name, cli->command->name);
}

/* Whether an error lies in a file, or in there being none. */
static bool any_in_file(const pc_errors *errors) {
    for (size_t i = 0; i < errors->count; i++) {
        const pc_error *e = &errors->item[i];
        if (e->status == PC_E_FILE || (e->file[0] && strcmp(e->file, "command line") != 0))
            return true;
    }
    return false;
}

/* Options that ask for one another, or shut one another out, before anything is read. */
static enum cli_exit check_together(const struct cli *cli) {
    if (cli_has(cli, "mesh") && !cli_has(cli, "mesh-unit"))
        return say_error(CLI_USAGE, "--mesh needs --mesh-unit, what its numbers are measured in: "
                                    "--mesh-unit mm");
    if ((int)cli_has(cli, "area") + (int)cli_has(cli, "shape") + cli_has(cli, "mesh") > 1)
        return say_error(CLI_USAGE, "--area, --shape and --mesh each say how large the part is: "
                                    "give one of them");
    return CLI_DONE;
}

const char *cli_shop_file(const struct cli *cli, char *buffer, size_t size) {
    const char *config = getenv("XDG_CONFIG_HOME"), *home = getenv("HOME");
    int length = -1;
    if (cli_has(cli, "no-shop"))
        return NULL;
    if (config && config[0] == '/') /* others are to be ignored: XDG Base Directory Specification */
        length = snprintf(buffer, size, "%s/pourclock/shop.ini", config);
    else if (home && home[0])
        length = snprintf(buffer, size, "%s/.config/pourclock/shop.ini", home);
    bool fits = length >= 0 && (size_t)length < size;
    return fits && access(buffer, F_OK) == 0 ? buffer : NULL;
}

void cli_note_shop(const struct cli *cli, const pc_piece *piece) {
    char keys[512];
    pc_piece_from_shop(piece, keys, sizeof keys);
    if (keys[0])
        say_note(cli, "from your shop.ini: %s (--no-shop leaves them out)", keys);
}

/* The piece file over the shop's defaults; without a file the defaults alone. */
static pc_status read_files(const struct cli *cli, pc_piece *piece, pc_errors *errors) {
    char path[1024];
    const char *shop = cli_shop_file(cli, path, sizeof path);
    const char *file = cli->operand_count > 0 ? cli->operand[0] : NULL;
    if (!file && !shop)
        return PC_OK;
    return pc_piece_read_in_shop(shop, file, piece, errors);
}

enum cli_exit cli_load_piece(const struct cli *cli, pc_piece *piece) {
    pc_errors errors = PC_ERRORS_INIT;
    pc_piece_defaults(piece);
    if (check_together(cli) != CLI_DONE)
        return CLI_USAGE;
    enum cli_exit code = cli->operand_count == 0 ? say_missing(cli)
                                                 : cli_expect_kind(cli->operand[0], CLI_FILE_PIECE);
    if (code != CLI_DONE)
        return code;
    pc_status status = read_files(cli, piece, &errors);
    if (cli->operand_count == 0)
        snprintf(piece->name, sizeof piece->name, "Hollow piece");
    if (status == PC_OK) {
        overlay(cli, false, piece, &errors, &status);
        overlay(cli, true, piece, &errors, &status);
    }
    if (cli->units_given)
        piece->units = cli->units;
    if (status == PC_OK)
        status = pc_piece_check(piece, &errors);
    if (status == PC_OK)
        cli_note_shop(cli, piece);
    bool in_file = any_in_file(&errors);
    code = say_errors(status, &errors);
    /* Without a piece file whatever is wrong was said on the command line, or in what it names. */
    return code == CLI_FILE && cli->operand_count == 0 && !in_file ? CLI_USAGE : code;
}
