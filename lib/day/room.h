/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Room:     day
 * Purpose:  Several castings in a day: jobs, the grid of minutes, lists, bounds, what must give.
 * May use:  base input solve piece plan safety schedule (and the installed headers).
 * Calls go only to these rooms, which lie below; tests/house/includes.sh holds the room to it. */
