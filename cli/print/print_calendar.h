/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A schedule, and a day's timetable, as a calendar that rings on a phone (RFC 5545). */
#ifndef PC_CLI_PRINT_PRINT_CALENDAR_H
#define PC_CLI_PRINT_PRINT_CALENDAR_H

#include "commands/command.h"
#include "pourclock.h"

/* Purpose:  the schedule of a piece as an iCalendar object.
 * Given:    schedule; date: year, month 1-12, day of the first mix, whose clock is local time (TZ).
 * Returned: *text, to be freed with free(); PC_OK, PC_E_ARGUMENT (no such day), PC_E_MEMORY.
 * Notes:    one event an action; the true seconds stand in the title. Actions less than two minutes
 *           behind the first of an event join it. UIDs depend on piece, date and action alone, so
 *           that a schedule planned again replaces its events. */
pc_status calendar_render(const pc_schedule *schedule, const int date[3], char **text);

/* Purpose:  the timetable of a day as an iCalendar object.
 * Given:    day and its plan; date as above.
 * Returned: as above.
 * Notes:    one event an entry of the timetable. UIDs depend on day, date, piece, copy, action,
 *           part and layer alone. */
pc_status day_calendar_render(const pc_day *day, const pc_day_plan *plan, const int date[3],
                              char **text);

/* Purpose:  judge --calendar and --date before anything is planned.
 * Returned: CLI_DONE; CLI_USAGE (no such day, or no calendar), after saying why; date: where a
 *           calendar is asked for, the day given or today. */
enum cli_exit calendar_options(const struct cli *cli, int date[3]);

/* Purpose:  write the calendar that --calendar asks for, if any, whole or not at all.
 * Returned: CLI_DONE; CLI_USAGE, CLI_FILE, CLI_INTERNAL, after saying why. */
enum cli_exit print_calendar(struct cli *cli, const pc_schedule *schedule);

/* The same; where no casting has a place in the day it writes none, and notes that. */
enum cli_exit print_day_calendar(struct cli *cli, const pc_day *day, const pc_day_plan *plan);

#endif
