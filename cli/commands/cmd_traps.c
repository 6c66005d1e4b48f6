/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pourclock traps MESH */
#include "config.h"

#include <float.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "commands/command.h"
#include "commands/mesh_file.h"
#include "commands/options.h"
#include "commands/values.h"
#include "draw/traps_picture.h"
#include "print/message.h"

/* clang-format off */
static const struct cli_option options[] = {
    {"mesh-unit", 'u', "U", "length unit of the mesh's numbers", CLI_KIND_WORDS, "mm cm m in ft", false, NULL, NULL},
    {"up", 0, "X,Y,Z", "way up of the mold while it fills (0,0,1)", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"pour-from", 'p', "X,Y,Z", "the hole that resin goes in and air comes out by, in the mesh's unit", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"open-rim", 0, NULL, "the mesh's one opening is that hole", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"best", 'b', NULL, "find the way up that traps the least air", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"join", 'j', "D", "vents that can meet: traps nearer than D are one group (0)", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"wall", 'w', "D", "wall of the piece: necks narrower than four of it are reported", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"resin", 'r', "RESIN", "resin, for its density: how narrow a tip holds a bubble", CLI_KIND_RESIN, NULL, false, NULL, NULL},
    {"bore", 0, "D", "narrowest bore a bubble leaves, instead of the resin's", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"picture", 0, "FILE", "draw the model with its traps from four sides: .svg, .pdf or .png", CLI_KIND_FILE, NULL, false, NULL, NULL},
    {"ply", 0, "FILE", "write the mesh with traps, tips and necks colored", CLI_KIND_FILE, NULL, false, NULL, NULL},
    CLI_OPTIONS_END,
};
/* clang-format on */

#define USUAL_DENSITY_KG_M3 1100.0 /* where no resin is named */
#define NECK_WALLS          4.0 /* in words too: necks narrower than so many walls are reported */

struct question {
    double up[3], vent_m[3];
    bool vented;
    double join_m, wall_m, bore_m;
};

/* Three numbers with commas between; the last may be followed by nothing. */
static bool three_numbers(const char *text, double out[3]) {
    const char *p = text, *end;
    for (int a = 0; a < 3; a++) {
        out[a] = pc_number_parse(p, &end);
        if (end == p || !isfinite(out[a]))
            return false;
        while (*end == ' ')
            end++;
        if (*end != (a < 2 ? ',' : '\0'))
            return false;
        p = end + 1;
        while (a < 2 && *p == ' ')
            p++;
    }
    return true;
}

static bool option_length(const struct cli *cli, const char *name, double *m) {
    static const struct cli_range any = {0.0, DBL_MAX, "0 or more"};
    return !cli_has(cli, name) || cli_quantity_at(cli, name, 0, PC_LENGTH, &any, m);
}

static enum cli_exit read_bore(const struct cli *cli, struct question *q) {
    double density_kg_m3 = USUAL_DENSITY_KG_M3;
    if (cli_has(cli, "resin")) {
        pc_resin resin;
        pc_errors errors = PC_ERRORS_INIT;
        pc_status status = pc_resin_find(cli_value(cli, "resin"), NULL, &resin, &errors);
        enum cli_exit code = say_errors(status, &errors);
        if (code != CLI_DONE)
            return code;
        density_kg_m3 = resin.density_kg_m3;
    }
    q->bore_m = pc_bubble_bore(density_kg_m3, PC_SURFACE_TENSION_N_M);
    return option_length(cli, "bore", &q->bore_m) ? CLI_DONE : CLI_USAGE;
}

/* The middle of the opening. */
static void find_rim(const pc_mesh *mesh, double at_m[3]) {
    size_t first = 3 * (mesh->facet_count - mesh->rim_facets), corners = 3 * mesh->rim_facets;
    for (int a = 0; a < 3; a++)
        at_m[a] = 0.0;
    for (size_t i = 0; i < corners; i++)
        for (size_t a = 0; a < 3; a++)
            at_m[a] += mesh->vertex[3 * (size_t)mesh->facet[first + i] + a] / (double)corners;
}

