/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The words of `pourclock turn`. */
#include "config.h"

#include "print/print_turn.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "pourclock.h"

#define WIDTH         92
#define LUMP_SHOWN_M3 0.05e-6 /* less is "none" in the table */
/* From here on it is worth a warning: % of the wall bare, lump as a share of the layer. */
#define BARE_MANY_PERCENT 1.0
#define LUMP_LARGE_SHARE  0.02

static void bold(struct cli_output *out, const char *text) {
    out_style(out, CLI_BOLD);
    out_wrapped(out, text, 0, WIDTH);
    out_style(out, CLI_PLAIN);
}

static void warn(struct cli_output *out, const char *text) {
    out_style(out, CLI_WARN);
    out_text(out, "! ");
    out_style(out, CLI_PLAIN);
    out_wrapped(out, text, 2, WIDTH);
}

static pc_words clock_at(const struct turn_answer *answered, double at_s) {
    return pc_say_clock(answered->schedule->start_clock_s, at_s, PC_CLOCK_NEAREST);
}

static bool is_turned(const pc_turned_part *part, size_t j) {
    return part->layer[j].method == PC_COAT_TURN;
}

static size_t turned_layers(const pc_turned_part *part) {
    size_t count = 0;
    for (size_t j = 0; j < part->plan.count; j++)
        count += is_turned(part, j);
    return count;
}

static void print_machine(struct cli_output *out, const struct turn_answer *answered) {
    const pc_turning *turning = &answered->piece->turning;
    char text[400];
    if (turning->method == PC_MACHINE)
        snprintf(text, sizeof text,
                 "Machine: outer %.3g rpm, inner %.3g rpm against its arm. (Counted against the "
                 "floor, at a drive shaft through the arm's axle, the inner would read %.3g rpm; "
                 "say inner_against = floor in the piece file where yours is counted so.)",
                 turning->outer_rad_s / PC_RPM, turning->inner_rad_s / PC_RPM,
                 (turning->inner_rad_s + turning->outer_rad_s) / PC_RPM);
    else if (turning->method == PC_HAND) {
        snprintf(text, sizeof text, "By hand: a cycle of %zu tilts in %s%s, %.3g rpm on average.",
                 answered->report->tilt_count, pc_say_duration(answered->report->period_s).s,
                 turning->tilt_count ? "" : " (all quarter turns of a box, once each)",
                 answered->report->speed_rad_s / PC_RPM);
    } else {
        snprintf(text, sizeof text, "Drained: pour in, swirl, pour out, stand on end.");
    }
    out_wrapped(out, text, 0, WIDTH);
}

static void print_path(struct cli_output *out, const pc_turning *turning,
                       const pc_turned_part *part) {
    const pc_coverage *c = &part->coverage;
    char text[300], closes[120] = "never quite repeats itself";
    if (isfinite(c->closure_s) && turning->method == PC_MACHINE)
        snprintf(closes, sizeof closes, "repeats itself every %s (%.4g outer to %.4g inner turns)",
                 pc_say_duration(c->closure_s).s, c->closure_outer, c->closure_inner);
    else if (isfinite(c->closure_s))
        snprintf(closes, sizeof closes, "repeats itself every %s", pc_say_duration(c->closure_s).s);
    snprintf(text, sizeof text,
             "The bottom's path over the wall %s; the place furthest from it is %.0f degrees away.",
             closes, c->never_faced_rad * (180.0 / PC_PI));
    out_wrapped(out, text, 0, WIDTH);
}

static void print_row(struct cli_output *out, const struct turn_answer *answered,
                      const pc_turned_part *part, size_t j) {
    const pc_turned_layer *l = &part->layer[j];
    const pc_turn_result *r = &l->result;
    char gap[32] = "never", uneven[32] = "-";
    if (isfinite(r->gap_s))
        snprintf(gap, sizeof gap, "%.0f s", r->gap_s);
    if (isfinite(r->unevenness))
        snprintf(uneven, sizeof uneven, "%.1f %%", 100 * r->unevenness);
    out_printf(out, "%5zu %10s %9s %9s %7.1f %7s %8s %9s %9s %8s\n", j + 1,
               pc_say_thickness(answered->units, part->plan.layer[j].film_m).s,
               clock_at(answered, r->set_s).s, clock_at(answered, r->gel_s).s, r->turns, gap,
               uneven, pc_say_thickness(answered->units, r->spread.thin_m).s,
               pc_say_thickness(answered->units, r->spread.thick_m).s,
               r->spread.lump_m3 > LUMP_SHOWN_M3
                   ? pc_say_volume(answered->units, r->spread.lump_m3).s
                   : "none");
}

