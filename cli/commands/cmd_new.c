/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pourclock new FILE: a commented piece file to fill in, with what the options state filled in. */
#include "config.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "commands/command.h"
#include "commands/options.h"
#include "commands/piece_options.h"
#include "pourclock.h"
#include "print/message.h"

/* What is said of a key, and a value it may hold, in metric and in US units (NULL: as metric). A
 * key that begins with "=" is written in force even where no option states it. */
struct hint {
    const char *section, *key, *metric, *us, *note;
};

/* clang-format off */
static const struct hint hints[] = {
    {"piece", "=name", "My piece", NULL, "shown on everything that is printed"},
    {"piece", "=resin", "fast-urethane", NULL, "a name on the shelf (`pourclock resin` lists it) or a resin file"},
    {"piece", "filler", "calcium-carbonate 60 parts", NULL, "stirred in, by weight to 100 of A and B"},
    {"piece", "=units", "metric", "us", "what is printed: metric or us"},
    {"hollow", "=area", "1300 cm2", "200 sq in", "inside of the mold that gets a wall; or one of the next four"},
    {"hollow", "shape", "sphere 200 mm", "sphere 8 in", "or plain solids joined by +, see pourclock-files(5)"},
    {"hollow", "mesh", "piece.stl", NULL, "or a scan: STL, OBJ or PLY"},
    {"hollow", "mesh_unit", "mm", NULL, "what the mesh is measured in"},
    {"hollow", "foil_mass", "35 g", NULL, "or the foil that covers it, weighed"},
    {"hollow", "foil_thickness", "16 um", "0.016 mm", NULL},
    {"hollow", "foil_metal", "aluminum", NULL, NULL},
    {"hollow", "foil_density", "2.7 g/cm3", NULL, "instead of the metal"},
    {"hollow", "water_fill", "2.1 l", "2 qt", "water that fills the mold: a better volume"},
    {"hollow", "=wall", "5 mm", "3/16 in", "thickness of the finished wall"},
    {"hollow", "open", "no", NULL, "yes: a half or a bowl, nothing is plugged"},
    {"hollow", "seam", "900 mm", "36 in", "of an open half: length of the edge that meets the other"},
    {"hollow", "pour_hole", "20 mm", "3/4 in", NULL},
    {"hollow", "layers", "3", NULL, "a fixed number of layers; otherwise as few as work"},
    {"hollow", "first_layer", "1 mm", "0.04 in", NULL},
    {"hollow", "least_layer", "0.8 mm", "1/32 in", "thinnest layer that covers"},
    {"hollow", "resin", "slow-urethane", NULL, "of its own, where the part is not of the piece's"},
    {"hollow", "filler", "microballoons 5 parts", NULL, NULL},
    {"hollow", "mold", "figure", NULL, "parts that name the same mold are poured in it one after the other"},
    {"hollow", "after", "left leg", NULL, "parts poured before this one; otherwise as in this file"},
    {"solid", "volume", "200 cm3", "7 fl oz", "of a part that is poured solid"},
    {"solid", "area", "250 cm2", "40 sq in", "its surface, for the heat"},
    {"solid", "shape", "cylinder 60 mm x 80 mm", "cylinder 2 in x 3 in", "instead of volume and area"},
    {"solid", "mesh", "base.stl", NULL, NULL},
    {"solid", "mesh_unit", "mm", NULL, NULL},
    {"solid", "form", "slab", NULL, "slab, cylinder or sphere: which it is nearest to"},
    {"solid", "pour_hole", "20 mm", "3/4 in", NULL},
    {"solid", "sprues", "1", NULL, "where it is poured; what sprues and vents hold is cut off"},
    {"solid", "sprue_bore", "10 mm", "3/8 in", NULL},
    {"solid", "sprue_length", "40 mm", "1 1/2 in", NULL},
    {"solid", "vents", "2", NULL, "where air would be caught: pourclock traps"},
    {"solid", "vent_bore", "3 mm", "1/8 in", NULL},
    {"solid", "vent_length", "40 mm", "1 1/2 in", "of each"},
    {"solid", "turn_over", "no", NULL, "yes: the mold is turned over before this is poured in it"},
    {"solid", "resin", "slow-urethane", NULL, "of its own, where the part is not of the piece's"},
    {"solid", "filler", "calcium-carbonate 60 parts", NULL, NULL},
    {"solid", "mold", "figure", NULL, NULL},
    {"solid", "after", "body", NULL, NULL},
    {"mold", "rubber", "10 mm", "3/8 in", "thickness; 0 mm: none"},
    {"mold", "rubber_kind", "silicone", NULL, NULL},
    {"mold", "shell", "10 mm", "3/8 in", "thickness, or none"},
    {"mold", "shell_kind", "plaster", NULL, NULL},
    {"mold", "limit", "120 C", "250 F", "hottest the rubber may get, by its maker"},
    {"turning", "method", "machine", NULL, NULL},
    {"turning", "outer", "12 rpm", NULL, NULL},
    {"turning", "inner", "3 rpm", NULL, NULL},
    {"turning", "inner_against", "arm", NULL, "what the inner speed is counted against: arm or floor"},
    {"turning", "slowest", "2 rpm", NULL, "the range of the machine, for advice"},
    {"turning", "fastest", "20 rpm", NULL, NULL},
    {"turning", "ratios", "4:1, 3:1", NULL, "gears there are, outer turns to inner turns"},
    {"turning", "reverse_every", "5 min", NULL, NULL},
    {"turning", "remount", "no", NULL, "whether the mold may be remounted between layers"},
    {"turning", "tilts", "up 10 s, left 15 s, down 10 s, right 15 s", NULL, "by hand: faces turned up, and how long"},
    {"turning", "drop_length", "300 mm", "12 in", "draining: how far resin runs to the hole"},
    {"turning", "surface_tension", "35 mN/m", NULL, NULL},
    {"shop", "temperature", "18 C", "64 F", "of the air where it is poured"},
    {"shop", "temperatures", "day.csv", NULL, "or by the hour: clock,temperature"},
    {"shop", "resin_temperature", "22 C", "72 F", "where it differs from the shop's"},
    {"shop", "mold_temperature", "18 C", "64 F", NULL},
    {"shop", "mold_rest", "5 min", NULL, "from the oven to the first mix"},
    {"shop", "mix_time", "60 s", NULL, "of one cup; left out, it grows with the cup"},
    {"shop", "pour_time", "30 s", NULL, NULL},
    {"shop", "least_layer_wait", "30 min", NULL, "from a layer's gel to the next pour"},
    {"shop", "hand_most", "20 min", NULL, "longest you turn by hand at a stretch"},
    {"shop", "largest_mix", "500 g", NULL, "the largest batch you mix at once"},
    {"shop", "cup_loss", "3 %", NULL, "what stays in the cup"},
    {"shop", "catalyst", "1 %", NULL, "of a polyester, by mass; its range is in the resin file"},
    {"shop", "start", "09:00", NULL, "first mix"},
    {"shop", "hands", "1", NULL, "people"},
    {"shop", "room", "60 m3", "2000 ft3", "for the air: its volume"},
    {"shop", "ventilation", "400 m3/h", "250 cfm", "and the fresh air it gets"},
    {"margins", "on", "yes", NULL, "plan for spread: early and late ends"},
    {"margins", "shop_temperature", "1 C", "2 F", "how far each may be off, 19 times in 20"},
    {"margins", "times", "10 %", NULL, NULL},
    {"margins", "area", "5 %", NULL, NULL},
    {"margins", "mix_pour", "20 %", NULL, NULL},
    {"margins", "ratio", "2 %", NULL, NULL},
    {"margins", "samples", "64", NULL, NULL},
    {"layer", "method", "brush", NULL, NULL},
    {"layer", "thickness", "0.8 mm", "1/32 in", NULL},
    {"layer", "resin", "slow-urethane", NULL, "of its own"},
    {"layer", "filler", "bronze-powder 250 parts", NULL, NULL},
    {"layer", "brush_cup", "120 g", NULL, "mixed and brushed out one by one"},
    {"layer", "brush_time", "2 min", NULL, "to brush out one cup"},
    {"layer", "yield_stress", "40 Pa", NULL, "of a thixotropic mix"},
    {"layer", "does_not_run", "1 mm", "0.04 in", "or the film that stays on an upright wall"},
    {"seam", "joins", "front, back", NULL, "two halves, each with open = yes"},
    {"seam", "length", "900 mm", "36 in", "or seam = 900 mm in its halves"},
    {"seam", "width", "3 mm", "1/8 in", "of the gap that is filled"},
    {"seam", "depth", "4 mm", "5/32 in", "left out, that of the thinner wall"},
    {"seam", "method", "lay", NULL, "lay: thickened, by hand; or pour"},
    {"seam", "resin", "slow-urethane", NULL, NULL},
    {"seam", "filler", "microballoons 20 parts", NULL, "what thickens it"},
    {"rim", "part", "front", NULL, "the form whose edge it is"},
    {"rim", "length", "900 mm", "36 in", NULL},
    {"rim", "width", "15 mm", "5/8 in", "how far it reaches in from the edge"},
    {"rim", "thickness", "4 mm", "5/32 in", "on its wall"},
    {"rim", "method", "pour", NULL, "pour or lay"},
    {"rim", "resin", "slow-urethane", NULL, NULL},
    {"rim", "filler", "calcium-carbonate 60 parts", NULL, NULL},
};
/* clang-format on */