static enum cli_exit read_question(const struct cli *cli, const pc_mesh *mesh, struct question *q) {
    *q = (struct question){.up = {0, 0, 1}};
    if (cli_has(cli, "up") && (!three_numbers(cli_value(cli, "up"), q->up) ||
                               !(fabs(q->up[0]) + fabs(q->up[1]) + fabs(q->up[2]) > 1e-6) ||
                               !(fabs(q->up[0]) + fabs(q->up[1]) + fabs(q->up[2]) < 1e6)))
        return say_error(CLI_USAGE, "--up %s: expected three numbers, not all 0, such as 0,0,1",
                         cli_value(cli, "up"));
    if (cli_has(cli, "best") && cli_has(cli, "up"))
        return say_error(CLI_USAGE, "--best looks for the way up: leave out --up");
    if (cli_has(cli, "pour-from")) {
        if (!three_numbers(cli_value(cli, "pour-from"), q->vent_m))
            return say_error(CLI_USAGE,
                             "--pour-from %s: expected three numbers in the mesh's unit, such as "
                             "0,20,140",
                             cli_value(cli, "pour-from"));
        for (int a = 0; a < 3; a++)
            q->vent_m[a] *= mesh->unit_m;
        q->vented = true;
    }
    if (mesh->rim_facets > 0 && !q->vented) {
        find_rim(mesh, q->vent_m);
        q->vented = true;
    }
    if (!option_length(cli, "join", &q->join_m) || !option_length(cli, "wall", &q->wall_m))
        return CLI_USAGE;
    return read_bore(cli, q);
}

/* Of the bore that no bubble stays in. */
static double vents_m3(const pc_traps *t, double bore_m) {
    return PC_PI / 4.0 * bore_m * bore_m * t->vents_m;
}

static void print_csv(struct cli_output *out, const pc_traps *t) {
    out_text(out, "trap,x_m,y_m,z_m,depth_m,volume_m3,group\r\n");
    for (size_t i = 0; i < t->count; i++) {
        const pc_trap *trap = &t->trap[i];
        out_printf(out, "%zu", i + 1);
        const double number[] = {trap->at_m[0], trap->at_m[1],   trap->at_m[2],
                                 trap->depth_m, trap->volume_m3, trap->group};
        out_csv_numbers(out, number, sizeof number / sizeof number[0]);
    }
}

/* A place in the mesh's own unit, as its maker reads it off. */
static void print_place(struct cli_output *out, const pc_mesh *mesh, const double at_m[3]) {
    out_printf(out, "%8.1f %8.1f %8.1f", at_m[0] / mesh->unit_m + 0.0, at_m[1] / mesh->unit_m + 0.0,
               at_m[2] / mesh->unit_m + 0.0);
}

static void print_vents(struct cli_output *out, const pc_traps *t, double bore_m, pc_units units) {
    double resin_m3 = vents_m3(t, bore_m);
    char text[400], resin[80] = "";
    bool blocked = false;
    for (size_t i = 0; i < t->count; i++)
        blocked = blocked || !t->trap[i].vent_clear;
    if (resin_m3 >= 0.05e-6)
        snprintf(resin, sizeof resin, " (%s of resin in all)", pc_say_volume(units, resin_m3).s);
    snprintf(
        text, sizeof text,
        "Vents: at least %s wide, straight up from each trap, as far as the highest point lies "
        "above it%s and on through the rubber; keep them off the pour hole.%s",
        pc_say_length(units, bore_m).s, resin,
        blocked ? " Around: lead that vent past the part of the cavity above it." : "");
    out_text(out, "\n");
    out_wrapped(out, text, 0, 90);
}

static void print_traps(struct cli_output *out, const pc_mesh *mesh, const pc_traps *t,
                        const struct question *q, bool grouped, pc_units units) {
    out_printf(out, "Way up %.3f,%.3f,%.3f; air leaves at", t->up[0] + 0.0, t->up[1] + 0.0,
               t->up[2] + 0.0);
    print_place(out, mesh, t->vent_m);
    out_printf(out, " (in the mesh's unit)\n");
    if (t->count == 0) {
        out_style(out, CLI_GOOD);
        out_text(out, "No air is trapped while it fills.\n");
        out_style(out, CLI_PLAIN);
        return;
    }
    out_printf(out, "%s of air is shut in. Vent each of these, or brush resin in first:\n\n",
               pc_say_volume(units, t->trapped_m3).s);
    out_printf(out, "  %26s  %10s  %10s  %10s%s\n", "x        y        z", "deep", "air", "vent",
               grouped ? "  vents" : "");
    for (size_t i = 0; i < t->count; i++) {
        out_text(out, "  ");
        print_place(out, mesh, t->trap[i].at_m);
        out_printf(out, "  %10s  %10s  %10s", pc_say_length(units, t->trap[i].depth_m).s,
                   pc_say_volume(units, t->trap[i].volume_m3).s,
                   pc_say_length(units, t->trap[i].vent_run_m).s);
        if (grouped)
            out_printf(out, "  %5d", t->trap[i].group + 1);
        out_text(out, t->trap[i].vent_clear ? "\n" : "  around\n");
    }
    if (grouped)
        out_text(out, "\nTraps of one number can share a vent that meets outside.\n");
    print_vents(out, t, q->bore_m, units);
}

