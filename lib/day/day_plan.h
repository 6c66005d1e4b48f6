/* SPDX-License-Identifier: GPL-3.0-or-later */
/* From a plan on the grid to a timetable by the clock, and what must give where not all fits. */
#ifndef PCI_DAY_DAY_PLAN_H
#define PCI_DAY_DAY_PLAN_H

#include "day/day_grid.h"
#include "input/ini.h"

typedef struct pci_solved {
    int asked, count_bound;
    int bound;      /* cell; of the finish where all fit */
    double clock_s; /* of cell 0 */
    bool proven;
    pci_found found;
} pci_solved;

/* Purpose:  the best plan of checked days, on the grid. */
pc_status pci_day_solve(const pc_day *day, int orders_most, pci_solved *solved);

/* Purpose:  fill *plan (zeroed) from it. */
pc_status pci_day_timetable(const pc_day *day, const pci_solved *solved, pc_day_plan *plan);

/* Purpose:  the changes to a day, one at a time, that make all of it fit: into plan->give. */
pc_status pci_day_must_give(const pc_day *day, pc_day_plan *plan);

/* day_air.c: what a casting gives off, its times after zero_s of its schedule. */
pc_status pci_day_job_air(const pc_piece *piece, const pc_schedule *schedule, double zero_s,
                          pc_day_job *job);

/* Purpose:  read the shop's air by the day from a CSV file.
 * Given:    at: [day] temperatures, its path; day: its calendar known.
 * Returned: day->air, a day without rows as the one before it; PC_OK, or an error's status. */
pc_status pci_day_read_air(const pci_at *at, pc_day *day);

/* day_kits.c: plan->kit_use of a timetable. Returned: PC_OK, PC_E_MEMORY. */
pc_status pci_day_use_kits(const pc_day *day, pc_day_plan *plan);

/* How a piece is planned otherwise than its file says. */
typedef struct pci_otherwise {
    double warmer_K;
    const char *resin; /* on the shelf; NULL: its own */
} pci_otherwise;

/* Purpose:  plan the pieces of a day again. Returned: the jobs of *day; PC_OK and others. */
pc_status pci_day_plan_pieces(pc_day *day, const pci_otherwise *otherwise, pc_errors *errors);

#endif
