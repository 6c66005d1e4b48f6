/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Options of every command that works on a piece: each overrides one key of the piece file, and
 * together they do without a file. */
#ifndef PC_CLI_COMMANDS_PIECE_OPTIONS_H
#define PC_CLI_COMMANDS_PIECE_OPTIONS_H

#include "commands/command.h"

/* clang-format off */
#define CLI_PIECE_OPTION(name, value, help, kind, words, section, key) \
    {name, 0, value, help, kind, words, false, section, key}

/* Of every command that reads a piece file. */
#define CLI_SHOP_OPTION \
    {"no-shop", 0, NULL, "leave out the defaults of your shop.ini", CLI_KIND_NONE, NULL, false, NULL, NULL}

/* For an option table: CLI_PIECE_OPTIONS, CLI_OPTIONS_END. */
#define CLI_PIECE_OPTIONS \
    CLI_SHOP_OPTION, \
    CLI_PIECE_OPTION("resin", "RESIN", "resin: a name on the shelf or a file", CLI_KIND_RESIN, NULL, "piece", "resin"), \
    CLI_PIECE_OPTION("filler", "F", "filler and parts to 100 of resin: 'calcium-carbonate 60 parts'", CLI_KIND_NONE, NULL, "piece", "filler"), \
    CLI_PIECE_OPTION("area", "A", "area of the wall, such as 210sqin", CLI_KIND_NONE, NULL, "hollow", "area"), \
    CLI_PIECE_OPTION("shape", "S", "a plain solid instead, such as \"sphere 80 mm\"", CLI_KIND_NONE, NULL, "hollow", "shape"), \
    CLI_PIECE_OPTION("mesh", "FILE", "a mesh instead (STL, OBJ, PLY); needs --mesh-unit", CLI_KIND_FILE, NULL, "hollow", "mesh"), \
    CLI_PIECE_OPTION("mesh-unit", "U", "what the mesh is measured in", CLI_KIND_WORDS, "mm cm m in ft", "hollow", "mesh_unit"), \
    CLI_PIECE_OPTION("wall", "D", "wall of the casting, such as 3/16in", CLI_KIND_NONE, NULL, "hollow", "wall"), \
    CLI_PIECE_OPTION("layers", "N", "number of layers (default: the fewest that work)", CLI_KIND_NONE, NULL, "hollow", "layers"), \
    CLI_PIECE_OPTION("first-layer", "D", "thickness of the first layer", CLI_KIND_NONE, NULL, "hollow", "first_layer"), \
    CLI_PIECE_OPTION("pour-hole", "D", "width of the pour hole", CLI_KIND_NONE, NULL, "hollow", "pour_hole"), \
    CLI_PIECE_OPTION("rubber", "D", "thickness of the mold's rubber, or 0mm", CLI_KIND_NONE, NULL, "mold", "rubber"), \
    CLI_PIECE_OPTION("rubber-kind", "K", "rubber of the mold", CLI_KIND_WORDS, "silicone urethane", "mold", "rubber_kind"), \
    CLI_PIECE_OPTION("shell", "D", "thickness of the mold's shell, or none", CLI_KIND_NONE, NULL, "mold", "shell"), \
    CLI_PIECE_OPTION("shell-kind", "K", "shell of the mold", CLI_KIND_WORDS, "plaster resin none", "mold", "shell_kind"), \
    CLI_PIECE_OPTION("method", "M", "how the mold is turned", CLI_KIND_WORDS, "machine hand drain", "turning", "method"), \
    CLI_PIECE_OPTION("outer", "R", "speed of the outer axis, such as 12rpm", CLI_KIND_NONE, NULL, "turning", "outer"), \
    CLI_PIECE_OPTION("inner", "R", "speed of the inner axis against its arm", CLI_KIND_NONE, NULL, "turning", "inner"), \
    CLI_PIECE_OPTION("shop", "T", "temperature of the shop, such as 64F", CLI_KIND_NONE, NULL, "shop", "temperature"), \
    CLI_PIECE_OPTION("resin-at", "T", "temperature of the resin (the shop's)", CLI_KIND_NONE, NULL, "shop", "resin_temperature"), \
    CLI_PIECE_OPTION("mold", "T", "temperature of the mold (the shop's)", CLI_KIND_NONE, NULL, "shop", "mold_temperature"), \
    CLI_PIECE_OPTION("mix-time", "S", "time it takes to mix a cup, such as 60s", CLI_KIND_NONE, NULL, "shop", "mix_time"), \
    CLI_PIECE_OPTION("pour-time", "S", "time it takes to pour a cup", CLI_KIND_NONE, NULL, "shop", "pour_time"), \
    CLI_PIECE_OPTION("largest-mix", "M", "the largest batch that is mixed at once", CLI_KIND_NONE, NULL, "shop", "largest_mix"), \
    CLI_PIECE_OPTION("catalyst", "P", "level of a polyester's catalyst, such as 1.5%", CLI_KIND_NONE, NULL, "shop", "catalyst"), \
    CLI_PIECE_OPTION("start", "CLOCK", "when the first cup is mixed, such as 9:30", CLI_KIND_NONE, NULL, "shop", "start")
/* clang-format on */

/* Path of the user's shop file, $XDG_CONFIG_HOME/pourclock/shop.ini (~/.config where that is not
 * set), in buffer; NULL where there is none, or --no-shop leaves it out. */
const char *cli_shop_file(const struct cli *cli, char *buffer, size_t size);

/* Says on stderr which keys of the shop file are in force. */
void cli_note_shop(const struct cli *cli, const pc_piece *piece);

/* Reads the piece file of the first operand over the shop's defaults, if there is one, and applies
 * the options to it (or to the defaults), --units too. Says what is wrong. *piece is to be freed
 * with pc_piece_free in any case. Returned: CLI_DONE; CLI_USAGE, CLI_FILE, CLI_INTERNAL. */
enum cli_exit cli_load_piece(const struct cli *cli, pc_piece *piece);

#endif
