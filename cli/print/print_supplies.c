/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "print/print_supplies.h"

#include <math.h>
#include <stdio.h>

#include "print/units.h"

enum { WIDTH = 92 };
#define CFM_PER_M3_S 2118.880003
#define FACTOR_SHOWN 999.0 /* more says nothing more */

static void air_flow(char *text, size_t size, pc_units units, double m3_s) {
    if (units == PC_US)
        snprintf(text, size, "%.0f cfm", m3_s * CFM_PER_M3_S);
    else
        snprintf(text, size, "%.0f m3/h", m3_s * 3600);
}

static void layers(struct cli_output *out, const struct printed_supplies *p) {
    out_title(out, "TO MIX, EACH CASTING");
    for (size_t i = 0; i < p->schedule->part_count; i++) {
        const pc_part_plan *part = &p->schedule->part[i];
        for (size_t j = 0; j < part->layer_count; j++) {
            const pc_layer *layer = &part->layer[j];
            const pc_resin *resin = &p->piece->resin;
            out_printf(out, "  %-16.40s %-5s %d   A %8s   B %8s   together %8s", part->name,
                       units_layer_word(part->kind), layer->number, units_mass(layer->part_a_kg).s,
                       units_mass(layer->part_b_kg).s, units_mass(layer->batch_kg).s);
            double a = layer->part_a_kg / resin->density_a_kg_m3;
            double b = layer->part_b_kg / resin->density_b_kg_m3;
            if (a > 0 && b > 0)
                out_printf(out, "   by volume A %s, B %s", units_volume(p->units, a).s,
                           units_volume(p->units, b).s);
            out_text(out, "\n");
        }
    }
}

static void need(struct cli_output *out, const struct printed_supplies *p, const pc_need *n) {
    out_printf(out, "  %-9s", pc_supply_word(n->item));
    if (n->item == PC_SUPPLY_WIRE)
        out_printf(out, "%s", units_length(p->units, n->amount).s);
    else
        out_printf(out, "%s, %s", units_mass_both(p->units, n->amount).s,
                   units_volume(p->units, n->volume_m3).s);
    if (n->item == PC_SUPPLY_RESIN) {
        out_printf(out, ": A %s, B %s", units_mass(n->part_a).s, units_mass(n->part_b).s);
        if (n->part_a_m3 > 0 && n->part_b_m3 > 0)
            out_printf(out, " (A %s, B %s)", units_volume(p->units, n->part_a_m3).s,
                       units_volume(p->units, n->part_b_m3).s);
    }
    if (n->item == PC_SUPPLY_SHELL)
        out_printf(out, ", %s each of %d parts", units_mass(p->supplies.shell_half_kg).s,
                   p->order->shell_halves);
    out_text(out, "\n");
    if (!n->kit[0])
        return;
    out_printf(out, "           buy %ld x %s", n->kits, n->kit);
    if (n->other_kit[0])
        out_printf(out, " and %ld x %s", n->other_kits, n->other_kit);
    out_printf(out, ", %.2f; left over %s", n->cost,
               n->item == PC_SUPPLY_WIRE ? units_length(p->units, n->left_a).s
                                         : units_mass(n->left_a).s);
    if (n->item == PC_SUPPLY_RESIN)
        out_printf(out, " of A, %s of B; one %s makes %ld casting%s", units_mass(n->left_b).s,
                   n->other_kit[0] ? n->kit : "kit", n->castings_per_kit,
                   n->castings_per_kit == 1 ? "" : "s");
    out_text(out, "\n");
}

static void needs(struct cli_output *out, const struct printed_supplies *p) {
    const pc_supplies *s = &p->supplies;
    out_title(out, "TO BUY");
    for (size_t i = 0; i < s->need_count; i++)
        need(out, p, &s->need[i]);
    if (isfinite(s->cost))
        out_printf(out, "  in all   %.2f, %.2f a casting\n", s->cost, s->cost / p->order->castings);
    out_printf(out, "  of the resin %s in the pieces, %s in cups, %s lost\n",
               units_mass(s->resin_in_pieces_kg).s, units_mass(s->resin_in_cups_kg).s,
               units_mass(s->resin_lost_kg).s);
    if (s->chunks_m3 > 0)
        out_printf(out, "  old rubber: %s of chunks save %s of fresh\n",
                   units_volume(p->units, s->chunks_m3).s, units_mass(s->chunks_saved_kg).s);
    out_printf(out, "  one mold makes %ld casting%s in a day of %s\n", s->castings_a_day,
               s->castings_a_day == 1 ? "" : "s", units_duration(p->order->day_s).s);
    for (size_t i = 0; i < s->note_count; i++) {
        out_text(out, "  - ");
        out_wrapped(out, s->note[i], 4, WIDTH);
    }
}

static void wall(struct cli_output *out, const struct printed_supplies *p) {
    const pc_supplies *s = &p->supplies;
    if (isfinite(s->saved_kg))
        out_printf(out, "  weighs %s; solid it would weigh %s: %s saved\n",
                   units_mass(s->body_kg).s, units_mass(s->solid_kg).s, units_mass(s->saved_kg).s);
    if (!isfinite(s->thumb_factor))
        return;
    out_printf(out, "  a thumb of %.0f N on %s: %.1f MPa, gives by %.2f mm, safety factor %.1f; ",
               p->order->thumb_N, s->thumb_flat ? "its flat place" : "its round",
               s->thumb_stress_Pa / 1e6, 1000 * s->thumb_sag_m, s->thumb_factor);
    if (isfinite(s->thumb_wall_m))
        out_printf(out, "wall needed %s\n", units_thickness(p->units, s->thumb_wall_m).s);
    else
        out_text(out, "no wall is enough: rib or fill it\n");
}

