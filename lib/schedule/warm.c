/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A piece planned over a grid of temperatures. */
#include "pourclock/warm.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "film/judge.h"
#include "plan/layer_film.h"
#include "pourclock/safety.h"
#include "safety/air_sums.h"
#include "schedule/build.h"
#include "schedule/parts.h"
#include "schedule/warm_words.h"
#include "solve/threads.h"

static const double RESIN_EFFORT = 1.0, MOLD_EFFORT = 2.0, ROOM_EFFORT = 4.0;

struct warming {
    const pc_piece *piece;
    pc_warm_cell *cell;
    pc_map *sphere; /* that films are judged on */
};

/* Nearer than this is the same temperature. */
static const double SAME_K = 1e-6;

/* The piece in another room, its day shifted as a whole. */
static void set_temperatures(pc_piece *piece, const pc_warm_cell *cell) {
    pc_shop *shop = &piece->shop;
    double shift_K = cell->room_K - pc_shop_air(shop, shop->start_clock_s);
    shop->air_K += shift_K;
    for (size_t i = 0; i < shop->day_count; i++)
        shop->day[i].T_K += shift_K;
    shop->resin_K = cell->resin_K;
    shop->mold_K = cell->mold_K;
    /* What stands at the room's temperature goes on following the room's day. */
    bool day = shop->day_count > 0;
    shop->resin_given = shop->resin_given || !day || fabs(cell->resin_K - cell->room_K) > SAME_K;
    shop->mold_given = shop->mold_given || !day || fabs(cell->mold_K - cell->room_K) > SAME_K;
}

static void note_part(const pc_piece *piece, const pc_part_plan *plan, const pci_limits *limits,
                      double *worst, pc_warm_cell *cell) {
    cell->turn_s = fmax(cell->turn_s, pci_hand_turning(piece, plan)); /* fmax drops NaN */
    cell->tires = cell->turn_s > piece->shop.hand_most_s;
    for (size_t j = 0; j < plan->layer_count; j++) {
        const pc_layer *layer = plan->layer[j];
        cell->pot_life_s = fmin(cell->pot_life_s, layer->pot_life_s); /* fmin drops NaN */
        cell->slack_s = fmin(cell->slack_s, layer->pour_by_s - layer->pour_end_s);
        cell->peak_K = fmax(cell->peak_K, layer->peak_K);
    }
    cell->layers += plan->layer_count;
    for (size_t i = 0; i < limits->count; i++) {
        cell->feasible = false;
        if (limits->item[i].excess > *worst) {
            *worst = limits->item[i].excess;
            pci_copy_text(cell->why, sizeof cell->why, pci_limit_code(limits->item[i].kind));
        }
    }
}

/* As pc_schedule_make goes through the parts, without steps, margins and remedies. */
static pc_status plan_cell(pc_piece *piece, const pc_map *sphere, pc_warm_cell *cell) {
    const pci_how how = {PCI_TRIAL_REFINE, PCI_TRIAL_TOLERANCE, false, sphere, true};
    double worst = -INFINITY;
    cell->feasible = true;
    cell->pot_life_s = cell->slack_s = cell->peak_K = cell->demold_s = cell->turn_s = NAN;
    set_temperatures(piece, cell);
    pc_schedule *plan = pci_schedule_new(piece->part_count);
    pci_limits *limits = calloc(piece->part_count, sizeof *limits);
    pc_status status =
        plan && limits ? pci_plan_parts(piece, &how, plan->part, limits) : PC_E_MEMORY;
    for (size_t i = 0; i < piece->part_count && status == PC_OK; i++) {
        note_part(piece, plan->part[i], &limits[i], &worst, cell);
        if (isnan(plan->part[i]->demold_s))
            cell->feasible = false;
        cell->demold_s = fmax(cell->demold_s, plan->part[i]->demold_s); /* fmax drops NaN */
    }
    if (!cell->feasible && !*cell->why)
        pci_copy_text(cell->why, sizeof cell->why, pci_limit_code(PCI_LIMIT_CURE));
    pc_schedule_free(plan);
    free(limits);
    return status;
}

static pc_status run_cell(size_t i, void *context) {
    struct warming *warming = context;
    pc_piece *piece = malloc(sizeof *piece);
    if (!piece)
        return PC_E_MEMORY;
    *piece = *warming->piece; /* shapes stay the original's */
    pc_status status = plan_cell(piece, warming->sphere, &warming->cell[i]);
    free(piece);
    return status;
}

/* What stands in the shop takes on its temperature at no effort. */
static void set_effort(const pc_shop *shop, const pc_warm_cell *now, pc_warm_cell *cell) {
    double resin_K = shop->resin_given ? now->resin_K : cell->room_K;
    double mold_K = shop->mold_given ? now->mold_K : cell->room_K;
    cell->effort = RESIN_EFFORT * fabs(cell->resin_K - resin_K) +
                   MOLD_EFFORT * fabs(cell->mold_K - mold_K) +
                   ROOM_EFFORT * fabs(cell->room_K - now->room_K);
}