/* Beside the way up that traps the least: the one that takes the fewest vents, where it is better.
 */
static void print_fewest(struct cli_output *out, const pc_traps *t, const pc_traps *least,
                         double bore_m, pc_units units) {
    size_t vents = t->groups;
    char text[400];
    if (vents >= least->groups)
        return;
    snprintf(
        text, sizeof text,
        "Fewest vents: with %.3f,%.3f,%.3f up, %zu instead of %zu (%s of resin in all); without "
        "them %s of air would be shut in.",
        t->up[0] + 0.0, t->up[1] + 0.0, t->up[2] + 0.0, vents, least->groups,
        pc_say_volume(units, vents_m3(t, bore_m)).s, pc_say_volume(units, t->trapped_m3).s);
    out_text(out, "\n");
    out_wrapped(out, text, 0, 90);
}

static void print_narrows(struct cli_output *out, const pc_mesh *mesh, const struct question *q,
                          const pc_narrows *n, pc_units units) {
    if (n->tip_count > 0) {
        out_text(out, "\n");
        out_bold(out, "Narrow tips, where a bubble stays while it is turned\n");
        out_printf(out, "  %26s  %10s  %10s\n", "x        y        z", "long", "wide");
    }
    for (size_t i = 0; i < n->tip_count; i++) {
        out_text(out, "  ");
        print_place(out, mesh, n->tip[i].at_m);
        out_printf(out, "  %10s  %10s\n", pc_say_length(units, n->tip[i].length_m).s,
                   pc_say_length(units, n->tip[i].width_m).s);
    }
    if (n->tip_count > 0)
        out_printf(out, "  Round them over to at least %s, or vent them, or brush them first.\n",
                   pc_say_length(units, q->bore_m).s);
    if (n->neck_count > 0) {
        out_text(out, "\n");
        out_bold(out, "Necks between wider chambers\n");
        out_printf(out, "  %26s  %10s  %10s\n", "x        y        z", "wide", "chambers");
    }
    for (size_t i = 0; i < n->neck_count; i++) {
        out_text(out, "  ");
        print_place(out, mesh, n->neck[i].at_m);
        out_printf(out, "  %10s  %10s, %s\n", pc_say_length(units, n->neck[i].width_m).s,
                   pc_say_length(units, n->neck[i].chamber_m[0]).s,
                   pc_say_length(units, n->neck[i].chamber_m[1]).s);
    }
    if (n->neck_count > 0)
        out_printf(out,
                   "  Resin passes a neck badly under four walls (%s) wide: part the piece "
                   "there and\n  cast one side solid.\n",
                   pc_say_length(units, NECK_WALLS * q->wall_m).s);
}

static enum cli_exit write_ply(const struct cli *cli, const pc_mesh *mesh, const pc_traps *t,
                               const pc_narrows *n) {
    const char *path = cli_value(cli, "ply");
    if (!path)
        return CLI_DONE;
    char *text;
    size_t size;
    pc_status status = pc_mesh_colored(mesh, t, n, &text, &size);
    if (status != PC_OK)
        return say_errors(status, NULL);
    bool written = out_to_file(path, text, size);
    pc_text_free(text);
    return written ? CLI_DONE : CLI_FILE;
}

static enum cli_exit write_picture(const struct cli *cli, const struct question *q,
                                   const pc_mesh *mesh, const pc_traps *t, const pc_narrows *n) {
    const char *path = cli_value(cli, "picture");
    struct traps_shown shown = {.name = cli->operand[0],
                                .mesh = mesh,
                                .traps = t,
                                .narrows = n,
                                .bore_m = q->bore_m,
                                .vents_m3 = vents_m3(t, q->bore_m),
                                .units = cli_units(cli, PC_METRIC)};
    return path ? traps_picture(path, &shown) : CLI_DONE;
}

