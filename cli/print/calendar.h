/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Events that ring on a phone (RFC 5545), whatever they are of. */
#ifndef PC_CLI_PRINT_CALENDAR_H
#define PC_CLI_PRINT_CALENDAR_H

#include <stdbool.h>

#include "pourclock.h"

struct calendar;

struct calendar_event {
    const char *name;         /* makes the UID: the same name replaces the event */
    double start_s, end_s;    /* from the calendar's first clock time */
    const char *title, *text; /* UTF-8 without control characters but line ends in text */
};

/* Whether there is such a day: year 1970 to 9999, month, day. */
bool calendar_has_day(const int date[3]);

/* Whether a moment, s from the first clock time, is near enough to ring for: no plan reaches
 * further, and NaN nowhere. */
bool calendar_reaches(double at_s);

/* Purpose:  begin a calendar.
 * Given:    date: year, month 1-12, day; clock_s: local time (TZ) that the events count from, below
 *           24 h. What happens a day later stands on the next date.
 * Returned: *calendar, to be closed; PC_OK, PC_E_ARGUMENT (no such day), PC_E_MEMORY.
 * Notes:    times are written in UTC. Equal input gives equal bytes: DTSTAMP is the start of the
 *           day. */
pc_status calendar_open(const int date[3], double clock_s, struct calendar **calendar);

/* Purpose:  add an event with one DISPLAY alarm at its start.
 * Returned: false: no memory.
 * Notes:    starts are whole minutes, rounded early; an event lasts a minute at least. */
bool calendar_add(struct calendar *calendar, const struct calendar_event *event);

/* Purpose:  the calendar as text, and its end.
 * Returned: *text, to be freed with free(), or none where text is NULL; PC_OK, PC_E_MEMORY. */
pc_status calendar_close(struct calendar *calendar, char **text);

#endif
