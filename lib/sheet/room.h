/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Room:     sheet
 * Purpose:  A resin from its data sheet: anchoring, the resin file, the shelf, cup tests.
 * May use:  base input solve resin wall (and the installed headers).
 * Calls go only to these rooms, which lie below; tests/house/includes.sh holds the room to it. */
