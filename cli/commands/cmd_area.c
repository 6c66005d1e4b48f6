/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pourclock area PIECE or MESH */
#include "config.h"

#include <float.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>

#include "commands/command.h"
#include "commands/mesh_file.h"
#include "commands/options.h"
#include "commands/piece_options.h"
#include "commands/values.h"
#include "pourclock.h"
#include "print/message.h"

/* clang-format off */
static const struct cli_option options[] = {
    {"mesh-unit", 'u', "U", "length unit of the mesh's numbers", CLI_KIND_WORDS, "mm cm m in ft", false, NULL, NULL},
    {"wall", 'w', "D", "wall thickness to calculate resin for (repeatable)", CLI_KIND_NONE, NULL, true, NULL, NULL},
    {"shape", 's', "TEXT", "solids instead of a file, such as \"cylinder 8 cm x 20 cm\"", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"foil", 0, "M", "mass of the foil that covers the model once", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"foil-thickness", 0, "D", "thickness of that foil, such as 0.016 mm", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"foil-metal", 0, "METAL", "metal of that foil (aluminum)", CLI_KIND_WORDS, "aluminum copper lead tin zinc brass steel aluminium", false, NULL, NULL},
    {"water", 0, "M", "mass of the water that fills the mold: its volume", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"resin", 'r', "RESIN", "resin to weigh; the piece's otherwise", CLI_KIND_RESIN, NULL, false, NULL, NULL},
    {"density", 0, "R", "density of the mix instead of a resin, such as 1.1 g/cm3", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"open-rim", 0, NULL, "the mesh's one opening is where it is poured, or its rim: no wall there", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"quick", 0, NULL, "area and volume of a mesh alone, in one pass", CLI_KIND_NONE, NULL, false, NULL, NULL},
    CLI_SHOP_OPTION,
    CLI_OPTIONS_END,
};
/* clang-format on */

#define WATER_KG_M3 998.0 /* at a shop's 20 C */
#define SAME_WALL_M 1e-6

/* The part's own wall among those usual in the trade, thin to thick. */
static void usual_walls(pc_area *a, pc_units units, double own_m) {
    static const double mm[] = {2e-3, 3e-3, 4e-3, 5e-3, 6e-3};
    static const double in[] = {3.175e-3, 4.7625e-3, 6.35e-3}; /* 1/8, 3/16, 1/4 in */
    const double *list = units == PC_US ? in : mm;
    size_t count = units == PC_US ? 3 : 5;
    bool listed = !(own_m > 0.0);
    for (size_t i = 0; i < count; i++) {
        if (!listed && own_m < list[i] + SAME_WALL_M) {
            a->wall_m[a->walls++] = own_m;
            listed = true;
        }
        if (!(fabs(list[i] - own_m) <= SAME_WALL_M))
            a->wall_m[a->walls++] = list[i];
    }
    if (!listed)
        a->wall_m[a->walls++] = own_m;
}

static enum cli_exit read_walls(const struct cli *cli, pc_area *a, pc_units units, double own_m) {
    size_t count = cli_value_count(cli, "wall");
    if (count > PC_AREA_WALLS_MOST)
        return say_error(CLI_USAGE, "--wall is given more than %d times", (int)PC_AREA_WALLS_MOST);
    static const struct cli_range thick = {DBL_MIN, PC_WALL_MOST_M,
                                           "more than 0, at most 500 mm (19.7 in)"};
    for (size_t i = 0; i < count; i++)
        if (!cli_quantity_at(cli, "wall", i, PC_LENGTH, &thick, &a->wall_m[i]))
            return CLI_USAGE;
    a->walls = count;
    if (count == 0)
        usual_walls(a, units, own_m);
    return CLI_DONE;
}

static enum cli_exit read_density(const struct cli *cli, double *density_kg_m3) {
    if (cli_has(cli, "density"))
        return cli_quantity_at(cli, "density", 0, PC_DENSITY, &cli_positive, density_kg_m3)
                   ? CLI_DONE
                   : CLI_USAGE;
    if (!cli_has(cli, "resin"))
        return CLI_DONE;
    pc_resin resin;
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pc_resin_find(cli_value(cli, "resin"), NULL, &resin, &errors);
    if (status == PC_OK)
        *density_kg_m3 = resin.density_kg_m3;
    return say_errors(status, &errors);
}

