/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Room:     plan
 * Purpose:  One part run from pour to gel, bond and demold; layers, limits, splitting, margins.
 * May use:  base solve resin wall film piece (and the installed headers).
 * Calls go only to these rooms, which lie below; tests/house/includes.sh holds the room to it. */