static pc_status find_fewest(const pc_mesh *mesh, const struct question *q, const double *vent,
                             pc_traps *fewest) {
    double up[3];
    pc_status status = pc_mesh_fewest_vents(mesh, vent, q->join_m, 0, up);
    return status == PC_OK ? pc_mesh_traps(mesh, up, vent, q->join_m, 0, fewest) : status;
}

static enum cli_exit answer(struct cli *cli, const pc_mesh *mesh, struct question *q) {
    pc_units units = cli_units(cli, PC_METRIC);
    const double *vent = q->vented ? q->vent_m : NULL;
    pc_traps traps = {0}, fewest = {0};
    pc_narrows narrows = {0};
    pc_status status = PC_OK;
    if (cli_has(cli, "best"))
        status = pc_mesh_best_up(mesh, vent, 0, q->up);
    if (status == PC_OK)
        status = pc_mesh_traps(mesh, q->up, vent, q->join_m, 0, &traps);
    if (status == PC_OK)
        status = pc_mesh_narrows(mesh, q->bore_m, q->wall_m, 0, &narrows);
    if (status == PC_OK && cli_has(cli, "best") && traps.count > 1)
        status = find_fewest(mesh, q, vent, &fewest);
    enum cli_exit code = CLI_DONE;
    if (status == PC_E_VALUE)
        code = say_error(CLI_USAGE, "--pour-from %s: lies outside the cavity",
                         cli_value(cli, "pour-from"));
    else if (status != PC_OK)
        code = say_errors(status, NULL);
    if (code == CLI_DONE)
        code = write_ply(cli, mesh, &traps, &narrows);
    if (code == CLI_DONE)
        code = write_picture(cli, q, mesh, &traps, &narrows);
    char *text = NULL;
    if (code == CLI_DONE && cli->json) {
        out_json(&cli->out, pc_traps_json(&traps, &fewest, &narrows, q->bore_m, &text), &text);
    } else if (code == CLI_DONE && cli->csv) {
        print_csv(&cli->out, &traps);
    } else if (code == CLI_DONE) {
        print_traps(&cli->out, mesh, &traps, q, cli_has(cli, "join"), units);
        if (fewest.trap)
            print_fewest(&cli->out, &fewest, &traps, q->bore_m, units);
        print_narrows(&cli->out, mesh, q, &narrows, units);
    }
    pc_traps_free(&traps);
    pc_traps_free(&fewest);
    pc_narrows_free(&narrows);
    return code;
}

static enum cli_exit run(struct cli *cli) {
    const char *path = cli->operand[0];
    pc_mesh mesh;
    struct question q;
    pc_errors errors = PC_ERRORS_INIT;
    enum cli_exit code = cli_read_mesh(cli, path, &mesh);
    if (code != CLI_DONE)
        return code;
    if (mesh.report.note[0])
        say_note(cli, "%s", mesh.report.note);
    if (cli_has(cli, "open-rim"))
        code = say_errors(pc_mesh_close_rim(&mesh, &errors), &errors);
    if (code == CLI_DONE && !mesh.report.closed)
        code = say_error(CLI_FILE,
                         "%s: the mesh is open, so that no air can be followed in it: %s, or say "
                         "--open-rim where the one "
                         "opening is where it is poured",
                         path, mesh.report.why_no_volume);
    if (code == CLI_DONE)
        code = read_question(cli, &mesh, &q);
    if (code == CLI_DONE)
        code = answer(cli, &mesh, &q);
    pc_mesh_free(&mesh);
    return code;
}

const struct cli_command cmd_traps = {
    .name = "traps",
    .operands = "MESH",
    .summary = "Where air is caught: traps, narrow tips, necks",
    .example = "pourclock traps otter.stl --mesh-unit mm --up 0,0,1 --wall 5mm\n"
               "pourclock traps otter.stl --mesh-unit mm --best --ply traps.ply",
    .about =
        "Fills the cavity of a mesh from below and reports every high point where air is shut in, "
        "the\nnarrow tips that hold a bubble while the mold is turned, and necks between wider "
        "chambers.",
    .options = options,
    .takes = CLI_TAKES_JSON | CLI_TAKES_CSV | CLI_TAKES_UNITS,
    .operands_least = 1,
    .operands_most = 1,
    .operand_kind = CLI_KIND_FILE,
    .run = run,
};