static const struct hint *hint_of(const pc_piece_key *key) {
    for (size_t i = 0; i < sizeof hints / sizeof *hints; i++) {
        const char *name = hints[i].key + (hints[i].key[0] == '=');
        if (strcmp(hints[i].section, key->section) == 0 && strcmp(name, key->key) == 0)
            return &hints[i];
    }
    return NULL;
}

/* What an option states for a key, or NULL. */
static const char *stated(const struct cli *cli, const pc_piece_key *key) {
    for (size_t i = 0; i < cli->given_count; i++) {
        const struct cli_option *o = cli->given[i].option;
        if (o->section && strcmp(o->section, key->section) == 0 && strcmp(o->key, key->key) == 0)
            return cli->given[i].value;
    }
    if (strcmp(key->section, "piece") == 0 && strcmp(key->key, "name") == 0)
        return cli_value(cli, "name");
    if (strcmp(key->section, "piece") == 0 && strcmp(key->key, "units") == 0)
        return cli_value(cli, "units");
    return NULL;
}

/* An area is stated once: an option for a shape or a mesh puts the area's own line out of force. */
static bool area_is_stated(const struct cli *cli) {
    return cli_has(cli, "shape") || cli_has(cli, "mesh");
}

static void put_note(struct cli_output *out, const pc_piece_key *key, const struct hint *hint) {
    const char *note = hint ? hint->note : NULL;
    if (note)
        out_printf(out, "  ; %s", note);
    else if (key->words) {
        out_text(out, "  ; ");
        for (size_t i = 0; key->words[i]; i++)
            out_printf(out, "%s%s", i > 0 ? ", " : "", key->words[i]);
    } else if (key->range[0]) {
        out_printf(out, "  ; %s", key->range);
    }
    out_text(out, "\n");
}

