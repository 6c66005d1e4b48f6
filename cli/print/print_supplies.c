/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "print/print_supplies.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "pourclock.h"
#include "print/print_cautions.h"

enum { WIDTH = 92 };
#define FACTOR_SHOWN 999.0 /* more says nothing more */

/* One cup of a batch, by volume too where the densities are known. */
static void cup(struct cli_output *out, const struct printed_supplies *p, size_t part,
                const pc_layer *layer) {
    const pc_resin *resin = pc_piece_resin(p->piece, part, layer->number);
    int n = layer->cups > 1 ? layer->cups : 1, width = p->units == PC_US ? 17 : 7;
    double a_kg = layer->part_a_kg / n, b_kg = layer->part_b_kg / n;
    double a_m3 = a_kg / resin->density_a_kg_m3, b_m3 = b_kg / resin->density_b_kg_m3;
    out_printf(out, "A %*s  B %*s", width, pc_say_mass_both(p->units, a_kg).s, width,
               pc_say_mass_both(p->units, b_kg).s);
    if (layer->filler_kg > 0.0)
        out_printf(out, "  filler %s", pc_say_mass_both(p->units, layer->filler_kg / n).s);
    out_printf(out, "  together %s", pc_say_mass(layer->batch_kg / n).s);
    if (a_m3 > 0 && b_m3 > 0)
        out_printf(out, "\n%41sby volume A %s, B %s", "", pc_say_volume(p->units, a_m3).s,
                   pc_say_volume(p->units, b_m3).s);
    out_text(out, "\n");
}

/* Every cup in the order in which it is mixed. */
static void cups(struct cli_output *out, const struct printed_supplies *p) {
    const pc_schedule *plan = p->schedule;
    int number = 0;
    out_title(out, "TO WEIGH, CUP BY CUP, EACH CASTING");
    for (size_t i = 0; i < plan->step_count; i++) {
        const pc_step *step = plan->step[i];
        if (step->kind != PC_STEP_MIX || step->layer < 1)
            continue;
        const pc_part_plan *part = plan->part[step->part];
        const pc_layer *layer = part->layer[step->layer - 1];
        for (int c = 0; c == 0 || c < layer->cups; c++) {
            out_printf(out, "  %3d  %s  ", ++number,
                       pc_say_clock(plan->start_clock_s, pc_cup_mix(layer, c + 1),
                                    PC_CLOCK_NEAREST | PC_CLOCK_MINUTE)
                           .s);
            out_column(out, part->name, 16, 40);
            out_printf(out, " %-5s %d  ", pc_layer_word(part->kind), layer->number);
            cup(out, p, step->part, layer);
        }
    }
}

static void need(struct cli_output *out, const struct printed_supplies *p, const pc_need *n) {
    out_printf(out, "  %-9s", pc_supply_word(n->item));
    if (n->item == PC_SUPPLY_WIRE)
        out_printf(out, "%s", pc_say_length(p->units, n->amount).s);
    else
        out_printf(out, "%s, %s", pc_say(PC_SAY_MASS_BOTH, p->units, n->amount).s,
                   pc_say_volume(p->units, n->volume_m3).s);
    if (n->item == PC_SUPPLY_RESIN) {
        if (n->name[0]) {
            out_text(out, ", ");
            out_column(out, n->name, 0, 60);
        }
        out_printf(out, ": A %s, B %s", pc_say_mass_both(p->units, n->part_a).s,
                   pc_say_mass_both(p->units, n->part_b).s);
        if (n->filler > 0.0)
            out_printf(out, ", %s of filler (%s)", pc_say_mass_both(p->units, n->filler).s,
                       n->fillers);
        if (n->part_a_m3 > 0 && n->part_b_m3 > 0)
            out_printf(out, " (A %s, B %s)", pc_say_volume(p->units, n->part_a_m3).s,
                       pc_say_volume(p->units, n->part_b_m3).s);
    }
    if (n->item == PC_SUPPLY_SHELL && p->supplies.mold_count < 2)
        out_printf(out, ", %s each of %d parts",
                   pc_say_mass_both(p->units, p->supplies.shell_half_kg).s, p->order->shell_halves);
    out_text(out, "\n");
    if (!n->kit[0])
        return;
    out_printf(out, "           buy %ld x %s", n->kits, n->kit);
    if (n->other_kit[0])
        out_printf(out, " and %ld x %s", n->other_kits, n->other_kit);
    out_printf(out, ", %.2f; left over %s", n->cost,
               n->item == PC_SUPPLY_WIRE ? pc_say_length(p->units, n->left_a).s
                                         : pc_say_mass_both(p->units, n->left_a).s);
    if (n->item == PC_SUPPLY_RESIN)
        out_printf(out, " of A, %s of B; one %s makes %ld casting%s",
                   pc_say_mass_both(p->units, n->left_b).s, n->other_kit[0] ? n->kit : "kit",
                   n->castings_per_kit, n->castings_per_kit == 1 ? "" : "s");
    out_text(out, "\n");
}