/* Walls a mesh's table does not reach are left out. */
static void shells_of_shape(pc_area *a, const pc_shape *shape) {
    size_t kept = 0;
    for (size_t k = 0; k < a->walls; k++) {
        double v;
        if (pc_shell_volume(shape, a->wall_m[k], &v) != PC_OK)
            continue;
        a->wall_m[kept] = a->wall_m[k];
        a->shell_m3[kept] = v;
        a->filled_m3[kept++] = NAN;
    }
    a->walls = kept;
}

static void of_shape(pc_area *a, const pc_shape *shape) {
    a->area_m2 = shape->area_m2;
    a->volume_m3 = shape->volume_m3;
    a->closed = shape->closed;
    a->mean_curvature_m = shape->mean_curvature_m > 0 ? shape->mean_curvature_m : NAN;
    shells_of_shape(a, shape);
}

/* A unit that only the command line can give is a matter of usage. */
static enum cli_exit say_mesh_errors(const struct cli *cli, pc_status status, pc_errors *errors) {
    enum cli_exit code = say_errors(status, errors);
    return status == PC_E_UNIT && !cli_has(cli, "mesh-unit") ? CLI_USAGE : code;
}

static void print_report(struct cli_output *out, const pc_area *a, pc_units units) {
    const pc_mesh_report *r = &a->report;
    out_printf(out, "  mesh     %zu facet%s in %zu piece%s, %s\n", r->facets,
               r->facets == 1 ? "" : "s", r->components, r->components == 1 ? "" : "s",
               r->closed ? "closed" : "open");
    const struct {
        size_t count;
        const char *what, *thing;
    } rows[] = {{r->degenerate, "without area, passed over", "facet"},
                {r->flipped, "that faced the wrong way, turned", "facet"},
                {r->inside_out, "inside out, turned", "piece"},
                {r->crowded_edges, "with more than two facets", "edge"},
                {r->doubled, "given more than once, counted once", "facet"},
                {r->hollows, "that bounds a hollow inside another", "piece"},
                {r->trailing_bytes, "after the mesh, not read", "byte"}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        if (rows[i].count > 0)
            out_printf(out, "           %zu %s%s %s\n", rows[i].count, rows[i].thing,
                       rows[i].count == 1 ? "" : "s", rows[i].what);
    if (r->overlap_m3 > 0.0)
        out_printf(out, "           %s in several pieces at once, counted once\n",
                   pc_say_volume(units, r->overlap_m3).s);
    if (r->holes_closed > 0)
        out_printf(out, "           %zu small hole%s closed, %s in all (%.2g %% of the area)\n",
                   r->holes_closed, r->holes_closed == 1 ? "" : "s",
                   pc_say(PC_SAY_AREA, units, r->holes_m2).s, 100.0 * r->holes_m2 / r->area_m2);
    if (r->rim_m2 > 0.0)
        out_printf(out, "           an opening of %s, %s across, left open: no wall\n",
                   pc_say(PC_SAY_AREA, units, r->rim_m2).s,
                   pc_say_length(units, r->rim_across_m).s);
    out_style(out, CLI_WARN);
    if (r->why_no_volume[0])
        out_printf(out, "           no volume: %s\n", r->why_no_volume);
    out_style(out, CLI_PLAIN);
}

static void print_head(struct cli_output *out, const pc_area *a, pc_units units) {
    out_bold(out, "%s\n", a->name);
    out_printf(out, "  area     %s\n", pc_say(PC_SAY_AREA, units, a->area_m2).s);
    out_printf(out, "  volume   %s\n", pc_say_volume(units, a->volume_m3).s);
    if (a->is_mesh)
        print_report(out, a, units);
}

static bool is_filled(const pc_area *a) {
    return a->is_mesh && a->closed;
}

static void print_shell_head(struct cli_output *out, const pc_area *a) {
    if (a->walls > 0)
        out_printf(out, "\n  %8s  %12s%s%s\n", "wall", "shell",
                   is_filled(a) ? "    fills solid" : "",
                   isnan(a->density_kg_m3) ? "" : "             resin");
}

static void print_shell(struct cli_output *out, const pc_area *a, size_t k, pc_units units) {
    out_printf(out, "  %8s  %12s", pc_say_length(units, a->wall_m[k]).s,
               pc_say_volume(units, a->shell_m3[k]).s);
    if (is_filled(a))
        out_printf(out, "  %13s", pc_say_volume(units, a->filled_m3[k]).s);
    if (!isnan(a->density_kg_m3))
        out_printf(out, "  %16s",
                   pc_say(PC_SAY_MASS_BOTH, units, a->shell_m3[k] * a->density_kg_m3).s);
    out_text(out, "\n");
}

/* Who waits at a terminal sees the head at once and each shell as it is known. */
struct showing {
    struct cli *cli;
    const pc_area *a;
    pc_units units;
    bool head;     /* is shown */
    size_t shells; /* so many are */
};

static void show_head(struct showing *s) {
    const struct cli *cli = s->cli;
    if (cli->json || cli->csv || cli->write_path || !isatty(STDOUT_FILENO))
        return;
    print_head(&s->cli->out, s->a, s->units);
    s->head = out_show(&s->cli->out);
}

static void show_shell(size_t wall, void *context) {
    struct showing *s = context;
    if (!s->head)
        return;
    if (wall == 0)
        print_shell_head(&s->cli->out, s->a);
    print_shell(&s->cli->out, s->a, wall, s->units);
    s->shells = wall + 1;
    out_show(&s->cli->out);
}

static enum cli_exit of_mesh(struct cli *cli, const char *path, pc_area *a, struct showing *show) {
    pc_mesh mesh;
    pc_errors errors = PC_ERRORS_INIT;
    enum cli_exit code = cli_read_mesh(cli, path, &mesh);
    if (code != CLI_DONE)
        return code;
    pc_status status = PC_OK;
    if (cli_has(cli, "open-rim"))
        status = pc_mesh_close_rim(&mesh, &errors);
    if (status != PC_OK) {
        pc_mesh_free(&mesh);
        return say_errors(status, &errors);
    }
    a->report = mesh.report;
    a->is_mesh = true;
    a->area_m2 = mesh.report.area_m2;
    a->volume_m3 = mesh.report.volume_m3;
    a->mean_curvature_m = mesh.report.mean_curvature_m;
    a->closed = mesh.report.closed;
    show_head(show);
    if (mesh.report.closed) {
        status = pc_mesh_shell(&mesh, a->walls, a->wall_m, 0, a->shell_m3, a->filled_m3, NULL,
                               show_shell, show);
    } else {
        pc_shape flat;
        status = pc_shape_flat(mesh.report.area_m2, &flat);
        if (status == PC_OK)
            shells_of_shape(a, &flat);
    }
    pc_mesh_free(&mesh);
    return say_errors(status, &errors);
}

/* One pass over the file: no shells, no topology. */
static enum cli_exit of_survey(const struct cli *cli, const char *path, pc_area *a) {
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status =
        pc_mesh_survey(path, cli_value(cli, "mesh-unit"), &a->area_m2, &a->volume_m3, &errors);
    if (status == PC_OK) {
        a->closed = !isnan(a->volume_m3);
        a->mean_curvature_m = NAN;
        a->walls = 0;
    }
    return say_mesh_errors(cli, status, &errors);
}

static enum cli_exit foil_area(const struct cli *cli, double *area_m2) {
    const char *metal = cli_value(cli, "foil-metal");
    double mass_kg, thickness_m;
    if (!cli_has(cli, "foil") || !cli_has(cli, "foil-thickness"))
        return say_error(CLI_USAGE, "foil needs its mass and its thickness: --foil \"12.4 g\" "
                                    "--foil-thickness \"0.016 mm\"");
    if (!cli_quantity_at(cli, "foil", 0, PC_MASS, &cli_positive, &mass_kg) ||
        !cli_quantity_at(cli, "foil-thickness", 0, PC_LENGTH, &cli_positive, &thickness_m))
        return CLI_USAGE;
    if (pc_foil_area(mass_kg, thickness_m, metal ? metal : "aluminum", area_m2) != PC_OK)
        return say_error(CLI_USAGE, "--foil-thickness %s: expected up to 10 mm",
                         cli_value(cli, "foil-thickness"));
    return CLI_DONE;
}

static enum cli_exit of_foil(const struct cli *cli, pc_area *a) {
    double area_m2, water_kg;
    pc_shape shape;
    enum cli_exit code = foil_area(cli, &area_m2);
    if (code != CLI_DONE)
        return code;
    pc_status status = PC_OK;
    if (cli_has(cli, "water")) {
        if (!cli_quantity_at(cli, "water", 0, PC_MASS, &cli_positive, &water_kg))
            return CLI_USAGE;
        status = pc_shape_measured(area_m2, water_kg / WATER_KG_M3, &shape);
    } else {
        status = pc_shape_flat(area_m2, &shape);
    }
    if (status == PC_E_VALUE)
        return say_error(CLI_USAGE,
                         "the water's volume needs more area than the foil's %.0f cm2: "
                         "weigh both again, or add the foil laid double",
                         area_m2 * 1e4);
    if (status != PC_OK)
        return say_error(CLI_USAGE,
                         "the foil covers %.3g m2, out of range: check mass and "
                         "thickness",
                         area_m2);
    snprintf(a->name, sizeof a->name, "%s", "the model under the foil");
    of_shape(a, &shape);
    return CLI_DONE;
}

static enum cli_exit of_text(const struct cli *cli, pc_area *a) {
    char why[300] = "";
    pc_shape shape;
    if (pc_shape_parse(cli_value(cli, "shape"), &shape, why, sizeof why) != PC_OK)
        return say_error(CLI_USAGE, "--shape: %s", why);
    snprintf(a->name, sizeof a->name, "%.90s", cli_value(cli, "shape"));
    of_shape(a, &shape);
    pc_shape_free(&shape);
    return CLI_DONE;
}

static void print_csv(struct cli *cli, const pc_area *a, size_t count) {
    struct cli_output *out = &cli->out;
    out_text(out, "part,area_m2,volume_m3,wall_m,shell_m3,filled_m3,resin_kg\r\n");
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < a[i].walls; k++) {
            const double cells[] = {a[i].area_m2,      a[i].volume_m3,
                                    a[i].wall_m[k],    a[i].shell_m3[k],
                                    a[i].filled_m3[k], a[i].shell_m3[k] * a[i].density_kg_m3};
            out_csv_text(out, a[i].name);
            out_csv_numbers(out, cells, sizeof cells / sizeof cells[0]);
        }
}

