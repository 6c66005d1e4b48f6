/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "day/day_grid.h"
#include "day/day_dates.h"

#include <math.h>
#include <string.h>

static int cell_down(double s) {
    return (int)floor(s / PCI_DAY_STEP_S + 1e-6);
}

static int cell_up(double s) {
    return (int)ceil(s / PCI_DAY_STEP_S - 1e-6);
}

static void comb_init(const pci_day_piece *piece, const pci_day_job *job, int demold,
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
    comb->over = pci_max(comb->station_from + comb->station_length, comb->hands_end);
    comb->ready = pci_max(comb->ready, comb->over);
    comb->done = piece->stay == PCI_DAY_STAYS ? comb->over : comb->ready + demold;
}

/* Work that goes on into a closed cell or a break is none: the cells in which hands are free. */
static void open_days(const pci_day *day, pci_grid *grid) {
    pc_day_workday workday[PC_DAY_DAYS_MOST];
    grid->day_count = (int)pci_day_workdays(day, workday);
    grid->clock_s = grid->day_count ? workday[0].from_s : 0;
    int last = grid->day_count - 1;
    grid->cells = last < 0 ? 0 : cell_down(workday[last].until_s - grid->clock_s);
    grid->cells = pci_min(grid->cells, PCI_CELLS_MOST);
    grid->shift = cell_down(fmod(grid->clock_s - day->start_s + 2 * PC_DAY_S, PC_DAY_S));
    pci_bits_init(&grid->free_hands, grid->cells);
    pci_bits_init(&grid->free_stations, grid->cells);
    for (int d = 0; d < grid->day_count; d++) {
        int from = cell_up(workday[d].from_s - grid->clock_s);
        int until = pci_min(cell_down(workday[d].until_s - grid->clock_s), grid->cells);
        grid->day_from[d] = from;
        grid->day_until[d] = until;
        pci_bits_fill(&grid->free_hands, from, until - from, true);
        if (grid->stations > 0)
            pci_bits_fill(&grid->free_stations, from, until - from, true);
        for (size_t b = 0; b < day->break_count; b++) {
            double midnight_s = workday[d].offset * PC_DAY_S - grid->clock_s;
            int rest_from = pci_max(from, cell_down(day->rest[b].from_s + midnight_s));
            int rest_until = pci_min(until, cell_up(day->rest[b].until_s + midnight_s));
            if (rest_until > rest_from)
                pci_bits_fill(&grid->free_hands, rest_from, rest_until - rest_from, false);
        }
    }
}

static void kind_init(const pci_day *day, const pci_day_piece *piece, size_t number,
                      pci_grid *grid) {
    pci_kind *kind = &grid->kind[number];
    size_t pool = piece->mold_of ? piece->mold_of - 1 : number;
    const pci_day_piece *owner = &day->piece[pool];
    kind->copies = piece->copies;
    kind->molds = owner->molds;
    kind->pool = (int)pool;
    kind->life = owner->lasts ? pci_max(0, owner->lasts - owner->used) : PC_DAY_CASTINGS_MOST;
    kind->demold = cell_up(day->demold_s + piece->clean_s);
    kind->rest = cell_up(owner->rest_s);
    kind->stay = piece->stay;
    kind->due = isnan(piece->due_s) ? PCI_CELLS_MOST + 1 : cell_down(piece->due_s - grid->clock_s);
    kind->slots = (int)piece->job_count;
    kind->by_date = piece->by_date;
    memcpy(kind->at, piece->job_at, sizeof kind->at);
    for (int s = 0; s < kind->slots; s++)
        comb_init(piece, &piece->job[s], kind->demold, &kind->comb[s]);
}

void pci_grid_init(const pci_day *day, pci_grid *grid) {
    memset(grid, 0, sizeof *grid);
    grid->hands = day->hands;
    grid->stations = day->stations;
    grid->demold = PCI_CELLS_MOST;
    grid->kind_count = (int)day->piece_count;
    open_days(day, grid);
    for (int k = 0; k < grid->kind_count; k++) {
        kind_init(day, &day->piece[k], (size_t)k, grid);
        grid->demold = pci_min(grid->demold, grid->kind[k].demold);
    }
}

