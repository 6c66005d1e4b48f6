/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "day/day_grid.h"

#include <math.h>
#include <string.h>

static int cell_down(double s) {
    return (int)floor(s / PC_DAY_STEP_S + 1e-6);
}

static int cell_up(double s) {
    return (int)ceil(s / PC_DAY_STEP_S - 1e-6);
}

static void comb_init(const pc_day_piece *piece, const pc_day_job *job, int demold,
                      pci_comb *comb) {
    memset(comb, 0, sizeof *comb);
    comb->feasible = job->feasible;
    for (size_t i = 0; i < job->task_count; i++) {
        int from = cell_down(job->task[i].from_s), until = cell_up(job->task[i].until_s);
        int n = comb->task_count;
        if (n && from < comb->from[n - 1] + comb->length[n - 1]) { /* rounded into each other */
            int end = comb->from[n - 1] + comb->length[n - 1];
            comb->length[n - 1] = (until > end ? until : end) - comb->from[n - 1];
        } else {
            comb->from[n] = from;
            comb->length[n] = until - from;
            comb->task_count++;
        }
    }
    for (int i = 0; i < comb->task_count; i++) {
        comb->hands_work += comb->length[i];
        comb->hands_end = comb->from[i] + comb->length[i];
    }
    if (job->station_until_s > job->station_from_s) {
        comb->station_from = cell_down(job->station_from_s);
        comb->station_length = cell_up(job->station_until_s) - comb->station_from;
    }
    comb->ready = cell_up(job->ready_s);
    int over = comb->station_from + comb->station_length;
    over = over > comb->hands_end ? over : comb->hands_end;
    comb->ready = comb->ready > over ? comb->ready : over;
    comb->done = piece->overnight ? over : comb->ready + demold;
}

void pci_grid_init(const pc_day *day, double end_s, pci_grid *grid) {
    memset(grid, 0, sizeof *grid);
    grid->cells = cell_down(end_s - day->start_s);
    grid->cells = grid->cells > PCI_CELLS_MOST ? PCI_CELLS_MOST : grid->cells;
    grid->hands = day->hands;
    grid->stations = day->stations;
    grid->demold = cell_up(day->demold_s);
    grid->kind_count = (int)day->piece_count;
    for (int k = 0; k < grid->kind_count; k++) {
        const pc_day_piece *piece = &day->piece[k];
        pci_kind *kind = &grid->kind[k];
        kind->copies = piece->copies;
        kind->molds = piece->molds;
        kind->overnight = piece->overnight;
        kind->slots = (int)piece->job_count;
        for (int s = 0; s < kind->slots; s++)
            comb_init(piece, &piece->job[s], grid->demold, &kind->comb[s]);
    }
    pci_bits_init(&grid->free_hands, grid->cells);
    pci_bits_init(&grid->free_stations, grid->cells);
    for (int c = 0; c < grid->cells; c++) {
        double from = day->start_s + c * PC_DAY_STEP_S, until = from + PC_DAY_STEP_S;
        bool rest = false;
        for (size_t b = 0; b < day->break_count; b++)
            rest = rest || (from < day->rest[b].until_s && until > day->rest[b].from_s);
        pci_bits_set(&grid->free_hands, c, !rest);
        pci_bits_set(&grid->free_stations, c, grid->stations > 0);
    }
}

void pci_grid_starts(const pci_grid *grid, int k, int slot, pci_bits *starts) {
    const pci_kind *kind = &grid->kind[k];
    const pci_comb *comb = &kind->comb[slot];
    int from = pci_slot_from(slot), until = pci_slot_until(kind, slot);
    pci_bits_init(starts, grid->cells);
    if (!comb->feasible)
        return;
    int last = grid->cells - comb->done; /* everything of it within the day */
    until = until <= last ? until : last + 1;
    pci_bits_fill(starts, from, until - from, true);
    pci_bits run;
    for (int i = 0; i < comb->task_count; i++) {
        pci_bits_run(&grid->free_hands, comb->length[i], &run);
        pci_bits_and_shifted(starts, &run, comb->from[i]);
    }
    if (comb->station_length) {
        pci_bits_run(&grid->free_stations, comb->station_length, &run);
        pci_bits_and_shifted(starts, &run, comb->station_from);
    }
}
