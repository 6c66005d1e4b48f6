/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Room:     safety
 * Purpose:  Air of the room, limits of exposure, and the cautions.
 * May use:  base resin piece plan (and the installed headers).
 * Calls go only to these rooms, which lie below; tests/house/includes.sh holds the room to it. */