/* show: what of it is on the screen already; NULL: nothing. */
static void print_text(struct cli *cli, const pc_area *a, const struct showing *show,
                       pc_units units) {
    struct cli_output *out = &cli->out;
    size_t shells = show ? show->shells : 0;
    if (!show || !show->head)
        print_head(out, a, units);
    if (shells == 0)
        print_shell_head(out, a);
    for (size_t k = shells; k < a->walls; k++)
        print_shell(out, a, k, units);
    if (is_filled(a) && a->walls > 0)
        out_text(out, "\n  \"fills solid\" is the share of the shell that no ball as wide as two "
                      "walls reaches:\n  ears, fins, sharp inner corners. It gets hotter than the "
                      "wall: see schedule.\n");
    if (a->is_mesh && !a->closed && a->walls > 0)
        out_text(out, "\n  The mesh is open: the shell is area times wall, more than a hollow "
                      "takes.\n");
}

static void print_all(struct cli *cli, const pc_area *a, size_t count, const struct showing *show,
                      pc_units units) {
    char *text = NULL;
    if (cli->json) {
        out_json(&cli->out, pc_area_json(count, a, &text), &text);
        return;
    }
    if (cli->csv) {
        print_csv(cli, a, count);
        return;
    }
    for (size_t i = 0; i < count; i++) {
        if (i > 0)
            out_text(&cli->out, "\n");
        print_text(cli, &a[i], show, units);
    }
}

