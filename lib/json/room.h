/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Room:     json
 * Purpose:  The answer of each command as JSON; the only user of jansson.
 * May use:  base safety piece (and the installed headers).
 * Calls go only to these rooms, which lie below; tests/house/includes.sh holds the room to it. */
