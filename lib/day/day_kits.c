/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Kits of resin opened and used up over the days of a plan. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "day/day_plan.h"

/* A and B of a resin that a working day's batches take. */
static double used_on(const pci_day *day, const pc_day_plan *plan, const pc_day_workday *workday,
                      const char *resin) {
    double kg = 0;
    for (size_t c = 0; c < plan->count; c++) {
        const pc_day_casting *casting = plan->casting[c];
        const pci_day_piece *piece = &day->piece[casting->piece];
        const pci_day_job *job = &piece->job[casting->job];
        for (size_t a = 0; a < job->act_count; a++) {
            size_t other = job->act[a].resin;
            double at_s = casting->start_s + job->act[a].at_s;
            if (strcmp(other > 0 ? job->other_resin[other - 1] : piece->resin.name, resin) != 0)
                continue;
            if (at_s >= workday->from_s - 1 && at_s < workday->until_s + 1)
                kg += job->act[a].part_a_kg + job->act[a].part_b_kg;
        }
    }
    return kg;
}

/* One day of a kit. left_kg and opened are carried on from day to day. */
static pc_day_kit_use use_kit(const pci_day_kit *kit, double used_kg, int offset, double *left_kg,
                              int *opened) {
    pc_day_kit_use use = {.used_kg = used_kg, .use_by = -1};
    if (used_kg > 0 && kit->open_days > 0 && *left_kg > 0 && offset > *opened + kit->open_days) {
        use.discarded_kg = *left_kg;
        *left_kg = 0;
    }
    if (used_kg > *left_kg) {
        use.opened = (int)fmin(ceil((used_kg - *left_kg) / kit->holds_kg - 1e-9), 1e6);
        *opened = offset;
    }
    *left_kg += use.opened * kit->holds_kg - used_kg;
    *left_kg = fmax(*left_kg, 0);
    use.left_kg = *left_kg;
    if (kit->open_days > 0 && *left_kg > 0)
        use.use_by = *opened + kit->open_days;
    return use;
}

pc_status pci_day_use_kits(const pci_day *day, pc_day_plan *plan) {
    double left_kg[PCI_DAY_KITS_MOST];
    int opened[PCI_DAY_KITS_MOST];
    if (day->kit_count == 0)
        return PC_OK;
    plan->kit_use = pci_list_new(day->kit_count * plan->workday_count, sizeof **plan->kit_use);
    if (!plan->kit_use)
        return PC_E_MEMORY;
    for (size_t k = 0; k < day->kit_count; k++) {
        left_kg[k] = day->kit[k].left_kg;
        opened[k] = day->kit[k].opened;
    }
    for (size_t d = 0; d < plan->workday_count; d++)
        for (size_t k = 0; k < day->kit_count; k++) {
            const pc_day_workday *workday = plan->workday[d];
            double kg = used_on(day, plan, workday, day->kit[k].resin);
            if (!(kg > 0))
                continue;
            pc_day_kit_use *use = plan->kit_use[plan->kit_use_count++];
            *use = use_kit(&day->kit[k], kg, workday->offset, &left_kg[k], &opened[k]);
            use->kit = k;
            pci_copy_text(use->resin, sizeof use->resin, day->kit[k].resin);
            use->workday = d;
        }
    return PC_OK;
}
