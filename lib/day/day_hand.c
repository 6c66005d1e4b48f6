/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What is handed out of a day: a small structure in front of what the library holds. */
#include <stdlib.h>
#include <string.h>

#include "day/day_plan.h"

typedef struct day_room {
    pc_day day;
    pc_day_piece *at[PC_DAY_PIECES_MOST];
    pc_day_piece piece[PC_DAY_PIECES_MOST];
    const pc_day_break *rest[PCI_DAY_BREAKS_MOST];
    pci_day held;
} day_room;

static const pci_day *held_of(const pc_day *day) {
    return day ? &((const day_room *)day)->held : NULL;
}

pc_day *pci_day_hand_out(const pci_day *held) {
    day_room *room = malloc(sizeof *room);
    if (!room)
        return NULL;
    room->held = *held;
    held = &room->held;
    for (size_t i = 0; i < PCI_DAY_BREAKS_MOST; i++)
        room->rest[i] = &held->rest[i];
    for (size_t i = 0; i < PC_DAY_PIECES_MOST; i++) {
        const pci_day_piece *piece = &held->piece[i];
        room->at[i] = &room->piece[i];
        room->piece[i] = (pc_day_piece){.name = piece->name,
                                        .resin = &piece->resin,
                                        .copies = piece->copies,
                                        .molds = piece->molds,
                                        .mold_of = piece->mold_of,
                                        .due_s = piece->due_s};
    }
    room->day = (pc_day){.name = held->name,
                         .start_s = held->start_s,
                         .end_s = held->end_s,
                         .days = held->days,
                         .first = {held->first[0], held->first[1], held->first[2]},
                         .hands = held->hands,
                         .stations = held->stations,
                         .break_count = held->break_count,
                         .rest = room->rest,
                         .piece_count = held->piece_count,
                         .piece = room->at};
    return &room->day;
}

pc_status pc_day_read_in_shop(const char *shop, const char *path, pc_day **day, pc_errors *errors) {
    if (!day)
        return PC_E_ARGUMENT;
    *day = NULL;
    pci_day *read = malloc(sizeof *read);
    pc_status status = read ? pci_day_read(shop, path, read, errors) : PC_E_MEMORY;
    if (status == PC_OK)
        *day = pci_day_hand_out(read);
    free(read);
    return status == PC_OK && !*day ? PC_E_MEMORY : status;
}

pc_status pc_day_make(const pc_day *day, pc_day_plan **plan, pc_errors *errors) {
    return pci_day_make(held_of(day), plan, errors);
}

pc_status pc_day_need_of(const pc_day *day, int castings, pc_day_need *need, pc_errors *errors) {
    return pci_day_need_of(held_of(day), castings, need, errors);
}

void pc_day_date_text(char *text, size_t size, const pc_day *day, double clock_s) {
    pci_day_date_text(text, size, held_of(day), clock_s);
}

size_t pc_day_weigh(const pc_day *day, const pc_day_plan *plan, const pc_day_workday *workday,
                    pc_day_resin *resin) {
    return pci_day_weigh(held_of(day), plan, workday, resin);
}

void pc_day_free(pc_day *day, pc_day_plan *plan) {
    free(day);
    if (!plan)
        return;
    free(plan->workday);
    free(plan->casting);
    free(plan->entry);
    free(plan->kit_use);
    free(plan->air);
    free(plan);
}

void *pci_list_new(size_t count, size_t size) {
    void **list = malloc(count * (sizeof *list + size) + 1);
    if (!list)
        return NULL;
    char *item = (char *)(list + count);
    memset(item, 0, count * size);
    for (size_t i = 0; i < count; i++)
        list[i] = item + i * size;
    return list;
}