static void put_key(struct cli_output *out, const struct cli *cli, const pc_piece_key *key) {
    const struct hint *hint = hint_of(key);
    const char *value = stated(cli, key);
    bool us = cli->units_given && cli->units == PC_US;
    bool in_force = value || (hint && hint->key[0] == '=');
    if (!value && strcmp(key->key, "area") == 0 && area_is_stated(cli))
        in_force = false;
    if (!value && hint)
        value = us && hint->us ? hint->us : hint->metric;
    /* The strict reader takes ; and # for a comment: such a value is put in quotes. */
    bool quoted = value && strpbrk(value, ";#") != NULL;
    out_printf(out, "%s%s = %s%s%s", in_force ? "" : "; ", key->key, quoted ? "\"" : "",
               value ? value : "", quoted ? "\"" : "");
    put_note(out, key, hint);
}

static void put_section(struct cli_output *out, const char *section) {
    static const struct {
        const char *section, *lines;
    } heads[] = {
        {"piece", "[piece]\n"},
        {"hollow", "\n; One section for each hollow part: [hollow NAME].\n[hollow body]\n"},
        {"solid", "\n; One for each part that is poured solid: take the ; off its lines.\n; [solid "
                  "base]\n"},
        {"mold", "\n; What does not change from piece to piece belongs in your shop.ini, see "
                 "pourclock-files(5).\n[mold]\n"},
        {"turning", "\n[turning]\n"},
        {"shop", "\n[shop]\n"},
        {"margins", "\n[margins]\n"},
        {"layer",
         "\n; One for each layer of its own kind: take the ; off its lines.\n; [layer body 1]\n"},
        {"seam", "\n; The joint of two open halves, filled when both are out.\n; [seam joint]\n"},
        {"rim", "\n; A thicker band along the edge of an open form.\n; [rim edge]\n"},
    };
    for (size_t i = 0; i < sizeof heads / sizeof *heads; i++)
        if (strcmp(heads[i].section, section) == 0)
            out_text(out, heads[i].lines);
}

