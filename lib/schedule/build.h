/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The parts a schedule is built from. */
#ifndef PCI_SCHEDULE_BUILD_H
#define PCI_SCHEDULE_BUILD_H

#include "plan/part.h"

/* Hands on for so long after a pour, to plug the mold and start the machine, and from a stop, to
 * stop it and unplug or to turn out of the cradle (judgment). */
#define PCI_HANDS_S 60.0

/* Purpose:  a schedule of zeros with room for the plans of count parts, none of them counted yet.
 * Returned: to be freed by pc_schedule_free; NULL where memory is out. */
pc_schedule *pci_schedule_new(size_t count);

/* Grow a schedule; PC_E_MEMORY when that fails. Texts are printf-style. */
pc_status pci_add_step(pc_schedule *schedule, double at_s, pc_step_kind kind, size_t part,
                       int layer, const char *format, ...) PC_PRINTF(6, 7);
pc_warning *pci_add_warning(pc_schedule *schedule, const char *code, bool breaks); /* or NULL */

/* Below this a data sheet's 23 C says little, and viscous resin traps more air (practice). */
/* The mix of a piece that needs the warmest shop. */
const pc_resin *pci_most_tender(const pc_piece *piece);

#define PCI_COLD_RESIN_K     (PC_ZERO_CELSIUS_K + 16.0)
#define PCI_COLD_RESIN_WORDS "resin at %s is thick: it mixes badly, holds bubbles and cures slowly"

/* Of what is cooled: water from the air spoils it (practice). */
#define PCI_NO_DEW "cans shut, no dew on resin or mold"

/* steps.c: the steps of a part, in any order; pci_sort_steps puts them by time. */
pc_status pci_part_steps(const pc_piece *piece, size_t part, pc_schedule *schedule);
void pci_sort_steps(pc_schedule *schedule);

/* steps.c: share of its speed at which the resin of a layer that the wall carries from its pour
 * runs as a pool; 1 or more where it does at full speed. */
double pci_slow_start(const pc_piece *piece, size_t part, const pc_layer *layer);

/* warnings.c: what to look out for although the limits hold. */
pc_status pci_part_warnings(const pc_piece *piece, size_t part, pc_schedule *schedule);

/* warnings.c: the air of the room, and what is above the flash point: of the piece as a whole. */
pc_status pci_piece_warnings(const pc_piece *piece, pc_schedule *schedule);

/* Hottest a resin or a mold is warmed to, and a room: below the flash point of styrene where there
 * is any. */
double pci_warmest_resin(const pc_piece *piece);
double pci_warmest_mold(const pc_piece *piece);
double pci_warmest_room(const pc_piece *piece);

/* practice_warnings.c: "cool WHAT (how far, and what to mind)", and `then` behind it; "" where the
 * resin is as cold as it is worked. */
void pci_say_cooling(const pc_piece *piece, const char *what, const char *then, char *text,
                     size_t size);

/* coat_warnings.c: bonds between families, and brushed coats that run. */
pc_status pci_coat_warnings(const pc_piece *piece, size_t part, pc_schedule *schedule);

/* coat_warnings.c: a part of one family on a part of another. */
void pci_say_bond_of(const char *over, const char *under, pc_family over_family,
                     pc_family under_family, char *text, size_t size);

/* edge_warnings.c: of a seam or rim, and of the vents of a solid from a mesh. */
pc_status pci_edge_warnings(const pc_piece *piece, size_t part, pc_schedule *schedule);

/* hole_warnings.c: a sprue too thin for its pour, a pour hole that a slug does not run out of. */
pc_status pci_hole_warnings(const pc_piece *piece, size_t part, pc_schedule *schedule);

/* practice_warnings.c: what a caster would object to: too hot for the family, too cold to cure, too
 * long to turn by hand, too much to stir by hand, a mesh in the wrong unit. */
pc_status pci_practice_warnings(const pc_piece *piece, size_t part, pc_schedule *schedule);

/* Longest a layer of the plan is turned by hand at a stretch, s; NaN of a machine and of a solid.
 */
double pci_hand_turning(const pc_piece *piece, const pc_part_plan *plan);

/* Of trials: enough to tell whether a limit is met; the schedule is planned on the fine grid. */
#define PCI_TRIAL_REFINE    0.4
#define PCI_TRIAL_TOLERANCE 4e-4

/* limit_warnings.c: one warning for each kind of limit that does not hold, with what would free it.
 */
pc_status pci_limit_warnings(const pci_case *c, double start_s, const pci_limits *limits,
                             pc_schedule *schedule);

/* remedy.c: the changes that would make a part feasible, each found by planning it again, as one
 * sentence into text. */
pc_status pci_remedies(const pci_case *c, double start_s, const pci_limits *limits, char *text,
                       size_t size);

#endif
