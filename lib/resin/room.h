/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Room:     resin
 * Purpose:  What a resin does in a cup: rate law, viscosity, the families' priors, the lumped cup.
 * May use:  base solve (and the installed headers).
 * Calls go only to these rooms, which lie below; tests/house/includes.sh holds the room to it. */
