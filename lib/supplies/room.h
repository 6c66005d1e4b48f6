/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Room:     supplies
 * Purpose:  What to buy and mix: kits, pins and how they hold, the press of resin on a mold.
 * May use:  base shape wall piece plan schedule (and the installed headers).
 * Calls go only to these rooms, which lie below; tests/house/includes.sh holds the room to it. */
