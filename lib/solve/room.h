/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Room:     solve
 * Purpose:  GSL guard, roots, small ODEs, least squares, Sobol points, threads, linear program.
 * May use:  base (and the installed headers).
 * Calls go only to these rooms, which lie below; tests/house/includes.sh holds the room to it. */
