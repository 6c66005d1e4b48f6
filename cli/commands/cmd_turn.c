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

enum { FINENESS = 1, COARSE = 0, MAP_CELLS = 3000 };
static const double ENDLESS_S = 1200.0; /* of a path that never closes so much is looked at */

static void keep_why(struct turn_layer *l, pc_status status, pc_errors *errors) {
    l->status = status;
    snprintf(l->why, sizeof l->why, "%s",
             errors->count ? errors->item[0].text : pc_status_text(status));
    pc_errors_free(errors);
}

/* A layer that cannot be turned is told why; out of memory nothing is. */
static pc_status judge_layer(const pc_turning *turning, const struct turn_part *part, size_t j,
                             struct turn_layer *l) {
    static const double stops[TURN_STOPS] = {10, 30, 60};
    const pc_turn_layer *layer = &part->plan.layer[j];
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status;
    if (turning->method == PC_DRAIN) {
        status = pc_drain_plan(layer, part->plan.drop_m, PC_DRAIN_POUR * layer->volume_m3,
                               &l->drain, &errors);
    } else {
        status = pc_turn_judge(turning, layer, NULL, FINENESS, &l->result, &errors);
        for (int k = 0; k < TURN_STOPS; k++)
            l->stop[k].for_s = stops[k];
        if (status == PC_OK)
            status = pc_turn_interrupt(turning, layer, COARSE, TURN_STOPS, l->stop);
    }
    keep_why(l, status, &errors);
    return status == PC_E_MEMORY ? status : PC_OK;
}

/* The least thin 5 % of all layers as a share of what is wanted; NaN where one has none. */
static double least_share(const struct turn_part *part, const pc_turn_result *result) {
    double least = INFINITY;
    for (size_t j = 0; j < part->plan.count; j++) {
        double share = result[j].spread.thin_m / part->plan.layer[j].film_m;
        if (isnan(share))
            return NAN;
        least = fmin(least, share);
    }
    return least;
}

/* Keeps a program when it is better than what there is by enough to be worth changing gears. */
static pc_status try_program(const pc_turning *program, struct turn_part *part, double *least) {
    pc_turn_result result[PC_LAYERS_MOST];
    for (size_t j = 0; j < part->plan.count; j++) {
        pc_status status =
            pc_turn_judge(program, &part->plan.layer[j], NULL, FINENESS, &result[j], NULL);
        if (status != PC_OK)
            return status == PC_E_MEMORY ? status : PC_OK;
    }
    double share = least_share(part, result);
    if (!(share > TURN_BETTER_BY * *least))
        return PC_OK;
    *least = share;
    part->best = *program;
    part->has_best = true;
    memcpy(part->best_result, result, sizeof result);
    return PC_OK;
}

/* A program that serves each layer best is tried for all of them. Hands are offered the cycle of
 * all quarter turns. */
static pc_status find_best(const pc_turning *turning, struct turn_part *part) {
    pc_turn_result own[PC_LAYERS_MOST] = {0}, result;
    for (size_t j = 0; j < part->plan.count; j++) {
        if (part->layer[j].status != PC_OK)
            return PC_OK;
        own[j] = part->layer[j].result;
    }
    double least = least_share(part, own);
    pc_turning program = *turning;
    if (turning->method == PC_HAND) {
        program.tilt_count = 0;
        return try_program(&program, part, &least);
    }
    for (size_t j = 0; j < part->plan.count; j++) {
        pc_errors errors = PC_ERRORS_INIT;
        pc_status status =
            pc_turn_search(turning, &part->plan.layer[j], COARSE, &program, &result, &errors);
        if (status == PC_OK)
            status = try_program(&program, part, &least);
        else if (errors.count)
            snprintf(part->why_no_best, sizeof part->why_no_best, "%s", errors.item[0].text);
        pc_errors_free(&errors);
        if (status == PC_E_MEMORY)
            return status;
    }
    return PC_OK;
}

static pc_status mesh_map(const pc_part *part, pc_mesh *mesh, pc_map **map, pc_errors *errors) {
    pc_status status =
        pc_mesh_read(part->mesh_path, part->mesh_unit[0] ? part->mesh_unit : NULL, mesh, errors);
    if (status == PC_OK && !mesh->report.closed)
        status = pc_mesh_close_rim(mesh, NULL); /* as the schedule takes it */
    if (status != PC_OK && status != PC_E_VALUE)
        return status;
    double(*corner)[3] = malloc(3 * mesh->facet_count * sizeof *corner);
    if (!corner)
        return PC_E_MEMORY;
    for (size_t i = 0; i < 3 * mesh->facet_count; i++)
        memcpy(corner[i], &mesh->vertex[3 * (size_t)mesh->facet[i]], sizeof corner[i]);
    status = pc_map_facets(mesh->facet_count, (const double(*)[3])corner, MAP_CELLS, map);
    free(corner);
    if (status == PC_E_VALUE)
        pc_errors_add(
            errors, status, (pc_place){.file = part->mesh_path},
            "the mesh is open or inside out, so no pool can be placed in it: close it, or "
            "ask for an .svg");
    return status;
}