static void print_table(struct cli_output *out, const struct turn_answer *answered,
                        const pc_turned_part *part) {
    out_bold(out, "%5s %10s %9s %9s %7s %7s %8s %9s %9s %8s\n", "layer", "mean", "sets", "gels",
             "turns", "gap", "uneven", "thin 5 %", "thick 5 %", "lump");
    for (size_t j = 0; j < part->plan.count; j++)
        if (is_turned(part, j) && part->layer[j].status == PC_OK)
            print_row(out, answered, part, j);
    if (part->map && turned_layers(part) == part->plan.count && part->plan.count > 1)
        out_printf(out, "%5s %10s %54s %9s\n", "all",
                   pc_say_thickness(answered->units, part->sum.mean_m).s,
                   pc_say_thickness(answered->units, part->sum.thin_m).s,
                   pc_say_thickness(answered->units, part->sum.thick_m).s);
    out_wrapped(
        out,
        "Turns: of the slower axis, set to gel. Gap: longest between two passes of the pool "
        "over a place. Uneven: what the resin thickens in half a gap, when it sets.",
        0, WIDTH);
}

static void print_window(struct cli_output *out, const struct turn_answer *answered,
                         const pc_turned_part *part, size_t j) {
    const pc_turned_layer *l = &part->layer[j];
    char text[600];
    if (!is_turned(part, j) || l->status != PC_OK)
        return;
    snprintf(
        text, sizeof text,
        "Layer %zu: turn without a break from %s to %s; after that it may rest. A standstill at "
        "the worst moment leaves the thin 5 %% at",
        j + 1, clock_at(answered, l->result.from_s).s, clock_at(answered, l->result.to_s).s);
    for (int k = 0; k < PC_TURN_STOPS; k++) {
        size_t used = strlen(text);
        snprintf(text + used, sizeof text - used, "%s %s after %s", k ? "," : "",
                 pc_say_thickness(answered->units, l->stop[k].thin_m).s,
                 pc_say_duration(l->stop[k].for_s).s);
    }
    strncat(text, ".", sizeof text - strlen(text) - 1);
    out_wrapped(out, text, 0, WIDTH);
}

/* Kinds of trouble a layer can have; the worst figure of the layers that have it is said. */
enum trouble { HANGS, BARE, FEW_TURNS, LUMP, TROUBLES };

static bool has_trouble(const pc_turned_part *part, size_t j, enum trouble kind, double *figure) {
    const pc_turn_result *r = &part->layer[j].result;
    const pc_turn_layer *l = &part->plan.layer[j];
    bool hangs = r->set_s <= l->history.time_s[0];
    switch (kind) {
    case HANGS:
        *figure = l->history.mu_Pa_s[0] / r->mu_set_Pa_s;
        return hangs;
    case BARE:
        *figure = 100 * r->spread.bare;
        return *figure > BARE_MANY_PERCENT;
    case FEW_TURNS:
        *figure = -r->turns;
        return r->turns < PC_TURNS_LEAST;
    case LUMP:
        *figure = r->spread.lump_m3;
        return !hangs && *figure > LUMP_LARGE_SHARE * l->volume_m3;
    case TROUBLES:
        break;
    }
    return false;
}

static void say_trouble(struct cli_output *out, const struct turn_answer *answered,
                        enum trouble kind, bool several, const char *layers, double worst) {
    char text[500] = "";
    const char *s = several ? "" : "s";
    switch (kind) {
    case HANGS:
        snprintf(
            text, sizeof text,
            "%s hang%s on the wall from the pour: the resin is %.2g times as thick as the wall "
            "needs to carry it. Tilt it slowly until every face has been down, turn slower at "
            "first, or "
            "warm the resin.",
            layers, s, worst);
        break;
    case BARE:
        snprintf(text, sizeof text, "%s leave%s up to %.0f %% of the wall bare, turned like this.",
                 layers, s, worst);
        break;
    case FEW_TURNS:
        snprintf(text, sizeof text,
                 "%s gel%s %.1f turns of the slower axis after setting; %.0f make an even wall. A "
                 "slower resin, a thinner layer, or a faster slow axis.",
                 layers, s, -worst, PC_TURNS_LEAST);
        break;
    case LUMP:
        snprintf(text, sizeof text, "%s gel%s with a lump of up to %s still a pool.", layers, s,
                 pc_say_volume(answered->units, worst).s);
        break;
    case TROUBLES:
        return;
    }
    warn(out, text);
}

