/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What warming does, in a sentence; and what can hurt. */
#include "schedule/warm_words.h"

#include <math.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "pourclock/words.h"
#include "safety/air_sums.h"
#include "schedule/build.h"

PC_PRINTF(2, 3) static void say(pc_warm *warm, const char *format, ...) {
    size_t used = strlen(warm->sentence);
    va_list args;
    va_start(args, format);
    pci_vformat(warm->sentence + used, sizeof warm->sentence - used, format, args);
    va_end(args);
}

static bool same(double a_K, double b_K) {
    return fabs(a_K - b_K) < 0.05;
}

/* "warm the resin to 86 F and the mold to 95 F" */
static void say_change(const pc_piece *piece, const pc_warm_cell *now, const pc_warm_cell *to,
                       pc_warm *warm) {
    const struct {
        const char *what;
        double from_K, to_K;
    } row[] = {{"resin", now->resin_K, to->resin_K},
               {"mold", now->mold_K, to->mold_K},
               {"room", now->room_K, to->room_K}};
    const char *verb = "";
    if (!same(now->room_K, to->room_K) && same(to->resin_K, to->room_K) &&
        same(to->mold_K, to->room_K)) {
        say(warm, "%s the shop, with resin and mold in it, to %s",
            to->room_K > now->room_K ? "warm" : "cool", pc_say_degrees(piece->units, to->room_K).s);
        return;
    }
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        if (same(row[i].from_K, row[i].to_K))
            continue;
        const char *wanted = row[i].to_K > row[i].from_K ? "warm" : "cool";
        say(warm, "%s%s%sthe %s to %s", *verb ? " and " : "", wanted == verb ? "" : wanted,
            wanted == verb ? "" : " ", row[i].what, pc_say_degrees(piece->units, row[i].to_K).s);
        verb = wanted;
    }
}

/* Limits without a figure of their own, as the end of "... would". */
static const char *missed_words(const char *why) {
    static const char *const row[][2] = {
        {"turns", "let a layer gel too soon after it sets"},
        {"thin", "need layers too thin to cover"},
        {"drain", "need layers that draining does not leave"},
        {"first-layer", "need a first layer so thick that it hides bubbles"},
        {"mix-limit", "need more than the largest mix"},
        {"pot-life", "leave too little time to pour"},
    };
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++)
        if (strcmp(why, row[i][0]) == 0)
            return row[i][1];
    return "still miss a limit";
}

/* Why a cell will not do, as the end of "... would". */
static void say_miss(const pc_piece *piece, const pc_warm_cell *cell, pc_warm *warm) {
    if (strcmp(cell->why, "peak") == 0)
        say(warm, "heat the wall to %s", pc_say_degrees(piece->units, cell->peak_K).s);
    else if (strcmp(cell->why, "pot-life") == 0 && cell->slack_s < 0.0)
        say(warm, "leave the last of a batch %s too late", pc_say_duration(-cell->slack_s).s);
    else if (strcmp(cell->why, "cure") == 0)
        say(warm, "not cure in two weeks");
    else
        say(warm, "%s", missed_words(cell->why));
}

/* Resin (or mold) alone moved the same way, as far as the best moves it, else by one step, where
 * that does not do: what one would try first. */
static const pc_warm_cell *alone(const pc_warm *warm, const pc_warm_cell *best, bool resin,
                                 double way) {
    const pc_warm_cell *now = &warm->now, *found = NULL;
    double wanted_K = resin ? best->resin_K : best->mold_K;
    for (size_t i = 0; i < warm->count; i++) {
        const pc_warm_cell *cell = &warm->cell[i];
        bool only = same(cell->room_K, now->room_K) &&
                    (resin ? same(cell->mold_K, now->mold_K) : same(cell->resin_K, now->resin_K));
        double moved_K = resin ? cell->resin_K - now->resin_K : cell->mold_K - now->mold_K;
        if (!only || cell == best || !(way * moved_K > 0.05))
            continue;
        if (same(resin ? cell->resin_K : cell->mold_K, wanted_K))
            return cell->feasible ? NULL : cell;
        if (!found || cell->effort < found->effort)
            found = cell;
    }
    return found && !found->feasible ? found : NULL;
}

static void say_contrast(const pc_piece *piece, const pc_warm_cell *best, pc_warm *warm) {
    double resin_K = best->resin_K - warm->now.resin_K, mold_K = best->mold_K - warm->now.mold_K;
    double room_K = best->room_K - warm->now.room_K;
    bool resin_only = fabs(mold_K) < 0.05 && fabs(room_K) < 0.05;
    double way = fabs(resin_K) > 0.05 ? resin_K : fabs(mold_K) > 0.05 ? mold_K : room_K;
    const pc_warm_cell *other = alone(warm, best, !resin_only, way);
    if (!other)
        return;
    say(warm, "; %s the %s alone to %s would ", way > 0.0 ? "warming" : "cooling",
        resin_only ? "mold" : "resin",
        pc_say_degrees(piece->units, resin_only ? other->mold_K : other->resin_K).s);
    say_miss(piece, other, warm);
}

static void say_fastest(const pc_piece *piece, pc_warm *warm) {
    const pc_warm_cell *fast = &warm->cell[warm->fastest];
    if (same(fast->effort, 0.0)) {
        say(warm, "; nothing tried is faster");
        return;
    }
    say(warm, "; fastest: ");
    say_change(piece, &warm->now, fast, warm);
    say(warm, ", out of the mold after %s", pc_say_duration(fast->demold_s).s);
}