/* Lays the layers up to `last` on a map. Layers that cannot be laid are left out. */
static pc_status fill_map(const pc_turning *turning, const struct turn_part *part, size_t last,
                          pc_map *map, pc_spread *spread) {
    pc_status status = PC_OK;
    for (size_t j = 0; j < part->plan.count && j <= last && status == PC_OK; j++) {
        if (part->layer[j].status == PC_OK)
            status =
                pc_map_layer_add(map, turning, &part->plan.layer[j], NULL, FINENESS, spread, NULL);
    }
    return status;
}

static pc_status add_sum(const pc_turning *turning, const pc_part *part, struct turn_part *of) {
    pc_status status = pc_map_sphere(part->shape.turn_radius_m, MAP_CELLS, &of->map);
    if (status == PC_OK)
        status = fill_map(turning, of, PC_LAYERS_MOST, of->map, &of->sum);
    if (status == PC_OK)
        return pc_map_spread(of->map, &of->sum);
    pc_map_free(of->map); /* a cavity much smaller than the sphere: no sum, no more */
    of->map = NULL;
    return status == PC_E_MEMORY ? status : PC_OK;
}

static pc_status judge_part(const struct turn_report *report, struct turn_part *part) {
    const pc_turning *turning = &report->piece->turning;
    const pc_part *of = &report->piece->part[part->part];
    pc_status status = pc_turn_plan_make(report->piece, report->schedule, part->part, &part->plan);
    if (status != PC_OK)
        return status;
    for (size_t j = 0; j < part->plan.count && status == PC_OK; j++)
        status = judge_layer(turning, part, j, &part->layer[j]);
    if (status != PC_OK || turning->method == PC_DRAIN)
        return status;
    double pool_rad = part->layer[0].status == PC_OK ? part->layer[0].result.pool_rad : 1.0;
    double period_s = pc_turning_closure(turning, NULL, NULL);
    status = pc_turning_coverage(turning, 0, pool_rad, isfinite(period_s) ? period_s : ENDLESS_S,
                                 FINENESS, &part->coverage);
    if (status == PC_OK)
        status = find_best(turning, part);
    return status == PC_OK ? add_sum(turning, of, part) : status;
}