static void warn_layers(struct cli_output *out, const struct turn_answer *answered,
                        const pc_turned_part *part) {
    for (int kind = 0; kind < TROUBLES; kind++) {
        char layers[120] = "";
        double worst = -INFINITY, figure;
        size_t count = 0;
        for (size_t j = 0; j < part->plan.count; j++) {
            if (!is_turned(part, j) || part->layer[j].status != PC_OK ||
                !has_trouble(part, j, (enum trouble)kind, &figure))
                continue;
            size_t used = strlen(layers);
            snprintf(layers + used, sizeof layers - used, "%s%zu", count ? ", " : "", j + 1);
            worst = fmax(worst, figure);
            count++;
        }
        char named[160];
        snprintf(named, sizeof named, "Layer%s %s", count > 1 ? "s" : "", layers);
        if (count > 0)
            say_trouble(out, answered, (enum trouble)kind, count > 1, named, worst);
    }
    for (size_t j = 0; j < part->plan.count; j++)
        if (is_turned(part, j) && part->layer[j].status != PC_OK) {
            char text[600];
            snprintf(text, sizeof text, "Layer %zu: %s", j + 1, part->layer[j].why);
            warn(out, text);
        }
}

static void warn_program(struct cli_output *out, const struct turn_answer *answered,
                         const pc_turned_part *part) {
    const pc_turning *turning = &answered->piece->turning;
    size_t first = 0;
    while (!is_turned(part, first)) /* one is, or there would be no program */
        first++;
    const pc_turn_result *r = &part->layer[first].result;
    char text[500];
    if (part->coverage.locks) {
        snprintf(text, sizeof text, "%s: the same track over and over.%s",
                 turning->method == PC_MACHINE ? "This ratio locks" : "This cycle leaves wide gaps",
                 turning->method == PC_MACHINE ? turning->inner_rad_s == 0
                                                     ? " One axis never brings the ends down."
                                                     : " Take gears that are no such simple ratio."
                                               : " Bring the corners down too.");
        warn(out, text);
    }
    if (part->layer[first].status == PC_OK && r->froude > PC_FROUDE_MOST) {
        snprintf(text, sizeof text,
                 "So fast that the resin is thrown outward (w2R/g %.2g, keep below %.2g): turn at "
                 "%.0f %% of this speed at most.",
                 r->froude, PC_FROUDE_MOST, 100 * sqrt(PC_FROUDE_MOST / r->froude));
        warn(out, text);
    }
}

static void print_no_best(struct cli_output *out, const struct turn_answer *answered,
                          const pc_turned_part *part) {
    char text[sizeof part->why_no_best + 32] = "";
    for (size_t j = 0; j < part->plan.count; j++)
        if (is_turned(part, j) && part->layer[j].status != PC_OK)
            return; /* none was looked for */
    if (part->why_no_best[0])
        snprintf(text, sizeof text, "No better program: %s", part->why_no_best);
    else if (answered->piece->turning.method == PC_MACHINE)
        snprintf(text, sizeof text, "No program within the machine's range is better by %.0f %%.",
                 100 * (PC_TURN_BETTER_BY - 1));
    out_wrapped(out, text, 0, WIDTH);
}

static void print_best(struct cli_output *out, const struct turn_answer *answered,
                       const pc_turned_part *part) {
    char text[900];
    if (!part->has_best) {
        print_no_best(out, answered, part);
        return;
    }
    int used =
        answered->piece->turning.method == PC_MACHINE
            ? snprintf(text, sizeof text, "Better: outer %.1f rpm, inner %.1f rpm. The thin 5 %%:",
                       part->best.outer_rad_s / PC_RPM, part->best.inner_rad_s / PC_RPM)
            : snprintf(text, sizeof text,
                       "Better: all twelve quarter turns of a box, once each, %.1f s a "
                       "side (leave out tilts in the piece file). The thin 5 %%:",
                       PC_HAND_HOLD_S);
    const char *comma = "";
    for (size_t j = 0; j < part->plan.count && used > 0 && (size_t)used < sizeof text; j++) {
        if (!is_turned(part, j))
            continue;
        used += snprintf(text + used, sizeof text - (size_t)used, "%s layer %zu %s instead of %s",
                         comma, j + 1,
                         pc_say_thickness(answered->units, part->best_result[j].spread.thin_m).s,
                         pc_say_thickness(answered->units, part->layer[j].result.spread.thin_m).s);
        comma = ",";
    }
    if (used > 0 && (size_t)used < sizeof text - 1)
        strcat(text, ".");
    out_wrapped(out, text, 0, WIDTH);
}