/* The schedule's own warning. */
static void say_cold(const pc_piece *piece, const pc_warm_cell *cell, const char *before,
                     const char *after, pc_warm *warm) {
    if (!(cell->resin_K < PCI_COLD_RESIN_K))
        return;
    say(warm, "%s" PCI_COLD_RESIN_WORDS "%s", before, pc_say_degrees(piece->units, cell->resin_K).s,
        after);
}

/* It holds as it is: what would be faster. */
static void say_holds(const pc_piece *piece, pc_warm *warm) {
    const pc_warm_cell *now = &warm->now;
    say(warm, "it works as it is, out of the mold after %s", pc_say_duration(now->demold_s).s);
    say_cold(piece, now, " (but ", ")", warm);
    if (warm->fastest == SIZE_MAX)
        return;
    say_fastest(piece, warm);
    if (!same(warm->cell[warm->fastest].resin_K, now->resin_K))
        say_cold(piece, &warm->cell[warm->fastest], "; ", "", warm);
}

/* It works as it is, but hands turn it too long. */
static void say_rest(const pc_piece *piece, pc_warm *warm) {
    const pc_warm_cell *now = &warm->now, *cheap = &warm->cell[warm->cheapest];
    say(warm, "as it is, hands turn a layer for %s at a stretch; ", pc_say_duration(now->turn_s).s);
    say_change(piece, now, cheap, warm);
    say(warm, ": then for %s, and it is out of the mold after %s", pc_say_duration(cheap->turn_s).s,
        pc_say_duration(cheap->demold_s).s);
    say_cold(piece, cheap, "; ", "", warm);
}

void pci_warm_sentence(const pc_piece *piece, pc_warm *warm) {
    const pc_warm_cell *now = &warm->now;
    warm->sentence[0] = '\0';
    bool rested = warm->cheapest != SIZE_MAX && !warm->cell[warm->cheapest].tires;
    if (now->feasible && now->tires && rested) {
        say_rest(piece, warm);
    } else if (now->feasible) {
        say_holds(piece, warm);
    } else if (warm->cheapest == SIZE_MAX) {
        say(warm, "no temperature tried makes it work: as it is it would ");
        say_miss(piece, now, warm);
        say(warm, "; change the resin, the layers or the hands (pourclock schedule says how)");
    } else {
        const pc_warm_cell *cheap = &warm->cell[warm->cheapest];
        say_change(piece, now, cheap, warm);
        say(warm, ": then it works, out of the mold after %s", pc_say_duration(cheap->demold_s).s);
        say_contrast(piece, cheap, warm);
        say_cold(piece, cheap, "; ", "", warm);
    }
    const pc_resin *mix = pci_most_tender(piece);
    double coldest_K = fmin(now->resin_K, fmin(now->mold_K, now->room_K));
    if (now->feasible && coldest_K < mix->least_temperature_K)
        say(warm,
            "; but as it is, at %s, this resin does not cure through: keep all of it above %s",
            pc_say_degrees(piece->units, coldest_K).s,
            pc_say_degrees(piece->units, mix->least_temperature_K).s);
    if (warm->sentence[0] >= 'a' && warm->sentence[0] <= 'z')
        warm->sentence[0] = (char)(warm->sentence[0] - 'a' + 'A');
}

static const char *const general[] = {
    "No open flame, no glowing heater and no unflued gas or oil heater near resin or its vapor.",
    "Warm the resin's parts apart, in their shut cans, in a water bath under thermostat, not above "
    "45 C (113 F) nor the maker's limit; dry the cans before opening: water in a urethane makes it "
    "foam, and its part with isocyanate gives off carbon dioxide that can burst a shut can.",
    "Warm the mold evenly in a ventilated oven or under a blanket, not above 60 C (140 F), never "
    "with resin in it, and not in an oven used for food.",
    "No heat gun on wet resin: it cures the skin over wet resin, drives off vapor and can light "
    "it.",
    "Warm resin cures faster and hotter than the label says: smaller batches, nothing left "
    "standing in the cup; vapor is stronger: exhaust or respirator as the safety data sheet says.",
    "Let a cold can warm up shut: what condenses in it spoils the resin.",
};

static const char *const peroxide[] = {
    "No heat gun, lamp or oven on a resin cured by peroxide, and never warm the peroxide: it can "
    "decompose violently. Warm the resin base alone, far from peroxide and promoter, and never let "
    "those two meet.",
    "Styrene vapor ignites from 31 C (88 F) and travels along the floor: no open flame, no glowing "
    "heater, no switch that sparks, no unflued gas or oil heater near it.",
    "Warm the resin base in its shut can, in a water bath under thermostat, not above 30 C (86 F), "
    "away from every source of ignition.",
    "Warm the mold evenly under a blanket or in a warm room, not above 30 C (86 F), and take the "
    "source away before resin comes near.",
    "Warm resin cures faster and hotter than the label says: smaller batches, nothing left "
    "standing in the cup; vapor is stronger: exhaust or respirator as the safety data sheet says.",
};

size_t pci_warm_cautions(const pc_piece *piece, const char *const **texts) {
    bool by_peroxide = piece && pci_piece_has_styrene(piece);
    if (!piece || !texts)
        return 0;
    *texts = by_peroxide ? peroxide : general;
    return by_peroxide ? sizeof peroxide / sizeof peroxide[0] : sizeof general / sizeof general[0];
}