static void joints(struct cli_output *out, const struct printed_supplies *p) {
    for (size_t i = 0; i < p->supplies.joint_count; i++) {
        const pc_joint *pin = &p->order->pin[i];
        const pc_joint_result *r = &p->supplies.joint[i];
        out_printf(out, "  %s: %d x %s %s%s, socket %s deep%s\n", pin->name, pin->count,
                   units_length(p->units, r->wire_m).s, pin->metal->name,
                   r->wire_advised ? " (advised)" : "", units_length(p->units, r->socket_m).s,
                   r->socket_advised ? " (advised)" : "");
        out_printf(out,
                   "    bending and weight %.0f MPa, factor %.1f; buckling factor %.1f; socket "
                   "factor %.1f; gives %.2f mm; displaces %s of resin\n",
                   r->stress_Pa / 1e6, r->factor, fmin(r->buckling_factor, FACTOR_SHOWN),
                   fmin(r->socket_factor, FACTOR_SHOWN), 1000 * r->sag_m,
                   units_volume(p->units, r->displaced_m3).s);
        if (!r->holds) {
            out_style(out, CLI_WARN);
            out_printf(out,
                       "    below the factor of %.0f advised: wire of %s or more, a deeper socket, "
                       "more pins\n",
                       PC_JOINT_FACTOR, units_length(p->units, r->least_wire_m).s);
            out_style(out, CLI_PLAIN);
        }
    }
}

static void air(struct cli_output *out, const struct printed_supplies *p) {
    char flow[32];
    const pc_ventilation *v = &p->air;
    out_title(out, "AIR (ESTIMATES AND UPPER BOUNDS)");
    if (v->answer != PC_AIR_DILUTION) {
        char text[400];
        snprintf(text, sizeof text, "%s: the dilution formula does not apply: %s.",
                 v->volatile_name[0] ? v->volatile_name : "vapor", v->why);
        out_text(out, "  ");
        out_wrapped(out, text, 2, WIDTH);
    } else {
        air_flow(flow, sizeof flow, p->units, v->air_m3_s);
        out_printf(out, "  %s: upper bound %s given off by the piece\n", v->volatile_name,
                   units_mass(v->vapor_kg).s);
        out_printf(out,
                   "  estimate %s of fresh air at the worst batch to stay under %.3g ppm (mixing "
                   "factor %.0f)\n",
                   flow, 1e6 * v->limit_fraction, v->mixing);
        if (isfinite(v->still_fraction))
            out_printf(out, "  in the room with no air moving: upper bound %.0f ppm\n",
                       1e6 * v->still_fraction);
        if (isfinite(v->reached_fraction))
            out_printf(out, "  with the ventilation stated: estimate %.0f ppm%s; clear after %s\n",
                       1e6 * v->reached_fraction,
                       v->reached_fraction > v->limit_fraction ? ", ABOVE THE LIMIT" : "",
                       units_duration(v->purge_s).s);
    }
    out_printf(out,
               "  leftovers: %s in one pail could reach %s (upper bound %s): spread them thin, "
               "outdoors or on metal\n",
               units_mass(p->standing.leftover_kg).s,
               units_temperature(p->units, p->standing.leftover_peak_K).s,
               units_temperature(p->units, p->standing.adiabatic_K).s);
    out_text(out, "  limits: ");
    out_wrapped(out, pc_exposure_edition(), 2, WIDTH);
    const pc_exposure *row;
    for (size_t i = 0; (row = pc_exposure_at(i)); i++) {
        if (!isfinite(row->niosh_fraction) && !isfinite(row->niosh_ceiling_fraction) &&
            !isfinite(row->osha_ceiling_fraction))
            continue;
        out_printf(out, "    %-28s (%s)", row->substance, row->of);
        if (isfinite(row->niosh_fraction))
            out_printf(out, "  NIOSH %.3g ppm", 1e6 * row->niosh_fraction);
        if (isfinite(row->niosh_ceiling_fraction))
            out_printf(out, "  NIOSH ceiling %.3g ppm", 1e6 * row->niosh_ceiling_fraction);
        if (isfinite(row->osha_fraction))
            out_printf(out, "  OSHA %.4g ppm", 1e6 * row->osha_fraction);
        if (isfinite(row->osha_ceiling_fraction))
            out_printf(out, "  OSHA ceiling %.3g ppm", 1e6 * row->osha_ceiling_fraction);
        out_text(out, "\n");
    }
}

void supplies_text(struct cli_output *out, const struct printed_supplies *p) {
    out_style(out, CLI_BOLD);
    out_printf(out, "%s: %d casting%s\n", p->schedule->piece, p->order->castings,
               p->order->castings == 1 ? "" : "s");
    out_style(out, CLI_PLAIN);
    if (!p->schedule->feasible)
        out_text(out, "The schedule of this piece breaks a limit: see pourclock schedule first.\n");
    layers(out, p);
    needs(out, p);
    out_title(out, "STRENGTH (ESTIMATES)");
    wall(out, p);
    joints(out, p);
    air(out, p);
    out_text(out, "\n");
    out_wrapped(out, pc_deferral(), 0, WIDTH);
}
