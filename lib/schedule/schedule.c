/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "pourclock/schedule.h"

#include <math.h>
#include <stdlib.h>

#include "base/text.h"
#include "base/try.h"
#include "schedule/build.h"
#include "schedule/parts.h"

typedef struct schedule_room {
    pc_schedule schedule;
    pc_part_plan *at[PC_PARTS_MOST];
    pci_part_room part[];
} schedule_room;

pc_schedule *pci_schedule_new(size_t count) {
    schedule_room *room = calloc(1, sizeof *room + count * sizeof room->part[0]);
    if (!room)
        return NULL;
    room->schedule.part = room->at;
    for (size_t p = 0; p < count; p++)
        room->at[p] = pci_part_in(&room->part[p]);
    return &room->schedule;
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

/* What the whole takes from a part. */
static void add_part(const pc_part_plan *plan, pc_schedule *schedule) {
    schedule->feasible = schedule->feasible && plan->feasible;
    schedule->resin_kg += plan->resin_kg;
    if (!(plan->demold_s <= schedule->demold_s)) /* what the last part hangs on */
        pci_copy_text(schedule->most_sensitive, sizeof schedule->most_sensitive,
                      plan->most_sensitive);
    schedule->demold_s = fmax(schedule->demold_s, plan->demold_s); /* fmax drops NaN */
    schedule->demold_late_s = fmax(schedule->demold_late_s, plan->demold_late_s);
}

static pc_status say_part(const pc_piece *piece, size_t part, const pci_limits *limits,
                          pc_schedule *schedule) {
    pci_case c;
    pci_case_scheduled(piece, schedule, part, &c);
    PCI_TRY(pci_limit_warnings(&c, schedule->part[part]->layer[0]->mix_s, limits, schedule));
    PCI_TRY(pci_part_warnings(piece, part, schedule));
    return pci_part_steps(piece, part, schedule);
}

static pc_status plan_parts(const pc_piece *piece, pc_schedule *schedule) {
    const pci_how how = {.margins = true};
    pci_limits *limits = calloc(PC_PARTS_MOST, sizeof *limits);
    if (!limits)
        return PC_E_MEMORY;
    pc_status status = pci_plan_parts(piece, &how, schedule->part, limits);
    if (status == PC_OK)
        schedule->part_count = piece->part_count;
    for (size_t i = 0; i < schedule->part_count && status == PC_OK; i++) {
        add_part(schedule->part[i], schedule);
        status = say_part(piece, i, &limits[i], schedule);
    }
    free(limits);
    pci_sort_steps(schedule);
    return status == PC_OK ? pci_piece_warnings(piece, schedule) : status;
}

pc_status pc_schedule_make(const pc_piece *piece, pc_schedule **schedule, pc_errors *errors) {
    if (!schedule)
        return PC_E_ARGUMENT;
    *schedule = NULL;
    if (!piece || piece->part_count < 1 || piece->part_count > PC_PARTS_MOST)
        return pc_errors_add(errors, PC_E_ARGUMENT, (pc_place){.file = piece ? piece->path : NULL},
                             "a piece needs 1 to %d parts to be scheduled", PC_PARTS_MOST);
    pc_schedule *made = pci_schedule_new(piece->part_count);
    pc_status status = PC_E_MEMORY;
    if (made) {
        head(piece, made);
        status = plan_parts(piece, made);
    }
    if (status != PC_OK) {
        pc_schedule_free(made);
        return pc_errors_add(errors, status, (pc_place){.file = piece->path},
                             "the piece cannot be planned: %s; check its sizes, temperatures and "
                             "the resin's constants",
                             pc_status_text(status));
    }
    *schedule = made;
    return PC_OK;
}

void pc_schedule_free(pc_schedule *schedule) {
    if (!schedule)
        return;
    for (size_t i = 0; i < schedule->step_count; i++)
        free(schedule->step[i]);
    for (size_t i = 0; i < schedule->warning_count; i++)
        free(schedule->warning[i]);
    free(schedule->step);
    free(schedule->warning);
    free(schedule);
}