static void put_file(struct cli_output *out, const struct cli *cli) {
    pc_piece_key key;
    const char *section = "";
    out_text(out, "; A piece for pourclock. Lines that begin with ; are left out: take the ; off "
                  "those you need.\n; pourclock-files(5) says more of each key.\n");
    for (size_t i = 0; pc_piece_key_at(i, &key); i++) {
        if (strcmp(section, key.section) != 0)
            put_section(out, key.section);
        section = key.section;
        put_key(out, cli, &key);
    }
}

/* What cannot be a value in a file, however it is quoted. */
static enum cli_exit refuse_signs(const struct cli *cli) {
    for (size_t i = 0; i < cli->given_count; i++) {
        const char *value = cli->given[i].value;
        for (const char *c = value; c && *c; c++)
            if ((unsigned char)*c < 0x20 || *c == 0x7F || *c == '"')
                return say_error(CLI_USAGE,
                                 "--%s: a value in a file has no line end, control character or "
                                 "double quote",
                                 cli->given[i].option->name);
    }
    return CLI_DONE;
}

/* Every value given is tried, so that the file can be read again. */
static enum cli_exit try_options(const struct cli *cli) {
    pc_errors errors = PC_ERRORS_INIT;
    pc_piece piece;
    pc_status status = PC_OK;
    pc_piece_defaults(&piece);
    for (int mesh = 0; mesh < 2; mesh++)
        for (size_t i = 0; i < cli->given_count; i++) {
            const struct cli_option *o = cli->given[i].option;
            if (!o->section || (strncmp(o->key, "mesh", 4) == 0) != (mesh == 1))
                continue;
            bool path = strcmp(o->key, "mesh") == 0; /* need not be there yet */
            pc_status got =
                path ? PC_OK
                     : pc_piece_set(&piece, o->section, o->key, cli->given[i].value, &errors);
            if (status == PC_OK)
                status = got;
        }
    pc_piece_free(&piece);
    return say_errors(status, &errors);
}

/* Only where there is no file of that name yet. */
static enum cli_exit write_new(const char *path, const struct cli_output *file) {
    int fd = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (fd < 0)
        return errno == EEXIST
                   ? say_error(CLI_FILE, "%s is there already, and is left as it is: name another",
                               path)
                   : say_error(CLI_FILE, "%s: %s", path, strerror(errno));
    bool written = out_write_all(fd, file->data, file->size);
    int why = errno;
    if (close(fd) != 0 && written) {
        written = false;
        why = errno;
    }
    if (written)
        return CLI_DONE;
    unlink(path);
    return say_error(CLI_FILE, "%s: %s", path, strerror(why));
}

static enum cli_exit run(struct cli *cli) {
    const char *path = cli->operand_count > 0 ? cli->operand[0] : cli->write_path;
    struct cli_output file = {.data = NULL};
    enum cli_exit code = refuse_signs(cli);
    if (code == CLI_DONE)
        code = try_options(cli);
    if (code == CLI_DONE)
        put_file(&file, cli);
    if (code == CLI_DONE && file.failed)
        code = say_error(CLI_INTERNAL, "out of memory");
    if (code == CLI_DONE && path && strcmp(path, "-") != 0)
        code = write_new(path, &file);
    else if (code == CLI_DONE)
        out_bytes(&cli->out, file.data, file.size);
    if (code == CLI_DONE && cli->operand_count > 0 && strcmp(path, "-") != 0)
        say_note(cli, "%s is written: fill it in, then pourclock schedule %s", path, path);
    out_free(&file);
    cli->write_path = NULL;
    return code;
}

/* clang-format off */
static const struct cli_option options[] = {
    {"name", 0, "NAME", "name of the piece", CLI_KIND_NONE, NULL, false, NULL, NULL},
    CLI_PIECE_OPTIONS,
    CLI_OPTIONS_END,
};
/* clang-format on */

const struct cli_command cmd_new = {
    .name = "new",
    .operands = "[FILE]",
    .summary = "A commented piece file to fill in",
    .example =
        "pourclock new otter.ini --resin fast-urethane --area 210sqin --wall 3/16in --units us",
    .about = "Writes every key a piece file may have, with what it may contain; options are filled "
             "in. A file\nthat is there already is never overwritten. Without FILE it goes to "
             "standard output.",
    .options = options,
    .takes = CLI_TAKES_UNITS,
    .operands_most = 1,
    .operand_kind = CLI_KIND_FILE,
    .run = run,
};