/* A line each, where there are several. */
static void molds(struct cli_output *out, const struct printed_supplies *p) {
    const pc_supplies *s = &p->supplies;
    for (size_t i = 0; i < s->mold_count && s->mold_count > 1; i++) {
        const pc_mold_supply *mold = &s->mold[i];
        char text[sizeof mold->parts + 300] = "";
        snprintf(text, sizeof text, "mold %zu%s%s (%s)", i + 1, mold->name[0] ? ", " : "",
                 mold->name, mold->parts);
        size_t used = strlen(text);
        if (mold->rubber_kg > 0.0)
            snprintf(text + used, sizeof text - used, ": rubber %s",
                     pc_say_mass_both(p->units, mold->rubber_kg).s);
        used = strlen(text);
        if (mold->shell_kg > 0.0)
            snprintf(text + used, sizeof text - used, "%s shell %s, %s each of %d parts",
                     mold->rubber_kg > 0.0 ? "," : ":",
                     pc_say_mass_both(p->units, mold->shell_kg).s,
                     pc_say_mass_both(p->units, mold->shell_kg / p->order->shell_halves).s,
                     p->order->shell_halves);
        out_text(out, "  ");
        out_wrapped(out, text, 4, WIDTH);
    }
}

static void a_day(struct cli_output *out, const struct printed_supplies *p) {
    const pc_supplies *s = &p->supplies;
    double out_s = fmax(p->schedule->demold_s, p->schedule->demold_late_s); /* passes over NaN */
    pc_words day = pc_say_duration(p->order->day_s);
    if (s->castings_a_day > 0)
        out_printf(out, "  one %s makes %ld casting%s in a day of %s\n",
                   s->mold_count > 1 ? "set of molds" : "mold", s->castings_a_day,
                   s->castings_a_day == 1 ? "" : "s", day.s);
    else if (isfinite(out_s))
        out_printf(out,
                   "  one casting takes %s from its first mix to demold, more than a day of %s\n",
                   pc_say_duration(out_s).s, day.s);
}

static void needs(struct cli_output *out, const struct printed_supplies *p) {
    const pc_supplies *s = &p->supplies;
    out_title(out, "TO BUY");
    for (size_t i = 0; i < s->need_count; i++)
        need(out, p, &s->need[i]);
    if (isfinite(s->cost))
        out_printf(out, "  total    %.2f, %.2f a casting\n", s->cost, s->cost / p->order->castings);
    out_printf(out, "  of the resin %s in the pieces, %s in cups, %s lost\n",
               pc_say_mass_both(p->units, s->resin_in_pieces_kg).s,
               pc_say_mass_both(p->units, s->resin_in_cups_kg).s,
               pc_say_mass_both(p->units, s->resin_lost_kg).s);
    if (s->resin_trimmed_kg > 0.0)
        out_printf(out, "  %s in sprues and vents, cut off\n",
                   pc_say_mass_both(p->units, s->resin_trimmed_kg).s);
    if (s->resin_poured_back_kg > 0.0)
        out_printf(out, "  %s poured back out of drained molds\n",
                   pc_say_mass_both(p->units, s->resin_poured_back_kg).s);
    if (s->chunks_m3 > 0)
        out_printf(out, "  old rubber: %s of chunks save %s of fresh\n",
                   pc_say_volume(p->units, s->chunks_m3).s,
                   pc_say_mass_both(p->units, s->chunks_saved_kg).s);
    molds(out, p);
    a_day(out, p);
    for (size_t i = 0; i < s->note_count; i++) {
        out_text(out, "  - ");
        out_wrapped(out, s->note[i], 4, WIDTH);
    }
}

