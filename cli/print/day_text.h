/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words of a day's timetable, as the text, JSON and the calendar say them. */
#ifndef PC_CLI_PRINT_DAY_TEXT_H
#define PC_CLI_PRINT_DAY_TEXT_H

#include <stddef.h>

#include "pourclock.h"

/* What an entry is: "otter, casting 1 (mold 1): layer 2: mix and pour". size > 0. */
void day_entry_text(char *text, size_t size, const pc_day *day, const pc_day_plan *plan,
                    const pc_day_entry *entry);

#endif
