/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Room:     piece
 * Purpose:  The piece file and its record; what a file states apart from what a part is.
 * May use:  base input resin shape wall film sheet (and the installed headers).
 * Calls go only to these rooms, which lie below; tests/house/includes.sh holds the room to it. */
