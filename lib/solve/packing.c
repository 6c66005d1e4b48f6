/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/packing.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#define TINY 1e-9

/* Columns are what is not in the basis, at 0 or at its cap; rows what is. Ids: kinds, then rows'
 * slacks. */
typedef struct tableau {
    const pci_packing *of;
    double *cell;   /* [rows][kinds] */
    double *value;  /* [rows] of what is in the basis */
    double *gain;   /* [kinds] of a column */
    double *price;  /* [rows] multipliers, in the end */
    size_t *basic;  /* [rows] ids */
    size_t *column; /* [kinds] ids */
    bool *at_cap;   /* [kinds] */
} tableau;

static bool good(const pci_packing *p) {
    for (size_t i = 0; i < p->kinds; i++)
        if (!(p->cap[i] >= 0 && isfinite(p->cap[i])))
            return false;
    for (size_t i = 0; i < p->rows; i++)
        if (!(p->room[i] >= 0 && isfinite(p->room[i])))
            return false;
    for (size_t i = 0; i < p->rows * p->kinds; i++)
        if (!(p->weight[i] >= 0 && isfinite(p->weight[i])))
            return false;
    return true;
}

static void clean(tableau *t) {
    free(t->cell);
    free(t->value);
    free(t->gain);
    free(t->price);
    free(t->basic);
    free(t->column);
    free(t->at_cap);
}

static bool start(const pci_packing *p, tableau *t) {
    size_t kinds = p->kinds + 1, rows = p->rows + 1; /* so that nothing is of size 0 */
    *t = (tableau){.of = p};
    t->cell = malloc(kinds * rows * sizeof *t->cell);
    t->value = malloc(rows * sizeof *t->value);
    t->gain = malloc(kinds * sizeof *t->gain);
    t->price = calloc(rows, sizeof *t->price);
    t->basic = malloc(rows * sizeof *t->basic);
    t->column = malloc(kinds * sizeof *t->column);
    t->at_cap = calloc(kinds, sizeof *t->at_cap);
    if (!t->cell || !t->value || !t->gain || !t->price || !t->basic || !t->column || !t->at_cap)
        return false;
    for (size_t i = 0; i < p->rows * p->kinds; i++)
        t->cell[i] = p->weight[i];
    for (size_t r = 0; r < p->rows; r++) {
        t->value[r] = p->room[r];
        t->basic[r] = p->kinds + r;
    }
    for (size_t k = 0; k < p->kinds; k++) {
        t->gain[k] = 1;
        t->column[k] = k;
    }
    return true;
}

static double cap_of(const tableau *t, size_t id) {
    return id < t->of->kinds ? t->of->cap[id] : INFINITY;
}

/* The column that gains most when it leaves its bound; kinds: none, it is the optimum. */
static size_t enters(const tableau *t) {
    size_t best = t->of->kinds;
    double most = TINY;
    for (size_t k = 0; k < t->of->kinds; k++) {
        double gain = t->at_cap[k] ? -t->gain[k] : t->gain[k];
        if (gain > most && cap_of(t, t->column[k]) > 0) {
            most = gain;
            best = k;
        }
    }
    return best;
}

/* How far a column can go, and the row that stops it first (rows: its own other bound does);
 * *to_cap: that row's at its cap. */
static size_t stops(const tableau *t, size_t column, double direction, double *step, bool *to_cap) {
    size_t row = t->of->rows;
    *step = cap_of(t, t->column[column]);
    *to_cap = false;
    for (size_t r = 0; r < t->of->rows; r++) {
        double slope = direction * t->cell[r * t->of->kinds + column], room = INFINITY;
        if (slope > TINY)
            room = t->value[r] / slope;
        else if (slope < -TINY)
            room = (cap_of(t, t->basic[r]) - t->value[r]) / -slope;
        if (room < *step) {
            *step = fmax(room, 0);
            *to_cap = slope < 0;
            row = r;
        }
    }
    return row;
}

static void subtract_row(double *from, const double *row, size_t kinds, size_t column,
                         double pivot) {
    double factor = from[column];
    for (size_t k = 0; k < kinds; k++)
        from[k] -= k == column ? 0 : factor * row[k];
    from[column] = -factor / pivot;
}

static void exchange(tableau *t, size_t column, size_t row) {
    size_t kinds = t->of->kinds, out = t->basic[row];
    double *pivot_row = &t->cell[row * kinds], pivot = pivot_row[column];
    t->basic[row] = t->column[column];
    t->column[column] = out;
    for (size_t k = 0; k < kinds; k++)
        pivot_row[k] /= k == column ? 1 : pivot;
    for (size_t r = 0; r < t->of->rows; r++)
        if (r != row && t->cell[r * kinds + column] != 0)
            subtract_row(&t->cell[r * kinds], pivot_row, kinds, column, pivot);
    subtract_row(t->gain, pivot_row, kinds, column, pivot);
    pivot_row[column] = 1 / pivot;
}

/* One step. Returns false at the optimum. */
static bool advance(tableau *t) {
    size_t kinds = t->of->kinds, column = enters(t);
    if (column == kinds)
        return false;
    bool was_at_cap = t->at_cap[column], to_cap;
    double direction = was_at_cap ? -1 : 1, step;
    size_t row = stops(t, column, direction, &step, &to_cap);
    if (!isfinite(step)) /* rounding: a slack that nothing holds; what there is will do */
        return false;
    for (size_t r = 0; r < t->of->rows; r++)
        t->value[r] -= direction * step * t->cell[r * kinds + column];
    if (row == t->of->rows) {
        t->at_cap[column] = !was_at_cap;
        return true;
    }
    double entered = was_at_cap ? cap_of(t, t->column[column]) - step : step;
    exchange(t, column, row);
    t->value[row] = entered;
    t->at_cap[column] = to_cap;
    return true;
}

/* Rooms at their prices, and what each kind is worth above them. */
static double by_prices(tableau *t) {
    const pci_packing *p = t->of;
    double most = 0;
    for (size_t k = 0; k < p->kinds; k++)
        if (t->column[k] >= p->kinds)
            t->price[t->column[k] - p->kinds] = fmax(0, -t->gain[k]);
    for (size_t r = 0; r < p->rows; r++)
        most += t->price[r] * p->room[r];
    for (size_t k = 0; k < p->kinds; k++) {
        double worth = 1;
        for (size_t r = 0; r < p->rows; r++)
            worth -= t->price[r] * p->weight[r * p->kinds + k];
        most += fmax(0, worth) * p->cap[k];
    }
    return most;
}

pc_status pci_packing_most(const pci_packing *packing, double *most) {
    if (!good(packing))
        return PC_E_ARGUMENT;
    tableau t;
    bool ok = start(packing, &t);
    if (ok) {
        size_t steps = 20 * (packing->kinds + packing->rows);
        while (steps-- > 0 && advance(&t))
            continue;
        *most = by_prices(&t);
    }
    clean(&t);
    return ok ? PC_OK : PC_E_MEMORY;
}
