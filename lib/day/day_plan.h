/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a plan on the grid to a timetable by the clock, and what must give where not all fits. */
#ifndef PCI_DAY_DAY_PLAN_H
#define PCI_DAY_DAY_PLAN_H

#include "day/day_grid.h"
#include "day/day_held.h"
#include "input/ini.h"
#include "pourclock/day.h"

typedef struct pci_solved {
    int asked, count_bound;
    int bound;      /* cell; of the finish where all fit */
    double clock_s; /* of cell 0 */
    bool proven;
    pci_found found;
} pci_solved;

/* Purpose:  the best plan of checked days, on the grid. */
pc_status pci_day_solve(const pci_day *day, int orders_most, pci_solved *solved);

/* Purpose:  a list of pointers to count zeroed items of a size, in one block to be freed by free();
 *           NULL where memory is out. */
void *pci_list_new(size_t count, size_t size);

/* Purpose:  fill *plan (zeroed) from it. */
pc_status pci_day_timetable(const pci_day *day, const pci_solved *solved, pc_day_plan *plan);

/* Purpose:  the changes to a day, one at a time, that make all of it fit: into plan->give. */
pc_status pci_day_must_give(const pci_day *day, pc_day_plan *plan);

/* day_air.c: what a casting gives off, its times after zero_s of its schedule. */
pc_status pci_day_job_air(const pc_piece *piece, const pc_schedule *schedule, double zero_s,
                          pci_day_job *job);

/* Purpose:  read the shop's air by the day from a CSV file.
 * Given:    at: [day] temperatures, its path; day: its calendar known.
 * Returned: day->air, a day without rows as the one before it; PC_OK, or an error's status. */
pc_status pci_day_read_air(const pci_at *at, pci_day *day);

/* day_kits.c: plan->kit_use of a timetable. Returned: PC_OK, PC_E_MEMORY. */
pc_status pci_day_use_kits(const pci_day *day, pc_day_plan *plan);

/* How a piece is planned otherwise than its file says. */
typedef struct pci_otherwise {
    double warmer_K;
    const char *resin; /* on the shelf; NULL: its own */
} pci_otherwise;

/* Purpose:  plan the pieces of a day again. Returned: the jobs of *day; PC_OK and others. */
pc_status pci_day_plan_pieces(pci_day *day, const pci_otherwise *otherwise, pc_errors *errors);

/* Purpose:  judge a day as a whole. Returned: PC_OK, or the first error's status with all of them
 *           in errors. pci_day_make calls it. */
pc_status pci_day_check(const pci_day *day, pc_errors *errors);

/* Purpose:  a day with no piece: 08:30 to 17:00, one pair of hands, one station, demold 10 min. */
void pci_day_defaults(pci_day *day);

/* Purpose:  the comb of a planned piece.
 * Given:    piece and its schedule; day: for setup_s, 0 to PCI_DAY_SETUP_MOST_S. Returned: *job,
 * not feasible where the schedule is not or a time of it is not known; PC_OK; PC_E_ARGUMENT;
 *           PC_E_SIZE: more jobs than PCI_DAY_COMB_MOST. */
pc_status pci_day_job_of(const pc_piece *piece, const pc_schedule *schedule, const pci_day *day,
                         pci_day_job *job);

/* Purpose:  the air of a day's plan: all batches of all castings together.
 * Returned: *air; PC_OK, PC_E_ARGUMENT, PC_E_MEMORY.
 * Notes:    substances add in proportion to their limits (additive mixture, 29 CFR 1910.1000(d)(2),
 *           from memory). */
pc_status pci_day_air_of(const pci_day *day, const pc_day_plan *plan, pc_day_air *air);

/* Purpose:  what an entry of the timetable is, in words: "otter, casting 1 (mold 1): layer 2: mix
 *           and pour". Given: text of size > 0; the day, its plan and an entry of it. */
void pci_day_entry_text(char *text, size_t size, const pci_day *day, const pc_day_plan *plan,
                        const pc_day_entry *entry);

/* Purpose:  what becomes of a resin's kits on a day: "kits: Fast urethane: open 1 of 8000 g; 1519 g
 *           left at the end, to be used by Sat 2027-01-16". Given: text of size > 0. */
void pci_day_kit_text(char *text, size_t size, const pci_day *day, const pc_day_kit_use *use);

#endif
