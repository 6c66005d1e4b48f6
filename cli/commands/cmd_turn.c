/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pourclock turn PIECE: how even the wall comes out, when turning matters, how to turn better. */
#include "config.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "commands/command.h"
#include "commands/options.h"
#include "commands/piece_options.h"
#include "draw/map.h"
#include "pourclock.h"
#include "print/message.h"
#include "print/print_turn.h"

static pc_status read_mesh(const pc_part *part, pc_mesh *mesh, pc_errors *errors) {
    pc_status status =
        pc_mesh_read(part->mesh_path, part->mesh_unit[0] ? part->mesh_unit : NULL, mesh, errors);
    if (status == PC_OK && !mesh->report.closed)
        status = pc_mesh_close_rim(mesh, NULL);   /* as the schedule takes it */
    return status == PC_E_VALUE ? PC_OK : status; /* what is still open, its map refuses */
}

/* Which layer --layer asks for; all: SIZE_MAX. */
static bool asked_layer(const struct cli *cli, const pc_turned_part *part, size_t *layer) {
    double number;
    const char *text = cli_value(cli, "layer"), *end;
    *layer = SIZE_MAX;
    if (!text)
        return true;
    number = pc_number_parse(text, &end);
    if (!(number >= 1) || *end || number > (double)part->plan.count || number != floor(number)) {
        say_error(CLI_USAGE, "--layer %s: this part has layers 1 to %zu", text, part->plan.count);
        return false;
    }
    *layer = (size_t)number - 1;
    return true;
}

static bool is_laid(const pc_turned_part *part, size_t j) {
    return part->layer[j].method == PC_COAT_TURN && part->layer[j].status == PC_OK;
}

static size_t layers_judged(const pc_turned_part *part) {
    size_t count = 0;
    for (size_t j = 0; j < part->plan.count; j++)
        count += is_laid(part, j);
    return count;
}

/* A map on which nothing is laid would show a wall all the same. layer: SIZE_MAX: all of them. */
static enum cli_exit check_laid(const pc_turned_part *part, size_t layer) {
    size_t missing = layer == SIZE_MAX ? 0 : layer;
    if (layer == SIZE_MAX ? layers_judged(part) > 0 : is_laid(part, layer))
        return CLI_DONE;
    if (part->layer[missing].method == PC_COAT_DRAIN)
        return say_error(CLI_USAGE, "--map: a drained layer has no map of turning");
    return say_error(CLI_FILE, "--map: there is no wall to show: layer %zu: %s", missing + 1,
                     part->layer[missing].why);
}

static void say_title(const struct turn_answer *answered, const pc_turned_part *part, size_t layer,
                      char *title, size_t title_size, char *subtitle, size_t size) {
    const pc_turning *t = &answered->piece->turning;
    snprintf(title, title_size, "%s, %s", answered->piece->name,
             answered->piece->part[part->part].name);
    if (layer != SIZE_MAX)
        snprintf(subtitle, size, "wall of layer %zu", layer + 1);
    else
        snprintf(subtitle, size, "wall of all layers%s",
                 layers_judged(part) < part->plan.count ? " that can be judged" : "");
    size_t used = strlen(subtitle);
    if (t->method == PC_MACHINE)
        snprintf(subtitle + used, size - used,
                 "; outer %.3g rpm, inner %.3g rpm; z is the mold's inner axis",
                 t->outer_rad_s / PC_RPM, t->inner_rad_s / PC_RPM);
}

static enum cli_exit write_colored(const char *path, const struct map_view *view) {
    struct cli_output file = {0};
    struct map_view of = *view;
    of.map = view->on_mesh;
    of.spread = view->mesh_spread;
    enum cli_exit code = map_ply(&of, view->mesh, &file);
    if (code == CLI_DONE && file.failed)
        code = say_error(CLI_INTERNAL, "out of memory");
    if (code == CLI_DONE && !out_to_file(path, file.data, file.size))
        code = CLI_FILE;
    out_free(&file);
    return code;
}

static enum cli_exit draw(const struct turn_answer *answered, const pc_turned_part *part,
                          struct map_view *view, const char *path, size_t layer) {
    char title[PC_NAME_SIZE + 120], subtitle[300];
    double layer_m[PC_LAYERS_MOST];
    say_title(answered, part, layer, title, sizeof title, subtitle, sizeof subtitle);
    for (size_t j = 0; j < part->plan.count; j++)
        layer_m[j] = part->plan.layer[j].film_m;
    view->title = title;
    view->subtitle = subtitle;
    view->turning = &answered->piece->turning;
    view->report = answered->report;
    view->mold = &answered->piece->mold;
    view->layers = part->plan.count;
    view->layer_m = layer_m;
    return out_is_named(path, ".ply") ? write_colored(path, view) : map_picture(path, view);
}

/* The wall on the sphere of the part's area, and on its mesh where there is a closed one. */
static pc_status make_maps(const struct turn_answer *answered, const pc_turned_part *part,
                           size_t layer, bool ply, pc_mesh *mesh, pc_map *map[2],
                           struct map_view *view, pc_errors *errors) {
    const pc_part *of = &answered->piece->part[part->part];
    const pc_turning *turning = &answered->piece->turning;
    pc_status status =
        pc_turn_map(turning, part, layer, NULL, of->shape.turn_radius_m, &map[0], &view->spread);
    if (status == PC_OK && of->mesh_path[0] && (ply || of->shape.closed)) {
        status = read_mesh(of, mesh, errors);
        if (status == PC_OK)
            status = pc_turn_map(turning, part, layer, mesh, NAN, &map[1], &view->mesh_spread);
        if (status == PC_E_VALUE)
            pc_errors_add(errors, status, (pc_place){.file = of->mesh_path},
                          "the mesh is open or inside out, so no pool can be placed in it: close "
                          "it, or ask for an .svg");
    }
    view->map = map[0];
    view->on_mesh = map[1];
    view->mesh = map[1] ? mesh : NULL;
    return status;
}