static bool is_mesh_name(const char *path) {
    static const char *const endings[] = {".stl", ".obj", ".ply", ".3mf"};
    size_t n = strlen(path);
    for (size_t i = 0; i < sizeof endings / sizeof endings[0]; i++)
        if (n > 4 && strcasecmp(path + n - 4, endings[i]) == 0)
            return true;
    return false;
}

static enum cli_exit parts_of_piece(const struct cli *cli, const pc_piece *piece,
                                    double density_kg_m3, pc_area *a, pc_units units) {
    for (size_t i = 0; i < piece->part_count; i++) {
        const pc_part *part = &piece->part[i];
        snprintf(a[i].name, sizeof a[i].name, "%s", part->name);
        a[i].density_kg_m3 =
            isnan(density_kg_m3) ? pc_piece_resin(piece, i, 0)->density_kg_m3 : density_kg_m3;
        enum cli_exit code = read_walls(cli, &a[i], units, part->wall_m);
        if (code != CLI_DONE)
            return code;
        if (part->kind == PC_SOLID && !(part->shape.area_m2 > 0.0)) {
            a[i].volume_m3 = part->volume_m3;
            a[i].area_m2 = a[i].mean_curvature_m = NAN;
            a[i].closed = true;
            a[i].walls = 0;
            continue;
        }
        of_shape(&a[i], &part->shape);
    }
    return CLI_DONE;
}