static void wall(struct cli_output *out, const struct printed_supplies *p) {
    const pc_supplies *s = &p->supplies;
    if (isfinite(s->saved_kg))
        out_printf(out, "  weighs %s; solid it would weigh %s: %s saved\n",
                   pc_say_mass_both(p->units, s->body_kg).s,
                   pc_say_mass_both(p->units, s->solid_kg).s,
                   pc_say_mass_both(p->units, s->saved_kg).s);
    if (!isfinite(s->thumb_factor))
        return;
    out_printf(out, "  a thumb of %s on %s: %s, gives by %s, safety factor %.1f; ",
               pc_say(PC_SAY_FORCE, p->units, p->order->thumb_N).s,
               s->thumb_flat ? "its flat place" : "its round",
               pc_say(PC_SAY_STRESS, p->units, s->thumb_stress_Pa).s,
               pc_say_thickness(p->units, s->thumb_sag_m).s, s->thumb_factor);
    if (isfinite(s->thumb_wall_m))
        out_printf(out, "wall needed %s\n", pc_say_thickness(p->units, s->thumb_wall_m).s);
    else
        out_text(out, "no wall is enough: rib or fill it\n");
}

static void joints(struct cli_output *out, const struct printed_supplies *p) {
    for (size_t i = 0; i < p->supplies.joint_count; i++) {
        const pc_joint *pin = &p->order->pin[i];
        const pc_joint_result *r = &p->supplies.joint[i];
        out_printf(out, "  %s: %d x %s %s%s, socket %s deep%s\n", pin->name, pin->count,
                   pc_say_length(p->units, r->wire_m).s, pin->metal->name,
                   r->wire_advised ? " (advised)" : "", pc_say_length(p->units, r->socket_m).s,
                   r->socket_advised ? " (advised)" : "");
        out_printf(out,
                   "    bending and weight %s, factor %.1f; buckling factor %.1f; socket "
                   "factor %.1f; gives %s; displaces %s of resin\n",
                   pc_say(PC_SAY_STRESS, p->units, r->stress_Pa).s, r->factor,
                   fmin(r->buckling_factor, FACTOR_SHOWN), fmin(r->socket_factor, FACTOR_SHOWN),
                   pc_say_thickness(p->units, r->sag_m).s,
                   pc_say_volume(p->units, r->displaced_m3).s);
        if (!r->holds) {
            out_style(out, CLI_WARN);
            out_printf(out,
                       "    below the factor of %.0f advised: wire of %s or more, a deeper socket, "
                       "more pins\n",
                       PC_JOINT_FACTOR, pc_say_length(p->units, r->least_wire_m).s);
            out_style(out, CLI_PLAIN);
        }
    }
}