/* Which layer --layer asks for; all: SIZE_MAX. */
static bool asked_layer(const struct cli *cli, const struct turn_part *part, size_t *layer) {
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

static size_t layers_judged(const struct turn_part *part) {
    size_t count = 0;
    for (size_t j = 0; j < part->plan.count; j++)
        count += part->layer[j].status == PC_OK;
    return count;
}

/* A map on which nothing is laid would show a wall all the same. layer: SIZE_MAX: all of them. */
static enum cli_exit check_laid(const struct turn_part *part, size_t layer) {
    size_t missing = layer == SIZE_MAX ? 0 : layer;
    if (layer == SIZE_MAX ? layers_judged(part) > 0 : part->layer[layer].status == PC_OK)
        return CLI_DONE;
    return say_error(CLI_FILE, "--map: there is no wall to show: layer %zu: %s", missing + 1,
                     part->layer[missing].why);
}

static void say_title(const struct turn_report *report, const struct turn_part *part, size_t layer,
                      char *title, size_t title_size, char *subtitle, size_t size) {
    const pc_turning *t = &report->piece->turning;
    snprintf(title, title_size, "%s, %s", report->piece->name,
             report->piece->part[part->part].name);
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

static enum cli_exit draw(const struct turn_report *report, const struct turn_part *part,
                          struct map_view *view, const char *path, size_t layer) {
    char title[PC_NAME_SIZE + 120], subtitle[300];
    double layer_m[PC_LAYERS_MOST];
    say_title(report, part, layer, title, sizeof title, subtitle, sizeof subtitle);
    for (size_t j = 0; j < part->plan.count; j++)
        layer_m[j] = part->plan.layer[j].film_m;
    view->title = title;
    view->subtitle = subtitle;
    view->turning = &report->piece->turning;
    view->mold = &report->piece->mold;
    view->layers = part->plan.count;
    view->layer_m = layer_m;
    return out_is_named(path, ".ply") ? write_colored(path, view) : map_picture(path, view);
}

/* The wall on the sphere of the part's area, and on its mesh where there is a closed one. */
static pc_status make_maps(const struct turn_report *report, const struct turn_part *part,
                           size_t layer, bool ply, pc_mesh *mesh, pc_map *map[2],
                           struct map_view *view, pc_errors *errors) {
    const pc_part *of = &report->piece->part[part->part];
    pc_spread *spread[2] = {&view->spread, &view->mesh_spread};
    pc_status status = pc_map_sphere(of->shape.turn_radius_m, MAP_CELLS, &map[0]);
    if (status == PC_OK && of->mesh_path[0] && (ply || of->shape.closed))
        status = mesh_map(of, mesh, &map[1], errors);
    for (int k = 0; k < 2 && status == PC_OK; k++) {
        if (!map[k])
            continue;
        status = fill_map(&report->piece->turning, part, layer, map[k], spread[k]);
        if (status == PC_OK && layer == SIZE_MAX)
            status = pc_map_spread(map[k], spread[k]);
    }
    view->map = map[0];
    view->on_mesh = map[1];
    view->mesh = map[1] ? mesh : NULL;
    return status;
}

static enum cli_exit write_map(const struct cli *cli, const struct turn_report *report) {
    const char *path = cli_value(cli, "map");
    const struct turn_part *part = &report->part[0];
    const pc_part *of = &report->piece->part[part->part];
    bool ply = out_is_named(path, ".ply");
    size_t layer;
    if (!asked_layer(cli, part, &layer))
        return CLI_USAGE;
    if (!ply && !out_is_named(path, ".svg") && !out_is_named(path, ".pdf") &&
        !out_is_named(path, ".png"))
        return say_error(CLI_USAGE, "--map %s: the name must end in .svg, .pdf, .png or .ply",
                         path);
    if (report->piece->turning.method == PC_DRAIN)
        return say_error(CLI_USAGE, "--map: a drained layer has no map of turning");
    if (ply && !of->mesh_path[0])
        return say_error(CLI_USAGE,
                         "--map %s: a .ply needs a mesh in the piece file; ask for an .svg", path);
    enum cli_exit code = check_laid(part, layer);
    if (code != CLI_DONE)
        return code;
    pc_errors errors = PC_ERRORS_INIT;
    pc_mesh mesh = {0};
    struct map_view view = {.last_only = layer != SIZE_MAX, .units = report->units};
    pc_map *map[2] = {NULL, NULL};
    pc_status status = make_maps(report, part, layer, ply, &mesh, map, &view, &errors);
    code = say_errors(status, &errors);
    if (status == PC_OK)
        code = draw(report, part, &view, path, layer);
    pc_map_free(map[0]);
    pc_map_free(map[1]);
    pc_mesh_free(&mesh);
    return code;
}

static const char *why_no_plan(pc_status status) {
    if (status == PC_E_UNREACHED)
        return "a layer never gels, so turning it cannot be judged: warm the shop or the resin";
    if (status == PC_E_LIMIT)
        return "a layer has gelled before it is in the mold, so turning it cannot be judged; "
               "`pourclock schedule` says what would make it work";
    return pc_status_text(status);
}

static enum cli_exit judge_parts(struct turn_report *report) {
    for (size_t i = 0; i < report->piece->part_count; i++) {
        if (report->piece->part[i].kind != PC_HOLLOW)
            continue;
        struct turn_part *part = &report->part[report->count++];
        part->part = i;
        pc_status status = judge_part(report, part);
        if (status != PC_OK)
            return say_error(say_exit_of(status), "%s: %s", report->piece->part[i].name,
                             why_no_plan(status));
    }
    if (report->count == 0)
        return say_error(CLI_FILE, "the piece has no hollow part: nothing is turned");
    return CLI_DONE;
}

static enum cli_exit judge_and_print(struct cli *cli, const pc_piece *piece) {
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pc_turning_check(&piece->turning, &errors);
    if (status != PC_OK)
        return say_errors(status, &errors);
    pc_schedule *schedule = calloc(1, sizeof *schedule);
    struct turn_report report = {piece, schedule, cli_units(cli, piece->units), 0,
                                 calloc(piece->part_count, sizeof *report.part)};
    enum cli_exit code = CLI_DONE;
    if (!schedule || !report.part) {
        code = say_error(CLI_INTERNAL, "out of memory");
    } else {
        code = say_errors(pc_schedule_make(piece, schedule, &errors), &errors);
        if (code == CLI_DONE && !schedule->feasible)
            say_note(cli, "no schedule of this piece meets its limits; `pourclock schedule` says "
                          "which and how to fix it. The closest one is judged.");
    }
    if (code == CLI_DONE)
        code = judge_parts(&report);
    if (code == CLI_DONE && cli_has(cli, "map"))
        code = write_map(cli, &report);
    if (code == CLI_DONE && cli->json)
        turn_print_json(&cli->out, &report);
    else if (code == CLI_DONE && cli->csv)
        turn_print_csv(&cli->out, &report);
    else if (code == CLI_DONE)
        turn_print_text(&cli->out, &report);
    for (size_t i = 0; i < report.count; i++) {
        pc_turn_plan_free(&report.part[i].plan);
        pc_map_free(report.part[i].map);
    }
    free(report.part);
    pc_schedule_free(schedule);
    free(schedule);
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
