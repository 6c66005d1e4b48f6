/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Room:     input
 * Purpose:  Strict INI and CSV with line numbers, tables of fields, whole files read and written.
 * May use:  base (and the installed headers).
 * Calls go only to these rooms, which lie below; tests/house/includes.sh holds the room to it. */