/* Layers that are not turned: drained, or brushed. */
static void print_still(struct cli_output *out, const struct turn_answer *answered,
                        const pc_turned_part *part) {
    for (size_t j = 0; j < part->plan.count; j++) {
        const pc_turned_layer *l = &part->layer[j];
        double density_kg_m3 = part->plan.layer[j].density_kg_m3;
        char text[700];
        if (is_turned(part, j))
            continue;
        if (l->method == PC_COAT_BRUSH) {
            snprintf(text, sizeof text, "Layer %zu: %s.", j + 1, l->why);
            out_wrapped(out, text, 0, WIDTH);
            continue;
        }
        if (l->status != PC_OK) {
            snprintf(text, sizeof text, "Layer %zu: %s", j + 1, l->why);
            warn(out, text);
            continue;
        }
        snprintf(text, sizeof text,
                 "Layer %zu: mix and pour %s, swirl until every face is wet, pour out at %s (it is "
                 "then at %.2g Pa s): %s stay, a mean of %s, %s at the foot; %s come out again.",
                 j + 1,
                 pc_say_mass(PC_DRAIN_POUR * part->plan.layer[j].volume_m3 * density_kg_m3).s,
                 clock_at(answered, l->drain.out_s).s, l->drain.mu_out_Pa_s,
                 pc_say_mass(density_kg_m3 *
                             (PC_DRAIN_POUR * part->plan.layer[j].volume_m3 - l->drain.surplus_m3))
                     .s,
                 pc_say_thickness(answered->units, l->drain.film_m).s,
                 pc_say_thickness(answered->units, l->drain.edge_m).s,
                 pc_say_mass(density_kg_m3 * l->drain.surplus_m3).s);
        out_wrapped(out, text, 0, WIDTH);
    }
}

static void print_part(struct cli_output *out, const struct turn_answer *answered,
                       const pc_turned_part *part) {
    const pc_turning *turning = &answered->piece->turning;
    char text[200];
    snprintf(
        text, sizeof text, "%s: turns on a radius of %s", answered->piece->part[part->part].name,
        pc_say_length(answered->units, answered->piece->part[part->part].shape.turn_radius_m).s);
    out_text(out, "\n");
    bold(out, text);
    print_still(out, answered, part);
    if (turned_layers(part) == 0)
        return;
    print_path(out, turning, part);
    out_text(out, "\n");
    print_table(out, answered, part);
    out_text(out, "\n");
    for (size_t j = 0; j < part->plan.count; j++)
        print_window(out, answered, part, j);
    out_text(out, "\n");
    print_best(out, answered, part);
    warn_program(out, answered, part);
    warn_layers(out, answered, part);
}

void turn_print_text(struct cli_output *out, const struct turn_answer *answered) {
    char text[2 * PC_NAME_SIZE + 40];
    snprintf(text, sizeof text, "%s, %s: turning", answered->piece->name,
             answered->schedule->resin);
    bold(out, text);
    print_machine(out, answered);
    for (size_t i = 0; i < answered->report->count; i++)
        print_part(out, answered, &answered->report->part[i]);
    out_text(out, "\n");
    out_wrapped(
        out,
        "Computed on a sphere of the part's area. Layers are poured when the schedule pours "
        "them, and set and gel at nominal times: on a slow day all of it comes later, so "
        "turn until the schedule's stop, which allows for that. A turning mold catches "
        "sleeves, hair and fingers: guard it, and keep its switch within reach. Follow the "
        "maker's safety data sheet and local codes; licensed practice decides.",
        0, WIDTH);
}

/* Of a turned layer, or of a drained one; what is not known, or not asked of it, is left empty. */
static void csv_layer(struct cli_output *out, const struct turn_answer *answered,
                      const pc_turned_part *part, size_t j) {
    enum { FIGURES = 13 };
    const pc_turned_layer *l = &part->layer[j];
    const pc_turn_result *r = &l->result;
    bool drains = l->method == PC_COAT_DRAIN, known = l->status == PC_OK;
    const double turned[FIGURES] = {r->set_s,
                                    r->gel_s,
                                    r->turns,
                                    r->gap_s,
                                    r->unevenness,
                                    r->froude,
                                    r->spread.thin_m,
                                    r->spread.mean_m,
                                    r->spread.thick_m,
                                    r->from_s,
                                    r->to_s,
                                    NAN,
                                    NAN};
    const double drained[FIGURES] = {NAN,
                                     l->drain.gel_s,
                                     NAN,
                                     NAN,
                                     NAN,
                                     NAN,
                                     NAN,
                                     NAN,
                                     NAN,
                                     NAN,
                                     NAN,
                                     l->drain.out_s,
                                     l->drain.film_m};
    double number[1 + FIGURES] = {(double)j + 1};
    for (size_t i = 0; i < FIGURES; i++)
        number[1 + i] = !known ? NAN : drains ? drained[i] : turned[i];
    out_csv_text(out, answered->piece->part[part->part].name);
    out_csv_numbers(out, number, 1 + FIGURES);
}

void turn_print_csv(struct cli_output *out, const struct turn_answer *answered) {
    out_text(out, "part,layer,set_s,gel_s,turns_set_to_gel,gap_s,unevenness,froude,thin_m,mean_m,"
                  "thick_m,matters_from_s,matters_to_s,pour_out_s,film_m\r\n");
    for (size_t i = 0; i < answered->report->count; i++)
        for (size_t j = 0; j < answered->report->part[i].plan.count; j++)
            csv_layer(out, answered, &answered->report->part[i], j);
}
