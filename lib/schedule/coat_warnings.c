/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Layers of their own kind: bond between families, a brushed coat that runs. */
#include <math.h>

#include "base/text.h"
#include "base/try.h"
#include "film/film_sums.h"
#include "piece/mixes.h"
#include "plan/layout.h"
#include "plan/slug.h"
#include "pourclock/words.h"
#include "resin/cure_rate.h"
#include "schedule/build.h"

/* What is known of one family on another (practice). */
static const char *bond_of(pc_family under, pc_family over) {
    if (over == PC_POLYESTER && under == PC_EPOXY)
        return "amine left in the epoxy keeps a polyester on it from curing, and it peels";
    if (over == PC_POLYESTER)
        return "styrene attacks a urethane that is not cured through, and polyester holds badly on "
               "it";
    if (under == PC_POLYESTER)
        return "the wax or the sticky skin of a polyester keeps what comes on it from holding";
    return "they do not cure into each other as two coats of one resin do";
}

void pci_say_bond_of(const char *over, const char *under, pc_family over_family,
                     pc_family under_family, char *text, size_t size) {
    pci_format(text, size, "%.60s is %s on %.60s of %s: %s; the bond window is a guess", over,
               pc_family_word(over_family), under, pc_family_word(under_family),
               bond_of(under_family, over_family));
}

static pc_status warn_family(const pc_piece *piece, size_t part, size_t j, pc_schedule *schedule) {
    const pc_layer *below = schedule->part[part]->layer[j],
                   *above = schedule->part[part]->layer[j + 1];
    const pc_resin *under = pc_piece_resin(piece, part, below->number);
    const pc_resin *over = pc_piece_resin(piece, part, above->number);
    if (under->family == over->family)
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "bond-family", false);
    if (!w)
        return PC_E_MEMORY;
    pci_format(w->text, sizeof w->text, "%s: layer %d is %s on %s: %s; the bond window is a guess",
               schedule->part[part]->name, above->number, pc_family_word(over->family),
               pc_family_word(under->family), bond_of(under->family, over->family));
    pci_format(
        w->remedy, sizeof w->remedy,
        pc_layer_is_shut(piece, schedule, part, j + 1)
            ? "try it on a sample of both and pull it apart, or take one family for both: in "
              "a closed mold layer %d cannot be washed and scuffed before layer %d"
            : "try it on a sample of both and pull it apart; else let layer %d cure through, "
              "wash and scuff it all over before layer %d, or take one family for both",
        below->number, above->number);
    return PC_OK;
}

/* Half the time to the gel at the thickness it is brushed on with: it thickens most near the end
 * (judgment). */
static const double RUNNING_SHARE = 0.5;

static double film_that_stays(const pc_piece *piece, size_t part, const pc_layer *layer,
                              const pc_resin *mix) {
    pci_case c;
    pci_case_nominal(piece, &piece->part[part], &c);
    double mu_Pa_s = pci_viscosity(&mix->flow, layer->fill_conversion, layer->fill_T_K);
    double fluidity = RUNNING_SHARE * (layer->gel_s - layer->pour_end_s) / mu_Pa_s;
    return pci_drain_film(mix->density_kg_m3, pci_drop_m(&c), fluidity);
}

static pc_status warn_runs(const pc_piece *piece, size_t part, const pc_layer *layer,
                           pc_schedule *schedule) {
    if (!pci_brushed(piece, &piece->part[part], layer->number))
        return PC_OK;
    const pc_resin *mix = pc_piece_resin(piece, part, layer->number);
    double holds_m =
        pci_coat_holds_m(pci_coat_of(&piece->part[part], layer->number), mix->density_kg_m3);
    bool stated = !isnan(holds_m);
    if (!stated)
        holds_m = film_that_stays(piece, part, layer, mix);
    if (!(layer->thickness_m > holds_m))
        return PC_OK;
    pc_warning *w = pci_add_warning(schedule, "runs", false);
    if (!w)
        return PC_E_MEMORY;
    pci_format(w->text, sizeof w->text,
               "%s: brushed %s thick, layer %d runs down upright faces before it gels: about %s "
               "stays%s",
               schedule->part[part]->name, pc_say_thickness(piece->units, layer->thickness_m).s,
               layer->number, pc_say_thickness(piece->units, holds_m).s,
               stated ? " (yield_stress, does_not_run)" : "");
    pci_format(w->remedy, sizeof w->remedy,
               stated ? "brush it in two thinner coats, or thicken it more"
                      : "thicken it with a thixotrope (a trial on an upright scrap of mold shows "
                        "how thick it stays: does_not_run = 1 mm)%s",
               piece->part[part].open ? "" : ", or turn the mold until it gels");
    return PC_OK;
}

pc_status pci_coat_warnings(const pc_piece *piece, size_t part, pc_schedule *schedule) {
    const pc_part_plan *plan = schedule->part[part];
    for (size_t j = 0; j < plan->layer_count; j++) {
        PCI_TRY(warn_runs(piece, part, plan->layer[j], schedule));
        if (j + 1 < plan->layer_count)
            PCI_TRY(warn_family(piece, part, j, schedule));
    }
    return PC_OK;
}
