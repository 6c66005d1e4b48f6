/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "day/day_grid.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static bool take(pci_grid *grid, bool station, int from, int length) {
    unsigned char *used = station ? grid->turning : grid->busy;
    int most = station ? grid->stations : grid->hands;
    if (from < 0 || from + length > grid->cells)
        return false;
    for (int c = from; c < from + length; c++)
        if (used[c] >= most)
            return false;
    pci_bits *bits = station ? &grid->free_stations : &grid->free_hands;
    for (int c = from; c < from + length; c++)
        if (++used[c] == most)
            pci_bits_set(bits, c, false);
    return true;
}

static void give(pci_grid *grid, bool station, int from, int length) {
    unsigned char *used = station ? grid->turning : grid->busy;
    for (int c = from; c < from + length; c++)
        used[c]--;
    pci_bits_fill(station ? &grid->free_stations : &grid->free_hands, from, length, true);
}

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
        grid->busy[c] = rest ? (unsigned char)grid->hands : 0;
        pci_bits_set(&grid->free_hands, c, !rest);
        pci_bits_set(&grid->free_stations, c, grid->stations > 0);
    }
}

void pci_grid_starts(const pci_grid *grid, int k, int slot, bool reuse, pci_bits *starts) {
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
    if (reuse) {
        pci_bits_run(&grid->free_hands, grid->demold, &run);
        pci_bits_and_shifted(starts, &run, -grid->demold);
    }
}

void pci_grid_put_in(pci_grid *grid, int kind, int slot, int start, bool reuse) {
    const pci_comb *comb = &grid->kind[kind].comb[slot];
    grid->placed[grid->count++] = (pci_placed){kind, slot, start};
    for (int i = 0; i < comb->task_count; i++)
        take(grid, false, start + comb->from[i], comb->length[i]);
    if (comb->station_length)
        take(grid, true, start + comb->station_from, comb->station_length);
    if (reuse)
        take(grid, false, start - grid->demold, grid->demold);
}

void pci_grid_take_out(pci_grid *grid, bool reuse) {
    const pci_placed *placed = &grid->placed[--grid->count];
    const pci_comb *comb = &grid->kind[placed->kind].comb[placed->slot];
    for (int i = 0; i < comb->task_count; i++)
        give(grid, false, placed->start + comb->from[i], comb->length[i]);
    if (comb->station_length)
        give(grid, true, placed->start + comb->station_from, comb->station_length);
    if (reuse)
        give(grid, false, placed->start - grid->demold, grid->demold);
}

bool pci_grid_reuses(const pci_grid *grid, const pci_placed *placed, int index) {
    int before = 0; /* of its kind */
    for (int i = 0; i < index; i++)
        before += placed[i].kind == placed[index].kind;
    return before >= grid->kind[placed[index].kind].molds;
}

int pci_grid_ready(const pci_grid *grid, int i) {
    const pci_placed *p = &grid->placed[i];
    return p->start + grid->kind[p->kind].comb[p->slot].ready;
}

/* Marks the castings that are the last of their molds: those of a kind are in the order of starts.
 */
static void mark_last(const pci_grid *grid, bool *last) {
    int behind[PC_DAY_PIECES_MOST] = {0};
    for (int i = grid->count - 1; i >= 0; i--) {
        int k = grid->placed[i].kind;
        last[i] = behind[k]++ < grid->kind[k].molds;
    }
}

/* Castings that wait for hands to be demolded, by the cell they are ready. *finish: of what needs
 * no more hands. */
static int waiting_by_ready(const pci_grid *grid, int *waiting, int *finish) {
    int n = 0;
    bool last[PC_DAY_CASTINGS_MOST];
    mark_last(grid, last);
    for (int i = 0; i < grid->count; i++) {
        const pci_placed *p = &grid->placed[i];
        const pci_kind *kind = &grid->kind[p->kind];
        if (kind->overnight || !last[i]) {
            int over = p->start + (kind->overnight ? kind->comb[p->slot].done : 0);
            *finish = over > *finish ? over : *finish;
            continue;
        }
        int at = n++;
        while (at > 0 && pci_grid_ready(grid, waiting[at - 1]) > pci_grid_ready(grid, i)) {
            waiting[at] = waiting[at - 1];
            at--;
        }
        waiting[at] = i;
    }
    return n;
}

int pci_grid_finish(pci_grid *grid, int *demold) {
    int waiting[PC_DAY_CASTINGS_MOST], at[PC_DAY_CASTINGS_MOST], finish = 0, done = 0, from = 0;
    int n = waiting_by_ready(grid, waiting, &finish);
    pci_bits run;
    for (int i = 0; i < grid->count; i++)
        demold[i] = -1;
    for (; done < n; done++) {
        if (done == 0 || grid->hands > 1)
            pci_bits_run(&grid->free_hands, grid->demold, &run);
        int ready = pci_grid_ready(grid, waiting[done]);
        int cell = pci_bits_next(&run, ready > from ? ready : from);
        if (cell < 0 || !take(grid, false, cell, grid->demold))
            break;
        /* Equally long: a later one in this order gains nothing before it; and alone with one pair
         * of hands it starts when this one is out. */
        from = grid->hands > 1 ? cell : cell + grid->demold;
        at[done] = cell;
        demold[waiting[done]] = cell;
        finish = cell + grid->demold > finish ? cell + grid->demold : finish;
    }
    bool all = done == n;
    while (done-- > 0)
        give(grid, false, at[done], grid->demold);
    return all ? finish : -1;
}
