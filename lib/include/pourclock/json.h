/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The answers as JSON: what `pourclock COMMAND --json` prints, byte for byte. This is the surface
 * that other languages and later versions can rely on.
 *
 * Format 1: SI with the unit in the key, null where unknown, keys only ever added. Each answer has
 * a JSON Schema in the installed data, share/pourclock/schemas/NAME.schema.json.
 *
 * Purpose:  of every function here: the answer as text.
 * Returned: *text, UTF-8 and ended by NUL, to be freed by pc_text_free; PC_OK; PC_E_ARGUMENT,
 *           PC_E_MEMORY and what the answer's last sums end with (PC_E_NUMERIC): *text is NULL. */
#ifndef POURCLOCK_JSON_H
#define POURCLOCK_JSON_H

#include "pourclock/cuptest.h"
#include "pourclock/day.h"
#include "pourclock/export.h"
#include "pourclock/mesh.h"
#include "pourclock/piece.h"
#include "pourclock/plain_text.h"
#include "pourclock/resin.h"
#include "pourclock/schedule.h"
#include "pourclock/shape.h"
#include "pourclock/status.h"
#include "pourclock/supplies.h"
#include "pourclock/turn.h"
#include "pourclock/warm.h"

PC_BEGIN_DECLS

/* schedule.schema.json. A schedule that holds no limits is an answer too: "feasible" is false. */
PC_API pc_status pc_schedule_json(const pc_piece *piece, const pc_schedule *schedule, char **text);

/* turn.schema.json */
PC_API pc_status pc_turn_json(const pc_piece *piece, const pc_schedule *schedule,
                              const pc_turn_report *report, char **text);

/* warm.schema.json */
PC_API pc_status pc_warm_json(const pc_piece *piece, const pc_warm *warm, char **text);

/* supplies.schema.json */
PC_API pc_status pc_supplies_json(const pc_piece *piece, const pc_schedule *schedule,
                                  const pc_order *order, const pc_supplies *supplies, char **text);

/* day.schema.json: the plan; need.schema.json: what a number of castings needs. */
PC_API pc_status pc_day_json(const pc_day *day, const pc_day_plan *plan, char **text);
PC_API pc_status pc_day_need_json(const pc_day_need *need, char **text);

/* resin.schema.json: a resin and rows of its table (count may be 0); shelf.schema.json: the resins
 * on the shelf as they are found now. */
PC_API pc_status pc_resin_json(const pc_resin *resin, size_t count, const pc_resin_row *row,
                               char **text);
PC_API pc_status pc_shelf_json(char **text);

/* cuptest.schema.json: tests and the fit made of them. */
PC_API pc_status pc_tests_json(const pc_tests *tests, const pc_tests_fit *fit, char **text);

/* area.schema.json: one answer, or those of a piece's parts (count 1 or more). */
PC_API pc_status pc_area_json(size_t count, const pc_area *area, char **text);

/* traps.schema.json. fewest: the traps with the way up that takes the fewest vents, NULL where it
 * was not looked for; bore_m: of a vent. */
PC_API pc_status pc_traps_json(const pc_traps *traps, const pc_traps *fewest,
                               const pc_narrows *narrows, double bore_m, char **text);

PC_END_DECLS

#endif
