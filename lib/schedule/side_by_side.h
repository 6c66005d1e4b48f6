/* SPDX-License-Identifier: GPL-3.0-or-later */
/* When to begin each mold of a piece, so that all are done soonest by the hands there are. The work
 * on one mold is a row of hands-on jobs at fixed times after its first mix, as its own plan has
 * them: no deadline inside a mold moves. */
#ifndef PCI_SCHEDULE_SIDE_BY_SIDE_H
#define PCI_SCHEDULE_SIDE_BY_SIDE_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock/piece.h"
#include "pourclock/status.h"

/* One stretch of hands-on work, s after the first mix of its mold. A mold that is turned or
 * swirled by hand keeps a pair of hands while others mix; its other jobs overlap only where one
 * goes on in the next. */
typedef struct pci_job {
    double from_s, until_s;
    int hands; /* pairs of hands it takes at most; no more than there are */
    bool turning;
} pci_job;

enum { PCI_JOBS_MOST = PC_PARTS_MOST * (3 * PC_LAYERS_MOST + 1) };

typedef struct pci_mold_work {
    size_t job_count;
    pci_job job[PCI_JOBS_MOST];
    double machine_from_s, machine_until_s; /* on the turning machine; NaN: not on it */
    double ready_s;                         /* when all of it is out of the mold */
    /* Least time from another mold's first mix to this one's; -infinity: it waits for none. */
    double least_after_s[PC_PARTS_MOST];
} pci_mold_work;

/* Purpose:  starts of all molds, the first at 0, such that no more hands are asked for at once than
 *           there are, the machine turns one mold at a time, and each waits for those it must.
 * Given:    the work on 1 to PC_PARTS_MOST molds, none of which asks for more than the hands by
 * itself, with no circle of waiting; hands >= 1. Returned: start_s, whole seconds: of all starts
 * tried those that end soonest, then those with the least sum of ends, then as the molds are
 * listed. Every start that a job ending, or a mold getting free, makes possible is tried, up to a
 * fixed amount of work: the best there is for 3 or 4 molds, a good one for more. PC_OK,
 * PC_E_MEMORY. */
pc_status pci_side_by_side(const pci_mold_work *work, size_t count, int hands, double start_s[]);

/* Purpose:  the soonest start of one mold among others whose starts are set.
 * Given:    placed: which those are.
 * Returned: start_s[index]; PC_OK, PC_E_MEMORY. */
pc_status pci_soonest_start(const pci_mold_work *work, size_t count, int hands, const bool placed[],
                            size_t index, double start_s[]);

#endif
