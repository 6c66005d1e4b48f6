/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Room:     bench
 * Purpose:  The log of the bench, what really happened, and the plan made again from it.
 * May use:  base input resin wall film piece plan schedule (and the installed headers).
 * Calls go only to these rooms, which lie below; tests/house/includes.sh holds the room to it. */
