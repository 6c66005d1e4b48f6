/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Room:     film
 * Purpose:  The film on a turning wall: set, draining, turning programs, coverage, bubbles.
 * May use:  base solve resin shape (and the installed headers).
 * Calls go only to these rooms, which lie below; tests/house/includes.sh holds the room to it. */
