/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Room:     wall
 * Purpose:  Heat and cure through the thickness of mold and layers, with their events.
 * May use:  base solve resin (and the installed headers).
 * Calls go only to these rooms, which lie below; tests/house/includes.sh holds the room to it. */