static bool better(double a, double b, double then_a, double then_b) {
    return a < b - 1e-9 || (a <= b + 1e-9 && then_a < then_b);
}

/* Cooled until it is thick: a change that the schedule itself would warn of. */
static bool chilled(const pc_warm *warm, const pc_warm_cell *cell) {
    return cell->resin_K < PCI_COLD_RESIN_K && cell->resin_K < warm->now.resin_K - 0.05;
}

/* Of the feasible cells; those that are chilled, or that tire the hands, only where they may be. */
static void find_best_of(pc_warm *warm, bool with_chilled, bool with_tiring) {
    warm->cheapest = warm->fastest = SIZE_MAX;
    for (size_t i = 0; i < warm->count; i++) {
        const pc_warm_cell *cell = &warm->cell[i];
        if (!cell->feasible || (!with_chilled && chilled(warm, cell)) ||
            (!with_tiring && cell->tires))
            continue;
        const pc_warm_cell *cheap = warm->cheapest == SIZE_MAX ? NULL : &warm->cell[warm->cheapest];
        const pc_warm_cell *fast = warm->fastest == SIZE_MAX ? NULL : &warm->cell[warm->fastest];
        if (!cheap || better(cell->effort, cheap->effort, cell->demold_s, cheap->demold_s))
            warm->cheapest = i;
        if (!fast || better(cell->demold_s, fast->demold_s, cell->effort, fast->effort))
            warm->fastest = i;
    }
}

static void find_best(pc_warm *warm) {
    for (int allowed = 0; allowed < 4; allowed++) {
        find_best_of(warm, (allowed & 2) != 0, (allowed & 1) != 0);
        if (warm->cheapest != SIZE_MAX)
            return;
    }
}

static bool sane_side(size_t count, const double T_K[], double least_K, double most_K) {
    if (count == 0 || count > PC_WARM_SIDE_MOST)
        return false;
    for (size_t i = 0; i < count; i++)
        if (!(T_K[i] >= least_K) || !(T_K[i] <= most_K))
            return false;
    return true;
}

static bool sane_grid(const pc_warm_grid *grid) {
    const double least_K = PC_WARM_LEAST_K, most_K = PC_WARM_MOST_K;
    return sane_side(grid->resin_count, grid->resin_K, least_K, most_K) &&
           sane_side(grid->mold_count, grid->mold_K, least_K, most_K) &&
           sane_side(grid->room_count, grid->room_K, least_K, most_K);
}

/* Nothing with styrene in it is warmed above 30 C; what is hotter already may be tried as it is. */
static bool stays_below_flash(const pc_piece *piece, const pc_warm_grid *grid) {
    if (!pci_piece_has_styrene(piece))
        return true;
    double room_K = pc_shop_air(&piece->shop, piece->shop.start_clock_s);
    const double most_K[] = {fmax(PC_STYRENE_WARM_K, piece->shop.resin_K),
                             fmax(PC_STYRENE_WARM_K, piece->shop.mold_K),
                             fmax(PC_STYRENE_WARM_K, room_K)};
    return sane_side(grid->resin_count, grid->resin_K, 0.0, most_K[0] + 1e-6) &&
           sane_side(grid->mold_count, grid->mold_K, 0.0, most_K[1] + 1e-6) &&
           sane_side(grid->room_count, grid->room_K, 0.0, most_K[2] + 1e-6);
}

static void fill_grid(const pc_warm_grid *grid, pc_warm_cell cell[]) {
    for (size_t r = 0; r < grid->room_count; r++)
        for (size_t m = 0; m < grid->mold_count; m++)
            for (size_t s = 0; s < grid->resin_count; s++) {
                cell->room_K = grid->room_K[r];
                cell->mold_K = grid->mold_K[m];
                cell->resin_K = grid->resin_K[s];
                cell++;
            }
}

static pc_status refuse(pc_errors *errors, const pc_piece *piece, pc_status status,
                        const char *text) {
    return pc_errors_add(errors, status, (pc_place){.file = piece ? piece->path : NULL}, "%s",
                         text);
}

/* Sides that name no temperature are filled in. */
static void settle_grid(const pc_piece *piece, const pc_warm_grid *asked, pc_warm_grid *grid) {
    pci_warm_grid_default(piece, grid);
    if (asked && asked->resin_count > 0) {
        grid->resin_count = asked->resin_count;
        memcpy(grid->resin_K, asked->resin_K, sizeof grid->resin_K);
    }
    if (asked && asked->mold_count > 0) {
        grid->mold_count = asked->mold_count;
        memcpy(grid->mold_K, asked->mold_K, sizeof grid->mold_K);
    }
    if (asked && asked->room_count > 0) {
        grid->room_count = asked->room_count;
        memcpy(grid->room_K, asked->room_K, sizeof grid->room_K);
    }
}

