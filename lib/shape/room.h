/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Room:     shape
 * Purpose:  Solids and meshes: area, volume, shells, traps for air, narrow places.
 * May use:  base input solve (and the installed headers).
 * Calls go only to these rooms, which lie below; tests/house/includes.sh holds the room to it. */
