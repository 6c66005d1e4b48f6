/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The schedule as a calendar that rings on a phone (RFC 5545). */
#ifndef CLI_PRINT_CALENDAR_H
#define CLI_PRINT_CALENDAR_H

#include <stddef.h>

#include "command.h"
#include "pourclock.h"

/* Purpose:  the schedule of a day as an iCalendar object.
 * Given:    schedule; year, month 1-12, day: of the first mix, whose clock is local time (TZ).
 * Returned: *text, to be freed with free(); PC_OK, PC_E_ARGUMENT (no such day), PC_E_MEMORY.
 * Notes:    one event an action, with one DISPLAY alarm at its start. Starts are whole minutes,
 *           rounded early; the true seconds stand in the title. Actions less than two minutes
 *           behind the first of an event join it. UIDs depend on piece, day and action alone, so
 *           that a schedule planned again replaces its events. Times in UTC. Equal input gives
 *           equal bytes: DTSTAMP is the start of the day. */
pc_status calendar_render(const pc_schedule *schedule, int year, int month, int day, char **text);

/* Purpose:  write the calendar of a schedule, whole or not at all.
 * Given:    path; date: "2026-03-14", or NULL: today.
 * Returned: CLI_DONE; CLI_USAGE (no such day), CLI_FILE, CLI_INTERNAL, after saying why. */
enum cli_exit print_calendar(const char *path, const pc_schedule *schedule, const char *date);

#endif
