/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "day/day_machines.h"

/* A casting on a machine, whatever the hour. */
typedef struct stay {
    int turn, after; /* cells on it; from then until it is done */
} stay;

/* On one machine, what has the longest way to go behind it goes first: no other order is done
 * sooner (Jackson's rule for tails). */
static void fill_over(pci_machines *machines, const stay *list, int n) {
    for (int set = 0; set < 1 << n; set++) {
        int at = 0, over = 0;
        for (int i = 0; i < n; i++)
            if (set >> i & 1) {
                at += list[i].turn;
                over = pci_max(over, at + list[i].after);
            }
        machines->over[set] = (int16_t)over;
    }
}

void pci_machines_init(pci_machines *machines, const pci_grid *grid, const int *wanted) {
    int order[PC_DAY_PIECES_MOST], n = 0;
    stay list[PCI_BRANCH_MOST];
    machines->kinds = grid->kind_count;
    machines->stations = grid->stations;
    for (int k = 0; k < grid->kind_count; k++) {
        const pci_least *least = &grid->kind[k].least;
        int at = k;
        for (; at > 0 && grid->kind[order[at - 1]].least.after_station < least->after_station; at--)
            order[at] = order[at - 1];
        order[at] = k;
        machines->before[k] = least->before_station;
        machines->turned[k] = least->station > 0 && least->done <= grid->cells;
    }
    for (int i = 0; i < grid->kind_count; i++) {
        const pci_least *least = &grid->kind[order[i]].least;
        machines->first[order[i]] = n;
        for (int j = 0; machines->turned[order[i]] && j < wanted[order[i]]; j++)
            list[n++] = (stay){least->station, least->after_station};
    }
    fill_over(machines, list, n);
}

/* Whether a set can be shared out to machines, each free from a cell on for what it has, so that
 * all is done before the limit. */
static bool shared_out(const pci_machines *machines, int set, const int *free_at, int *has,
                       int limit) {
    if (!set)
        return true;
    int bit = set & -set;
    for (int m = 0; m < machines->stations && m < PCI_BRANCH_MOST; m++) {
        if (m && free_at[m] == free_at[m - 1] && has[m] == has[m - 1]) /* the same over again */
            continue;
        if (free_at[m] + machines->over[has[m] | bit] >= limit)
            continue;
        has[m] |= bit;
        bool all = shared_out(machines, set & ~bit, free_at, has, limit);
        has[m] &= ~bit;
        if (all)
            return true;
    }
    return false;
}

bool pci_machines_late(const pci_machines *machines, const pci_grid *grid, const int *left,
                       int start, int limit) {
    int before = PCI_CELLS_MOST, set = 0, has[PCI_BRANCH_MOST] = {0};
    int free_at[PCI_BRANCH_MOST];
    for (int k = 0; k < machines->kinds; k++)
        if (left[k] && machines->turned[k]) {
            before = pci_min(before, machines->before[k]);
            set |= ((1 << left[k]) - 1) << machines->first[k];
        }
    if (!set)
        return false;
    for (int m = 0, cell = start + before; m < machines->stations && m < PCI_BRANCH_MOST; m++) {
        while (cell < grid->cells && grid->turning[cell] > machines->stations - 1 - m)
            cell++;
        free_at[m] = cell;
    }
    return !shared_out(machines, set, free_at, has, limit);
}

int pci_machines_floor(const pci_machines *machines, const pci_grid *grid, const int *wanted,
                       int low, int high) {
    while (low < high) {
        int middle = (low + high) / 2;
        if (pci_machines_late(machines, grid, wanted, 0, middle + 1))
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}