pc_status pc_warm_run(const pc_piece *piece, const pc_warm_grid *asked, pc_warm *warm,
                      pc_errors *errors) {
    if (!warm)
        return PC_E_ARGUMENT;
    memset(warm, 0, sizeof *warm);
    const pc_warm_grid *grid = &warm->grid;
    if (piece)
        settle_grid(piece, asked, &warm->grid);
    if (!piece || piece->part_count == 0 || piece->part_count > PC_PARTS_MOST || !sane_grid(grid))
        return refuse(errors, piece, PC_E_ARGUMENT,
                      "1 to 16 temperatures of resin, mold and room, from -20 to 80 C, are needed");
    if (!stays_below_flash(piece, grid))
        return refuse(errors, piece, PC_E_VALUE,
                      "a resin with styrene, its mold and its room are not warmed above 30 C "
                      "(86 F): styrene vapor ignites from 31 C (88 F); try lower temperatures");
    warm->caution_count = pci_warm_cautions(piece, &warm->caution);
    size_t count = grid->resin_count * grid->mold_count * grid->room_count;
    pc_warm_cell *cell = calloc(count + 1, sizeof *cell); /* the last is the piece as it is */
    if (!cell)
        return refuse(errors, piece, PC_E_MEMORY, pc_status_text(PC_E_MEMORY));
    fill_grid(grid, cell);
    cell[count].room_K = pc_shop_air(&piece->shop, piece->shop.start_clock_s);
    cell[count].resin_K = piece->shop.resin_K;
    cell[count].mold_K = piece->shop.mold_K;
    struct warming warming = {piece, cell, NULL};
    pc_status status = pci_judge_sphere(PCI_FILM_FINENESS, &warming.sphere);
    if (status == PC_OK)
        status = pci_in_threads(run_cell, &warming, count + 1);
    pc_map_free(warming.sphere);
    warm->cell = cell;
    if (status != PC_OK)
        return refuse(errors, piece, status,
                      "the piece cannot be planned at one of these temperatures; try fewer, nearer "
                      "to the shop's");
    warm->count = count;
    warm->now = cell[count];
    for (size_t i = 0; i < count; i++)
        set_effort(&piece->shop, &warm->now, &cell[i]);
    find_best(warm);
    pci_warm_sentence(piece, warm);
    return PC_OK;
}

void pc_warm_free(pc_warm *warm) {
    if (!warm)
        return;
    free(warm->cell);
    memset(warm, 0, sizeof *warm);
}

static size_t side(double now_K, double step_K, int from, int to, double most_K, double T_K[]) {
    size_t n = 0;
    for (int i = from; i <= to; i++) {
        double K = now_K + step_K * i;
        if (i == 0 || (K <= most_K + 1e-9 && K >= PC_ZERO_CELSIUS_K + 4.0))
            T_K[n++] = K;
    }
    return n;
}

double pci_warmest_resin(const pc_piece *piece) {
    return pci_piece_has_styrene(piece) ? PC_STYRENE_WARM_K : PC_WARM_RESIN_MOST_K;
}

double pci_warmest_mold(const pc_piece *piece) {
    return pci_piece_has_styrene(piece) ? PC_STYRENE_WARM_K : PC_WARM_MOLD_MOST_K;
}

double pci_warmest_room(const pc_piece *piece) {
    return pci_piece_has_styrene(piece) ? PC_STYRENE_WARM_K : PC_ZERO_CELSIUS_K + 35.0;
}

/* In a hot shop cooling is what helps: then the colder side is tried. */
void pci_warm_grid_default(const pc_piece *piece, pc_warm_grid *grid) {
    if (!piece || !grid)
        return;
    const double hot_K = PC_ZERO_CELSIUS_K + 25.0;
    const pc_shop *shop = &piece->shop;
    double step_K = piece->units == PC_US ? 10.0 / 1.8 : 5.0;
    double room_K = pc_shop_air(shop, shop->start_clock_s);
    double mold_most_K = fmin(pci_warmest_mold(piece), piece->mold.limit_K);
    double resin_most_K = pci_warmest_resin(piece);
    int colder = room_K > hot_K ? 2 : 0;
    memset(grid, 0, sizeof *grid);
    grid->resin_count = side(shop->resin_K, step_K, -2, 4, resin_most_K, grid->resin_K);
    grid->mold_count = side(shop->mold_K, step_K, -colder, 6 - colder, mold_most_K, grid->mold_K);
    grid->room_count =
        side(room_K, step_K, -colder, 2 - colder, pci_warmest_room(piece), grid->room_K);
}
