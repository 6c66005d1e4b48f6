/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Room:     schedule
 * Purpose:  A plan put into steps, warnings and remedies; what warming buys; turning advice.
 * May use:  base solve resin wall film piece plan safety (and the installed headers).
 * Calls go only to these rooms, which lie below; tests/house/includes.sh holds the room to it. */