static enum cli_exit write_map(const struct cli *cli, const struct turn_answer *answered) {
    const char *path = cli_value(cli, "map");
    const pc_turned_part *part = &answered->report->part[0];
    const pc_part *of = &answered->piece->part[part->part];
    bool ply = out_is_named(path, ".ply");
    size_t layer;
    if (!asked_layer(cli, part, &layer))
        return CLI_USAGE;
    if (!ply && !out_is_named(path, ".svg") && !out_is_named(path, ".pdf") &&
        !out_is_named(path, ".png"))
        return say_error(CLI_USAGE, "--map %s: the name must end in .svg, .pdf, .png or .ply",
                         path);
    if (answered->piece->turning.method == PC_DRAIN)
        return say_error(CLI_USAGE, "--map: a drained layer has no map of turning");
    if (ply && !of->mesh_path[0])
        return say_error(CLI_USAGE,
                         "--map %s: a .ply needs a mesh in the piece file; ask for an .svg", path);
    enum cli_exit code = check_laid(part, layer);
    if (code != CLI_DONE)
        return code;
    pc_errors errors = PC_ERRORS_INIT;
    pc_mesh mesh = {0};
    struct map_view view = {.last_only = layer != SIZE_MAX, .units = answered->units};
    pc_map *map[2] = {NULL, NULL};
    pc_status status = make_maps(answered, part, layer, ply, &mesh, map, &view, &errors);
    code = say_errors(status, &errors);
    if (status == PC_OK)
        code = draw(answered, part, &view, path, layer);
    pc_map_free(map[0]);
    pc_map_free(map[1]);
    pc_mesh_free(&mesh);
    return code;
}

static enum cli_exit answer(struct cli *cli, const struct turn_answer *answered) {
    enum cli_exit code = cli_has(cli, "map") ? write_map(cli, answered) : CLI_DONE;
    char *text = NULL;
    if (code == CLI_DONE && cli->json)
        out_json(&cli->out,
                 pc_turn_json(answered->piece, answered->schedule, answered->report, &text), &text);
    else if (code == CLI_DONE && cli->csv)
        turn_print_csv(&cli->out, answered);
    else if (code == CLI_DONE)
        turn_print_text(&cli->out, answered);
    return code;
}

static enum cli_exit judge_and_print(struct cli *cli, const pc_piece *piece) {
    pc_errors errors = PC_ERRORS_INIT;
    pc_schedule *schedule;
    pc_turn_report report = {0};
    enum cli_exit code = say_errors(pc_schedule_make(piece, &schedule, &errors), &errors);
    if (code == CLI_DONE && !schedule->feasible)
        say_note(cli, "no schedule of this piece meets its limits; `pourclock schedule` says "
                      "which and how to fix it. The closest one is judged.");
    if (code == CLI_DONE)
        code = say_errors(pc_turn_report_make(piece, schedule, &report, &errors), &errors);
    struct turn_answer answered = {piece, schedule, cli_units(cli, piece->units), &report};
    if (code == CLI_DONE)
        code = answer(cli, &answered);
    pc_turn_report_free(&report);
    pc_schedule_free(schedule);
    return code;
}

static enum cli_exit run(struct cli *cli) {
    if (cli_has(cli, "layer") && !cli_has(cli, "map"))
        return say_error(CLI_USAGE, "--layer is the layer of a --map: give both");
    pc_piece *piece = calloc(1, sizeof *piece);
    if (!piece)
        return say_error(CLI_INTERNAL, "out of memory");
    enum cli_exit code = cli_load_piece(cli, piece);
    if (code == CLI_DONE)
        code = judge_and_print(cli, piece);
    pc_piece_free(piece);
    free(piece);
    return code;
}

/* clang-format off */
static const struct cli_option options[] = {
    {"map", 'm', "FILE", "draw the wall: .svg, .pdf, .png, or .ply where the piece has a mesh", CLI_KIND_FILE, NULL, false, NULL, NULL},
    {"layer", 'l', "N", "the map shows layer N alone (all layers together)", CLI_KIND_NONE, NULL, false, NULL, NULL},
    CLI_PIECE_OPTIONS,
    CLI_OPTIONS_END,
};
/* clang-format on */

const struct cli_command cmd_turn = {
    .name = "turn",
    .operands = "[PIECE]",
    .summary = "Judge how the mold is turned, find better speeds, say when turning matters",
    .example = "pourclock turn otter.ini\n"
               "pourclock turn otter.ini --outer 10rpm --inner 2.5rpm --map wall.svg",
    .about =
        "Follows the pool of each layer over the wall of the turning mold, from its pour to its\n"
        "gel, and maps the film it leaves. Reports how thin the wall comes out, from when to when\n"
        "it must not stop, what a standstill does, and which speeds would do better.\n",
    .options = options,
    .takes = CLI_TAKES_JSON | CLI_TAKES_CSV | CLI_TAKES_UNITS,
    .operands_most = 1,
    .operand_kind = CLI_KIND_FILE,
    .run = run,
};