static enum cli_exit run_piece(struct cli *cli, double density_kg_m3) {
    pc_piece *piece = malloc(sizeof *piece);
    pc_area *a = calloc(PC_PARTS_MOST, sizeof *a);
    enum cli_exit code = CLI_INTERNAL;
    if (!piece || !a) {
        say_error(CLI_INTERNAL, "out of memory");
    } else {
        pc_errors errors = PC_ERRORS_INIT;
        char shop[1024];
        pc_status status = pc_piece_read_in_shop(cli_shop_file(cli, shop, sizeof shop),
                                                 cli->operand[0], piece, &errors);
        pc_units units = cli_units(cli, piece->units);
        code = say_errors(status, &errors);
        if (code == CLI_DONE)
            code = parts_of_piece(cli, piece, density_kg_m3, a, units);
        if (code == CLI_DONE)
            print_all(cli, a, piece->part_count, NULL, units);
        pc_piece_free(piece);
    }
    free(piece);
    free(a);
    return code;
}

static enum cli_exit run_single(struct cli *cli, pc_area *a, bool mesh) {
    pc_units units = cli_units(cli, PC_METRIC);
    struct showing show = {.cli = cli, .a = a, .units = units};
    enum cli_exit code = read_walls(cli, a, units, 0.0);
    if (code != CLI_DONE)
        return code;
    if (mesh) {
        const char *path = cli->operand[0];
        snprintf(a->name, sizeof a->name, "%.90s", strcmp(path, "-") ? path : "standard input");
        code = cli_has(cli, "quick") ? of_survey(cli, path, a) : of_mesh(cli, path, a, &show);
    } else if (cli_has(cli, "shape")) {
        code = of_text(cli, a);
    } else {
        code = of_foil(cli, a);
    }
    if (code != CLI_DONE)
        return code;
    if (a->report.note[0])
        say_note(cli, "%s", a->report.note);
    print_all(cli, a, 1, &show, units);
    return CLI_DONE;
}

static enum cli_exit run(struct cli *cli) {
    bool foil = cli_has(cli, "foil") || cli_has(cli, "foil-thickness") || cli_has(cli, "water");
    bool operand = cli->operand_count > 0;
    bool mesh = operand && (cli_has(cli, "mesh-unit") || is_mesh_name(cli->operand[0]));
    double density_kg_m3 = NAN;
    if (operand + cli_has(cli, "shape") + foil != 1)
        return say_error(CLI_USAGE, "area needs one of: a piece or mesh file, --shape, or --foil "
                                    "with --foil-thickness");
    if (cli_has(cli, "quick") && !mesh)
        return say_error(CLI_USAGE, "--quick is for a mesh");
    enum cli_exit code = read_density(cli, &density_kg_m3);
    if (code != CLI_DONE)
        return code;
    if (operand && !mesh)
        return run_piece(cli, density_kg_m3);
    pc_area *a = calloc(1, sizeof *a);
    if (!a)
        return say_error(CLI_INTERNAL, "out of memory");
    a->density_kg_m3 = density_kg_m3;
    code = run_single(cli, a, mesh);
    free(a);
    return code;
}

const struct cli_command cmd_area = {
    .name = "area",
    .operands = "[PIECE | MESH]",
    .summary = "Area, volume, and the resin of a wall",
    .example = "pourclock area otter.stl --mesh-unit mm --wall 5mm --resin fast-urethane",
    .about =
        "Reports the area and volume of a piece, a mesh (STL, OBJ, PLY, 3MF), a few solids, or of "
        "what "
        "was\nmeasured with foil and water, and the resin that a wall of each thickness needs.",
    .options = options,
    .takes = CLI_TAKES_JSON | CLI_TAKES_CSV | CLI_TAKES_UNITS,
    .operands_least = 0,
    .operands_most = 1,
    .operand_kind = CLI_KIND_FILE,
    .run = run,
};