/* What the batches give off, and what the room comes to. */
static void vapor(struct cli_output *out, const struct printed_supplies *p,
                  const pc_ventilation *v) {
    out_printf(
        out, "  %s: estimate %s given off by all batches; upper bound, all there is in them: %s\n",
        v->volatile_name, pc_say_mass_both(p->units, v->vapor_kg).s,
        pc_say_mass_both(p->units, v->vapor_most_kg).s);
    out_printf(out,
               "  estimate %s of fresh air to stay below %.3g ppm while most is given off (mixing "
               "factor %.0f)\n",
               pc_say_air_flow(p->units, v->air_m3_s).s, 1e6 * v->limit_fraction, v->mixing);
    if (isfinite(v->still_fraction))
        out_printf(out, "  in the room with no air moving: upper bound %.0f ppm\n",
                   1e6 * v->still_fraction);
    if (!isfinite(v->highest_fraction))
        return;
    out_printf(
        out, "  with the ventilation stated: estimate %.3g ppm at most, at %s%s",
        1e6 * v->highest_fraction,
        pc_say_clock(p->schedule->start_clock_s, ceil(v->highest_at_s - 1e-6), PC_CLOCK_NEAREST).s,
        v->highest_fraction > v->limit_fraction ? ", ABOVE THE LIMIT" : "");
    if (isfinite(v->purge_s))
        out_printf(out, "; clear %s later", pc_say_duration(v->purge_s).s);
    out_text(out, "\n");
}

/* Of every vapor there is: parts and layers may be of other resins. */
static void air(struct cli_output *out, const struct printed_supplies *p) {
    char text[400];
    pc_ventilation v;
    const pc_resin *mix = NULL;
    out_title(out, "AIR (ESTIMATES; UPPER BOUNDS WHERE CALLED SO)");
    for (size_t i = 0;; i++) {
        pc_status status = pc_ventilation_of_vapor(p->piece, p->schedule, i, &mix, &v);
        if (status != PC_OK || !mix)
            break;
        if (v.answer == PC_AIR_DILUTION) {
            vapor(out, p, &v);
            continue;
        }
        snprintf(text, sizeof text, "%s: no fresh-air figure is calculated: %s.",
                 v.volatile_name[0] ? v.volatile_name : "vapor", v.why);
        out_text(out, "  ");
        out_wrapped(out, text, 2, WIDTH);
    }
}

void supplies_text(struct cli_output *out, const struct printed_supplies *p) {
    out_bold(out, "%s: %d casting%s\n", p->schedule->piece, p->order->castings,
             p->order->castings == 1 ? "" : "s");
    if (!p->schedule->feasible)
        out_text(out,
                 "The schedule of this piece exceeds a limit: see pourclock schedule first.\n");
    cups(out, p);
    needs(out, p);
    out_title(out, "STRENGTH (ESTIMATES)");
    wall(out, p);
    joints(out, p);
    air(out, p);
    print_cautions(out, &p->cautions, WIDTH);
}

void supplies_csv(struct cli_output *out, const struct printed_supplies *p) {
    out_text(out,
             "item,unit,kit,other_kit,amount,volume_m3,part_a_kg,part_b_kg,part_a_m3,part_b_m3,"
             "kits,other_kits,cost,left_a,left_b");
    bool filled = false;
    for (size_t i = 0; i < p->supplies.need_count; i++)
        filled = filled || p->supplies.need[i].filler > 0.0;
    out_text(out, filled ? ",filler_kg\r\n" : "\r\n");
    for (size_t i = 0; i < p->supplies.need_count; i++) {
        const pc_need *n = &p->supplies.need[i];
        bool bought = n->kit[0] != '\0';
        out_printf(out, "%s,%s,", pc_supply_word(n->item), n->item == PC_SUPPLY_WIRE ? "m" : "kg");
        out_csv_text(out, n->kit);
        out_text(out, ",");
        out_csv_text(out, n->other_kit);
        const double number[] = {n->amount,
                                 n->volume_m3,
                                 n->part_a,
                                 n->part_b,
                                 n->part_a_m3,
                                 n->part_b_m3,
                                 bought ? (double)n->kits : NAN,
                                 n->other_kit[0] != '\0' ? (double)n->other_kits : NAN,
                                 bought ? n->cost : NAN,
                                 bought ? n->left_a : NAN,
                                 bought ? n->left_b : NAN,
                                 n->filler > 0.0 ? n->filler : NAN};
        out_csv_numbers(out, number, sizeof number / sizeof number[0] - (filled ? 0 : 1));
    }
}
