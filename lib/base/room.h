/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Room:     base
 * Purpose:  Status codes, errors, quantities and units, ranges, text, quantities in words.
 * May use:  nothing of the house (and the installed headers).
 * Calls go only to these rooms, which lie below; tests/house/includes.sh holds the room to it. */
