/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words of a day's timetable, as the text, JSON and the calendar say them. */
#ifndef PC_CLI_PRINT_DAY_TEXT_H
#define PC_CLI_PRINT_DAY_TEXT_H

#include <stddef.h>

#include "pourclock.h"

/* What an entry is: "otter, casting 1 (mold 1): layer 2: mix and pour". size > 0. */
void day_entry_text(char *text, size_t size, const pc_day *day, const pc_day_plan *plan,
                    const pc_day_entry *entry);

/* The day of a clock time: "Mon 2026-12-07", "Day 2" if no date is given, "" if there is but one.
 * size > 0. */
void day_date_text(char *text, size_t size, const pc_day *day, double clock_s);

/* What becomes of a resin's kits on a day: "kits: Fast urethane: open 1 of 8000 g; 1519 g left at
 * the end, to be used by Sat 2027-01-16". size > 0. */
void day_kit_text(char *text, size_t size, const pc_day *day, const pc_day_kit_use *use);

/* The resins to weigh on a working day, one a name. */
typedef struct day_resin {
    const char *name;
    double part_a_kg, part_b_kg, filler_kg;
    int batches;
} day_resin;

/* Returns how many; resin: room for PC_DAY_PIECES_MOST. */
size_t day_resins(const pc_day *day, const pc_day_plan *plan, const pc_day_workday *workday,
                  day_resin *resin);

#endif