static int day_of(const pci_grid *grid, int cell) {
    int d = 0;
    while (d + 1 < grid->day_count && grid->day_from[d + 1] <= cell)
        d++;
    return d;
}

int pci_grid_next_day(const pci_grid *grid, int cell) {
    int d = day_of(grid, cell) + 1;
    return d < grid->day_count ? grid->day_from[d] : grid->cells;
}

bool pci_grid_demolds(const pci_grid *grid, const pci_placed *p) {
    return grid->kind[p->kind].stay != PCI_DAY_STAYS ||
           pci_grid_next_day(grid, p->start) < grid->cells;
}

int pci_grid_ready(const pci_grid *grid, const pci_placed *p) {
    const pci_kind *kind = &grid->kind[p->kind];
    int ready = p->start + kind->comb[p->slot].ready;
    return kind->stay == PCI_DAY_STAYS ? pci_max(ready, pci_grid_next_day(grid, p->start)) : ready;
}

int pci_grid_latest(const pci_grid *grid, const pci_placed *p) {
    bool today = grid->kind[p->kind].stay == PCI_DAY_STAYS_NOT;
    return today ? grid->day_until[day_of(grid, p->start)] : grid->cells;
}

int pci_grid_done(const pci_grid *grid, const pci_placed *p) {
    const pci_kind *kind = &grid->kind[p->kind];
    return p->demold >= 0 ? p->demold + kind->demold : p->start + kind->comb[p->slot].over;
}

/* Starts of a comb among the 64 cells from one on. The machine first: it rules out most. */
static uint64_t starts_word(const pci_comb *comb, const pci_bits *hands, const pci_bits *stations,
                            int cell) {
    uint64_t starts = ~UINT64_C(0);
    if (comb->station_length)
        starts = pci_bits_run_word(stations, cell + comb->station_from, comb->station_length);
    for (int i = 0; starts && i < comb->task_count; i++)
        starts &= pci_bits_run_word(hands, cell + comb->from[i], comb->length[i]);
    return starts;
}

/* The comb of a start in an hour, counted from the clock time of the first. */
static int slot_of(const pci_grid *grid, const pci_kind *kind, int cell, int hour) {
    if (kind->by_date)
        return kind->at[day_of(grid, cell)][pci_min(hour, PCI_DAY_HOURS_MOST - 1)];
    return pci_min(hour, kind->slots - 1);
}

int pci_grid_place(const pci_grid *grid, const pci_bits *hands, const pci_bits *stations, int k,
                   int from, int *slot) {
    const pci_kind *kind = &grid->kind[k];
    for (int cell = from, next; cell < grid->cells; cell = next) {
        if (kind->slots == 1) { /* over nights, and where all hands are taken */
            int first = kind->comb[0].from[0];
            cell = pci_bits_next(hands, cell + first) - first;
            if (cell < 0)
                return -1;
        }
        int hour = (cell + grid->shift) % PCI_DAY_CELLS / PCI_SLOT_CELLS;
        *slot = slot_of(grid, kind, cell, hour);
        next = cell + 64;
        if (kind->slots > 1) /* the comb of an hour is for starts in it */
            next = pci_min(next, cell + PCI_SLOT_CELLS - (cell + grid->shift) % PCI_SLOT_CELLS);
        const pci_comb *comb = &kind->comb[*slot];
        if (!comb->feasible || cell + comb->done > grid->cells)
            continue;
        uint64_t starts = starts_word(comb, hands, stations, cell);
        int start = starts ? cell + pci_word_lowest(starts) : PCI_CELLS_MOST;
        if (start < next && start + comb->done <= grid->cells)
            return start;
    }
    return -1;
}
