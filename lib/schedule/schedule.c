/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "pourclock/schedule.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "schedule/build.h"

/* When one pair of hands may turn to the next part: not before a hollow one is plugged, or stopped
 * and unplugged. A machine turns the last layer by itself, but a second hollow part has to wait for
 * the machine. */
static double hands_free(const pc_piece *piece, size_t part, const pc_part_plan *plan,
                         pc_part_kind next) {
    const pc_layer *last = &plan->layer[plan->layer_count - 1];
    bool solid = piece->part[part].kind == PC_SOLID;
    bool free_at_once = piece->turning.method == PC_MACHINE || solid;
    double busy_s = solid || piece->shop.hands > 1 ? 0.0 : PCI_HANDS_S;
    if (free_at_once && (next == PC_SOLID || solid))
        return last->pour_end_s + busy_s;
    return ceil(last->stop_s - 1e-6) + busy_s; /* on the printed clock */
}

double pci_next_start(const pc_piece *piece, size_t part, const pc_part_plan *plan,
                      double start_s) {
    double next_s = hands_free(piece, part, plan, piece->part[part + 1].kind);
    return isnan(next_s) ? start_s + PCI_LONGEST_S : next_s;
}

static void head(const pc_piece *piece, pc_schedule *schedule) {
    pci_copy_text(schedule->piece, sizeof schedule->piece, piece->name);
    pci_copy_text(schedule->resin, sizeof schedule->resin, piece->resin.name);
    schedule->feasible = true;
    schedule->margins_on = piece->margins.on;
    schedule->start_clock_s = piece->shop.start_clock_s;
    schedule->air_K = pc_shop_air(&piece->shop, piece->shop.start_clock_s);
    schedule->resin_K = piece->shop.resin_K;
    schedule->mold_K = piece->shop.mold_K;
    schedule->demold_s = schedule->demold_late_s = NAN;
}

static pc_status plan_part(const pc_piece *piece, size_t part, double start_s,
                           pc_schedule *schedule) {
    pci_case c;
    pci_limits limits;
    pci_case_nominal(piece, &piece->part[part], &c);
    pc_part_plan *plan = &schedule->part[part];
    PCI_TRY(pci_part_split(&c, start_s, true, plan, &limits));
    schedule->feasible = schedule->feasible && plan->feasible;
    schedule->resin_kg += plan->resin_kg;
    if (!(plan->demold_s <= schedule->demold_s)) /* what the last part hangs on */
        pci_copy_text(schedule->most_sensitive, sizeof schedule->most_sensitive,
                      plan->most_sensitive);
    schedule->demold_s = fmax(schedule->demold_s, plan->demold_s); /* fmax drops NaN */
    schedule->demold_late_s = fmax(schedule->demold_late_s, plan->demold_late_s);
    pc_status status = pci_limit_warnings(&c, start_s, &limits, schedule);
    if (status == PC_OK)
        status = pci_part_warnings(piece, part, schedule);
    if (status == PC_OK)
        status = pci_part_steps(piece, part, schedule);
    return status;
}

static pc_status plan_parts(const pc_piece *piece, pc_schedule *schedule) {
    double start_s = 0.0;
    for (size_t i = 0; i < piece->part_count; i++) {
        PCI_TRY(plan_part(piece, i, start_s, schedule));
        schedule->part_count = i + 1;
        if (i + 1 < piece->part_count)
            start_s = pci_next_start(piece, i, &schedule->part[i], start_s);
    }
    pci_sort_steps(schedule);
    return pci_piece_warnings(piece, schedule);
}

pc_status pc_schedule_make(const pc_piece *piece, pc_schedule *schedule, pc_errors *errors) {
    if (!schedule)
        return PC_E_ARGUMENT;
    memset(schedule, 0, sizeof *schedule);
    if (!piece || piece->part_count < 1 || piece->part_count > PC_PARTS_MOST)
        return pc_errors_add(errors, PC_E_ARGUMENT, (pc_place){.file = piece ? piece->path : NULL},
                             "a piece needs 1 to %d parts to be scheduled", PC_PARTS_MOST);
    head(piece, schedule);
    pc_status status = plan_parts(piece, schedule);
    if (status != PC_OK) {
        pc_schedule_free(schedule);
        return pc_errors_add(errors, status, (pc_place){.file = piece->path},
                             "the piece cannot be planned: %s; check its sizes, temperatures and "
                             "the resin's constants",
                             pc_status_text(status));
    }
    return PC_OK;
}

void pc_schedule_free(pc_schedule *schedule) {
    if (!schedule)
        return;
    free(schedule->step);
    free(schedule->warning);
    memset(schedule, 0, sizeof *schedule);
}
